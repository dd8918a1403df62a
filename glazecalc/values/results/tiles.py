"""What `tiles` planned: the tiles, their parts and what is expected of them, the batches, where each tile stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from glazecalc.values.answers import Problem
from glazecalc.values.records import FrozenLine
from glazecalc.values.results.check import CheckResult

if TYPE_CHECKING:
    from glazecalc.values.results.weigh import WeighResult

PlanName = Literal["line", "triaxial", "square", "additions", "ladder", "grid"]
PLANS: Final[tuple[PlanName, ...]] = ("line", "triaxial", "square", "additions", "ladder", "grid")
BlendBy = Literal["dry", "volume"]
BLEND_BY: Final[tuple[BlendBy, ...]] = ("dry", "volume")
CORNER_LETTERS: Final = "ABCD"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a tile stands: firing, shelf and place count from 1; ``x_mm`` and ``y_mm`` from the middle of the shelf,
    seen from above with the front at the bottom."""

    firing: int
    shelf: int
    spot: int
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class TilePoint:
    """One tile. ``parts`` are whole parts of each corner, ``measures`` what that is in grams (or mL by volume).

    ``dry_shares`` are the corners' shares of the dry matter; ``recipe`` is per 100 of the base, additions over it;
    ``marks`` what to know before mixing, ``beyond`` that it is dangerous or outside what the estimates know; ``number``
    is the pouring order counting from 1; ``row`` and ``column`` the place in the plan's figure.
    """

    id: str
    number: int
    row: int
    column: int
    parts: tuple[int, ...]
    measures: tuple[float, ...]
    dry_shares: tuple[float, ...]
    recipe: tuple[FrozenLine, ...]
    check: CheckResult
    marks: tuple[str, ...] = ()
    beyond: bool = False
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class CornerBatch:
    """One corner of the plan: its letter, its name, what the plan takes of it [g], and the sheet to weigh it by.

    ``batch_g`` is ``taken_g`` with waste, raised to the smallest batch the scale can weigh; ``gravity_for_equal_dry``
    is the specific gravity at which all corners hold the same dry matter per mL.
    """

    letter: str
    name: str
    taken_g: float
    batch_g: float
    sheet: WeighResult
    dry_per_mL: float
    gravity_for_equal_dry: float | None = None


@dataclass(frozen=True, slots=True)
class PotStep:
    """Add ``add_g`` of ``material`` to the pot, stir, glaze tile ``tile``; ``scale_g`` is what the scale shows.

    ``level_percent`` is what the pot then holds of it, per 100 of the base (of the dry weight of the other glaze);
    ``too_small`` says that the scale cannot weigh so little well.
    """

    tile: str
    material: str
    level_percent: float
    add_g: float
    scale_g: float
    too_small: bool = False


@dataclass(frozen=True, slots=True)
class Pot:
    """One pot that passes through many tiles: it starts with ``base_g`` of ``base`` and each tile takes ``tile_g`` of
    what is in it [dry g].

    ``weighings`` counts those of the pot against ``weighings_apart`` when every tile is weighed by itself.
    ``way_out`` says what to do about steps that are too small for the scale, empty where there are none.
    """

    base: str
    base_g: float
    steps: tuple[PotStep, ...]
    weighings: int
    weighings_apart: int
    tile_g: float = 0.0
    way_out: str = ""


@dataclass(frozen=True, slots=True)
class VolumeCost:
    """What blending by volume costs in accuracy when the slurries hold unlike amounts of dry matter.

    ``largest_share_percent`` is the largest error of a corner's share [percentage points] and ``largest_expansion``
    what that does to the expansion [1e-6/K], None where it is not estimated.
    """

    largest_share_percent: float
    largest_expansion: float | None


@dataclass(frozen=True, slots=True)
class Choice:
    """Why these tiles of the full plan: ``full`` tiles in the plan, ``chosen`` of them kept.

    The percentages are the share of the plan expected to be guessed on the wrong side of the boundary of crazing:
    before any tile, after the chosen ones, after as many taken by chance, after the whole plan.
    """

    full: int
    chosen: int
    wrong_before_percent: float
    wrong_percent: float
    wrong_by_chance_percent: float
    wrong_full_percent: float


@dataclass(frozen=True, slots=True)
class TilesResult:
    """A whole plan. ``by`` says whether the parts are dry weights or volumes of slurry; ``warnings`` is what must be
    said before anything else."""

    plan: PlanName
    shape: tuple[int, ...]
    corner_names: tuple[str, ...]
    part: float
    by: BlendBy
    points: tuple[TilePoint, ...]
    corners: tuple[CornerBatch, ...]
    body: str | None
    kiln: str | None
    cone: str | None
    tile: str
    tiles_per_firing: int | None
    firings: int | None
    pots: tuple[Pot, ...] = ()
    volume_cost: VolumeCost | None = None
    choice: Choice | None = None
    recorded: bool = False
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def part_unit(self) -> str:
        """What a part is measured in: grams, or millilitres of slurry."""
        return "g" if self.by == "dry" else "mL"
