"""From cards and a plan to a blend: the corners, the whole parts of every tile, the amounts of every material."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from glazecalc.chemistry.batches import (
    Array,
    Parts,
    Weighed,
    addition_parts,
    line_parts,
    mix,
    square_parts,
    triaxial_parts,
    weigh_out,
)
from glazecalc.chemistry.composition import Composition, MaterialTable, compose, material_table
from glazecalc.jobs.materials import Pantry
from glazecalc.jobs.weigh import SMALL_G, STIRRED_FAMILIES, Resolved, named, ready, stock_of
from glazecalc.values.answers import Problem, ProblemsError, error, remark
from glazecalc.values.inputs import ConeRange, Material, Recipe, RecipeLine, Scale
from glazecalc.values.records import FrozenLine, FrozenRecipe, TileRecord
from glazecalc.values.results.tiles import PLANS, PlanName, TilesResult
from glazecalc.values.texts import phrase

MOST_TILES: Final = 2000
USUAL_SIZE: Final[dict[str, tuple[int, ...]]] = {"line": (11,), "triaxial": (6,), "square": (5, 5), "ladder": (6,)}
LADDER_PARTS: Final = 20
"""A ladder between two cards is graded in twentieths."""
LADDER_MOST: Final = 40
"""Most of a material a ladder adds to one card [% of the base], unless a level is given."""
USUAL_ADDITIONS: Final[dict[str, tuple[tuple[str, ...], tuple[float, ...]]]] = {
    "additions": (("Red iron oxide",), (0.0, 1.0, 2.0, 4.0)),
    "grid": (("Silica", "Kaolin"), (0.0, 5.0, 10.0, 15.0, 20.0)),
    "ladder": (("Silica", "Frit, high-alkali"), (float(LADDER_MOST),)),
}
"""What is added where nothing is named, as many materials as the plan takes, and the levels of each [% of the base]."""
_RECIPES_FOR: Final[dict[str, tuple[int, ...]]] = {
    "line": (2,), "triaxial": (3,), "square": (3, 4), "additions": (1,), "ladder": (1, 2), "grid": (1,),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Addition:
    """A material and the levels to try of it [% of the base]; no levels where the usual ones are meant."""

    material: str
    levels: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Blend:
    """A blend before anything is estimated.

    ``parts`` (n, c) are whole; ``places`` the row and column of each tile in the plan's figure; ``corners`` the cards
    that are blended; ``per_part`` (c,) what one part of each weighs (its dry total per 100 of its base) and
    ``corner_amounts`` (c, m) what it holds of each material; ``keys`` the materials with whether each is an
    addition; ``over_base`` says that the corners after the first are materials added over it.
    """

    plan: PlanName
    shape: tuple[int, ...]
    parts: Parts
    places: tuple[tuple[int, int], ...]
    corners: tuple[Resolved, ...]
    per_part: Array
    keys: tuple[tuple[str, bool], ...]
    corner_amounts: Array
    table: MaterialTable
    cone: ConeRange | None
    over_base: bool = False
    problems: tuple[Problem, ...] = ()

    def composition(self, parts: Array | Parts) -> Composition:
        """Fired compositions for rows of parts."""
        return compose(mix(parts, self.corner_amounts), self.table)

    def recipe_lines(self, parts: Array | Parts) -> tuple[FrozenLine, ...]:
        """One tile's recipe: per 100 of the base, additions over it; ``parts`` (c,)."""
        amounts = mix(np.atleast_2d(parts), self.corner_amounts)[0]
        base = sum(a for a, (_, over) in zip(amounts, self.keys, strict=True) if not over) or float(amounts.sum())
        return tuple(
            FrozenLine(name, float(100 * amount / base), over)
            for amount, (name, over) in zip(amounts, self.keys, strict=True)
            if amount > 0
        )


def blend_of(
    plan: str, recipes: Sequence[Recipe], shelf: Pantry, size: tuple[int, ...] | None, additions: Sequence[Addition]
) -> Blend:
    """The blend a potter asks for.

    Raises ProblemsError for an unknown plan, the wrong number of recipes, an unknown material, or a plan too large.
    """
    chosen = next((p for p in PLANS if p == plan), None)
    if chosen is None:
        raise ProblemsError([error("plan", f"--plan {plan!r} is not known", f"choose one of: {', '.join(PLANS)}")])
    counts = _RECIPES_FOR[chosen]
    if len(recipes) not in counts:
        needed = " or ".join(str(c) for c in counts)
        hint = "a triangle takes three recipes, a line two; additions, ladder and grid take one and --add MATERIAL"
        raise ProblemsError([error("recipes", f"plan {chosen} needs {needed} recipes, {len(recipes)} given", hint)])
    if chosen in ("additions", "grid") or (chosen == "ladder" and len(recipes) == 1):
        return _over_a_base(chosen, recipes[0], shelf, additions, size)
    if additions:
        raise ProblemsError([error("usage", f"--add does not go with plan {chosen}", "use additions, grid or ladder")])
    return _between(chosen, recipes, shelf, size)


def _between(plan: PlanName, recipes: Sequence[Recipe], shelf: Pantry, size: tuple[int, ...] | None) -> Blend:
    cards = [ready(recipe, shelf) for recipe in recipes]
    remarks: list[Problem] = []
    shape = (LADDER_PARTS + 1,) if plan == "ladder" else size or USUAL_SIZE[plan]
    try:
        parts, places = _figure(plan, shape)
    except ValueError as exc:
        raise ProblemsError([error("size", str(exc), "give --size 6, or --size 4x5 for a square")]) from None
    keys, rows, table = _amounts(cards, per_base=False)
    if len(cards) == 3 and plan == "square":
        opposite, words = rows[1] + rows[2] - rows[0], "second + third - first"
        if (opposite < -1e-12).any():  # below nothing
            opposite, words = (rows[1] + rows[2]) / 2, "half second, half third"
        rows = np.vstack([rows, opposite])
        cards.append(_card_of(opposite, keys, "Fourth corner", recipes, shelf))
        message = f"three recipes given: the fourth corner is {words}"
        remarks.append(remark("fourth-corner", message, "name a fourth recipe to choose it"))
    problems, cone = (*remarks, *(p for card in cards for p in card.problems)), common_cone(recipes)
    return Blend(
        plan, shape, parts, places, tuple(cards), np.ones(len(cards)), keys, rows, table, cone, False, problems
    )


def _figure(plan: PlanName, shape: tuple[int, ...]) -> tuple[Parts, tuple[tuple[int, int], ...]]:
    """The parts of every tile and its place. Raises ValueError for a size that cannot be."""
    rows, columns = shape if len(shape) == 2 else (shape[0], shape[0])
    tiles = {"square": rows * columns, "triaxial": rows * (rows + 1) // 2}.get(plan, rows)
    if tiles > MOST_TILES:
        raise ValueError(f"{tiles} tiles are too many (at most {MOST_TILES})")
    if plan == "square":
        return square_parts(rows, columns), tuple((i, j) for i in range(rows) for j in range(columns))
    if len(shape) != 1:
        raise ValueError(f"a plan {plan} has one size")
    if plan == "triaxial":
        return triaxial_parts(rows), tuple((i, j) for i in range(rows) for j in range(i + 1))
    return line_parts(rows), tuple((0, j) for j in range(rows))


def _amounts(cards: Sequence[Resolved], per_base: bool) -> tuple[tuple[tuple[str, bool], ...], Array, MaterialTable]:
    """Materials of all cards and what one part of each card holds of them: per dry total, or per base total."""
    keys: dict[tuple[str, bool], Material] = {}
    for card in cards:
        for line in card.lines:
            keys.setdefault((line.material.name, line.line.addition), line.material)
    column = {key: j for j, key in enumerate(keys)}
    rows = np.zeros((len(cards), len(keys)))
    for i, card in enumerate(cards):
        whole = (card.recipe.base_total if per_base else 0.0) or sum(card.amounts)
        for line in card.lines:
            rows[i, column[line.material.name, line.line.addition]] += line.line.amount / whole
    return tuple(keys), rows, material_table(list(keys.values()))


def _card_of(
    row: Array, keys: Sequence[tuple[str, bool]], name: str, recipes: Sequence[Recipe], shelf: Pantry
) -> Resolved:
    lines = tuple(
        RecipeLine(material=material, amount=float(100 * amount), addition=over)
        for amount, (material, over) in zip(row, keys, strict=True)
        if amount > 1e-12
    )
    return ready(Recipe(name=name, cone=common_cone(recipes), lines=lines), shelf)


def _over_a_base(
    plan: PlanName, recipe: Recipe, shelf: Pantry, additions: Sequence[Addition], size: tuple[int, ...] | None
) -> Blend:
    additions, remarks = _meant(plan, additions, size)
    cards = [ready(recipe, shelf)]
    for name in [named(a.material, shelf).name for a in additions]:
        line = RecipeLine(material=name, amount=100.0, addition=True)
        cards.append(ready(Recipe(name=name, lines=(line,)), shelf))
    levels = [a.levels for a in additions]
    if plan == "ladder":
        parts = _one_at_a_time([int(each[0]) for each in levels])
        places = tuple((0, j) for j in range(len(parts)))
    else:
        _check_levels(levels)
        parts = addition_parts(*levels)
        places = tuple(divmod(i, len(levels[-1])) for i in range(len(parts)))
    shape = tuple(len(each) for each in levels)
    keys, rows, table = _amounts(cards, per_base=True)
    problems = (*remarks, *cards[0].problems)
    per_part = rows.sum(axis=1)
    return Blend(plan, shape, parts, places, tuple(cards), per_part, keys, rows, table, recipe.cone, True, problems)


def _meant(
    plan: PlanName, additions: Sequence[Addition], size: tuple[int, ...] | None
) -> tuple[list[Addition], list[Problem]]:
    """The additions with their levels filled in; usual materials, with a remark, where none is named."""
    if size is not None and plan != "ladder":
        raise ProblemsError([error("usage", f"--size does not go with plan {plan}", 'write --add "Rutile:0,2,4"')])
    usual, levels = USUAL_ADDITIONS[plan]
    remarks = []
    if not additions:
        additions = [Addition(name) for name in usual]
        tried = f"{' and '.join(usual)} {'is' if len(usual) == 1 else 'are'} tried"
        remarks.append(remark("usual-materials", f"no --add: {tried}", phrase("name your own| with --add|")))
    if len(additions) > len(usual) or (plan == "grid" and len(additions) != 2):
        hint = 'such as --add "Rutile:0,2,4"; two materials make a grid'
        message = f"plan {plan} takes {len(usual)} --add, {len(additions)} given"
        raise ProblemsError([error("usage", message, hint)])
    if plan == "ladder":
        for addition in additions:
            _check_rise(addition)
    return [a if a.levels else Addition(a.material, levels) for a in additions], remarks


def _check_levels(levels: Sequence[Sequence[float]]) -> None:
    tiles = math.prod(len(each) for each in levels)
    if tiles > MOST_TILES:
        raise ProblemsError([error("size", f"{tiles} tiles are too many (at most {MOST_TILES})", "take fewer levels")])
    if any(not 0 <= level <= 100 for each in levels for level in each):
        raise ProblemsError([error("levels", "additions are 0 to 100 % of the base", 'write --add "Rutile:0,2,4"')])


def _check_rise(addition: Addition) -> None:
    """A ladder finds its rungs itself, in steps of 1 %: only the most to add can be said."""
    name, levels = addition.material, addition.levels
    if not levels or (len(levels) == 1 and 1 <= levels[0] <= 100):
        return
    most = max(math.ceil(max(levels)), 1) if max(levels) <= 100 else LADDER_MOST
    raise ProblemsError([error(
        "levels", f"a ladder finds its own levels of {name}: only the most is given, 1 to 100 %",
        f'write --add "{name}:{most:g}", or for levels of your own: --plan additions --add '
        f'"{name}:{",".join(f"{level:g}" for level in levels)}"',
    )])  # fmt: skip


def _one_at_a_time(most: Sequence[int]) -> Parts:
    """A base alone, then with 1 to ``most`` [%] of one material, and of the other: parts (n, 1 + len(most))."""
    rises = [np.arange(1, top + 1)[:, None] * np.eye(len(most), dtype=int)[i] for i, top in enumerate(most)]
    added = np.vstack([np.zeros((1, len(most)), dtype=int), *rises])
    return np.column_stack([np.full(len(added), 100), added])


def common_cone(recipes: Sequence[Recipe]) -> ConeRange | None:
    """The cones all the cards name; from the coolest to the hottest named where they share none."""
    ranges = [r.cone for r in recipes if r.cone is not None]
    if len(ranges) < len(recipes) or not ranges:
        return None
    low, high = max(r.low for r in ranges), min(r.high for r in ranges)
    if high < low:
        low, high = min(r.low for r in ranges), max(r.high for r in ranges)
    named = tuple(dict.fromkeys(str(r) for r in ranges))
    return ConeRange(low=low, high=high, cards=named if len(named) > 1 else ())


# Additions of a plan that are too small for the scale: marked before anything is mixed, with a way out.

TILE_TOLERANCE_PERCENT: Final = 10.0
"""How far an addition to one tile may be off before it is marked; levels are apart by more (judgement)."""
TILE_DRAW_ML: Final = 20.0
"""Drawn from a stock for one tile: less than the water in its glaze [mL]."""


def too_small(weighed: Weighed) -> bool:
    """Whether an addition to one tile is too small for its scale."""
    return not weighed.within(TILE_TOLERANCE_PERCENT)


def small_additions(measures: Sequence[float], blend: Blend, scales: Sequence[Scale]) -> list[str]:
    """A mark for each addition of a tile's ``measures`` [g] that the scale cannot weigh, with a way out."""
    marks: list[str] = []
    for grams, corner in list(zip(measures, blend.corners, strict=True))[1:] if blend.over_base else ():
        weighed = weigh_out([grams], scales)[0] if grams > 0 else None
        if weighed is None or not too_small(weighed):
            continue
        least = max(weighed.scale.minimum_g or 0.0, weighed.scale.resolution_g * 50 / TILE_TOLERANCE_PERCENT)
        each = math.ceil(sum(measures) * least / grams / 10) * 10
        way_out = phrase("mix more for a tile| (--each {:g g})|", each)
        stirs = corner.lines[0].material.family in STIRRED_FAMILIES and grams < SMALL_G
        stock = stock_of(corner.name, grams, scales, TILE_TOLERANCE_PERCENT, TILE_DRAW_ML) if stirs else None
        if stock is not None:
            way_out = phrase(
                "stir {:g g} of it up to {:.0f mL} in water and draw {:g mL} while it is stirred (within {:.0f} %), in "
                "place of as much water; or {}",
                stock.stock_g, stock.stock_mL, stock.take_mL, stock.error_percent, way_out,
            )  # fmt: skip
        marks.append(phrase("{:.3g g} {} is too small for this scale: {}", grams, corner.name, way_out))
    return marks


# The tiles of a plan as the journal keeps them: each with its recipe frozen as it was mixed.


def tile_records(result: TilesResult) -> tuple[TileRecord, ...]:
    """One record a tile, waiting for its result; the journal gives the ids."""
    records = []
    for point in result.points:
        recipe, formula, place = point.check.recipe, point.check.formula, point.place
        frozen = FrozenRecipe(
            name=recipe.name, kind="glaze", cone="" if recipe.cone is None else str(recipe.cone.high),
            lines=point.recipe,
            moles=() if formula is None else tuple((k, v / 100) for k, v in formula.mole_percent().items()),
        )  # fmt: skip
        where = "" if place is None else f"firing {place.firing} of the plan, shelf {place.shelf}, spot {place.spot}"
        parts = f"parts {':'.join(map(str, point.parts))} of {' : '.join(result.corner_names)}"
        records.append(TileRecord(
            recipe=frozen, glaze=frozen.name, body=result.body or "", cone=result.cone or "", place=where,
            note=f"{result.plan}, {parts}",
        ))  # fmt: skip
    return tuple(records)
