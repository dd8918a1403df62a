"""Some rows of a table, however they were read: their cells as text, their amounts as numbers, where they stand."""

from __future__ import annotations

import csv
import io
import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal, TextIO

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import compose, material_table, moles_from_weight_percent, vector
from glazecalc.chemistry.oxides import OXIDES
from glazecalc.jobs.materials import Pantry, very_close
from glazecalc.values.answers import Problem, ProblemsError, error, remark, stop_at_errors
from glazecalc.values.arrays import Array
from glazecalc.values.oxides import find_oxide, suggest_oxide
from glazecalc.values.texts import phrase, typed

if TYPE_CHECKING:
    from _csv import Reader

    import pandas as pd

CHUNK_ROWS: Final = 50_000
CHUNK_CELLS: Final = 5_000_000
"""Cells held at a time: a wide table comes in shorter chunks."""
MOST_COLUMNS: Final = 1_000


@dataclass(eq=False)
class TableRows:
    """Rows of a table as a pandas frame, and the line each begins on; without lines they are told by their number, of
    which ``first`` is the first.

    ``odd_lengths`` are the cells of rows not as long as the head. In a column of numbers a missing value is a blank
    cell. ``kept`` holds the columns by name as they were read, where they have kinds that a frame has not.
    """

    frame: pd.DataFrame
    lines: Sequence[int] | None = None
    odd_lengths: dict[int, int] = field(default_factory=dict)
    first: int = 1
    kept: Any = None

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The heads of the columns."""
        return tuple(map(str, self.frame.columns))

    def __len__(self) -> int:
        return len(self.frame)

    def cells(self, name: str) -> list[str]:
        """A column as text."""
        column = self.frame[name]
        texts = map(str, column.tolist())
        if not column.hasnans:
            return list(texts)
        return ["" if gone else text for text, gone in zip(texts, column.isna(), strict=True)]

    def cell(self, row: int, name: str) -> str:
        """One cell as text."""
        return str(self.frame[name].iloc[row])

    def amounts(self, names: Sequence[str]) -> Array:
        """Columns as numbers, shape (n, c): nothing in a blank cell is 0, what is no number is nan."""
        import pandas as pd

        found = np.empty((len(self), len(names)))
        for at, name in enumerate(names):
            column = self.frame[name]
            if pd.api.types.is_numeric_dtype(column.dtype) and not pd.api.types.is_bool_dtype(column.dtype):
                found[:, at] = column.to_numpy(dtype=float, na_value=np.nan)
                found[np.isnan(found[:, at]), at] = 0.0
                continue
            cells = column if self.lines is not None else pd.Series(self.cells(name), dtype=str)
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                numbers = pd.to_numeric(cells, errors="coerce").to_numpy(dtype=float)
            found[:, at] = np.where(cells.str.strip() == "", 0.0, numbers)
        return found

    def place(self, row: int) -> tuple[int | None, str]:
        """The line a row begins on, or None and words for where it stands."""
        return (None, f"row {self.first + row}: ") if self.lines is None else (self.lines[row], "")

    def values(self, name: str) -> Any:
        """A column as it was read, for a table whose columns have kinds."""
        return self.cells(name) if self.kept is None else self.kept[name]


def check_head(names: Sequence[str], file: str) -> None:
    """Raise ProblemsError for a head of too many columns or of the same name twice."""
    if len(names) > MOST_COLUMNS:
        message = f"the table has {len(names)} columns; at most {MOST_COLUMNS} are read"
        hint = "a row is one composition, a column one oxide or material: keep those"
        raise ProblemsError([error("too-many-columns", message, hint, file, 1)])
    twice = next((name for i, name in enumerate(names) if name in names[:i]), None)
    if twice is not None:
        raise ProblemsError([error("column-twice", f"column {twice!r} stands twice", "keep one of them", file, 1)])


def named(names: Sequence[str]) -> tuple[str, ...]:
    """The heads of the columns; one without a head is called by its place."""
    return tuple(name if name.strip() else f"column {i}" for i, name in enumerate(names, start=1))


def rows_at_a_time(most: int, columns: int) -> int:
    """How many rows of so many columns are held at a time."""
    return max(min(most, CHUNK_CELLS // max(columns, 1)), 1)


# Which rows of a table can be read, and what is wrong with the others.

LARGEST_AMOUNT: Final = 1e12
"""No cell holds an amount beyond this; sums of larger ones leave the range of floating point."""


def readable(rows: TableRows, meaning: Meaning, file: str) -> tuple[Array, NDArray[np.bool_], Iterator[Problem]]:
    """The amounts (n, c), the rows (n,) that can be read, and a problem for each of the others."""
    names = meaning.amounts
    numbers = rows.amounts(names)
    with np.errstate(invalid="ignore"):
        bad_cell = np.asarray(~np.isfinite(numbers) | (numbers < 0) | (numbers > LARGEST_AMOUNT))
    numbers[bad_cell] = 0.0
    bad: NDArray[np.bool_] = bad_cell.any(axis=1) | ~(numbers @ meaning.to_moles.sum(axis=1) > 0)
    bad[list(rows.odd_lengths)] = True
    return numbers, ~bad, (_fault(rows, names, bad_cell, int(i), file) for i in np.flatnonzero(bad))


def _fault(rows: TableRows, names: Sequence[str], bad_cell: NDArray[np.bool_], row: int, file: str) -> Problem:
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


# The rows of a CSV table, in pieces, with the standard library's reader: the plain way, which reads whatever is CSV.

LONGEST_LINE: Final = 5_000_000
"""A line of more signs is no row of a table [characters]."""


def plain_rows(source: Path, chunk_rows: int) -> Iterator[TableRows]:
    """The table in pieces. A row as long as the head, or with nothing but empty cells beyond it, is as it should be.

    Raises OSError, UnicodeDecodeError and csv.Error.
    """
    with source.open(encoding="utf-8-sig", newline="") as stream:
        reader = csv.reader(_lines(stream))
        head = next(reader, None)
        if head is not None:
            names = named(head)
            check_head(names, str(source))
            yield from _pieces(reader, names, chunk_rows, reader.line_num + 1)


def rest_of(source: Path, offset: int, names: tuple[str, ...], chunk_rows: int, first_line: int) -> Iterator[TableRows]:
    """The rows from byte ``offset`` on, which is the beginning of line ``first_line``."""
    with source.open("rb") as raw:
        raw.seek(offset)
        with io.TextIOWrapper(raw, encoding="utf-8", newline="") as stream:
            yield from _pieces(csv.reader(_lines(stream)), names, chunk_rows, first_line)


def rows_in(block: bytes, names: tuple[str, ...], chunk_rows: int, first_line: int) -> Iterator[TableRows]:
    """The rows of some whole lines."""
    stream = io.StringIO(block.decode("utf-8"), newline="")
    yield from _pieces(csv.reader(_lines(stream)), names, chunk_rows, first_line)


def _lines(stream: TextIO) -> Iterator[str]:
    """The lines of a table. Raises csv.Error for one without an end."""
    while line := stream.readline(LONGEST_LINE):
        if len(line) == LONGEST_LINE:
            raise csv.Error("one of its lines has no end")
        yield line


def _pieces(reader: Reader, names: tuple[str, ...], chunk_rows: int, first_line: int) -> Iterator[TableRows]:
    import pandas as pd

    width, before = len(names), first_line - 1 - reader.line_num
    most = rows_at_a_time(chunk_rows, width)
    begins = first_line
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
        begins = before + reader.line_num + 1
        if len(rows) == most:
            yield TableRows(pd.DataFrame(rows, columns=list(names), dtype=str), lines, odd)
            rows, lines, odd = [], [], {}
    if rows:
        yield TableRows(pd.DataFrame(rows, columns=list(names), dtype=str), lines, odd)


# What the columns of a table mean: amounts of oxides or materials, the id, and those that are not used.

ScreenBasis = Literal["mole", "weight", "unity", "recipe"]
MOST_UNUSED: Final = 10
"""Unused columns that are named one by one; the rest are counted."""


@dataclass(frozen=True, slots=True, eq=False)
class Meaning:
    """Which columns of a table are what: the id, and the columns of amounts with the row each has in ``to_moles``,
    and in ``to_sd`` where the amounts are of materials, whose analyses vary."""

    ident: str | None
    amounts: tuple[str, ...]
    to_moles: Array
    to_sd: Array | None = None


def amount_test(basis: ScreenBasis, shelf: Pantry) -> Callable[[str], bool]:
    """Tells by its head whether a column holds amounts."""
    return lambda name: bool(_meant(name, basis, shelf))


def meaning_of(table: TableRows, basis: ScreenBasis, shelf: Pantry, file: str) -> tuple[Meaning, list[Problem]]:
    """What the columns mean, judged by their heads and the first rows, and what was noticed.

    Raises ProblemsError if no column is an oxide (a material, for ``recipe``), or one is an obvious slip.
    """
    amounts: list[str] = []
    rows: list[tuple[Array, Array]] = []
    others: list[str] = []
    problems: list[Problem] = []
    typed: dict[str, str] = {}
    for name in table.names:
        meant = _meant(name, basis, shelf)
        if meant and meant in typed:
            text = f"columns {typed[meant]!r} and {name!r} are both {meant}"
            problems.append(error("column-twice", text, "keep one, or add them up", file, 1))
        typed.setdefault(meant, name)
        if meant:
            amounts.append(name)
            rows.append(_row(name if basis == "recipe" else meant, basis, shelf))
            continue
        others.append(name)
        problems += _unused(name, table.cells(name), basis, shelf, file, is_id=len(others) == 1)
    stop_at_errors(problems)
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
    return Meaning(ident, tuple(amounts), moles, sd if basis == "recipe" else None), problems


def _meant(name: str, basis: ScreenBasis, shelf: Pantry) -> str:
    """The oxide or material that a column's head means; nothing for any other column."""
    if basis != "recipe":
        return find_oxide(name) or ""
    material = shelf.find(name)
    return "" if material is None else material.name


def clash(ident: str, file: str) -> Problem:
    """What is said of an id column whose head is the name of an estimate."""
    message = f"column {ident!r} has the name of an estimate and cannot hold the ids: the rows are numbered"
    return remark("unused-column", message, "call it otherwise to keep it", file, 1)


def _other_basis(names: list[str], basis: ScreenBasis, shelf: Pantry) -> str:
    """The hint for a table without a column of ``basis``: the other basis, where its columns speak for it."""
    if basis != "recipe" and any(shelf.find(name) for name in names):
        return "its columns are headed by materials: add --basis recipe"
    if basis == "recipe" and any(find_oxide(name) for name in names):
        return phrase("its columns are headed by oxides: say what they hold| with --basis| mole, weight or unity")
    return typed("see glazecalc screen --help")


def _unused(name: str, cells: list[str], basis: ScreenBasis, shelf: Pantry, file: str, is_id: bool) -> list[Problem]:
    """A column that is no amount: an error where it holds numbers and its head is close to one that would be known."""
    slip = None
    if _all_numbers(cells) and basis != "recipe" and any(c.isdigit() for c in name):
        slip = suggest_oxide(name)
    elif _all_numbers(cells) and basis == "recipe" and not (is_id and len(name) < 4):
        slip = next(iter(very_close(name, shelf.names())), None)
    if slip:
        return [error("unknown-column", f"column {name!r} is not known", f"did you mean {slip}?", file, 1)]
    return [] if is_id else [remark("unused-column", f"column {name!r} is not used", file=file, line=1)]


def _all_numbers(cells: list[str]) -> bool:
    """Whether every cell that holds anything, and at least one, is a number."""
    written = [cell for cell in cells if cell.strip()]
    try:
        return bool([float(cell) for cell in written])
    except ValueError:
        return False


def _row(name: str, basis: ScreenBasis, shelf: Pantry) -> tuple[Array, Array]:
    """What one of a column that holds amounts is: moles of each oxide, and their standard deviation."""
    if basis == "recipe":
        one = compose(np.ones((1, 1)), material_table([m for m in (shelf.find(name),) if m is not None]))
        return one.moles[0], one.moles_sd[0]
    row = vector({name: 1.0})
    return (moles_from_weight_percent(row) if basis == "weight" else row), np.zeros(len(OXIDES))
