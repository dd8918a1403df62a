"""One step of the check: will the glaze craze or shiver on this clay?"""

from __future__ import annotations

from collections.abc import Mapping

from glazecalc.judge.fit import RULE, judge_fit
from glazecalc.values.estimate import Estimate
from glazecalc.values.inputs import Recipe
from glazecalc.values.problem import Problem
from glazecalc.values.verdict import Answer, Verdict
from glazecalc.work.fit import fit
from glazecalc.work.setting import Setting

NO_RECIPE = "A bought glaze without a recipe cannot be calculated: glaze test tiles on this clay and write down how they come out."


def on_body(
    recipe: Recipe, estimates: Mapping[str, Estimate], setting: Setting
) -> tuple[tuple[Estimate, ...], Verdict, tuple[Problem, ...]]:
    """Estimates of stress and probabilities, the verdict on fit, and remarks."""
    expansion = estimates.get("expansion")
    if expansion is None:
        return (), Verdict(RULE, Answer.CANNOT_SAY, NO_RECIPE), ()
    if setting.body is None:
        message = "No clay body is named, so fit cannot be judged: add --body, or a [[body]] to studio.toml."
        return (), Verdict(RULE, Answer.CANNOT_SAY, message, ("expansion",)), ()
    found = fit(
        expansion, setting.body,
        transition=estimates.get("transition_temperature"), modulus=estimates.get("youngs_modulus"),
        cone=setting.cone, learned=setting.learned, reasoned=setting.reasoned,
    )  # fmt: skip
    verdict = judge_fit(
        crazing=found.crazing, at_once=found.at_once, shivering=found.shivering, sound=found.sound,
        to_sound=found.to_sound, body=setting.body.name, porous=found.porous,
        extrapolated=found.rests_on_extrapolation, best_sound=found.best_sound, limits=setting.limits,
    )  # fmt: skip
    return found.estimates, verdict, ()
