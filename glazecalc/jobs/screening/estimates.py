"""Estimates of any number of rows at once, the same to the last bit however a table is cut into pieces.

A product of matrices rounds its last rows otherwise than the others where they do not fill a piece. Rows are therefore
worked on in blocks of one length, the last filled up to a whole number of the pieces of
:func:`glazecalc.models.domain.small_product`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import Array, mole_fractions
from glazecalc.jobs.estimates import ARRAY_NAMES, glaze_arrays
from glazecalc.jobs.screening.rows import Meaning
from glazecalc.models.domain import PIECE
from glazecalc.models.prediction import Practice, Prediction, interval_kind
from glazecalc.models.surface import BLOCK
from glazecalc.values.answers import too_wide

if TYPE_CHECKING:
    import pandas as pd
    from pandas import DataFrame as Frame

BASES: Final = ("model", "extrapolated", "error")
"""What the columns of bases say; the last of a row that could not be read."""
ENDS: Final = ("", "_low", "_high")


@dataclass(frozen=True, slots=True, eq=False)
class Estimated:
    """Estimates of n rows: ``figures`` (n, 3 m) holds value, low and high of each of the m ``estimates``.

    A figure that `check` would not show, or of a row that could not be read, is nan. ``bases`` (n, m) are places in
    :data:`BASES`. ``units`` and ``kinds`` say of each estimate its unit and what its intervals are meant for.
    """

    estimates: tuple[str, ...]
    figures: Array
    bases: NDArray[np.int8]
    units: dict[str, str]
    kinds: dict[str, Practice]

    def __len__(self) -> int:
        return len(self.figures)

    @property
    def figure_names(self) -> tuple[str, ...]:
        """The heads of the columns of ``figures``."""
        return tuple(name + end for name in self.estimates for end in ENDS)

    def basis_codes(self) -> dict[str, NDArray[np.int8]]:
        """The columns of bases, as places in :data:`BASES`; ``basis`` is that of the expansion."""
        each = {f"{name}_basis": np.ascontiguousarray(self.bases[:, at]) for at, name in enumerate(self.estimates)}
        return {"basis": each["expansion_basis"], **each} if "expansion_basis" in each else each

    def interval_columns(self) -> dict[str, Practice]:
        """The columns that say what the intervals are meant for, each the same in every row."""
        return {f"{name}_interval": kind for name, kind in self.kinds.items()}

    def heads(self) -> tuple[str, ...]:
        """The heads of all columns in their order."""
        return (*self.figure_names, *self.basis_codes(), *self.interval_columns())


def estimate_rows(
    amounts: Array,
    good: NDArray[np.bool_],
    meaning: Meaning,
    practice: Practice,
    names: Sequence[str] = ARRAY_NAMES,
) -> Estimated:
    """Estimates ``names`` of n rows of amounts (n, c), whose columns are those of ``meaning``.

    ``good`` (n,) marks the rows that could be read.
    """
    n = len(amounts)
    figures = np.empty((n, 3 * len(names)))
    bases = np.empty((n, len(names)), dtype=np.int8)
    units: dict[str, str] = {}
    kinds: dict[str, Practice] = {}
    for start in range(0, max(n, 1), BLOCK):
        rows = slice(start, min(start + BLOCK, n))
        found = _block(_filled_up(amounts[rows], good[rows]), meaning, practice, names)
        for at, name in enumerate(names):
            p = found[name]
            units[name], kinds[name] = p.unit, interval_kind(p.model, practice)
            _put(p, good[rows], figures[rows, 3 * at : 3 * at + 3], bases[rows, at])
    return Estimated(tuple(names), figures, bases, units, kinds)


def _filled_up(amounts: Array, good: NDArray[np.bool_]) -> Array:
    """The amounts of a block, ones where they could not be read, and rows of ones up to whole pieces."""
    filled = np.ones((max(-(-len(amounts) // PIECE), 1) * PIECE, amounts.shape[1]))
    filled[: len(amounts)][good] = amounts[good]
    return filled


def _block(amounts: Array, meaning: Meaning, practice: Practice, names: Sequence[str]) -> dict[str, Prediction]:
    moles = _by_pieces(amounts, meaning.to_moles)
    sd = None
    if meaning.to_sd is not None:
        sd = np.sqrt(_by_pieces(np.square(amounts), np.square(meaning.to_sd))) / moles.sum(axis=1, keepdims=True)
    return glaze_arrays(mole_fractions(moles), practice=practice, sd=sd, names=names)


def _by_pieces(rows: Array, matrix: Array) -> Array:
    """The product of ``rows`` (n, c) with a matrix (c, k), piece by piece."""
    found = np.empty((len(rows), matrix.shape[1]))
    for start in range(0, len(rows), PIECE):
        np.matmul(rows[start : start + PIECE], matrix, out=found[start : start + PIECE])
    return found


def _put(p: Prediction, good: NDArray[np.bool_], figures: Array, bases: NDArray[np.int8]) -> None:
    """One estimate's figures (n, 3) and bases (n,) for the first n rows of a prediction."""
    n = len(good)
    value, low, high, outside = p.value[:n], p.low[:n], p.high[:n], p.extrapolated[:n]
    shown = good & ~(outside & too_wide(value, low, high, p.unit))
    for at, numbers in enumerate((value, low, high)):
        figures[:, at] = np.where(shown, numbers, np.nan)
    bases[:] = np.where(good, outside, 2)


# Estimates as a pandas frame.

KINDS: Final = ("glaze", "glass")


def frame_of(found: Estimated, index: pd.Index) -> Frame:
    """A column per figure and per basis, under ``index``.

    What is no figure is a category, always of the same categories, so that frames of parts of a table go together.
    """
    import pandas as pd

    columns: dict[str, Any] = {name: found.figures[:, at] for at, name in enumerate(found.figure_names)}
    for name, codes in found.basis_codes().items():
        columns[name] = pd.Categorical.from_codes(codes, list(BASES))
    for name, kind in found.interval_columns().items():
        columns[name] = pd.Categorical.from_codes(np.full(len(found), KINDS.index(kind), dtype=np.int8), list(KINDS))
    return pd.DataFrame(columns, index=index)
