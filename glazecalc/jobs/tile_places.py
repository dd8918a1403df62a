"""Which tiles of a plan tell most about where crazing begins, instead of firing them all.

How strongly a tile leans to crazing is a number in units of the scatter between like tiles. Before firing it is known
as far as the models say, with an error all tiles share (the clay) and one that nearby glazes share (the model). Many
possible truths are drawn from that belief, the firing of each is played through, and tiles are taken one by one so
that the sides of the boundary are guessed best afterwards, over the whole plan. The draws are fixed: the same plan
gives the same tiles.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.jobs.cautions import POISONS
from glazecalc.jobs.stacking import spots_on_level, stack
from glazecalc.values.answers import Answer, is_known
from glazecalc.values.arrays import Array
from glazecalc.values.inputs import Kiln, Piece
from glazecalc.values.results.check import CheckResult
from glazecalc.values.results.tiles import Place

Single = NDArray[np.float32]
"""Single precision is enough for weights of possible truths, and twice as fast."""

SHARED_SIGMA: Final = 2.0
"""Doubt all tiles share, in units of the scatter between like tiles: the clay's expansion."""
LOCAL_SIGMA: Final = 1.0
"""Doubt that nearby glazes share, in the same units."""
REACH: Final = 0.5
"""How far a tile's result speaks for others, as a share of the plan's extent."""
TRUTHS: Final = 512
"""Possible truths that are played through."""
MOST_CANDIDATES: Final = 72
"""A larger plan is thinned evenly to this many tiles before choosing."""
MOST_JUDGED: Final = 36
"""A larger plan is judged by this many of its tiles, evenly spread."""
_SEED: Final = 1


@dataclass(frozen=True, eq=False)
class Belief:
    """What is believed before firing: ``lean`` (n,) and ``covariance`` (n, n) of the tiles' leaning to craze."""

    lean: Array
    covariance: Array

    @cached_property
    def truths(self) -> Array:
        """Possible leans, (TRUTHS, n), fixed."""
        rng = np.random.default_rng(_SEED)
        root = np.linalg.cholesky(self.covariance + 1e-9 * np.eye(len(self.lean)))
        return np.asarray(self.lean + rng.standard_normal((TRUTHS, len(self.lean))) @ root.T)

    @cached_property
    def chances(self) -> Single:
        """Chance that each tile crazes under each possible truth, (TRUTHS, n)."""
        from scipy.special import ndtr

        return np.asarray(np.clip(ndtr(self.truths), 1e-5, 1 - 1e-5), dtype=np.float32)

    @cached_property
    def results(self) -> NDArray[np.bool_]:
        """How each tile came out when each possible truth was played through, (TRUTHS, n)."""
        draws = np.random.default_rng(_SEED + 1).random(self.truths.shape)
        return np.asarray(draws < self.chances)

    @cached_property
    def sides(self) -> Single:
        """One where a tile that is judged by lies on the crazing side in a possible truth, (TRUTHS, j)."""
        judged = _thinned(len(self.lean), MOST_JUDGED)
        return np.asarray(self.truths[:, judged] > 0, dtype=np.float32)

    @property
    def untold(self) -> Single:
        """Weight of every truth (columns) when another is the real one (rows), before any result,
        (TRUTHS, TRUTHS). A truth does not testify for itself."""
        return 1 - np.eye(TRUTHS, dtype=np.float32)

    def told(self, weights: Single, tile: int) -> Single:
        """The weights once ``tile`` came out as it does in the truth of each row."""
        p = self.chances[:, tile]
        likely = weights * np.where(self.results[:, tile][:, None], p, 1 - p)
        return np.asarray(likely / likely.max(axis=1, keepdims=True))

    def believed(self, weights: Single) -> Single:
        """Chance that each tile that is judged by lies on the crazing side, (TRUTHS, j), under these weights."""
        return np.asarray(weights @ self.sides / weights.sum(axis=1, keepdims=True))

    def loss_after(self, weights: Single, tile: int) -> float:
        """Mean squared error (Brier) of the believed sides after one more tile; least for the truest belief."""
        p, craze = self.chances[:, tile], self.results[:, tile]
        believed = np.empty_like(self.sides)
        for rows, likely in ((craze, p), (~craze, 1 - p)):
            both = weights[rows] @ np.column_stack([likely[:, None] * self.sides, likely])
            believed[rows] = both[:, :-1] / both[:, -1:]
        return float(np.mean((believed - self.sides) ** 2))


def belief(crazing: Array, mole_fractions: Array) -> Belief:
    """What is believed of a plan: ``crazing`` (n,) probabilities, ``mole_fractions`` (n, k)."""
    from scipy.special import ndtri

    spread = np.sqrt(1 + SHARED_SIGMA**2 + LOCAL_SIGMA**2)
    lean = spread * ndtri(np.clip(crazing, 1e-4, 1 - 1e-4))
    length = (mole_fractions**2).sum(axis=1)
    square = np.maximum(length[:, None] + length[None, :] - 2 * mole_fractions @ mole_fractions.T, 0.0)
    near = np.exp(-square / (2 * REACH**2 * max(float(square.max()), 1e-12)))
    return Belief(np.asarray(lean), SHARED_SIGMA**2 + LOCAL_SIGMA**2 * near)


def wrong_percent(before: Belief, fired: Sequence[int]) -> float:
    """Share of the plan expected to be guessed on the wrong side of the boundary after firing these tiles [%].

    Of more than twice :data:`MOST_CANDIDATES` tiles that many stand for all.
    """
    weights = before.untold
    for i in _thinned(len(fired), 2 * MOST_CANDIDATES):
        weights = before.told(weights, fired[i])
    return 100 * float(np.mean((before.believed(weights) > 0.5) != (before.sides > 0.5)))


def choose(before: Belief, count: int) -> tuple[int, ...]:
    """The ``count`` tiles that teach most, best first; each is the best to add to those before it."""
    n = len(before.lean)
    candidates = _thinned(n, max(MOST_CANDIDATES, count))
    weights = before.untold
    chosen: list[int] = []
    while len(chosen) < min(count, n):
        _, best = min((before.loss_after(weights, i), i) for i in candidates if i not in chosen)
        weights = before.told(weights, best)
        chosen.append(best)
    return tuple(chosen)


def _thinned(n: int, most: int) -> list[int]:
    return list(range(n)) if n <= most else [round(i * (n - 1) / (most - 1)) for i in range(most)]


def wrong_by_chance(before: Belief, count: int) -> float:
    """The same as :func:`wrong_percent` for as many tiles taken by chance, averaged over 25 draws [%]."""
    rng = np.random.default_rng(_SEED + 2)
    n = len(before.lean)
    drawn = [rng.choice(n, count, replace=False).tolist() for _ in range(25)]
    return float(np.mean([wrong_percent(before, rows) for rows in drawn]))


# What a potter should know of a tile before it is mixed: out of range, dangerous, or sure to fail.


def marks_of(result: CheckResult) -> tuple[str, ...]:
    """Every mark of one tile, in a few words each."""
    does_not_melt = [v.message for v in result.verdicts if v.rule == "melts" and v.answer is Answer.DOES_NOT_FIT]
    # too much of a material; too little of one is what a blend is for
    unusual = [p.message for p in result.problems if p.code == "unusual-amount"]
    return (*_poison(result), *_splinters(result), *does_not_melt, *_unknown_ground(result), *unusual)


def beyond(result: CheckResult) -> bool:
    """Whether one tile is dangerous, or outside what the estimates know."""
    return any(rule(result) for rule in (_unknown_ground, _splinters, _poison))


SPLINTERS_PERCENT = 10.0
"""Chance of shivering from which a tile is marked as dangerous; a caution, so lower than the level of a no."""
_SUBJECTS: Final = {
    **dict.fromkeys(("expansion_on_ware", "expansion_to_setting", "layer_stress", "crazing_probability",
                     "shivering_probability", "expansion"), "expansion and fit"),
    **dict.fromkeys(("transition_temperature", "softening_temperature", "liquidus_temperature", "firing_range",
                     "mature_cone"), "melting"),
    "youngs_modulus": "stiffness",
}  # fmt: skip
"""What an estimate is about, in a word for a mark."""


def _unknown_ground(result: CheckResult) -> list[str]:
    subjects = [_SUBJECTS.get(e.name, e.name.replace("_", " ")) for e in result.estimates if e.extrapolated]
    return [f"outside what the estimates know: {', '.join(dict.fromkeys(subjects))}"] if subjects else []


def _splinters(result: CheckResult) -> list[str]:
    shivering = result.estimate("shivering_probability")
    if shivering is None or 100 * shivering.value < SPLINTERS_PERCENT:
        return []
    how = "as likely as it shivers" if is_known(shivering) else "and nobody knows how likely"
    return [f"DANGER: it may flake off in sharp splinters, {how}; eye protection, and keep it from food"]


def _poison(result: CheckResult) -> list[str]:
    """Lead, cadmium and the like in the batch or the glass; metals that leach are in the cautions of the plan."""
    weight = {} if result.formula is None else result.formula.weight_percent()
    named = [name for oxide, name in POISONS.items() if weight.get(oxide, 0.0) > 0.0]
    return [f"DANGER: holds {' and '.join(named)}; not for a home studio"] if named else []


# Where each tile stands: rows on each shelf, the same rows by which a firing's pieces are counted.

CONE_PLACES: Final = 1
"""Places of a firing kept for witness cones."""
TEST_TILE: Final = Piece(name="test tile", width_mm=50.0, height_mm=80.0, depth_mm=30.0, glazed_area_cm2=45.0)
"""An upright tile with a foot, where the studio names none (common practice)."""


def places(kiln: Kiln | None, tile: Piece, count: int) -> tuple[list[Place], int] | None:
    """A place for each of ``count`` tiles in order, and how many go into one firing beside the cones.

    None where the kiln's inside is not known or no tile goes in.
    """
    if kiln is None or kiln.interior is None:
        return None
    stacked = stack(kiln, tile)
    spots = spots_on_level(kiln.interior, tile)
    levels = 0 if stacked is None else stacked.levels
    everywhere = [(level + 1, i + 1, *spot) for level in range(levels) for i, spot in enumerate(spots)]
    per_firing = len(everywhere) - CONE_PLACES
    if per_firing < 1:
        return None
    # the spot nearest the front of the lowest level is for the witness cones
    everywhere.remove(min(everywhere, key=lambda spot: (spot[0], spot[3], abs(spot[2]))))
    placed = []
    for firing in range(math.ceil(count / per_firing)):
        here = min(per_firing, count - firing * per_firing)
        even = [everywhere[i * per_firing // here] for i in range(here)]
        placed += [Place(firing + 1, *even[i]) for i in _far_apart(here)]
    return placed, per_firing


def _far_apart(count: int) -> list[int]:
    """An order of 0 .. count - 1 in which neighbours are far apart: strides of about the golden section."""
    stride = next(s for s in range(max(round(0.382 * count), 1), count + 2) if math.gcd(s, count) == 1)
    return [i * stride % count for i in range(count)]
