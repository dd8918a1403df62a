"""An outside check of the viscosity model: Seger's published cone formulas and the temperatures at which they bend."""

from __future__ import annotations

from typing import Final

import numpy as np

from glazecalc.models.cones import chart_degC
from glazecalc.models.firing import SEGER_BENDING
from glazecalc.models.viscosity import temperature_at
from glazecalc.values.cones import Cone
from glazecalc.values.oxides import INDEX, SYMBOLS
from training.data import Array

RATE_DEGC_PER_H: Final = 60.0
SEGER_1886: Final[dict[str, tuple[float, float]]] = {
    "4": (0.5, 4.0), "5": (0.5, 5.0), "6": (0.6, 6.0), "7": (0.7, 7.0), "8": (0.8, 8.0),
    "9": (0.9, 9.0), "10": (1.0, 10.0), "11": (1.2, 12.0), "12": (1.4, 14.0),
}  # fmt: skip
"""Moles of alumina and silica beside 0.3 K2O and 0.7 CaO. H. Seger, Thonindustrie-Zeitung 1886 p. 135 (Dingler 261)."""


def cone_formulas() -> Array:
    """Mole fractions of the cones of :data:`SEGER_1886`, shape (9, k)."""
    x = np.zeros((len(SEGER_1886), len(SYMBOLS)))
    for row, (alumina, silica) in zip(x, SEGER_1886.values(), strict=True):
        row[[INDEX["K2O"], INDEX["CaO"], INDEX["Al2O3"], INDEX["SiO2"]]] = 0.3, 0.7, alumina, silica
    return np.asarray(x / x.sum(axis=1, keepdims=True))


def cone_gaps() -> tuple[float, dict[str, float]]:
    """The one bending viscosity [log10 Pa.s], and estimated minus charted temperature of each cone at 60 degC/h [K]."""
    degC = temperature_at(cone_formulas(), SEGER_BENDING).value
    charted = {name: chart_degC(Cone(name), RATE_DEGC_PER_H) for name in SEGER_1886}
    gaps = {}
    for (name, printed), value in zip(charted.items(), degC, strict=True):
        if printed is None:
            raise ValueError(f"the chart has no temperature for cone {name} at {RATE_DEGC_PER_H} degC/h")
        gaps[name] = float(value) - printed
    return SEGER_BENDING, gaps
