"""Mean linear expansion of a glaze below its glass transition, from its oxides, and which oxides push it.

Fitted on measured glasses (see ``docs/models/expansion.md``): mostly means from 20 to 300 degC.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from glazecalc.models.domain import FITTED, coefficients, place
from glazecalc.models.prediction import Practice, Prediction
from glazecalc.models.surface import as_compositions, fitted_model, predict, slopes, term_slopes, terms
from glazecalc.values.arrays import Array

# Points and weights of Gauss quadrature, from the eigenvalues of the Jacobi matrix of its polynomials.


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


KEY: Final = "expansion"
_POINTS: Final = 16
"""Points along the straight way from the reference to a composition at which slopes are taken."""


def expansion(mole_fractions: Array, *, practice: Practice = "glaze") -> Prediction:
    """Mean linear expansion [1e-6/K] with its 90 % interval, for compositions of shape (n, k) in the fixed order."""
    return predict(KEY, mole_fractions, practice)


def expansion_slopes(mole_fractions: Array) -> Array:
    """Change of expansion as an oxide takes the place of silica, shape (n, 16) [1e-6/K per mole fraction]."""
    return slopes(KEY, mole_fractions)


@dataclass(frozen=True, slots=True, eq=False)
class Contributions:
    """Why an expansion is what it is.

    ``push`` (n, 16) [1e-6/K]: what each oxide of :data:`oxides` adds against the reference, put in or taken out in
    exchange for silica. ``reference`` (16,) is the reference composition [mole fraction] and ``reference_value`` its
    expansion; ``reference_value + push.sum(axis=1)`` is the expansion of each composition.
    """

    oxides: tuple[str, ...]
    push: Array
    reference: Array
    reference_value: float


def contributions(mole_fractions: Array) -> Contributions:
    """What each oxide pushes the expansion up or down against the average glaze-range glass of the fit.

    The slope of every oxide is averaged along the straight way from the reference to the composition (Aumann and
    Shapley's way to share a total), so that the pushes add up to the whole difference.
    """
    model, x = fitted_model(KEY), as_compositions(mole_fractions)
    fitted = place(x, model.where).fitted
    reference = np.array(coefficients(KEY)["domain"]["centre"])
    step = fitted - reference[:, None]
    push = np.zeros_like(step)
    for node, weight in zip(*unit_gauss(_POINTS), strict=True):
        at = reference[:, None] + node * step
        slope = model.surface.slopes(terms(at), term_slopes(at))
        push += weight * (slope - slope[0]) * step
    return Contributions(FITTED, push.T, reference, float(model.surface.at(terms(reference[:, None]))[0]))
