"""Which tiles of a plan tell most about where crazing begins, instead of firing them all.

How strongly a tile leans to crazing is taken as a number with a normal doubt about it: the model's own lean, plus an
error all tiles share (the clay), plus an error that nearby glazes share (the model). A tile that may come out either
way tells most (its Fisher information under the probit); what it tells spreads to its neighbours. Tiles are taken one
by one so that the doubt left over the plan, weighted toward the predicted boundary, shrinks most. No chance is
involved: the same plan gives the same tiles.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.normal import normal_cdf

Array = NDArray[np.float64]

SHARED_SIGMA: Final = 1.0
"""Doubt all tiles share, in units of the lean [standard deviations]: the clay's expansion."""
LOCAL_SIGMA: Final = 0.7
"""Doubt that nearby glazes share, in the same units."""
REACH: Final = 0.5
"""How far a tile's result speaks for others, as a share of the plan's extent."""
FLOOR: Final = 0.15
"""Least weight of a tile far from the boundary, so that the formula space is covered too."""
_RANDOM_DRAWS: Final = 200


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is not known before firing: ``lean`` (n,) and ``covariance`` (n, n) of the tiles' leaning to craze."""

    lean: Array
    covariance: Array

    @property
    def weight(self) -> Array:
        """How much each tile's doubt matters, (n,): most where crazing and soundness are equally likely."""
        p = normal_cdf(self.lean / np.sqrt(1 + np.diag(self.covariance)))
        return FLOOR + 4 * p * (1 - p)

    @property
    def noise(self) -> Array:
        """Variance that the result of a tile stands for, (n,): one over its information under the probit."""
        spread = np.sqrt(1 + np.diag(self.covariance))
        p = np.clip(normal_cdf(self.lean / spread), 1e-4, 1 - 1e-4)
        height = np.exp(-(_quantile(p) ** 2) / 2) / np.sqrt(2 * np.pi)
        return np.asarray(p * (1 - p) / height**2)


def _quantile(p: Array) -> Array:
    """Inverse of the normal distribution."""
    from scipy.special import ndtri

    return np.asarray(ndtri(p))


def doubt(crazing: Array, mole_fractions: Array) -> Doubt:
    """The doubt about a plan: ``crazing`` (n,) probabilities, ``mole_fractions`` (n, k)."""
    spread = np.sqrt(1 + SHARED_SIGMA**2 + LOCAL_SIGMA**2)
    lean = spread * _quantile(np.clip(crazing, 1e-4, 1 - 1e-4))
    length = (mole_fractions**2).sum(axis=1)
    square = np.maximum(length[:, None] + length[None, :] - 2 * mole_fractions @ mole_fractions.T, 0.0)
    extent = max(float(square.max()), 1e-12)
    near = np.exp(-square / (2 * REACH**2 * extent))
    return Doubt(lean, SHARED_SIGMA**2 + LOCAL_SIGMA**2 * near)


def choose(before: Doubt, count: int) -> tuple[int, ...]:
    """The ``count`` tiles that leave least doubt, best first; ties go to the earlier tile."""
    covariance, weight, noise = before.covariance.copy(), before.weight, before.noise
    free = np.ones(len(weight), dtype=bool)
    chosen: list[int] = []
    for _ in range(min(count, len(weight))):
        gain = (covariance**2) @ weight / (np.diag(covariance) + noise)
        best = int(np.argmax(np.where(free, np.round(gain, 12), -1.0)))
        chosen.append(best)
        free[best] = False
        covariance = covariance - np.outer(covariance[best], covariance[best]) / (covariance[best, best] + noise[best])
    return tuple(chosen)


def doubt_left(before: Doubt, fired: Sequence[int]) -> float:
    """Weighted doubt over the whole plan once these tiles are fired."""
    rows = list(fired)
    among = before.covariance[np.ix_(rows, rows)] + np.diag(before.noise[rows])
    across = before.covariance[rows]
    left = np.diag(before.covariance) - np.einsum("ij,ij->j", across, np.linalg.solve(among, across))
    return float(left @ before.weight)


def learnt_percent(before: Doubt, fired: Sequence[int]) -> float:
    """Doubt these tiles are expected to remove, as a share of what the whole plan would [%]."""
    start = float(np.diag(before.covariance) @ before.weight)
    everything = start - doubt_left(before, range(len(before.lean)))
    return 100 * (start - doubt_left(before, fired)) / everything if everything > 0 else 100.0


def random_percent(before: Doubt, count: int, draws: int = _RANDOM_DRAWS, seed: int = 0) -> float:
    """The same for as many tiles taken by chance, averaged over ``draws`` [%]."""
    rng = np.random.default_rng(seed)
    n = len(before.lean)
    draw = [rng.choice(n, count, replace=False).tolist() for _ in range(draws)]
    return float(np.mean([learnt_percent(before, rows) for rows in draw]))
