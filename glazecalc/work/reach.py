"""One step of the check: does this kiln, on this circuit, get to the cone?"""

from __future__ import annotations

from collections.abc import Mapping

from glazecalc.judge.rated import RULE, judge_rated_cone
from glazecalc.models.cones import cone_temperature
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Recipe
from glazecalc.values.problem import Problem
from glazecalc.values.verdict import Answer, Verdict
from glazecalc.work.setting import Setting


def reach(
    recipe: Recipe, estimates: Mapping[str, Estimate], setting: Setting
) -> tuple[tuple[Estimate, ...], Verdict, tuple[Problem, ...]]:
    """The kiln's ceiling, the verdict on reaching the cone, and remarks."""
    kiln = setting.kiln
    if kiln is None:
        message = "No kiln is named, so reach cannot be judged: add --kiln, or a [[kiln]] to studio.toml."
        return (), Verdict(RULE, Answer.CANNOT_SAY, message), ()
    verdict = judge_rated_cone(kiln.name, kiln.cone, setting.cone)
    if kiln.cone is None:
        return (), verdict, ()
    rated = cone_temperature(kiln.cone)
    ceiling = Estimate(
        "kiln_ceiling", rated.value, rated.low, rated.high, "degC", Basis.STATED, rated.sources,
        (f"cone {kiln.cone} as rated on the plate, with new elements at full voltage",),
    )  # fmt: skip
    return (ceiling,), verdict, ()
