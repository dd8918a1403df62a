"""The rows of a CSV table, in pieces, with the standard library's reader: the plain way, which reads whatever is CSV.

Every cell is read as text, so that an id such as ``06`` stays what it is.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final, TextIO

from glazecalc.jobs.screening.rows import CHUNK_CELLS, TextRows, check_head, named

if TYPE_CHECKING:
    from _csv import Reader

LONGEST_LINE: Final = 5_000_000
"""A line of more signs is no row of a table [characters]."""


def plain_rows(source: Path, chunk_rows: int) -> Iterator[TextRows]:
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


def rest_of(source: Path, offset: int, names: tuple[str, ...], chunk_rows: int, first_line: int) -> Iterator[TextRows]:
    """The rows from byte ``offset`` on, which is the beginning of line ``first_line``."""
    with source.open("rb") as raw:
        raw.seek(offset)
        with io.TextIOWrapper(raw, encoding="utf-8", newline="") as stream:
            yield from _pieces(csv.reader(_lines(stream)), names, chunk_rows, first_line)


def rows_in(block: bytes, names: tuple[str, ...], chunk_rows: int, first_line: int) -> Iterator[TextRows]:
    """The rows of some whole lines."""
    stream = io.StringIO(block.decode("utf-8"), newline="")
    yield from _pieces(csv.reader(_lines(stream)), names, chunk_rows, first_line)


def _lines(stream: TextIO) -> Iterator[str]:
    """The lines of a table. Raises csv.Error for one without an end."""
    while line := stream.readline(LONGEST_LINE):
        if len(line) == LONGEST_LINE:
            raise csv.Error("one of its lines has no end")
        yield line


def _pieces(reader: Reader, names: tuple[str, ...], chunk_rows: int, first_line: int) -> Iterator[TextRows]:
    import pandas as pd

    width, before = len(names), first_line - 1 - reader.line_num
    most = max(min(chunk_rows, CHUNK_CELLS // max(width, 1)), 1)
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
            yield TextRows(pd.DataFrame(rows, columns=list(names), dtype=str), lines, odd)
            rows, lines, odd = [], [], {}
    if rows:
        yield TextRows(pd.DataFrame(rows, columns=list(names), dtype=str), lines, odd)
