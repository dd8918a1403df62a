"""The main job: one recipe on one clay in one kiln at one cone, as a short pipeline whose steps are in order."""

from __future__ import annotations

from collections.abc import Iterable

from glazecalc.chemistry.composition import Composition
from glazecalc.chemistry.unity import CONVENTIONS
from glazecalc.judge.clay_range import judge_clay_range
from glazecalc.judge.headline import headline, next_steps
from glazecalc.judge.place import place_refusal
from glazecalc.judge.typed import kiln_command
from glazecalc.values.cones import Cone
from glazecalc.values.data import sources
from glazecalc.values.estimate import Estimate
from glazecalc.values.inputs import Recipe
from glazecalc.values.problem import ProblemsError
from glazecalc.values.report import CheckResult
from glazecalc.values.verdict import Verdict, worst
from glazecalc.work.cautions import cautions, poisons
from glazecalc.work.formula import compose_recipe, formula_of
from glazecalc.work.glaze import glaze_estimates
from glazecalc.work.maturing import crystals, maturing, running
from glazecalc.work.on_body import on_body
from glazecalc.work.pantry import Pantry
from glazecalc.work.reach import reach
from glazecalc.work.setting import Question, Setting


def check(recipe: Recipe, shelf: Pantry, setting: Setting) -> CheckResult:
    """Everything that can be said of one recipe in one setting.

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
    estimates = {e.name: e for e in (glaze_estimates(composition) if composition and glazed else ())}
    verdicts: list[Verdict] = []
    steps = (on_body, maturing, reach) if glazed else (reach,)
    for step in steps:
        found, verdict, remarks = step(Question(recipe, composition, estimates, setting))
        estimates.update({e.name: e for e in found})
        verdicts.append(verdict)
        problems = (*problems, *remarks)
    if setting.body is not None:
        verdicts.append(
            judge_clay_range(setting.body.name, setting.body.cone_low, setting.body.cone_high, setting.cone)
        )
    answer = worst(v.answer for v in verdicts)
    names = {"body": setting.body, "kiln": setting.kiln, "circuit": setting.circuit}
    named = {what: None if thing is None else thing.name for what, thing in names.items()}
    cone = None if setting.cone is None else str(setting.cone)
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
            *cautions(batch, formula, _of_firing(composition, setting.cone) if glazed else (), glazed),
            *_of_room(setting),
        ),
        next_steps=next_steps(
            recipe, verdicts, body=named["body"], kiln=named["kiln"], cone=cone, folder=setting.folder
        ),
        sources=cited(estimates.values()),
        problems=problems,
    )


def _of_firing(composition: Composition | None, cone: Cone | None) -> tuple[str, ...]:
    return (*running(composition, cone), *crystals(composition, cone))


def _of_room(setting: Setting) -> tuple[str, ...]:
    """What speaks against firing in the room where the kiln stands; the answer on glaze and heat is not changed."""
    if setting.kiln is None or setting.room is None:
        return ()
    told = place_refusal(setting.kiln, setting.room, setting.units)
    return (f"{told}: {kiln_command(setting.kiln.name, setting.folder)}",) if told else ()


def _convention(recipe: Recipe) -> str:
    return "alumina" if recipe.kind == "body" else "customary"


def cited(estimates: Iterable[Estimate]) -> tuple[str, ...]:
    """The printable sources behind some estimates, each once."""
    ids = dict.fromkeys(s for e in estimates for s in e.sources)
    return tuple(sources().get(i, i) for i in ids)
