"""What recorded tiles teach of a clay, complete before anything is rendered."""

from __future__ import annotations

from dataclasses import dataclass

from glazecalc.values.answers import Estimate, Verdict
from glazecalc.values.records import TileResult
from glazecalc.values.results.check import Formula


@dataclass(frozen=True, slots=True)
class Contradiction:
    """A tile that hardly goes with the rest: ``chance`` of its result given all others, and the tile it fits least."""

    tile: str
    against: str
    chance: float


@dataclass(frozen=True, slots=True)
class Learned:
    """What the tiles taught. ``weights`` are pairs of tile id and its share of the change (sum 1, or all nil).

    ``thetas`` [1e-6/K] is the grid on which ``prior_curve`` and ``curve`` (each summing to one) are given.
    """

    prior: Estimate
    posterior: Estimate
    thetas: tuple[float, ...]
    prior_curve: tuple[float, ...]
    curve: tuple[float, ...]
    weights: tuple[tuple[str, float], ...]
    contradictions: tuple[Contradiction, ...]


@dataclass(frozen=True, slots=True)
class NextTile:
    """A tile worth firing: what it should tell [bits], how it is likely to come out, and the clay's width after it.

    ``outcomes`` are pairs of result and probability; ``width_after`` is the expected width of the 90 % interval
    [1e-6/K] from a normal approximation. ``how`` is the command that lays out its mixing, empty for a recipe as it
    stands. ``card`` is the file of its recipe and ``add`` what is added to it, as `Silica:5` [% of base]."""

    name: str
    information_bits: float
    outcomes: tuple[tuple[TileResult, float], ...]
    width_after: float
    how: str = ""
    card: str = ""
    add: str = ""


@dataclass(frozen=True, slots=True)
class TileLine:
    """A tile of the clay as the lesson used it: ``weight`` is its share of the change, or None with a ``reason``."""

    id: str
    glaze: str
    result: str
    expansion: float | None
    weight: float | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Lesson:
    """Everything `learn` has to say of one clay. ``tiles_per_firing`` is None where the kiln's size is not known."""

    body: str
    cone: str | None
    learned: Learned
    tiles: tuple[TileLine, ...]
    next_tiles: tuple[NextTile, ...]
    tiles_per_firing: int | None
    remarks: tuple[str, ...] = ()


# What is known of a clay, complete before anything is rendered.


@dataclass(frozen=True, slots=True)
class ConeLine:
    """What is measured of a clay at one cone [%]; None where it is not known. Shrinkage is wet to fired."""

    cone: str
    absorption_percent: float | None
    shrinkage_percent: float | None


@dataclass(frozen=True, slots=True)
class WetSize:
    """How big to make it wet so that it comes out at a size [mm], with the interval of the shrinkage.

    ``dry_mm`` is its size bone dry, None where the drying shrinkage is not known."""

    fired_mm: float
    wet_mm: float
    wet_low_mm: float
    wet_high_mm: float
    dry_mm: float | None = None


@dataclass(frozen=True, slots=True)
class MissingFigure:
    """A figure that is not known, the test that gives it, how it is done, and a worked example of the arithmetic."""

    what: str
    standard: str
    how: str
    arithmetic: str


@dataclass(frozen=True, slots=True)
class PhaseShares:
    """Glass, mullite and free quartz of the fired body by volume [fraction], by the rule of mixture."""

    glass: float
    mullite: float
    quartz: float


@dataclass(frozen=True, slots=True)
class ClayReport:
    """Everything `body` has to say of one clay. ``estimates`` holds ``body_expansion`` as the check uses it,
    ``prior_expansion``, ``reasoned_expansion``, ``absorption`` and ``shrinkage`` where there are any."""

    body: str
    ware: str
    colour: str
    cone: str | None
    cone_range: str
    formula: Formula | None
    phases: PhaseShares | None
    estimates: tuple[Estimate, ...]
    lines: tuple[ConeLine, ...]
    wet_size: WetSize | None
    verdicts: tuple[Verdict, ...]
    missing: tuple[MissingFigure, ...]
    tiles: int
    sources: tuple[str, ...]

    def estimate(self, name: str) -> Estimate | None:
        """The estimate of that name, or None."""
        return next((e for e in self.estimates if e.name == name), None)
