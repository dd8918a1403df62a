"""Amounts rounded to what can be weighed, the total kept: largest remainders, for one batch or many thousands."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.values.arrays import Array

NICE_STEPS: Final = (1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
"""Steps a recipe is written in [parts per 100 of base], coarsest first."""
TEST_BATCH_G: Final = 100.0
"""Smallest batch that changed recipes are meant to be weighed for [g]."""


def finest_step(resolution_g: float | None) -> float:
    """The finest step [parts per 100] that shows on a scale of ``resolution_g`` in a 100 g test batch.

    >>> finest_step(0.1), finest_step(1.0), finest_step(None)
    (0.1, 1.0, 0.1)
    """
    wanted = 0.1 if resolution_g is None else resolution_g * 100.0 / TEST_BATCH_G
    return next((s for s in reversed(NICE_STEPS) if s >= wanted * (1 - 1e-9)), NICE_STEPS[0])


def steps_for(resolution_g: float | None, base_total: float = 100.0) -> tuple[float, ...]:
    """Steps to try [the card's parts], coarsest first, none finer than the scale shows."""
    finest = finest_step(resolution_g)
    return tuple(s * base_total / 100.0 for s in NICE_STEPS if s >= finest * (1 - 1e-9))


def rounded_to(amounts: Array, step: float, fixed: NDArray[np.bool_] | None = None) -> Array:
    """Rows of amounts as whole steps, each row's total kept, nothing below zero.

    ``amounts`` (n, m); the columns marked in ``fixed`` (m,) stay as they are. Largest remainders get the steps that
    rounding down left over; what is less than a step stays on the row's largest line. A zero stays zero.
    """
    amounts = np.atleast_2d(np.asarray(amounts, dtype=float))
    free = np.ones(amounts.shape[1], dtype=bool) if fixed is None else ~fixed
    part = np.where(free, amounts, 0.0)
    whole = np.floor(part / step + 1e-9)
    remainder = np.where(part > 0, part / step - whole, -1.0)
    left = (part.sum(axis=1) - whole.sum(axis=1) * step) / step
    count = np.clip(np.floor(left + 1e-6), 0, None).astype(int)
    rank = np.argsort(np.argsort(-remainder, axis=1, kind="stable"), axis=1, kind="stable")
    whole += (rank < count[:, None]) & (part > 0)
    result = np.where(free, whole * step, amounts)
    rest = amounts.sum(axis=1) - result.sum(axis=1)
    biggest = np.argmax(np.where(free, result, -1.0), axis=1)
    result[np.arange(len(result)), biggest] += rest
    return np.where(np.abs(result) < 1e-12, 0.0, result)
