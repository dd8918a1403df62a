"""A firing: a schedule for a cone, or what a given schedule does; which cone bends when, and can the kiln follow."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import Composition
from glazecalc.jobs.ceiling import MISFIT_TO_TELL, cone_reading_K, misfit_remarks, volts_go_together
from glazecalc.jobs.circuit import refusal, with_circuit
from glazecalc.jobs.estimates import cited, firing_range_of
from glazecalc.jobs.firing_follow import (
    COOL_RATE,
    START_DEGC,
    DropHold,
    FiringWish,
    KilnRun,
    Plan,
    Way,
    corners,
    curve_points,
    draws_of,
    energy_estimates,
    find_way,
    run_kiln,
    what_it_cannot,
)
from glazecalc.jobs.reach import answer_of_chance, not_rated
from glazecalc.jobs.setup import Setup
from glazecalc.models.coat import figure, normal_cdf
from glazecalc.models.cones import (
    Bends,
    bends,
    cumulative_heat,
    heat_law,
    hold_worth_K,
    rated_cone,
    rating_words,
    temperature_degC,
)
from glazecalc.models.firing import SURE, Maturing, crystalline, crystals_probability, maturity
from glazecalc.models.viscosity import Curves, log_viscosity_on, temperature_on, viscosity_curves
from glazecalc.values.answers import Answer, Verdict, percent_words, worst
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.inputs import Kiln
from glazecalc.values.results.firing import (
    ConeBend,
    FiringKind,
    FiringReport,
    HeatPoint,
    SafetyNote,
    ScheduleLeg,
    Segment,
)
from glazecalc.values.results.kiln import FULL_POWER_H
from glazecalc.values.texts import begun, joined, phrase

_CHARTS: Final = ("cone_chart", "from_memory")
_POINTS: Final = 60
"""Points of a curve that is drawn."""

# Cautions by stage of a firing. They name the usual dangers; manual, local codes and trained people

_START: Final = SafetyNote(
    "before",
    "Read the maker's manual first. Keep anything that burns away from the kiln. Plug in the wall and cool to the hand,"
    " vent and detectors on, kiln wash and shelves sound. Ware that is not bone dry can burst.",
    first=True,
)
_DRYING: Final = SafetyNote(
    phrase("to {120 degC}"), "Steam scalds: keep face and hands away from openings. Do not hurry damp or thick ware."
)
_BURN_OUT: Final = SafetyNote(
    phrase("{200 to 700 degC}"),
    "Plant matter, wax and gum burn off with smoke and carbon monoxide, which has no smell: vent outside, keep a "
    "carbon monoxide detector on, do not stay in the room longer than a look takes.",
    first=True,
)
_FUMES: Final = SafetyNote(
    phrase("{400 to 1100 degC}"),
    "Sulphur dioxide, and from some clays and glazes fluorine compounds, come off: vent outside, leave the room.",
    first=True,
)
_HOT: Final = SafetyNote(
    "red heat",
    "Look into the kiln only through dark glasses made for it, from the side, gloves on. The case burns skin.",
)
_TOP: Final = SafetyNote(
    "near the peak",
    "Be there. A controller, cone shut-off or timer can stick: see the kiln off yourself, then unplug it or switch off "
    "at the disconnect as its manual says. A tripped breaker or ground-fault device, a hot plug, a smell of burning: "
    "off, let cool, and have it looked at before the next firing.",
    first=True,
)
_COOLING: Final = SafetyNote(
    "cooling",
    phrase("Do not open above {:.0f degC}: draught cracks ware and hot air burns", 100)
    + ". Shelves and ware hold heat for hours.",
    first=True,
)
_DUST: Final = SafetyNote(
    "unloading", "Razor-sharp drips and kiln wash dust: goggles, gloves; clean with a damp cloth, not a brush."
)


def safety_notes(kind: FiringKind | None, peak_degC: float) -> tuple[SafetyNote, ...]:
    """The cautions of a firing to ``peak_degC``; raw ware (bisque, once-fired) and unknown ware get them all."""
    raw = kind in ("bisque", "once-fired", None)
    notes = [_START, _DRYING] if raw else [_START]
    notes += [_BURN_OUT]
    if peak_degC > 600:
        notes.append(_FUMES)
    return (*notes, _HOT, _TOP, _COOLING, _DUST)


__all__ = ["FiringWish", "plan_firing", "weigh_schedule", "witness_set"]

LATE_H: Final = 1.0
"""A cone down within this of the time planned [h] is as good as in time."""
LATE_TOLD: Final = 0.02
"""A share of likely kilns later than that which is worth a word."""


def plan_firing(wish: FiringWish, setup: Setup) -> FiringReport:
    """A schedule for ``wish.cone``, shaped by what the kiln can follow; none above the maker's rating."""
    title, kiln = f"{wish.kind} firing to cone {wish.cone}", setup.kiln
    rated = None if kiln is None else rated_cone(kiln)
    if kiln is None or rated is None or rated >= wish.cone:
        return _report(title, wish.kind, wish.cone, find_way(wish, setup), setup)
    verdict = _rating_verdict(kiln, wish.cone)
    return FiringReport(
        title=title,
        kind=wish.kind,
        cone=wish.cone,
        kiln=kiln.name,
        circuit=setup.circuit.name if setup.circuit else None,
        answer=Answer.DOES_NOT_FIT,
        sentence=verdict.message,
        verdicts=(verdict, *_circuit_verdicts(setup)),
        notes=("no schedule is given for a cone above the rating of the kiln",),
        sources=cited((), _CHARTS),
    )


def _rating_verdict(kiln: Kiln, cone: Cone) -> Verdict:
    above = "Do not: cone {} is above the maker's rating, {} is rated for {}."
    text = phrase(above, cone, kiln.name, rating_words(kiln))
    return Verdict("kiln_follows", Answer.DOES_NOT_FIT, text, remedy="never")


def _circuit_verdicts(setup: Setup) -> tuple[Verdict, ...]:
    """What the circuit rules say against this kiln on this circuit; empty where they have nothing against it."""
    if setup.kiln is None or setup.circuit is None:
        return ()
    rule = "circuit_carries"
    no = refusal(setup.kiln, setup.circuit)
    if no is not None:
        return (Verdict(rule, Answer.DOES_NOT_FIT, phrase("Do not: {}.", no), remedy="never"),)
    open_ = with_circuit(Verdict(rule, Answer.FITS, ""), setup.kiln, setup.circuit)
    return (Verdict(rule, open_.answer, open_.message.strip()),) if open_.message else ()


def weigh_schedule(
    legs: Sequence[ScheduleLeg], cone: Cone | None, setup: Setup, title: str = "schedule"
) -> FiringReport:
    """What a given schedule does: its cones, and whether the kiln follows."""
    peak = max(leg.to_degC for leg in legs)
    at = max(i for i, leg in enumerate(legs) if leg.to_degC == peak)
    plan = tuple(
        Plan(leg.rate_degC_per_h, leg.to_degC, leg.hold_h, "as given", at_peak=i == at) for i, leg in enumerate(legs)
    )
    draws = draws_of(setup)
    run = run_kiln(draws, setup.circuit, plan) if draws is not None else None
    notes = ["a schedule as given"]
    if setup.kiln is not None and setup.kiln.control == "switch":
        notes.append(f"{setup.kiln.name} has a switch: a schedule is followed only where a controller leads it")
    return _report(title, None, cone, Way(plan, *corners(plan), run, (), tuple(notes)), setup)


def _report(title: str, kind: FiringKind | None, cone: Cone | None, way: Way, setup: Setup) -> FiringReport:
    times, degC, legs, run = way.hours, way.degC, way.legs, way.run
    found = bends(times, degC)
    reached = found.reached()
    heat = _heat_verdict(kind, cone, found) if legs else None
    follows = _kiln_verdict(cone, setup, way, reached)
    verdicts = (*_circuit_verdicts(setup), *(v for v in (heat, follows) if v))
    limits, kiln = setup.limits, setup.kiln
    estimates = energy_estimates(run, limits.electricity_price_per_kWh, limits.currency) if run else ()
    low, high = (_reached_at(times, degC + shift) for shift in (-cone_reading_K(), cone_reading_K()))
    peak = next((leg for leg in legs if leg.at_peak), None)
    aim = cone or reached
    misfits = misfit_remarks(kiln, run.draws.misfit, setup.folder) if kiln and run else ()
    return FiringReport(
        title=title,
        kind=kind or "given",
        cone=cone,
        kiln=kiln.name if kiln else None,
        circuit=setup.circuit.name if setup.circuit else None,
        answer=worst(v.answer for v in verdicts) if verdicts else None,
        sentence=_sentence(title, _comes_down(reached, way), verdicts),
        segments=_segments(legs, run),
        total_h=float(times[-1]),
        cones=_bends(found),
        reached_cone=reached,
        cone_low=low,
        cone_high=high,
        witness_cones=witness_set(aim),
        hold_worth_K=hold_worth_K(aim, peak.hold_h, peak.rate_degC_per_h) if aim and peak and peak.hold_h > 0 else None,
        verdicts=verdicts,
        cannot_follow=what_it_cannot(legs, run, kiln.name) if run and kiln else (),
        turn_ups=way.acts,
        safety=safety_notes(kind, float(degC.max())),
        estimates=estimates,
        planned=tuple(map(HeatPoint, times.tolist(), degC.tolist())),
        predicted=curve_points(run.run, run.draws.weights, _POINTS) if run else (),
        notes=(*way.notes, *(p.message + "; " + p.hint for p in misfits)),
        sources=cited(estimates, _CHARTS),
    )


def witness_set(cone: Cone | None) -> tuple[Cone, ...]:
    """One cone below, the cone, one above; half cones are left out beside whole ones. Empty for None."""
    if cone is None:
        return ()
    series = [c for c in ALL_CONES if "." not in c.name or c == cone]
    at = series.index(cone)
    return tuple(series[max(0, at - 1) : at + 2])


def _bends(found: Bends) -> tuple[ConeBend, ...]:
    def number(x: float) -> float | None:
        return None if np.isnan(x) else float(x)

    rows = zip(found.cones, found.hours, found.degC, found.done, strict=True)
    return tuple(ConeBend(cone, number(h), number(t), float(done)) for cone, h, t, done in rows)


def _reached_at(times: np.ndarray, degC: np.ndarray) -> Cone | None:
    done = cumulative_heat(heat_law(), times, degC)[-1]
    down = np.flatnonzero(done >= 1.0)
    return ALL_CONES[int(down[-1])] if down.size else None


def _segments(legs: tuple[Plan, ...], run: KilnRun | None) -> tuple[Segment, ...]:
    found = []
    at, before = 0.0, START_DEGC
    for i, leg in enumerate(legs):
        at += abs(leg.to_degC - before) / leg.rate_degC_per_h + leg.hold_h
        before = leg.to_degC
        asked = leg.asked if leg.asked and leg.asked > leg.rate_degC_per_h else None
        kept = run.kept[i] if run else None
        found.append(Segment(leg.rate_degC_per_h, leg.to_degC, leg.hold_h, leg.why, at, kept, asked))
    return tuple(found)


def _heat_verdict(kind: FiringKind | None, cone: Cone | None, found: Bends) -> Verdict | None:
    """Does the heat-work of the schedule bring the cone down, and not the next but one?"""
    if cone is None:
        return None
    rule = "heat_work"
    at = ALL_CONES.index(cone)
    if found.done[at] < 1.0:
        text = f"The schedule does {100 * found.done[at]:.0f} % of the heat-work that brings cone {cone} down."
        return Verdict(rule, Answer.DOES_NOT_FIT, text)
    reached = found.reached()
    over = [c for c in ALL_CONES[at + 1 :] if "." not in c.name][:2]
    if kind is None and reached is not None and len(over) == 2 and reached >= over[1]:
        return Verdict(rule, Answer.DOES_NOT_FIT, f"The schedule goes to cone {reached}, beyond cone {cone}.")
    return Verdict(rule, Answer.FITS, f"The schedule brings cone {cone} down.")


RATED_SLACK_K: Final = 3.0
"""A peak this little above the maker's highest temperature is no more than a pyrometer tells apart [K]."""


def _beyond_rating(kiln: Kiln, cone: Cone | None, way: Way) -> Verdict | None:
    """A no where the firing goes beyond the maker's cone or highest temperature."""
    rated = rated_cone(kiln)
    if cone is not None and rated is not None and rated < cone:
        return _rating_verdict(kiln, cone)
    peak = max((leg.to_degC for leg in way.legs), default=0.0)
    if kiln.max_degC is None or peak <= kiln.max_degC + RATED_SLACK_K:
        return None
    text = "Do not: {:.0f both degC} is above the maker's highest temperature of {}, {:.0f both degC}."
    message = phrase(text, peak, kiln.name, kiln.max_degC)
    return Verdict("kiln_follows", Answer.DOES_NOT_FIT, message, remedy="never")


def _kiln_verdict(cone: Cone | None, setup: Setup, way: Way, reached: Cone | None) -> Verdict | None:
    """Does this kiln do it, fired in this way?"""
    kiln, run, rule = setup.kiln, way.run, "kiln_follows"
    if kiln is None:
        return None
    if not volts_go_together(kiln, setup.circuit):
        return Verdict(rule, Answer.DOES_NOT_FIT, f"{kiln.name} does not belong on a circuit of another voltage.")
    beyond = _beyond_rating(kiln, cone or reached, way)
    if beyond is not None:
        return beyond
    if cone is None:
        return None
    if run is None:
        return Verdict(rule, Answer.CANNOT_SAY, f"{kiln.name} could not be modelled.")
    if run.draws.misfit >= MISFIT_TO_TELL:
        text = f"Cannot say whether {kiln.name} follows: the firings it was learned from hardly look like it."
        return Verdict(rule, Answer.CANNOT_SAY, text)
    proven = run.draws.proven
    if rated_cone(kiln) is None and (proven is None or proven < cone):
        return Verdict(rule, Answer.CANNOT_SAY, not_rated(kiln.name))
    percent = 100 * run.chance(cone)
    how = "following this schedule" if way.legs else "fired by its switch"
    about = f"about {min(99.0, max(1.0, percent)):.0f} % of likely cases"
    text = f"{kiln.name} {how} brings cone {cone} down in {about}{_late(cone, way, run)}."
    return Verdict(rule, answer_of_chance(percent, setup.limits), text)


def _late(cone: Cone, way: Way, run: KilnRun) -> str:
    """How long the likely kilns are left on for that chance, where many of them take much longer than planned."""
    in_time_h = FULL_POWER_H
    if way.legs:
        in_time_h = float(way.hours[np.flatnonzero(way.degC == way.degC.max())[-1]]) + LATE_H
    down_h = run.down_h(cone)
    late = (down_h > in_time_h) & np.isfinite(down_h)
    if float(run.draws.weights @ late) < LATE_TOLD:
        return ""
    in_time = percent_words(float(run.draws.weights @ (down_h <= in_time_h)))
    by = f"{LATE_H:g} h of the time planned" if way.legs else f"{in_time_h:g} h"
    return f" if left on for up to {np.max(down_h[late]):.0f} h; in about {in_time} it is down within {by}"


def _comes_down(reached: Cone | None, way: Way) -> str:
    """The hottest cone of the plan, in words; in a kiln it comes down only where the kiln keeps up."""
    if reached is None:
        return "no cone comes down"
    if way.run is None:
        return f"cone {reached} comes down in a kiln that keeps to it"
    likely = not way.legs or way.run.chance(reached) >= 0.5
    return f"cone {reached} comes down{', more likely than not' if likely else ' where the schedule is kept'}"


def _sentence(title: str, told: str, verdicts: tuple[Verdict, ...]) -> str:
    no = next((v for v in verdicts if v.remedy == "never"), None)
    if no is not None:
        return phrase("{} By the heat alone, {}: {}.", no.message, title, told)
    bad = next((v for v in verdicts if v.answer is not Answer.FITS), None)
    return joined(" ", (begun(f"{title}: {told}."), *([bad.message] if bad else [])))


# A drop and a hold after the peak, against pinholes, where the glaze's own viscosity asks for it.
#
# Bubbles that burst leave pits, and gas goes on rising while the kiln is at its hottest. A fluid glaze closes them as
# the kiln falls; a stiff one sets before. Dropping until the gas slackens and holding there is common practice; for
# which glaze, and how far to drop, comes from how fast a pit levels.

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

    S. E. Orchard, Appl. Sci. Res. A 11 (1963) 451 (from memory): a wave of length L on a coat of thickness h takes
    ``3 eta L^4 / (16 pi^4 gamma h^3)``.

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
    why = phrase(
        "with a drop and hold against pinholes: {} is so stiff that it would set before its pits close in a kiln that "
        "falls {:.0f K} an hour; at {:.0f degC} gas has slackened and it {} them ({} likely; log10 viscosity {:.1f} "
        "Pa.s). Common practice; the temperature is from its viscosity",
        glaze, COOL_RATE, to, closes, percent_words(chance), float(curves.log_viscosity(to)[0]),
    )  # fmt: skip
    return DropHold(why, Plan(COOL_RATE, to, HOLD_H, "drop and hold: gas slackens, pits still close"))


def _closes_as_it_falls(curves: Curves, peak: float) -> float:
    """How many times a pit falls to 1/e once gas has slackened, as the kiln falls at :data:`COOL_RATE`."""
    step_s = 3600.0 / COOL_RATE
    fall = np.arange(GAS_SLACKENS_K, 400.0)
    return sum(step_s / levelling_s(float(curves.log_viscosity(peak - k)[0])) for k in fall.tolist())
