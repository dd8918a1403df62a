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
"""Columns at a time: keeps a row times 24 x columns below the hand-over."""
_LARGEST: Final = 64**3
"""Multiplications at a time: keeps a product of two matrices below the hand-over."""


def small_product(left: Array, right: Array, out: Array | None = None) -> Array:
    """``left @ right`` for a small left, shape (m, p) or (p,), and a wide right, shape (p, n); into ``out``."""
    n = right.shape[1]
    answer = np.empty((*left.shape[:-1], n)) if out is None else out
    columns = max(min(_PIECE, _LARGEST // left.size), 1)
    for start in range(0, n, columns):
        piece = slice(start, start + columns)
        np.matmul(left, right[:, piece], out=answer[..., piece])
    return answer
