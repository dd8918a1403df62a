"""The job behind `report`: one recipe with everything a printed page shows of it, worked out before it is drawn."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Final

from glazecalc import __version__
from glazecalc.jobs.amount import Wanted
from glazecalc.jobs.check import check
from glazecalc.jobs.firing import FiringWish, plan_firing
from glazecalc.jobs.formula import compose_recipe, describe
from glazecalc.jobs.materials import Pantry
from glazecalc.jobs.pictures import (
    blend_picture,
    cone_ruler,
    expansion_picture,
    heating_picture,
    hours_picture,
    learned_picture,
    push_picture,
    silica_alumina,
    tile_shelf_picture,
    viscosity_picture,
)
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.tile_places import TEST_TILE
from glazecalc.jobs.weigh import scales_of, weigh
from glazecalc.values.answers import Answer, Problem
from glazecalc.values.cones import Cone
from glazecalc.values.data import data_root, sources
from glazecalc.values.inputs import Recipe, Studio
from glazecalc.values.records import FiringRecord, TileRecord
from glazecalc.values.results.check import CheckResult
from glazecalc.values.results.firing import FiringReport
from glazecalc.values.results.page import Page, Stamp
from glazecalc.values.results.pictures import Picture, SilicaAluminaPicture
from glazecalc.values.results.tiles import TilesResult


@dataclass(frozen=True, slots=True)
class Notebook:
    """What a studio wrote down, as far as pages show it."""

    tiles: tuple[TileRecord, ...] = ()
    firings: tuple[FiringRecord, ...] = ()


NOTHING_RECORDED: Final = Notebook()
SILICA_ALUMINA_SOURCE: Final = "silica_alumina_trials_1912"


def make_page(
    recipe: Recipe,
    shelf: Pantry,
    setup: Setup,
    studio: Studio,
    *,
    wanted: Wanted,
    today: str,
    plan: TilesResult | None = None,
    journal: Notebook = NOTHING_RECORDED,
    said: Sequence[Problem] = (),
) -> Page:
    """The page of one recipe.

    ``today`` is an ISO 8601 day, ``plan`` test tiles that this
    recipe takes part in, ``journal`` what the studio wrote down, ``said`` what the answer says of what it rests on.

    Raises ProblemsError with every problem of the card, if one of them is an error.
    """
    checked = check(recipe, shelf, setup)
    result = replace(checked, problems=(*checked.problems, *said))
    sheet = None
    if recipe.kind not in ("bought", "composition"):
        limits, (scales, _) = studio.limits, scales_of(studio)
        tolerance = limits.weighing_tolerance_percent
        sheet = weigh(recipe, shelf, scales, wanted, tolerance_percent=tolerance, currency=limits.currency)
    firing = _firing(result, setup)
    shown = [
        *_of_the_glaze(result, shelf, setup),
        heating_picture(setup.kiln, setup.circuit, firing, journal.firings),
        hours_picture(setup.kiln, journal.firings),
        learned_picture(setup.body, journal.tiles, setup.cone, setup.reasoned),
    ]
    if plan is not None:
        tile = next((p for p in (*studio.pieces, TEST_TILE) if p.name == plan.tile), None)
        shown += [blend_picture(plan, setup.limits), tile_shelf_picture(plan, setup.kiln, tile)]
    pictures = tuple(picture for picture in shown if picture is not None)
    notes = [p.message for p in result.problems if not p.is_error]
    cited = [sources()[SILICA_ALUMINA_SOURCE]] if any(isinstance(p, SilicaAluminaPicture) for p in pictures) else []
    return Page(
        check=result, body=setup.body, kiln=setup.kiln, circuit=setup.circuit, limits=setup.limits,
        units=studio.units, pictures=pictures, weigh=sheet, tiles=plan, firing=firing,
        assumptions=tuple(dict.fromkeys((*notes, *(() if sheet is None else sheet.reasons)))),
        sources=tuple(dict.fromkeys((*result.sources, *cited))), stamp=stamp(today),
    )  # fmt: skip


def _of_the_glaze(result: CheckResult, shelf: Pantry, setup: Setup) -> list[Picture | None]:
    pictures: list[Picture | None] = [expansion_picture(result, setup), cone_ruler(result, setup)]
    if result.formula is None or result.recipe.kind == "body":
        return pictures
    explained, _ = describe([result.recipe], shelf, explain=True)
    composition, _, _ = compose_recipe(result.recipe, shelf)
    melt = None if composition is None else viscosity_picture(result, composition)
    return [*pictures, *(push_picture(one) for one in explained[:1]), melt, silica_alumina(result)]


def _firing(result: CheckResult, setup: Setup) -> FiringReport | None:
    """A glaze firing to the cone, unless no kiln is named or it does not get there."""
    out_of_reach = any(v.rule == "kiln_reaches" and v.answer is Answer.DOES_NOT_FIT for v in result.verdicts)
    if setup.kiln is None or setup.cone is None or out_of_reach or result.recipe.kind == "body":
        return None
    return _planned(setup.cone, setup)


@lru_cache(maxsize=32)
def _planned(cone: Cone, setup: Setup) -> FiringReport:
    return plan_firing(FiringWish("glaze", cone), setup)


def stamp(today: str) -> Stamp:
    """What a page says of its making."""
    return Stamp(today, __version__, data_fingerprint())


@cache
def data_fingerprint() -> str:
    """Ten hexadecimal digits that change whenever a shipped data table changes."""
    digest = hashlib.sha256()
    for path in sorted((data_root() / "materials").glob("*.csv")):
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:10]
