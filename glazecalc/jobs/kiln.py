"""The set-up check of one kiln: its circuits, its reach, what it costs and holds, and where it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from glazecalc.jobs.cautions import hazard_sentence
from glazecalc.jobs.ceiling import (
    UNRATED_MOST,
    ceiling,
    ceiling_remarks,
    full_power,
    hours_to_cone,
    plate_draws,
    volts_go_together,
)
from glazecalc.jobs.circuit import circuit_result
from glazecalc.jobs.firing_follow import FiringPlace, FiringWish, KilnRun, energy_estimates, find_way
from glazecalc.jobs.learn_kiln import learned_draws, wear_trend
from glazecalc.jobs.materials import Pantry, resolve
from glazecalc.jobs.reach import reach_verdict
from glazecalc.jobs.room import judge_place, load_releases
from glazecalc.jobs.setting import quoted, studio_option
from glazecalc.jobs.stacking import STANDARD_PIECES, stack
from glazecalc.models.cones import cone_temperature, rated_cone
from glazecalc.models.kiln import cool_down
from glazecalc.models.kiln_reach import KilnDraws, Reach, can_be_modelled, weighted_quantile
from glazecalc.values.answers import Answer, Basis, Estimate, Verdict, badness, worst
from glazecalc.values.cones import Cone
from glazecalc.values.data import read_table, sources
from glazecalc.values.inputs import Body, Circuit, Kiln, Limits, Piece, Recipe, Room, UnitChoice
from glazecalc.values.mains import CircuitResult
from glazecalc.values.records import FiringRecord
from glazecalc.values.results.kiln import Ceiling, CurvePoint, KilnReport, PlaceResult, WearTrend

__all__ = ["KilnQuestion", "ceiling", "check_kiln", "rank_circuits"]

COOLING_H = 36.0
OPENING_DEGC = 100.0
_POINTS = 40
_USUAL_CONE = Cone("6")
"""The witness cone of an example where no cone is known."""


@dataclass(frozen=True, slots=True)
class KilnQuestion:
    """What is asked of a kiln: the studio's circuits, the one meant, clay, cone, room, pieces, own firings, glaze,
    and the studio's folder."""

    kiln: Kiln
    circuits: tuple[Circuit, ...] = ()
    circuit: Circuit | None = None
    body: Body | None = None
    cone: Cone | None = None
    room: Room | None = None
    room_asked: bool = False
    pieces: tuple[Piece, ...] = ()
    firings: tuple[FiringRecord, ...] = ()
    recipe: Recipe | None = None
    shelf: Pantry | None = None
    limits: Limits = field(default_factory=Limits)
    units: UnitChoice = field(default_factory=UnitChoice)
    folder: str = "."


def check_kiln(question: KilnQuestion) -> KilnReport:
    """Everything that can be said of the kiln, complete before it is shown."""
    kiln = question.kiln
    ranked = rank_circuits(kiln, question.circuits)
    circuit = question.circuit or _best(ranked, question.circuits)
    mine = next((r for r in ranked if circuit is not None and r.name == circuit.name), None)
    if mine is None and circuit is not None:
        mine = circuit_result(kiln, circuit)
        ranked = (mine, *ranked)
    draws = _draws(question)
    own = draws if draws is not None and draws.learned else None
    found = full_power(kiln, circuit, own) if volts_go_together(kiln, circuit) else None
    hot = ceiling(kiln, circuit, own)
    cone = question.cone
    verdicts = [_circuit_verdict(kiln, mine, bool(question.circuits))]
    if cone is not None:
        verdicts.append(reach_verdict(kiln, circuit, cone, hot, question.limits, question.folder))
    wear = wear_trend(question.firings)
    if wear is not None and wear.verdict.answer is not Answer.NOT_ASKED:
        verdicts.append(wear.verdict)
    run = _firing_run(question, draws, circuit)
    place = _place(question, run)
    placed = place if question.room_asked or place.answer is Answer.DOES_NOT_FIT else None
    answers = [v.answer for v in verdicts] + ([placed.answer] if placed is not None else [])
    estimates = _estimates(question, run, found, hot, _aim(question))
    cooling: tuple[CurvePoint, ...] = ()
    if draws is not None and found is not None:
        cooling, cool = _cooled(draws, found, run, Basis.LEARNED if draws.learned else Basis.MODEL)
        estimates = (*estimates, cool)
    return KilnReport(
        kiln=kiln.name,
        circuit=circuit.name if circuit else None,
        cone=_aim(question),
        answer=worst(answers),
        sentence=_sentence(verdicts, placed),
        circuits=ranked,
        verdicts=tuple(verdicts),
        ceiling=hot,
        estimates=estimates,
        heating=_curve(found, found.run.hours, found.run.chamber_degC) if found else (),
        cooling=cooling,
        place=place,
        stacks=tuple(s for p in question.pieces or STANDARD_PIECES if (s := stack(kiln, p)) is not None),
        wear=wear,
        cautions=(*_of_batch(question), *_cautions(kiln, cone)),
        next_steps=_next_steps(question, mine, hot, wear),
        sources=_sources(estimates),
        problems=ceiling_remarks(kiln, hot, question.folder),
    )


def _of_batch(question: KilnQuestion) -> tuple[str, ...]:
    """What the glaze to be fired gives off that harms, beyond the gases of the load."""
    if question.recipe is None or question.shelf is None:
        return ()
    carried: dict[str, list[str]] = {}
    for line in resolve(question.recipe, question.shelf)[0]:
        for hazard in line.material.hazards:
            carried.setdefault(hazard, []).append(line.material.name)
    rows = (row for row in read_table("hazards") if row["when"] == "firing" and row["id"] in carried)
    return tuple(f"{', '.join(dict.fromkeys(carried[row['id']]))}: {hazard_sentence(row)}" for row in rows)


def rank_circuits(kiln: Kiln, circuits: Sequence[Circuit]) -> tuple[CircuitResult, ...]:
    """Every circuit judged, the best first: by answer, then by what it can carry and the power it leaves."""
    found = [circuit_result(kiln, c) for c in circuits]

    def merit(result: CircuitResult) -> tuple[int, int, float, float]:
        against = sum(r.answer is Answer.DOES_NOT_FIT for r in result.reasons)
        room = (result.continuous_limit_A or 0.0) - (result.load_A or 0.0)
        return badness(result.answer), against, -(result.power_fraction or 0.0), -room

    return tuple(sorted(found, key=merit))


def _best(ranked: Sequence[CircuitResult], circuits: Sequence[Circuit]) -> Circuit | None:
    if not ranked or ranked[0].answer is Answer.DOES_NOT_FIT:
        return None
    return next(c for c in circuits if c.name == ranked[0].name)


def _draws(question: KilnQuestion) -> KilnDraws | None:
    if not can_be_modelled(question.kiln):
        return None
    learned = learned_draws(question.kiln, question.firings, question.circuits) if question.firings else None
    return learned or plate_draws(question.kiln)


def _circuit_verdict(kiln: Kiln, mine: CircuitResult | None, studio_has_some: bool) -> Verdict:
    rule = "circuit_carries"
    if mine is None:
        text = f"No circuit of the studio is right for {kiln.name}. Name one with --circuit to see why."
        if not studio_has_some:
            text = (
                f"No outlet is described, so whether one carries {kiln.name} cannot be said: add a [[circuit]] to"
                " studio.toml with its volts, breaker_A and receptacle."
            )
        return Verdict(rule, Answer.CANNOT_SAY, text)
    if mine.answer is Answer.FITS:
        text = f"{kiln.name} may be plugged in at {mine.name} by these rules; the maker's manual and local code decide."
        return Verdict(rule, Answer.FITS, text)
    first = mine.reasons[0].message
    if mine.answer is Answer.DOES_NOT_FIT:
        return Verdict(rule, Answer.DOES_NOT_FIT, f"Do not plug {kiln.name} in at {mine.name}: {first}.")
    return Verdict(rule, Answer.CANNOT_SAY, f"Cannot say whether {mine.name} carries {kiln.name}: {first}.")


def _firing_run(question: KilnQuestion, draws: KilnDraws | None, circuit: Circuit | None) -> KilnRun | None:
    """The glaze firing that `firing` plans, for energy and heat; None where no cone is known or it is not modelled."""
    aim = _aim(question)
    if aim is None:
        return None
    place = FiringPlace(question.kiln, circuit, question.body, draws, question.limits)
    return find_way(FiringWish("glaze", aim), place).run


def _aim(question: KilnQuestion) -> Cone | None:
    """The cone to fire to: the one asked for, as far as the kiln is rated for it; else the rated one."""
    rated = rated_cone(question.kiln)
    cones = [c for c in (question.cone, rated) if c is not None]
    return min(cones) if cones else None


def _estimates(
    question: KilnQuestion, run: KilnRun | None, found: Reach | None, hot: Ceiling | None, cone: Cone | None
) -> tuple[Estimate, ...]:
    told: list[Estimate | None] = []
    if hot is not None:
        told += [hot.estimate, hot.stall]
    if found is not None and run is not None and cone is not None:
        basis = Basis.LEARNED if run.draws.learned else Basis.MODEL
        told.append(hours_to_cone(found, cone, basis))
        limits = question.limits
        what = f"a glaze firing to cone {cone} as planned by `firing`"
        told += energy_estimates(run, basis, limits.electricity_price_per_kWh, limits.currency, what)
    return tuple(e for e in told if e is not None)


def _place(question: KilnQuestion, run: KilnRun | None) -> PlaceResult:
    gases = load_releases(question.kiln, question.recipe, question.shelf)
    return judge_place(question.kiln, question.room, run, gases, question.units)


def _curve(found: Reach, hours: np.ndarray, chamber: np.ndarray) -> tuple[CurvePoint, ...]:
    rows = np.unique(np.linspace(0, len(hours) - 1, _POINTS).round().astype(int))
    points = []
    for i in rows:
        low, middle, high = (weighted_quantile(chamber[i], found.weights, p) for p in (0.05, 0.5, 0.95))
        points.append(CurvePoint(float(hours[i]), min(low, middle), middle, max(high, middle)))
    return tuple(points)


def _cooled(
    draws: KilnDraws, found: Reach, fired: KilnRun | None, basis: Basis
) -> tuple[tuple[CurvePoint, ...], Estimate]:
    """The cooling curve of a shut kiln from the peak of its firing, and the hours until it may be opened [h].

    Where no cone to fire to is known it is told from the end of full power, no hotter than cone 10.
    """
    start = np.minimum(found.run.places_degC[-1], cone_temperature(UNRATED_MOST).value)
    if fired is not None:
        places = fired.followed.run.places_degC
        peak = np.argmax(places[:, 0], axis=0)
        start = places[peak, :, np.arange(len(peak))].T
    run = cool_down(draws.model(), COOLING_H, start)
    cold = run.chamber_degC <= OPENING_DEGC
    hours = np.where(cold.any(axis=0), run.hours[np.argmax(cold, axis=0)], COOLING_H)
    low, middle, high = found.quantiles(hours)
    caveat = f"switched off at its hottest and left shut, until {OPENING_DEGC:g} degC; peepholes and vent hasten it"
    told = Estimate("hours_to_cool", middle, low, high, "h", basis, ("wall_memory",), (caveat,))
    return _curve(found, run.hours, run.chamber_degC), told


def _sentence(verdicts: Sequence[Verdict], place: PlaceResult | None) -> str:
    worst_one = max(verdicts, key=lambda v: badness(v.answer))
    told = worst_one.message
    if worst_one.answer is Answer.FITS:
        told = " ".join(v.message for v in verdicts)
    if place is not None and place.answer is Answer.DOES_NOT_FIT:
        told = f"Not in {place.room or 'this place'} as it is: {place.reasons[0].message}. {told}"
    elif place is not None and place.answer is not Answer.FITS and place.reasons:
        told += f" The place: {place.reasons[0].message}."
    return told


def _cautions(kiln: Kiln, cone: Cone | None) -> tuple[str, ...]:
    found = [
        "Mains and heat can kill: the maker's manual, the local code and a licensed electrician decide, not this.",
    ]
    if cone is not None and rated_cone(kiln) == cone:
        found.append(f"{kiln.name} is rated exactly for cone {cone}: firing there wears elements and brick fastest.")
    return tuple(found)


def _next_steps(
    question: KilnQuestion, mine: CircuitResult | None, hot: Ceiling | None, wear: WearTrend | None
) -> tuple[str, ...]:
    kiln, found = question.kiln, []
    if mine is not None and mine.answer is not Answer.FITS:
        found.append(f"Show an electrician the plate of {kiln.name} and the reasons above before it is plugged in.")
    if kiln.interior is None:
        found.append("Measure the inside of the kiln and add interior = { shape, width_mm, height_mm } to studio.toml.")
    if hot is not None and hot.estimate.basis is Basis.MODEL:
        found.append(f"Record a firing with your own times, temperatures and cones, such as: {_record_it(question)}")
    if wear is not None and wear.verdict.answer is Answer.CANNOT_SAY:
        found.append("Have the elements' resistance measured, the kiln unplugged and cold.")
    return tuple(found)


def _record_it(question: KilnQuestion) -> str:
    """The command that writes a firing down, with figures that go together."""
    aim = _aim(question) or _USUAL_CONE
    hot = 10 * round(cone_temperature(aim).value / 10)
    on = f"--kiln {quoted(question.kiln.name)} --at 2:00=400C --at 8:00={hot}C --witness {aim}=down"
    return f"glazecalc record firing {on}{studio_option(question.folder)}"


_GENERAL_SOURCES = ("brick_clays_1908", "common_practice")


def _sources(estimates: Sequence[Estimate]) -> tuple[str, ...]:
    ids = dict.fromkeys(
        ["nec", "nec_ch9_t8", "nema_wd6", *(s for e in estimates for s in e.sources), *_GENERAL_SOURCES]
    )
    return tuple(sources().get(i, i) for i in ids)
