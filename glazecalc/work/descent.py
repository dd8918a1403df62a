"""The nearest best amounts of given materials: damped Gauss-Newton steps that never leave the non-negative side.

The cost is a sum of squares, so each step is a linear least-squares problem with non-negative unknowns (Lawson and
Hanson's NNLS through scipy), damped as by Levenberg and Marquardt. Goals enter by augmented Lagrangian hinges: their
multipliers grow until the goals hold, and no further than the price of a missed goal, so that a recipe that cannot
meet them still gives its nearest. Derivatives are differences taken in one call of the array models.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.values.problem import ProblemsError
from glazecalc.work.aim import PRICE_OF_A_MISS, Aim
from glazecalc.work.sparse import solver_problem

Array = NDArray[np.float64]

STEP: Final = 1e-5
"""Difference for derivatives [fraction of the free total]."""
ROUNDS: Final = 14
STEPS_A_ROUND: Final = 30
SLACK: Final = 2e-3
"""Goals are met by this much more than asked [log-odds], so that rounding errors do not undo them."""
_PIN: Final = 300.0
_SETTLED: Final = 1e-5


@dataclass(frozen=True, slots=True)
class Solved:
    """Amounts (m,), their objective, and whether the descent settled before its steps ran out.

    ``multiplier`` (g,) is what the goals pulled with, kept to start a neighbouring descent from.
    """

    amounts: Array
    objective: float
    settled: bool = True
    multiplier: Array | None = None


class _Problem:
    """One descent: residuals and goal margins as functions of the shares x (n,) of the free columns."""

    def __init__(self, aim: Aim, multiplier: Array | None) -> None:
        palette = aim.palette
        self.aim, self.columns = aim, palette.free
        self.total = palette.free_total or palette.base_total
        self.base = np.where(palette.fixed, palette.start, 0.0)
        self.summed = palette.summed[self.columns]
        self.upper = palette.upper[self.columns] / self.total
        self.asked = np.array([aim.goals.fit, aim.goals.melt, aim.goals.melt])
        self.weight = 20.0
        self.multiplier = np.zeros(int(self.asked.sum())) if multiplier is None else multiplier.copy()

    def amounts(self, shares: Array) -> Array:
        """Rows of amounts (p, m) [the card's parts] of rows of shares (p, n)."""
        rows = np.tile(self.base, (len(shares), 1))
        rows[:, self.columns] = shares * self.total
        return rows

    def evaluate(self, shares: Array) -> tuple[Array, Array]:
        """Residuals (p, r) without the goals, and margins (p, g) of the goals that are asked."""
        rows = self.amounts(shares)
        pin = _PIN * (shares[:, self.summed].sum(axis=1, keepdims=True) - 1.0)
        margins = self.aim.margins(self.aim.forecast(rows))[:, self.asked]
        return np.hstack([self.aim.residuals(rows), pin]), margins

    def hinges(self, margins: Array) -> Array:
        """Residuals (p, g) that push missed goals."""
        return np.asarray(np.sqrt(self.weight) * np.maximum(SLACK - margins + self.multiplier / (2 * self.weight), 0.0))

    def linearised(self, shares: Array) -> tuple[float, Array, Array, Array]:
        """Sum of squares of all residuals, the residuals (r,), their slopes (r, n) and the margins (g,) at a point."""
        points = np.vstack([shares, shares + STEP * np.eye(len(shares))])
        plain, margins = self.evaluate(points)
        residuals = np.hstack([plain, self.hinges(margins)])
        return float(residuals[0] @ residuals[0]), residuals[0], ((residuals[1:] - residuals[0]) / STEP).T, margins[0]


def local_best(aim: Aim, start: Array, multiplier: Array | None = None, rounds: int = ROUNDS) -> Solved:
    """The best amounts near ``start`` (m,) on the columns the palette leaves free.

    ``multiplier`` (g,) of a neighbouring solution shortens the way; ``rounds`` bounds how often it is raised.

    Raises
    ------
    ProblemsError
        if the solver of the steps fails.
    """
    problem = _Problem(aim, multiplier)
    origin = aim.palette.scaled_back(start)[0]
    shares = np.minimum(origin[problem.columns] / problem.total, problem.upper)
    settled = True
    for _ in range(rounds):
        shares, margins, settled = _descend(problem, shares)
        if not problem.asked.any() or _goals_done(problem, margins):
            break
    ends = aim.palette.scaled_back(np.vstack([problem.amounts(shares[None, :]), origin]))
    objective = np.where(aim.palette.allowed(ends), aim.objective(ends), np.inf)
    best = int(np.argmin(objective))
    return Solved(ends[best], float(objective[best]), settled, problem.multiplier)


def _goals_done(problem: _Problem, margins: Array) -> bool:
    """Whether the goals hold or have had their full price; otherwise their multipliers are raised."""
    missed = SLACK - margins
    raised = np.clip(problem.multiplier + 2 * problem.weight * missed, 0.0, PRICE_OF_A_MISS)
    moved = np.abs(raised - problem.multiplier).max(initial=0.0)
    done = bool((missed <= 0.25 * SLACK).all() and moved <= 1e-2 * (1.0 + raised.max(initial=0.0)))
    full = bool((raised >= PRICE_OF_A_MISS).any() and moved <= 1e-9)
    if (missed > 0.05).any():
        problem.weight = min(problem.weight * 4.0, 1e4)
    problem.multiplier = raised
    return done or full


def _descend(problem: _Problem, shares: Array) -> tuple[Array, Array, bool]:
    """Damped Gauss-Newton from one point until it settles: the point, its margins, whether it settled."""
    damping, quiet = 1e-3, 0
    merit, residuals, slopes, margins = problem.linearised(shares)
    for _ in range(STEPS_A_ROUND):
        tried = _step(problem, shares, residuals, slopes, damping)
        reached, *rest = problem.linearised(tried)
        if reached >= merit:
            damping *= 8.0
            if damping > 1e7:
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
    if np.isfinite(problem.upper).any():
        upper = np.maximum(np.minimum(problem.upper, 1e3), 1e-12)
        found = lsq_linear(matrix, wanted, bounds=(0.0, upper), method="bvls")
        return np.asarray(np.clip(found.x, 0.0, upper))
    try:
        return np.asarray(nnls(matrix, wanted, maxiter=50 * (len(shares) + 5))[0])
    except RuntimeError as exc:
        raise ProblemsError([solver_problem(str(exc))]) from exc
