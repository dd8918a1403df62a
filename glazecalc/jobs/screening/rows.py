"""Some rows of a table, however they were read: their cells as text, their amounts as numbers, where they stand."""

from __future__ import annotations

import warnings
from abc import ABC, abstractmethod
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.arrays import Array

if TYPE_CHECKING:
    import pandas as pd

CHUNK_ROWS: Final = 50_000
CHUNK_CELLS: Final = 5_000_000
"""Cells held at a time: a wide table comes in shorter chunks."""
MOST_COLUMNS: Final = 1_000


class Rows(ABC):
    """Rows of a table whose columns are ``names``; ``odd_lengths`` are the cells of rows not as long as the head."""

    names: tuple[str, ...]
    odd_lengths: dict[int, int]

    @abstractmethod
    def __len__(self) -> int:
        """How many rows."""

    @abstractmethod
    def cells(self, name: str) -> list[str]:
        """A column as text."""

    @abstractmethod
    def amounts(self, names: Sequence[str]) -> Array:
        """Columns as numbers, shape (n, c): nothing in a blank cell is 0, what is no number is nan."""

    @abstractmethod
    def place(self, row: int) -> tuple[int | None, str]:
        """The line a row begins on, or None and words for where it stands."""

    def values(self, name: str) -> Any:
        """A column as it is kept, for a table whose columns have kinds."""
        return self.cells(name)

    def cell(self, row: int, name: str) -> str:
        """One cell as text."""
        return self.cells(name)[row]


class TextRows(Rows):
    """Rows read as text: a pandas frame of strings, and the line each begins on."""

    def __init__(self, frame: pd.DataFrame, lines: Sequence[int], odd_lengths: dict[int, int] | None = None) -> None:
        self.frame = frame
        self.names = tuple(map(str, frame.columns))
        self.lines = lines
        self.odd_lengths = odd_lengths or {}

    def __len__(self) -> int:
        return len(self.frame)

    def cells(self, name: str) -> list[str]:
        """A column as text."""
        return [str(cell) for cell in self.frame[name].tolist()]

    def cell(self, row: int, name: str) -> str:
        """One cell as text."""
        return str(self.frame.iloc[row][name])

    def amounts(self, names: Sequence[str]) -> Array:
        """Columns as numbers, shape (n, c)."""
        return numbers_in(self.frame.loc[:, list(names)])

    def place(self, row: int) -> tuple[int | None, str]:
        """The line a row begins on."""
        return self.lines[row], ""


class FrameRows(TextRows):
    """Rows of a frame whose columns have kinds: in a column of numbers a missing value is a blank cell."""

    def __init__(self, frame: pd.DataFrame, first_row: int = 1) -> None:
        super().__init__(frame, range(first_row, first_row + len(frame)))

    def cells(self, name: str) -> list[str]:
        """A column as text."""
        column = self.frame[name]
        return ["" if gone else str(cell) for cell, gone in zip(column.tolist(), column.isna(), strict=True)]

    def amounts(self, names: Sequence[str]) -> Array:
        """Columns as numbers, shape (n, c)."""
        import pandas as pd

        found = np.empty((len(self), len(names)))
        for at, name in enumerate(names):
            column = self.frame[name]
            if pd.api.types.is_numeric_dtype(column.dtype) and not pd.api.types.is_bool_dtype(column.dtype):
                found[:, at] = column.to_numpy(dtype=float, na_value=np.nan)
                found[np.isnan(found[:, at]), at] = 0.0
            else:
                found[:, at] = numbers_in(pd.DataFrame({name: pd.Series(self.cells(name), dtype=str)}))[:, 0]
        return found

    def place(self, row: int) -> tuple[int | None, str]:
        """Words for where a row stands."""
        return None, f"row {self.lines[row]}: "


def numbers_in(cells: pd.DataFrame) -> Array:
    """Columns of text as numbers, shape (n, c): 0 in a blank cell, nan where it is no number."""
    import pandas as pd

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        blank = cells.apply(lambda column: column.str.strip() == "").to_numpy(dtype=bool)
        numbers = cells.apply(pd.to_numeric, errors="coerce").to_numpy(dtype=float)
    return np.where(blank, 0.0, numbers)


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
