"""The main job: one recipe on one clay in one kiln at one cone, as a short pipeline whose steps are in order."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import Final

from glazecalc.chemistry.composition import CONVENTIONS, Composition
from glazecalc.jobs.amount import slurry_figure
from glazecalc.jobs.cautions import UNFIT, cautions, poisons
from glazecalc.jobs.estimates import ON_WARE, cited, glaze_estimates
from glazecalc.jobs.fit import RULE, carried_expansion, fit, fit_verdict, setting_point, used_by_people
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.materials import Pantry, meant_by, only_doubt, unknown_lines, unknown_percent
from glazecalc.jobs.melt import crystals, maturing, never_melts, running
from glazecalc.jobs.reach import reach
from glazecalc.jobs.room import place_refusal
from glazecalc.jobs.setup import Case, Setup, kiln_command, quoted, studio_option
from glazecalc.values.answers import Answer, Estimate, Problem, Verdict, listed, stop_at_errors, worst
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Recipe
from glazecalc.values.results.check import CheckResult
from glazecalc.values.texts import phrase

# One step of the check: will the glaze craze or shiver on this clay?

NO_FIGURE = (
    "Of what this glaze is made of the estimates know nothing, so fit cannot be calculated: "
    "glaze test tiles on this clay and write down how they come out."
)
NO_RECIPE = (
    "A bought glaze without a recipe cannot be calculated: "
    "glaze test tiles on this clay and write down how they come out."
)


def on_body(case: Case) -> tuple[tuple[Estimate, ...], Verdict, tuple[Problem, ...]]:
    """Estimates of stress and probabilities, the verdict on fit, and remarks."""
    estimates, setup = case.estimates, case.setup
    expansion, body = estimates.get(ON_WARE), setup.body
    if body is None:
        evidence = ("expansion",) if expansion is not None else ()
        text = "No clay is named, so fit stays open|: add --body, or answer what is asked by: glazecalc start DIR|."
        return (), Verdict(RULE, Answer.CANNOT_SAY, phrase(text), evidence), ()
    transition, modulus = estimates.get("transition_temperature"), estimates.get("youngs_modulus")
    judged = None
    if setup.tiles:
        from glazecalc.jobs.tiled import fit_given_tiles

        judged = fit_given_tiles(
            case.recipe, expansion, body, setup.tiles,
            transition=transition, modulus=modulus, cone=setup.cone, reasoned=setup.reasoned,
            moles=None if case.composition is None else case.composition.mole_fractions[0],
        )  # fmt: skip
    if judged is None:
        if expansion is None:
            message = NO_RECIPE if case.recipe.kind == "bought" else NO_FIGURE
            return (), Verdict(RULE, Answer.CANNOT_SAY, message), ()
        judged = fit(
            expansion, body, transition=transition, modulus=modulus, cone=setup.cone,
            learned=setup.learned, reasoned=setup.reasoned,
        )  # fmt: skip
    if is_used(case.recipe):
        judged = used_by_people(judged, case.recipe.proven)
    carried = () if expansion is None else (carried_expansion(expansion, setting_point(transition)[0]),)
    verdict = fit_verdict(judged, body.name, setup.limits)
    if verdict.answer is Answer.FITS and judged.own is None and never_melts(case.composition, setup.cone):
        message = f"It does not melt at cone {setup.cone}, so how it would sit on {body.name} cannot be said."
        verdict = Verdict(RULE, Answer.CANNOT_SAY, message, verdict.evidence)
    return (*carried, *judged.estimates), verdict, ()


_MEANT_TO_CRAZE: Final = ("crackle", "craquel", "crazed", "crazes")


def is_used(recipe: Recipe) -> bool:
    """Whether the card says that people use it, and not for its crackle."""
    words = f"{recipe.name} {recipe.surface} {recipe.notes} {recipe.proven}".casefold()
    return recipe.proven.casefold() not in ("", "no", "not") and not any(word in words for word in _MEANT_TO_CRAZE)


# One step of the check: is the cone within the range the clay is sold for?

RANGE_RULE = "clay_range"


def judge_clay_range(body: str, low: Cone | None, high: Cone | None, cone: Cone | None) -> Verdict:
    """Verdict on firing a clay to a cone, from the range on its bag."""
    if cone is None:
        return Verdict(RANGE_RULE, Answer.CANNOT_SAY, f"No cone is named, so {body}'s range cannot be compared.")
    if low is None and high is None:
        text = "The cone range of {} is not known: the bag says it; answer with it|: glazecalc start DIR|."
        return Verdict(RANGE_RULE, Answer.CANNOT_SAY, phrase(text, body))
    stated = " to ".join(str(c) for c in (low, high) if c is not None)
    if high is not None and high < cone:
        return Verdict(RANGE_RULE, Answer.DOES_NOT_FIT,
                       f"{body} is a cone {stated} clay: at cone {cone} it may bloat, warp or slump.")  # fmt: skip
    if low is not None and cone < low:
        message = f"{body} is a cone {stated} clay: at cone {cone} it stays open, weak and takes up water."
        return Verdict(RANGE_RULE, Answer.DOES_NOT_FIT, message)
    if low is None or high is None:
        return Verdict(RANGE_RULE, Answer.CANNOT_SAY, f"Only one end of {body}'s cone range is known (cone {stated}).")
    return Verdict(RANGE_RULE, Answer.FITS, f"Cone {cone} suits {body} (cone {stated}).")


# Verdicts in, the one plain sentence that leads a report out, and what to do next.

_AGAINST: Final = {
    "fit": "the glaze is not likely to stay sound on the clay",
    "melts": "it does not suit that cone",
    "kiln_reaches": "the kiln is not likely to get there",
    "clay_range": "the clay is not made for that cone",
}
_UNKNOWN: Final = {
    "fit": "whether the glaze stays sound on the clay",
    "melts": "whether it matures at that cone",
    "kiln_reaches": "whether the kiln gets there",
    "clay_range": "whether the clay suits that cone",
}


def headline(
    recipe: str,
    body: str | None,
    kiln: str | None,
    cone: str | None,
    verdicts: Sequence[Verdict],
    poisons: Sequence[str] = (),
) -> str:
    """One sentence: what was asked and the answer, with the reason where it is not yes.

    ``poisons`` names what makes a glaze unfit for a home studio whatever else is true of it.
    """
    sentence = _answered(recipe, body, kiln, cone, verdicts)
    if not poisons:
        return sentence
    return f"{sentence} It holds {listed(poisons)}: {UNFIT}."


def _answered(recipe: str, body: str | None, kiln: str | None, cone: str | None, verdicts: Sequence[Verdict]) -> str:
    where = recipe + (f" on {body}" if body else "") + (f" at cone {cone}" if cone else "")
    where += f" in {kiln}" if kiln else ""
    answer = worst(v.answer for v in verdicts)
    if answer is Answer.FITS:
        return f"{where}: fits, as far as estimates can tell. Fire a test tile before you trust a pot to it."
    if answer is Answer.DOES_NOT_FIT:
        reasons = [v.because or _AGAINST[v.rule] for v in verdicts if v.answer is Answer.DOES_NOT_FIT]
        return f"{where}: does not fit, because {listed(reasons)}."
    doubts = [_UNKNOWN[v.rule] for v in verdicts if v.answer is Answer.CANNOT_SAY]
    first = "Ask an electrician about the outlet, then fire" if any(map(_open_outlet, verdicts)) else "Fire"
    return f"{where}: cannot say {listed(doubts, 'or')}. {first} a test tile."


def _open_outlet(verdict: Verdict) -> bool:
    """Whether it is open that the outlet carries the kiln, which an electrician settles."""
    return verdict.remedy == "electrician"


def before_it_is_plugged_in(verdicts: Sequence[Verdict], command: str) -> list[str]:
    """What comes before any firing where nobody knows yet that the outlet carries the kiln."""
    if any(map(_open_outlet, verdicts)):
        return [
            phrase("Before the kiln is plugged in, show an electrician its plate and what this says|: {}|", command)
        ]
    if any(v.remedy == "outlet" for v in verdicts):
        return [phrase("Before the kiln is plugged in, see whether your outlet may carry it|: {}|", command)]
    return []


def next_steps(
    recipe: Recipe,
    verdicts: Sequence[Verdict],
    *,
    body: str | None = None,
    kiln: str | None = None,
    cone: str | None = None,
    folder: str = "",
) -> tuple[str, ...]:
    """What to do now, the most useful first; commands as they can be typed, the studio being in ``folder``."""
    by_rule = {v.rule: v.answer for v in verdicts}
    by_tile = any(v.rule == RULE and v.remedy == "tile" for v in verdicts)
    card = recipe.file or recipe.name
    steps: list[str] = []
    if kiln is not None and by_rule.get("kiln_reaches") is Answer.DOES_NOT_FIT:
        steps.append(phrase("See what the kiln reaches on each circuit|: {}|", kiln_command(kiln, folder)))
    changes = (None if by_tile else by_rule.get("fit"), by_rule.get("melts"))
    if recipe.kind == "glaze" and Answer.DOES_NOT_FIT in changes:
        steps.append(phrase("Look for the smallest change that fits and melts|: glazecalc adjust {}|", quoted(card)))
    if by_rule.get("clay_range") is Answer.DOES_NOT_FIT:
        steps.append(phrase("Choose a clay made for that cone| (--body)|, or another cone| (--cone)|"))
    if recipe.kind == "body":
        look = _look_at_clay(recipe, body) + studio_option(folder)
        steps.append(phrase("See what is known of this clay|: {}|", look))
    if worst(by_rule.values()) is Answer.DOES_NOT_FIT and steps:
        return tuple(steps)
    if recipe.kind == "bought":
        from glazecalc.jobs.check import jar_steps

        steps += jar_steps(recipe, None if cone is None else Cone(cone))
    if kiln is not None and recipe.kind != "body":
        steps += before_it_is_plugged_in(verdicts, kiln_command(kiln, folder))
    if recipe.kind != "body":
        steps.append("Fire a test tile on this clay beside a witness cone. Then shock it three times: freezer, then "
                     "boiling water (gloves and goggles: a frozen pot can burst); find cracks with ink")  # fmt: skip
        on = ("" if body is None else f" --body {quoted(body)}") + ("" if cone is None else f" --cone {cone}")
        surer = "Record how it came out, so that the next answer is surer|: glazecalc record tile {}{} --result RESULT|"
        steps.append(phrase(surer, quoted(card), on))
    return tuple(steps)


def _look_at_clay(recipe: Recipe, body: str | None) -> str:
    if body is not None:
        return f"glazecalc body {quoted(body)}"
    card = PurePath(recipe.file or recipe.name).stem
    return f'add a [[body]] with recipe = "{card}" to studio.toml, then: glazecalc body NAME'


def check(recipe: Recipe, shelf: Pantry, setup: Setup) -> CheckResult:
    """Everything that can be said of one recipe in one setup.

    Raises
    ------
    ProblemsError
        with every problem of the card, if one of them is an error.
    """
    composition, batch, problems = compose_recipe(recipe, shelf)
    stop_at_errors(problems)
    formula = None if composition is None else formula_of(composition, CONVENTIONS[_convention(recipe)])
    glazed = recipe.kind != "body"
    estimates, verdicts, remarks = _judged(recipe, composition, setup)
    problems = (*problems, *remarks)
    doubt = doubt_of(recipe, shelf)
    if doubt is not None:
        tried = [(kind, *_judged(card, compose_recipe(card, shelf)[0], setup)) for kind, card in doubt.cards]
        estimates = widened(estimates, [found for _, found, _, _ in tried], doubt)
        verdicts = [doubted(v, [(kind, others) for kind, _, others, _ in tried], doubt) for v in verdicts]
    answer = worst(v.answer for v in verdicts)
    names = {"body": setup.body, "kiln": setup.kiln, "circuit": setup.circuit}
    named = {what: None if thing is None else thing.name for what, thing in names.items()}
    cone = None if setup.cone is None else str(setup.cone)
    wears = named["body"] if glazed else None
    return CheckResult(
        recipe=recipe,
        body=named["body"],
        kiln=named["kiln"],
        circuit=named["circuit"],
        cone=cone,
        answer=answer,
        sentence=headline(recipe.name, wears, named["kiln"], cone, verdicts, poisons(formula)),
        batch=batch,
        formula=formula,
        estimates=tuple(estimates.values()),
        verdicts=tuple(verdicts),
        cautions=(
            *cautions(batch, formula, _of_firing(recipe, composition, setup.cone) if glazed else (), glazed),
            *_of_room(setup),
        ),
        next_steps=next_steps(recipe, verdicts, body=named["body"], kiln=named["kiln"], cone=cone, folder=setup.folder),
        sources=cited(estimates.values()),
        problems=problems,
        poisons=poisons(formula) if glazed else (),
    )


def _judged(
    recipe: Recipe, composition: Composition | None, setup: Setup
) -> tuple[dict[str, Estimate], list[Verdict], tuple[Problem, ...]]:
    """The estimates by name, the verdicts, and remarks, of one composition of a card."""
    glazed = recipe.kind != "body"
    estimates = {e.name: e for e in (glaze_estimates(composition) if composition and glazed else ())}
    verdicts: list[Verdict] = []
    problems: list[Problem] = []
    for step in (on_body, maturing, reach) if glazed else (reach,):
        found, verdict, remarks = step(Case(recipe, composition, estimates, setup))
        estimates.update({e.name: e for e in found})
        verdicts.append(verdict)
        problems += remarks
    body = setup.body
    if body is not None:
        verdicts.append(judge_clay_range(body.name, body.cone_low, body.cone_high, setup.cone))
    return estimates, verdicts, tuple(problems)


REDUCTION: Final = (
    "The card asks for reduction. A plug-in kiln fires in air, so the colour will differ. Do not reduce in it: that "
    "makes deadly carbon monoxide and eats the elements."
)


def _of_firing(recipe: Recipe, composition: Composition | None, cone: Cone | None) -> tuple[str, ...]:
    asked = (REDUCTION,) if recipe.atmosphere.casefold().startswith("reduc") else ()
    return (*asked, *running(composition, cone), *crystals(composition, cone))


def _of_room(setup: Setup) -> tuple[str, ...]:
    """What speaks against firing in the room where the kiln stands; the answer on glaze and heat is not changed."""
    if setup.kiln is None or setup.room is None:
        return ()
    refusal = place_refusal(setup.kiln, setup.room, setup.units)
    return (phrase("{}|: {}|", refusal, kiln_command(setup.kiln.name, setup.folder)),) if refusal else ()


def _convention(recipe: Recipe) -> str:
    return "alumina" if recipe.kind == "body" else "customary"


# What a potter has to know of a glaze from a jar, of which only the label is known (common practice, no source).


def jar_steps(recipe: Recipe, cone: Cone | None) -> tuple[str, ...]:
    """How a jar is put on, alone and over another; ``cone`` is the one it is to be fired to."""
    if recipe.kind != "bought":
        return ()
    coats = slurry_figure("coats_brush")
    return (
        f"Brush it as its label says; where that is silent, {coats.low:g} to {coats.high:g} coats, each across the "
        "last and when the last has lost its shine, dry overnight before firing; one coat is mostly thin and patchy",
        _label(recipe, cone),
        "Two jars over each other melt lower and run further than either: try the pair on a tile that stands upright "
        "in a catch tray, in both orders, before it goes on a pot",
        "On upright walls keep the second glaze to the upper third and leave a finger's breadth bare above the foot: "
        "it gathers and runs there, and a drip takes the shelf with it",
    )


def _label(recipe: Recipe, cone: Cone | None) -> str:
    if recipe.cone is None:
        return "Write the cone of the label on the card (cone: 5-6): it is all that is known of its melting"
    if cone is None:
        return f"Its label says cone {recipe.cone}: fire it to none other than that"
    if recipe.cone.low <= cone <= recipe.cone.high:
        return f"Its label says cone {recipe.cone}, and cone {cone} is on it; at the hotter end it runs more"
    side = "hotter: it may run off the pot" if cone > recipe.cone.high else "cooler: it may stay dry and rough"
    return f"Its label says cone {recipe.cone}, and cone {cone} is {side}"


# What a material that is not known does to an answer: the answer is worked out with each of what it may be.

_BENCH_WORDS: Final = re.compile(
    r"gum|binder|harden|floc|suspen|preserv|biocid|dye|glycer|wax|starch|molass|sugar|vinegar|silicate", re.IGNORECASE
)
_BENCH: Final = ("CMC gum", "Soda ash", "Epsom salt", "Bentonite")
"""What a thing of the bench may leave in the fire: nothing, soda, magnesia, clay (common practice, no source)."""
_ANY: Final = ("Silica", "Kaolin", "Soda feldspar", "Whiting", "Frit, high-alkali", "Zircon")
"""Far apart in what they do to a melt, so that what an unknown material may do lies between them (judgement)."""
MOST_TRIED: Final = 9
ANSWER_WORDS: Final = {
    Answer.FITS: "yes", Answer.DOES_NOT_FIT: "no", Answer.CANNOT_SAY: "cannot say", Answer.NOT_ASKED: "not asked",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Doubt:
    """The unknown words of a card, their share of the batch [%], and the card with each of what they may be."""

    words: str
    percent: float
    cards: tuple[tuple[str, Recipe], ...]


def doubt_of(recipe: Recipe, shelf: Pantry) -> Doubt | None:
    """The doubt of a card whose unknown materials are a small share; None where there is none, or too much."""
    if not only_doubt(recipe, shelf):
        return None
    unknown = unknown_lines(recipe, shelf)
    bench = all(_BENCH_WORDS.search(line.material) for line in unknown)
    kinds = _BENCH if bench else (*_ANY, *(kind for line in unknown for kind in meant_by(recipe, line, shelf)))
    tried = [kind for kind in dict.fromkeys(kinds) if shelf.find(kind) is not None][:MOST_TRIED]
    words = {line.material for line in unknown}
    cards = tuple((kind, _with(recipe, words, kind)) for kind in tried)
    names = " and ".join(dict.fromkeys(line.material for line in unknown))
    return Doubt(names, unknown_percent(recipe, unknown), cards)


def _with(recipe: Recipe, words: set[str], kind: str) -> Recipe:
    lines = tuple(
        line.model_copy(update={"material": kind}) if line.material in words else line for line in recipe.lines
    )
    return recipe.model_copy(update={"lines": lines})


def hinges(verdicts: Sequence[Verdict]) -> str:
    """Why an answer hangs on what is not known, by the first verdict that does; empty where none does."""
    return next((v.message for v in verdicts if v.remedy == "name"), "")


def kept_as_it_is(recipe: Recipe, shelf: Pantry) -> tuple[str, ...]:
    """What a change does with a small share of unknown materials, in a sentence; none where all are known."""
    doubt = doubt_of(recipe, shelf)
    if doubt is None:
        return ()
    return (
        f"{doubt.words}, {doubt.percent:.2g} % of the batch, is not known: it stays as it is. "
        "The chances leave it out; each answer was tried with what it may be.",
    )


def widened(
    estimates: Mapping[str, Estimate], others: Sequence[Mapping[str, Estimate]], doubt: Doubt
) -> dict[str, Estimate]:
    """The estimates, each as wide as it is with every one of what the unknown may be."""
    caveat = f"{doubt.words}, {doubt.percent:.2g} % of the batch, is not known: the interval holds all it may be"
    found: dict[str, Estimate] = {}
    for name, estimate in estimates.items():
        beside = [other[name] for other in others if name in other and other[name].unit == estimate.unit]
        low, high = min(e.low for e in (estimate, *beside)), max(e.high for e in (estimate, *beside))
        wider = (low, high) != (estimate.low, estimate.high)
        caveats = (*estimate.caveats, caveat)
        found[name] = replace(estimate, low=low, high=high, caveats=caveats) if wider else estimate
    return found


def doubted(verdict: Verdict, others: Sequence[tuple[str, Sequence[Verdict]]], doubt: Doubt) -> Verdict:
    """A verdict that holds whatever the unknown is; where it does not, nothing can be said."""
    if verdict.answer is Answer.CANNOT_SAY:
        return verdict
    for kind, verdicts in others:
        other = next((v for v in verdicts if v.rule == verdict.rule), None)
        if other is not None and other.answer is not verdict.answer:
            named = kind if kind[:2].isupper() else kind[:1].lower() + kind[1:]
            but = "{} But {} is not known, and were it {} the answer would be: {}."
            message = phrase(but, verdict.message, doubt.words, named, ANSWER_WORDS[other.answer])
            return replace(verdict, answer=Answer.CANNOT_SAY, message=message, because="", remedy="name")
    return verdict
