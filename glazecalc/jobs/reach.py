"""One step of the check: does this kiln, on this circuit, get to the cone?"""

from __future__ import annotations

from dataclasses import replace

from glazecalc.jobs.ceiling import MISFIT_TO_TELL, ceiling, ceiling_remarks, volts_go_together
from glazecalc.jobs.circuit import with_circuit
from glazecalc.jobs.setup import Setup, no_cone
from glazecalc.models.cones import rated_cone, rating_words
from glazecalc.values.answers import Answer, Basis, Estimate, Problem, Verdict
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.inputs import Circuit, ConeRange, Defaults, Kiln, Limits, Recipe
from glazecalc.values.names import kiln_command, quoted, studio_option
from glazecalc.values.results.kiln import FULL_POWER_H, Ceiling
from glazecalc.values.texts import phrase, typed

# Does the kiln reach the cone, by the cone on its plate alone?

RULE = "kiln_reaches"
EVIDENCE = ("kiln_ceiling",)


def whole_cones_above(cone: Cone, top: Cone) -> int:
    """Whole cones hotter than ``cone`` and not hotter than ``top``; half cones do not count.

    >>> whole_cones_above(Cone("5"), Cone("6"))
    1
    """
    return sum(cone < c <= top and "." not in c.name for c in ALL_CONES)


def judge_rated_cone(kiln: Kiln, cone: Cone | None) -> Verdict:
    """Verdict on reaching ``cone`` by the maker's rating alone; rated exactly at it is not enough to be sure."""
    if cone is None:
        return no_cone(RULE)
    rated, words = rated_cone(kiln), rating_words(kiln)
    if rated is None:
        text = f"What {kiln.name} is rated for is not known: copy the maker's highest cone or temperature from the"
        return Verdict(RULE, Answer.CANNOT_SAY, phrase("{} plate, and answer with it|: glazecalc start DIR|.", text))
    if rated < cone:
        text = phrase("{} is rated for {}, below cone {}.", kiln.name, words, cone)
        return Verdict(RULE, Answer.DOES_NOT_FIT, text, EVIDENCE, "the kiln is rated only for " + words)
    if rated == cone:
        text = f"{kiln.name} is rated exactly for cone {cone}: with worn elements or low voltage it may not get there,"
        return Verdict(RULE, Answer.CANNOT_SAY, f"{text} or not in time.", EVIDENCE)
    spare = whole_cones_above(cone, rated) or "less than one"
    text = phrase("{} is rated for {}, {} above cone {}.", kiln.name, words, spare, cone)
    return Verdict(RULE, Answer.FITS, text, EVIDENCE)


# Does this kiln, on this circuit, get to the cone? The ceiling against the cone, and the odds.


def not_rated(kiln: str) -> str:
    """Why nothing is told of a kiln without its maker's rating, and what to do."""
    text = f"Elements, brick and insulation limit {kiln}, and its plate's watts do not tell how far"
    copied = "copy the maker's highest cone or temperature from the plate"
    answer = "A cone is an answer to|: glazecalc start DIR; a temperature is max_degC of the kiln|."
    return f"{text}: {copied}. " + phrase(answer)


def reach_verdict(
    kiln: Kiln, circuit: Circuit | None, cone: Cone | None, hot: Ceiling | None, limits: Limits, folder: str = "."
) -> Verdict:
    """The verdict on ``cone`` from a ceiling already worked out (None where the kiln was not modelled), by the heat
    alone; ``folder`` is the studio's.

    At the ``reach_percent`` of ``limits`` and above the kiln reaches, below ``no_reach_percent`` not, between them
    nothing can be said; nor where the ceiling was learned from firings that hardly look like this kiln. The maker's
    rating is never overruled; without one the kiln reaches only what came down in its recorded firings.
    """
    rated, name = rated_cone(kiln), kiln.name
    if circuit is not None and not volts_go_together(kiln, circuit):
        text = f"{name} is made for {kiln.volts:g} V and does not belong on {circuit.name}, {circuit.volts:g} V."
        return Verdict(RULE, Answer.DOES_NOT_FIT, text, because=f"{name} does not belong on {circuit.name}")
    chance = None if hot is None or cone is None else hot.chance(cone)
    beyond = cone is not None and rated is not None and rated < cone
    if cone is None or beyond or hot is None or chance is None or hot.estimate.extrapolated:
        return judge_rated_cone(kiln, cone)
    percent = 100.0 * chance
    shown = min(99.0, max(1.0, percent))
    odds = f"the chance of cone {cone} within {FULL_POWER_H:g} h at full power is about {shown:.0f} %"
    if hot.misfit >= MISFIT_TO_TELL:
        text = f"Cannot say whether {name} gets to cone {cone}: the firings it was learned from hardly look like it"
        check = typed(f" (glazecalc learn --kiln {quoted(name)}{studio_option(folder)})")
        return Verdict(RULE, Answer.CANNOT_SAY, f"{text} ({odds}). Check them" + check + ".", EVIDENCE)
    if rated is None and (hot.proven is None or hot.proven < cone):
        return Verdict(RULE, Answer.CANNOT_SAY, not_rated(name), EVIDENCE)
    learned = ", by its own recorded firings" if hot.estimate.basis is Basis.LEARNED else ""
    answer = answer_of_chance(percent, limits)
    text = {
        Answer.DOES_NOT_FIT: f"{name} as it is will hardly get to cone {cone} on this circuit: {odds}.",
        Answer.CANNOT_SAY: f"{name} may or may not get to cone {cone} on this circuit: {odds}."
        " Fire it with witness cones.",
        Answer.FITS: f"{name} gets to cone {cone}: {odds}{learned}.{_headroom(rated, cone, hot.cone)}",
    }[answer]
    return Verdict(RULE, answer, text, EVIDENCE)


def answer_of_chance(percent: float, limits: Limits) -> Answer:
    """What a chance of bringing a cone down [%] is worth."""
    if percent >= limits.reach_percent:
        return Answer.FITS
    return Answer.DOES_NOT_FIT if percent < limits.no_reach_percent else Answer.CANNOT_SAY


def _headroom(rated: Cone | None, cone: Cone, hottest: Cone | None) -> str:
    """What is left above ``cone``, in whole cones; the rating where it is what ends the headroom."""
    if rated == cone:
        return f" Warning: it is rated exactly for cone {cone}, so nothing is held in reserve for wear or low volts."
    if hottest is None or rated is None:
        return ""
    spare = whole_cones_above(cone, hottest)
    if hottest >= rated and spare < 2:
        return f" Its rating, cone {rated}, is " + ("the next whole cone up." if spare else "less than a cone up.")
    if not spare:
        return ""
    return f" Most likely it could go {spare} cone{'s' if spare > 1 else ''} hotter."


def reach(setup: Setup) -> tuple[tuple[Estimate, ...], Verdict, tuple[Problem, ...]]:
    """The kiln's ceiling, the verdict on reaching the cone, and remarks."""
    kiln = setup.kiln
    if kiln is None:
        text = "No kiln is named, so reach stays open|: add --kiln, or answer what is asked by: glazecalc start DIR|."
        return (), Verdict(RULE, Answer.CANNOT_SAY, phrase(text)), ()
    hot = ceiling_of(setup)
    heat = reach_verdict(kiln, setup.circuit, setup.cone, hot, setup.limits, setup.folder)
    verdict = with_circuit(heat, kiln, setup.circuit) if setup.circuit else _no_outlet(heat, setup, kiln)
    if hot is None:
        return (), verdict, ()
    return (hot.estimate,), verdict, ceiling_remarks(kiln, hot, setup.folder)


def _no_outlet(heat: Verdict, setup: Setup, kiln: Kiln) -> Verdict:
    """The verdict on the heat alone, saying that no outlet is judged."""
    if heat.answer is Answer.DOES_NOT_FIT:
        return heat
    what = "named" if setup.circuits else "described"
    text = f"No outlet is {what}, so whether one carries this kiln is not judged"
    message = phrase("{} {}|: {}|", heat.message, text, kiln_command(kiln.name, setup.folder))
    return replace(heat, message=message, remedy="outlet")


def ceiling_of(setup: Setup) -> Ceiling | None:
    """How hot the setting's kiln gets on its circuit, as its firings teach it; None where nothing can be said."""
    return None if setup.kiln is None else ceiling(setup.kiln, setup.circuit, setup.draws)


# Which cone a change aims at: the one asked for, else the recipe's, else the hottest that the kiln gets to.


def cone_within_reach(setup: Setup, defaults: Defaults) -> tuple[str | None, str]:
    """The name of a cooler cone where the kiln does not surely reach the setting's, else None; and a sentence on it.

    The studio's usual cone is preferred where it is lower and within reach; else the hottest cone with a chance of at
    least the level of the verdict.
    """
    cone, kiln = setup.cone, setup.kiln
    hot = None if cone is None else ceiling_of(setup)
    level = setup.limits.reach_percent / 100.0
    if cone is None or kiln is None or hot is None or reaches(hot, cone, level):
        return None, ""
    usual = [] if defaults.cone is None else [defaults.cone]
    cooler = [c for c in (*usual, *reversed(ALL_CONES)) if c < cone and reaches(hot, c, level)]
    if not cooler:
        return None, ""
    text = f"{kiln.name} does not surely reach cone {cone}: aimed at cone {cooler[0]}, which it does"
    return cooler[0].name, text + typed("; --cone asks for another")


def reaches(hot: Ceiling, cone: Cone, level: float) -> bool:
    """Whether a kiln gets to a cone with a chance of at least ``level``; by its rating where no chance is known."""
    chance = hot.chance(cone)
    if chance is not None:
        return chance >= level
    return hot.cone is not None and cone <= (hot.cone_low or hot.cone)


def fired_at(recipe: Recipe, cone: Cone | None) -> Recipe:
    """The recipe with that cone on its card, unless the card's range holds it already."""
    if cone is None or (recipe.cone is not None and recipe.cone.low <= cone <= recipe.cone.high):
        return recipe
    return recipe.model_copy(update={"cone": ConeRange(low=cone, high=cone)})
