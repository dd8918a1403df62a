"""The terms a fitted model is built from: the sixteen oxides and eight balances between them.

A balance is what glass chemistry names as the turning points of a composition: alkali left over after alumina has
taken its share, what is left for boric oxide to become four-fold, mixed alkalis. Each is smooth, so a model built
on them has a slope for every oxide everywhere. Arrays here are oxide-major, shape (16, n): a row is one oxide.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

import numpy as np

from glazecalc.models.domain import FITTED, Domain, Placed, coefficients, domain, place, small_product
from glazecalc.models.filler import grains, melt_of, stiffness_with_grains
from glazecalc.models.prediction import Practice, Prediction
from glazecalc.values.answers import NINETY
from glazecalc.values.arrays import Array
from glazecalc.values.oxides import SYMBOLS

_SOFTNESS: Final = 0.02
"""How gradually a balance turns from zero to its straight line [mole fraction]."""
_FLOOR: Final = 0.01
"""Keeps a ratio finite where both of its oxides are absent [mole fraction]."""
SIZE: Final = 24
"""Terms: the sixteen oxides, then alkali over alumina; flux over alumina; the same by strength; flux over alumina and
boric oxide; boric oxide made four-fold by all flux, and by alkali; soda beside potash; lithia beside other alkali."""


def _row(**weights: float) -> list[float]:
    return [weights.get(symbol, 0.0) for symbol in FITTED]


_ALKALI: Final = dict.fromkeys(("Li2O", "Na2O", "K2O"), 1.0)
_EARTHS: Final = dict.fromkeys(("MgO", "CaO", "SrO", "BaO", "ZnO"), 1.0)
_STRENGTH: Final = {
    **dict.fromkeys(("Na2O", "K2O", "BaO"), 1.0),
    **dict.fromkeys(("CaO", "SrO"), 0.7),
    **dict.fromkeys(("Li2O", "MgO", "ZnO"), 0.3),
}
_LINEAR: Final[Array] = np.array(
    [
        _row(**_ALKALI, Al2O3=-1.0),
        _row(**_ALKALI, **_EARTHS, Al2O3=-1.0),
        _row(**_STRENGTH, Al2O3=-1.0),
        _row(**_ALKALI, **_EARTHS, Al2O3=-1.0, B2O3=-1.0),
    ]
)
_B, _LI, _NA, _K = (FITTED.index(s) for s in ("B2O3", "Li2O", "Na2O", "K2O"))


def terms(fitted: Array) -> Array:
    """The sixteen oxides and the eight balances, shape (24, n), from mole fractions, shape (16, n)."""
    out = np.empty((SIZE, fitted.shape[1]))
    out[:16] = fitted
    return fill_balances(out)


def fill_balances(out: Array) -> Array:
    """Fill the last eight rows of ``out`` (24, n) from its first sixteen, in place; returns it."""
    fitted, balances = out[:16], out[16:]
    left = small_product(_LINEAR, fitted, balances[:4])
    root = np.multiply(left, left, out=balances[4:])
    root += _SOFTNESS**2
    left += np.sqrt(root, out=root)
    left *= 0.5
    both = fitted[_NA] + fitted[_K]
    _met(fitted[_B], left[2], out[20])
    _met(fitted[_B], left[0], out[21])
    np.multiply(fitted[_NA], fitted[_K], out=out[22])
    out[22] /= both + _FLOOR
    _met(fitted[_LI], both, out[23])
    return out


def _met(first: Array, second: Array, out: Array) -> None:
    """Half the harmonic mean of two shares, finite where both are absent, into ``out``; all of shape (n,)."""
    total = first + second
    total += _FLOOR
    np.multiply(first, second, out=out)
    out /= total


def term_slopes(fitted: Array) -> Array:
    """Slope of every term with every oxide, shape (24, 16, n), for mole fractions of shape (16, n)."""
    n = fitted.shape[1]
    out = np.zeros((SIZE, 16, n))
    out[:16] = np.eye(16)[:, :, None]
    left = _LINEAR @ fitted
    rise = 0.5 * (1.0 + left / np.sqrt(left * left + _SOFTNESS**2))
    out[16:20] = _LINEAR[:, :, None] * rise[:, None, :]
    value = terms(fitted)
    for at, source in ((20, 18), (21, 16)):
        boron, flux = fitted[_B], value[source]
        below = (boron + flux + _FLOOR) ** 2
        out[at] = (boron * (boron + _FLOOR) / below) * out[source]
        out[at, _B] += flux * (flux + _FLOOR) / below
    soda, potash, lithia = fitted[_NA], fitted[_K], fitted[_LI]
    both = soda + potash
    below = (both + _FLOOR) ** 2
    out[22, _NA] = potash * (potash + _FLOOR) / below
    out[22, _K] = soda * (soda + _FLOOR) / below
    below = (both + lithia + _FLOOR) ** 2
    out[23, _LI] = both * (both + _FLOOR) / below
    out[23, _NA] = out[23, _K] = lithia * (lithia + _FLOOR) / below
    return out


# A fitted surface: a quadratic in the oxides and their balances, with a spread that depends on the composition.

BLOCK: Final = 4224
"""Rows worked on at a time, so that the arrays stay in cache: whole pieces of a product, and no power of two, with
which all rows of an array would fall on the same lines of the cache."""
SIGMA_PER_NINETY: Final = 1.0 / NINETY


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """Coefficients of one quadratic: ``constant``, and ``rows`` (25, 24): the square's columns, then the linear part.

    One product of ``rows`` with the terms gives all that has to be multiplied with them.
    """

    constant: float
    rows: Array

    def at(self, z: Array, work: Array | None = None) -> Array:
        """Value, shape (n,), at terms of shape (24, n); ``work``, (25, n), is room to work in."""
        product = small_product(self.rows, z, work)
        value: Array = np.einsum("ij,ij->j", product[:SIZE], z)
        value += product[SIZE]
        value += self.constant
        return value

    def slopes(self, z: Array, with_oxides: Array) -> Array:
        """Slope with each oxide, shape (16, n), given the terms' own slopes (24, 16, n)."""
        square, linear = self.rows[:SIZE], self.rows[SIZE]
        with_terms = (square + square.T) @ z + linear[:, None]
        slope: Array = np.einsum("tn,ton->on", with_terms, with_oxides)
        return slope


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """How far measured glasses lie from a surface: half width of the 90 % interval by composition.

    ``weights`` (24,) on the terms and ``distance`` on the distance from the data give its natural logarithm;
    ``per_small_percent`` is what each mole % of small additions adds in quadrature, up to ``small_most``; ``allowance``
    is what practice adds.
    """

    constant: float
    weights: Array
    distance: float
    largest: float
    per_small_percent: float
    allowance: float
    stretch: float
    small_most: float = math.inf

    def half_width(self, z: Array, placed: Placed, practice: Practice) -> Array:
        """Half width of the 90 % interval, shape (n,), in the unit of the property."""
        half = small_product(self.weights, z)
        half += self.constant
        half += self.distance * placed.distance
        np.exp(np.minimum(half, self.largest, out=half), out=half)
        allowance = self.allowance if practice == "glaze" else 0.0
        if allowance or placed.small is not None:
            half *= half
            half += allowance**2
            if placed.small is not None:
                half += np.square(np.minimum(placed.small * (100.0 * self.per_small_percent), self.small_most))
            np.sqrt(half, out=half)
        half[placed.outside] *= self.stretch
        return half


def surface_from(held: dict[str, object]) -> Surface:
    """A surface as it is written in a coefficient file."""
    rows = np.zeros((SIZE + 1, SIZE))
    rows[np.triu_indices(SIZE)] = np.asarray(held["square_upper"], dtype=float)
    rows[:SIZE] = rows[:SIZE].T.copy()
    rows[SIZE] = np.asarray(held["linear"], dtype=float)
    return Surface(float(str(held["constant"])), rows)


def spread_from(held: dict[str, object]) -> Spread:
    """A spread as it is written in a coefficient file."""
    number = {key: float(str(value)) for key, value in held.items() if key != "weights"}
    return Spread(weights=np.asarray(held["weights"], dtype=float), **number)


@dataclass(frozen=True, slots=True, eq=False)
class FittedModel:
    """A property with its surface, its spread and the domain it was fitted on."""

    name: str
    unit: str
    surface: Surface
    spread: Spread
    where: Domain


@cache
def fitted_model(key: str) -> FittedModel:
    """The fitted model in ``coefficients/<key>.json``."""
    held = coefficients(key)
    surface, spread = surface_from(held["surface"]), spread_from(held["spread"])
    return FittedModel(held["name"], held["unit"], surface, spread, domain(key))


def as_compositions(mole_fractions: Array) -> Array:
    """The caller's array as float, shape (n, k). Raises ValueError for another shape."""
    x = np.asarray(mole_fractions, dtype=float)
    if x.ndim != 2 or x.shape[1] != len(SYMBOLS):
        raise ValueError(f"mole fractions must have shape (n, {len(SYMBOLS)}), not {x.shape}")
    return x


def placed_blocks(x: Array, where: Domain) -> Iterator[tuple[slice, Array, Array, Placed]]:
    """Blocks of at most :data:`BLOCK` rows of ``x`` (n, k): the rows, their terms (24, m), room for products with them
    (25, m), and where they lie; each block uses the same arrays anew."""
    z_room, work_room = np.empty((SIZE, min(len(x), BLOCK))), np.empty((SIZE + 1, min(len(x), BLOCK)))
    for start in range(0, len(x), BLOCK):
        rows = slice(start, min(start + BLOCK, len(x)))
        z, work = z_room[:, : rows.stop - start], work_room[:, : rows.stop - start]
        placed = place(x[rows], where, z[:16], work[:16])
        yield rows, fill_balances(z), work, placed


def predict(key: str, mole_fractions: Array, practice: Practice) -> Prediction:
    """Value and 90 % interval of a fitted property for compositions of shape (n, k) in the fixed oxide order."""
    model, x = fitted_model(key), as_compositions(mole_fractions)
    value, low, high, sigma = (np.empty(len(x)) for _ in range(4))
    outside = np.empty(len(x), dtype=bool)
    for rows, z, work, placed in placed_blocks(x, model.where):
        half = model.spread.half_width(z, placed, practice)
        value[rows] = here = model.surface.at(z, work)
        np.subtract(here, half, out=low[rows])
        np.add(here, half, out=high[rows])
        np.multiply(half, SIGMA_PER_NINETY, out=sigma[rows])
        outside[rows] = placed.outside
    return Prediction(
        name=model.name,
        unit=model.unit,
        value=value,
        low=low,
        high=high,
        sigma=sigma,
        extrapolated=outside,
        mole_fractions=x,
        model=key,
        practice=practice,
        sources=("glass_database",),
    )


def predict_melt(key: str, mole_fractions: Array, practice: Practice) -> Prediction:
    """The same of a glaze's melt alone, without the grains of zircon and tin oxide that a kiln leaves undissolved."""
    x = as_compositions(mole_fractions)
    melt = melt_of(x, practice)
    prediction = predict(key, melt, practice)
    return prediction if melt is x else replace(prediction, mole_fractions=x)


def slopes(key: str, mole_fractions: Array) -> Array:
    """Slope of a fitted property with each fitted oxide in place of silica, shape (n, 16) [unit per mole fraction]."""
    model, x = fitted_model(key), as_compositions(mole_fractions)
    fitted = place(x, model.where).fitted
    raw = model.surface.slopes(terms(fitted), term_slopes(fitted))
    return (raw - raw[0]).T


# Liquidus temperature: above it nothing crystallises; below it a slow cooling may leave crystals.


def liquidus_temperature(mole_fractions: Array, *, practice: Practice = "glaze") -> Prediction:
    """Liquidus temperature [degC] with its 90 % interval, for compositions of shape (n, k) in the fixed oxide order."""
    return predict_melt("liquidus", mole_fractions, practice)


# Young's modulus of a glaze: how much stress a misfit makes.

_SOFTEST: Final = 1.0
"""Keeps the effect of grains finite far from the data [GPa]."""


def youngs_modulus(mole_fractions: Array, *, practice: Practice = "glaze") -> Prediction:
    """Young's modulus [GPa] with its 90 % interval, for compositions of shape (n, k) in the fixed oxide order.

    Grains of zircon and tin oxide stiffen the coat of a ``glaze``.
    """
    bare = predict_melt("modulus", mole_fractions, practice)
    white = grains(bare.mole_fractions) if practice == "glaze" else None
    if white is None:
        return bare
    glass = np.maximum(bare.value, _SOFTEST)
    stiffer = stiffness_with_grains(glass, white.zircon, white.tin) / glass
    parts = {part: getattr(bare, part) * stiffer for part in ("value", "low", "high", "sigma")}
    return replace(bare, **parts)
