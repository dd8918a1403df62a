"""One step of the check: does the glaze mature at the cone?"""

from __future__ import annotations

import math
from typing import Final

from glazecalc.chemistry.composition import Composition
from glazecalc.judge.melt import Chances, judge_melting
from glazecalc.models.cones import cone_position, cone_temperature, temperature_degC
from glazecalc.models.firing import (
    SURE,
    FiringRange,
    crystals_probability,
    firing_cones,
    firing_range_row,
    maturity,
)
from glazecalc.models.firing import Maturing as State
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Basis, Estimate, percent_words
from glazecalc.values.inputs import ConeRange
from glazecalc.values.problem import Problem, remark
from glazecalc.values.verdict import Verdict
from glazecalc.work.analyses import firing_range_of
from glazecalc.work.setting import Question

_CRYSTALS_WORTH_SAYING: Final = 0.5
_RUNNING_WORTH_SAYING: Final = 0.25
"""Chance of running from which it is cautioned against: a shelf costs more than a dish of old clay (a judgement)."""


def maturing(question: Question) -> tuple[tuple[Estimate, ...], Verdict, tuple[Problem, ...]]:
    """The firing range, the verdict on melting, and a remark where estimate and statement disagree."""
    recipe, cone = question.recipe, question.setting.cone
    range_ = _range(question.composition)
    if range_ is None:
        stated = () if recipe.cone is None else (_stated_range(recipe.cone),)
        return stated, judge_melting(recipe.cone, cone, None), ()
    chances = None if cone is None else _chances(range_, cone)
    estimates = (firing_range_row(range_), _mature_cone(range_))
    return estimates, judge_melting(recipe.cone, cone, chances), _disagreement(question, range_)


def crystals(composition: Composition | None, cone: Cone | None) -> tuple[str, ...]:
    """A caution where the melt may grow crystals on cooling, because its liquidus is likely above the peak."""
    if composition is None or cone is None or _range(composition) is None:
        return ()
    chance = float(crystals_probability(composition.mole_fractions, temperature_degC(cone))[0])
    if not chance >= _CRYSTALS_WORTH_SAYING:
        return ()
    return (
        f"The liquidus is likely above cone {cone} ({percent_words(chance)}): on a slow cooling the surface may turn "
        "matte or grow crystals.",
    )


def running(composition: Composition | None, cone: Cone | None) -> tuple[str, ...]:
    """A caution where the glaze may well run off the pot."""
    range_ = _range(composition)
    chances = None if range_ is None or cone is None else _chances(range_, cone)
    if chances is None or chances.runs < _RUNNING_WORTH_SAYING:
        return ()
    return (
        f"May run at cone {cone} ({percent_words(chances.runs)} likely): fire the tile upright in a dish of old clay, "
        "leave the foot bare, put kiln wash on the shelf. Drips of glaze are as sharp as glass.",
    )


def _range(composition: Composition | None) -> FiringRange | None:
    if composition is None:
        return None
    found = firing_range_of(composition.mole_fractions, composition.relative_sd)
    return found if math.isfinite(found.low.value[0]) else None


def _chances(range_: FiringRange, cone: Cone) -> Chances | None:
    if range_.low.extrapolated[0]:
        return None
    found = maturity(range_, temperature_degC(cone))
    return Chances(
        underfired=float(found.underfired[0]),
        matures=float(found.matures[0]),
        runs=float(found.runs[0]),
        sure=SURE,
        cones=_cones_in_words(range_),
    )


def _cones_in_words(range_: FiringRange) -> str:
    low, high = firing_cones(range_)
    return f"cone {low}" if low == high else f"cone {low} to {high}"


def _mature_cone(range_: FiringRange) -> Estimate:
    """The range as places in the series of cones (0 is cone 022), so that it can be compared with a cone."""
    firing = firing_range_row(range_)
    middle, low, high = (cone_position(x) for x in (firing.value, firing.low, firing.high))
    return Estimate(
        "mature_cone", middle, min(low, middle), max(high, middle), "place in the cone series, 022 being 0",
        firing.basis, firing.sources, (f"{_cones_in_words(range_)} at 60 degC/h without a hold",),
    )  # fmt: skip


def _stated_range(stated: ConeRange) -> Estimate:
    low, high = cone_temperature(stated.low), cone_temperature(stated.high)
    return Estimate(
        "firing_range", (low.value + high.value) / 2, low.low, high.high, "degC", Basis.STATED, low.sources,
        (f"cone {stated} as the recipe states it",),
    )  # fmt: skip


def _disagreement(question: Question, range_: FiringRange) -> tuple[Problem, ...]:
    stated = question.recipe.cone
    if stated is None or range_.low.extrapolated[0]:
        return ()
    states = {maturity(range_, temperature_degC(c)).state[0] for c in (stated.low, stated.high)}
    for state, words in ((State.UNDERFIRED, "is underfired"), (State.LIKELY_TO_RUN, "is likely to run")):
        if states == {state}:
            message = f"the recipe states cone {stated}; by its chemistry it {words} there ({_cones_in_words(range_)})"
            return (remark("cone-disagrees", message, "fire a tile beside a witness cone", question.recipe.file),)
    return ()
