"""CSV that is safe to open in a spreadsheet: no cell can act as a formula.

A text that a spreadsheet could take for a formula gets an apostrophe in front, which spreadsheets show as plain
text. Numbers stay numbers.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence

from glazecalc.values.spreadsheet import acts_as_formula

Cell = str | float | int | bool | None


def safe_cell(cell: Cell) -> str:
    """A cell as text that no spreadsheet runs.

    >>> safe_cell("=1+1"), safe_cell(-0.5), safe_cell("Silica"), safe_cell(None)
    ("'=1+1", '-0.5', 'Silica', '')
    """
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return repr(cell) if math.isfinite(cell) else ""
    text = "".join(" " if ord(c) < 32 or c in "\x7f\x85\u2028\u2029" else c for c in cell)
    return f"'{text}" if acts_as_formula(text) else text


def csv_text(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """A table as CSV: one header line, every cell safe, comma and quotes as in RFC 4180."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow([safe_cell(name) for name in header])
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return stream.getvalue()
