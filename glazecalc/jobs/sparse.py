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
from typing import Final

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


def _per_mole(moles: Array) -> tuple[Array, Array]:
    """Oxides of a mole of each material's oxides, (m, k), and how many moles a gram has, (m,) [mol/g]."""
    scale = np.maximum(moles.sum(axis=1), 1e-12)
    return moles / scale[:, None], scale


def nearest_mix(moles: Array, target: Array, pull: Array | None = None, pull_weight: float = 1e-6) -> Mix:
    """Non-negative amounts (m,) of ``moles`` (m, k) nearest to ``target`` (k,).

    Oxides are weighted by :func:`oxide_weights`; where one flux has to stand in for another it does so mole for mole,
    because the sum of the fluxes counts as well. Where several mixes do equally well the one nearest to ``pull`` (m,),
    or else to nil, is taken.
    """
    from scipy.optimize import nnls

    weights, groups, m = oxide_weights(target), _groups(), len(moles)
    shares, scale = _per_mole(moles)
    matrix = np.vstack([(shares * weights).T, groups @ shares.T, pull_weight * np.eye(m)])
    wish = np.zeros(m) if pull is None else pull_weight * pull * scale
    try:
        taken, _ = nnls(matrix, np.concatenate([target * weights, groups @ target, wish]), maxiter=30 * (m + 10))
    except RuntimeError as exc:
        raise ProblemsError([solver_problem(str(exc))]) from exc
    amounts = np.where(taken > 1e-10 * max(float(target.sum()), 1e-30), taken / scale, 0.0)
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
    per_mole, scale = _per_mole(moles)
    shares = per_mole[:, rows].T
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

    Raises ProblemsError if the solver fails.
    """
    cost = np.ones(len(moles)) if dislike is None else 1.0 + dislike
    chosen = _chosen(moles, target, tolerance, cost, at_most, upper, exact=True)
    if chosen is None:
        chosen = _chosen(moles, target, tolerance, cost, at_most, upper, exact=False)
    if chosen is None:
        raise ProblemsError([solver_problem("no set of materials was found")])
    support = np.flatnonzero(chosen > 0)
    amounts = np.zeros(len(moles))
    if len(support):
        amounts[support] = matched_mix(moles[support], target, tolerance).amounts
    if upper is not None and (amounts > upper * amounts.sum() / 100.0 * (1 + 1e-9)).any():
        amounts = chosen  # least squares go over a limit, which the program keeps
    return Mix(amounts, amounts @ moles - target)


def _chosen(
    moles: Array, target: Array, tolerance: float, cost: Array, at_most: int | None, upper: Array | None, *,
    exact: bool,
) -> Array | None:  # fmt: skip
    """Amounts (m,) [g] of the fewest materials with every oxide within the tolerance; or, where it need not be
    ``exact``, of few that leave little beyond it. None where the mixed-integer program has no answer.

    Unknown are, of each material, its moles of oxides x (m,) and whether it is in z (m,), and where it need not be
    exact what each oxide, and each of the sums that matter, is off beyond what is allowed, (r,).
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    shares, scale = _per_mole(moles)
    rows = np.flatnonzero((shares.max(axis=0, initial=0.0) > 0) | (target > 0))
    brings, wanted, allowed = shares[:, rows].T, target[rows], np.full(len(rows), tolerance)
    total, price = 2.0 * float(wanted.sum()), np.zeros(0)
    if exact:
        reach = np.full_like(brings, np.inf)
        np.divide((wanted + tolerance)[:, None], brings, out=reach, where=brings > 1e-9)
        most = np.min(reach, axis=0, initial=total + 1.0)
    else:
        most, groups = np.full(len(moles), total), _groups()
        price = np.concatenate([oxide_weights(wanted), np.ones(len(groups))]) / WORTH_OF_A_MATERIAL
        brings, wanted = np.vstack([brings, groups @ shares.T]), np.concatenate([wanted, groups @ target])
        allowed = np.concatenate([allowed, np.zeros(len(groups))])
    m, slacks = len(moles), len(price)
    off, none = np.eye(len(wanted))[:, :slacks], np.zeros((len(wanted), m))
    limits = [
        LinearConstraint(np.hstack([np.eye(m), -np.diag(most), np.zeros((m, slacks))]), -np.inf, 0.0),
        LinearConstraint(np.hstack([brings, none, -off]), -np.inf, wanted + allowed),
        LinearConstraint(np.hstack([brings, none, off]), wanted - allowed, np.inf),
    ]
    if at_most is not None:
        limits.append(LinearConstraint(np.repeat([0.0, 1.0, 0.0], [m, m, slacks]), 0.0, float(at_most)))
    if upper is not None:  # goes by the whole batch
        held = np.flatnonzero(np.isfinite(upper))
        over = (np.eye(m)[held] - upper[held, None] / 100.0) / scale
        limits.append(LinearConstraint(np.hstack([over, np.zeros((len(held), m + slacks))]), -np.inf, 0.0))
    with _silent():
        solved = milp(
            np.concatenate([np.full(m, LESS_IS_BETTER), cost, price]), integrality=np.repeat([0, 1, 0], [m, m, slacks]),
            bounds=Bounds(0.0, np.concatenate([most, np.ones(m), np.full(slacks, np.inf)])),
            constraints=limits, options={"node_limit": MOST_NODES},
        )  # fmt: skip
    if solved.x is None:
        return None
    return np.where((solved.x[m : 2 * m] > 0.5) & (solved.x[:m] > 1e-9), solved.x[:m] / scale, 0.0)


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
