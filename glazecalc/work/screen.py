"""Estimates for a table of compositions of any length: streamed in chunks, order and ids kept, bad rows reported.

The one door to pandas among the jobs. Every cell is read as text, so that an id such as ``06`` stays what it is.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, TextIO

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import Array, compose, mole_fractions, moles_from_weight_percent
from glazecalc.chemistry.oxides import OXIDES
from glazecalc.chemistry.shelf import material_table
from glazecalc.models.prediction import Practice
from glazecalc.values.oxides import INDEX, find_oxide, suggest_oxide
from glazecalc.values.problem import Problem, ProblemsError, did_you_mean, error, remark
from glazecalc.work.glaze import glaze_arrays
from glazecalc.work.pantry import Pantry

if TYPE_CHECKING:
    import pandas as pd

ScreenBasis = Literal["mole", "weight", "unity", "recipe"]
BASES: Final[tuple[ScreenBasis, ...]] = ("mole", "weight", "unity", "recipe")
PRACTICES: Final[tuple[Practice, ...]] = ("glaze", "glass")
CHUNK_ROWS: Final = 50_000
MOST_REPORTED: Final = 50
"""Bad rows that are named one by one; the rest are counted."""
BAD_ROW: Final = "error"
"""What the ``basis`` column says of a row that could not be read."""


@dataclass(frozen=True, slots=True)
class Screened:
    """What a screening did: rows written, rows that could not be read, problems by line."""

    rows: int
    bad_rows: int
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Columns:
    """Which columns of the table are what: the id, and the columns of amounts with the row each has in ``to_moles``."""

    ident: str | None
    amounts: tuple[str, ...]
    to_moles: Array


def screen(
    source: Path,
    out: TextIO,
    shelf: Pantry,
    *,
    basis: ScreenBasis = "mole",
    practice: Practice = "glaze",
    progress: Callable[[int], None] | None = None,
    chunk_rows: int = CHUNK_ROWS,
) -> Screened:
    """Write one row of estimates per row of the CSV table ``source`` to ``out``.

    ``basis`` says what the columns hold: moles (``mole`` and ``unity``), weight % or parts (``weight``), or raw
    materials (``recipe``). ``progress`` is told the number of rows done after each chunk.

    Raises
    ------
    ProblemsError
        if the table cannot be opened, or no column is an oxide (a material, for ``recipe``).
    """
    rows = bad = 0
    problems: list[Problem] = []
    columns: _Columns | None = None
    for frame in _chunks(source, chunk_rows):
        if columns is None:
            columns, remarks = _columns(list(frame.columns), basis, shelf, str(source))
            problems += remarks
        moles, faults = _moles(frame, columns, rows, str(source))
        _write(frame, columns, moles, practice, out, header=rows == 0, first_row=rows)
        rows += len(frame)
        bad += len(faults)
        problems += faults[: max(MOST_REPORTED - len(problems), 0)]
        if progress is not None:
            progress(len(frame))
    if columns is None:
        raise ProblemsError([error("empty-table", "the table has no rows", file=str(source))])
    if bad > MOST_REPORTED:
        problems.append(remark("more-bad-rows", f"{bad} rows in all could not be read", file=str(source)))
    return Screened(rows, bad, tuple(problems))


def _chunks(source: Path, chunk_rows: int) -> Iterator[pd.DataFrame]:
    import pandas as pd

    try:
        yield from pd.read_csv(
            source, dtype=str, keep_default_na=False, chunksize=chunk_rows, encoding="utf-8-sig", skip_blank_lines=False
        )
    except pd.errors.EmptyDataError:
        return
    except UnicodeDecodeError:
        raise ProblemsError([error("encoding", "not UTF-8 text", "save it as CSV UTF-8", str(source))]) from None
    except OSError as exc:
        raise ProblemsError([error("cannot-read", exc.strerror or str(exc), file=str(source))]) from None
    except pd.errors.ParserError as exc:
        raise ProblemsError([error("csv", f"not a CSV table: {exc}", file=str(source))]) from None


def _columns(names: list[str], basis: ScreenBasis, shelf: Pantry, file: str) -> tuple[_Columns, list[Problem]]:
    amounts: list[str] = []
    rows: list[Array] = []
    others: list[str] = []
    problems: list[Problem] = []
    for name in names:
        row = _material_row(name, shelf) if basis == "recipe" else _oxide_row(name, basis)
        if row is not None:
            amounts.append(name)
            rows.append(row)
            continue
        others.append(name)
        problems += _unused(name, basis, shelf, file, is_id=len(others) == 1)
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    if not amounts:
        what = "a material" if basis == "recipe" else "an oxide such as SiO2"
        message = f"no column is headed by {what}"
        raise ProblemsError([error("no-columns", message, "see glazecalc screen --help", file, 1)])
    return _Columns(others[0] if others else None, tuple(amounts), np.array(rows)), problems


def _unused(name: str, basis: ScreenBasis, shelf: Pantry, file: str, is_id: bool) -> list[Problem]:
    if basis == "recipe":
        hint = did_you_mean(name, shelf.names())
        slip = hint if hint and not is_id else ""
    else:
        meant = suggest_oxide(name) if any(c.isdigit() for c in name) else None
        slip = f"did you mean {meant}?" if meant else ""
    if slip:
        return [error("unknown-column", f"column {name!r} is not known", slip, file, 1)]
    if is_id:
        return []
    return [remark("unused-column", f"column {name!r} is not used", file=file, line=1)]


def _oxide_row(name: str, basis: ScreenBasis) -> Array | None:
    symbol = find_oxide(name)
    if symbol is None:
        return None
    row = np.zeros(len(OXIDES))
    row[INDEX[symbol]] = 1.0
    return moles_from_weight_percent(row) if basis == "weight" else row


def _material_row(name: str, shelf: Pantry) -> Array | None:
    material = shelf.find(name)
    if material is None:
        return None
    return compose(np.ones((1, 1)), material_table([material])).moles[0]


def _moles(frame: pd.DataFrame, columns: _Columns, done: int, file: str) -> tuple[Array, list[Problem]]:
    """Moles (n, k) of a chunk, nan rows where one cannot be read, and a problem for each of those."""
    import pandas as pd

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        cells = frame.loc[:, list(columns.amounts)]
        blank = cells.apply(lambda column: column.str.strip() == "").to_numpy()
        numbers = cells.apply(pd.to_numeric, errors="coerce").to_numpy(dtype=float)
    numbers = np.where(blank, 0.0, numbers)
    with np.errstate(invalid="ignore"):
        bad_cell = np.asarray(~np.isfinite(numbers) | (numbers < 0))
    moles = np.where(bad_cell, 0.0, numbers) @ columns.to_moles
    bad: NDArray[np.bool_] = bad_cell.any(axis=1) | ~(moles.sum(axis=1) > 0)
    moles[bad] = np.nan
    return moles, [_fault(frame, columns, bad_cell, int(i), done, file) for i in np.flatnonzero(bad)]


def _fault(
    frame: pd.DataFrame, columns: _Columns, bad_cell: NDArray[np.bool_], row: int, done: int, file: str
) -> Problem:
    line = done + row + 2
    where = np.flatnonzero(bad_cell[row])
    if not len(where):
        return remark("empty-row", "nothing but zeros: no estimate", file=file, line=line)
    name = columns.amounts[int(where[0])]
    cell = str(frame.iloc[row][name])[:40]
    return remark("bad-row", f"{name} is {cell!r}, not an amount: no estimate", file=file, line=line)


def _write(
    frame: pd.DataFrame, columns: _Columns, moles: Array, practice: Practice, out: TextIO, header: bool, first_row: int
) -> None:
    import pandas as pd

    good: NDArray[np.bool_] = np.asarray(np.isfinite(moles).all(axis=1))
    table: dict[str, object] = {}
    if columns.ident is not None:
        table[columns.ident] = frame[columns.ident].to_numpy()
    else:
        table["row"] = np.arange(first_row + 1, first_row + 1 + len(frame))
    filled = np.where(good[:, None], moles, 1.0)
    extrapolated = np.zeros(len(frame), dtype=bool)
    for name, prediction in glaze_arrays(mole_fractions(filled), practice=practice).items():
        for suffix, values in (("", prediction.value), ("_low", prediction.low), ("_high", prediction.high)):
            table[name + suffix] = np.where(good, values, np.nan)
        if name == "expansion":
            extrapolated = prediction.extrapolated
    table["basis"] = np.where(good, np.where(extrapolated, "extrapolated", "model"), BAD_ROW)
    pd.DataFrame(table).to_csv(out, index=False, header=header, lineterminator="\n")
