"""A full re-solve: the mixture of at most so many materials that meets the goals and keeps the character nearest.

Amounts are found by :func:`descents` from several fixed starting points. Which materials stay is
decided by dropping, then exchanging, one at a time; the mixtures compared are non-negative least-squares
matches of the best composition so far. No chance enters: the same input gives the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from glazecalc.jobs.aim import PRICE_OF_A_MISS, Aim, about_as_good
from glazecalc.jobs.palette import Palette
from glazecalc.jobs.sparse import nearest_mix, solver_problem
from glazecalc.values.answers import ProblemsError
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
    final = descents(aim, [Start(best.amounts, _support(aim.palette, best.amounts))])
    return min((*final, best), key=lambda s: s.objective)


def _support(palette: Palette, amounts: Array) -> NDArray[np.intp]:
    free = palette.free
    return free[amounts[free] > PRESENT * palette.free_total]


def _best_set(aim: Aim, sets: Sequence[NDArray[np.intp]], wanted: Array) -> Solved:
    """The best on any of the sets of columns, of which those are solved that match the amounts ``wanted`` (m,) best."""
    trials = np.stack([_match(aim, columns, wanted) for columns in sets])
    order = np.argsort(aim.objective(trials), kind="stable")[:TRIED]
    tries = descents(aim, [Start(trials[i], sets[i], TRIAL_STEPS) for i in order])
    return min(tries, key=lambda s: s.objective)


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
    tidy = descents(aim, [Start(solved.amounts, support, TRIAL_STEPS)])[0]
    if len(support) > at_most or tidy.objective <= solved.objective * 1.001 + 1e-6:
        solved = tidy
    while len(support) > max(at_most, 1):
        solved = _best_set(aim, [np.delete(support, i) for i in range(len(support))], solved.amounts)
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
    return _best_set(aim, pairs, solved.amounts) if pairs else solved


# The nearest best amounts of given materials, by sequential quadratic programming (SLSQP, scipy).
#
# Goals are constraints. Where no amounts meet them all, each gets a slack at the price of a missed goal, so that a
# recipe that cannot meet them still gives its nearest. Derivatives are differences, of all columns by one call of the
# array models.

STEP: Final = 1e-5
"""Difference for derivatives [fraction of the free total]."""
MOST_STEPS: Final = 100
SLACK: Final = 2e-4
"""Goals are met by this much more than asked [log-odds], so that rounding errors do not undo them."""
SETTLED: Final = 1e-6
"""The search ends when a step changes the objective, or breaks the constraints, by less than this [scaled]."""
LOOKS_PER_STEP: Final = 2
"""The models are asked at most this often for each step allowed; a search that needs more walks along a kink."""
PATIENCE: Final = 15
"""The search ends after this many looks in a row that bettered the best by less than ``WORTH`` of it."""
WORTH: Final = 2e-3
UNIT: Final = 10.0
"""The objective is brought to this many squared noticeable steps for the solver, which likes numbers near one."""


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """Where a descent starts: amounts (m,), the columns that may move (all free ones if None), and its patience.

    ``steps`` bounds the steps of the solver; ``care`` is how much the character counts against the goals (1 as in the
    objective).
    """

    amounts: Array
    columns: NDArray[np.intp] | None = None
    steps: int = MOST_STEPS
    care: float = 1.0


class Solved(NamedTuple):
    """Amounts (m,), their objective, and whether they meet the goals, as far as that was asked."""

    amounts: Array
    objective: float
    met: bool = False


class _Local(NamedTuple):
    """At a point: the cost and its slopes (n,), the margins of the goals (g,) and their slopes (g, n)."""

    cost: float
    cost_slopes: Array
    margins: Array
    margin_slopes: Array


class _Problem:
    """One descent: cost and goal margins as functions of the shares x (n,) of its columns."""

    def __init__(self, aim: Aim, start: Start) -> None:
        palette = aim.palette
        self.aim, self.care = aim, start.care
        self.columns = palette.free if start.columns is None else start.columns
        self.total = palette.free_total or palette.base_total
        self.base = np.where(palette.fixed, palette.start, 0.0)
        self.summed = palette.summed[self.columns].astype(float)
        self.upper = palette.upper[self.columns] / self.total
        self.goals = int(aim.goals.fit) + int(aim.goals.melt)
        self.origin = palette.only(self.columns).scaled_back(start.amounts)[0]
        self._last: tuple[bytes, _Local] | None = None

    def amounts(self, shares: Array) -> Array:
        """Rows of amounts (p, m) [the card's parts] of rows of shares (p, n)."""
        rows = np.tile(self.base, (len(shares), 1))
        rows[:, self.columns] = shares * self.total
        return rows

    def at(self, shares: Array) -> _Local:
        """What is asked at a point, by one call of the models; the last point is kept.

        Raises ProblemsError if a model gives no number.
        """
        key = shares.tobytes()
        if self._last is not None and self._last[0] == key:
            return self._last[1]
        points = np.vstack([shares, shares + STEP * np.eye(len(shares))])
        residuals, margins = self.aim.parts(self.amounts(points))
        plain = self.care * residuals
        if not (np.isfinite(plain).all() and np.isfinite(margins).all()):
            raise ProblemsError([solver_problem("a model gave no number for a mixture")])
        slopes = (plain[1:] - plain[0]) / STEP
        here = _Local(
            float(plain[0] @ plain[0]) / UNIT, 2.0 * slopes @ plain[0] / UNIT,
            margins[0] - SLACK, ((margins[1:] - margins[0]) / STEP).T,
        )  # fmt: skip
        self._last = key, here
        return here


def descents(aim: Aim, starts: Sequence[Start]) -> list[Solved]:
    """The best amounts near each start, in the order of the starts.

    Raises ProblemsError if a model gives no number for a mixture.
    """
    rows = []
    for start in starts:
        problem = _Problem(aim, start)
        ended = problem.amounts(_shares_reached(problem, start.steps)[None, :])
        rows.append(aim.palette.only(problem.columns).scaled_back(np.vstack([ended, problem.origin])))
    amounts = np.vstack(rows)
    objective = np.where(aim.palette.allowed(amounts), aim.objective(amounts), np.inf)
    best = 2 * np.arange(len(starts)) + np.argmin(objective.reshape(-1, 2), axis=1)
    return [Solved(amounts[i], float(objective[i])) for i in best]


def _shares_reached(problem: _Problem, steps: int) -> Array:
    """Shares (n,) with the goals held, or, where that fails, with slack at its price."""
    begin = np.minimum(problem.origin[problem.columns] / problem.total, problem.upper)
    shares = _solved(problem, begin, 0, steps)
    if bool((problem.at(shares).margins >= -SLACK / 2).all()):
        return shares
    return _solved(problem, begin, problem.goals, steps)


class _Enough(Exception):
    """Ends a search from within; the best it saw stands."""


class _Watched:
    """The cost of a problem as SLSQP asks for it, and the best shares (n,) seen, a missed goal at its price."""

    def __init__(self, problem: _Problem, n: int, price: Array, steps: int) -> None:
        self.problem, self.n, self.price = problem, n, price
        self.left, self.idle = LOOKS_PER_STEP * steps, 0
        self.best, self.shares = np.inf, np.zeros(n)

    def __call__(self, unknowns: Array) -> float:
        shares = np.clip(unknowns[: self.n], 0.0, self.problem.upper)
        here = self.problem.at(unknowns[: self.n])
        missed = float(np.maximum(-here.margins, 0.0).sum()) * PRICE_OF_A_MISS / UNIT
        reached = here.cost + missed
        self.idle = 0 if reached < self.best * (1.0 - WORTH) else self.idle + 1
        if reached < self.best:
            self.best, self.shares = reached, shares
        self.left -= 1
        if self.left <= 0 or self.idle > PATIENCE:
            raise _Enough
        return here.cost + float(self.price @ unknowns[self.n :])


def _solved(problem: _Problem, begin: Array, slacks: int, steps: int) -> Array:
    """Shares (n,) where SLSQP ends, or the best it saw where it comes to no end, from ``begin``; the last ``slacks``
    unknowns ease the goals."""
    from scipy.optimize import Bounds, minimize

    n = len(begin)
    price, ease = np.full(slacks, PRICE_OF_A_MISS / UNIT), np.eye(problem.goals)[:, :slacks]
    constraints: list[dict[str, Any]] = []
    if problem.goals:
        constraints.append({
            "type": "ineq",
            "fun": lambda x: problem.at(x[:n]).margins + ease @ x[n:],
            "jac": lambda x: np.hstack([problem.at(x[:n]).margin_slopes, ease]),
        })  # fmt: skip
    if problem.summed.any():
        row = np.concatenate([problem.summed, np.zeros(slacks)])
        constraints.append({"type": "eq", "fun": lambda x: row @ x - 1.0, "jac": lambda x: row})
    missed = np.maximum(-problem.at(begin).margins, 0.0)[:slacks]
    watched = _Watched(problem, n, price, steps)
    try:
        solved = minimize(
            watched, np.concatenate([begin, missed]), method="SLSQP",
            jac=lambda x: np.concatenate([problem.at(x[:n]).cost_slopes, price]),
            bounds=Bounds(np.zeros(n + slacks), np.concatenate([problem.upper, np.full(slacks, np.inf)])),
            constraints=constraints, options={"maxiter": steps, "ftol": SETTLED},
        )  # fmt: skip
    except _Enough:
        return watched.shares
    return np.asarray(np.clip(solved.x[:n], 0.0, problem.upper))


# A solved recipe made one that can be weighed: the coarsest steps that still meet the goals, checked again.


def weighed(aim: Aim, amounts: Array, steps: Sequence[float]) -> Solved:
    """``amounts`` (m,) in the coarsest of ``steps`` [the card's parts, coarsest first] that keeps what was won.

    Where plain rounding loses a goal, steps are moved between two materials until it is met again, if that can be.
    """
    amounts = _with_whole_lines(aim, amounts, steps[-1])
    (exact,), (meets,) = aim.judged(amounts[None, :])
    tried = []
    for step in steps:
        near = _nearby(aim, amounts, step)
        if near is not None and about_as_good(near.objective, exact) and (near.met or not meets):
            return near
        tried += [] if near is None else [near]
    return min(tried, key=lambda near: near.objective, default=Solved(amounts, float(exact)))


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


def _nearby(aim: Aim, amounts: Array, step: float) -> Solved | None:
    """The best recipe in whole steps around ``amounts``: plain rounding, then steps moved between materials."""
    palette = aim.palette
    plain = palette.rounded(amounts, step)
    present = np.flatnonzero((amounts > 0) & ~palette.fixed)
    if (plain[0, present] <= 0).any():
        return None
    unit = np.eye(len(amounts))
    moves = [k * step * (unit[i] - unit[j]) for i, j in permutations(present, 2) for k in (1, 2, 3)]
    tried = np.vstack([plain, *(plain + move for move in moves)])
    ok = (tried[:, present] > step / 2).all(axis=1) & palette.allowed(tried)
    if palette.addition[present].any():
        ok &= np.isclose(tried[:, palette.summed].sum(axis=1), palette.free_total)
    tried = tried[ok]
    if not len(tried):
        return None
    objective, met = aim.judged(tried)
    best = int(np.argmin(objective))
    return Solved(tried[best], float(objective[best]), bool(met[best]))
