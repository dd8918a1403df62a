"""How near two glazes must be for their estimates to be off alike: the width of the kernel for tiles of near glazes.

Errors of whole papers left out, in stated deviations (:func:`training.tails.standardised`). Within a paper an error is
what its laboratory adds to all its glasses, what the model misses there, which fades with the distance of the mole
fractions as ``exp(-(d / width)^2)``, and scatter. The three variances and the width are the likeliest; a paper counts
as the root of its glasses; a width with which the errors could have no such spread is none. The width stands in
``glazecalc/jobs/tiled.py``, ``KIN_DISTANCE``.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from training.data import Array

WIDTHS: Final = (0.05, 0.06, 0.075, 0.09, 0.1, 0.12, 0.15)
_FEWEST, _MOST = 3, 60
_LEAST_SCATTER: Final = 0.02

Paper = tuple[Array, Array]
"""Errors (m,) of the glasses of a paper, and half the sums of differences of their mole fractions (m, m)."""


def papers(errors: Array, composition: Array, paper: NDArray[np.int64]) -> list[Paper]:
    """The papers with enough glasses, of the longest the first glasses."""
    found = []
    for name in np.unique(paper):
        rows = np.flatnonzero(paper == name)[:_MOST]
        if len(rows) >= _FEWEST:
            x = composition[rows]
            found.append((errors[rows], 0.5 * np.abs(x[:, None] - x[None]).sum(axis=-1)))
    return found


def _cost(logs: Array, width: float, found: Sequence[Paper]) -> float:
    lab, model, scatter = np.exp(np.clip(logs, -6.0, 4.0))
    total = 0.0
    for errors, apart in found:
        spread = lab + model * np.exp(-((apart / width) ** 2)) + (scatter + _LEAST_SCATTER) * np.eye(len(errors))
        if float(np.linalg.eigvalsh(spread)[0]) <= 0.0:
            return 1e9
        part = 0.5 * (np.linalg.slogdet(spread)[1] + errors @ np.linalg.solve(spread, errors))
        total += part / np.sqrt(len(errors))
    return float(total)


def likeliest(found: Sequence[Paper], widths: Sequence[float] = WIDTHS) -> list[tuple[float, float]]:
    """Each width with what its likelihood lacks of the best [natural logarithm]."""
    costs, at = [], np.log([0.2, 0.5, 0.3])
    for width in widths:
        best = minimize(_cost, at, args=(width, found), method="Nelder-Mead", options={"maxiter": 300})
        at = best.x
        costs.append(float(best.fun))
    return [(width, cost - min(costs)) for width, cost in zip(widths, costs, strict=True)]
