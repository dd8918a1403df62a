"""The head of a table on a card: which column holds the materials, which their amounts."""

from __future__ import annotations

import csv
import re
from typing import Final, NamedTuple

from glazecalc.files.lines import ONLY_AMOUNT

_NAME_COLUMNS: Final = {"material", "materials", "ingredient", "ingredients", "name", "oxide", "raw material", "item"}
_AMOUNT_COLUMNS: Final = {
    "amount", "amt", "%", "percent", "percentage", "parts", "grams", "gram", "g", "weight", "quantity", "qty", "mass",
    "parts by weight", "weight %", "batch", "amount (g)", "amount (%)", "weight (g)", "moles", "mole", "mol", "value",
}  # fmt: skip
_ADDITION_COLUMNS: Final = {"addition", "add", "additional", "is addition"}


class Columns(NamedTuple):
    """The places of a table's columns, counted from 0, and what parts its cells (\\0 where only blanks do)."""

    delimiter: str
    name: int
    amount: int
    addition: int | None
    heads: tuple[str, ...]
    others: frozenset[int] = frozenset()
    """Further columns of amounts."""

    @property
    def width(self) -> int:
        """Cells of a row."""
        return len(self.heads)


def columns_of(line: str) -> Columns | None:
    """The columns that a line heads, or None where it heads no table.

    >>> columns_of("material,A,B").others, columns_of("Whiting, silica, talc") is None
    (frozenset({2}), True)
    """
    for delimiter in ("\t", ";", ",", "|"):
        cells = [cell.casefold().strip() for cell in cells_of(line, delimiter)]
        names = [i for i, cell in enumerate(cells) if cell in _NAME_COLUMNS]
        amounts = [i for i, cell in enumerate(cells) if cell in _AMOUNT_COLUMNS]
        if names and amounts:
            extra = [i for i, cell in enumerate(cells) if cell in _ADDITION_COLUMNS]
            added = extra[0] if extra else None
            return Columns(delimiter, names[0], amounts[0], added, tuple(cells), frozenset(amounts[1:]))
        if len(cells) > 2 and names == [0] and cells[0] != "name" and all(_HEAD.fullmatch(cell) for cell in cells):
            return Columns(delimiter, 0, 1, None, tuple(cells), frozenset(range(2, len(cells))))
    spaced = [cell.casefold().strip() for cell in re.split(r"\s{2,}", line) if cell.strip()]
    others = spaced[1:]
    headed = bool(set(others) & _AMOUNT_COLUMNS) or all(ONLY_AMOUNT.fullmatch(cell) for cell in others)
    if others and spaced[0] in _NAME_COLUMNS and headed:
        return Columns("\0", 0, 1, None, tuple(spaced))
    words = [w.casefold() for w in re.split(r"\s{2,}|\s", line) if w]
    if len(words) == 2 and words[0] in _NAME_COLUMNS and words[1] in _AMOUNT_COLUMNS:
        return Columns("\0", 0, 1, None, tuple(words))
    return None


_HEAD = re.compile(r"[^\W\d_][^,.:]{0,11}")
"""The head of a column, a word or two."""


def cells_of(line: str, delimiter: str) -> list[str]:
    """The cells of a row; quotes hold a cell together.

    >>> cells_of('Whiting,"16,5"', ",")
    ['Whiting', '16,5']
    """
    try:
        return next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        return line.split(delimiter)
