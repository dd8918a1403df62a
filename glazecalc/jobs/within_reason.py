"""Which changes are shown to a potter: none outside what glazes are, none large on a clay that is not known."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from glazecalc.jobs.aim import SILICA_TO_ALUMINA
from glazecalc.jobs.setup import Setup, quoted, studio_option
from glazecalc.jobs.why_not import Reason
from glazecalc.models.body import known_body
from glazecalc.values.answers import Basis
from glazecalc.values.inputs import Recipe
from glazecalc.values.results.adjust import Option
from glazecalc.values.results.check import CheckResult

MOST_ON_AN_UNKNOWN_CLAY: Final = 6.0
"""Noticeable steps beyond which no change is offered for a clay without a figure of its own."""
ANOTHER_GLAZE: Final = 8.0
"""Noticeable steps from which a change is called another glaze."""
RUNGS: Final = 3


def clay_is_known(setup: Setup) -> bool:
    """Whether the clay has a figure of its own, not one usual of its class; true where no clay is asked for."""
    if setup.body is None:
        return True
    return known_body(setup.body, setup.cone, setup.learned, setup.reasoned).basis is not Basis.TYPICAL


def a_glaze(before: CheckResult, option: Option) -> bool:
    """Whether the option's silica to alumina is that of fitted glazes, or no further out than the recipe's own was."""
    ratios = [_ratio(check) for check in (before, option.after)]
    if ratios[1] is None:
        return ratios[0] is None
    low, high = SILICA_TO_ALUMINA
    if ratios[0] is not None:
        low, high = min(low, ratios[0]), max(high, ratios[0])
    return low - 0.05 <= ratios[1] <= high + 0.05


def _ratio(check: CheckResult) -> float | None:
    return None if check.formula is None else check.formula.ratios.silica_alumina


def marked(option: Option) -> Option:
    """The option, called another glaze first of all where it is one."""
    steps = option.character.distance
    if steps < ANOTHER_GLAZE:
        return option
    return replace(option, sentence=f"Really a different glaze. {option.sentence}")


def tiles_instead(recipe: Recipe, before: CheckResult, setup: Setup) -> Reason:
    """Why no large change is offered for an unknown clay, and the graded tiles to fire instead."""
    assert setup.body is not None
    crazes, shivers = (before.estimate(f"{name}_probability") for name in ("crazing", "shivering"))
    shivering = crazes is not None and shivers is not None and shivers.value > crazes.value
    material = "Soda feldspar" if shivering else "Silica"
    at = f' --cone "{setup.cone}"' if setup.cone is not None else ""
    command = (
        f'glazecalc tiles {quoted(recipe.file or recipe.name)} --plan ladder --add "{material}:20" --size {RUNGS} '
        f"--body {quoted(setup.body.name)}{at} --record"
    )
    return Reason(
        f"of {setup.body.name} only what is usual of such clays is known, and no change within "
        "reach of this glaze is sure enough on every such clay. A larger one "
        f"would trade a glaze you know for one that may fail the other way. Fire {RUNGS} graded tiles instead: "
        f"{command} ; record how each came out, then run: "
        f"glazecalc learn --body {quoted(setup.body.name)}{studio_option(setup.folder)}. "
        "Or ask the supplier for the clay's expansion and the temperatures it holds for.",
        ("what is known of the clay",),
        unknowable=True,
    )  # fmt: skip


def not_a_glaze() -> Reason:
    """Why changes that would do it are not shown."""
    low, high = SILICA_TO_ALUMINA
    return Reason(
        f"what would do it has silica per alumina outside {low:g} to {high:g}, where the estimates are not well "
        "founded and glazes turn dull or run.",
        ("silica per alumina",),
    )
