"""A solved recipe made one that can be weighed: the coarsest steps that still meet the goals, checked again."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

import numpy as np

from glazecalc.jobs.aim import Aim
from glazecalc.values.arrays import Array

WORTH_A_COARSER_STEP = 0.05
"""Rounder numbers may cost this share of the character cost more, and 0.02 squared steps."""


def weighed(aim: Aim, amounts: Array, steps: Sequence[float]) -> tuple[Array, float, bool]:
    """``amounts`` (m,) in the coarsest of ``steps`` [the card's parts, coarsest first] that keeps what was won.

    Returns the rounded amounts, their objective, and whether they meet the goals. Where plain rounding loses a goal,
    steps are moved between two or three materials until it is met again, if that can be.
    """
    amounts = _with_whole_lines(aim, amounts, steps[-1])
    (exact,), (meets,) = aim.judged(amounts[None, :])
    allowed_cost = exact * (1 + WORTH_A_COARSER_STEP) + 0.02
    best: tuple[Array, float, bool] | None = None
    for step in steps:
        found = _nearby(aim, amounts, step)
        if found is None:
            continue
        if found[1] <= allowed_cost and (found[2] or not meets):
            return found
        if best is None or found[1] < best[1]:
            best = found
    return (amounts, float(exact), False) if best is None else best


def _with_whole_lines(aim: Aim, amounts: Array, step: float) -> Array:
    """``amounts`` (m,) without the lines that the finest step rounds to nothing, their share given to the others."""
    palette = aim.palette
    while True:
        rounded = palette.rounded(amounts, step)[0]
        lost = (amounts > 0) & (rounded <= 0) & ~palette.fixed
        kept = np.flatnonzero((amounts > 0) & ~lost & ~palette.fixed)
        if not lost.any() or not palette.summed[kept].any():
            return amounts
        amounts = palette.only(kept).scaled_back(amounts)[0]


def _nearby(aim: Aim, amounts: Array, step: float) -> tuple[Array, float, bool] | None:
    """The best recipe in whole steps around ``amounts``: plain rounding, then steps moved between materials."""
    palette = aim.palette
    plain = palette.rounded(amounts, step)
    present = np.flatnonzero((amounts > 0) & ~palette.fixed)
    if (plain[0, present] <= 0).any():
        return None
    rows = [plain[0]]
    for i, j in permutations(present, 2):
        for k in (1, 2, 3):
            row = plain[0].copy()
            row[i] += k * step
            row[j] -= k * step
            rows.append(row)
    tried = np.stack(rows)
    loose = palette.addition[present].any()
    ok = (tried[:, present] > step / 2).all(axis=1) & palette.allowed(tried)
    if loose:
        ok &= np.isclose(tried[:, palette.summed].sum(axis=1), palette.free_total)
    if not ok.any():
        return None
    tried = tried[ok]
    objective, met = aim.judged(tried)
    best = int(np.argmin(objective))
    return tried[best], float(objective[best]), bool(met[best])
