"""Additions of a plan that are too small for the scale: marked before anything is mixed, with a way out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from glazecalc.chemistry.weights import Weighed, weigh_out
from glazecalc.values.inputs import Scale
from glazecalc.values.tiles import TilePoint
from glazecalc.work.tiling.blending import Blend
from glazecalc.work.weighing.splitting import SMALL_G, STIRRED_FAMILIES, stock_of

TILE_TOLERANCE_PERCENT: Final = 10.0
"""How far an addition to one tile may be off before it is marked; levels are apart by more (judgement)."""
TILE_DRAW_ML: Final = 20.0
"""Drawn from a stock for one tile: less than the water in its glaze [mL]."""


def too_small(weighed: Weighed) -> bool:
    """Whether an addition to one tile is too small for its scale."""
    return not weighed.within(TILE_TOLERANCE_PERCENT)


def with_small_marks(points: Sequence[TilePoint], blend: Blend, scales: Sequence[Scale]) -> tuple[TilePoint, ...]:
    """The points of a plan of additions, marked where the scale cannot weigh what is added."""
    if not blend.over_base:
        return tuple(points)
    return tuple(replace(p, marks=(*p.marks, *_marks(p, blend, scales))) for p in points)


def _marks(point: TilePoint, blend: Blend, scales: Sequence[Scale]) -> list[str]:
    marks = []
    for grams, corner in list(zip(point.measures, blend.corners, strict=True))[1:]:
        if grams <= 0:
            continue
        weighed = weigh_out([grams], scales)[0]
        if too_small(weighed):
            family = corner.card.lines[0].material.family
            marks.append(f"{grams:.3g} g {corner.name} is too small for this scale: "
                         + _way_out(point, grams, family, weighed, scales, corner.name))  # fmt: skip
    return marks


def _way_out(
    point: TilePoint, grams: float, family: str, weighed: Weighed, scales: Sequence[Scale], material: str
) -> str:
    least = max(weighed.scale.minimum_g or 0.0, weighed.scale.resolution_g * 50 / TILE_TOLERANCE_PERCENT)
    each = math.ceil(sum(point.measures) * least / grams / 10) * 10
    more = f"mix more for a tile (--each {each:g}g)"
    stirred = stock_of(material, grams, scales, TILE_TOLERANCE_PERCENT, TILE_DRAW_ML)
    if family not in STIRRED_FAMILIES or grams >= SMALL_G or stirred is None:
        return more
    return (
        f"stir {stirred.stock_g:g} g of it up to {stirred.stock_mL:.0f} mL in water and draw {stirred.take_mL:g} mL "
        f"while it is stirred (within {stirred.error_percent:.0f} %), in place of as much water; or {more}"
    )
