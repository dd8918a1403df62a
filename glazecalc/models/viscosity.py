"""Viscosity of the melt at any temperature, and the temperature at any viscosity, each with its 90 % interval.

``T(l) = S0 + S1 u + S2 u^2`` with ``l`` = log10 viscosity [Pa.s], ``u = 1 / (l + 3)`` and T in degC. S0, S1, S2 are
quadratics in the oxides and their balances, fitted on measured melts. With S2 = 0 it is the Vogel-Fulcher-Tammann
equation (G. S. Fulcher, J. Am. Ceram. Soc. 8 (1925) 339), whose limit of log10 viscosity at infinite temperature is -3.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glazecalc.models.domain import Domain, coefficients, domain, place
from glazecalc.models.prediction import Practice, Prediction
from glazecalc.models.surface import (
    SIGMA_PER_NINETY,
    Spread,
    Surface,
    as_compositions,
    blocks,
    fill_balances,
    room,
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
_LEAST_SLOPE: Final = 100.0
"""Least rise of temperature with u [K] that the curve keeps, so that it can be turned round everywhere."""
_CENTRE: Final = 3.0


def log_viscosity_to_u(log_viscosity: ArrayLike) -> Array:
    """``u = 1 / (log10 viscosity + 3)``, any shape."""
    return np.asarray(1.0 / (np.asarray(log_viscosity, dtype=float) - LIMIT))


@dataclass(frozen=True, slots=True, eq=False)
class CurveModel:
    """The three surfaces, their spread at log10 viscosity 3, and how the spread changes along the curve."""

    surfaces: tuple[Surface, Surface, Surface]
    spread: Spread
    along: tuple[float, float]
    where: Domain

    def widening(self, log_viscosity: Array) -> Array:
        """Factor on the half width at ``log_viscosity``, any shape."""
        step = np.clip(log_viscosity, *FITTED_LOG_VISCOSITY) - _CENTRE
        return np.asarray(np.exp(self.along[0] * step + self.along[1] * step * step))


@cache
def curve_model() -> CurveModel:
    """The curve in ``coefficients/viscosity.json``."""
    held = coefficients("viscosity")
    first, second, third = (surface_from(s) for s in held["surfaces"])
    along = held["along"]
    return CurveModel((first, second, third), spread_from(held["spread"]), (along[0], along[1]), domain("viscosity"))


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """Curves of n melts: ``parts`` (3, n) are S0, S1, S2 [K]; ``half_width`` [K] is at log10 viscosity 3."""

    parts: Array
    half_width: Array
    extrapolated: NDArray[np.bool_]
    mole_fractions: Array
    practice: Practice

    def degC(self, log_viscosity: ArrayLike) -> Array:
        """Temperature [degC], shape (n,), at one log10 viscosity or one a melt."""
        u = log_viscosity_to_u(log_viscosity)
        return np.asarray(self.parts[0] + u * (self.parts[1] + u * self.parts[2]))

    def log_viscosity(self, degC: ArrayLike) -> Array:
        """log10 viscosity [Pa.s], shape (n,), at one temperature [degC] or one a melt.

        The quadratic is turned round in closed form. Below the temperature where u reaches zero the melt is a
        solid glass: the answer is held at log10 viscosity 30; above, u is held at the hottest point of the fit.
        """
        s0, s1, s2 = self.parts
        c = s0 - np.asarray(degC, dtype=float)
        root = np.sqrt(np.maximum(s1 * s1 - 4.0 * s2 * c, 0.0))
        u = -2.0 * c / np.maximum(s1 + root, _LEAST_SLOPE)
        return np.asarray(LIMIT + 1.0 / np.clip(u, 1.0 / 33.0, 1.0))

    def slope(self, log_viscosity: ArrayLike) -> Array:
        """Change of temperature with log10 viscosity [K], negative, shape (n,)."""
        u = log_viscosity_to_u(log_viscosity)
        rise = np.maximum(self.parts[1] + 2.0 * u * self.parts[2], _LEAST_SLOPE)
        return np.asarray(-rise * u * u)


def viscosity_curves(mole_fractions: Array, *, practice: Practice = "glaze") -> Curves:
    """Curves of melts of shape (n, k) in the fixed oxide order."""
    model, x = curve_model(), as_compositions(mole_fractions)
    parts, half = np.empty((3, len(x))), np.empty(len(x))
    outside = np.empty(len(x), dtype=bool)
    z_room, work_room = room(len(x))
    for rows in blocks(len(x)):
        z, work = z_room[:, : rows.stop - rows.start], work_room[:, : rows.stop - rows.start]
        placed = place(x[rows], model.where, z[:16], work[:16])
        half[rows] = model.spread.half_width(fill_balances(z), placed, practice)
        for i, surface in enumerate(model.surfaces):
            parts[i, rows] = surface.at(z, work)
        outside[rows] = placed.outside
    return Curves(parts, half, outside, x, practice)


def _outside_fit(log_viscosity: Array, extrapolated: NDArray[np.bool_]) -> NDArray[np.bool_]:
    low, high = FITTED_LOG_VISCOSITY
    return np.asarray(extrapolated | (log_viscosity < low) | (log_viscosity > high))


def temperature_on(curves: Curves, log_viscosity: ArrayLike, name: str = "temperature") -> Prediction:
    """Temperature [degC] at ``log_viscosity`` [log10 Pa.s] on known curves, with its interval."""
    level = np.broadcast_to(np.asarray(log_viscosity, dtype=float), curves.half_width.shape)
    value = curves.degC(level)
    half = curves.half_width * curve_model().widening(level)
    outside = _outside_fit(level, curves.extrapolated)
    return _prediction(name, "degC", value, half, outside, curves)


def temperature_at(
    mole_fractions: Array, log_viscosity: ArrayLike, *, practice: Practice = "glaze", name: str = "temperature"
) -> Prediction:
    """Temperature [degC] at which the melt has ``log_viscosity`` [log10 Pa.s]; one for all or one a row."""
    return temperature_on(viscosity_curves(mole_fractions, practice=practice), log_viscosity, name)


def log_viscosity_on(curves: Curves, temperature_degC: ArrayLike) -> Prediction:
    """log10 viscosity [Pa.s] at a temperature [degC] on known curves; the interval is that of temperature, turned."""
    level = curves.log_viscosity(temperature_degC)
    half = curves.half_width * curve_model().widening(level) / -curves.slope(level)
    outside = _outside_fit(level, curves.extrapolated)
    return _prediction("log_viscosity", "log10 Pa.s", level, half, outside, curves)


def _prediction(
    name: str, unit: str, value: Array, half: Array, outside: NDArray[np.bool_], curves: Curves
) -> Prediction:
    return Prediction(
        name=name,
        unit=unit,
        value=value,
        low=value - half,
        high=value + half,
        sigma=half * SIGMA_PER_NINETY,
        extrapolated=outside,
        mole_fractions=curves.mole_fractions,
        model="viscosity",
        practice=curves.practice,
        sources=("sciglass",),
    )
