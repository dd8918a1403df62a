"""Which lines of a batch are additions where nothing marks them: those below a base that is whole."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

CLOSE: Final = 0.05
"""A base that adds up to 100 within this is whole [parts]."""
MOST_ADDED: Final = 0.35
"""Most of the base that what follows it may be to pass for additions (common practice, no source)."""
FEWEST: Final = 3
"""Materials that a base has at least."""
_UNITS_G: Final = (1.0, 28.349523125, 453.59237)
"""Grams, ounces, pounds [g]: a base is written to a round number of one of them."""


def first_over_the_whole(rows: Sequence[tuple[int, float, str]], blanks: Sequence[int]) -> int | None:
    """The place of the first line over a base that is whole, or None.

    ``rows`` are (line, amount, unit) in their order. A base is whole at 100; below a blank line also at tens of grams,
    ounces or pounds, for a batch of a kilogram or a bucket.

    >>> first_over_the_whole([(1, 40, ""), (2, 35, ""), (3, 25, ""), (4, 5, "")], [])
    3
    >>> first_over_the_whole([(1, 40, ""), (2, 35, ""), (3, 20, ""), (5, 5, "")], [4]) is None
    True
    """
    total = sum(amount for _, amount, _ in rows)
    for first in range(FEWEST, len(rows)):
        units = {unit for _, _, unit in rows[:first]}
        base = sum(amount for _, amount, _ in rows[:first])
        apart = any(rows[first - 1][0] < blank < rows[first][0] for blank in blanks)
        over = total - base
        alike = {unit for _, _, unit in rows[first:]} <= units | {"", "%"}
        whole = abs(base - 100) <= CLOSE or (apart and units == {"g"} and _is_round(base))
        if whole and alike and len(units) == 1 and over <= MOST_ADDED * base:
            return first
    return None


def _is_round(base_g: float) -> bool:
    return any(
        base_g >= 10 * unit and math.isclose(base_g / unit, 10 * round(base_g / unit / 10), rel_tol=1e-4)
        for unit in _UNITS_G
    )
