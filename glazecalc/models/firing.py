"""Where a glaze matures: fluid enough to level, stiff enough to stay on the pot.

The window is a pair of log10 viscosities at the peak of the firing, set from published fired glazes and judgements of
practice (``coefficients/firing.json``, ``docs/models/firing.md``); the viscosity model turns it into degrees. A coat
that is nearly all feldspar is a glass while stiffer than others, having no grains to dissolve; no glaze levels far
below the temperature at which it is all melted. A cone stands for its temperature at 60 degC/h without a hold.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glazecalc.chemistry import composition
from glazecalc.models.coat import matte_formers, normal_cdf
from glazecalc.models.domain import caveats_of_row, coefficients
from glazecalc.models.filler import stiffened
from glazecalc.models.prediction import Practice, Prediction, practice_note
from glazecalc.models.surface import SIGMA_PER_NINETY, liquidus_temperature
from glazecalc.models.viscosity import Curves, curve_model, viscosity_curves
from glazecalc.values.answers import Basis, Estimate
from glazecalc.values.arrays import Array
from glazecalc.values.oxides import INDEX
from glazecalc.values.texts import phrase

SURE: Final = 0.65
"""Probability from which a state is said; below it for every state the answer is ``cannot_say``."""
SEGER_BENDING: Final = 4.5
"""log10 viscosity [Pa.s] at which a Seger cone 4 to 12 bends at 60 degC/h (tested on their published formulas)."""


class Maturing(StrEnum):
    """State of a glaze at the peak of a firing."""

    UNDERFIRED = "underfired"
    MATURES = "matures"
    LIKELY_TO_RUN = "likely to run"
    CANNOT_SAY = "cannot_say"


@dataclass(frozen=True, slots=True)
class Window:
    """Ends of the maturing window [log10 Pa.s at peak] and the doubt (one standard deviation) of each.

    ``feldspathic`` is how much stiffer a coat of nothing but feldspar may be [log10]. ``below_liquidus`` is how far
    below the cool end of its liquidus' interval a glaze may be a sound glass [K]. ``crystals`` is the volume share of
    crystals that hold a melt, for each mole fraction of :func:`crystal_formers`.
    """

    stiff_end: float
    fluid_end: float
    doubt: float
    feldspathic: float
    below_liquidus: float
    crystals: float


@cache
def window() -> Window:
    """The window in ``coefficients/firing.json``."""
    held = coefficients("firing")
    return Window(*(float(held[name]) for name in Window.__slots__))


_AT: Final = {symbol: INDEX[symbol] for symbol in ("Al2O3", "ZnO")}
_ALKALIS: Final = [INDEX[symbol] for symbol in ("Li2O", "Na2O", "K2O")]
_EARTHS: Final = [INDEX[symbol] for symbol in ("MgO", "CaO", "SrO", "BaO", "ZnO", "PbO")]
_FORMERS_FROM: Final = 0.15
FORMERS_MOST: Final = 0.20
"""Mole fraction of crystal formers beyond the first 0.15 from which more hold the melt no better."""
_ALONE: Final = (0.6, 0.9)
"""Share of the alkali in the flux from which feldspar counts as a glaze's only flux, and where it does so wholly."""
_OXIDES_OF_FELDSPAR: Final = 8.0
"""Moles of oxides in feldspar for one of alkali: K2O, Al2O3, 6 SiO2."""
CRYSTALLINE: Final = (0.15, 0.04)
"""Least zinc oxide and most alumina [mole fraction] of a glaze made to grow large zinc silicate crystals: 20 to 30 %
zinc oxide on a frit with hardly any clay (common practice, no source)."""
_SOFT_K: Final = 15.0
"""How gradually the limit by the liquidus takes over [K]."""


def feldspathic(mole_fractions: Array) -> Array:
    """How far n glazes, (n, k), are feldspar and nothing else: nil for a usual glaze, one for feldspar alone, (n,)."""
    x = composition.mole_fractions(mole_fractions)
    alkali, earths = x[:, _ALKALIS].sum(axis=1), x[:, _EARTHS].sum(axis=1)
    feldspar = np.minimum(_OXIDES_OF_FELDSPAR * np.minimum(alkali, x[:, _AT["Al2O3"]]), 1.0)
    alone = (alkali / np.maximum(alkali + earths, 1e-9) - _ALONE[0]) / (_ALONE[1] - _ALONE[0])
    step = np.clip(alone, 0.0, 1.0)
    return np.asarray(feldspar * step * step * (3.0 - 2.0 * step))


def crystal_formers(mole_fractions: Array) -> Array:
    """Mole fraction of lime, magnesia, strontia, baryta, lithia and twice iron oxide and phosphate above 0.15, (n,).

    Crystals of mattes, iron and lithia glazes grow from them; ``mole_fractions`` is (n, k).
    """
    x = composition.mole_fractions(mole_fractions)
    rich = matte_formers(x) + x[:, INDEX["Li2O"]]
    return np.asarray(np.clip(rich - _FORMERS_FROM, 0.0, FORMERS_MOST))


def held_by_crystals(mole_fractions: Array) -> Array:
    """How much more fluid than others the melt of n glazes, (n, k), may be without running [log10 of viscosity], (n,).

    What runs is melt and crystals together, stiffened like any suspension (:func:`.filler.stiffened`).
    """
    return stiffened(window().crystals * crystal_formers(mole_fractions))


def crystalline(mole_fractions: Array) -> NDArray[np.bool_]:
    """Which of n glazes, (n, k), are made to be very fluid and grow large crystals of zinc silicate, (n,)."""
    x = composition.mole_fractions(mole_fractions)
    return np.asarray((x[:, _AT["ZnO"]] >= CRYSTALLINE[0]) & (x[:, _AT["Al2O3"]] <= CRYSTALLINE[1]))


@dataclass(frozen=True, slots=True, eq=False)
class FiringRange:
    """Firing range of n glazes: ``low`` is where each begins to level, ``high`` where it begins to run [degC]."""

    low: Prediction
    high: Prediction

    def __len__(self) -> int:
        return len(self.low)


def _end(curves: Curves, level: Array, name: str) -> Prediction:
    """Temperature [degC] at one end of the window; the interval holds the doubt of model and window together."""
    value = curves.degC(level)
    from_model = curves.half_width * curve_model().widening(level) * SIGMA_PER_NINETY
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
        sources=("glass_database", "fired_glazes"),
    )


def firing_range(mole_fractions: Array, *, practice: Practice = "glaze", curves: Curves | None = None) -> FiringRange:
    """Firing range [degC] of glazes of shape (n, k) in the fixed order: nine in ten fired glazes lie in theirs.

    ``curves`` are those of the same glazes where they are known already.
    """
    curves = viscosity_curves(mole_fractions, practice=practice) if curves is None else curves
    stiff = window().stiff_end + window().feldspathic * feldspathic(curves.mole_fractions)
    low = _not_below_liquidus(_end(curves, stiff, "levels_from"), practice)
    fluid = window().fluid_end - held_by_crystals(curves.mole_fractions)
    high = _end(curves, fluid, "runs_from")
    raised = np.maximum(low.value - high.value, 0.0)
    top = replace(high, value=high.value + raised, low=high.low + raised, high=high.high + raised)
    return FiringRange(low, top)


def _not_below_liquidus(end: Prediction, practice: Practice) -> Prediction:
    """``end``, but not below the cool end of the liquidus' interval by more than sound glazes were found to be.

    A mix is no glass before it melts. A liquidus that is extrapolated moves nothing; where it would have, the end is
    extrapolated as well.
    """
    liquidus = liquidus_temperature(end.mole_fractions, practice=practice)
    known = ~liquidus.extrapolated & np.isfinite(liquidus.low)
    floor = np.where(known, liquidus.low - window().below_liquidus, end.value - 40.0 * _SOFT_K)
    over = np.clip((floor - end.value) / _SOFT_K, -40.0, None)
    with np.errstate(invalid="ignore"):  # what nothing is known of stays unknown
        value = end.value + _SOFT_K * np.logaddexp(0.0, over)
    share = 1.0 / (1.0 + np.exp(-over))
    sigma = np.sqrt((1.0 - share) * end.sigma**2 + share * np.where(known, liquidus.sigma, end.sigma) ** 2)
    half = sigma / SIGMA_PER_NINETY
    in_doubt = end.extrapolated | (liquidus.extrapolated & (liquidus.low - window().below_liquidus > end.value))
    return replace(end, value=value, low=value - half, high=value + half, sigma=sigma, extrapolated=in_doubt)


def firing_range_row(range_: FiringRange, row: int = 0) -> Estimate:
    """The firing range of one glaze as an Estimate: ``low`` and ``high`` are its ends, ``value`` the middle [degC]."""
    low, high = float(range_.low.value[row]), float(range_.high.value[row])
    low, high = min(low, high), max(low, high)
    doubt = float(max(range_.low.sigma[row], range_.high.sigma[row]) / SIGMA_PER_NINETY)
    caveats = caveats_of_row(range_.low.mole_fractions[row], "viscosity", range_.low.practice)
    return Estimate(
        name="firing_range",
        value=0.5 * (low + high),
        low=low,
        high=high,
        unit="degC",
        basis=Basis.EXTRAPOLATED if range_.low.extrapolated[row] else Basis.MODEL,
        sources=range_.low.sources,
        caveats=(
            phrase("each end is unsure by about {:.0f K}", doubt),
            practice_note("viscosity", range_.low.practice),
            *caveats,
            *range_.low.notes,
        ),
    )


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
