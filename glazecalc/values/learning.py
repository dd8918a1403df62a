"""What recorded tiles teach of a clay, complete before anything is rendered."""

from __future__ import annotations

from dataclasses import dataclass

from glazecalc.values.estimate import Estimate
from glazecalc.values.records import TileResult


@dataclass(frozen=True, slots=True)
class Contradiction:
    """A tile that hardly goes with the rest: ``chance`` of its result given all others, and the tile it
    fits least.
    """

    tile: str
    against: str
    chance: float


@dataclass(frozen=True, slots=True)
class Learned:
    """What the tiles taught. ``weights`` are pairs of tile id and its share of the change (sum 1, or all
    nil).

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
    """A tile worth firing: what it should tell [bits], how it is likely to come out, and the clay's width
    after it.

    ``outcomes`` are pairs of result and probability; ``width_after`` is the expected width of the 90 %
    interval [1e-6/K] from a normal approximation. ``how`` is the command that lays out its mixing, empty for a
    recipe as it stands."""

    name: str
    information_bits: float
    outcomes: tuple[tuple[TileResult, float], ...]
    width_after: float
    how: str = ""


@dataclass(frozen=True, slots=True)
class TileLine:
    """A tile of the clay as the lesson used it: ``weight`` is its share of the change, or None with a
    ``reason``.
    """

    id: str
    glaze: str
    result: str
    expansion: float | None
    weight: float | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Lesson:
    """Everything `learn` has to say of one clay. ``tiles_per_firing`` is None where the kiln's size is not
    known.
    """

    body: str
    cone: str | None
    learned: Learned
    tiles: tuple[TileLine, ...]
    next_tiles: tuple[NextTile, ...]
    tiles_per_firing: int | None
    remarks: tuple[str, ...] = ()
