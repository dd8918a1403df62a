"""Cone and temperature at a steady heating rate: what a cone means in degrees, and which cone a temperature is.

The rate is that of the last 100 degC, as on the published chart. Any other firing, with ramps and holds, is
for :mod:`glazecalc.models.cones`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from glazecalc.models.domain import COEFFICIENTS
from glazecalc.values.answers import NINETY, Basis, Estimate
from glazecalc.values.arrays import Array
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.data import read_csv, read_table
from glazecalc.values.inputs import Kiln
from glazecalc.values.texts import phrase

# Heat-work: how temperature and time together bring a cone down.

GAS_CONSTANT_KJ: Final = 8.314462618e-3
"""Molar gas constant [kJ/(mol K)], CODATA 2018."""
KELVIN: Final = 273.15
REFERENCE_RATE_DEGC_PER_H: Final = 60.0
READING_RANGE_K: Final = 22.0
"""Nominal reading range of a cone, printed on the chart: under 40 degF [K]."""


@dataclass(frozen=True, slots=True, eq=False)
class HeatLaw:
    """Parameters of the law for n cones: ``energy_kJ_per_mol``, ``log_k0`` [ln(1/h)], ``spread_K``; each shape (n,).

    ``spread_K`` is the standard deviation of a cone about the law [K].
    """

    cones: tuple[Cone, ...]
    energy_kJ_per_mol: Array
    log_k0: Array
    spread_K: Array

    def take(self, cones: tuple[Cone, ...]) -> HeatLaw:
        """The law of the named cones only. Raises ValueError for a cone it does not hold."""
        rows = [self.cones.index(cone) for cone in cones]
        return HeatLaw(cones, self.energy_kJ_per_mol[rows], self.log_k0[rows], self.spread_K[rows])


def log_ramp_integral(kelvin: ArrayLike, energy_kJ_per_mol: ArrayLike) -> Array:
    """ln of the integral of exp(-E/(R T)) dT from absolute zero to ``kelvin`` [ln K]; the two broadcast.

    Fourth-degree rational form of Senum and Yang, J. Thermal Anal. 11 (1977) 445-447; relative error below
    1e-7 for E/(R T) above 20, which every cone meets.
    """
    temperature = np.asarray(kelvin, dtype=float)
    x = np.asarray(energy_kJ_per_mol, dtype=float) / (GAS_CONSTANT_KJ * temperature)
    top = ((x + 18.0) * x + 86.0) * x + 96.0
    bottom = (((x + 20.0) * x + 120.0) * x + 240.0) * x + 120.0
    return np.asarray(np.log(temperature * top / bottom) - x)


@cache
def heat_law() -> HeatLaw:
    """The shipped law for every cone of the series, coolest first."""
    rows = {row["cone"]: row for row in read_csv(COEFFICIENTS / "cones.csv")}
    energy, at_reference, spread = (
        np.array([float(rows[c.name][column]) for c in ALL_CONES])
        for column in ("energy_kJ_per_mol", "degC_at_60", "spread_K")
    )
    log_k0 = np.log(REFERENCE_RATE_DEGC_PER_H) - log_ramp_integral(at_reference + KELVIN, energy)
    return HeatLaw(ALL_CONES, energy, log_k0, spread)


def softening_rate(law: HeatLaw, temperature_degC: ArrayLike) -> Array:
    """Share of a bend done in an hour at a held temperature [1/h], shape (..., n)."""
    kelvin = np.asarray(temperature_degC, dtype=float) + KELVIN
    rate = np.multiply.outer(-1.0 / kelvin, law.energy_kJ_per_mol / GAS_CONSTANT_KJ)
    rate += law.log_k0
    return np.exp(rate, out=rate)


def bending_temperature(law: HeatLaw, rate_degC_per_h: float) -> Array:
    """Temperature at which each cone bends when heated steadily at ``rate_degC_per_h`` [degC], shape (n,).

    Newton's method on the closed form of the ramp integral.

    Raises
    ------
    ValueError
        if the rate is not positive.
    """
    if not rate_degC_per_h > 0:
        raise ValueError("a heating rate must be above zero")
    return invert_ramp(law, np.log(rate_degC_per_h) - law.log_k0)


def invert_ramp(law: HeatLaw, target: Array) -> Array:
    """Temperature [degC] at which ln of the ramp integral equals ``target``, element by element, shape (n,)."""
    energy_over_R = law.energy_kJ_per_mol / GAS_CONSTANT_KJ
    inverse = np.full(len(law.cones), 1.0 / 1300.0)
    for _ in range(60):
        kelvin = 1.0 / inverse
        value = log_ramp_integral(kelvin, law.energy_kJ_per_mol)
        slope_in_inverse = -np.exp(-energy_over_R * inverse - value) * kelvin**2
        step = (target - value) / slope_in_inverse
        inverse = np.clip(inverse + step, 1.0 / 3000.0, 1.0 / 300.0)
        if float(np.max(np.abs(step) * kelvin)) < 1e-13:
            break
    return np.asarray(1.0 / inverse - KELVIN)


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


_CHART_SLACK_K: Final = 2.0
"""A rating that is a chart's figure for a cone, rounded in either unit, is that cone [K]."""


def rated_cone(kiln: Kiln) -> Cone | None:
    """The hottest cone the maker rates ``kiln`` for: its cone, or the hottest that a ramp of 60 degC/h to its highest
    temperature brings down; the cooler where both are given, None where neither is."""
    if kiln.max_degC is None:
        return kiln.cone
    by_heat = cone_reached(kiln.max_degC + _CHART_SLACK_K) or ALL_CONES[0]
    return by_heat if kiln.cone is None else min(kiln.cone, by_heat)


def rating_words(kiln: Kiln) -> str:
    """The maker's rating in words, to follow "rated for": its cone, or its temperature and the cone that gives."""
    cone = rated_cone(kiln)
    if kiln.max_degC is None or cone == kiln.cone:
        return f"cone {cone}"
    by_heat = "{:.0f both degC}, by which cone {} comes down at {:.0f both K} per hour"
    return phrase(by_heat, kiln.max_degC, cone, 60)


def nearest_cone(temperature_degC: float) -> Cone:
    """Cone whose bending temperature at 60 degC/h is nearest to ``temperature_degC``."""
    return ALL_CONES[int(np.argmin(np.abs(_temperatures(REFERENCE_RATE_DEGC_PER_H) - temperature_degC)))]


def cone_position(temperature_degC: float) -> float:
    """Place of a temperature at 60 degC/h in the series, as ``Cone.position`` with a fraction; held at its ends.

    The difference of two positions is a headroom counted in cones.
    """
    steps = np.maximum.accumulate(_temperatures(REFERENCE_RATE_DEGC_PER_H))
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
        caveats.append(phrase("heating rate beyond the chart's {15 to 150 K} per hour"))
    if cone.name in _TWO_COLUMNS and rate_degC_per_h < CHART_RATES[1]:
        lacks = "the chart has no {15 K} per hour figure for cone {}; its slope leans on cones 019 to 017"
        caveats.append(phrase(lacks, cone))
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


# Which cone bends when, in any firing: ramps, holds, coolings, or a recorded curve.

_FLAT_K: Final = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Bends:
    """When each cone of a law bends: ``hours`` [h] and ``degC`` [degC], shape (n,), NaN where it stands.

    ``done`` is the share of the bend that the whole firing does, shape (n,); one and above is down.
    """

    cones: tuple[Cone, ...]
    hours: Array
    degC: Array
    done: Array

    def reached(self) -> Cone | None:
        """The hottest cone that is down, or None."""
        down = np.flatnonzero(self.done >= 1.0)
        return self.cones[int(down[-1])] if down.size else None


def segment_heat(law: HeatLaw, start_degC: ArrayLike, end_degC: ArrayLike, hours: ArrayLike) -> Array:
    """Heat-work of straight pieces of a firing, as a share of a bend, shape (..., n).

    ``start_degC``, ``end_degC`` [degC] and ``hours`` [h] broadcast. A piece flatter than half a degree is
    taken by Simpson's rule (relative error below 1e-9), the others by the closed form of the ramp integral.
    """
    start = np.asarray(start_degC, dtype=float)[..., None]
    end = np.asarray(end_degC, dtype=float)[..., None]
    span = np.asarray(hours, dtype=float)[..., None]
    change = end - start
    flat = np.abs(change) < _FLAT_K
    middle = softening_rate(law, (start + end)[..., 0] / 2)
    simpson = (softening_rate(law, start[..., 0]) + 4 * middle + softening_rate(law, end[..., 0])) / 6
    low = log_ramp_integral(np.minimum(start, end) + KELVIN, law.energy_kJ_per_mol)
    high = log_ramp_integral(np.maximum(start, end) + KELVIN, law.energy_kJ_per_mol)
    size = np.where(flat, 1.0, np.abs(change))
    ramp = np.exp(law.log_k0 + high) * -np.expm1(low - high) / size
    return np.asarray(span * np.where(flat, simpson, ramp))


def cumulative_heat(law: HeatLaw, times_h: ArrayLike, temperatures_degC: ArrayLike) -> Array:
    """Share of the bend done by each time, shape (..., m, n), for times [h] and temperatures [degC] (..., m)."""
    times = np.asarray(times_h, dtype=float)
    degC = np.asarray(temperatures_degC, dtype=float)
    pieces = segment_heat(law, degC[..., :-1], degC[..., 1:], np.diff(times, axis=-1))
    total = np.cumsum(pieces, axis=-2)
    return np.concatenate([np.zeros_like(total[..., :1, :]), total], axis=-2)


def bends(times_h: ArrayLike, temperatures_degC: ArrayLike) -> Bends:
    """When and how hot each cone bends in one firing given by its corners, shape (m,) each.

    Raises
    ------
    ValueError
        if there are fewer than two points, or times do not rise.
    """
    law = heat_law()
    times = np.asarray(times_h, dtype=float)
    degC = np.asarray(temperatures_degC, dtype=float)
    if times.ndim != 1 or times.shape != degC.shape or len(times) < 2:
        raise ValueError("a firing needs at least two points, each a time and a temperature")
    if np.any(np.diff(times) < 0):
        raise ValueError("the times of a firing must not run backwards")
    total = cumulative_heat(law, times, degC)
    hours = np.full(len(law.cones), np.nan)
    heat = np.full(len(law.cones), np.nan)
    for i, cone in enumerate(law.cones):
        piece = int(np.searchsorted(total[:, i], 1.0)) - 1
        if piece + 1 < len(times):
            one = law.take((cone,))
            left = 1.0 - float(total[piece, i])
            span = float(times[piece + 1] - times[piece])
            heat[i], hours[i] = _within(one, left, float(degC[piece]), float(degC[piece + 1]), span)
            hours[i] += times[piece]
    return Bends(law.cones, hours, heat, total[-1])


def _within(law: HeatLaw, left: float, start: float, end: float, span: float) -> tuple[float, float]:
    """Temperature [degC] and hours into one piece at which ``left`` of the bend of the one cone is done."""
    if abs(end - start) < _FLAT_K:
        whole = float(segment_heat(law, start, end, span)[0])
        part = min(left / whole, 1.0)
        return start + part * (end - start), part * span
    rate = (end - start) / span
    begun = log_ramp_integral(start + KELVIN, law.energy_kJ_per_mol)
    gain = np.log(left * abs(rate)) - law.log_k0
    target = np.logaddexp(begun, gain) if rate > 0 else begun + np.log1p(-np.exp(gain - begun))
    degC = float(np.clip(invert_ramp(law, target)[0], min(start, end), max(start, end)))
    return degC, (degC - start) / rate


def hold_hours(cone: Cone, held_degC: float, rate_degC_per_h: float) -> float:
    """Hours of hold at ``held_degC``, after a ramp at this rate, that bring ``cone`` down [h]; 0 if the ramp does."""
    law = heat_law().take((cone,))
    kelvin = held_degC + KELVIN
    done = float(np.exp(law.log_k0 + log_ramp_integral(kelvin, law.energy_kJ_per_mol))[0]) / rate_degC_per_h
    return max(0.0, 1.0 - done) / float(softening_rate(law, held_degC)[0])


def hold_worth_K(cone: Cone, hold_h: float, rate_degC_per_h: float) -> float:
    """How many degrees below its bending temperature a ramp may stop when it is then held this long [K].

    Bisection on :func:`hold_hours`.
    """
    top = float(bending_temperature(heat_law().take((cone,)), rate_degC_per_h)[0])
    low, high = 0.0, 300.0
    for _ in range(60):
        middle = (low + high) / 2
        if hold_hours(cone, top - middle, rate_degC_per_h) < hold_h:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def equivalent_degC(heat: ArrayLike) -> Array:
    """Temperature a steady ramp of 60 degC/h must reach to do as much heat-work [degC], shape (...).

    ``heat`` is the share of the bend done for each cone, shape (..., n). The answer is read between the
    hottest cone that is down and the next one, which stands, in the logarithm of their shares; it is held
    at the ends of the series. A firing is thereby told as one figure on the cone scale, with a fraction.
    """
    share = np.log(np.maximum(np.asarray(heat, dtype=float), 1e-300))
    scale = np.maximum.accumulate(_temperatures(REFERENCE_RATE_DEGC_PER_H))
    last = share.shape[-1] - 1
    down = share >= 0.0
    top = np.where(down.any(axis=-1), last - np.argmax(down[..., ::-1], axis=-1), 0)
    top = np.minimum(top, last - 1)
    here = np.take_along_axis(share, top[..., None], axis=-1)[..., 0]
    above = np.take_along_axis(share, top[..., None] + 1, axis=-1)[..., 0]
    gap = np.where(here > above, here - above, 1.0)
    part = np.clip(here / gap, 0.0, 1.0)
    return np.asarray(scale[top] + part * (scale[top + 1] - scale[top]))
