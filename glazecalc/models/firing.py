"""Where a glaze matures: fluid enough to level, stiff enough to stay on the pot.

The window is a pair of log10 viscosities at the peak of the firing, set from published fired glazes
(``coefficients/firing.json``, ``docs/models/firing.md``); the viscosity model turns it into degrees. A cone stands for
its temperature at 60 degC/h without a hold.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glazecalc.models.coat import normal_cdf
from glazecalc.models.cones import nearest_cone
from glazecalc.models.domain import caveats_of_row, coefficients
from glazecalc.models.prediction import Practice, Prediction, practice_note
from glazecalc.models.surface import SIGMA_PER_NINETY, liquidus_temperature
from glazecalc.models.viscosity import Curves, curve_model, viscosity_curves
from glazecalc.values.answers import Basis, Estimate
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone

SURE: Final = 0.65
"""Probability from which a state is said; below it for every state the answer is ``cannot_say``."""
SEGER_BENDING: Final = 4.54
"""log10 viscosity [Pa.s] at which a Seger cone 4 to 12 bends at 60 degC/h (tested on their published formulas)."""


class Maturing(StrEnum):
    """State of a glaze at the peak of a firing."""

    UNDERFIRED = "underfired"
    MATURES = "matures"
    LIKELY_TO_RUN = "likely to run"
    CANNOT_SAY = "cannot_say"


@dataclass(frozen=True, slots=True)
class Window:
    """Ends of the maturing window [log10 Pa.s at peak] and the doubt (one standard deviation) of each."""

    stiff_end: float
    fluid_end: float
    doubt: float


@cache
def window() -> Window:
    """The window in ``coefficients/firing.json``."""
    held = coefficients("firing")
    return Window(float(held["stiff_end"]), float(held["fluid_end"]), float(held["doubt"]))


@dataclass(frozen=True, slots=True, eq=False)
class FiringRange:
    """Firing range of n glazes: ``low`` is where each begins to level, ``high`` where it begins to run [degC]."""

    low: Prediction
    high: Prediction

    def __len__(self) -> int:
        return len(self.low)


def _end(curves: Curves, level: float, name: str) -> Prediction:
    """Temperature [degC] at one end of the window; the interval holds the doubt of model and window together."""
    value = curves.degC(level)
    from_model = curves.half_width * curve_model().widening(np.full(len(value), level)) * SIGMA_PER_NINETY
    sigma = np.hypot(from_model, window().doubt * -curves.slope(level))
    half = sigma / SIGMA_PER_NINETY
    return Prediction(
        name=name,
        unit="degC",
        value=value,
        low=value - half,
        high=value + half,
        sigma=sigma,
        extrapolated=curves.extrapolated,
        mole_fractions=curves.mole_fractions,
        model="viscosity",
        practice=curves.practice,
        sources=("sciglass", "fired_glazes"),
    )


def firing_range(mole_fractions: Array, *, practice: Practice = "glaze") -> FiringRange:
    """Firing range [degC] of glazes of shape (n, k) in the fixed oxide order."""
    curves = viscosity_curves(mole_fractions, practice=practice)
    return FiringRange(_end(curves, window().stiff_end, "levels_from"), _end(curves, window().fluid_end, "runs_from"))


def firing_range_row(range_: FiringRange, row: int = 0) -> Estimate:
    """The firing range of one glaze as an Estimate: ``low`` and ``high`` are its ends, ``value`` the middle [degC]."""
    low, high = float(range_.low.value[row]), float(range_.high.value[row])
    low, high = min(low, high), max(low, high)
    doubt = float(max(range_.low.sigma[row], range_.high.sigma[row]) / SIGMA_PER_NINETY)
    caveats = (*caveats_of_row(range_.low.mole_fractions[row], "viscosity"), *range_.low.notes)
    return Estimate(
        name="firing_range",
        value=0.5 * (low + high),
        low=low,
        high=high,
        unit="degC",
        basis=Basis.EXTRAPOLATED if range_.low.extrapolated[row] else Basis.MODEL,
        sources=range_.low.sources,
        caveats=(
            f"each end is unsure by about {doubt:.0f} degC",
            practice_note("viscosity", range_.low.practice),
            *caveats,
        ),
    )


def firing_cones(range_: FiringRange, row: int = 0, rate_degC_per_h: float = 60.0) -> tuple[Cone, Cone]:
    """Cones nearest to the two ends of one glaze's range at a heating rate [degC/h] over the last 100 degC."""
    low, high = float(range_.low.value[row]), float(range_.high.value[row])
    return nearest_cone(low, rate_degC_per_h), nearest_cone(high, rate_degC_per_h)


@dataclass(frozen=True, slots=True, eq=False)
class Maturity:
    """State of n glazes at their peak, with the probability of each, shape (n,); they add up to one."""

    state: tuple[Maturing, ...]
    underfired: Array
    matures: Array
    runs: Array
    extrapolated: NDArray[np.bool_]


def maturity(range_: FiringRange, peak_degC: ArrayLike) -> Maturity:
    """State at a peak temperature [degC], one for all or one a glaze; extrapolated glazes are ``cannot_say``."""
    peak = np.broadcast_to(np.asarray(peak_degC, dtype=float), range_.low.value.shape)
    levels = normal_cdf((peak - range_.low.value) / range_.low.sigma)
    runs = np.minimum(normal_cdf((peak - range_.high.value) / range_.high.sigma), levels)
    under, mature = 1.0 - levels, levels - runs
    states = tuple(
        Maturing.CANNOT_SAY if far else _state(u, m, r)
        for u, m, r, far in zip(under, mature, runs, range_.low.extrapolated, strict=True)
    )
    return Maturity(states, under, mature, runs, range_.low.extrapolated)


def _state(underfired: float, matures: float, runs: float) -> Maturing:
    """The state that is sure enough, else ``cannot_say``."""
    if underfired >= SURE:
        return Maturing.UNDERFIRED
    if runs >= SURE:
        return Maturing.LIKELY_TO_RUN
    return Maturing.MATURES if matures >= SURE else Maturing.CANNOT_SAY


def crystals_probability(mole_fractions: Array, peak_degC: ArrayLike, *, practice: Practice = "glaze") -> Array:
    """Probability that the liquidus lies above the peak [degC], shape (n,): matte or crystals on a slow cooling.

    A caution only: whether crystals grow depends on the cooling. Not a number where the liquidus is extrapolated, as
    in a lead glaze, since nothing may rest on it then.
    """
    liquidus = liquidus_temperature(mole_fractions, practice=practice)
    peak = np.asarray(peak_degC, dtype=float)
    chance = normal_cdf((liquidus.value - peak) / liquidus.sigma)
    return np.where(liquidus.extrapolated, np.nan, chance)
