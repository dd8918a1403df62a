"""Which rows of a table can be read, and what is wrong with the others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.jobs.screening.columns import Meaning
from glazecalc.jobs.screening.rows import Array, Rows
from glazecalc.values.answers import Problem, remark

LARGEST_AMOUNT: Final = 1e12
"""No cell holds an amount beyond this; sums of larger ones leave the range of floating point."""


def readable(rows: Rows, meaning: Meaning, file: str) -> tuple[Array, NDArray[np.bool_], Iterator[Problem]]:
    """The amounts (n, c), the rows (n,) that can be read, and a problem for each of the others."""
    names = meaning.amounts
    numbers = rows.amounts(names)
    with np.errstate(invalid="ignore"):
        bad_cell = np.asarray(~np.isfinite(numbers) | (numbers < 0) | (numbers > LARGEST_AMOUNT))
    numbers[bad_cell] = 0.0
    bad: NDArray[np.bool_] = bad_cell.any(axis=1) | ~(numbers @ meaning.to_moles.sum(axis=1) > 0)
    bad[list(rows.odd_lengths)] = True
    return numbers, ~bad, (_fault(rows, names, bad_cell, int(i), file) for i in np.flatnonzero(bad))


def _fault(rows: Rows, names: Sequence[str], bad_cell: NDArray[np.bool_], row: int, file: str) -> Problem:
    line, where = rows.place(row)
    if row in rows.odd_lengths:
        message = f"{where}{rows.odd_lengths[row]} cells where the head has {len(rows.names)}: no estimate"
        hint = "put a text that holds a comma between quotes, and write decimals with a point"
        return remark("bad-row", message, hint, file, line)
    bad = np.flatnonzero(bad_cell[row])
    if not len(bad):
        return remark("empty-row", f"{where}nothing but zeros: no estimate", file=file, line=line)
    name = names[int(bad[0])]
    cell = rows.cell(row, name)[:40]
    return remark("bad-row", f"{where}{name} is {cell!r}, not an amount: no estimate", file=file, line=line)
