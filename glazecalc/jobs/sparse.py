"""A wanted set of oxides from as few materials as it takes: non-negative amounts, nearest where exact is not to be had.

Amounts on given materials are non-negative least squares (Lawson and Hanson, scipy), exact where an exact answer
exists. Which materials are taken is a search over sets: from several fixed starts materials are dropped, added and
exchanged, one for one, two and three, as long as that pays. A set costs its number of materials and every bit by
which an oxide is off by more than the tolerance. The tests set it beside a mixed-integer solver.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import CONVENTIONS
from glazecalc.values.answers import Problem, ProblemsError, error
from glazecalc.values.oxides import ALKALIS, SYMBOLS

Array = NDArray[np.float64]

FLUX_SUM: Final = 5.0
ALKALI_SUM: Final = 2.0
"""Weights of the sums of the fluxes and of the alkalis beside single oxides, where they cannot all be matched."""
WORTH_OF_A_MATERIAL: Final = 0.01
"""One material more is worth it if it brings the oxides this much nearer [mol per flux sum, weighted]."""
INEXACT: Final = 6.0
"""Being out of tolerance at all is worth avoiding with this many more materials."""
NEARLY: Final = 3.0
"""Sets off by up to this many tolerances by least squares are tried for a match within the tolerance."""
MOST_MOVES: Final = 60


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
    found = linprog(
        np.concatenate([np.zeros(len(moles)), [1.0]]),
        A_ub=np.vstack([np.hstack([shares, -one]), np.hstack([-shares, -one])]),
        b_ub=np.concatenate([target[rows], -target[rows]]), bounds=(0, None), method="highs",
    )  # fmt: skip
    if found.x is None:
        raise ProblemsError([solver_problem(found.message)])
    amounts = np.where(found.x[:-1] > 1e-10, found.x[:-1] / scale, 0.0)
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
    search = _Search(moles, target, tolerance, at_most, np.zeros(len(moles)) if dislike is None else dislike, upper)
    best = min((search.improved(start) for start in search.starts()), key=search.score)
    support = np.array(sorted(best), dtype=int)
    return search.mix(support, final=True)


class _Search:
    """Sets of materials and what they cost; every set is solved once."""

    def __init__(
        self, moles: Array, target: Array, tolerance: float, at_most: int | None, dislike: Array, upper: Array | None
    ) -> None:
        self.moles, self.target, self.tolerance = moles, target, tolerance
        self.at_most, self.dislike, self.upper = at_most, dislike, upper
        self.weights = oxide_weights(target)
        self.known: dict[frozenset[int], float] = {}

    def mix(self, support: NDArray[np.intp], final: bool = False) -> Mix:
        """The mix of one set; the ``final`` one is matched within the tolerance wherever it can be."""
        if not len(support):
            return Mix(np.zeros(len(self.moles)), -self.target)
        part = self.moles[support]
        found = matched_mix(part, self.target, self.tolerance) if final else nearest_mix(part, self.target)
        amounts = np.zeros(len(self.moles))
        amounts[support] = found.amounts
        if self.upper is None:
            return Mix(amounts, found.deviation)
        return _within_limits(self.moles, self.target, support, Mix(amounts, found.deviation), self.upper)

    def score(self, chosen: frozenset[int]) -> float:
        """What a set costs, counted in materials."""
        if chosen not in self.known:
            support = np.array(sorted(chosen), dtype=int)
            mix = self.mix(support)
            if self.tolerance < mix.worst() <= NEARLY * self.tolerance:
                mix = self.mix(support, final=True)
            excess = np.maximum(np.abs(mix.deviation) - self.tolerance, 0.0)
            over = 0 if self.at_most is None else max(len(chosen) - self.at_most, 0)
            used = mix.amounts[support] > 0
            idle = 1.0 * np.count_nonzero(~used)
            cost = len(chosen) + float(self.dislike[support].sum()) + idle + 100.0 * over + INEXACT * excess.any()
            self.known[chosen] = cost + float((self.weights * excess).sum()) / WORTH_OF_A_MATERIAL
        return self.known[chosen]

    def starts(self) -> list[frozenset[int]]:
        """Sets to begin with: the nearest mix of everything, and that of what is not disliked."""
        liked = np.flatnonzero(self.dislike <= 0.5)
        every = nearest_mix(self.moles, self.target).used
        starts = [frozenset(every.tolist())]
        if len(liked):
            starts.append(frozenset(liked[nearest_mix(self.moles[liked], self.target).used].tolist()))
        for power in (0.0, 1.0):
            starts.append(self.corner(power))
        return [s for s in starts if s]

    def corner(self, power: float) -> frozenset[int]:
        """Materials at a corner of what is within tolerance: the least amount, by size to a power; may be none.

        A corner holds few materials (linear program, HiGHS through scipy).
        """
        from scipy.optimize import linprog

        scale = np.maximum(self.moles.sum(axis=1), 1e-12)
        shares = (self.moles / scale[:, None]).T
        reach = 0.5 * self.tolerance
        found = linprog(
            (1.0 + self.dislike) / scale**power,
            A_ub=np.vstack([shares, -shares]),
            b_ub=np.concatenate([self.target + reach, reach - self.target]),
            method="highs",
        )
        return frozenset() if found.x is None else frozenset(np.flatnonzero(found.x > 1e-9).tolist())

    def improved(self, chosen: frozenset[int]) -> frozenset[int]:
        """The set that no single move makes cheaper, from ``chosen`` on; the best move is taken each time."""
        for _ in range(MOST_MOVES):
            for moves in (self.moves(chosen), self.one_for(2, chosen), self.one_for(3, chosen)):
                best = min(moves, key=lambda c: (self.score(c), sorted(c)), default=chosen)
                if self.score(best) < self.score(chosen) - 1e-9:
                    chosen = best
                    break
            else:
                return chosen
        return chosen

    def moves(self, chosen: frozenset[int]) -> Iterable[frozenset[int]]:
        """Sets with one material dropped, added or exchanged."""
        outside = [i for i in range(len(self.moles)) if i not in chosen]
        fewer = [chosen - {i} for i in chosen if len(chosen) > 1]
        return [*fewer, *(chosen | {j} for j in outside), *(left | {j} for left in fewer for j in outside)]

    def one_for(self, several: int, chosen: frozenset[int]) -> Iterable[frozenset[int]]:
        """Sets in which one material stands for two or three."""
        outside = [i for i in range(len(self.moles)) if i not in chosen]
        for gone in combinations(sorted(chosen), several):
            left = chosen - set(gone)
            yield from (left | {j} for j in outside)


def _within_limits(moles: Array, target: Array, support: NDArray[np.intp], free: Mix, upper: Array) -> Mix:
    """The mix of one set with no material above its limit [parts in 100], by bounded least squares, repeated because
    the limit goes by the whole batch."""
    from scipy.optimize import lsq_linear

    mix, weights = free, oxide_weights(target)
    groups, scale = _groups(), np.maximum(moles[support].sum(axis=1), 1e-12)
    shares = moles[support] / scale[:, None]
    matrix = np.vstack([(shares * weights).T, groups @ shares.T])
    for _ in range(4):
        total = float(mix.amounts.sum())
        if (mix.amounts <= upper * total / 100.0 * (1 + 1e-9)).all():
            return mix
        bounds = np.maximum(np.minimum(upper[support] * total / 100.0 * scale, 1e6), 1e-12)
        found = lsq_linear(
            matrix, np.concatenate([target * weights, groups @ target]), bounds=(0.0, bounds), method="bvls"
        )
        if found.status < 0:
            raise ProblemsError([solver_problem(found.message)])
        amounts = np.zeros(len(moles))
        amounts[support] = np.where(found.x > 1e-9, found.x / scale, 0.0)
        mix = Mix(amounts, amounts @ moles - target)
    held = np.minimum(mix.amounts, upper * float(mix.amounts.sum()) / 100.0 * 0.99)
    return Mix(held, held @ moles - target)


def solver_problem(message: str) -> Problem:
    """A failure of the solver, said as such."""
    return error(
        "solver", f"the solver gave up: {message}", "try with fewer materials: --without M, or --max-materials N"
    )
