"""Products of a small matrix with a wide one, on one thread.

A linear algebra library hands a product to a second thread as soon as it is a little larger than these pieces; for
matrices this thin the hand-over costs more than the product, many times more on a busy machine.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_PIECE: Final = 384
"""Columns at a time: keeps a product of 25 x 31 x columns, and a row times 24 x columns, below the hand-over."""


def small_product(left: Array, right: Array) -> Array:
    """``left @ right`` for a small left, shape (m, p) or (p,), and a wide right, shape (p, n)."""
    n = right.shape[1]
    if n <= _PIECE:
        return np.asarray(left @ right)
    out = np.empty((*left.shape[:-1], n))
    for start in range(0, n, _PIECE):
        out[..., start : start + _PIECE] = left @ right[:, start : start + _PIECE]
    return out
