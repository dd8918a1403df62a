"""A full re-solve: the mixture of at most so many materials that meets the goals and keeps the character nearest.

Amounts are found by :mod:`glazecalc.jobs.descent` from several fixed starting points. Which materials stay is
decided by dropping, then exchanging, one at a time; the mixtures compared are non-negative least-squares
matches of the best composition so far. No chance enters: the same input gives the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.jobs.aim import Aim
from glazecalc.jobs.descent import MOST_STEPS, Solved, Start, descents
from glazecalc.jobs.palette import Palette
from glazecalc.jobs.sparse import nearest_mix
from glazecalc.values.arrays import Array

MOST_ROUNDS: Final = 6
TRIAL_STEPS: Final = 30
"""How long a trial is followed before it is compared with others."""
TRIED: Final = 4
"""How many of the most promising sets of materials are solved."""
FOLLOWED: Final = 2
"""How many of the starting points are followed to the end."""
EAGER: Final = 0.01
"""How little the character counts for one further start, which goes for the goals first."""
PRESENT: Final = 1e-3
"""A material is in a mixture from this share on [fraction of the free total]."""


def best_mix(aim: Aim, starts: Sequence[Array], at_most: int) -> Solved:
    """The best mixture of at most ``at_most`` free materials, from the given starting amounts, each (m,)."""
    eager = Start(starts[0], steps=TRIAL_STEPS, care=EAGER)
    trials = descents(aim, [*(Start(s, steps=TRIAL_STEPS) for s in starts), eager])
    lead, trials = trials[-1], sorted(trials[:-1], key=lambda s: s.objective)
    followed = descents(aim, [*(Start(s.amounts) for s in trials[:FOLLOWED]), Start(lead.amounts)])
    best = _dropped(aim, min((*followed, trials[0]), key=lambda s: s.objective), at_most)
    for _ in range(MOST_ROUNDS):
        better = _exchanged(aim, best, at_most)
        if better.objective >= best.objective - max(1e-6, 1e-3 * best.objective):
            break
        best = better
    final = _on(aim, [_support(aim.palette, best.amounts)], [best.amounts], MOST_STEPS)[0]
    return min((final, best), key=lambda s: s.objective)


def _support(palette: Palette, amounts: Array) -> NDArray[np.intp]:
    free = palette.free
    return free[amounts[free] > PRESENT * palette.free_total]


def _on(aim: Aim, sets: Sequence[NDArray[np.intp]], starts: Sequence[Array], steps: int = TRIAL_STEPS) -> list[Solved]:
    """The best amounts on each set of columns, walked together."""
    pairs = zip(sets, starts, strict=True)
    return descents(aim, [Start(amounts, columns, steps) for columns, amounts in pairs])


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
    tidy = _on(aim, [support], [solved.amounts])[0]
    if len(support) > at_most or tidy.objective <= solved.objective * 1.001 + 1e-6:
        solved = tidy
    while len(support) > max(at_most, 1):
        fewer = [np.delete(support, i) for i in range(len(support))]
        trials = np.stack([_match(aim, columns, solved.amounts) for columns in fewer])
        order = np.argsort(aim.objective(trials), kind="stable")[:TRIED]
        tries = _on(aim, [fewer[i] for i in order], [trials[i] for i in order])
        solved = min(tries, key=lambda s: s.objective)
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
    order = np.argsort(aim.objective(trials), kind="stable")[:TRIED]
    return min(_on(aim, [pairs[i] for i in order], [trials[i] for i in order]), key=lambda s: s.objective)
