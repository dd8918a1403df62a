"""The names promised to library users; everything else may move.

>>> recipe = recipe_from_text("name: Demo\\ncone: 9\\n\\nPotash feldspar 40\\nSilica 30\\nWhiting 20\\nKaolin 10\\n")
>>> round(formula(recipe).formula.unity()["CaO"], 2)
0.74
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TypeVar

from glazecalc.read.materials import built_in_materials
from glazecalc.read.recipe import read_recipe, read_recipe_text
from glazecalc.read.studio import read_studio
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Body, Circuit, Kiln, Limits, Material, Recipe, RecipeLine, Studio
from glazecalc.values.problem import Problem, ProblemsError, Severity
from glazecalc.values.report import CheckResult, Formula, FormulaResult
from glazecalc.values.verdict import Answer, Verdict
from glazecalc.work.check import check as _check
from glazecalc.work.describe import describe
from glazecalc.work.pantry import Pantry, pantry
from glazecalc.work.setting import Setting, setting_for

T = TypeVar("T")

__all__ = [
    "Answer", "Basis", "Body", "CheckResult", "Circuit", "Cone", "Estimate", "Formula", "FormulaResult", "Kiln",
    "Limits", "Material", "Pantry", "Problem", "ProblemsError", "Recipe", "RecipeLine", "Setting", "Severity", "Studio",
    "Verdict", "check", "formula", "open_studio", "recipe_from_file", "recipe_from_text", "shelf",
]  # fmt: skip


def recipe_from_file(path: str | Path) -> Recipe:
    """The recipe card in a file. Raises ProblemsError with every problem if it cannot be used."""
    return _or_problems(*read_recipe(path))


def recipe_from_text(text: str) -> Recipe:
    """The recipe card in a text. Raises ProblemsError with every problem if it cannot be used."""
    return _or_problems(*read_recipe_text(text))


def open_studio(folder: str | Path) -> Studio:
    """What a studio folder says. Raises ProblemsError with every problem if it cannot be used."""
    return _or_problems(*read_studio(Path(folder)))


def shelf(studio: Studio | None = None) -> Pantry:
    """The raw materials that a word on a card can mean: the studio's own first, then the built-in ones."""
    return pantry(_built_in(), studio.materials if studio else ())


def formula(
    recipe: Recipe,
    studio: Studio | None = None,
    *,
    flux: str = "customary",
    explain: bool = False,
    models: bool = False,
) -> FormulaResult:
    """The fired composition of a recipe. Raises ProblemsError with every problem of the card."""
    results, _ = describe((recipe,), shelf(studio), flux=flux, explain=explain, models=models)
    return results[0]


def check(
    recipe: Recipe,
    studio: Studio,
    *,
    body: str | None = None,
    kiln: str | None = None,
    circuit: str | None = None,
    cone: str | None = None,
) -> CheckResult:
    """Will this glaze fit the clay, melt at the cone, and does the kiln get there?

    Raises
    ------
    ProblemsError
        with every problem of the card, or for a name the studio does not have.
    """
    return _check(recipe, shelf(studio), setting_for(studio, recipe, body=body, kiln=kiln, circuit=circuit, cone=cone))


@cache
def _built_in() -> tuple[Material, ...]:
    return tuple(built_in_materials())


def _or_problems(value: T | None, problems: Sequence[Problem]) -> T:
    if value is None or any(p.is_error for p in problems):
        raise ProblemsError(problems)
    return value
