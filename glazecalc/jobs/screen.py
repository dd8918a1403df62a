"""Estimates for a table of compositions of any length: streamed in chunks, order and ids kept, bad rows reported.

The one door to pandas among the jobs. Every cell is read as text, so that an id such as ``06`` stays what it is.
"""

from __future__ import annotations

import csv
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, TextIO

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import Array, compose, material_table, mole_fractions, moles_from_weight_percent
from glazecalc.chemistry.oxides import OXIDES
from glazecalc.jobs.estimates import glaze_arrays
from glazecalc.jobs.materials import Pantry, very_close
from glazecalc.models.prediction import Practice
from glazecalc.values.answers import Problem, ProblemsError, error, remark, too_wide
from glazecalc.values.oxides import INDEX, find_oxide, suggest_oxide

if TYPE_CHECKING:
    from _csv import Reader

    import pandas as pd


ScreenBasis = Literal["mole", "weight", "unity", "recipe"]
BASES: Final[tuple[ScreenBasis, ...]] = ("mole", "weight", "unity", "recipe")
PRACTICES: Final[tuple[Practice, ...]] = ("glaze", "glass")
CHUNK_ROWS: Final = 50_000
CHUNK_CELLS: Final = 5_000_000
"""Cells held at a time: a wide table comes in shorter chunks."""
MOST_COLUMNS: Final = 1_000
LONGEST_LINE: Final = 5_000_000
"""A line of more signs is no row of a table [characters]."""
MOST_UNUSED: Final = 10
"""Unused columns that are named one by one; the rest are counted."""
LARGEST_AMOUNT: Final = 1e12
"""No cell holds an amount beyond this; sums of larger ones leave the range of floating point."""
DIGITS: Final = 6
"""Significant digits written; the intervals are far wider."""
MOST_REPORTED: Final = 50
"""Bad rows that are named one by one; the rest are counted."""
BAD_ROW: Final = "error"
"""What the columns of bases say of a row that could not be read."""


_BASES: Final = np.array(["model", "extrapolated", BAD_ROW], dtype=object)


@dataclass(frozen=True, slots=True)
class Screened:
    """What a screening did: rows written, rows that could not be read, problems by line."""

    rows: int
    bad_rows: int
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Columns:
    """Which columns of the table are what: the id, and the columns of amounts with the row each has in ``to_moles``,
    and in ``to_sd`` where the amounts are of materials, whose analyses vary."""

    ident: str | None
    amounts: tuple[str, ...]
    to_moles: Array
    to_sd: Array | None = None


def screen(
    source: Path,
    out: TextIO,
    shelf: Pantry,
    *,
    basis: ScreenBasis = "mole",
    practice: Practice = "glaze",
    progress: Callable[[int], None] | None = None,
    chunk_rows: int = CHUNK_ROWS,
    guard: Callable[[str], str] = str,
) -> Screened:
    """Write one row of estimates per row of the CSV table ``source`` to ``out``.

    The first column that is no amount is the id. ``basis`` of the output is that of the expansion; what each estimate
    rests on is in the columns NAME_basis at the end. A figure that `check` would not show is left empty.

    ``basis`` says what the columns hold: moles (``mole`` and ``unity``), weight % or parts (``weight``), or raw
    materials (``recipe``). ``progress`` is told the number of rows done after each chunk.
    ``guard`` makes an id harmless in a spreadsheet.

    Raises
    ------
    ProblemsError
        if the table cannot be opened, or no column is an oxide (a material, for ``recipe``).
    """
    rows = bad = 0
    problems: list[Problem] = []
    columns: _Columns | None = None
    for chunk in _chunks(source, chunk_rows):
        frame = chunk.frame
        if columns is None:
            columns, remarks = _columns(frame, basis, shelf, str(source))
            problems += remarks
        moles, sd, faults = _moles(chunk, columns, str(source))
        estimates = _estimates(moles, sd, practice)
        if columns.ident in estimates:
            problems.append(_clash(columns.ident, str(source)))
            columns = replace(columns, ident=None)
        _write(_ids(frame, columns.ident, rows, guard) | estimates, out, header=rows == 0)
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


@dataclass(frozen=True, slots=True)
class _Chunk:
    """Some rows of the table as text: the line each begins on, and the cells of rows not as long as the head."""

    frame: pd.DataFrame
    lines: tuple[int, ...]
    odd_lengths: dict[int, int]


def _chunks(source: Path, chunk_rows: int) -> Iterator[_Chunk]:
    """The table in pieces. A row as long as the head, or with nothing but empty cells beyond it, is as it should be."""
    try:
        if source.exists() and not source.is_file():
            raise ProblemsError([error("not-a-file", "that is no file of rows", "give a CSV file", str(source))])
        with source.open(encoding="utf-8-sig", newline="") as stream:
            reader = csv.reader(_lines(stream))
            names = next(reader, None)
            if names is not None:
                names = [name if name.strip() else f"column {i}" for i, name in enumerate(names, start=1)]
                _check_head(names, str(source))
                yield from _pieces(reader, names, max(min(chunk_rows, CHUNK_CELLS // max(len(names), 1)), 1))
    except UnicodeDecodeError:
        raise ProblemsError([error("encoding", "not UTF-8 text", "save it as CSV UTF-8", str(source))]) from None
    except OSError as exc:
        raise ProblemsError([error("cannot-read", exc.strerror or str(exc), file=str(source))]) from None
    except csv.Error as exc:
        raise ProblemsError([error("csv", f"not a CSV table: {exc}", file=str(source))]) from None


def _lines(stream: TextIO) -> Iterator[str]:
    """The lines of a table. Raises csv.Error for one without an end."""
    while line := stream.readline(LONGEST_LINE):
        if len(line) == LONGEST_LINE:
            raise csv.Error("one of its lines has no end")
        yield line


def _check_head(names: list[str], file: str) -> None:
    if len(names) > MOST_COLUMNS:
        message = f"the table has {len(names)} columns; at most {MOST_COLUMNS} are read"
        hint = "a row is one composition, a column one oxide or material: keep those"
        raise ProblemsError([error("too-many-columns", message, hint, file, 1)])
    twice = next((name for i, name in enumerate(names) if name in names[:i]), None)
    if twice is not None:
        raise ProblemsError([error("column-twice", f"column {twice!r} stands twice", "keep one of them", file, 1)])


def _pieces(reader: Reader, names: list[str], chunk_rows: int) -> Iterator[_Chunk]:
    import pandas as pd

    width, begins = len(names), reader.line_num + 1
    rows: list[list[str]] = []
    lines: list[int] = []
    odd: dict[int, int] = {}
    for cells in reader:
        if len(cells) != width:
            if cells and (len(cells) < width or any(cells[width:])):
                odd[len(rows)] = len(cells)
            cells = (cells + [""] * width)[:width]
        rows.append(cells)
        lines.append(begins)
        begins = reader.line_num + 1
        if len(rows) == chunk_rows:
            yield _Chunk(pd.DataFrame(rows, columns=names, dtype=str), tuple(lines), odd)
            rows, lines, odd = [], [], {}
    if rows:
        yield _Chunk(pd.DataFrame(rows, columns=names, dtype=str), tuple(lines), odd)


def _columns(frame: pd.DataFrame, basis: ScreenBasis, shelf: Pantry, file: str) -> tuple[_Columns, list[Problem]]:
    amounts: list[str] = []
    rows: list[tuple[Array, Array]] = []
    others: list[str] = []
    problems: list[Problem] = []
    typed: dict[str, str] = {}
    for name in map(str, frame.columns):
        meant = _meant(name, basis, shelf)
        if meant and meant in typed:
            text = f"columns {typed[meant]!r} and {name!r} are both {meant}"
            problems.append(error("column-twice", text, "keep one, or add them up", file, 1))
        typed.setdefault(meant, name)
        row = _material_row(name, shelf) if basis == "recipe" else _oxide_row(name, basis)
        if row is not None:
            amounts.append(name)
            rows.append(row)
            continue
        others.append(name)
        problems += _unused(name, frame[name].tolist(), basis, shelf, file, is_id=len(others) == 1)
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    if not amounts:
        what = "a material" if basis == "recipe" else "an oxide such as SiO2"
        raise ProblemsError(
            [error("no-columns", f"no column is headed by {what}", _other_basis(others, basis, shelf), file, 1)]
        )
    more = len(problems) - MOST_UNUSED
    if more > 1:
        problems[MOST_UNUSED:] = [remark("unused-column", f"{more} more columns are not used", file=file, line=1)]
    moles, sd = (np.array(part) for part in zip(*rows, strict=True))
    ident = others[0] if others else None
    return _Columns(ident, tuple(amounts), moles, sd if basis == "recipe" else None), problems


def _meant(name: str, basis: ScreenBasis, shelf: Pantry) -> str:
    """The oxide or material that a column's head means; nothing for any other column."""
    if basis != "recipe":
        return find_oxide(name) or ""
    material = shelf.find(name)
    return "" if material is None else material.name


def _clash(ident: str, file: str) -> Problem:
    message = f"column {ident!r} has the name of an estimate and cannot hold the ids: the rows are numbered"
    return remark("unused-column", message, "call it otherwise to keep it", file, 1)


def _other_basis(names: list[str], basis: ScreenBasis, shelf: Pantry) -> str:
    """The hint for a table without a column of ``basis``: the other basis, where its columns speak for it."""
    if basis != "recipe" and any(shelf.find(name) for name in names):
        return "its columns are headed by materials: add --basis recipe"
    if basis == "recipe" and any(find_oxide(name) for name in names):
        return "its columns are headed by oxides: say what they hold with --basis mole, weight or unity"
    return "see glazecalc screen --help"


def _unused(name: str, cells: list[str], basis: ScreenBasis, shelf: Pantry, file: str, is_id: bool) -> list[Problem]:
    """A column that is no amount: an error where it holds numbers and its head is close to one that would be known."""
    slip = "" if not _all_numbers(cells) else _slip(name, basis, shelf, is_id)
    if slip:
        return [error("unknown-column", f"column {name!r} is not known", f"did you mean {slip}?", file, 1)]
    if is_id:
        return []
    return [remark("unused-column", f"column {name!r} is not used", file=file, line=1)]


def _slip(name: str, basis: ScreenBasis, shelf: Pantry, is_id: bool) -> str:
    if basis != "recipe":
        return (suggest_oxide(name) or "") if any(c.isdigit() for c in name) else ""
    return "" if is_id and len(name) < 4 else next(iter(very_close(name, shelf.names())), "")


def _all_numbers(cells: list[str]) -> bool:
    """Whether every cell that holds anything, and at least one, is a number."""
    written = [cell for cell in cells if cell.strip()]
    try:
        return bool([float(cell) for cell in written])
    except ValueError:
        return False


def _oxide_row(name: str, basis: ScreenBasis) -> tuple[Array, Array] | None:
    symbol = find_oxide(name)
    if symbol is None:
        return None
    row = np.zeros(len(OXIDES))
    row[INDEX[symbol]] = 1.0
    return (moles_from_weight_percent(row) if basis == "weight" else row), np.zeros(len(OXIDES))


def _material_row(name: str, shelf: Pantry) -> tuple[Array, Array] | None:
    material = shelf.find(name)
    if material is None:
        return None
    one = compose(np.ones((1, 1)), material_table([material]))
    return one.moles[0], one.moles_sd[0]


def _moles(chunk: _Chunk, columns: _Columns, file: str) -> tuple[Array, Array | None, list[Problem]]:
    """Moles (n, k) of a chunk with their standard deviation, if known, nan rows where one cannot be read, and a
    problem for each of those."""
    import pandas as pd

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        cells = chunk.frame.loc[:, list(columns.amounts)]
        blank = cells.apply(lambda column: column.str.strip() == "").to_numpy()
        numbers = cells.apply(pd.to_numeric, errors="coerce").to_numpy(dtype=float)
    numbers = np.where(blank, 0.0, numbers)
    with np.errstate(invalid="ignore"):
        bad_cell = np.asarray(~np.isfinite(numbers) | (numbers < 0) | (numbers > LARGEST_AMOUNT))
    numbers = np.where(bad_cell, 0.0, numbers)
    moles = numbers @ columns.to_moles
    sd = None if columns.to_sd is None else np.sqrt(np.square(numbers) @ np.square(columns.to_sd))
    bad: NDArray[np.bool_] = bad_cell.any(axis=1) | ~(moles.sum(axis=1) > 0)
    bad[list(chunk.odd_lengths)] = True
    moles[bad] = np.nan
    return moles, sd, [_fault(chunk, columns, bad_cell, int(i), file) for i in np.flatnonzero(bad)]


def _fault(chunk: _Chunk, columns: _Columns, bad_cell: NDArray[np.bool_], row: int, file: str) -> Problem:
    line = chunk.lines[row]
    if row in chunk.odd_lengths:
        message = f"{chunk.odd_lengths[row]} cells where the head has {len(chunk.frame.columns)}: no estimate"
        hint = "put a text that holds a comma between quotes, and write decimals with a point"
        return remark("bad-row", message, hint, file, line)
    where = np.flatnonzero(bad_cell[row])
    if not len(where):
        return remark("empty-row", "nothing but zeros: no estimate", file=file, line=line)
    name = columns.amounts[int(where[0])]
    cell = str(chunk.frame.iloc[row][name])[:40]
    return remark("bad-row", f"{name} is {cell!r}, not an amount: no estimate", file=file, line=line)


def _estimates(moles: Array, sd: Array | None, practice: Practice) -> dict[str, list[str]]:
    """The columns of estimates: each with its interval, the basis of the expansion, then the basis of each.

    A figure too far outside the models' data to be told is left out; its basis says so.
    """
    good: NDArray[np.bool_] = np.asarray(np.isfinite(moles).all(axis=1))
    filled = np.where(good[:, None], moles, 1.0)
    relative_sd = None if sd is None else sd / filled.sum(axis=1, keepdims=True)
    found = glaze_arrays(mole_fractions(filled), practice=practice, sd=relative_sd)
    table: dict[str, list[str]] = {}
    for name, p in found.items():
        told = good & ~(p.extrapolated & too_wide(p.value, p.low, p.high, p.unit))
        for suffix, values in (("", p.value), ("_low", p.low), ("_high", p.high)):
            table[name + suffix] = _figures(np.where(told, values, np.nan))
    bases = {n: _BASES[np.where(good, p.extrapolated, 2).astype(int)].tolist() for n, p in found.items()}
    return table | {"basis": bases["expansion"]} | {f"{name}_basis": basis for name, basis in bases.items()}


def _figures(values: Array) -> list[str]:
    """Numbers as they are written; nothing where there is none."""
    return [f"{value:.{DIGITS}g}" if value == value else "" for value in values.tolist()]


def _ids(frame: pd.DataFrame, ident: str | None, first_row: int, guard: Callable[[str], str]) -> dict[str, list[str]]:
    if ident is None:
        return {"row": [str(number) for number in range(first_row + 1, first_row + 1 + len(frame))]}
    return {guard(ident): [guard(cell) for cell in frame[ident]]}


def _write(table: dict[str, list[str]], out: TextIO, header: bool) -> None:
    writer = csv.writer(out, lineterminator="\n")
    if header:
        writer.writerow(table)
    writer.writerows(zip(*table.values(), strict=True))
