"""Estimates for a table of compositions of any length: streamed in chunks, order and ids kept, bad rows reported.

CSV goes in and out with what is always installed, faster where pyarrow is; Parquet needs pyarrow.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, TextIO

from glazecalc.jobs.estimates import ARRAY_NAMES
from glazecalc.jobs.materials import Pantry
from glazecalc.jobs.screening.estimates import estimate_rows, frame_of
from glazecalc.jobs.screening.rows import (
    CHUNK_ROWS,
    Meaning,
    ScreenBasis,
    TableRows,
    amount_test,
    clash,
    meaning_of,
    plain_rows,
    readable,
)
from glazecalc.jobs.screening.text import CsvOut
from glazecalc.models.prediction import Practice
from glazecalc.values.answers import Problem, ProblemsError, did_you_mean, error, remark

if TYPE_CHECKING:
    from glazecalc.jobs.screening.arrow import ParquetOut
    from glazecalc.jobs.screening.estimates import Frame

BASES: Final[tuple[ScreenBasis, ...]] = ("mole", "weight", "unity", "recipe")
PRACTICES: Final[tuple[Practice, ...]] = ("glaze", "glass")
MOST_REPORTED: Final = 50
"""Bad rows that are named one by one; the rest are counted."""
PARQUET: Final = ".parquet"


@dataclass(frozen=True, slots=True)
class Screened:
    """What a screening did: rows written, rows that could not be read, problems by line."""

    rows: int
    bad_rows: int
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Screening:
    """What is asked of a table: what its columns hold, what the intervals are for, and which estimates."""

    basis: ScreenBasis = "mole"
    practice: Practice = "glaze"
    names: tuple[str, ...] = ARRAY_NAMES


def screening(basis: ScreenBasis, practice: Practice, columns: Sequence[str] | None) -> Screening:
    """What is asked, with the estimates in their usual order; all of them where no ``columns`` are named.

    Raises ProblemsError for one that is none.
    """
    unknown = [name for name in columns or () if name not in ARRAY_NAMES]
    if unknown:
        hint = did_you_mean(unknown[0], ARRAY_NAMES) or f"choose among: {', '.join(ARRAY_NAMES)}"
        raise ProblemsError([error("columns", f"{unknown[0]!r} is no estimate of a table", hint)])
    return Screening(basis, practice, tuple(name for name in ARRAY_NAMES if not columns or name in columns))


def screen(
    source: Path,
    out: TextIO | Path,
    shelf: Pantry,
    *,
    basis: ScreenBasis = "mole",
    practice: Practice = "glaze",
    columns: Sequence[str] | None = None,
    progress: Callable[[int], None] | None = None,
    chunk_rows: int = CHUNK_ROWS,
    guard: Callable[[str], str] = str,
) -> Screened:
    """Write one row of estimates per row of the table ``source`` to ``out``: CSV to a stream, Parquet to a path.

    ``source`` is CSV, or Parquet where its name ends so. The first column that is no amount is the id. ``basis`` of
    the output is that of the expansion; what each estimate rests on is in the columns NAME_basis, and what its interval
    is meant for in NAME_interval. A figure that `check` would not show is left empty.

    ``basis`` says what the columns hold: moles (``mole`` and ``unity``), weight % or parts (``weight``), or raw
    materials (``recipe``). ``columns`` names the estimates that are wanted. ``progress`` is told the number of rows
    done after each chunk. ``guard`` makes an id harmless in a spreadsheet.

    Raises
    ------
    ProblemsError
        if the table cannot be opened, or no column is an oxide (a material, for ``recipe``).
    """
    asked = screening(basis, practice, columns)
    sink = _sink(out, guard)
    try:
        return _run(_chunks(source, asked, shelf, chunk_rows), sink, shelf, asked, progress, str(source))
    finally:
        sink.close()


def _run(
    chunks: Iterator[TableRows],
    sink: CsvOut | ParquetOut,
    shelf: Pantry,
    asked: Screening,
    progress: Callable[[int], None] | None,
    file: str,
) -> Screened:
    rows = bad = 0
    problems: list[Problem] = []
    meaning: Meaning | None = None
    for chunk in chunks:
        if meaning is None:
            meaning, remarks = meaning_of(chunk, asked.basis, shelf, file)
            problems += remarks
        amounts, good, faults = readable(chunk, meaning, file)
        found = estimate_rows(amounts, good, meaning, asked.practice, asked.names)
        if meaning.ident in found.heads():
            problems.append(clash(meaning.ident, file))
            meaning = replace(meaning, ident=None)
        ids = range(rows + 1, rows + 1 + len(chunk)) if meaning.ident is None else chunk.values(meaning.ident)
        sink.write("row" if meaning.ident is None else meaning.ident, ids, found)
        rows += len(chunk)
        bad += int(len(good) - good.sum())
        problems += [fault for fault, _ in zip(faults, range(len(problems), MOST_REPORTED), strict=False)]
        if progress is not None:
            progress(len(chunk))
    if meaning is None:
        raise ProblemsError([error("empty-table", "the table has no rows", file=file)])
    if bad > MOST_REPORTED:
        problems.append(remark("more-bad-rows", f"{bad} rows in all could not be read", file=file))
    return Screened(rows, bad, tuple(problems))


def estimate_frame(frame: Frame, shelf: Pantry, asked: Screening) -> Frame:
    """The estimates of a frame, row by row under the same index."""
    rows = TableRows(frame)
    meaning, _ = meaning_of(rows, asked.basis, shelf, "frame")
    amounts, good, _ = readable(rows, meaning, "frame")
    return frame_of(estimate_rows(amounts, good, meaning, asked.practice, asked.names), frame.index)


def is_parquet(path: Path) -> bool:
    """Whether a table is to be taken for Parquet, by its name."""
    return path.suffix.casefold() == PARQUET


def need_arrow(path: Path) -> None:
    """Raise ProblemsError where pyarrow is missing."""
    from glazecalc.jobs.screening.arrow import has_arrow

    if not has_arrow():
        hint = "pip install 'glazecalc[tables]', or use CSV"
        raise ProblemsError([error("no-pyarrow", "Parquet needs the package pyarrow", hint, str(path))])


def count_rows(source: Path) -> int:
    """About how many rows a table has, for a progress bar; 1 where it cannot be read."""
    if is_parquet(source):
        from glazecalc.jobs.screening.arrow import rows_in_parquet

        need_arrow(source)
        return rows_in_parquet(source)
    try:
        with source.open("rb") as stream:
            return sum(block.count(b"\n") for block in iter(lambda: stream.read(1 << 20), b""))
    except OSError:
        return 1


def _sink(out: TextIO | Path, guard: Callable[[str], str]) -> CsvOut | ParquetOut:
    if not isinstance(out, Path):
        return CsvOut(out, guard)
    from glazecalc.jobs.screening.arrow import ParquetOut

    need_arrow(out)
    return ParquetOut(out)


def _chunks(source: Path, asked: Screening, shelf: Pantry, chunk_rows: int) -> Iterator[TableRows]:
    """The table in pieces. Raises ProblemsError where it cannot be read."""
    from glazecalc.jobs.screening.arrow import csv_blocks, has_arrow, parquet_rows

    try:
        if source.exists() and not source.is_file():
            what = "give a CSV or Parquet file"
            raise ProblemsError([error("not-a-file", "that is no file of rows", what, str(source))])
        if is_parquet(source):
            need_arrow(source)
            yield from parquet_rows(source, chunk_rows)
        elif has_arrow():
            yield from csv_blocks(source, amount_test(asked.basis, shelf), chunk_rows)
        else:
            yield from plain_rows(source, chunk_rows)
    except UnicodeDecodeError:
        raise ProblemsError([error("encoding", "not UTF-8 text", "save it as CSV UTF-8", str(source))]) from None
    except OSError as exc:
        raise ProblemsError([error("cannot-read", exc.strerror or str(exc), file=str(source))]) from None
    except csv.Error as exc:
        raise ProblemsError([error("csv", f"not a CSV table: {exc}", file=str(source))]) from None
