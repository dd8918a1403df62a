"""The tiles of a plan as the journal keeps them: each with its recipe frozen as it was mixed."""

from __future__ import annotations

from glazecalc.values.records import FrozenLine, FrozenRecipe, TileRecord
from glazecalc.values.tiles import TilePoint, TilesResult


def tile_records(result: TilesResult) -> tuple[TileRecord, ...]:
    """One record a tile, waiting for its result; the journal gives the ids."""
    return tuple(_record(point, result) for point in result.points)


def _record(point: TilePoint, result: TilesResult) -> TileRecord:
    place = point.place
    where = "" if place is None else f"firing {place.firing} of the plan, shelf {place.shelf}, spot {place.spot}"
    parts = ":".join(str(p) for p in point.parts)
    formula = point.check.formula
    recipe = FrozenRecipe(
        name=point.check.recipe.name,
        kind="glaze",
        cone="" if point.check.recipe.cone is None else str(point.check.recipe.cone.high),
        lines=tuple(FrozenLine(x.material, x.amount, x.addition) for x in point.recipe),
        moles=() if formula is None else tuple((k, v / 100) for k, v in formula.mole_percent().items()),
    )
    return TileRecord(
        recipe=recipe, glaze=recipe.name, body=result.body or "", cone=result.cone or "", place=where,
        note=f"{result.plan}, parts {parts} of {' : '.join(result.corner_names)}",
    )  # fmt: skip
