"""The two simplest kinds of change, tried exhaustively: one material more or less, and one traded for another.

Every weighable amount of every material is a candidate; candidates are rounded first and judged as they would be
weighed, all at once by the array models.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.jobs.aim import Aim, about_as_good
from glazecalc.jobs.palette import Palette
from glazecalc.jobs.re_solve import Solved
from glazecalc.values.arrays import Array

MOST_ADDED: Final = 40.0
"""Most of one material that is stirred in [parts per 100 of base]."""
NEAR: Final = 6
GRID: Final = 48
"""Amounts tried for each material, or trade, before the best is refined."""


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """Rows of amounts (n, m), and the column of the material whose change made each, (n,)."""

    amounts: Array
    column: NDArray[np.intp]

    def best(self, objective: Array) -> NDArray[np.intp]:
        """Row of the smallest objective (n,) for each column, best column first."""
        order = np.argsort(objective, kind="stable")
        _, first = np.unique(self.column[order], return_index=True)
        return order[np.sort(first)]


def one_material(palette: Palette) -> Candidates:
    """Each free material alone made more or less, the others scaled back to the total. Unrounded.

    From all of it gone to :data:`MOST_ADDED` more, finer near nil.
    """
    up = MOST_ADDED * palette.base_total / 100.0 * np.linspace(0.0, 1.0, GRID)[1:] ** 1.5
    down = -np.linspace(0.0, 1.0, GRID // 2)[1:]
    moves = [(i, np.concatenate([down * palette.start[i], up]) if palette.start[i] > 0 else up) for i in palette.free]
    return _kept(palette, [(i, added[:, None] * np.eye(len(palette.start))[i]) for i, added in moves])


def one_trade(palette: Palette) -> Candidates:
    """Parts of one material of the recipe given for as many parts of another, whose column is told. Unrounded."""
    given = [i for i in range(palette.own) if not palette.fixed[i] and palette.start[i] > 0]
    unit = np.eye(len(palette.start))
    return _kept(palette, [
        (j, np.linspace(0.0, palette.start[i], GRID // 2)[1:, None] * (unit[j] - unit[i]))
        for i in given for j in palette.free if j != i
    ])  # fmt: skip


def _kept(palette: Palette, moves: Sequence[tuple[int, Array]]) -> Candidates:
    """The moves (n, m) of each column made, brought back to the total, as far as they keep within the limits."""
    none = np.empty((0, len(palette.start)))
    amounts = palette.scaled_back(np.vstack([none, *(palette.start + move for _, move in moves)]))
    column = np.repeat(np.array([i for i, _ in moves], dtype=int), [len(move) for _, move in moves])
    ok = palette.allowed(amounts)
    return Candidates(amounts[ok], column[ok])


def refined(aim: Aim, candidates: Candidates, rows: NDArray[np.intp], steps: Sequence[float]) -> list[Solved]:
    """The best weighable amounts near each of some candidates, along its own line of change.

    A line runs from the recipe as it is through the candidate. The material that moves most takes whole steps, the
    coarsest of ``steps`` [the card's parts, coarsest first] that keeps what the finest wins; lines that would have to
    change only to keep the total are rounded to the finest step, and lines that need not change are left as they are.
    The objective is infinite where nothing weighable keeps within the limits.
    """
    tried = [_on_line(aim.palette, candidates.amounts[row], step, steps[-1]) for row in rows for step in steps]
    nothing = Solved(aim.palette.start, np.inf)
    ends = np.cumsum([len(part) for part in tried])[:-1]
    objective, met = (np.split(column, ends) for column in aim.judged(np.vstack(tried)))
    best = [
        Solved(part[i := int(np.argmin(of))], float(of[i]), bool(meets[i])) if len(of) else nothing
        for part, of, meets in zip(tried, objective, met, strict=True)
    ]
    return [_coarsest(best[i : i + len(steps)]) for i in range(0, len(best), len(steps))]


def _coarsest(per_step: Sequence[Solved]) -> Solved:
    """The first of the best of each step, coarsest first, that is about as good as the last that there is."""
    weighable = [best for best in per_step if np.isfinite(best.objective)]
    good = (best for best in weighable if about_as_good(best.objective, weighable[-1].objective))
    return next(good, per_step[-1])


def _on_line(palette: Palette, amounts: Array, step: float, finest: float) -> Array:
    """Recipes (n, m) on a candidate's line whose leading change is a whole number of steps, within the limits."""
    start = palette.scaled_back(palette.start)[0]
    move = amounts - start
    lead = int(np.argmax(np.abs(move)))
    if abs(move[lead]) < 1e-9:
        return start[None, :]
    reach = amounts[lead] + np.arange(-NEAR, NEAR + 1) * max(step, abs(move[lead]) / 40)
    wanted = np.unique(
        np.concatenate([np.round(reach / step) * step, np.round(amounts[lead] / step + np.arange(-3, 4)) * step])
    )
    factors = (wanted[wanted >= 0] - start[lead]) / move[lead]
    line = start + factors[factors > 0][:, None] * move
    line = line[(line >= -1e-9).all(axis=1)]
    exact = palette.scaled_back(line)
    pair = np.count_nonzero(np.abs(move) > 1e-9) == 2 and np.allclose(start, palette.start)
    # lines of the card smaller than a step stay as they are rather than be lost by rounding
    small = palette.summed & (palette.start > 0) & (palette.start < finest * (1 - 1e-9))
    small[lead] = False
    tried = exact if pair else palette.rounded(exact, finest, small)
    tried = tried[palette.allowed(tried)]
    return np.where(np.abs(tried) < 1e-9, 0.0, np.round(tried, 9))
