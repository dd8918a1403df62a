"""Rows of estimates as CSV text: figures of six significant digits, all at once.

``%.6g`` of a number from 1 to 999999 is a number of six digits with a point in it: eight bytes, kept as one integer and
put together by shifts. The few others, and those whose sixth digit stands too close to a half, go the usual way.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Sequence
from typing import Final, TextIO

import numpy as np
from numpy.typing import NDArray

from glazecalc.jobs.screening.estimates import BASES, Estimated
from glazecalc.values.arrays import Array

Words = NDArray[np.uint64]

DIGITS: Final = 6
"""Significant digits written; the intervals are far wider."""
_POWERS: Final = 10.0 ** np.arange(DIGITS)
_THREE: Final = np.array([int.from_bytes(b"%03d" % i, "little") for i in range(1000)], dtype="<u8")
"""Three digits as text."""
_ENDING: Final = np.array([3 if i == 0 else 2 if i % 100 == 0 else 1 if i % 10 == 0 else 0 for i in range(1000)])
"""How many noughts three digits end with."""
_FIRST: Final = np.array([(1 << 8 * i) - 1 for i in range(8)], dtype="<u8")
"""Masks of the first bytes."""
_SHIFT: Final = np.array([8 * i for i in range(8)], dtype="<u8")
_POINT, _COMMA, _OTHER, _END = (np.array(ord(c), dtype="<u8") for c in ".,\1\n")
_ROWS: Final = 1_000
"""Rows put into words at a time, so that they stay in cache."""
_TIE: Final = 1e-6
"""How near a half the digits beyond the sixth may come before the usual way has to round."""
_SPECIAL: Final = re.compile('[,"\r\n]')


class CsvOut:
    """A CSV table of estimates, written chunk by chunk; ``guard`` makes an id harmless in a spreadsheet."""

    def __init__(self, out: TextIO, guard: Callable[[str], str] = str) -> None:
        self.out = out
        self.guard = guard
        self.begun = False

    def write(self, ident: str, ids: Sequence[object], found: Estimated) -> None:
        """Write some rows, after the head where they are the first."""
        if not self.begun:
            self.begun = True
            csv.writer(self.out, lineterminator="\n").writerow([self.guard(ident), *found.heads()])
        first = [_quoted(self.guard(str(cell))) for cell in ids]
        rows = zip(first, figure_lines(found.figures), _tails(found), strict=True)
        self.out.write("".join([f"{cell},{figures}{tail}\n" for cell, figures, tail in rows]))

    def close(self) -> None:
        """Nothing is left to be done."""


def _quoted(cell: str) -> str:
    """A cell as the standard library's writer puts it."""
    if not _SPECIAL.search(cell):
        return cell
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerow([cell, ""])
    return stream.getvalue()[:-2]


def _tails(found: Estimated) -> list[str]:
    """What stands behind the figures of each row: bases, and the kinds of the intervals."""
    kinds = list(found.interval_columns().values())
    columns = np.stack(list(found.basis_codes().values()), axis=1)
    combinations, which = np.unique(columns @ (3 ** np.arange(columns.shape[1])), return_inverse=True)
    texts = []
    for combination in combinations.tolist():
        bases = [BASES[combination // 3**at % 3] for at in range(columns.shape[1])]
        texts.append(",".join([*bases, *kinds]))
    return [texts[i] for i in which.tolist()]


def figure_lines(figures: Array) -> list[str]:
    """Each row of ``figures`` (n, m) as text, a comma behind each figure; nothing stands for nan.

    >>> figure_lines(np.array([[1126.5, 7.0, np.nan], [99.99999, 0.1 + 0.2, -3e-7]]))
    ['1126.5,7,,', '100,0.3,-3e-07,']
    """
    lines: list[str] = []
    for start in range(0, len(figures), _ROWS):
        lines += _lines(figures[start : start + _ROWS])
    return lines


def _lines(figures: Array) -> list[str]:
    n, m = figures.shape
    words = np.empty((n, m + 1), dtype="<u8")
    words[:, m] = _END
    words[:, :m] = six_digit_words(figures)
    others = figures[words[:, :m] & np.uint64(255) == _OTHER].tolist()
    filled = words.view(np.uint8).ravel()
    text = filled[filled != 0].tobytes().decode("ascii")
    if others:
        pieces = text.split("\1")
        written = [f"{value:.{DIGITS}g}" for value in others]
        text = "".join(part for pair in zip(pieces, [*written, ""], strict=True) for part in pair)
    return text[:-1].split("\n")


def six_digit_words(figures: Array) -> Words:
    """Each figure with a comma as the eight bytes of an integer, of the same shape; nought bytes are no text.

    The byte 1 stands for a figure that has to be written otherwise.
    """
    with np.errstate(invalid="ignore"):
        inside = (figures >= 1.0) & (figures < 999_999.0)
    usual = np.where(inside, figures, 1.0)
    whole = (usual >= 10.0).astype(np.int8)
    for power in _POWERS[2:]:
        whole += usual >= power
    scaled = usual * _POWERS[DIGITS - 1 - whole]
    digits = np.rint(scaled)
    inside &= (np.abs(np.abs(scaled - digits) - 0.5) > _TIE) & (digits < 10.0**DIGITS)
    number = np.where(inside, digits, 10.0 ** (DIGITS - 1)).astype(np.int32)
    high, low = np.divmod(number, 1000)
    text = _THREE[high] | (_THREE[low] << _SHIFT[3])
    significant = DIGITS - np.where(low == 0, 3 + _ENDING[high], _ENDING[low])
    integer = _FIRST[whole + 1]
    pointed = (text & integer) | (_POINT << _SHIFT[whole + 1]) | ((text & ~integer) << _SHIFT[1])
    length = np.where(significant > whole + 1, significant + 1, whole + 1)
    words = (pointed & _FIRST[length]) | (_COMMA << _SHIFT[length])
    other = np.where(np.isnan(figures), _COMMA, _OTHER | (_COMMA << _SHIFT[1]))
    return np.asarray(np.where(inside, words, other), dtype="<u8")
