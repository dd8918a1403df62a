"""Which tiles of a plan tell most about where crazing begins, instead of firing them all.

How strongly a tile leans to crazing is a number in units of the scatter between like tiles. Before firing it is known
as far as the models say, with an error all tiles share (the clay) and one that nearby glazes share (the model). Many
possible truths are drawn from that belief, the firing of each is played through, and tiles are taken one by one so
that the sides of the boundary are guessed best afterwards, over the whole plan. The draws are fixed: the same plan
gives the same tiles.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
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


@dataclass(frozen=True)
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
        found = weights * np.where(self.results[:, tile][:, None], p[None, :], 1 - p[None, :])
        return np.asarray(found / found.max(axis=1, keepdims=True))

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


def wrong_by_chance(before: Belief, count: int, draws: int = 25) -> float:
    """The same as :func:`wrong_percent` for as many tiles taken by chance, averaged over ``draws`` [%]."""
    rng = np.random.default_rng(_SEED + 2)
    n = len(before.lean)
    drawn = [rng.choice(n, count, replace=False).tolist() for _ in range(draws)]
    return float(np.mean([wrong_percent(before, rows) for rows in drawn]))
