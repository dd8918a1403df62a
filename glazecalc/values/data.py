"""The shipped data: where they are, the one way to read a table, and cells that are safe in a spreadsheet."""

from __future__ import annotations

import csv
import math
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Final, NamedTuple, TypeVar, get_type_hints

from glazecalc.values.answers import sigma_of

Row = TypeVar("Row")
"""A class of named tuples."""


@cache
def data_root() -> Path:
    """Folder that holds ``materials/`` and ``recipes/``: inside an installed wheel, else the repository.

    Raises
    ------
    FileNotFoundError
        if neither place has the data: the installation is broken.
    """
    package = Path(__file__).resolve().parent.parent
    for root in (package / "_data", package.parent):
        if (root / "materials" / "sources.csv").is_file():
            return root
    raise FileNotFoundError("the data tables of glazecalc are missing; install it again")


def read_csv(path: Path) -> tuple[dict[str, str], ...]:
    """Rows of a table by the names of its columns, every cell as text (a cone is a name)."""
    with path.open(encoding="utf-8", newline="") as stream:
        return tuple(csv.DictReader(stream))


@cache
def read_table(name: str) -> tuple[dict[str, str], ...]:
    """Rows of the shipped table ``materials/<name>.csv``."""
    return read_csv(data_root() / "materials" / f"{name}.csv")


_CELLS: Final[dict[Any, Callable[[str], Any]]] = {
    str: str,
    int: int,
    float: float,
    bool: "yes".__eq__,
    tuple[str, ...]: lambda cell: tuple(part for part in cell.split(";") if part),
    tuple[float, ...]: lambda cell: tuple(float(part) for part in cell.split(";") if part),
}
"""How a cell is read, by the type of its field."""


def rows_as(kind: type[Row], rows: Iterable[Mapping[str, str]]) -> tuple[Row, ...]:
    """Rows as named tuples of ``kind``, whose fields are named as the columns they are read from."""
    reads = {name: _CELLS[of] for name, of in get_type_hints(kind).items()}
    return tuple(kind(**{name: read(row[name]) for name, read in reads.items()}) for row in rows)


class TableFigure(NamedTuple):
    """A figure of a shipped table with its range: middle, 5 and 95 % points, unit, source id."""

    value: float
    low: float
    high: float
    unit: str
    source: str

    @property
    def sigma(self) -> float:
        """Standard deviation of the figure taken as normal, in its unit."""
        return sigma_of(self.low, self.high)

    @property
    def sigma_ln(self) -> float:
        """Standard deviation of the natural logarithm of the figure taken as lognormal."""
        return sigma_of(0.0, math.log(self.high / self.low))


@cache
def figures(table: str) -> dict[str, TableFigure]:
    """The figures of a shipped table by the names in its first column."""
    rows = read_table(table)
    return dict(zip((next(iter(row.values())) for row in rows), rows_as(TableFigure, rows), strict=True))


@cache
def sources() -> dict[str, str]:
    """Source id -> one printable line saying where the figure comes from and how it was obtained."""
    return {row["id"]: f"{row['citation']} [{row['how']}]" for row in read_table("sources")}


# Cells that a spreadsheet could take for a formula.

_PARTS: Final = re.compile(r"([;\t\r\n])")
"""What parts cells or rows for a spreadsheet that takes a semicolon or a tab between cells: quotes around a cell that
begins elsewhere do not help there, so each part is a cell of its own."""
_STARTS: Final = frozenset("=+-@|%\N{FULLWIDTH EQUALS SIGN}\N{FULLWIDTH PLUS SIGN}\N{FULLWIDTH HYPHEN-MINUS}"
                           "\N{FULLWIDTH COMMERCIAL AT}\N{MINUS SIGN}")  # fmt: skip
_NUMBER: Final = re.compile(r"-(\d+\.?\d*|\.\d+)(e[+-]?\d+)?\s*", re.ASCII | re.IGNORECASE)
_UNSEEN: Final = frozenset(("Cc", "Cf", "Zs", "Zl", "Zp"))
"""Unicode categories: control, format and the three sorts of separators."""


def acts_as_formula(text: str) -> bool:
    """Whether a spreadsheet could take ``text`` for a formula; what it sees first decides.

    >>> acts_as_formula(" =1+1"), acts_as_formula("-3.5"), acts_as_formula("3 - 1"), acts_as_formula("")
    (True, True, False, False)
    """
    if text[:1].isalnum():
        return False
    if text[:1] in ("\t", "\r", "\n"):
        return True
    return next((sign for sign in text if unicodedata.category(sign) not in _UNSEEN), "") in _STARTS


def guarded(cell: str) -> str:
    """``cell`` such that no spreadsheet takes any of it for a formula, whatever it parts cells by; plain numbers stay.

    >>> guarded("=1+1"), guarded("-3.5"), guarded("plain"), guarded("a;=1+1"), guarded("a; b")
    ("'=1+1", '-3.5', 'plain', "a;'=1+1", 'a; b')
    """
    pieces = _PARTS.split(cell)
    pieces[::2] = [f"'{part}" if _needs_guard(part) else part for part in pieces[::2]]
    if pieces[0] == "" and cell:  # a cell that begins with a tab or a line end
        pieces[0] = "'"
    return "".join(pieces)


def unguarded(cell: str) -> str:
    """The cell before :func:`guarded`.

    >>> unguarded("'=1+1"), unguarded("'tis"), unguarded("a;'=1+1")
    ('=1+1', "'tis", 'a;=1+1')
    """
    pieces = _PARTS.split(cell)
    if pieces[0] == "'" and len(pieces) > 1:
        pieces[0] = ""
    pieces[::2] = [part[1:] if part[:1] == "'" and _needs_guard(part[1:]) else part for part in pieces[::2]]
    return "".join(pieces)


def _needs_guard(cell: str) -> bool:
    return cell[:1] == "'" or (acts_as_formula(cell) and _NUMBER.fullmatch(cell) is None)
