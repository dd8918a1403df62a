"""What a kiln's recorded firings say of it: losses, heat store, wear, and the ceiling that follows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from statistics import NormalDist
from typing import Final, NamedTuple

import numpy as np

from glazecalc.jobs.ceiling import MISFIT_TO_TELL, ceiling, misfit_remarks, plate_draws, volts_suit, wire_loop_ohm
from glazecalc.models.cones import GAS_CONSTANT_KJ, KELVIN, cone_temperature, heat_law, rated_cone
from glazecalc.models.kiln import run_full_power
from glazecalc.models.kiln_learning import (
    READING_SPREAD_K,
    FiringCurve,
    draws_after,
    end_of,
    fit_kiln,
    longest_followed_h,
    residual_count,
)
from glazecalc.models.kiln_reach import (
    UNKNOWN_FIRINGS,
    KilnDraws,
    can_be_modelled,
    estimate_of,
    heat_along,
    oddity,
    plate_power_W,
    rated_degC,
    supply_share,
)
from glazecalc.values.answers import (
    Answer,
    Basis,
    Estimate,
    Problem,
    ProblemsError,
    Verdict,
    did_you_mean,
    error,
    remark,
)
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Circuit, Kiln, Studio
from glazecalc.values.records import FiringRecord, Reading, WitnessCone
from glazecalc.values.results.kiln import Ceiling, KilnLearned, WearTrend
from glazecalc.values.texts import phrase, typed

# Do the witness cones of a firing and its hottest reading go together?

REFUSED_K: Final = 80.0
"""Further apart than any pyrometer and any hold explain [K]; common practice, no source."""
ODD_K: Final = 40.0
"""Far enough apart to be said [K]; common practice, no source."""

NEAR_THE_END: Final = 0.9
"""Share of a firing's hours from which a reading is taken for its peak."""


def witness_against_peak(
    cones: Sequence[WitnessCone], readings: Sequence[Reading], peak_degC: float | None, hours: float | None = None
) -> tuple[Problem, ...]:
    """A problem where the hottest cone down is far from the hottest temperature written down [degC].

    A stated peak beats the readings. Readings speak of the peak only if the last was taken near the end of a firing of
    ``hours`` [h]; where the length is not known, the last is taken for the end.
    """
    down = [Cone(c.cone) for c in cones if c.bend == "down"]
    last = max((r.at_h for r in readings), default=0.0)
    near_the_end = hours is None or last >= NEAR_THE_END * hours
    from_readings = max((r.degC for r in readings), default=None) if near_the_end else None
    hottest = peak_degC if peak_degC is not None else from_readings
    if not down or hottest is None:
        return ()
    cone = max(down)
    bends = cone_temperature(cone).value
    apart = abs(hottest - bends)
    if apart < ODD_K:
        return ()
    down_at = "cone {} down at {:.0f both degC} at the most: it bends near {:.0f both degC}, {:.0f} K away"
    text = phrase(down_at, cone, hottest, bends, apart)
    if apart > REFUSED_K:
        hint = "F for C, or the reading of another hour? leave the temperature out where it is not known"
        return (error("witness-peak", text, hint),)
    return (remark("witness-peak", text, "the pyrometer may read wrong; the cone decides"),)


# A recorded firing as a curve for the fit: where it ran at full power, on which volts, with how old elements.

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


def curve_of(
    kiln: Kiln, record: FiringRecord, circuits: Sequence[Circuit] = (), on_elements: int | None = None
) -> tuple[FiringCurve | None, str]:
    """A record as a curve for the fit, or None; and in words what it told or why it told nothing.

    ``circuits`` are the studio's, ``on_elements`` counts earlier firings on the elements where it is known.
    """
    mains = mains_of(kiln, record, circuits)
    span = _span(record, mains)
    if isinstance(span, str):
        return None, span
    if not volts_suit(kiln, mains.volts):
        return None, f"{mains.volts:g} V does not go with a {kiln.volts:g} V kiln: were the volts written down rightly?"
    full_kg = plate_draws(kiln).inside.full_load_kg
    whole_end = span.end_h is not None
    curve = replace(
        span,
        on_elements=on_elements,
        load=record.load_kg / full_kg if record.load_kg is not None else None,
        down=record.bent("down") if whole_end else (),
        standing=record.bent("stands") if whole_end else (),
        watts=kiln.per_line * record.amps * record.volts if record.amps and record.volts else None,
    )
    if residual_count(curve) == 0:
        return None, "it has no reading at full power"
    many = len(curve.at_full)
    words = [f"{many} reading{'s' if many != 1 else ''} at full power from {curve.flat_out_h:.1f} h on", mains.words]
    if record.cones and not whole_end:
        words.append("its cones are left out: the readings stop before its end")
    return curve, "; ".join(w for w in words if w)


def mains_of(kiln: Kiln, record: FiringRecord, circuits: Sequence[Circuit]) -> Mains:
    """The volts written down; else those of the circuit it was plugged into; else those of the plate."""
    if record.volts is not None:
        return Mains(record.volts, 0.0, 0.0, "")
    on = next((c for c in circuits if c.name.casefold() == record.circuit.casefold()), None)
    loop, other = wire_loop_ohm(on), (on.other_load_A or 0.0) if on is not None else 0.0
    if on is not None and on.volts is not None:
        return Mains(on.volts, loop, other, f"volts not written down, {on.volts:g} V of {on.name} assumed")
    plate = kiln.volts or 120.0
    return Mains(plate, loop, other, f"volts not written down, {plate:g} V of the plate assumed")


def _span(record: FiringRecord, mains: Mains) -> FiringCurve | str:
    """Where in the record the elements were on all the time; or in words why that cannot be told. It has an end where
    the record goes on to it, so that the witness cones speak of it.

    A firing that is called one at full power was so to its hottest, any other from where the climb only slowed. A hold
    at the peak and whatever came after follow the record.
    """
    hours = [0.0, *(r.at_h for r in record.readings if r.at_h > 0)]
    degC = [ROOM_DEGC, *(r.degC for r in record.readings if r.at_h > 0)]
    if any(b - a < SHORTEST_H for a, b in pairwise(hours)):
        return "its readings do not run forward in time"
    whole = "full power" in f"{record.schedule} {record.note}".lower()
    hold = record.hold_h or 0.0
    if record.hours is not None and hold >= record.hours:
        hold = 0.0  # a hold longer than the firing is a slip and is not counted
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
    until = hours[last]
    end = record.hours if record.hours is not None else max(hours[-1], until + hold)
    if last < len(hours) - 1 or hold:
        to_end = end - hours[-1] <= SAME_MOMENT_H or (bool(hold) and abs(until + hold - end) <= SAME_MOMENT_H)
    else:
        to_end = whole or until >= NEAR_THE_END * end
        until = math.inf if to_end else until
    return FiringCurve(
        tuple(hours), tuple(degC), mains.volts, flat_out_h=start, until_h=until, end_h=end if to_end else None,
        loop_ohm=mains.loop_ohm, other_A=mains.other_A,
    )  # fmt: skip


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


# What a firing proves though its climb tells nothing: where a cone came down, the kiln gets at least there.

LONGEST_H: Final = 24.0
"""Hours at full power that are reckoned with where a firing's are not written down, and at the most [h]."""
MOST_PROOFS: Final = 3
"""Of so many firings the hottest cones are looked at; cooler ones prove nothing more."""
HARDLY: Final = 0.05
"""A cone that fewer of the likely kilns could have brought down in its hours is taken for a slip."""
NOTHING_NEW: Final = 0.995
"""A cone that so many of them bring down anyway teaches nothing."""
SHARE: Final = {"down": 1.0, "half": 0.5}
"""Heat-work of a cone as it was found, as a share of what brings it down."""


class ConeProof(NamedTuple):
    """The hottest cone of a firing that bent, and how far; how many firings the elements had had."""

    id: str
    record: FiringRecord
    cone: Cone
    bend: str
    on_elements: int | None

    @property
    def words(self) -> str:
        """What was seen."""
        return f"cone {self.cone} {'came down' if self.bend == 'down' else 'bent half way'}"


def proof_of(
    kiln: Kiln, id_: str, record: FiringRecord, circuits: Sequence[Circuit], on_elements: int | None
) -> ConeProof | None:
    """What the witness cones of a firing prove, or None."""
    if not volts_suit(kiln, mains_of(kiln, record, circuits).volts):
        return None
    bent = [(Cone(w.cone), w.bend) for w in record.cones if w.bend in SHARE]
    if not bent:
        return None
    cone, bend = max(bent, key=lambda seen: (seen[0].position, seen[1] == "down"))
    return ConeProof(id_, record, cone, bend, on_elements)


def held_to(
    kiln: Kiln, draws: KilnDraws, proofs: Sequence[ConeProof], circuits: Sequence[Circuit], now: int | None
) -> tuple[KilnDraws, dict[str, str], set[str]]:
    """The draws weighed by what was proven, in words what each firing proved, and the firings that taught something.

    Full power from cold for all the hours of a firing does the most heat-work that can be done in it: a kiln that does
    not bring the cone down even so is not this one. The same kiln is proven again and again, so that the strongest
    proof counts, not their product.
    """
    words = {proof.id: f"{proof.words}, which is no news" for proof in proofs}
    taught: set[str] = set()
    likely = np.ones_like(draws.weights)
    newest_first = proofs[::-1]
    for proof in sorted(newest_first, key=lambda p: -p.cone.position)[:MOST_PROOFS]:
        chances = _chances(kiln, draws, proof, circuits, now)
        share = float(draws.weights @ chances)
        if share < HARDLY:
            words[proof.id] = f"{proof.words}, which this kiln can hardly do in its hours: written down rightly?"
        elif share < NOTHING_NEW:
            words[proof.id] = f"{proof.words}, so the kiln gets at least there"
            taught.add(proof.id)
            likely = np.minimum(likely, chances)
    if taught:
        weights = draws.weights * likely
        draws = replace(draws, weights=weights / weights.sum(), learned=True)
    return draws, words, taught


def _chances(kiln: Kiln, draws: KilnDraws, proof: ConeProof, circuits: Sequence[Circuit], now: int | None) -> Array:
    """Chance that each draw could have bent the cone so far in the firing, shape (n,)."""
    record = proof.record
    mains = mains_of(kiln, record, circuits)
    then = draws
    if now and proof.on_elements is not None:
        then = replace(draws, wear=draws.wear * min(1.0, proof.on_elements / now))
    model = then.model(supply_share(then, mains.volts, mains.loop_ohm, mains.other_A))
    hours = min(record.hours or LONGEST_H, LONGEST_H)
    heat = heat_along(run_full_power(model, hours), (proof.cone,))[-1, :, 0]
    law, at = heat_law(), proof.cone.position
    per_K = law.energy_kJ_per_mol[at] / (GAS_CONSTANT_KJ * (rated_degC(proof.cone) + KELVIN) ** 2)
    spare = np.log(np.maximum(heat, 1e-300) / SHARE[proof.bend]) / per_K / law.spread_K[at]
    return np.array([NormalDist().cdf(float(z)) for z in spare])


# Does a firing just written down go with the studio: its kiln, its circuit, volts, energy and hold?

ENERGY_ROOM: Final = 1.25
"""Energy up to this many times the plate's power over all the hours is let pass: volts and plate vary."""


def firing_remarks(studio: Studio, record: FiringRecord) -> tuple[Problem, ...]:
    """Remarks on a firing as it stands in the journal; nothing here keeps it from being written."""
    kiln = next((k for k in studio.kilns if k.name.casefold() == record.kiln.casefold()), None)
    if not record.kiln and len(studio.kilns) == 1:
        kiln = studio.kilns[0]
    return (*_names(studio, record), *(() if kiln is None else _against_plate(kiln, record)))


def _names(studio: Studio, record: FiringRecord) -> Iterator[Problem]:
    if not record.kiln and len(studio.kilns) > 1:
        text = f"no kiln is named, so none of the studio's {len(studio.kilns)} learns from this firing"
        yield remark("no-kiln", text, typed(f"glazecalc record firing --id {record.id} --kiln ..."))
    known = [c.name for c in studio.circuits]
    if record.circuit and known and record.circuit.casefold() not in (name.casefold() for name in known):
        hint = did_you_mean(record.circuit, known) or f"there are: {', '.join(known)}"
        yield remark("no-circuit", f"no circuit is called {record.circuit!r}, so its volts are not known", hint)
    if record.hold_h is not None and record.hours is not None and record.hold_h >= record.hours:
        text = f"held for {record.hold_h:g} h in a firing of {record.hours:g} h"
        yield remark("firing-odd", text, "hours run from switching on to the end, the hold included")


def _against_plate(kiln: Kiln, record: FiringRecord) -> Iterator[Problem]:
    if record.volts is not None and not volts_suit(kiln, record.volts):
        text = f"{record.volts:g} V written down, but {kiln.name} is made for {kiln.volts or 0:g} V"
        hint = typed(f"it learns nothing from this firing; correct with --id {record.id} --volts ...")
        yield remark("firing-odd", text, hint)
    if record.energy_kWh is None or record.hours is None or not can_be_modelled(kiln):
        return
    most = plate_power_W(kiln) / 1000.0 * record.hours
    if record.energy_kWh > ENERGY_ROOM * most:
        text = f"{record.energy_kWh:g} kWh in {record.hours:g} h, but {kiln.name} takes at most about {most:.0f} kWh"
        yield remark("firing-odd", text, "check energy and hours; does something else hang on the meter?")


# Do the hours per firing creep up? The early warning of worn elements.

RULE = "element_wear"
FEWEST = 4
GROWTH_TO_WARN = 0.10
SURE = 2.0
"""Standard errors by which the trend must stand out."""


def judge_wear(hours: Sequence[float]) -> WearTrend:
    """Trend of the hours of like firings, oldest first: a line through ln(hours) against the firing's number.

    Warns where the line has risen by a tenth or more over the record and stands out of the scatter.
    """
    many = len(hours)
    if many < FEWEST:
        are = "such firing is" if many == 1 else "such firings are"
        text = f"{many or 'No'} {are} on record with hours; {FEWEST} are needed to see a trend."
        return WearTrend(Verdict(RULE, Answer.NOT_ASKED, text), tuple(hours), None)
    (slope, _), spread = np.polyfit(np.arange(many), np.log(hours), 1, cov=True)
    growth = math.expm1(slope * (many - 1))
    if growth >= GROWTH_TO_WARN and slope > SURE * math.sqrt(spread[0, 0]):
        answer = Answer.CANNOT_SAY
        text = (
            f"Warning: like firings have grown longer by about {100 * growth:.0f} % over {many} firings. Worn "
            "elements or lower volts do this before a firing fails. With the kiln unplugged and cold have the "
            "elements' resistance measured against the maker's figure, and the volts measured under load."
        )
    else:
        answer, text = Answer.FITS, f"Hours of {many} like firings show no growth that stands out."
    return WearTrend(Verdict(RULE, answer, text), tuple(hours), 100.0 * math.expm1(slope))


MOST_FIRINGS: Final = 40
"""So many firings, the newest, are fitted; older ones tell of elements that are gone."""
LONGEST_FIRING_H: Final = 48.0
"""No small kiln needs two days to its peak; a record that runs on is one of its cooling (common practice) [h]."""


@dataclass(frozen=True, slots=True, eq=False)
class KilnLesson:
    """What the firings of a kiln teach: draws (None where they teach nothing), the firings used and left out, each
    with a reason, and how many firings the elements have had now.
    """

    draws: KilnDraws | None
    used: tuple[tuple[str, str], ...]
    left_out: tuple[tuple[str, str], ...]
    on_elements: int | None


def learn_kiln(
    kiln: Kiln, firings: Sequence[FiringRecord], circuit: Circuit | None = None, circuits: Sequence[Circuit] = ()
) -> KilnLearned:
    """Fit the kiln to those of its ``firings`` that tell of full power, and say how hot it gets on ``circuit``.

    ``circuits`` are the studio's: each firing is reckoned on the one it was plugged into.

    Raises
    ------
    ProblemsError
        if the kiln's plate says too little to model it.
    """
    if not can_be_modelled(kiln):
        hint = "give watts (or volts and amps) and the inside in studio.toml"
        text = oddity(kiln) or "its power or inside is not known"
        raise ProblemsError([error("kiln-not-described", phrase("{}: {}", kiln.name, text), hint)])
    lesson = _lesson(kiln, tuple(firings), tuple(circuits))
    after, many = lesson.draws, len(lesson.used)
    plate = parameters(kiln, plate_draws(kiln), Basis.MODEL)
    hot = ceiling(kiln, circuit, after)
    if after is None:
        sentence = f"{kiln.name}: no recorded firing tells of full power yet, so only the plate is known."
    else:
        sentence = f"{kiln.name}: learned from {many} firing{'s' if many > 1 else ''}.{_how_hot(kiln, hot, after)}."
    return KilnLearned(
        kiln=kiln.name,
        estimates=plate if after is None else parameters(kiln, after, Basis.LEARNED, _age(lesson.on_elements)),
        before=plate,
        ceiling_before=ceiling(kiln, circuit),
        ceiling=hot,
        used=lesson.used,
        left_out=lesson.left_out,
        wear=wear_trend(firings),
        sentence=sentence,
        next_steps=(_WRITE_DOWN,) if after is None else (),
        problems=() if after is None else misfit_remarks(kiln, after.misfit),
    )


_WRITE_DOWN: Final = (
    "Write down time and temperature every half hour in the last stretch of a firing, when the kiln works without a"
    " pause, with the volts at the outlet and the cones that bent."
)


def learned_draws(kiln: Kiln, firings: Sequence[FiringRecord], circuits: Sequence[Circuit] = ()) -> KilnDraws | None:
    """Draws of the kiln as its ``firings`` on the studio's ``circuits`` tell, or None where they tell nothing."""
    return _lesson(kiln, tuple(firings), tuple(circuits)).draws


@lru_cache(maxsize=16)
def _lesson(kiln: Kiln, firings: tuple[FiringRecord, ...], circuits: tuple[Circuit, ...]) -> KilnLesson:
    own = oldest_first(firings)
    counts, now = element_counts(own, kiln.firings_on_elements)
    if not can_be_modelled(kiln):
        return KilnLesson(None, (), (), now)
    before, plate_W = plate_draws(kiln), plate_power_W(kiln)
    longest_h = min(LONGEST_FIRING_H, longest_followed_h(before.model()))
    curves: list[FiringCurve] = []
    proofs: list[ConeProof] = []
    used: list[tuple[str, str]] = []
    left: list[tuple[str, str]] = []
    for number, (record, count) in enumerate(zip(own, counts, strict=True), 1):
        curve, why = curve_of(kiln, record, circuits, count)
        curve, why = _bounded(curve, why, longest_h, len(own) - number)
        id_ = record.id or f"firing {number}"
        (used if curve else left).append((id_, why))
        if curve:
            curves.append(curve)
        if len(own) - number < MOST_FIRINGS and (curve is None or not curve.down):
            proofs += [p for p in (proof_of(kiln, id_, record, circuits, count),) if p]
    draws = before
    if curves:
        fit = fit_kiln(before, plate_W, tuple(curves))
        used = [(id_, _with_misfit(why, off)) for (id_, why), off in zip(used, fit.misfits, strict=True)]
        draws = draws_after(before, plate_W, fit, now)
    draws, words, taught = held_to(kiln, draws, proofs, circuits, now)
    draws = replace(draws, proven=max((cone for record in own for cone in record.bent("down")), default=None))
    rows = [(id_, f"{words[id_]}; {why}" if id_ in words else why) for id_, why in (*used, *left)]
    of_use = {id_ for id_, _ in used} | taught
    return KilnLesson(
        draws if draws.learned else None,
        tuple(row for row in rows if row[0] in of_use),
        tuple(row for row in rows if row[0] not in of_use),
        now,
    )


def _bounded(curve: FiringCurve | None, why: str, longest_h: float, newer: int) -> tuple[FiringCurve | None, str]:
    """The curve, or None with a reason where it is longer than is followed or many ``newer`` ones tell more."""
    if curve is None:
        return curve, why
    if newer >= MOST_FIRINGS:
        return None, f"older than the newest {MOST_FIRINGS} firings, which are enough"
    if end_of(curve) > longest_h:
        return None, f"{end_of(curve):.0f} h are more than the {longest_h:.0f} h over which this kiln is followed"
    return curve, why


def _with_misfit(why: str, misfit: float) -> str:
    far = misfit >= MISFIT_TO_TELL
    return f"{why}; lies {misfit:.1f} times further from the model than readings do" if far else why


def _age(firings: int | None) -> str:
    return f"{UNKNOWN_FIRINGS:g} firings, as they were not counted" if firings is None else f"{firings} firings"


def wear_trend(firings: Sequence[FiringRecord]) -> WearTrend | None:
    """Trend of the hours of the commonest kind of firing, oldest first; None where none has hours."""
    kinds: dict[tuple[str, str], list[float]] = {}
    for record in firings:
        if record.hours is not None:
            kinds.setdefault((record.purpose, record.target_cone), []).append(record.hours)
    return judge_wear(max(kinds.values(), key=len)) if kinds else None


def parameters(kiln: Kiln, draws: KilnDraws, basis: Basis, age: str = "") -> tuple[Estimate, ...]:
    """The parameters of a kiln's draws as estimates; ``age`` tells the elements' firings where they were counted."""
    worn = "growth of the elements' resistance since new" + (f", after {age}" if age else "")
    rows = (
        ("power_factor", draws.power_W / plate_power_W(kiln), "heating power over the plate's, new elements"),
        ("loss_factor", draws.loss, "losses over those of geometry and brick"),
        ("heat_store_factor", draws.store, "heat stored in the brick over that of a middling brick"),
        ("element_wear", draws.wear, worn),
    )
    sources = ("wall_memory", "common_practice")
    return tuple(estimate_of(name, values, draws.weights, "1", basis, sources, note) for name, values, note in rows)


def _how_hot(kiln: Kiln, hot: Ceiling | None, draws: KilnDraws) -> str:
    """How hot the kiln gets, in words; without its maker's rating only what came down in it is sure."""
    if hot is None or hot.cone is None:
        return " Its ceiling stays open"
    if rated_cone(kiln) is not None or (draws.proven is not None and hot.cone <= draws.proven):
        return f" It gets to about cone {hot.cone}"
    down = f"cone {draws.proven} came down in it" if draws.proven is not None else "no cone is known to have come down"
    return f" By heat alone it gets to about cone {hot.cone}, but {down}, and its maker's rating is not known"
