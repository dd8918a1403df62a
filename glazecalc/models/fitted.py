"""A fitted surface: a quadratic in the oxides and their balances, with a spread that depends on the composition.

``value = constant + linear . z + z . Q . z`` with z the 24 terms of :mod:`glazecalc.models.terms`, and
``ln(half width) = s0 + s . z + s_d d`` with d the distance from the data. Everything is one pass over blocks of rows
that stay in the processor's cache.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.domain import Domain, Placed, coefficients, domain, place
from glazecalc.models.prediction import Practice, Prediction
from glazecalc.models.product import small_product
from glazecalc.models.terms import SIZE, fill_balances, term_slopes, terms

Array = NDArray[np.float64]

BLOCK: Final = 4096
"""Rows worked on at a time, so that the arrays stay in cache."""
SIGMA_PER_NINETY: Final = 1.0 / 1.6448536269514722
_WIDEST: Final = 3.0
"""Natural logarithm of how much wider than the typical spread an interval may grow with distance."""


@dataclass(frozen=True, slots=True)
class Surface:
    """Coefficients of one quadratic: ``constant``, ``linear`` (24,), ``square`` (24, 24) upper triangle."""

    constant: float
    linear: Array
    square: Array

    def at(self, z: Array) -> Array:
        """Value, shape (n,), at terms of shape (24, n)."""
        product = small_product(self.square.T, z)
        product += self.linear[:, None]
        value: Array = np.einsum("ij,ij->j", product, z)
        value += self.constant
        return value

    def slopes(self, z: Array, with_oxides: Array) -> Array:
        """Slope with each oxide, shape (16, n), given the terms' own slopes (24, 16, n)."""
        with_terms = (self.square + self.square.T) @ z + self.linear[:, None]
        slope: Array = np.einsum("tn,ton->on", with_terms, with_oxides)
        return slope


@dataclass(frozen=True, slots=True)
class Spread:
    """How far measured glasses lie from a surface: half width of the 90 % interval by composition.

    ``weights`` (24,) on the terms and ``distance`` on the distance from the data give its natural logarithm;
    ``per_small_percent`` is what each mole % of small additions adds in quadrature, ``allowance`` what practice adds.
    """

    constant: float
    weights: Array
    distance: float
    largest: float
    per_small_percent: float
    allowance: float
    stretch: float

    def half_width(self, z: Array, placed: Placed, practice: Practice) -> Array:
        """Half width of the 90 % interval, shape (n,), in the unit of the property."""
        log_width = small_product(self.weights, z)
        log_width += self.constant
        log_width += self.distance * placed.distance
        width = np.exp(np.minimum(log_width, self.largest))
        width *= width
        small = placed.small * (100.0 * self.per_small_percent)
        width += small * small
        if practice == "glaze":
            width += self.allowance**2
        half: Array = np.sqrt(width)
        np.multiply(half, self.stretch, out=half, where=placed.outside)
        return half


def surface_from(held: dict[str, object]) -> Surface:
    """A surface as it is written in a coefficient file."""
    square = np.zeros((SIZE, SIZE))
    square[np.triu_indices(SIZE)] = np.asarray(held["square_upper"], dtype=float)
    return Surface(float(str(held["constant"])), np.asarray(held["linear"], dtype=float), square)


def spread_from(held: dict[str, object]) -> Spread:
    """A spread as it is written in a coefficient file."""
    number = {key: float(str(value)) for key, value in held.items() if key != "weights"}
    return Spread(weights=np.asarray(held["weights"], dtype=float), **number)


@dataclass(frozen=True, slots=True)
class FittedModel:
    """A property with its surface, its spread and the domain it was fitted on."""

    key: str
    name: str
    unit: str
    surface: Surface
    spread: Spread
    where: Domain


@cache
def fitted_model(key: str) -> FittedModel:
    """The fitted model in ``coefficients/<key>.json``."""
    held = coefficients(key)
    return FittedModel(
        key=key,
        name=held["name"],
        unit=held["unit"],
        surface=surface_from(held["surface"]),
        spread=spread_from(held["spread"]),
        where=domain(key),
    )


def as_compositions(mole_fractions: Array) -> Array:
    """The caller's array as float, shape (n, k). Raises ValueError for another shape."""
    x = np.asarray(mole_fractions, dtype=float)
    width = len(_width())
    if x.ndim != 2 or x.shape[1] != width:
        raise ValueError(f"mole fractions must have shape (n, {width}), not {x.shape}")
    return x


def _width() -> tuple[str, ...]:
    from glazecalc.values.oxides import SYMBOLS

    return SYMBOLS


def blocks(n: int) -> Iterator[slice]:
    """Consecutive slices of at most :data:`BLOCK` rows."""
    return (slice(start, min(start + BLOCK, n)) for start in range(0, n, BLOCK))


def predict(key: str, mole_fractions: Array, practice: Practice) -> Prediction:
    """Value and 90 % interval of a fitted property for compositions of shape (n, k) in the fixed oxide order."""
    model, x = fitted_model(key), as_compositions(mole_fractions)
    value, half = np.empty(len(x)), np.empty(len(x))
    outside = np.empty(len(x), dtype=bool)
    for rows in blocks(len(x)):
        z = np.empty((SIZE, rows.stop - rows.start))
        placed = place(x[rows], model.where, z[:16])
        fill_balances(z)
        value[rows] = model.surface.at(z)
        half[rows] = model.spread.half_width(z, placed, practice)
        outside[rows] = placed.outside
    return Prediction(
        name=model.name,
        unit=model.unit,
        value=value,
        low=value - half,
        high=value + half,
        sigma=half * SIGMA_PER_NINETY,
        extrapolated=outside,
        mole_fractions=x,
        model=key,
        practice=practice,
        sources=("sciglass",),
    )


def slopes(key: str, mole_fractions: Array) -> Array:
    """Slope of a fitted property with each fitted oxide in place of silica, shape (n, 16) [unit per mole fraction]."""
    model, x = fitted_model(key), as_compositions(mole_fractions)
    fitted = place(x, model.where).fitted
    raw = model.surface.slopes(terms(fitted), term_slopes(fitted))
    return (raw - raw[0]).T
