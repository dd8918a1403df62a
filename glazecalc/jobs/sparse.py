"""A wanted set of oxides from as few materials as it takes: non-negative amounts, nearest where exact is not to be had.

Amounts on given materials are non-negative least squares (Lawson and Hanson, scipy), exact where an exact answer
exists. Which materials are taken is a mixed-integer program (HiGHS, scipy): the fewest with every oxide within the
tolerance; where that cannot be had, the fewest and nearest, every bit by which an oxide is off being worth so many
materials. The tests set it beside trying every set.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from threading import Lock
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import CONVENTIONS
from glazecalc.values.answers import Problem, ProblemsError, error
from glazecalc.values.arrays import Array
from glazecalc.values.oxides import ALKALIS, SYMBOLS

FLUX_SUM: Final = 5.0
ALKALI_SUM: Final = 2.0
"""Weights of the sums of the fluxes and of the alkalis beside single oxides, where they cannot all be matched."""
WORTH_OF_A_MATERIAL: Final = 0.01
"""One material more is worth it if it brings the oxides this much nearer [mol per flux sum, weighted]."""
LESS_IS_BETTER: Final = 1e-4
"""Of two sets of as many materials the one with less in it is taken [materials per mol]."""
MOST_NODES: Final = 4000
"""The solver looks at this many branches and then takes the best it has found, the same on every machine."""


@dataclass(frozen=True, slots=True, eq=False)
class Mix:
    """Amounts (m,) of every material offered, and what they bring less what was wanted, (k,) in the target's unit."""

    amounts: Array
    deviation: Array

    @property
    def used(self) -> NDArray[np.intp]:
        """Columns of the materials in the mix."""
        return np.flatnonzero(self.amounts > 0)

    def worst(self) -> float:
        """Largest deviation of any oxide."""
        return float(np.abs(self.deviation).max(initial=0.0))


def oxide_weights(target: Array) -> Array:
    """How much a deviation of each oxide counts, (k,): 0.05 in 4 of silica is nothing, 0.05 in 0.1 of zinc is half."""
    return np.asarray(1.0 / (1.0 + np.abs(target)))


def _groups() -> Array:
    """Sums that matter beside the single oxides, (g, k): all fluxes, and the alkalis, each with its weight."""
    alkalis = np.array([float(s in ALKALIS) for s in SYMBOLS])
    return np.stack([FLUX_SUM * CONVENTIONS["colourants-out"].mask, ALKALI_SUM * alkalis])


def nearest_mix(moles: Array, target: Array, pull: Array | None = None, pull_weight: float = 1e-6) -> Mix:
    """Non-negative amounts (m,) of ``moles`` (m, k) nearest to ``target`` (k,).

    Oxides are weighted by :func:`oxide_weights`; where one flux has to stand in for another it does so mole for mole,
    because the sum of the fluxes counts as well. Where several mixes do equally well the one nearest to ``pull`` (m,),
    or else to nil, is taken.
    """
    from scipy.optimize import nnls

    weights = oxide_weights(target)
    scale = np.maximum(moles.sum(axis=1), 1e-12)
    m = len(moles)
    shares, groups = moles / scale[:, None], _groups()
    matrix = np.vstack([(shares * weights).T, groups @ shares.T, pull_weight * np.eye(m)])
    wish = np.zeros(m) if pull is None else pull_weight * pull * scale
    try:
        found, _ = nnls(matrix, np.concatenate([target * weights, groups @ target, wish]), maxiter=30 * (m + 10))
    except RuntimeError as exc:
        raise ProblemsError([solver_problem(str(exc))]) from exc
    amounts = np.where(found > 1e-10 * max(float(target.sum()), 1e-30), found / scale, 0.0)
    return Mix(amounts, amounts @ moles - target)


def matched_mix(
    moles: Array, target: Array, tolerance: float, pull: Array | None = None, pull_weight: float = 1e-6
) -> Mix:
    """The nearest mix; or, where that needlessly leaves an oxide off by more than ``tolerance``, one that does not.

    The second is the mix with the smallest largest deviation (a linear program, HiGHS through scipy).
    """
    from scipy.optimize import linprog

    near = nearest_mix(moles, target, pull, pull_weight)
    if near.worst() <= tolerance or not len(moles):
        return near
    rows = np.flatnonzero((moles.max(axis=0) > 0) | (target > 0))
    scale = np.maximum(moles.sum(axis=1), 1e-12)
    shares = (moles / scale[:, None])[:, rows].T
    one = np.ones((len(rows), 1))
    solved = linprog(
        np.concatenate([np.zeros(len(moles)), [1.0]]),
        A_ub=np.vstack([np.hstack([shares, -one]), np.hstack([-shares, -one])]),
        b_ub=np.concatenate([target[rows], -target[rows]]), bounds=(0, None), method="highs",
    )  # fmt: skip
    if solved.x is None:
        raise ProblemsError([solver_problem(solved.message)])
    amounts = np.where(solved.x[:-1] > 1e-10, solved.x[:-1] / scale, 0.0)
    even = Mix(amounts, amounts @ moles - target)
    return even if even.worst() <= tolerance else near


def fewest_materials(
    moles: Array,
    target: Array,
    tolerance: float,
    at_most: int | None = None,
    dislike: Array | None = None,
    upper: Array | None = None,
) -> Mix:
    """The simplest mix within ``tolerance`` of ``target``, or the nearest that is not needlessly long.

    Parameters
    ----------
    moles
        Oxides of the materials offered, (m, k) [mol/g].
    target
        Oxides wanted, (k,) [mol], fluxes brought to one.
    tolerance
        Deviation of an oxide that does not count [mol per flux sum].
    at_most
        Most materials allowed.
    dislike
        Extra cost of each material, (m,), counted in materials.
    upper
        Most of each material, (m,) [parts in 100 of the batch].

    Raises
    ------
    ProblemsError
        if the solver fails.
    """
    cost = 1.0 + (np.zeros(len(moles)) if dislike is None else dislike)
    program = _Program(moles, target, tolerance, cost, at_most, upper)
    chosen = program.exact()
    if chosen is None:
        chosen = program.nearest()
    support = np.flatnonzero(chosen > 0)
    amounts = np.zeros(len(moles))
    if len(support):
        amounts[support] = matched_mix(moles[support], target, tolerance).amounts
    if upper is not None and (amounts > upper * amounts.sum() / 100.0 * (1 + 1e-9)).any():
        amounts = chosen  # least squares go over a limit, which the program keeps
    return Mix(amounts, amounts @ moles - target)


class _Program:
    """The choice of materials as a mixed-integer program.

    Unknown are, of each material, its moles of oxides x (m,) and whether it is in z (m,), and in the second round what
    each oxide is off beyond the tolerance and what each sum is off.
    """

    def __init__(
        self, moles: Array, target: Array, tolerance: float, cost: Array, at_most: int | None, upper: Array | None
    ) -> None:
        self.scale = np.maximum(moles.sum(axis=1), 1e-12)
        shares = (moles / self.scale[:, None]).T
        self.rows = np.flatnonzero((shares.max(axis=1, initial=0.0) > 0) | (target > 0))
        self.shares, self.target, self.tolerance = shares[self.rows], target[self.rows], tolerance
        self.groups = (_groups() @ shares, _groups() @ target)
        self.weights = oxide_weights(self.target)
        self.cost, self.at_most, self.upper = cost, at_most, upper

    def exact(self) -> Array | None:
        """Amounts (m,) [g] of the fewest materials with every oxide within the tolerance; None where none are."""
        ceiling = (self.target + self.tolerance)[:, None]
        most = np.min(np.divide(ceiling, self.shares, out=np.full_like(self.shares, np.inf), where=self.shares > 1e-9),
                      axis=0, initial=2.0 * float(self.target.sum()) + 1.0)  # fmt: skip
        return self._solved(most, np.zeros((len(self.rows), 0)), np.zeros((len(self.groups[1]), 0)), np.zeros(0))

    def nearest(self) -> Array:
        """Amounts (m,) [g] of few materials that leave little beyond the tolerance."""
        k, g = len(self.rows), len(self.groups[1])
        price = np.concatenate([self.weights, np.ones(g)]) / WORTH_OF_A_MATERIAL
        oxides, sums = np.hstack([np.eye(k), np.zeros((k, g))]), np.hstack([np.zeros((g, k)), np.eye(g)])
        solved = self._solved(np.full(len(self.cost), 2.0 * float(self.target.sum())), oxides, sums, price)
        if solved is None:
            raise ProblemsError([solver_problem("no set of materials was found")])
        return solved

    def _solved(self, most: Array, oxides: Array, sums: Array, price: Array) -> Array | None:
        """Amounts (m,) [g]: x up to ``most`` (m,), slack on the oxides (k, s) and the sums (g, s) at a ``price``."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        m, slacks = len(self.cost), len(price)
        none = np.zeros((len(self.rows), m))
        one_by_one = np.hstack([np.eye(m), -np.diag(most), np.zeros((m, slacks))])
        constraints = [
            LinearConstraint(one_by_one, -np.inf, 0.0),
            LinearConstraint(np.hstack([self.shares, none, -oxides]), -np.inf, self.target + self.tolerance),
            LinearConstraint(np.hstack([self.shares, none, oxides]), self.target - self.tolerance, np.inf),
            *self._limits(slacks),
        ]
        if slacks:
            matrix, wanted = self.groups
            beside = np.zeros((len(wanted), m))
            constraints.append(LinearConstraint(np.hstack([matrix, beside, -sums]), -np.inf, wanted))
            constraints.append(LinearConstraint(np.hstack([matrix, beside, sums]), wanted, np.inf))
        with _silent():
            solved = milp(
                np.concatenate([np.full(m, LESS_IS_BETTER), self.cost, price]),
                integrality=np.concatenate([np.zeros(m), np.ones(m), np.zeros(slacks)]),
                bounds=Bounds(0.0, np.concatenate([most, np.ones(m), np.full(slacks, np.inf)])),
                constraints=constraints, options={"node_limit": MOST_NODES},
            )  # fmt: skip
        if solved.x is None:
            return None
        return np.where((solved.x[m : 2 * m] > 0.5) & (solved.x[:m] > 1e-9), solved.x[:m] / self.scale, 0.0)

    def _limits(self, slacks: int) -> list[Any]:
        """The number of materials and the most of each, which goes by the whole batch."""
        from scipy.optimize import LinearConstraint

        m, limits = len(self.cost), []
        if self.at_most is not None:
            row = np.concatenate([np.zeros(m), np.ones(m), np.zeros(slacks)])
            limits.append(LinearConstraint(row, 0.0, float(self.at_most)))
        if self.upper is not None:
            held = np.flatnonzero(np.isfinite(self.upper))
            rows = (np.eye(m)[held] - self.upper[held, None] / 100.0) / self.scale
            limits.append(LinearConstraint(np.hstack([rows, np.zeros((len(held), m + slacks))]), -np.inf, 0.0))
        return limits


_ONE_AT_A_TIME: Final = Lock()
"""Standard output belongs to the whole process: two threads that put it back in turn would leave it closed."""


@contextmanager
def _silent() -> Iterator[None]:
    """Standard output closed to the solver, some versions of which write a line there whatever they are told."""
    with _ONE_AT_A_TIME:
        sys.stdout.flush()
        try:
            kept = os.dup(1)
        except OSError:  # there is none
            yield
            return
        nowhere = os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(nowhere, 1)
            yield
        finally:
            os.dup2(kept, 1)
            os.close(nowhere)
            os.close(kept)


def solver_problem(message: str) -> Problem:
    """A failure of the solver, said as such."""
    return error(
        "solver", f"the solver gave up: {message}", "try with fewer materials: --without M, or --max-materials N"
    )
