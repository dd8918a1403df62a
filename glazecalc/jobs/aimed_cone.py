"""Which cone a change aims at: the one asked for, else the recipe's, else the hottest that the kiln gets to."""

from __future__ import annotations

from glazecalc.jobs.reach import ceiling_of
from glazecalc.jobs.setup import Setup
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.inputs import ConeRange, Defaults, Recipe
from glazecalc.values.results.kiln import Ceiling


def cone_within_reach(setup: Setup, defaults: Defaults) -> tuple[str | None, str]:
    """The name of a cooler cone where the kiln does not surely reach the setting's, else None; and a sentence on it.

    The studio's usual cone is preferred where it is lower and within reach; else the hottest cone with a chance of at
    least the level of the verdict.
    """
    cone, kiln = setup.cone, setup.kiln
    found = None if cone is None else ceiling_of(setup)
    level = setup.limits.reach_percent / 100.0
    if cone is None or kiln is None or found is None or reaches(found, cone, level):
        return None, ""
    usual = [] if defaults.cone is None else [defaults.cone]
    cooler = [c for c in (*usual, *reversed(ALL_CONES)) if c < cone and reaches(found, c, level)]
    if not cooler:
        return None, ""
    text = f"{kiln.name} does not surely reach cone {cone}: aimed at cone {cooler[0]}, which it does"
    return cooler[0].name, f"{text}; --cone asks for another"


def reaches(found: Ceiling, cone: Cone, level: float) -> bool:
    """Whether a kiln gets to a cone with a chance of at least ``level``; by its rating where no chance is known."""
    chance = found.chance(cone)
    if chance is not None:
        return chance >= level
    return found.cone is not None and cone <= (found.cone_low or found.cone)


def fired_at(recipe: Recipe, cone: Cone | None) -> Recipe:
    """The recipe with that cone on its card, unless the card's range holds it already."""
    if cone is None or (recipe.cone is not None and recipe.cone.low <= cone <= recipe.cone.high):
        return recipe
    return recipe.model_copy(update={"cone": ConeRange(low=cone, high=cone)})
