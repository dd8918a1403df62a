"""The nearest best amounts of given materials, by sequential quadratic programming (SLSQP, scipy).

Goals are constraints. Where no amounts meet them all, each gets a slack at the price of a missed goal, so that a recipe
that cannot meet them still gives its nearest. Derivatives are differences, of all columns by one call of the array
models.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.jobs.aim import PRICE_OF_A_MISS, Aim
from glazecalc.jobs.sparse import solver_problem
from glazecalc.values.answers import ProblemsError
from glazecalc.values.arrays import Array

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


@dataclass(frozen=True, slots=True)
class Start:
    """Where a descent starts: amounts (m,), the columns that may move (all free ones if None), and its patience.

    ``steps`` bounds the steps of the solver; ``care`` is how much the character counts against the goals (1 as in the
    objective).
    """

    amounts: Array
    columns: NDArray[np.intp] | None = None
    steps: int = MOST_STEPS
    care: float = 1.0


@dataclass(frozen=True, slots=True)
class Solved:
    """Amounts (m,) and their objective."""

    amounts: Array
    objective: float


@dataclass(frozen=True, slots=True)
class _Local:
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
        self.asked = np.array([aim.goals.fit, aim.goals.melt])
        self.origin = palette.only(self.columns).scaled_back(start.amounts)[0]
        self._last: tuple[bytes, _Local] | None = None

    def amounts(self, shares: Array) -> Array:
        """Rows of amounts (p, m) [the card's parts] of rows of shares (p, n)."""
        rows = np.tile(self.base, (len(shares), 1))
        rows[:, self.columns] = shares * self.total
        return rows

    def at(self, shares: Array) -> _Local:
        """What is asked at a point, by one call of the models; the last point is kept.

        Raises
        ------
        ProblemsError
            if a model gives no number.
        """
        key = shares.tobytes()
        if self._last is None or self._last[0] != key:
            self._last = key, self._found(shares)
        return self._last[1]

    def _found(self, shares: Array) -> _Local:
        points = np.vstack([shares, shares + STEP * np.eye(len(shares))])
        residuals, margins = self.aim.parts(self.amounts(points))
        plain, margins = self.care * residuals, margins[:, self.asked]
        if not (np.isfinite(plain).all() and np.isfinite(margins).all()):
            raise ProblemsError([solver_problem("a model gave no number for a mixture")])
        slopes = (plain[1:] - plain[0]) / STEP
        return _Local(
            float(plain[0] @ plain[0]) / UNIT, 2.0 * slopes @ plain[0] / UNIT,
            margins[0] - SLACK, ((margins[1:] - margins[0]) / STEP).T,
        )  # fmt: skip


def descents(aim: Aim, starts: Sequence[Start]) -> list[Solved]:
    """The best amounts near each start, in the order of the starts.

    Raises
    ------
    ProblemsError
        if a model gives no number for a mixture.
    """
    problems = [_Problem(aim, start) for start in starts]
    rows = []
    for problem, start in zip(problems, starts, strict=True):
        ended = problem.amounts(_minimum(problem, start.steps)[None, :])
        rows.append(aim.palette.only(problem.columns).scaled_back(np.vstack([ended, problem.origin])))
    amounts = np.vstack(rows)
    objective = np.where(aim.palette.allowed(amounts), aim.objective(amounts), np.inf)
    best = [2 * i + int(objective[2 * i + 1] < objective[2 * i]) for i in range(len(starts))]
    return [Solved(amounts[i], float(objective[i])) for i in best]


def _minimum(problem: _Problem, steps: int) -> Array:
    """Shares (n,) with the goals held, or, where that fails, with slack at its price."""
    begin = np.minimum(problem.origin[problem.columns] / problem.total, problem.upper)
    goals = int(problem.asked.sum())
    found = _solved(problem, begin, 0, steps)
    if not goals or bool((problem.at(found).margins >= -SLACK / 2).all()):
        return found
    return _solved(problem, begin, goals, steps)


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
    price = np.full(slacks, PRICE_OF_A_MISS / UNIT)
    ease = np.vstack([np.zeros((0, slacks)), np.eye(slacks)])
    constraints: list[dict[str, Any]] = []
    if problem.asked.any():
        constraints.append({
            "type": "ineq",
            "fun": lambda x: problem.at(x[:n]).margins + (x[n:] if slacks else 0.0),
            "jac": lambda x: np.hstack([problem.at(x[:n]).margin_slopes, ease]) if slacks
            else problem.at(x[:n]).margin_slopes,
        })  # fmt: skip
    if problem.summed.any():
        row = np.concatenate([problem.summed, np.zeros(slacks)])
        constraints.append({"type": "eq", "fun": lambda x: row @ x - 1.0, "jac": lambda x: row})
    missed = np.maximum(-problem.at(begin).margins, 0.0) if slacks else np.zeros(0)
    watched = _Watched(problem, n, price, steps)
    try:
        found = minimize(
        watched,
        np.concatenate([begin, missed]),
        jac=lambda x: np.concatenate([problem.at(x[:n]).cost_slopes, price]),
        bounds=Bounds(np.zeros(n + slacks), np.concatenate([problem.upper, np.full(slacks, np.inf)])),
        constraints=constraints, method="SLSQP", options={"maxiter": steps, "ftol": SETTLED},
        )  # fmt: skip
    except _Enough:
        return watched.shares
    return np.asarray(np.clip(found.x[:n], 0.0, problem.upper))
