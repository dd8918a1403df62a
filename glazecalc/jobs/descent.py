"""The nearest best amounts of given materials: damped Gauss-Newton steps that never leave the non-negative side.

The cost is a sum of squares, so each step is a linear least-squares problem with non-negative unknowns (Lawson and
Hanson's NNLS through scipy), damped as by Levenberg and Marquardt. Goals enter by augmented Lagrangian hinges: their
multipliers grow until the goals hold, and no further than the price of a missed goal, so that a recipe that cannot
meet them still gives its nearest. Derivatives are differences; several descents go side by side, so that one call of
the array models serves a step of all of them.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.jobs.aim import PRICE_OF_A_MISS, Aim
from glazecalc.jobs.sparse import solver_problem
from glazecalc.values.answers import ProblemsError

Array = NDArray[np.float64]
Asking = Generator[Array, tuple[Array, Array], "Found"]
"""A descent: yields rows of amounts (p, m), is sent their residuals (p, r) and margins (p, 2)."""

STEP: Final = 1e-5
"""Difference for derivatives [fraction of the free total]."""
ROUNDS: Final = 12
STEPS_A_ROUND: Final = 20
SLACK: Final = 2e-4
"""Goals are met by this much more than asked [log-odds], so that rounding errors do not undo them."""
_PIN: Final = 300.0
_SETTLED: Final = 1e-5


@dataclass(frozen=True, slots=True)
class Start:
    """Where a descent starts: amounts (m,), the columns that may move, and what shortens the way.

    ``multiplier`` (g,) is that of a neighbouring solution; ``rounds`` bounds how often it is raised; ``care`` is how
    much the character counts against the goals (1 as in the objective).
    """

    amounts: Array
    columns: NDArray[np.intp] | None = None
    multiplier: Array | None = None
    rounds: int = ROUNDS
    care: float = 1.0


@dataclass(frozen=True, slots=True)
class Found:
    """Shares (n,) where a descent ended, what its goals pulled with, and whether it settled."""

    shares: Array
    multiplier: Array
    settled: bool


@dataclass(frozen=True, slots=True)
class Solved:
    """Amounts (m,), their objective, and whether the descent settled before its steps ran out.

    ``multiplier`` (g,) is what the goals pulled with, kept to start a neighbouring descent from.
    """

    amounts: Array
    objective: float
    settled: bool
    multiplier: Array


class _Problem:
    """One descent: residuals and goal margins as functions of the shares x (n,) of its columns."""

    def __init__(self, aim: Aim, start: Start) -> None:
        palette = aim.palette
        self.columns = palette.free if start.columns is None else start.columns
        self.total = palette.free_total or palette.base_total
        self.base = np.where(palette.fixed, palette.start, 0.0)
        self.summed = palette.summed[self.columns]
        self.upper = palette.upper[self.columns] / self.total
        self.asked = np.array([aim.goals.fit, aim.goals.melt])
        self.care, self.weight = start.care, 20.0
        goals = int(self.asked.sum())
        self.multiplier = np.zeros(goals) if start.multiplier is None else start.multiplier.copy()
        self.origin = palette.only(self.columns).scaled_back(start.amounts)[0]

    def amounts(self, shares: Array) -> Array:
        """Rows of amounts (p, m) [the card's parts] of rows of shares (p, n)."""
        rows = np.tile(self.base, (len(shares), 1))
        rows[:, self.columns] = shares * self.total
        return rows

    def around(self, shares: Array) -> Array:
        """A point and its neighbours, one a column, as rows of amounts (n + 1, m)."""
        return self.amounts(np.vstack([shares, shares + STEP * np.eye(len(shares))]))

    def linearised(self, shares: Array, answer: tuple[Array, Array]) -> tuple[float, Array, Array, Array]:
        """Sum of squares of all residuals, the residuals (r,), their slopes (r, n) and the margins (g,) at a point."""
        plain, margins = self.care * answer[0], answer[1][:, self.asked]
        points = np.vstack([shares, shares + STEP * np.eye(len(shares))])
        pin = _PIN * (points[:, self.summed].sum(axis=1, keepdims=True) - 1.0)
        residuals = np.hstack([plain, pin, self.hinges(margins)])
        return float(residuals[0] @ residuals[0]), residuals[0], ((residuals[1:] - residuals[0]) / STEP).T, margins[0]

    def hinges(self, margins: Array) -> Array:
        """Residuals (p, g) that push missed goals."""
        missed = SLACK - margins + self.multiplier / (2 * self.weight)
        return np.asarray(np.sqrt(self.weight) * np.maximum(missed, 0.0))


def descents(aim: Aim, starts: Sequence[Start]) -> list[Solved]:
    """The best amounts near each start, in the order of the starts; all of them walk together.

    Raises
    ------
    ProblemsError
        if the solver of the steps fails.
    """
    problems = [_Problem(aim, start) for start in starts]
    walks = {i: _walk(problem, start.rounds) for i, (problem, start) in enumerate(zip(problems, starts, strict=True))}
    asked = {i: next(walk) for i, walk in walks.items()}
    ends: dict[int, Found] = {}
    while asked:
        answers = _answered(aim, asked)
        asked = {}
        for i, answer in answers.items():
            try:
                asked[i] = walks[i].send(answer)
            except StopIteration as stop:
                ends[i] = stop.value
    return _judged(aim, problems, [ends[i] for i in range(len(starts))])


def _answered(aim: Aim, asked: dict[int, Array]) -> dict[int, tuple[Array, Array]]:
    """Residuals and margins of everything asked, by one call of the models."""
    rows = np.vstack(list(asked.values()))
    residuals, margins = aim.parts(rows)
    answers, at = {}, 0
    for i, part in asked.items():
        answers[i] = (residuals[at : at + len(part)], margins[at : at + len(part)])
        at += len(part)
    return answers


def _judged(aim: Aim, problems: Sequence[_Problem], ends: Sequence[Found]) -> list[Solved]:
    """Where each descent ended, or where it began if that is better, with the true objective."""
    pairs = [np.vstack([p.amounts(e.shares[None, :]), p.origin]) for p, e in zip(problems, ends, strict=True)]
    rows = np.vstack([aim.palette.only(p.columns).scaled_back(r) for p, r in zip(problems, pairs, strict=True)])
    objective = np.where(aim.palette.allowed(rows), aim.objective(rows), np.inf)
    solved = []
    for i, end in enumerate(ends):
        best = 2 * i + int(objective[2 * i + 1] < objective[2 * i])
        solved.append(Solved(rows[best], float(objective[best]), end.settled, end.multiplier))
    return solved


def _walk(problem: _Problem, rounds: int) -> Asking:
    """Rounds of descent with the multipliers raised between them."""
    shares = np.minimum(problem.origin[problem.columns] / problem.total, problem.upper)
    settled = True
    for _ in range(rounds):
        shares, margins, settled = yield from _descend(problem, shares)
        if not problem.asked.any() or _goals_done(problem, margins):
            break
    return Found(shares, problem.multiplier, settled)


def _goals_done(problem: _Problem, margins: Array) -> bool:
    """Whether the goals hold or have had their full price; otherwise their multipliers are raised."""
    missed = SLACK - margins
    raised = np.clip(problem.multiplier + 2 * problem.weight * missed, 0.0, PRICE_OF_A_MISS)
    moved = np.abs(raised - problem.multiplier).max(initial=0.0)
    done = bool((missed <= 0.25 * SLACK).all() and moved <= 1e-2 * (1.0 + raised.max(initial=0.0)))
    full = bool(((raised >= PRICE_OF_A_MISS) & (problem.multiplier >= PRICE_OF_A_MISS)).any())
    if (missed > 0.02).any():
        problem.weight = min(problem.weight * 6.0, 1e4)
    problem.multiplier = raised
    return done or full


def _descend(problem: _Problem, shares: Array) -> Generator[Array, tuple[Array, Array], tuple[Array, Array, bool]]:
    """Damped Gauss-Newton from one point until it settles: the point, its margins, whether it settled."""
    damping, quiet = 1e-3, 0
    answer = yield problem.around(shares)
    merit, residuals, slopes, margins = problem.linearised(shares, answer)
    for _ in range(STEPS_A_ROUND):
        tried = _step(problem, shares, residuals, slopes, damping)
        answer = yield problem.around(tried)
        reached, *rest = problem.linearised(tried, answer)
        if reached >= merit:
            damping *= 8.0
            if damping > 1e6:
                return shares, margins, True
            continue
        quiet = quiet + 1 if merit - reached <= _SETTLED * (1e-3 + merit) else 0
        shares, damping, merit = tried, max(damping / 5.0, 1e-9), reached
        residuals, slopes, margins = rest
        if quiet >= 2:
            return shares, margins, True
    return shares, margins, False


def _step(problem: _Problem, shares: Array, residuals: Array, slopes: Array, damping: float) -> Array:
    """The point where the linearised residuals, damped, are least with nothing below zero or above its limit."""
    from scipy.optimize import lsq_linear, nnls

    scale = np.sqrt(damping * ((slopes**2).sum(axis=0) + 1e-6))
    matrix = np.vstack([slopes, np.diag(scale)])
    wanted = np.concatenate([slopes @ shares - residuals, scale * shares])
    if not (np.isfinite(matrix).all() and np.isfinite(wanted).all()):
        raise ProblemsError([solver_problem("a model gave no number for a mixture")])
    if np.isfinite(problem.upper).any():
        upper = np.maximum(np.minimum(problem.upper, 1e3), 1e-12)
        found = lsq_linear(matrix, wanted, bounds=(0.0, upper), method="bvls")
        return np.asarray(np.clip(found.x, 0.0, upper))
    try:
        return np.asarray(nnls(matrix, wanted, maxiter=50 * (len(shares) + 5))[0])
    except RuntimeError as exc:
        raise ProblemsError([solver_problem(str(exc))]) from exc
