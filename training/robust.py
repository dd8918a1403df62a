"""Robust ridge regression in which a paper that disagrees with the rest, or with itself, counts for less."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from training.data import Array

_MAD: Final = 1.4826
_HUBER: Final = 0.7
"""Residual, in robust standard deviations, from which a record's pull stops growing."""
_ROUNDS: Final = 7
_PAPER_PRIOR: Final = 3.0
"""Records' worth of ordinary scatter that every paper is credited with."""


@dataclass(frozen=True, slots=True, eq=False)
class RobustFit:
    """Coefficients, shape (p,) with the constant first, and the prediction of each row by a fit without its fold."""

    coefficients: Array
    left_out: Array
    weights: Array


def reweight(residual: Array, weight: Array, paper: NDArray[np.int64]) -> Array:
    """Weight of each row after a round: its own Huber weight times its paper's precision; shape (n,)."""
    scale = _MAD * np.median(np.abs(residual)[weight > 0.5 * weight.max()])
    count = np.bincount(paper)
    size = np.minimum(np.abs(residual), 3.0 * scale)
    usual = 0.8 * scale
    per_paper = (np.bincount(paper, size) + _PAPER_PRIOR * usual) / (count + _PAPER_PRIOR)
    precision = (usual / per_paper)[paper]
    own = np.minimum(1.0, _HUBER * scale / np.maximum(np.abs(residual) * precision, 1e-12))
    return np.asarray(weight * own * precision / precision.mean())


def _iterate(
    design: Array, values: Array, weight: Array, paper: NDArray[np.int64], ridge: Array, rounds: int
) -> tuple[Array, Array]:
    """Coefficients (p,) and final weights (n,) after some rounds of reweighting."""
    current = weight
    solved: Array = np.zeros(design.shape[1])
    for _ in range(rounds):
        weighted = design * current[:, None]
        solved = np.asarray(np.linalg.solve(weighted.T @ design + np.diag(ridge), weighted.T @ values), dtype=float)
        current = np.asarray(reweight(values - design @ solved, weight, paper))
    return solved, current


def fit(
    features: Array,
    values: Array,
    weight: Array,
    paper: NDArray[np.int64],
    fold: NDArray[np.int64],
    penalty: float,
) -> RobustFit:
    """Fit ``values`` (n,) on ``features`` (n, p) by iterated reweighting with a ridge ``penalty``.

    Rows of one ``fold`` are predicted by coefficients solved without them.
    """
    middle = np.average(features, axis=0, weights=weight)
    spread = np.sqrt(np.average((features - middle) ** 2, axis=0, weights=weight)) + 1e-12
    design = np.hstack([np.ones((len(values), 1)), (features - middle) / spread])
    ridge = np.full(design.shape[1], penalty * weight.mean())
    ridge[0] = 1e-9
    _, dense = np.unique(paper, return_inverse=True)
    solved, current = _iterate(design, values, weight, dense, ridge, _ROUNDS)
    left_out = np.empty(len(values))
    for k in np.unique(fold):
        rest = fold != k
        _, papers = np.unique(paper[rest], return_inverse=True)
        without, _ = _iterate(design[rest], values[rest], weight[rest], papers, ridge, _ROUNDS)
        left_out[~rest] = design[~rest] @ without
    raw = solved[1:] / spread
    return RobustFit(np.concatenate([[solved[0] - middle @ raw], raw]), left_out, current)
