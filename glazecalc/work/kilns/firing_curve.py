"""A recorded firing as a curve for the fit: where it ran at full power, on which volts, with how old elements."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np

from glazecalc.models.chamber import WARE_KG_PER_LITRE
from glazecalc.models.kiln_fit import READING_SPREAD_K, FiringCurve, residual_count
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.records import FiringRecord
from glazecalc.work.kilns.kiln_ceiling import plate_draws, volts_suit, wire_loop_ohm
from glazecalc.work.kilns.witness import NEAR_THE_END

FALLING: Final = 0.97
"""A climb counts as slowing where each rate is at most this share of the one before."""
FEWEST_FALLING: Final = 3
ROOM_DEGC: Final = 20.0
SAME_MOMENT_H: Final = 0.25
SHORTEST_H: Final = 0.001
"""Readings nearer to each other than this tell nothing of a climb [h]."""


class Mains(NamedTuple):
    """Volts of a firing, the wire behind which they stand [ohm, None if not known], amps of others on it; in words
    where they are not its own.
    """

    volts: float
    loop_ohm: float | None
    other_A: float
    words: str


class Span(NamedTuple):
    """Times [h] and temperatures [degC] of a firing from the start, full power between two of them, and whether the
    record goes to the end, so that the witness cones speak of it.
    """

    hours: tuple[float, ...]
    degC: tuple[float, ...]
    flat_out_h: float
    until_h: float
    end_h: float | None
    whole_end: bool


def curve_of(
    kiln: Kiln, record: FiringRecord, circuits: Sequence[Circuit] = (), on_elements: int | None = None
) -> tuple[FiringCurve | None, str]:
    """A record as a curve for the fit, or None; and in words what it told or why it told nothing.

    ``circuits`` are the studio's, ``on_elements`` counts earlier firings on the elements where it is known.
    """
    found = span_of(record)
    if isinstance(found, str):
        return None, found
    mains = mains_of(kiln, record, circuits)
    if not volts_suit(kiln, mains.volts):
        return None, f"{mains.volts:g} V does not go with a {kiln.volts:g} V kiln: were the volts written down rightly?"
    room_L = plate_draws(kiln).inside.volume_m3 * 1000.0
    root = 3.0**0.5 if kiln.phase == 3 else 1.0
    curve = FiringCurve(
        hours=found.hours,
        degC=found.degC,
        volts=mains.volts,
        flat_out_h=found.flat_out_h,
        until_h=found.until_h,
        end_h=found.end_h,
        on_elements=on_elements,
        load=record.load_kg / (WARE_KG_PER_LITRE * room_L) if record.load_kg is not None else None,
        down=_cones(record, "down") if found.whole_end else (),
        standing=_cones(record, "stands") if found.whole_end else (),
        watts=root * record.amps * record.volts if record.amps and record.volts else None,
        loop_ohm=mains.loop_ohm,
        other_A=mains.other_A,
    )
    if residual_count(curve) == 0:
        return None, "it has no reading at full power"
    return curve, _told(curve, mains, bool(record.cones) and not found.whole_end)


def _cones(record: FiringRecord, bend: str) -> tuple[Cone, ...]:
    return tuple(Cone(w.cone) for w in record.cones if w.bend == bend)


def _told(curve: FiringCurve, mains: Mains, cones_left: bool) -> str:
    told = len(curve.at_full)
    words = [f"{told} reading{'s' if told != 1 else ''} at full power from {curve.flat_out_h:.1f} h on", mains.words]
    words.append("its cones are left out: the readings stop before its end" if cones_left else "")
    return "; ".join(w for w in words if w)


def mains_of(kiln: Kiln, record: FiringRecord, circuits: Sequence[Circuit]) -> Mains:
    """The volts written down; else those of the circuit it was plugged into; else those of the plate."""
    if record.volts is not None:
        return Mains(record.volts, 0.0, 0.0, "")
    on = next((c for c in circuits if c.name.casefold() == record.circuit.casefold()), None)
    loop, other = wire_loop_ohm(on), (on.other_load_A or 0.0) if on is not None else 0.0
    if on is not None and on.volts is not None:
        return Mains(on.volts, loop, other, f"volts not written down, {on.volts:g} V of {on.name} reckoned with")
    plate = kiln.volts or 120.0
    return Mains(plate, loop, other, f"volts not written down, {plate:g} V of the plate reckoned with")


def span_of(record: FiringRecord) -> Span | str:
    """Where in the record the elements were on all the time; or in words why that cannot be told.

    A firing that is called one at full power was so to its hottest, any other from where the climb only slowed. A hold
    at the peak and whatever came after follow the record.
    """
    hours = [0.0, *(r.at_h for r in record.readings if r.at_h > 0)]
    degC = [ROOM_DEGC, *(r.degC for r in record.readings if r.at_h > 0)]
    if any(b - a < SHORTEST_H for a, b in pairwise(hours)):
        return "its readings do not run forward in time"
    whole = "full power" in f"{record.schedule} {record.note}".lower()
    hold = _hold_h(record)
    if whole and len(hours) == 1 and record.hours and record.peak_degC:
        hours, degC = [0.0, record.hours - hold], [ROOM_DEGC, record.peak_degC]
    if len(hours) < 2:
        return "it has no readings of time and temperature"
    held_from = record.hours - hold + SAME_MOMENT_H if hold and record.hours else math.inf
    rise = [t for h, t in zip(hours, degC, strict=True) if h <= held_from]
    start = 0.0 if whole else flat_out_from(hours[: len(rise)], rise)
    if start is None:
        return "no stretch in which the climb kept slowing, so nothing of full power"
    hottest = max(rise) - (READING_SPREAD_K if whole else 0.0)
    last = max(i for i, t in enumerate(rise) if t >= hottest) if whole else int(np.argmax(rise))
    return _to_the_end(record, hours, degC, start, last, whole)


def _hold_h(record: FiringRecord) -> float:
    """Hours held at the peak, at the end of the firing; a hold longer than the firing is a slip and is not counted."""
    hold = record.hold_h or 0.0
    return hold if record.hours is None or hold < record.hours else 0.0


def _to_the_end(
    record: FiringRecord, hours: list[float], degC: list[float], start: float, last: int, whole: bool
) -> Span:
    """The span with what is known of the time after the hottest reading, number ``last``."""
    until, hold = hours[last], _hold_h(record)
    end = record.hours if record.hours is not None else max(hours[-1], until + hold)
    known = tuple(hours), tuple(degC), start
    if last < len(hours) - 1 or hold:
        whole_end = end - hours[-1] <= SAME_MOMENT_H or (bool(hold) and abs(until + hold - end) <= SAME_MOMENT_H)
        return Span(*known, until, end if whole_end else None, whole_end)
    if whole or until >= NEAR_THE_END * end:
        return Span(*known, math.inf, end, True)
    return Span(*known, until, None, False)


def flat_out_from(hours: Sequence[float], degC: Sequence[float]) -> float | None:
    """Hour from which the climb only slowed down, as it does at full power; None where it never does.

    At least three rates must fall one after the other, to the hottest reading.
    """
    top = int(np.argmax(degC))
    rates = [(degC[i + 1] - degC[i]) / (hours[i + 1] - hours[i]) for i in range(top)]
    first = len(rates) - 1
    while first > 0 and 0 < rates[first] <= FALLING * rates[first - 1]:
        first -= 1
    return hours[first] if len(rates) - first >= FEWEST_FALLING else None


def element_counts(firings: Sequence[FiringRecord], today: int | None) -> tuple[list[int | None], int | None]:
    """How many firings the elements had before each of ``firings``, oldest first, and how many they have had now.

    Figures written down with a firing beat ``today``'s of studio.toml, which is taken only where no firing has one.
    Between them every recorded firing counts as one. A count that falls means new elements: a firing before it that
    the new ones cannot have had was one of the old. None where nothing is known.
    """
    marks = [(i, f.on_elements) for i, f in enumerate(firings) if f.on_elements is not None]
    if not marks and today is not None:
        marks = [(len(firings), today)]
    counts = [_count(marks, i) for i in range(len(firings) + 1)]
    return counts[:-1], counts[-1]


def _count(marks: Sequence[tuple[int, int]], i: int) -> int | None:
    before = next((n + i - j for j, n in reversed(marks) if j <= i), None)
    after = next((n - (k - i) for k, n in marks if k >= i), None)
    if after is None or after < 0:
        return before
    return after if before is None else min(before, after)


def oldest_first(firings: Sequence[FiringRecord]) -> tuple[FiringRecord, ...]:
    """Firings by their date; those of one day, or without a date, as they were written down."""
    return tuple(sorted(firings, key=lambda f: f.date))
