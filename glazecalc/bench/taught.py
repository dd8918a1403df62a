"""What a studio knows of a clay besides its studio.toml: recorded tiles, and the clay's own recipe card."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from glazecalc.bench.open import Bench
from glazecalc.keep import journal_exists
from glazecalc.values.inputs import Body, Recipe, Studio
from glazecalc.values.problem import Problem, remark
from glazecalc.work.pantry import Pantry
from glazecalc.work.setting import Setting, setting_for


def taught_setting(
    bench: Bench,
    recipe: Recipe,
    *,
    body: str | None = None,
    kiln: str | None = None,
    circuit: str | None = None,
    cone: str | None = None,
) -> Setting:
    """The setting a recipe is judged in, from names and the studio's defaults, with all the studio knows of
    clay and kiln.

    Raises ProblemsError for a name the studio does not have, or a cone that is none.
    """
    setting = setting_for(bench.studio, recipe, body=body, kiln=kiln, circuit=circuit, cone=cone)
    return taught(setting, bench.studio, bench.pantry)


def taught(setting: Setting, studio: Studio, shelf: Pantry) -> Setting:
    """The setting with what the journal and the clay's own recipe teach of clay and kiln."""
    folder = Path(studio.folder)
    journal = journal_exists(folder)
    return _taught_kiln(_taught_clay(setting, folder, shelf, journal), studio, journal)


def _taught_kiln(setting: Setting, studio: Studio, journal: bool) -> Setting:
    """The setting with the firings recorded of its kiln, and the circuits they may have been on."""
    if setting.kiln is None or not journal:
        return setting
    from glazecalc.bench.recorded import firings_of

    return replace(setting, firings=firings_of(studio, setting.kiln), circuits=studio.circuits)


def _taught_clay(setting: Setting, folder: Path, shelf: Pantry, journal: bool) -> Setting:
    """The setting with the clay's expansion as its recipe suggests and as the recorded tiles teach it."""
    body = setting.body
    if body is None:
        return setting
    recipe, _ = body_recipe(body, folder)
    if recipe is not None:
        from glazecalc.work.formula import compose_recipe
        from glazecalc.work.learning.body import reasoned_body_expansion

        composition, _, _ = compose_recipe(recipe, shelf)
        if composition is not None:
            setting = replace(setting, reasoned=reasoned_body_expansion(composition, body.ware, setting.cone))
    if not journal:
        return setting
    from glazecalc.bench.recorded import recorded_tiles
    from glazecalc.work.learning.tiled import learned_body_expansion

    tiles = tuple(t for t in recorded_tiles(folder) if t.body.casefold() == body.name.casefold())
    learned = learned_body_expansion(body, tiles, setting.cone, setting.reasoned)
    return replace(setting, learned=learned, tiles=tiles)


def body_recipe(body: Body, folder: Path) -> tuple[Recipe | None, tuple[Problem, ...]]:
    """The clay's own card, named by ``recipe`` in studio.toml; a remark where it is not there or cannot be
    read.
    """
    if body.recipe is None:
        return None, ()
    from glazecalc.read.recipe import read_recipe

    path = folder / body.recipe
    path = path if path.is_file() else folder / f"{body.recipe}.txt"
    if not path.is_file():
        message = f"{body.name}: there is no recipe card {body.recipe!r}"
        return None, (remark("no-recipe", message, "write one with the line: kind: body", line=body.line),)
    recipe, problems = read_recipe(str(path))
    if recipe is None or any(p.is_error for p in problems):
        return None, (remark("card-left-out", f"{body.name}: its recipe card cannot be read", "", str(path)),)
    return recipe, problems
