"""The main job: one recipe on one clay in one kiln at one cone, as a short pipeline whose steps are in order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import PurePath
from typing import Final

from glazecalc.chemistry.composition import CONVENTIONS, Composition
from glazecalc.jobs.cautions import cautions, poisons
from glazecalc.jobs.clay_limits import judge_clay_range
from glazecalc.jobs.doubt import doubt_of, doubted, widened
from glazecalc.jobs.estimates import ON_WARE, glaze_estimates
from glazecalc.jobs.fit import RULE, carried_expansion, fit, fit_verdict, setting_point, used_by_people
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.materials import Pantry
from glazecalc.jobs.melt import crystals, maturing, never_melts, running
from glazecalc.jobs.place import place_refusal
from glazecalc.jobs.reach import reach
from glazecalc.jobs.setup import Case, Setup, kiln_command, quoted, studio_option
from glazecalc.values.answers import Answer, Estimate, Problem, ProblemsError, Verdict, worst
from glazecalc.values.cones import Cone
from glazecalc.values.data import sources
from glazecalc.values.inputs import Recipe
from glazecalc.values.results.check import CheckResult

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
        message = "No clay is named, so fit stays open: add --body, or answer what is asked by: glazecalc start DIR."
        return (), Verdict(RULE, Answer.CANNOT_SAY, message, evidence), ()
    transition, modulus = estimates.get("transition_temperature"), estimates.get("youngs_modulus")
    found = None
    if setup.tiles:
        from glazecalc.jobs.tiled import fit_given_tiles

        found = fit_given_tiles(
            case.recipe, expansion, body, setup.tiles,
            transition=transition, modulus=modulus, cone=setup.cone, reasoned=setup.reasoned,
            moles=None if case.composition is None else case.composition.mole_fractions[0],
        )  # fmt: skip
    if found is None:
        if expansion is None:
            message = NO_RECIPE if case.recipe.kind == "bought" else NO_FIGURE
            return (), Verdict(RULE, Answer.CANNOT_SAY, message), ()
        found = fit(
            expansion, body, transition=transition, modulus=modulus, cone=setup.cone,
            learned=setup.learned, reasoned=setup.reasoned,
        )  # fmt: skip
    if is_used(case.recipe):
        found = used_by_people(found, case.recipe.proven)
    carried = () if expansion is None else (carried_expansion(expansion, setting_point(transition)[0]),)
    verdict = fit_verdict(found, body.name, setup.limits)
    if verdict.answer is Answer.FITS and found.own is None and never_melts(case.composition, setup.cone):
        message = f"It does not melt at cone {setup.cone}, so how it would sit on {body.name} cannot be said."
        verdict = Verdict(RULE, Answer.CANNOT_SAY, message, verdict.evidence)
    return (*carried, *found.estimates), verdict, ()


_MEANT_TO_CRAZE: Final = ("crackle", "craquel", "crazed", "crazes")


def is_used(recipe: Recipe) -> bool:
    """Whether the card says that people use it, and not for its crackle."""
    said = f"{recipe.name} {recipe.surface} {recipe.notes} {recipe.proven}".casefold()
    return recipe.proven.casefold() not in ("", "no", "not") and not any(word in said for word in _MEANT_TO_CRAZE)


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
    return f"{sentence} It holds {_join(poisons)}: not for a home studio, nor for ware that is eaten or drunk from."


def _answered(recipe: str, body: str | None, kiln: str | None, cone: str | None, verdicts: Sequence[Verdict]) -> str:
    where = recipe + (f" on {body}" if body else "") + (f" at cone {cone}" if cone else "")
    where += f" in {kiln}" if kiln else ""
    answer = worst(v.answer for v in verdicts)
    if answer is Answer.FITS:
        return f"{where}: fits, as far as estimates can tell. Fire a test tile before you trust a pot to it."
    if answer is Answer.DOES_NOT_FIT:
        reasons = [v.because or _AGAINST[v.rule] for v in verdicts if v.answer is Answer.DOES_NOT_FIT]
        return f"{where}: does not fit, because {_join(reasons)}."
    doubts = [_UNKNOWN[v.rule] for v in verdicts if v.answer is Answer.CANNOT_SAY]
    first = "Ask an electrician about the outlet, then fire" if any(map(_open_outlet, verdicts)) else "Fire"
    return f"{where}: cannot say {_join(doubts, ' or ')}. {first} a test tile."


def _open_outlet(verdict: Verdict) -> bool:
    """Whether it is open that the outlet carries the kiln, which an electrician settles."""
    return verdict.remedy == "electrician"


def _join(parts: Sequence[str], last: str = " and ") -> str:
    return parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + last + parts[-1]


def before_it_is_plugged_in(verdicts: Sequence[Verdict], command: str) -> list[str]:
    """What comes before any firing where nobody knows yet that the outlet carries the kiln."""
    if any(map(_open_outlet, verdicts)):
        return [f"Before the kiln is plugged in, show an electrician its plate and what this says: {command}"]
    if any(v.remedy == "outlet" for v in verdicts):
        return [f"Before the kiln is plugged in, see whether your outlet may carry it: {command}"]
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
        steps.append(f"See what the kiln reaches on each circuit: {kiln_command(kiln, folder)}")
    changes = (None if by_tile else by_rule.get("fit"), by_rule.get("melts"))
    if recipe.kind == "glaze" and Answer.DOES_NOT_FIT in changes:
        steps.append(f"Look for the smallest change that fits and melts: glazecalc adjust {quoted(card)}")
    if by_rule.get("clay_range") is Answer.DOES_NOT_FIT:
        steps.append("Choose a clay made for that cone (--body), or another cone (--cone)")
    if recipe.kind == "body":
        steps.append(f"See what is known of this clay: {_look_at_clay(recipe, body)}{studio_option(folder)}")
    if worst(by_rule.values()) is Answer.DOES_NOT_FIT and steps:
        return tuple(steps)
    if recipe.kind == "bought":
        from glazecalc.jobs.jar import jar_steps

        steps += jar_steps(recipe, None if cone is None else Cone(cone))
    if kiln is not None and recipe.kind != "body":
        steps += before_it_is_plugged_in(verdicts, kiln_command(kiln, folder))
    if recipe.kind != "body":
        steps.append("Fire a test tile on this clay beside a witness cone. Then shock it three times: freezer, then "
                     "boiling water (gloves and goggles: a frozen pot can burst); find cracks with ink")  # fmt: skip
        on = ("" if body is None else f" --body {quoted(body)}") + ("" if cone is None else f" --cone {cone}")
        steps.append("Record how it came out, so that the next answer is surer: "
                     f"glazecalc record tile {quoted(card)}{on} --result RESULT")  # fmt: skip
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
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
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
    told = place_refusal(setup.kiln, setup.room, setup.units)
    return (f"{told}: {kiln_command(setup.kiln.name, setup.folder)}",) if told else ()


def _convention(recipe: Recipe) -> str:
    return "alumina" if recipe.kind == "body" else "customary"


def cited(estimates: Iterable[Estimate]) -> tuple[str, ...]:
    """The printable sources behind some estimates, each once."""
    ids = dict.fromkeys(s for e in estimates for s in e.sources)
    return tuple(sources().get(i, i) for i in ids)
