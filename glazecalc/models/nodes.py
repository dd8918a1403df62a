"""Points and weights of Gauss quadrature, from the eigenvalues of the Jacobi matrix of its polynomials.

G. H. Golub, J. H. Welsch, Calculation of Gauss quadrature rules, Math. Comp. 23 (1969) 221. numpy has the same in
``numpy.polynomial``, whose import takes longer than a whole estimate.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def normal_gauss(n: int) -> tuple[Array, Array]:
    """``n`` nodes, smallest first, and weights (summing to one) for a standard normal quantity, each of shape (n,)."""
    return _gauss(np.sqrt(np.arange(1.0, n)))


def unit_gauss(n: int) -> tuple[Array, Array]:
    """``n`` nodes, smallest first, and weights (summing to one) for a mean over 0 to 1, each of shape (n,)."""
    k = np.arange(1.0, n)
    nodes, weights = _gauss(k / np.sqrt(4.0 * k * k - 1.0))
    return 0.5 * (1.0 + nodes), weights


def _gauss(beside: Array) -> tuple[Array, Array]:
    """Nodes and weights of a symmetric weight function whose Jacobi matrix has ``beside`` beside its diagonal."""
    nodes, vectors = np.linalg.eigh(np.diag(beside, 1) + np.diag(beside, -1))
    weights = vectors[0] ** 2
    nodes, weights = 0.5 * (nodes - nodes[::-1]), 0.5 * (weights + weights[::-1])
    return nodes, weights / weights.sum()
