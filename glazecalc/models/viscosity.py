"""Viscosity of the melt at any temperature, and the temperature at any viscosity, each with its 90 % interval.

``T(l) = S0 + S1 u + S2 u^2`` with ``l`` = log10 viscosity [Pa.s], ``u = 1 / (l + 3)`` and T in degC. S0, S1, S2 are
quadratics in the oxides and their balances, with terms for how nearly flux balances alumina, fitted on measured melts.
Below the temperature at log10 viscosity 3 the curve is bent so that it meets the transition. With S2 = 0 it is the
Vogel-Fulcher-Tammann equation (G. S. Fulcher, J. Am. Ceram. Soc. 8 (1925) 339), whose limit of log10 viscosity at
infinite temperature is -3.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glazecalc.models.domain import FITTED, Domain, coefficients, domain, small_product
from glazecalc.models.filler import MOST_GRAINS, grains, stiffened
from glazecalc.models.prediction import Practice, Prediction
from glazecalc.models.surface import (
    SIGMA_PER_NINETY,
    Spread,
    Surface,
    as_compositions,
    placed_blocks,
    predict,
    spread_from,
    surface_from,
)
from glazecalc.values.arrays import Array

LIMIT: Final = -3.0
"""log10 viscosity [Pa.s] that the curve approaches at infinite temperature."""
SOFTENING: Final = 6.6
"""log10 viscosity [Pa.s] of the softening point (after ASTM C338)."""
FITTED_LOG_VISCOSITY: Final = (-0.5, 12.6)
"""log10 viscosities [Pa.s] of the points the curve was fitted on."""
TRANSITION: Final = 12.0
"""log10 viscosity [Pa.s] at the glass transition (common practice, no source)."""
_LEAST_SLOPE: Final = 100.0
"""Least rise of temperature with u [K] that the curve keeps, so that it can be turned round everywhere."""
_LEAST_RISE: Final = 1500.0
"""The same from log10 viscosity 3 upwards: softening is then at least 56 K above the transition."""
_CENTRE: Final = 3.0
_LEAST_LEVEL: Final = -2.0
"""log10 viscosity [Pa.s] below which no melt is looked for."""
_PIVOT: Final = 1.0 / (_CENTRE - LIMIT)
_HOTTEST: Final = 1.0 / (-1.0 - LIMIT)
_COLDEST: Final = 1.0 / (13.0 - LIMIT)
"""u at log10 viscosities 3, -1 and 13: the pivot of the curve and the ends between which it keeps rising."""


def log_viscosity_to_u(log_viscosity: ArrayLike) -> Array:
    """``u = 1 / (log10 viscosity + 3)``, any shape."""
    return np.asarray(1.0 / (np.asarray(log_viscosity, dtype=float) - LIMIT))


@dataclass(frozen=True, slots=True, eq=False)
class CurveModel:
    """The three surfaces, those of melts whose alkali balances their alumina with what the balance adds to each (3, m),
    the spread at log10 viscosity 3, and how it changes along the curve."""

    surfaces: list[Surface]
    balanced: list[Surface]
    balance: Array
    spread: Spread
    along: list[float]
    where: Domain

    def widening(self, log_viscosity: Array) -> Array:
        """Factor on the half width at ``log_viscosity``, any shape."""
        step = np.clip(log_viscosity, *FITTED_LOG_VISCOSITY) - _CENTRE
        return np.asarray(np.exp(self.along[0] * step + self.along[1] * step * step))


@cache
def curve_model() -> CurveModel:
    """The curve in ``coefficients/viscosity.json``."""
    held = coefficients("viscosity")
    balanced = held["balanced"]
    surfaces, others = ([surface_from(s) for s in part["surfaces"]] for part in (held, balanced))
    balance, spread = np.array(balanced["balance"]), spread_from(held["spread"])
    return CurveModel(surfaces, others, balance, spread, held["along"], domain("viscosity"))


# A melt whose alkali just balances its alumina has no loose ends: the first few mole % of flux beyond loosen it most.

BALANCE_WIDTH: Final = 0.02
"""Share of loose flux at which its effect has fallen to 1/e [mole fraction]."""
_SHARP: Final = 0.004
_NEAR_JOIN: Final = 0.01
"""Balance below which a melt is not near a join at all."""
_ALKALIS: Final = [FITTED.index(s) for s in ("Li2O", "Na2O", "K2O")]
_EARTHS: Final = [FITTED.index(s) for s in ("MgO", "CaO", "SrO", "BaO", "ZnO")]
_BESIDE: Final = [FITTED.index(s) for s in ("Al2O3", "SiO2", "B2O3", "K2O", "Li2O")]
_AL: Final = FITTED.index("Al2O3")


def balanced(fitted: Array) -> Array:
    """How nearly alkali and alumina are balanced, nil to one, (n,), from (16, n).

    With ``n`` the moles of flux beyond alumina (a smooth zero below) and ``a`` the alkali's share of the flux it is
    ``a^3 exp(-n / width)``: lime and its like balance alumina far less tightly than alkali does.
    """
    alkali, earths = fitted[_ALKALIS].sum(axis=0), fitted[_EARTHS].sum(axis=0)
    loose = alkali + earths - fitted[_AL]
    loose = 0.5 * (loose + np.sqrt(loose * loose + _SHARP**2))
    share = alkali / (alkali + earths + 1e-3)
    return np.asarray(share**3 * np.exp(-loose / BALANCE_WIDTH))


def balance_terms(fitted: Array) -> Array:
    """:func:`balanced` alone and times alumina, silica, boric oxide, potash, lithia and alumina squared; (7, n)."""
    beside = np.vstack([np.ones(fitted.shape[1]), fitted[_BESIDE], fitted[_AL] ** 2])
    return np.asarray(balanced(fitted) * beside)


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """Curves of n melts, all arrays (n,): with ``d = u - u(3)``, ``T = at_three + d (rise + bend d)`` [degC].

    ``bend`` is ``hot`` above log10 viscosity 3 downwards and ``cold`` above it upwards. ``half_width`` [K] is at 3.
    ``glass`` is the transition, which lies on the curve at log10 viscosity 12. ``stiffer`` is how much grains stiffen
    the whole [log10 of viscosity].
    """

    at_three: Array
    rise: Array
    hot: Array
    cold: Array
    half_width: Array
    extrapolated: NDArray[np.bool_]
    mole_fractions: Array
    practice: Practice
    stiffer: Array
    glass: Prediction

    def _step(self, log_viscosity: ArrayLike) -> Array:
        level = np.maximum(np.asarray(log_viscosity, dtype=float) - self.stiffer, _LEAST_LEVEL)
        return log_viscosity_to_u(level) - _PIVOT

    def degC(self, log_viscosity: ArrayLike) -> Array:
        """Temperature [degC], shape (n,), at one log10 viscosity or one a melt."""
        step = self._step(log_viscosity)
        return np.asarray(self.at_three + step * (self.rise + step * np.where(step > 0.0, self.hot, self.cold)))

    def log_viscosity(self, degC: ArrayLike) -> Array:
        """log10 viscosity [Pa.s], shape (n,), at one temperature [degC] or one a melt.

        The quadratic is turned round in closed form. Below the temperature where u reaches zero the melt is a
        solid glass: the answer is held at log10 viscosity 30; above, u is held at the hottest point of the fit.
        """
        c = self.at_three - np.asarray(degC, dtype=float)
        root = np.sqrt(np.maximum(self.rise**2 - 4.0 * np.where(c < 0.0, self.hot, self.cold) * c, 0.0))
        u = _PIVOT - 2.0 * c / np.maximum(self.rise + root, _LEAST_SLOPE)
        return np.asarray(LIMIT + 1.0 / np.clip(u, 1.0 / 33.0, 1.0) + self.stiffer)

    def slope(self, log_viscosity: ArrayLike) -> Array:
        """Change of temperature with log10 viscosity [K], negative, shape (n,)."""
        step = self._step(log_viscosity)
        rise = self.rise + 2.0 * step * np.where(step > 0.0, self.hot, self.cold)
        return np.asarray(-np.maximum(rise, _LEAST_SLOPE) * (step + _PIVOT) ** 2)


def viscosity_curves(mole_fractions: Array, *, practice: Practice = "glaze") -> Curves:
    """Curves of melts of shape (n, k) in the fixed oxide order."""
    given = as_compositions(mole_fractions)
    white = grains(given) if practice == "glaze" else None
    x = given if white is None else white.melt
    parts, half, outside = _fitted_curves(x, practice)
    rise = np.maximum(parts[1] + 2.0 * _PIVOT * parts[2], _LEAST_RISE)
    at_three = parts[0] + _PIVOT * (parts[1] + _PIVOT * parts[2])
    glass = predict("transition", x, practice)
    cold, glass = _through_transition(at_three, rise, parts[2], half, glass)
    hot = np.maximum(parts[2], -(rise - _LEAST_SLOPE) / (2.0 * (_HOTTEST - _PIVOT)))
    share = np.zeros(len(x)) if white is None else white.share
    outside = outside | (share > MOST_GRAINS)
    glass = replace(glass, mole_fractions=given, extrapolated=glass.extrapolated | (share > MOST_GRAINS))
    return Curves(at_three, rise, hot, cold, half, outside, given, practice, stiffened(share), glass)


def _fitted_curves(x: Array, practice: Practice) -> tuple[Array, Array, NDArray[np.bool_]]:
    """S0, S1, S2 as fitted, (3, n) [K], the half width at log10 viscosity 3 [K] and what is extrapolated, (n,)."""
    model = curve_model()
    parts, half = np.empty((3, len(x))), np.empty(len(x))
    outside = np.empty(len(x), dtype=bool)
    for rows, z, work, placed in placed_blocks(x, model.where):
        half[rows] = model.spread.half_width(z, placed, practice)
        for i, surface in enumerate(model.surfaces):
            parts[i, rows] = surface.at(z, work)
        parts[:, rows] += _by_balance(z, parts[:, rows])
        outside[rows] = placed.outside
    return parts, half, outside


def _by_balance(z: Array, parts: Array) -> Array:
    """What the melts of a block whose alkali balances their alumina differ from the rest in, (3, n) [K].

    Two fits are joined: the one of all melts, and one with terms for the balance in which the few melts of the joins
    count for more. The second takes over as a melt nears a join, so that other melts stay as they were.
    """
    model, share = curve_model(), balanced(z[:16])
    if not (share > _NEAR_JOIN).any():
        return np.zeros_like(parts)
    joined = small_product(model.balance, balance_terms(z[:16]))
    for i, surface in enumerate(model.balanced):
        joined[i] += surface.at(z)
    return np.asarray(np.maximum(share - _NEAR_JOIN, 0.0) / (1.0 - _NEAR_JOIN) * (joined - parts))


def _through_transition(
    at_three: Array, rise: Array, bend: Array, half_width: Array, glass: Prediction
) -> tuple[Array, Prediction]:
    """The bend below the temperature at log10 viscosity 3 that brings curve and transition together, and the latter.

    At log10 viscosity 12 the curve and the fitted transition are two estimates of one temperature. The curve is bent
    to the transition, which is the better of the two; where they lie apart beyond both intervals, each gives way by
    its own, and what the transition gave is added to its interval. The curve rises all along, so that transition,
    softening and fluid melt are always in this order.
    """
    step = float(log_viscosity_to_u(TRANSITION)) - _PIVOT
    apart = glass.value - (at_three + step * (rise + step * bend))
    half = half_width * curve_model().widening(np.asarray(TRANSITION))
    own = 0.5 * (glass.high - glass.low)
    beyond = np.sign(apart) * np.maximum(np.abs(apart) - np.hypot(own, half), 0.0)
    meet = glass.value - beyond * own**2 / (own**2 + half**2)
    cold = (meet - at_three - step * rise) / step**2
    cold = np.minimum(cold, (rise - _LEAST_RISE) / (2.0 * (_PIVOT - _COLDEST)))
    value = at_three + step * (rise + step * cold)
    wide = own + np.abs(value - glass.value)
    return cold, replace(glass, value=value, low=value - wide, high=value + wide, sigma=wide * SIGMA_PER_NINETY)


def temperature_on(curves: Curves, log_viscosity: ArrayLike, name: str = "temperature") -> Prediction:
    """Temperature [degC] at ``log_viscosity`` [log10 Pa.s] on known curves, with its interval."""
    level = np.broadcast_to(np.asarray(log_viscosity, dtype=float), curves.half_width.shape)
    half = curves.half_width * curve_model().widening(level)
    return _on_curves(curves, name, "degC", level, curves.degC(level), half)


def glass_transition(mole_fractions: Array, *, practice: Practice = "glaze") -> Prediction:
    """Glass transition temperature [degC], where the curve meets the fitted transition, shape (n,)."""
    return viscosity_curves(mole_fractions, practice=practice).glass


def temperature_at(mole_fractions: Array, log_viscosity: ArrayLike, *, practice: Practice = "glaze") -> Prediction:
    """Temperature [degC] at which the melt has ``log_viscosity`` [log10 Pa.s]; one for all or one a row."""
    return temperature_on(viscosity_curves(mole_fractions, practice=practice), log_viscosity)


def log_viscosity_on(curves: Curves, temperature_degC: ArrayLike) -> Prediction:
    """log10 viscosity [Pa.s] at a temperature [degC] on known curves; the interval is that of temperature, turned."""
    level = curves.log_viscosity(temperature_degC)
    half = curves.half_width * curve_model().widening(level) / -curves.slope(level)
    return _on_curves(curves, "log_viscosity", "log10 Pa.s", level, level, half)


def _on_curves(curves: Curves, name: str, unit: str, level: Array, value: Array, half: Array) -> Prediction:
    """Values with their half widths at log10 viscosities ``level``, all (n,), extrapolated beyond the points fitted."""
    fluid, stiff = FITTED_LOG_VISCOSITY
    return Prediction(
        name=name,
        unit=unit,
        value=value,
        low=value - half,
        high=value + half,
        sigma=half * SIGMA_PER_NINETY,
        extrapolated=curves.extrapolated | (level < fluid) | (level > stiff),
        mole_fractions=curves.mole_fractions,
        model="viscosity",
        practice=curves.practice,
        sources=("glass_database",),
    )
