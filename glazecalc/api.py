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

from glazecalc.files.card import read_recipe, read_recipe_text
from glazecalc.files.materials import built_in_materials
from glazecalc.files.studio import read_studio
from glazecalc.jobs.check import check as _check
from glazecalc.jobs.describe import describe
from glazecalc.jobs.materials import Pantry, pantry
from glazecalc.jobs.setting import Setting, pick, setting_for
from glazecalc.jobs.setup import taught
from glazecalc.jobs.start import start_studio
from glazecalc.values.answers import Answer, Basis, Estimate, Problem, ProblemsError, Severity, Verdict, error
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, Circuit, Kiln, Limits, Material, Recipe, RecipeLine, Studio
from glazecalc.values.results.adjust import AdjustResult, Comparison, SwapResult
from glazecalc.values.results.check import CheckResult, Formula
from glazecalc.values.results.formula import FormulaResult
from glazecalc.values.results.kiln import KilnReport
from glazecalc.values.results.weigh import WeighResult

T = TypeVar("T")

__all__ = [
    "AdjustResult", "Answer", "Basis", "Body", "CheckResult", "Circuit", "Comparison", "Cone", "Estimate", "Formula",
    "FormulaResult", "Kiln", "KilnReport", "Limits", "Material", "Pantry", "Problem", "ProblemsError", "Recipe",
    "RecipeLine", "Setting", "Severity", "Studio", "SwapResult", "Verdict", "WeighResult", "adjust", "check", "compare",
    "formula", "kiln", "open_studio", "recipe_from_file", "recipe_from_text", "shelf", "start_studio", "swap", "weigh",
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


def setting(
    recipe: Recipe,
    studio: Studio,
    *,
    body: str | None = None,
    kiln: str | None = None,
    circuit: str | None = None,
    cone: str | None = None,
) -> Setting:
    """Where a recipe is judged: names and defaults of the studio, and what its journal teaches of clay and kiln.

    Raises ProblemsError for a name the studio does not have.
    """
    found = setting_for(studio, recipe, body=body, kiln=kiln, circuit=circuit, cone=cone)
    return taught(found, studio, shelf(studio))


def check(recipe: Recipe, studio: Studio, **names: str | None) -> CheckResult:
    """Will this glaze fit the clay, melt at the cone, and does the kiln get there?

    ``names`` are those of :func:`setting`: body, kiln, circuit, cone.

    Raises
    ------
    ProblemsError
        with every problem of the card, or for a name the studio does not have.
    """
    return _check(recipe, shelf(studio), setting(recipe, studio, **names))


def weigh(recipe: Recipe, studio: Studio, dry_g: float) -> WeighResult:
    """A batch sheet of ``dry_g`` [g] on the studio's scale. Raises ProblemsError if there is nothing to weigh."""
    from glazecalc.jobs.amount import Wanted
    from glazecalc.jobs.weigh import scales_of
    from glazecalc.jobs.weigh import weigh as run

    scales, _ = scales_of(studio)
    tolerance = studio.limits.weighing_tolerance_percent
    return run(recipe, shelf(studio), scales, Wanted(dry_g=dry_g), tolerance_percent=tolerance)


def adjust(recipe: Recipe, studio: Studio, **names: str | None) -> AdjustResult:
    """The smallest changes that fit and melt, from the studio's shelf; ``names`` as in :func:`check`."""
    from glazecalc.jobs.adjust import adjust as run
    from glazecalc.jobs.stocked import shelf_of

    return run(recipe, shelf(studio), shelf_of(studio)[0], setting(recipe, studio, **names))


def swap(recipe: Recipe, studio: Studio, old: str, new: Sequence[str], **names: str | None) -> SwapResult:
    """The same fired formula with ``new`` materials in place of ``old``; ``names`` as in :func:`check`."""
    from glazecalc.jobs.stocked import shelf_of
    from glazecalc.jobs.swap import swap as run

    return run(recipe, shelf(studio), shelf_of(studio)[0], setting(recipe, studio, **names), old, new)


def compare(recipes: Sequence[Recipe], studio: Studio, **names: str | None) -> Comparison:
    """Recipes side by side; ``names`` as in :func:`check`. Raises ProblemsError for fewer than two."""
    from glazecalc.jobs.compare import compare as run

    return run([(r, setting(r, studio, **names)) for r in recipes], shelf(studio))


def kiln(studio: Studio, name: str | None = None, circuit: str | None = None) -> KilnReport:
    """May this kiln be plugged in there, and how hot does it get? Raises ProblemsError for an unknown name."""
    from glazecalc.jobs.kiln import KilnQuestion, check_kiln
    from glazecalc.jobs.setup import firings_of

    found = pick(studio.kilns, name, studio.defaults.kiln, "kiln", studio)
    if found is None:
        raise ProblemsError([error("no-kiln", "it is not clear which kiln is meant", "name one", studio.file)])
    on = pick(studio.circuits, circuit, None, "circuit", studio) if circuit else None
    return check_kiln(
        KilnQuestion(
            kiln=found,
            circuits=studio.circuits,
            circuit=on,
            pieces=studio.pieces,
            firings=firings_of(studio, found),
            limits=studio.limits,
            folder=studio.folder,
        )
    )


@cache
def _built_in() -> tuple[Material, ...]:
    return tuple(built_in_materials())


def _or_problems(value: T | None, problems: Sequence[Problem]) -> T:
    if value is None or any(p.is_error for p in problems):
        raise ProblemsError(problems)
    return value
