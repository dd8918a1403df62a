"""What the pictures of a kiln show: its heating curve with cones, a recorded firing, hours per firing over time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median

import numpy as np

from glazecalc.models.cones import temperature_degC
from glazecalc.models.kiln_draws import weighted_quantile
from glazecalc.models.reach import Reach
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.firing_report import FiringReport
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.pictures import (
    ConeEvent,
    ConeMark,
    CurvePoint,
    FiringMark,
    HeatingPicture,
    HeatPoint,
    HoursPicture,
)
from glazecalc.values.records import FiringRecord
from glazecalc.work.kilns.kiln_ceiling import full_power, volts_go_together

_POINTS = 48
_SHOWN_CONES = ("06", "04", "01", "3", "6", "8", "10")
_FIRST = 3
"""Firings whose middle is taken as the kiln's usual time."""


def heating_picture(
    kiln: Kiln | None,
    circuit: Circuit | None,
    plan: FiringReport | None = None,
    firings: Sequence[FiringRecord] = (),
) -> HeatingPicture | None:
    """The kiln at full power on its circuit up to its rated cone, a planned firing up to its peak, and the last firing
    that was written down with readings."""
    if kiln is None:
        return None
    found = full_power(kiln, circuit) if volts_go_together(kiln, circuit) else None
    recorded = _last_with_readings(kiln, firings)
    if found is None and recorded is None:
        return None
    limit = None if kiln.cone is None else ConeMark(kiln.cone.name, temperature_degC(kiln.cone))
    fastest = () if found is None else _curve(found, limit)
    return HeatingPicture(
        kiln=kiln.name,
        where="" if circuit is None else circuit.name,
        fastest=fastest,
        planned=_to_peak(plan),
        planned_words="" if plan is None else f"planned: {plan.title}",
        recorded=() if recorded is None else tuple(HeatPoint(r.at_h, r.degC) for r in recorded.readings),
        recorded_words="" if recorded is None else f"recorded {recorded.date or recorded.id}",
        cones=_events(found, kiln.cone, fastest) if plan is None else _planned_cones(plan),
        limit=limit,
    )


def _curve(found: Reach, limit: ConeMark | None) -> tuple[CurvePoint, ...]:
    """The curve until it has all but stalled or is at the kiln's limit, at evenly spaced moments."""
    hours, chamber = found.run.hours, found.run.chamber_degC
    middle = np.array([weighted_quantile(row, found.weights, 0.5) for row in chamber])
    most = math.inf if limit is None else limit.degC
    near = int(np.argmax(middle >= min(0.995 * float(middle[-1]), most)))
    last = min(len(hours) - 1, max(near, 1))
    rows = np.unique(np.linspace(0, last, _POINTS).round().astype(int))
    points = []
    for i in rows:
        low, high = (weighted_quantile(chamber[i], found.weights, p) for p in (0.05, 0.95))
        value = float(min(middle[i], most))
        low, high = min(low, most), min(high, most)
        points.append(CurvePoint(float(hours[i]), value, min(low, value), max(high, value)))
    return tuple(points)


def _to_peak(plan: FiringReport | None) -> tuple[HeatPoint, ...]:
    """The planned firing up to the last moment of its peak."""
    if plan is None:
        return ()
    peak = max(degC for _, degC in plan.planned)
    last = max(i for i, (_, degC) in enumerate(plan.planned) if degC == peak)
    return tuple(HeatPoint(hours, degC) for hours, degC in plan.planned[: last + 1])


def _planned_cones(plan: FiringReport) -> tuple[ConeEvent, ...]:
    """A few cones of the series and the witness set, where the planned firing bends them."""
    shown = {*_SHOWN_CONES, *(c.name for c in plan.witness_cones)}
    return tuple(
        ConeEvent(bend.cone.name, bend.bends_at_h, bend.bends_at_degC)
        for bend in plan.cones
        if bend.bends_at_h is not None and bend.bends_at_degC is not None and bend.cone.name in shown
    )


def _events(found: Reach | None, rated: Cone | None, fastest: Sequence[CurvePoint]) -> tuple[ConeEvent, ...]:
    """Where a few cones of the series bend along the middle of the fastest curve."""
    if found is None or not fastest:
        return ()
    hours, chamber = found.run.hours, found.run.chamber_degC
    middle = np.array([weighted_quantile(row, found.weights, 0.5) for row in chamber])
    events = []
    for each in ALL_CONES:
        if each.name not in _SHOWN_CONES or (rated is not None and each > rated):
            continue
        times = found.cone_hours[:, each.position]
        share = float(found.weights @ ~np.isnan(times)) / float(found.weights.sum())
        if share < 0.5:
            continue
        at = weighted_quantile(np.where(np.isnan(times), np.inf, times), found.weights, 0.5)
        if math.isfinite(at) and at <= fastest[-1].x:
            events.append(ConeEvent(each.name, at, float(np.interp(at, hours, middle))))
    return tuple(events)


def _last_with_readings(kiln: Kiln, firings: Sequence[FiringRecord]) -> FiringRecord | None:
    mine = [f for f in firings if f.kiln.casefold() == kiln.name.casefold() and len(f.readings) >= 3]
    return max(mine, key=lambda f: f.date, default=None)


def hours_picture(kiln: Kiln | None, firings: Sequence[FiringRecord]) -> HoursPicture | None:
    """Hours per firing of this kiln in order of their dates; None below two firings."""
    if kiln is None:
        return None
    mine = sorted(
        (f for f in firings if f.kiln.casefold() == kiln.name.casefold() and f.hours is not None), key=lambda f: f.date
    )
    marks = tuple(FiringMark(f.date or f.id, f.hours, f.target_cone) for f in mine if f.hours is not None)
    if len(marks) < 2:
        return None
    usual = median(m.hours for m in marks[:_FIRST])
    return HoursPicture(kiln.name, marks, usual if len(marks) > _FIRST else None, _trend(marks, usual))


def _trend(marks: Sequence[FiringMark], usual: float) -> str:
    if len(marks) < 2 * _FIRST:
        return "Too few firings to see a trend. Longer and longer firings are the early warning of worn elements."
    percent = 100 * (median(m.hours for m in marks[-_FIRST:]) / usual - 1)
    if percent < 8:
        return "About as long as at first. Longer and longer firings are the early warning of worn elements."
    return (
        f"The last firings took {percent:.0f} % longer than the first: the elements may be wearing, or the volts low."
    )
