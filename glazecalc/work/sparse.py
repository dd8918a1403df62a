"""A wanted set of oxides from as few materials as it takes: non-negative amounts, nearest where exact is not to be had.

The choice of materials is a small mixed-integer program (HiGHS through scipy): count materials, and pay for every
bit of an oxide that is off by more than the tolerance. Amounts on the chosen materials are then polished by
non-negative least squares (Lawson and Hanson), which is exact where an exact answer exists.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.values.problem import Problem, ProblemsError, error

Array = NDArray[np.float64]

WORTH_OF_A_MATERIAL: Final = 0.01
"""One material more is worth it if it brings the oxides this much nearer [mol per flux sum, weighted]."""
NODE_LIMIT: Final = 4000
_MOST_PARTS: Final = 20.0


@dataclass(frozen=True, slots=True)
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


def nearest_mix(moles: Array, target: Array, pull: Array | None = None, pull_weight: float = 1e-6) -> Mix:
    """Non-negative amounts (m,) of ``moles`` (m, k) nearest to ``target`` (k,).

    Where several mixes do equally well the one nearest to ``pull`` (m,), or else to nil, is taken.
    """
    from scipy.optimize import nnls

    weights = oxide_weights(target)
    scale = np.maximum(moles.sum(axis=1), 1e-12)
    m = len(moles)
    matrix = np.vstack([(moles / scale[:, None] * weights).T, pull_weight * np.eye(m)])
    wish = np.zeros(m) if pull is None else pull_weight * pull * scale
    try:
        found, _ = nnls(matrix, np.concatenate([target * weights, wish]), maxiter=30 * (m + 10))
    except RuntimeError as exc:
        raise ProblemsError([solver_problem(str(exc))]) from exc
    amounts = np.where(found > 1e-10 * max(float(target.sum()), 1e-30), found / scale, 0.0)
    return Mix(amounts, amounts @ moles - target)


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
        Most of each material, (m,) [g per mole of flux].

    Raises
    ------
    ProblemsError
        if the solver fails.
    """
    every = nearest_mix(moles, target)
    offered = np.arange(len(moles))
    chosen = _choose(moles, target, tolerance, at_most, dislike, upper)
    support = offered[chosen]
    mix = _on(moles, target, support) if upper is None else _bounded(moles, target, support, upper)
    if at_most is None and upper is None and every.worst() <= tolerance < mix.worst():
        return every
    return mix


def _on(moles: Array, target: Array, support: NDArray[np.intp]) -> Mix:
    if not len(support):
        return Mix(np.zeros(len(moles)), -target)
    part = nearest_mix(moles[support], target)
    amounts = np.zeros(len(moles))
    amounts[support] = part.amounts
    return Mix(amounts, part.deviation)


def _bounded(moles: Array, target: Array, support: NDArray[np.intp], upper: Array) -> Mix:
    """As `_on`, no amount above its limit (bounded least squares)."""
    from scipy.optimize import lsq_linear

    if not len(support):
        return Mix(np.zeros(len(moles)), -target)
    weights = oxide_weights(target)
    scale = moles[support].sum(axis=1)
    bounds = np.minimum(upper[support] * scale, 1e6)
    found = lsq_linear((moles[support] / scale[:, None] * weights).T, target * weights,
                       bounds=(np.zeros(len(support)), np.maximum(bounds, 1e-12)), method="bvls")  # fmt: skip
    if found.status < 0:
        raise ProblemsError([solver_problem(found.message)])
    amounts = np.zeros(len(moles))
    amounts[support] = np.where(found.x > 1e-9, found.x / scale, 0.0)
    return Mix(amounts, amounts @ moles - target)


def _choose(
    moles: Array, target: Array, tolerance: float, at_most: int | None, dislike: Array | None, upper: Array | None
) -> NDArray[np.bool_]:
    """Which materials the mixed-integer program takes, (m,)."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    m = len(moles)
    rows = np.flatnonzero((moles.max(axis=0) > 0) | (target > 0))
    scale = np.maximum(moles.sum(axis=1), 1e-12)
    shares = (moles / scale[:, None])[:, rows]
    k = len(rows)
    most = np.full(m, max(_MOST_PARTS, 2.0 * float(target.sum())))
    if upper is not None:
        most = np.minimum(most, np.maximum(upper, 0.0) * scale)
    pay = oxide_weights(target)[rows] / WORTH_OF_A_MATERIAL
    cost = np.concatenate([np.full(m, 1e-6), 1.0 + (np.zeros(m) if dislike is None else dislike), pay])
    tied = np.hstack([np.eye(m), -np.diag(most), np.zeros((m, k))])
    above = np.hstack([shares.T, np.zeros((k, m)), -np.eye(k)])
    below = np.hstack([shares.T, np.zeros((k, m)), np.eye(k)])
    inside = 0.9 * tolerance
    limits = [
        LinearConstraint(tied, -np.inf, 0.0),
        LinearConstraint(above, -np.inf, target[rows] + inside),
        LinearConstraint(below, target[rows] - inside, np.inf),
    ]
    if at_most is not None:
        limits.append(LinearConstraint(np.concatenate([np.zeros(m), np.ones(m), np.zeros(k)]), 0, at_most))
    found = milp(
        cost, constraints=limits, integrality=np.concatenate([np.zeros(m), np.ones(m), np.zeros(k)]),
        bounds=Bounds(0, np.concatenate([most, np.ones(m), np.full(k, np.inf)])),
        options={"node_limit": NODE_LIMIT, "mip_rel_gap": 0.0},
    )  # fmt: skip
    if found.x is None:
        raise ProblemsError([solver_problem(found.message)])
    return np.asarray((found.x[m : 2 * m] > 0.5) & (found.x[:m] > 1e-9))


def solver_problem(message: str) -> Problem:
    """A failure of the solver, said as such."""
    return error("solver", f"the solver gave up: {message}", "try with fewer materials: --without M, or --max-materials N")
