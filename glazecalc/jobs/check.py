"""The main job: one recipe on one clay in one kiln at one cone, as a short pipeline whose steps are in order."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import Final, NamedTuple

from glazecalc.chemistry.composition import CONVENTIONS, Composition
from glazecalc.jobs.amount import slurry_figure
from glazecalc.jobs.cautions import UNFIT, cautions, poisons
from glazecalc.jobs.estimates import ON_WARE, cited, glaze_estimates
from glazecalc.jobs.fit import RULE, carried_expansion, fit, judge_fit, setting_point, used_by_people
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.materials import Pantry, meant_by, only_doubt, unknown_lines, unknown_percent
from glazecalc.jobs.melt import Melt, maturing, melt_cautions, melt_of
from glazecalc.jobs.reach import reach
from glazecalc.jobs.room import place_refusal
from glazecalc.jobs.setup import Setup
from glazecalc.values.answers import Answer, Estimate, Problem, Verdict, listed, stop_at_errors, worst
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Recipe
from glazecalc.values.names import kiln_command, quoted, studio_option
from glazecalc.values.results.check import CheckResult
from glazecalc.values.texts import phrase, typed


class Judged(NamedTuple):
    """What is judged of a glaze: estimates by name, verdicts, remarks, and cautions of its firing."""

    estimates: dict[str, Estimate]
    verdicts: tuple[Verdict, ...]
    remarks: tuple[Problem, ...] = ()
    cautions: tuple[str, ...] = ()


def check(recipe: Recipe, shelf: Pantry, setup: Setup) -> CheckResult:
    """Everything that can be said of one recipe in one setup.

    Raises
    ------
    ProblemsError
        with every problem of the card, if one of them is an error.
    """
    composition, batch, problems = compose_recipe(recipe, shelf)
    stop_at_errors(problems)
    glazed = recipe.kind != "body"
    convention = CONVENTIONS["customary" if glazed else "alumina"]
    formula = None if composition is None else formula_of(composition, convention)
    doubt = doubt_of(recipe, shelf)
    judged = _judged(recipe, composition, setup) if glazed else Judged({}, ())
    if doubt is not None:
        tried = {kind: _judged(card, compose_recipe(card, shelf)[0], setup) for kind, card in doubt.cards}
        judged = _whatever_it_is(judged, tried, doubt)
    in_kiln, reaches, of_kiln = reach(setup)
    estimates, verdicts = (*judged.estimates.values(), *in_kiln), [*judged.verdicts, reaches]
    if setup.body is not None:
        verdicts.append(judge_clay_range(setup.body.name, setup.body.cone_low, setup.body.cone_high, setup.cone))
    body, kiln, circuit = (None if thing is None else thing.name for thing in (setup.body, setup.kiln, setup.circuit))
    cone, held = None if setup.cone is None else str(setup.cone), poisons(formula)
    warned = (*cautions(batch, formula, judged.cautions, glazed), *_of_room(setup))
    return CheckResult(
        recipe=recipe,
        body=body,
        kiln=kiln,
        circuit=circuit,
        cone=cone,
        answer=worst(v.answer for v in verdicts),
        sentence=headline(recipe.name, body if glazed else None, kiln, cone, verdicts, held),
        batch=batch,
        formula=formula,
        estimates=estimates,
        verdicts=tuple(verdicts),
        cautions=warned,
        next_steps=next_steps(recipe, verdicts, body=body, kiln=kiln, cone=cone, folder=setup.folder),
        sources=cited(estimates),
        problems=(*problems, *judged.remarks, *of_kiln),
        poisons=held if glazed else (),
    )


REDUCTION: Final = (
    "The card asks for reduction. A plug-in kiln fires in air, so the colour will differ. Do not reduce in it: that "
    "makes deadly carbon monoxide and eats the elements."
)


def _judged(recipe: Recipe, composition: Composition | None, setup: Setup) -> Judged:
    """The two steps that ask what the glaze is made of: its fit on the clay, and whether it matures."""
    known = {} if composition is None else {e.name: e for e in glaze_estimates(composition)}
    melt = melt_of(composition, setup.cone)
    on_clay, fits = on_body(recipe, composition, known, melt, setup)
    in_fire, melts, remarks = maturing(recipe, composition, melt, setup.cone)
    reduced = (REDUCTION,) if recipe.atmosphere.casefold().startswith("reduc") else ()
    estimates = known | {e.name: e for e in (*on_clay, *in_fire)}
    return Judged(estimates, (fits, melts), remarks, (*reduced, *melt_cautions(melt)))


# Will the glaze craze or shiver on this clay?

NO_FIGURE = (
    "Of what this glaze is made of the estimates know nothing, so fit cannot be calculated: "
    "glaze test tiles on this clay and write down how they come out."
)
NO_RECIPE = (
    "A bought glaze without a recipe cannot be calculated: "
    "glaze test tiles on this clay and write down how they come out."
)


def on_body(
    recipe: Recipe, composition: Composition | None, known: Mapping[str, Estimate], melt: Melt | None, setup: Setup
) -> tuple[tuple[Estimate, ...], Verdict]:
    """Estimates of stress and probabilities, and the verdict on fit, from what is ``known`` of the glaze alone."""
    expansion, body = known.get(ON_WARE), setup.body
    if body is None:
        text = "No clay is named, so fit stays open|: add --body, or answer what is asked by: glazecalc start DIR|."
        return (), Verdict(RULE, Answer.CANNOT_SAY, phrase(text), () if expansion is None else ("expansion",))
    transition, modulus = known.get("transition_temperature"), known.get("youngs_modulus")
    used, judged = is_used(recipe), None
    if setup.tiles:
        from glazecalc.jobs.tiled import fit_given_tiles

        judged = fit_given_tiles(
            recipe, expansion, body, setup.tiles,
            transition=transition, modulus=modulus, cone=setup.cone, reasoned=setup.reasoned,
            moles=None if composition is None else composition.mole_fractions[0],
        )  # fmt: skip
    if judged is None:
        if expansion is None:
            return (), Verdict(RULE, Answer.CANNOT_SAY, NO_RECIPE if recipe.kind == "bought" else NO_FIGURE)
        judged = fit(
            expansion, body, transition=transition, modulus=modulus, cone=setup.cone,
            learned=setup.learned, reasoned=setup.reasoned,
        )  # fmt: skip
    if used:
        judged = used_by_people(judged, recipe.proven)
    carried = () if expansion is None else (carried_expansion(expansion, setting_point(transition)[0]),)
    verdict = judge_fit(judged, body.name, setup.limits)
    if verdict.answer is Answer.FITS and judged.own is None and melt is not None and melt.never:
        message = f"It does not melt at cone {setup.cone}, so how it would sit on {body.name} cannot be said."
        verdict = Verdict(RULE, Answer.CANNOT_SAY, message, verdict.evidence)
    return (*carried, *judged.estimates), verdict


_MEANT_TO_CRAZE: Final = ("crackle", "craquel", "crazed", "crazes")


def is_used(recipe: Recipe) -> bool:
    """Whether the card says that people use it, and not for its crackle."""
    words = f"{recipe.name} {recipe.surface} {recipe.notes} {recipe.proven}".casefold()
    return recipe.proven.casefold() not in ("", "no", "not") and not any(word in words for word in _MEANT_TO_CRAZE)


# Is the cone within the range the clay is sold for?

RANGE_RULE = "clay_range"


def judge_clay_range(body: str, low: Cone | None, high: Cone | None, cone: Cone | None) -> Verdict:
    """Verdict on firing a clay to a cone, from the range on its bag."""
    stated = " to ".join(str(c) for c in (low, high) if c is not None)
    answer = Answer.CANNOT_SAY
    message: str
    if cone is None:
        message = f"No cone is named, so {body}'s range cannot be compared."
    elif not stated:
        unknown = "The cone range of {} is not known: the bag says it; answer with it|: glazecalc start DIR|."
        message = phrase(unknown, body)
    elif high is not None and high < cone:
        answer = Answer.DOES_NOT_FIT
        message = f"{body} is a cone {stated} clay: at cone {cone} it may bloat, warp or slump."
    elif low is not None and cone < low:
        answer = Answer.DOES_NOT_FIT
        message = f"{body} is a cone {stated} clay: at cone {cone} it stays open, weak and takes up water."
    elif low is None or high is None:
        message = f"Only one end of {body}'s cone range is known (cone {stated})."
    else:
        answer, message = Answer.FITS, f"Cone {cone} suits {body} (cone {stated})."
    return Verdict(RANGE_RULE, answer, message)


def _of_room(setup: Setup) -> tuple[str, ...]:
    """What speaks against firing in the room where the kiln stands; the answer on glaze and heat is not changed."""
    if setup.kiln is None or setup.room is None:
        return ()
    refusal = place_refusal(setup.kiln, setup.room, setup.units)
    return (phrase("{}|: {}|", refusal, kiln_command(setup.kiln.name, setup.folder)),) if refusal else ()


# Verdicts in, the one plain sentence that leads a report out, and what to do next.

_REASONS: Final = {
    "fit": ("the glaze is not likely to stay sound on the clay", "whether the glaze stays sound on the clay"),
    "melts": ("it does not suit that cone", "whether it matures at that cone"),
    "kiln_reaches": ("the kiln is not likely to get there", "whether the kiln gets there"),
    "clay_range": ("the clay is not made for that cone", "whether the clay suits that cone"),
}
"""By rule: why it is no, and what cannot be said."""


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
    where = recipe + (f" on {body}" if body else "") + (f" at cone {cone}" if cone else "")
    where += f" in {kiln}" if kiln else ""
    answer = worst(v.answer for v in verdicts)
    if answer is Answer.FITS:
        sentence = "fits, as far as estimates can tell. Fire a test tile before you trust a pot to it."
    elif answer is Answer.DOES_NOT_FIT:
        reasons = [v.because or _REASONS[v.rule][0] for v in verdicts if v.answer is Answer.DOES_NOT_FIT]
        sentence = "does not fit, because " + listed(reasons) + "."
    else:
        doubts = [_REASONS[v.rule][1] for v in verdicts if v.answer is Answer.CANNOT_SAY]
        open_outlet = any(v.remedy == "electrician" for v in verdicts)
        first = "Ask an electrician about the outlet, then fire" if open_outlet else "Fire"
        sentence = f"cannot say {listed(doubts, 'or')}. {first} a test tile."
    return phrase("{}: {}", where, sentence) + (f" It holds {listed(poisons)}: {UNFIT}." if poisons else "")


def before_it_is_plugged_in(verdicts: Sequence[Verdict], command: str) -> list[str]:
    """What comes before any firing where nobody knows yet that the outlet carries the kiln."""
    remedies = {v.remedy for v in verdicts}
    if "electrician" in remedies:
        ask = "Before the kiln is plugged in, show an electrician its plate and what this says|: {}|"
        return [phrase(ask, command)]
    if "outlet" in remedies:
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
    return typed(f'add a [[body]] with recipe = "{card}" to studio.toml, then: glazecalc body NAME')


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
    names = " and ".join(dict.fromkeys(line.material for line in unknown))

    def with_(kind: str) -> Recipe:
        lines = (line.model_copy(update={"material": kind}) if line in unknown else line for line in recipe.lines)
        return recipe.model_copy(update={"lines": tuple(lines)})

    return Doubt(names, unknown_percent(recipe, unknown), tuple((kind, with_(kind)) for kind in tried))


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


def _whatever_it_is(judged: Judged, tried: Mapping[str, Judged], doubt: Doubt) -> Judged:
    """What is judged, for everything that the unknown may be: each estimate as wide as it is with every one that was
    ``tried``, and a verdict only where it holds with each; where it does not, nothing can be said.
    """
    caveat = f"{doubt.words}, {doubt.percent:.2g} % of the batch, is not known: the interval holds all it may be"
    estimates = {}
    for name, one in judged.estimates.items():
        beside = [e for other in tried.values() if (e := other.estimates.get(name)) is not None and e.unit == one.unit]
        low, high = min(e.low for e in (one, *beside)), max(e.high for e in (one, *beside))
        wider = (low, high) != (one.low, one.high)
        estimates[name] = replace(one, low=low, high=high, caveats=(*one.caveats, caveat)) if wider else one
    verdicts = list(judged.verdicts)
    for at, verdict in enumerate(verdicts):
        others = [(kind, other.verdicts[at].answer) for kind, other in tried.items()]
        kind, answer = next(((k, a) for k, a in others if a is not verdict.answer), ("", verdict.answer))
        if answer is not verdict.answer and verdict.answer is not Answer.CANNOT_SAY:
            named = kind if kind[:2].isupper() else kind[:1].lower() + kind[1:]
            but = f" But {doubt.words} is not known, and were it {named} the answer would be: {ANSWER_WORDS[answer]}."
            message = verdict.message + but
            verdicts[at] = replace(verdict, answer=Answer.CANNOT_SAY, message=message, because="", remedy="name")
    return judged._replace(estimates=estimates, verdicts=tuple(verdicts))
