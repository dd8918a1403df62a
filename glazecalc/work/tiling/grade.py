"""A graded series for one clay: tiles in even steps of expansion, from sure to craze to sure not to."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SURE: Final = 0.03
"""Below this chance of crazing, or above one less it, a further rung would tell little."""


def rungs(expansion: Array, crazing: Array | None, known: NDArray[np.bool_], count: int) -> list[int]:
    """Rows of a series in even steps of expansion, lowest first.

    ``expansion`` (n,) [1e-6/K]; ``crazing`` (n,) probabilities, None without a clay: then the whole range is graded.
    Rows the models do not know (``known`` False) are left out while enough others are there.
    """
    usable = np.flatnonzero(known) if int(known.sum()) >= count else np.arange(len(expansion))
    order = usable[np.argsort(expansion[usable], kind="stable")]
    if crazing is not None:
        order = _window(order, crazing, count)
    values = expansion[order]
    wanted = np.linspace(values[0], values[-1], count)
    taken: list[int] = []
    for i, target in enumerate(wanted):
        low = taken[-1] + 1 if taken else 0
        high = len(order) - (count - i - 1)
        near = int(np.argmin(np.abs(values[low:high] - target))) + low
        taken.append(near)
    return [int(order[i]) for i in taken]


def _window(order: NDArray[np.intp], crazing: Array, count: int) -> NDArray[np.intp]:
    """The part of a series where the outcome is in doubt, one row of each sure end with it."""
    p = crazing[order]
    doubtful = np.flatnonzero((p > SURE) & (p < 1 - SURE))
    if not len(doubtful):
        return order
    first, last = max(int(doubtful[0]) - 1, 0), min(int(doubtful[-1]) + 1, len(order) - 1)
    while last - first + 1 < count and (first > 0 or last < len(order) - 1):
        first, last = max(first - 1, 0), min(last + 1, len(order) - 1)
    return order[first : last + 1]
