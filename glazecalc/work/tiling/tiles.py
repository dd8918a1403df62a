"""The job behind `tiles`: a plan of test tiles, each computed before anything is mixed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from glazecalc.chemistry.blends import Array, Parts, corner_totals, dry_shares_by_volume, shares
from glazecalc.chemistry.slurry import coat_grams, dry_per_mL, slurry_density
from glazecalc.values.inputs import Piece, Recipe, RecipeLine, Scale, Studio
from glazecalc.values.problem import ProblemsError, error
from glazecalc.values.report import Batch, Formula, FormulaLine, Ratios
from glazecalc.values.tiles import (
    CORNER_LETTERS,
    BlendBy,
    Choice,
    CornerBatch,
    Place,
    TilePoint,
    TilesResult,
    VolumeCost,
)
from glazecalc.work.cautions import cautions
from glazecalc.work.check import check
from glazecalc.work.pantry import Pantry
from glazecalc.work.setting import Setting
from glazecalc.work.tiling.blending import Addition, Blend, blend_of
from glazecalc.work.tiling.choose import belief, choose, wrong_by_chance, wrong_percent
from glazecalc.work.tiling.first_words import kiln_words, scale_words
from glazecalc.work.tiling.grade import rungs
from glazecalc.work.tiling.pots import pots_of
from glazecalc.work.tiling.small_measures import with_small_marks
from glazecalc.work.tiling.tile_arrays import TileArrays, tile_arrays
from glazecalc.work.tiling.tile_marks import marks_of
from glazecalc.work.tiling.tile_places import TEST_TILE, places
from glazecalc.work.weighing.amount import Wanted, check_gravity, glazed_area_cm2, gravity_of, slurry_figure
from glazecalc.work.weighing.weigh import smallest_dry_batch, solids_density, weigh

EACH_G: Final = 50.0
"""Dry glaze mixed for one tile, enough to dip or pour it from a cup [g] (common practice)."""
MOST_MADE: Final = 150
"""No plan is worked out tile by tile beyond this; a larger one can be laid out and the tiles to make chosen of it."""
MOST_CHOSEN: Final = 36
"""Most tiles that are chosen of a plan; each is weighed against all others."""


@dataclass(frozen=True, slots=True)
class TileOrder:
    """What a potter asks of a plan.

    ``size`` is tiles on an edge (or rows and columns); ``each_g`` the dry glaze for one tile;
    ``gravities`` the specific gravity of each corner's slurry, one for all, or none for the customary one; ``series``
    the letter of the ids.
    """

    plan: str
    size: tuple[int, ...] | None = None
    additions: tuple[Addition, ...] = ()
    by: BlendBy = "dry"
    gravities: tuple[float, ...] = ()
    each_g: float = EACH_G
    waste_percent: float | None = None
    tile: Piece | None = None
    choose: int | None = None
    series: str = "A"


def plan_tiles(
    recipes: Sequence[Recipe],
    studio: Studio,
    shelf: Pantry,
    scales: Sequence[Scale],
    setting: Setting,
    order: TileOrder,
) -> TilesResult:
    """The plan.

    Raises
    ------
    ProblemsError
        for a plan that cannot be made of these cards.
    """
    blend = blend_of(order.plan, recipes, shelf, order.size, order.additions)
    if order.by == "volume" and blend.over_base:
        hint = "blend glazes by volume; weigh additions to them dry"
        raise ProblemsError([error("by", f"plan {blend.plan} adds dry materials: volumes do not go with it", hint)])
    contents, gravities = _slurries(blend, order)
    dry_shares = _dry_shares(blend, order.by, contents)
    parts = _dry_parts(blend, dry_shares)
    found = tile_arrays(blend, parts, setting)
    rows, choice = _which(blend, order, setting, found, parts)
    _not_too_many(len(rows))
    tile = order.tile or _usual_tile(studio)
    each = _each_g(blend.parts[rows], order, scales)
    placed = places(setting.kiln, tile, len(rows))
    points = _points(blend, rows, dry_shares, each, order, shelf, setting, placed[0] if placed else None)
    points = with_small_marks(points, blend, scales) if order.by == "dry" else points
    waste = slurry_figure("waste").value if order.waste_percent is None else order.waste_percent
    corners = _corner_batches(blend, dry_shares[rows], each, waste, scales, studio, gravities, shelf)
    coat = _coat_g(tile, corners[0].sheet.water.solids_density.value)
    pots = pots_of(blend, points, scales, max(each * len(rows) / 2, 4 * coat * len(rows)), coat)
    tolerance = studio.limits.weighing_tolerance_percent
    return TilesResult(
        plan=blend.plan,
        shape=blend.shape,
        corner_names=tuple(c.name for c in blend.corners),
        part=_part(blend.parts[rows], each, order.by, contents),
        by=order.by,
        points=points,
        corners=corners,
        body=None if setting.body is None else setting.body.name,
        kiln=None if setting.kiln is None else setting.kiln.name,
        cone=None if setting.cone is None else str(setting.cone),
        tile=tile.name,
        tiles_per_firing=placed[1] if placed else None,
        firings=math.ceil(len(rows) / placed[1]) if placed else None,
        pots=pots,
        volume_cost=_volume_cost(blend, rows, dry_shares, setting) if order.by == "volume" else None,
        choice=choice,
        notes=_notes(blend, placed is None),
        cautions=_cautions(blend, points),
        problems=blend.problems,
        warnings=(
            *kiln_words(setting, points),
            *scale_words(blend, corners, points, pots, shelf, scales, tolerance),
        ),
    )


def _not_too_many(made: int) -> None:
    if made > MOST_MADE:
        message = f"{made} tiles are more than anybody mixes at a time (at most {MOST_MADE} are worked out)"
        hint = "take a smaller --size or fewer levels, or the tiles of this plan that tell most: --choose 24"
        raise ProblemsError([error("size", message, hint)])


def _coat_g(tile: Piece, solids_density: float) -> float:
    """Dry glaze that one tile takes with it [g]."""
    thickness, packing = slurry_figure("dry_coat").value, slurry_figure("coat_packing").value
    return coat_grams(glazed_area_cm2(tile)[0], thickness, packing, solids_density)


def _usual_tile(studio: Studio) -> Piece:
    return next((p for p in studio.pieces if "tile" in p.name.casefold()), TEST_TILE)


def _slurries(blend: Blend, order: TileOrder) -> tuple[Array, list[float]]:
    """Dry content [g/mL] and specific gravity of each corner's slurry."""
    given = list(order.gravities)
    if len(given) not in (0, 1, len(blend.corners)):
        message = f"{len(given)} specific gravities for {len(blend.corners)} corners"
        raise ProblemsError([error("gravity", message, "give one, or one for each corner: --sg 1.5:1.45")])
    usual = gravity_of(Wanted())[0]
    gravities = given if len(given) > 1 else [given[0] if given else usual] * len(blend.corners)
    contents = []
    for corner, gravity in zip(blend.corners, gravities, strict=True):
        solids = solids_density(corner.card).value
        check_gravity(gravity, solids)
        contents.append(float(dry_per_mL(gravity, solids)))
    return np.array(contents), gravities


def _dry_shares(blend: Blend, by: BlendBy, contents: Array) -> Array:
    """Each corner's share of a tile's dry matter, (n, c)."""
    if by == "volume":
        return dry_shares_by_volume(blend.parts, contents)
    return shares(blend.parts, [c.per_part for c in blend.corners])


def _dry_parts(blend: Blend, dry_shares: Array) -> Array:
    """Parts that give those shares of dry matter; the parts of the plan themselves where it is blended dry."""
    return np.asarray(dry_shares / np.array([c.per_part for c in blend.corners]))


def _which(
    blend: Blend, order: TileOrder, setting: Setting, found: TileArrays, parts: Array
) -> tuple[list[int], Choice | None]:
    """Rows of the full plan that are made, in pouring order."""
    crazing = found.crazes if setting.body is not None else None
    rows = list(range(len(blend.parts)))
    if blend.plan == "ladder":
        count = order.size[0] if order.size else min(6, len(rows))
        if not 2 <= count <= len(rows):
            raise ProblemsError([error("size", f"a ladder of {count} tiles cannot be made", f"2 to {len(rows)}")])
        rows = rungs(found.expansion, crazing, found.known, count)
    if order.choose is None:
        return rows, None
    most = min(len(rows), MOST_CHOSEN)
    if not 1 <= order.choose <= most:
        raise ProblemsError([error("choose", f"--choose {order.choose} of {len(rows)} tiles", f"choose 1 to {most}")])
    chances = np.full(len(blend.parts), 0.5) if crazing is None else crazing
    before = belief(chances[rows], blend.composition(parts[rows]).mole_fractions)
    best = sorted(choose(before, order.choose))
    choice = Choice(
        full=len(rows),
        chosen=order.choose,
        wrong_before_percent=wrong_percent(before, ()),
        wrong_percent=wrong_percent(before, best),
        wrong_by_chance_percent=wrong_by_chance(before, order.choose),
        wrong_full_percent=wrong_percent(before, range(len(rows))),
    )
    return [rows[i] for i in best], choice


def _each_g(parts: Parts, order: TileOrder, scales: Sequence[Scale]) -> float:
    """Dry glaze for one tile [g]: what was asked, raised until a whole part is a whole step of the scale."""
    total = float(parts.sum(axis=1).max())
    step = min(s.resolution_g for s in scales)
    return math.ceil(order.each_g / total / step - 1e-9) * step * total


def _part(parts: Parts, each_g: float, by: BlendBy, contents: Array) -> float:
    """What one part is: grams of dry glaze, or mL of slurry."""
    part_g = each_g / float(parts.sum(axis=1).max())
    return float(f"{part_g:.12g}") if by == "dry" else float(max(round(part_g / float(contents.mean())), 1))


def _points(
    blend: Blend, rows: Sequence[int], dry_shares: Array, each: float, order: TileOrder, shelf: Pantry,
    setting: Setting, placed: Sequence[Place] | None,
) -> tuple[TilePoint, ...]:  # fmt: skip
    contents, _ = _slurries(blend, order)
    part = _part(blend.parts[list(rows)], each, order.by, contents)
    parts = _dry_parts(blend, dry_shares)
    found = []
    for number, row in enumerate(rows, start=1):
        lines = blend.recipe_lines(parts[row])
        ident = f"{order.series}{number}"
        recipe = Recipe(
            name=f"{' + '.join(c.name for c in blend.corners)}, tile {ident}"[:200], cone=blend.cone,
            lines=tuple(RecipeLine(material=x.material, amount=x.amount, addition=x.addition) for x in lines),
        )  # fmt: skip
        result = check(recipe, shelf, setting)
        found.append(
            TilePoint(
                id=ident,
                number=number,
                row=blend.places[row][0],
                column=blend.places[row][1],
                parts=tuple(int(p) for p in blend.parts[row]),
                measures=tuple(float(f"{p * part:.12g}") for p in blend.parts[row]),
                dry_shares=tuple(float(s) for s in dry_shares[row]),
                recipe=lines,
                check=result,
                marks=marks_of(result, setting.limits),
                place=placed[number - 1] if placed else None,
            )
        )
    return tuple(found)


def _corner_batches(
    blend: Blend, dry_shares: Array, each: float, waste: float, scales: Sequence[Scale], studio: Studio,
    gravities: Sequence[float], shelf: Pantry,
) -> tuple[CornerBatch, ...]:  # fmt: skip
    tolerance = studio.limits.weighing_tolerance_percent
    taken = corner_totals(dry_shares, each, waste)
    solids = [solids_density(c.card).value for c in blend.corners]
    equal = min(float(dry_per_mL(g, s)) for g, s in zip(gravities, solids, strict=True))
    found = []
    for letter, corner, grams, gravity, rho in zip(
        CORNER_LETTERS, blend.corners, taken, gravities, solids, strict=False
    ):
        if grams <= 0:
            continue
        least = smallest_dry_batch(corner.card, scales, tolerance) or 0.0
        batch = max(float(grams), least)
        sheet = weigh(corner.card.recipe, shelf, scales, Wanted(dry_g=batch, gravity=gravity),
                      tolerance_percent=tolerance, currency=studio.limits.currency)  # fmt: skip
        found.append(
            CornerBatch(letter, corner.name, float(grams), batch, sheet, float(dry_per_mL(gravity, rho)),
                        float(slurry_density(equal, rho)))
        )  # fmt: skip
    return tuple(found)


def _volume_cost(blend: Blend, rows: Sequence[int], dry_shares: Array, setting: Setting) -> VolumeCost:
    """What taking volumes for weights costs, over the tiles that are made."""
    meant = shares(blend.parts, [c.per_part for c in blend.corners])[list(rows)]
    really = dry_shares[list(rows)]
    first, second = (tile_arrays(blend, _dry_parts(blend, each), setting).expansion for each in (meant, really))
    return VolumeCost(100 * float(np.abs(meant - really).max()), float(np.abs(first - second).max()))


def _cautions(blend: Blend, points: Sequence[TilePoint]) -> tuple[str, ...]:
    """The cautions of the whole plan, once: every material mixed, and of each oxide the worst of any tile."""
    lines = tuple(line for corner in blend.corners for line in corner.card.batch.lines)
    formulas = [p.check.formula for p in points if p.check.formula is not None]
    if not formulas:
        return cautions(Batch(lines, 0.0, 0.0), None)
    worst = [
        FormulaLine(oxide, "", min(f.unity().get(oxide, 0.0) for f in formulas), None, None, 0.0,
                    max(f.weight_percent().get(oxide, 0.0) for f in formulas))
        for oxide in dict.fromkeys(line.oxide for f in formulas for line in f.lines)
    ]  # fmt: skip
    alkalis = [f.ratios.alkali_fraction for f in formulas if f.ratios.alkali_fraction is not None]
    ratios = Ratios(None, max(alkalis, default=None), None, None)
    return cautions(Batch(lines, 0.0, 0.0), Formula(tuple(worst), ratios, "", "", None, None))


def _notes(blend: Blend, no_places: bool) -> tuple[str, ...]:
    notes = [
        "Pour or dip in the order of the table, from the top; scratch the id into the foot of the tile before it is "
        "bisque fired."
    ]
    if blend.cone is None:
        notes.append("not every card names a cone, so melting is not judged by one")
    if no_places:
        notes.append(
            "the kiln's inside is not known, so tiles per firing are not counted: add interior to its [[kiln]]"
        )
    return tuple(notes)


def with_ids(result: TilesResult, ids: Sequence[str]) -> TilesResult:
    """The plan under the ids a journal gave its tiles."""
    new = dict(zip((p.id for p in result.points), ids, strict=True))
    pots = tuple(
        replace(pot, steps=tuple(replace(step, tile=new[step.tile]) for step in pot.steps)) for pot in result.pots
    )
    points = tuple(replace(p, id=new[p.id]) for p in result.points)
    notes = (*result.notes, "Ids leave out letters that look alike when scratched, so AAA is followed by AAC.")
    return replace(result, points=points, pots=pots, notes=notes, recorded=True)
