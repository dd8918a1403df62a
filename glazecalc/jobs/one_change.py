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
from glazecalc.values.arrays import Array

MOST_ADDED: Final = 40.0
"""Most of one material that is stirred in [parts per 100 of base]."""
NEAR: Final = 6
GRID: Final = 48
"""Amounts tried for each material, or trade, before the best is refined."""


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """Rows of amounts (n, m), and the columns whose change made each: ``moved`` (n, 2), -1 for none."""

    amounts: Array
    moved: NDArray[np.intp]

    def best(self, objective: Array, column: int = 0) -> list[int]:
        """Row of the smallest objective for each first (or second) moved column, best column first."""
        order = np.argsort(objective, kind="stable")
        seen: dict[int, int] = {}
        for row in order:
            seen.setdefault(int(self.moved[row, column]), int(row))
        return list(seen.values())


def one_material(palette: Palette) -> Candidates:
    """Each free material alone made more or less, the others scaled back to the total. Unrounded."""
    rows, moved = [], []
    most = MOST_ADDED * palette.base_total / 100.0
    for i in palette.free:
        for added in _amounts(palette, int(i), most):
            row = palette.start.copy()
            row[i] = max(row[i] + added, 0.0)
            rows.append(row)
            moved.append((int(i), -1))
    return _kept(palette, rows, moved)


def one_trade(palette: Palette) -> Candidates:
    """Parts of one material of the recipe given for as many parts of another. Unrounded."""
    rows, moved = [], []
    free = set(palette.free.tolist())
    given = [i for i in range(palette.own) if not palette.fixed[i] and palette.start[i] > 0]
    for i in given:
        for j in sorted(free - {i}):
            for parts in np.linspace(0.0, palette.start[i], GRID // 2)[1:]:
                row = palette.start.copy()
                row[i] -= parts
                row[j] += parts
                rows.append(row)
                moved.append((i, j))
    return _kept(palette, rows, moved)


def _amounts(palette: Palette, i: int, most: float) -> Array:
    """Changes of one material to try: from all of it gone to ``most`` more, finer near nil."""
    up = most * np.linspace(0.0, 1.0, GRID)[1:] ** 1.5
    if palette.start[i] <= 0:
        return up
    down = -palette.start[i] * np.linspace(0.0, 1.0, GRID // 2)[1:]
    return np.concatenate([down, up])


def _kept(palette: Palette, rows: list[Array], moved: list[tuple[int, int]]) -> Candidates:
    """Rows brought back to the total that keep within the limits."""
    if not rows:
        return Candidates(np.empty((0, len(palette.start))), np.empty((0, 2), dtype=int))
    amounts = palette.scaled_back(np.stack(rows))
    ok = palette.allowed(amounts)
    return Candidates(amounts[ok], np.array(moved)[ok])


def refined(aim: Aim, candidates: Candidates, rows: Sequence[int], steps: Sequence[float]) -> list[tuple[Array, float]]:
    """The best weighable amounts (m,) near each of some candidates, along its own line of change, and their objective.

    A line runs from the recipe as it is through the candidate. The material that moves most takes whole steps, the
    coarsest of ``steps`` [the card's parts, coarsest first] that keeps what the finest wins; lines that would have to
    change only to keep the total are rounded to the finest step, and lines that need not change are left as they are.
    The objective is infinite where nothing weighable keeps within the limits.
    """
    tried = [_on_line(aim.palette, candidates.amounts[row], step, steps[-1]) for row in rows for step in steps]
    objective = aim.objective(np.vstack(tried))
    best, at = [], 0
    for part in tried:
        within = objective[at : at + len(part)]
        best.append((part[np.argmin(within)], float(within.min())) if len(part) else (aim.palette.start, np.inf))
        at += len(part)
    return [_coarsest(best[i : i + len(steps)]) for i in range(0, len(best), len(steps))]


def _coarsest(per_step: Sequence[tuple[Array, float]]) -> tuple[Array, float]:
    """The first of the best of each step, coarsest first, that is about as good as the last that there is."""
    weighable = [best for best in per_step if np.isfinite(best[1])]
    return next((b for b in weighable if about_as_good(b[1], weighable[-1][1])), per_step[-1])


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
    pair = np.count_nonzero(np.abs(move) > 1e-9) == 2
    tried = exact if pair else palette.rounded(exact, finest, _too_small(palette, lead, finest))
    tried = tried[palette.allowed(tried)]
    return np.where(np.abs(tried) < 1e-9, 0.0, np.round(tried, 9))


def _too_small(palette: Palette, lead: int, step: float) -> NDArray[np.bool_]:
    """Lines of the card (m,) smaller than a step, which stay as they are rather than be lost by rounding."""
    small = palette.summed & (palette.start > 0) & (palette.start < step * (1 - 1e-9))
    small[lead] = False
    return small
