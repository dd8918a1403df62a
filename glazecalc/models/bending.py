"""Which cone bends when, in any firing: ramps, holds, coolings, or a recorded curve.

Between two points of a firing the temperature is a straight line in time, and the heat-work of a straight
line has a closed form, so a long ramp needs no small steps.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from glazecalc.models.heat_work import (
    KELVIN,
    Array,
    HeatLaw,
    bending_temperature,
    heat_law,
    invert_ramp,
    log_ramp_integral,
    softening_rate,
)
from glazecalc.values.cones import Cone

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
    """Share of the bend done by each time, shape (..., m, n), for times [h] and temperatures [degC] (...,
    m).
    """
    times = np.asarray(times_h, dtype=float)
    degC = np.asarray(temperatures_degC, dtype=float)
    pieces = segment_heat(law, degC[..., :-1], degC[..., 1:], np.diff(times, axis=-1))
    total = np.cumsum(pieces, axis=-2)
    return np.concatenate([np.zeros_like(total[..., :1, :]), total], axis=-2)


def bends(times_h: ArrayLike, temperatures_degC: ArrayLike, law: HeatLaw | None = None) -> Bends:
    """When and how hot each cone bends in one firing given by its corners, shape (m,) each.

    Raises
    ------
    ValueError
        if there are fewer than two points, or times do not rise.
    """
    law = law or heat_law()
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
    """Hours of hold at ``held_degC``, after a ramp at this rate, that bring ``cone`` down [h]; 0 if the
    ramp does.
    """
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


def equivalent_degC(heat: ArrayLike, law: HeatLaw | None = None, rate_degC_per_h: float = 60.0) -> Array:
    """Temperature a steady ramp at this rate must reach to do as much heat-work [degC], shape (...).

    ``heat`` is the share of the bend done for each cone, shape (..., n). The answer is read between the
    hottest cone that is down and the next one, which stands, in the logarithm of their shares; it is held
    at the ends of the series. A firing is thereby told as one figure on the cone scale, with a fraction.
    """
    law = law or heat_law()
    share = np.log(np.maximum(np.asarray(heat, dtype=float), 1e-300))
    scale = np.maximum.accumulate(bending_temperature(law, rate_degC_per_h))
    last = share.shape[-1] - 1
    down = share >= 0.0
    top = np.where(down.any(axis=-1), last - np.argmax(down[..., ::-1], axis=-1), 0)
    top = np.minimum(top, last - 1)
    here = np.take_along_axis(share, top[..., None], axis=-1)[..., 0]
    above = np.take_along_axis(share, top[..., None] + 1, axis=-1)[..., 0]
    gap = np.where(here > above, here - above, 1.0)
    part = np.clip(here / gap, 0.0, 1.0)
    return np.asarray(scale[top] + part * (scale[top + 1] - scale[top]))
