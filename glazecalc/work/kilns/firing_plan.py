"""The shape of a schedule: drying, burn-out, quartz, the last hundred degrees, the hold, the cooling.

The rates are the usual ones of small studio kilns (common practice, from memory), slowed for thick and damp
ware; the peak is worked out from the heat-work law so that the cone bends at the end of the hold.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from glazecalc.models.bending import cumulative_heat
from glazecalc.models.cones import temperature_degC
from glazecalc.models.heat_work import heat_law
from glazecalc.values.cones import Cone
from glazecalc.values.firing_report import Dampness, FiringKind

START_DEGC: Final = 20.0
THIN_MM: Final = 6.0
"""A wall of this thickness may be fired at the usual rates."""
LAST_RATE: Final = 60.0
LAST_SPAN_K: Final = 100.0
MOST_DRYING_H: Final = 12.0
COOL_RATE: Final = 300.0
"""Entered where the kiln may cool by itself: faster than any small kiln falls above red heat [degC/h]."""
SLOW_COOL: Final = (1040.0, 760.0, 60.0)
"""Slow cooling for mattes and crystals: from, to [degC] and rate [degC/h] (common practice)."""
FALL_FIRST_K: Final = 60.0
"""The kiln falls this far before slow cooling begins, so that the cooling adds no heat-work of note [K]."""
_DOWN: Final = 1.02


@dataclass(frozen=True, slots=True)
class Plan:
    """One planned leg: rate [degC/h], end [degC], hold [h], why; ``at_peak`` marks the leg that ends at
    the peak.
    """

    rate: float
    to_degC: float
    hold_h: float
    why: str
    at_peak: bool = False
    asked: float | None = None


def plan_legs(
    kind: FiringKind,
    cone: Cone,
    hold_h: float,
    wall_mm: float = THIN_MM,
    dampness: Dampness = "dry",
    slow_quartz: bool = False,
    slow_cristobalite: bool = False,
) -> tuple[Plan, ...]:
    """The legs of a firing to ``cone``, heating and cooling, with the peak that brings the cone down at
    its end.
    """
    top = temperature_degC(cone, LAST_RATE)
    thick = max(1.0, wall_mm / THIN_MM)
    legs = [*_first_heat(kind, top, thick, dampness), *_last_heat(kind, top, hold_h)]
    legs += _cooling(kind, top, thick, slow_quartz, slow_cristobalite)
    return with_peak(tuple(legs), cone)


def _first_heat(kind: FiringKind, top: float, thick: float, dampness: Dampness) -> list[Plan]:
    if kind in ("glaze", "slow-cooled"):
        return [
            Plan(100.0 / thick, 120.0, 0.25 * thick, "the water of the glaze coat leaves"),
            Plan(120.0 / thick, 600.0, 0.0, "through the quartz step at 573 degC without haste"),
        ]
    drying = min(MOST_DRYING_H, (2.0 if dampness == "damp" else 0.5) * thick**2)
    why = "the last water leaves below boiling; a thick wall takes the square of its thickness in time"
    return [
        Plan(80.0 / thick, 95.0, drying, why),
        Plan(80.0 / thick, 600.0, 0.0, "bound water and plant matter leave, then the quartz step at 573 degC"),
    ]


def _last_heat(kind: FiringKind, top: float, hold_h: float) -> list[Plan]:
    legs = []
    before = top - LAST_SPAN_K
    if kind == "once-fired":
        soak = min(850.0, before - 20.0)
        legs.append(Plan(100.0, soak, 0.5, "carbon, sulphur and carbonates leave before the glaze seals"))
    elif kind == "bisque" and before > 880.0:
        legs.append(Plan(110.0, 850.0, 0.25, "carbon and sulphur burn out with air in the kiln"))
    rate = 120.0 if kind in ("bisque", "once-fired") else 150.0
    legs.append(Plan(rate, before, 0.0, "a steady climb"))
    legs.append(Plan(LAST_RATE, top, hold_h, "slow to the cone, so that all shelves follow", at_peak=True))
    return legs


def _cooling(kind: FiringKind, top: float, thick: float, quartz: bool, cristobalite: bool) -> list[Plan]:
    legs = []
    if kind == "slow-cooled":
        start, end, rate = SLOW_COOL
        start = min(start, top - FALL_FIRST_K)
        if start > end:
            legs.append(Plan(COOL_RATE, start, 0.0, "falls by itself until the glaze stiffens"))
            legs.append(Plan(rate, end, 0.0, "slow, so that crystals grow: mattes and breaking glazes"))
    if thick >= 2.0 or quartz:
        legs.append(Plan(COOL_RATE, 650.0, 0.0, "falls by itself, the kiln shut"))
        legs.append(Plan(50.0, 500.0, 0.0, "through the quartz step at 573 degC, large or thick ware"))
    if cristobalite:
        legs.append(Plan(COOL_RATE, 280.0, 0.0, "falls by itself, the kiln shut"))
        legs.append(Plan(50.0, 180.0, 0.0, "through the cristobalite step near 220 degC"))
    return legs


def corners(legs: tuple[Plan, ...], to_peak: bool = False) -> tuple[np.ndarray, np.ndarray]:
    """Times [h] and temperatures [degC] of a schedule's corners; ``to_peak`` stops at the end of the
    peak's hold.
    """
    times, degC = [0.0], [START_DEGC]
    for leg in legs:
        times.append(times[-1] + abs(leg.to_degC - degC[-1]) / leg.rate)
        degC.append(leg.to_degC)
        if leg.hold_h > 0:
            times.append(times[-1] + leg.hold_h)
            degC.append(leg.to_degC)
        if to_peak and leg.at_peak:
            break
    return np.array(times), np.array(degC)


def with_peak(legs: tuple[Plan, ...], cone: Cone) -> tuple[Plan, ...]:
    """The same legs with the peak at which ``cone`` is just down at the end of the hold; bisection, to 0.05
    K.

    The leg before the peak stays 100 degC below it.
    """
    law = heat_law().take((cone,))
    low, high = START_DEGC + 200.0, 1500.0
    while high - low > 0.05:
        middle = (low + high) / 2
        done = float(cumulative_heat(law, *corners(_moved(legs, middle), to_peak=True))[-1, 0])
        low, high = (middle, high) if done < _DOWN else (low, middle)
    return _moved(legs, round(high, 1))


def _moved(legs: tuple[Plan, ...], peak: float) -> tuple[Plan, ...]:
    """The legs with the peak at ``peak``; no earlier leg comes closer to it than the last span, none is
    empty.
    """
    moved: list[Plan] = []
    rising = True
    for i, leg in enumerate(legs):
        if leg.at_peak:
            leg, rising = replace(leg, to_degC=peak), False
        elif rising:
            last = i + 1 < len(legs) and legs[i + 1].at_peak
            end = peak - LAST_SPAN_K if last else min(leg.to_degC, peak - LAST_SPAN_K)
            leg = replace(leg, to_degC=end)
            if end < (moved[-1].to_degC if moved else START_DEGC) + 1.0:
                continue
        moved.append(leg)
    return tuple(moved)
