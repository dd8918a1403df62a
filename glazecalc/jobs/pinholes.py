"""A drop and a hold after the peak, against pinholes, where the glaze's own viscosity asks for it.

Bubbles that burst leave pits, and gas goes on rising while the kiln is at its hottest. A fluid glaze closes them as the
kiln falls; a stiff one sets before. Dropping until the gas slackens and holding there is common practice; for which
glaze, and how far to drop, comes from how fast a pit levels: S. E. Orchard, Appl. Sci. Res. A 11 (1963) 451 (from
memory), a wave of length L on a coat of thickness h falls to 1/e in ``3 eta L^4 / (16 pi^4 gamma h^3)``.
"""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import Composition
from glazecalc.jobs.estimates import firing_range_of
from glazecalc.jobs.firing_follow import COOL_RATE, DropHold, Plan
from glazecalc.models.coat import figure, normal_cdf
from glazecalc.models.cones import temperature_degC
from glazecalc.models.firing import SURE, Maturing, crystalline, crystals_probability, maturity
from glazecalc.models.viscosity import Curves, log_viscosity_on, temperature_on, viscosity_curves
from glazecalc.values.answers import percent_words
from glazecalc.values.cones import Cone

PIT_MM: Final = 4.0
"""A pit with its rim, as a wave of this length [mm] (a judgement)."""
SURFACE_TENSION: Final = 0.3
"""Of a silicate melt [N/m] (handbook value, from memory)."""
LEVELLED: Final = 3.0
"""A pit fallen this many times to 1/e is closed: a twentieth of it is left."""
GAS_SLACKENS_K: Final = 30.0
"""So far below the peak gas has slackened [K], and no hold is further down than :data:`FURTHEST_K` (common practice, no
source: drops of 30 to 70 K)."""
FURTHEST_K: Final = 70.0
HOLD_H: Final = 25.0 / 60.0
"""Common practice, no source: 20 to 30 minutes."""
TOO_FLUID: Final = 0.25
"""Chance of running from which no hold is added: it runs the longer."""
GROWS_CRYSTALS: Final = 0.8
"""Chance that the liquidus lies above the hold from which crystals would likely grow in it."""


def levelling_s(log_viscosity: float) -> float:
    """Time in which a pit in a coat of usual thickness falls to 1/e [s], at a log10 viscosity [Pa.s].

    >>> round(levelling_s(3.0))
    105
    """
    coat_m, pit_m = figure("glaze_thickness").value * 1e-3, PIT_MM * 1e-3
    return float(3.0 * 10.0**log_viscosity * pit_m**4 / (16.0 * math.pi**4 * SURFACE_TENSION * coat_m**3))


def drop_and_hold(glaze: str, composition: Composition, cone: Cone, peak: float) -> DropHold:
    """Whether a firing of this glaze (n = 1) to ``cone``, whose schedule peaks at ``peak`` [degC], should drop and hold
    after it."""
    moles = composition.mole_fractions[:1]
    found = maturity(firing_range_of(moles, composition.relative_sd[:1]), temperature_degC(cone))
    curves = viscosity_curves(moles)
    at_peak = log_viscosity_on(curves, np.array([peak]))
    known = not (bool(found.extrapolated[0]) or bool(at_peak.extrapolated[0]))
    if known and bool(crystalline(moles)[0]):
        return DropHold(f"no drop and hold for pinholes: {glaze} is made to grow crystals")
    if known and float(found.runs[0]) >= TOO_FLUID:
        return DropHold(f"no drop and hold: {glaze} is fluid enough to run")
    if not known or found.state[0] is Maturing.CANNOT_SAY:
        return DropHold(f"cannot say whether {glaze} gains by a drop and hold: its melt is not known well enough")
    if found.state[0] is Maturing.UNDERFIRED:
        return DropHold(f"no drop and hold: {glaze} is underfired at cone {cone}")
    closes = _closes_as_it_falls(curves, peak)
    stiff = float(normal_cdf(math.log10(LEVELLED / closes) / float(at_peak.sigma[0])))
    if stiff < 1.0 - SURE:
        return DropHold(f"no drop and hold needed: {glaze} is fluid enough to close its pits as the kiln falls")
    if stiff < SURE:
        return DropHold(f"cannot say whether {glaze} closes its pits as the kiln falls by itself")
    return _held(glaze, moles, curves, peak)


def _held(glaze: str, moles: np.ndarray, curves: Curves, peak: float) -> DropHold:
    level = math.log10(HOLD_H * 3600.0 / LEVELLED / levelling_s(0.0))
    stiffest = temperature_on(curves, level)
    closing = NormalDist(float(stiffest.value[0]), float(stiffest.sigma[0]))
    if closing.mean > peak - GAS_SLACKENS_K:
        return DropHold(f"{glaze} is too stiff for a drop against pinholes: a hold at the peak serves instead")
    fluid = 5.0 * math.ceil(max(closing.inv_cdf(SURE), peak - FURTHEST_K) / 5.0)
    to = min(fluid, float(math.floor(peak - GAS_SLACKENS_K)))
    if float(crystals_probability(moles, to)[0]) >= GROWS_CRYSTALS:
        return DropHold(f"no drop and hold: {glaze} would likely grow crystals in it")
    chance = closing.cdf(to)
    closes = "likely still closes" if chance >= SURE else "may still close"
    told = (
        f"with a drop and hold against pinholes: {glaze} is so stiff that it would set before its pits close in a kiln "
        f"that falls {COOL_RATE:.0f} degC an hour; at {to:.0f} degC gas has slackened and it {closes} them "
        f"({percent_words(chance)} likely; log10 viscosity {float(curves.log_viscosity(to)[0]):.1f} Pa.s). "
        "Common practice; the temperature is from its viscosity"
    )
    return DropHold(told, Plan(COOL_RATE, to, HOLD_H, "drop and hold: gas slackens, pits still close"))


def _closes_as_it_falls(curves: Curves, peak: float) -> float:
    """How many times a pit falls to 1/e once gas has slackened, as the kiln falls at :data:`COOL_RATE`."""
    step_s = 3600.0 / COOL_RATE
    fall = np.arange(GAS_SLACKENS_K, 400.0)
    return sum(step_s / levelling_s(float(curves.log_viscosity(peak - k)[0])) for k in fall.tolist())
