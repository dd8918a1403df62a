"""One step of the check: will the glaze craze or shiver on this clay?"""

from __future__ import annotations

from glazecalc.judge.fit import RULE
from glazecalc.values.estimate import Estimate
from glazecalc.values.problem import Problem
from glazecalc.values.verdict import Answer, Verdict
from glazecalc.work.carried import carried_expansion, setting_point
from glazecalc.work.fit import fit, fit_verdict
from glazecalc.work.setting import Question

NO_FIGURE = (
    "Of what this glaze is made of the estimates know nothing, so fit cannot be calculated: "
    "glaze test tiles on this clay and write down how they come out."
)
NO_RECIPE = (
    "A bought glaze without a recipe cannot be calculated: "
    "glaze test tiles on this clay and write down how they come out."
)


def on_body(question: Question) -> tuple[tuple[Estimate, ...], Verdict, tuple[Problem, ...]]:
    """Estimates of stress and probabilities, the verdict on fit, and remarks."""
    estimates, setting = question.estimates, question.setting
    expansion, body = estimates.get("expansion"), setting.body
    if body is None:
        evidence = ("expansion",) if expansion is not None else ()
        message = "No clay body is named, so fit cannot be judged: add --body, or a [[body]] to studio.toml."
        return (), Verdict(RULE, Answer.CANNOT_SAY, message, evidence), ()
    transition, modulus = estimates.get("transition_temperature"), estimates.get("youngs_modulus")
    found = None
    if setting.tiles:
        from glazecalc.work.learning.tiled import fit_given_tiles

        found = fit_given_tiles(
            question.recipe, expansion, body, setting.tiles,
            transition=transition, modulus=modulus, cone=setting.cone, reasoned=setting.reasoned,
        )  # fmt: skip
    if found is None:
        if expansion is None:
            message = NO_RECIPE if question.recipe.kind == "bought" else NO_FIGURE
            return (), Verdict(RULE, Answer.CANNOT_SAY, message), ()
        found = fit(
            expansion, body, transition=transition, modulus=modulus, cone=setting.cone,
            learned=setting.learned, reasoned=setting.reasoned,
        )  # fmt: skip
    carried = () if expansion is None else (carried_expansion(expansion, setting_point(transition)[0]),)
    return (*carried, *found.estimates), fit_verdict(found, body.name, setting.limits), ()
