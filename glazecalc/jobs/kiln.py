"""The set-up check of one kiln: its circuits, its reach, what it costs and holds, and where it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from glazecalc.jobs.cautions import hazard_sentence, metals
from glazecalc.jobs.ceiling import (
    UNRATED_MOST,
    ceiling,
    ceiling_remarks,
    full_power,
    hours_to_cone,
)
from glazecalc.jobs.circuit import circuit_result
from glazecalc.jobs.estimates import cited
from glazecalc.jobs.firing_follow import FiringWish, KilnRun, curve_points, draws_of, energy_estimates, find_way
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.learn_kiln import wear_trend
from glazecalc.jobs.materials import Pantry, hazards_by_analysis, resolve
from glazecalc.jobs.reach import reach_verdict
from glazecalc.jobs.room import judge_place, load_releases
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.stacking import STANDARD_PIECES, stack
from glazecalc.models.cones import cone_temperature, rated_cone
from glazecalc.models.kiln import cool_down
from glazecalc.models.kiln_reach import KilnDraws, Reach, estimate_of
from glazecalc.values.answers import Answer, Basis, Estimate, Verdict, badness, worst
from glazecalc.values.cones import Cone
from glazecalc.values.data import read_table
from glazecalc.values.inputs import Circuit, Kiln, Recipe
from glazecalc.values.mains import CircuitResult
from glazecalc.values.names import quoted, studio_option
from glazecalc.values.results.kiln import Ceiling, CurvePoint, KilnReport, PlaceResult, WearTrend
from glazecalc.values.texts import joined, phrase

COOLING_H = 36.0
OPENING_DEGC = 100.0
_POINTS = 40
_USUAL_CONE = Cone("6")
"""The witness cone of an example where no cone is known."""


def check_kiln(
    setup: Setup, recipe: Recipe | None = None, shelf: Pantry | None = None, *, room_asked: bool = False
) -> KilnReport:
    """Everything that can be said of the kiln, complete before it is shown; with a ``recipe``, of firing it as well.

    The room speaks in the answer where it forbids the kiln, or where it was ``room_asked`` about. Raises ValueError for
    a setup without a kiln.
    """
    kiln = setup.kiln
    if kiln is None:
        raise ValueError("no kiln")
    ranked = rank_circuits(kiln, setup.circuits)
    circuit = setup.circuit or _best(ranked, setup.circuits)
    mine = next((r for r in ranked if circuit is not None and r.name == circuit.name), None)
    if mine is None and circuit is not None:
        mine = circuit_result(kiln, circuit)
        ranked = (mine, *ranked)
    here = replace(setup, circuit=circuit)
    draws = draws_of(here)
    own = draws if draws is not None and draws.learned else None
    found = None if draws is None else full_power(kiln, circuit, own)
    hot, cone, aim = ceiling(kiln, circuit, own), setup.cone, _aim(kiln, setup.cone)
    verdicts = [_circuit_verdict(kiln, mine, bool(setup.circuits))]
    if cone is not None:
        verdicts.append(reach_verdict(kiln, circuit, cone, hot, setup.limits, setup.folder))
    wear = wear_trend(setup.firings)
    if wear is not None and wear.verdict.answer is not Answer.NOT_ASKED:
        verdicts.append(wear.verdict)
    run = None if aim is None else find_way(FiringWish("glaze", aim), here).run
    place = judge_place(kiln, setup.room, run, load_releases(kiln, recipe, shelf), setup.units)
    placed = place if room_asked or place.answer is Answer.DOES_NOT_FIT else None
    answers = [v.answer for v in verdicts] + ([placed.answer] if placed is not None else [])
    estimates = _estimates(setup, run, found, hot, aim)
    cooling: tuple[CurvePoint, ...] = ()
    if draws is not None and found is not None:
        cooling, cool = _cooled(draws, found, run)
        estimates = (*estimates, cool)
    return KilnReport(
        kiln=kiln.name,
        circuit=circuit.name if circuit else None,
        cone=aim,
        answer=worst(answers),
        sentence=_sentence(verdicts, placed),
        circuits=ranked,
        verdicts=tuple(verdicts),
        ceiling=hot,
        estimates=estimates,
        heating=curve_points(found.run, found.weights, _POINTS) if found else (),
        cooling=cooling,
        place=place,
        stacks=tuple(s for p in setup.pieces or STANDARD_PIECES if (s := stack(kiln, p)) is not None),
        wear=wear,
        cautions=(*_of_batch(recipe, shelf), *_cautions(kiln, cone)),
        next_steps=_next_steps(setup, kiln, mine, hot, wear),
        sources=cited(estimates, ("nec", "nec_ch9_t8", "nema_wd6"), ("brick_clays_1908", "common_practice")),
        problems=ceiling_remarks(kiln, hot, setup.folder),
    )


def _of_batch(recipe: Recipe | None, shelf: Pantry | None) -> tuple[str, ...]:
    """What the glaze to be fired holds and gives off that harms, beyond the gases of the load."""
    if recipe is None or shelf is None:
        return ()
    composition, _, _ = compose_recipe(recipe, shelf)
    formula = None if composition is None else formula_of(composition)
    carried: dict[str, list[str]] = {}
    if recipe.kind == "composition" and formula is not None:
        carried = {hazard: ["The glaze"] for hazard in hazards_by_analysis(formula.weight_percent())}
    for line in resolve(recipe, shelf)[0]:
        for hazard in line.material.hazards:
            carried.setdefault(hazard, []).append(line.material.name)
    rows = (row for row in read_table("hazards") if row["when"] == "firing" and row["id"] in carried)
    given_off = (f"{', '.join(dict.fromkeys(carried[row['id']]))}: {hazard_sentence(row)}" for row in rows)
    return (*metals(formula), *given_off)


def rank_circuits(kiln: Kiln, circuits: Sequence[Circuit]) -> tuple[CircuitResult, ...]:
    """Every circuit judged, the best first: by answer, then by what it can carry and the power it leaves."""
    found = [circuit_result(kiln, c) for c in circuits]

    def merit(result: CircuitResult) -> tuple[int, int, float, float]:
        against = sum(r.answer is Answer.DOES_NOT_FIT for r in result.reasons)
        room = (result.continuous_limit_A or 0.0) - (result.load_A or 0.0)
        return badness(result.answer), against, -(result.power_fraction or 0.0), -room

    return tuple(sorted(found, key=merit))


def _best(ranked: Sequence[CircuitResult], circuits: Sequence[Circuit]) -> Circuit | None:
    name = ranked[0].name if ranked and ranked[0].answer is not Answer.DOES_NOT_FIT else None
    return next((c for c in circuits if c.name == name), None)


def _circuit_verdict(kiln: Kiln, mine: CircuitResult | None, studio_has_some: bool) -> Verdict:
    rule = "circuit_carries"
    if mine is None and studio_has_some:
        text = phrase("No circuit of the studio is right for {}. Name one| with --circuit| to see why.", kiln.name)
        return Verdict(rule, Answer.CANNOT_SAY, text)
    if mine is None:
        text = f"No outlet is described, so whether one carries {kiln.name} is open: add a [[circuit]] to studio.toml"
        return Verdict(rule, Answer.CANNOT_SAY, f"{text} with its volts, breaker_A and receptacle.")
    if mine.answer is Answer.FITS:
        text = f"{kiln.name} may be plugged in at {mine.name} by these rules; the maker's manual, your local code"
        return Verdict(rule, Answer.FITS, f"{text} and an electrician decide.")
    first = mine.reasons[0].message
    if mine.answer is Answer.DOES_NOT_FIT:
        return Verdict(rule, Answer.DOES_NOT_FIT, phrase("Do not plug {} in at {}: {}.", kiln.name, mine.name, first))
    open_ = phrase("Cannot say whether {} carries {}: {}.", mine.name, kiln.name, first)
    return Verdict(rule, Answer.CANNOT_SAY, open_)


def _aim(kiln: Kiln, cone: Cone | None) -> Cone | None:
    """The cone to fire to: the one asked for, as far as the kiln is rated for it; else the rated one."""
    return min((c for c in (cone, rated_cone(kiln)) if c is not None), default=None)


def _estimates(
    setup: Setup, run: KilnRun | None, found: Reach | None, hot: Ceiling | None, cone: Cone | None
) -> tuple[Estimate, ...]:
    known: list[Estimate | None] = [] if hot is None else [hot.estimate, hot.stall]
    if found is not None and run is not None and cone is not None:
        known.append(hours_to_cone(found, cone, run.draws.basis))
        what, limits = f"a glaze firing to cone {cone} as planned by `firing`", setup.limits
        known += energy_estimates(run, limits.electricity_price_per_kWh, limits.currency, what)
    return tuple(e for e in known if e is not None)


def _cooled(draws: KilnDraws, found: Reach, fired: KilnRun | None) -> tuple[tuple[CurvePoint, ...], Estimate]:
    """The cooling curve of a shut kiln from the peak of its firing, and the hours until it may be opened [h].

    Where no cone to fire to is known it is told from the end of full power, no hotter than cone 10.
    """
    start = np.minimum(found.run.places_degC[-1], cone_temperature(UNRATED_MOST).value)
    if fired is not None:
        places = fired.run.places_degC
        peak = np.argmax(places[:, 0], axis=0)
        start = places[peak, :, np.arange(len(peak))].T
    run = cool_down(draws.model(), COOLING_H, start)
    cold = run.chamber_degC <= OPENING_DEGC
    hours = np.where(cold.any(axis=0), run.hours[np.argmax(cold, axis=0)], COOLING_H)
    shut = "switched off at its hottest and left shut, until {:g degC}; open peepholes and a vent speed it up"
    caveat = phrase(shut, OPENING_DEGC)
    cool = estimate_of("hours_to_cool", hours, found.weights, "h", draws.basis, ("wall_memory",), caveat)
    return curve_points(run, found.weights, _POINTS), cool


def _sentence(verdicts: Sequence[Verdict], place: PlaceResult | None) -> str:
    worst_one = max(verdicts, key=lambda v: badness(v.answer))
    text = worst_one.message
    if worst_one.answer is Answer.FITS:
        text = joined(" ", (v.message for v in verdicts))
    if place is not None and place.answer is Answer.DOES_NOT_FIT:
        return phrase("Not in {} as it is: {}. {}", place.room or "this place", place.reasons[0].message, text)
    if place is not None and place.answer is not Answer.FITS and place.reasons:
        return phrase("{} The place: {}.", text, place.reasons[0].message)
    return text


def _cautions(kiln: Kiln, cone: Cone | None) -> tuple[str, ...]:
    mains = "Mains and heat can kill. The maker's manual, the local code and a licensed electrician decide, not this."
    if cone is None or rated_cone(kiln) != cone:
        return (mains,)
    return mains, f"{kiln.name} is rated exactly for cone {cone}: firing there wears elements and brick fastest."


def _next_steps(
    setup: Setup, kiln: Kiln, mine: CircuitResult | None, hot: Ceiling | None, wear: WearTrend | None
) -> tuple[str, ...]:
    found = []
    if mine is not None and mine.answer is not Answer.FITS:
        found.append(f"Show an electrician the plate of {kiln.name} and the reasons above before it is plugged in.")
    if kiln.interior is None:
        found.append("Measure the inside of the kiln and add interior = { shape, width_mm, height_mm } to studio.toml.")
    if hot is not None and hot.estimate.basis is Basis.MODEL:
        record = "Record a firing with your own times, temperatures and cones, such as|: glazecalc record firing {}|"
        found.append(phrase(record, _recorded(setup, kiln)))
    if wear is not None and wear.verdict.answer is Answer.CANNOT_SAY:
        found.append("Have the elements' resistance measured, the kiln unplugged and cold.")
    return tuple(found)


def _recorded(setup: Setup, kiln: Kiln) -> str:
    """What writes a firing down, with figures that go together."""
    aim = _aim(kiln, setup.cone) or _USUAL_CONE
    hot = 10 * round(cone_temperature(aim).value / 10)
    options = "--kiln {} --at 2:00={400 degC} --at 8:00={:.0f degC} --witness {}=down{}"
    return phrase(options, quoted(kiln.name), hot, aim, studio_option(setup.folder))
