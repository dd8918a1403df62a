"""Cone and temperature at a steady heating rate: what a cone means in degrees, and which cone a temperature
is.

The rate is that of the last 100 degC, as on the published chart. Any other firing, with ramps and holds, is
for :mod:`glazecalc.models.heat_work`.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np

from glazecalc.models.heat_work import REFERENCE_RATE_DEGC_PER_H, Array, bending_temperature, heat_law
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.data import read_table
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.interval import NINETY

CHART_RATES: Final[tuple[float, ...]] = (15.0, 60.0, 150.0)
"""Heating rates of the published chart [degC/h]."""
_TRUSTED_RATES: Final = (4.0, 600.0)
_TWO_COLUMNS: Final = frozenset({"022", "021", "020"})


@lru_cache(maxsize=256)
def _temperatures(rate_degC_per_h: float) -> Array:
    return bending_temperature(heat_law(), rate_degC_per_h)


def temperature_degC(cone: Cone, rate_degC_per_h: float = REFERENCE_RATE_DEGC_PER_H) -> float:
    """Temperature at which ``cone`` bends when heated at ``rate_degC_per_h`` [degC].

    >>> abs(temperature_degC(Cone("6"), 60.0) - 1222) < 2
    True

    Raises
    ------
    ValueError
        if the rate is not positive.
    """
    return float(_temperatures(float(rate_degC_per_h))[cone.position])


def chart_degC(cone: Cone, rate_degC_per_h: float) -> float | None:
    """The figure printed on the chart at one of its three rates [degC], or None where it has none."""
    row = next(row for row in read_table("cones") if row["cone"] == cone.name)
    text = row.get(f"degC_at_{rate_degC_per_h:g}", "")
    return float(text) if text else None


def cone_reached(temperature_degC: float, rate_degC_per_h: float = REFERENCE_RATE_DEGC_PER_H) -> Cone | None:
    """Hottest cone that has bent when a steady ramp arrives at ``temperature_degC``; None below cone 022."""
    bent = np.flatnonzero(_temperatures(float(rate_degC_per_h)) <= temperature_degC)
    return ALL_CONES[int(bent[-1])] if bent.size else None


def nearest_cone(temperature_degC: float, rate_degC_per_h: float = REFERENCE_RATE_DEGC_PER_H) -> Cone:
    """Cone whose bending temperature at this rate is nearest to ``temperature_degC``."""
    return ALL_CONES[int(np.argmin(np.abs(_temperatures(float(rate_degC_per_h)) - temperature_degC)))]


def cone_position(temperature_degC: float, rate_degC_per_h: float = REFERENCE_RATE_DEGC_PER_H) -> float:
    """Place of a temperature in the series, as ``Cone.position`` with a fraction; held at the ends of the
    series.

    The difference of two positions is a headroom counted in cones.
    """
    steps = np.maximum.accumulate(_temperatures(float(rate_degC_per_h)))
    return float(np.interp(temperature_degC, steps, np.arange(len(ALL_CONES))))


def cone_temperature(cone: Cone, rate_degC_per_h: float = REFERENCE_RATE_DEGC_PER_H) -> Estimate:
    """Bending temperature with its interval [degC].

    The interval joins the chart's nominal reading range (under 22 K in all) and the scatter of the chart
    about the law. It widens beyond the rates of the chart, 15 to 150 degC/h, and the basis is
    ``extrapolated`` below 4 or above 600 degC/h.
    """
    law = heat_law()
    value = temperature_degC(cone, rate_degC_per_h)
    beyond = abs(float(np.log(rate_degC_per_h / np.clip(rate_degC_per_h, CHART_RATES[0], CHART_RATES[-1]))))
    half = NINETY * float(np.hypot(law.spread_K[cone.position], 5.0 * beyond))
    caveats = ["a cone bends over 15 to 25 minutes; the temperature is that of its end point in air"]
    if beyond:
        caveats.append("heating rate beyond the chart's 15 to 150 degC per hour")
    if cone.name in _TWO_COLUMNS and rate_degC_per_h < CHART_RATES[1]:
        caveats.append(f"the chart has no 15 degC per hour figure for cone {cone}; its slope leans on cones 019 to 017")
        half *= 1.5
    trusted = _TRUSTED_RATES[0] <= rate_degC_per_h <= _TRUSTED_RATES[1]
    return Estimate(
        name="cone_temperature",
        value=value,
        low=value - half,
        high=value + half,
        unit="degC",
        basis=Basis.MODEL if trusted else Basis.EXTRAPOLATED,
        sources=("cone_chart",),
        caveats=tuple(caveats),
    )
