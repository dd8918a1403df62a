"""A recipe as it was mixed, frozen with the composition it had on that day."""

from __future__ import annotations

from glazecalc.values.inputs import Recipe
from glazecalc.values.oxides import SYMBOLS
from glazecalc.values.problem import Problem
from glazecalc.values.records import FrozenLine, FrozenRecipe
from glazecalc.work.formula import compose_recipe
from glazecalc.work.pantry import Pantry


def freeze(recipe: Recipe, shelf: Pantry) -> tuple[FrozenRecipe, tuple[Problem, ...]]:
    """The recipe's lines and fired mole fractions, and what was found on the way.

    A jar glaze has neither; a recipe with a problem that is an error has no mole fractions.
    """
    composition, _, problems = compose_recipe(recipe, shelf)
    moles: tuple[tuple[str, float], ...] = ()
    if composition is not None:
        fractions = composition.mole_fractions[0].tolist()
        moles = tuple((oxide, share) for oxide, share in zip(SYMBOLS, fractions, strict=True) if share > 0)
    lines = tuple(FrozenLine(line.material, line.amount, line.addition) for line in recipe.lines)
    cone = "" if recipe.cone is None else str(recipe.cone)
    return FrozenRecipe(recipe.name, recipe.kind, cone, lines, moles), problems
