"""A full re-solve: the mixture of at most so many materials that meets the goals and keeps the character nearest.

Amounts are found by :mod:`glazecalc.work.descent` from several fixed starting points. Which materials stay is decided
by dropping, then exchanging, one at a time; the mixtures compared are non-negative least-squares matches of the best
composition so far. No chance enters: the same input gives the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.work.aim import Aim
from glazecalc.work.descent import ROUNDS, Solved, local_best
from glazecalc.work.palette import Palette
from glazecalc.work.sparse import nearest_mix

Array = NDArray[np.float64]

MOST_ROUNDS: Final = 6
TRIAL_ROUNDS: Final = 3
"""How long a trial is followed before it is compared with others."""
PRESENT: Final = 1e-3
"""A material is in a mixture from this share on [fraction of the free total]."""


def best_mix(aim: Aim, starts: Sequence[Array], at_most: int) -> Solved:
    """The best mixture of at most ``at_most`` free materials, from the given starting amounts, each (m,)."""
    best = min((local_best(aim, start) for start in starts), key=lambda s: s.objective)
    best = _dropped(aim, best, at_most)
    for _ in range(MOST_ROUNDS):
        better = _exchanged(aim, best, at_most)
        if better.objective >= best.objective - max(1e-6, 1e-3 * best.objective):
            break
        best = better
    final = _on(aim, _support(aim.palette, best.amounts), best.amounts, best, ROUNDS)
    return min((final, best), key=lambda s: s.objective)


def _support(palette: Palette, amounts: Array) -> NDArray[np.intp]:
    free = palette.free
    return free[amounts[free] > PRESENT * palette.free_total]


def _on(aim: Aim, columns: NDArray[np.intp], start: Array, near: Solved, rounds: int = TRIAL_ROUNDS) -> Solved:
    return local_best(replace(aim, palette=aim.palette.only(columns)), start, near.multiplier, rounds)


def _match(aim: Aim, columns: NDArray[np.intp], wanted: Array) -> Array:
    """Amounts (m,) on ``columns`` whose oxides are nearest to those of the amounts ``wanted`` (m,)."""
    palette = aim.palette
    fixed = np.where(palette.fixed, palette.start, 0.0)
    target = np.maximum((wanted - fixed) @ palette.table.moles, 0.0)
    scale = max(float(target.sum()), 1e-30)
    amounts = fixed.copy()
    amounts[columns] = nearest_mix(palette.table.moles[columns] / scale, target / scale).amounts
    return palette.only(columns).scaled_back(amounts)[0]


def _dropped(aim: Aim, solved: Solved, at_most: int) -> Solved:
    """The solution with the materials that matter least taken out, until no more than allowed are in."""
    support = _support(aim.palette, solved.amounts)
    tidy = _on(aim, support, solved.amounts, solved) if len(support) else solved
    solved = tidy if tidy.objective <= solved.objective * 1.001 + 1e-6 or len(support) > at_most else solved
    while len(support) > max(at_most, 1):
        fewer = [np.delete(support, i) for i in range(len(support))]
        trials = np.stack([_match(aim, columns, solved.amounts) for columns in fewer])
        order = np.argsort(aim.objective(trials), kind="stable")[:3]
        tries = [(_on(aim, fewer[i], trials[i], solved), fewer[i]) for i in order]
        solved, support = min(tries, key=lambda t: t[0].objective)
        support = _support(aim.palette, solved.amounts)
    return solved


def _exchanged(aim: Aim, solved: Solved, at_most: int) -> Solved:
    """The best solution after one material comes in, for another if there are as many as allowed."""
    support = _support(aim.palette, solved.amounts)
    outside = np.setdiff1d(aim.palette.free, support)
    sets = [np.delete(support, i) for i in range(len(support))]
    if len(support) < at_most:
        sets = [support, *sets]
    pairs = [np.sort(np.append(left, j)) for left in sets for j in outside]
    if not pairs:
        return solved
    trials = np.stack([_match(aim, columns, solved.amounts) for columns in pairs])
    order = np.argsort(aim.objective(trials), kind="stable")[:4]
    return min((_on(aim, pairs[i], trials[i], solved) for i in order), key=lambda s: s.objective)
