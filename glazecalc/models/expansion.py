"""Mean linear expansion of a glaze below its glass transition, from its oxides, and which oxides push it.

Fitted on measured glasses (see ``docs/models/expansion.md``): mostly means from 20 to 300 degC. In a glaze from a kiln
zircon and tin oxide above a small solubility are grains in the glass.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Final

import numpy as np

from glazecalc.models.domain import FITTED, coefficients, place
from glazecalc.models.filler import MOST_GRAINS, Grains, expansion_with_grains, grains
from glazecalc.models.prediction import Practice, Prediction
from glazecalc.models.surface import (
    SIGMA_PER_NINETY,
    as_compositions,
    fitted_model,
    predict,
    slopes,
    term_slopes,
    terms,
)
from glazecalc.values.arrays import Array

# Points and weights of Gauss quadrature, from the eigenvalues of the Jacobi matrix of its polynomials.


@cache
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
    """Mean linear expansion [1e-6/K] with its 90 % interval, for compositions of shape (n, k) in the fixed order.

    A ``glaze`` with more zircon or tin oxide than its melt takes up is glass with grains in it (:mod:`.filler`). How
    far that lies from the same oxides all melted is added to its interval, for how much a melt takes up in a firing is
    known roughly. In a ``glass`` all is melted.
    """
    melted = melted_expansion(mole_fractions, practice=practice)
    white = grains(melted.mole_fractions) if practice == "glaze" else None
    return melted if white is None else _with_grains(melted, white)


def melted_expansion(mole_fractions: Array, *, practice: Practice = "glaze") -> Prediction:
    """The same of a melt that was poured when all was dissolved, as a frit is."""
    return predict(KEY, mole_fractions, practice)


def _with_grains(melted: Prediction, white: Grains) -> Prediction:
    """``melted`` with the rows that hold grains replaced."""
    rows = np.flatnonzero(white.share > 0.0)
    with np.errstate(invalid="ignore"):  # between grains alone there is no glass, and nothing is known
        glass = melted_expansion(white.melt[rows], practice=melted.practice)
    value = expansion_with_grains(glass.value, white.zircon[rows], white.tin[rows])
    half = np.hypot(0.5 * (glass.high - glass.low), value - melted.value[rows])
    parts: dict[str, Any] = {
        "value": value,
        "low": value - half,
        "high": value + half,
        "sigma": half * SIGMA_PER_NINETY,
    }
    parts["extrapolated"] = glass.extrapolated | (white.share[rows] > MOST_GRAINS)
    for name, part in parts.items():
        parts[name] = getattr(melted, name).copy()
        parts[name][rows] = part
    return replace(melted, **parts)


_STEP: Final = 1e-4
"""Over which a slope is taken where there are grains [mole fraction]."""


def expansion_slopes(mole_fractions: Array) -> Array:
    """Change of expansion as an oxide takes the place of silica, shape (n, 16) [1e-6/K per mole fraction]."""
    x = as_compositions(mole_fractions)
    slope, white = slopes(KEY, x), grains(x)
    if white is not None and (rows := np.flatnonzero(white.share > 0.0)).size:
        whole = x[rows].sum(axis=1)
        for i in range(1, len(FITTED)):
            away = np.zeros_like(x[rows])
            away[:, 0], away[:, i] = -_STEP * whole, _STEP * whole
            with np.errstate(invalid="ignore"):  # what nothing is known of stays unknown
                slope[rows, i] = (expansion(x[rows] + away).value - expansion(x[rows] - away).value) / (2.0 * _STEP)
    return slope


@dataclass(frozen=True, slots=True, eq=False)
class Contributions:
    """Why an expansion is what it is.

    ``push`` (n, 17) [1e-6/K]: what each oxide of :data:`oxides` adds against the reference, put in or taken out in
    exchange for silica; the last is tin oxide, which counts only as grains. ``reference`` (16,) is the reference
    composition [mole fraction] and ``reference_value`` its expansion; ``reference_value + push.sum(axis=1)`` is the
    expansion of each composition.
    """

    oxides: tuple[str, ...]
    push: Array
    reference: Array
    reference_value: float


def contributions(mole_fractions: Array) -> Contributions:
    """What each oxide pushes the expansion up or down against the average glaze-range glass of the fit.

    The slope of every oxide is averaged along the straight way from the reference to the composition (Aumann and
    Shapley's way to share a total), so that the pushes add up to the whole difference. What grains change counts to
    the oxide that they are of.
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
    push = np.vstack([push, np.zeros(len(x))])
    push[[FITTED.index("ZrO2"), -1]] += _pushes_of_grains(x)
    oxides = (*FITTED, "SnO2")
    return Contributions(oxides, push.T, reference, float(model.surface.at(terms(reference[:, None]))[0]))


def _pushes_of_grains(x: Array) -> Array:
    """What grains of zircon, and then those of tin oxide, change in the expansion of the melted glaze, (2, n)."""
    white = grains(x)
    if white is None:
        return np.zeros((2, len(x)))
    melted, glass = melted_expansion(x).value, melted_expansion(white.melt).value
    zircon = expansion_with_grains(glass, white.zircon, np.zeros(len(x)))
    both = expansion_with_grains(glass, white.zircon, white.tin)
    return np.where(white.share > 0.0, np.stack([zircon - melted, both - zircon]), 0.0)
