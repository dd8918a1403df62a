"""One step of the check: does the glaze mature at the cone?"""

from __future__ import annotations

from collections.abc import Mapping

from glazecalc.judge.melt import judge_stated_cone
from glazecalc.models.cones import cone_temperature
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Recipe
from glazecalc.values.problem import Problem
from glazecalc.values.verdict import Verdict
from glazecalc.work.setting import Setting


def maturing(
    recipe: Recipe, estimates: Mapping[str, Estimate], setting: Setting
) -> tuple[tuple[Estimate, ...], Verdict, tuple[Problem, ...]]:
    """The firing range, the verdict on melting, and remarks."""
    verdict = judge_stated_cone(recipe.cone, setting.cone)
    if recipe.cone is None:
        return (), verdict, ()
    low, high = cone_temperature(recipe.cone.low), cone_temperature(recipe.cone.high)
    stated = Estimate(
        "firing_range", (low.value + high.value) / 2, low.low, high.high, "degC", Basis.STATED, low.sources,
        (f"cone {recipe.cone} as the recipe states it",),
    )  # fmt: skip
    return (stated,), verdict, ()
