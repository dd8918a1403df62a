"""A table as a spreadsheet saves it: rows of text cells with line numbers, whatever its delimiter."""

from __future__ import annotations

import csv
import io
from typing import NamedTuple

from glazecalc.read.findings import Findings, quote

MOST_COLUMNS = 500
MOST_ROWS = 5_000
"""No studio has more materials than this."""


class TableRow(NamedTuple):
    """The cells of one row and the line it begins on, counted from 1."""

    line: int
    cells: tuple[str, ...]


def table_rows(text: str, found: Findings, delimiter: str | None = None) -> tuple[TableRow, ...]:
    """Rows that are not empty and no comment. A row that cannot be taken apart is an error and ends the table."""
    rows: list[TableRow] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter or delimiter_of(text), skipinitialspace=True)
    begins = 1
    try:
        for cells in reader:
            line, begins = begins, reader.line_num + 1
            if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
                continue
            if len(cells) > MOST_COLUMNS:
                found.error("too-many-cells", f"{len(cells)} cells in one row", "is this the table you meant?", line)
                continue
            if len(rows) >= MOST_ROWS:
                found.error(
                    "too-many-lines", f"the table has more than {MOST_ROWS} rows", "is this the file you meant?"
                )
                return ()
            rows.append(TableRow(line, tuple(cell.strip() for cell in cells)))
    except csv.Error as failure:
        what = "a cell is longer than 131072 characters" if "field" in str(failure) else f"not a table: {failure}"
        found.error("not-a-table", what, "is a quotation mark not closed?", begins)
    return tuple(rows)


def delimiter_of(text: str) -> str:
    """The delimiter of a table, from its first line with words: semicolon, tab or comma.

    >>> delimiter_of("name;SiO2;loi")
    ';'
    """
    for line in text[:20_000].split("\n"):
        if line.strip() and not line.lstrip().startswith("#"):
            counts = {delimiter: line.count(delimiter) for delimiter in ",;\t"}
            return max(counts, key=lambda d: counts[d]) if any(counts.values()) else ","
    return ","


def fits_head(row: TableRow, columns: int, found: Findings) -> bool:
    """Whether a row has no more filled cells than the table has columns; an error otherwise."""
    if len(row.cells) <= columns or not any(row.cells[columns:]):
        return True
    found.error(
        "too-many-cells",
        f"{len(row.cells)} cells where the head of the table has {columns}: {quote(row.cells[columns])} is left over",
        "put a text or a number with a comma between quotes",
        row.line,
    )
    return False
