"""Where each tile stands: rows on each shelf, the same rows by which a firing's pieces are counted.

Tiles that differ little are set far apart, so that a hot side of the kiln is not taken for the glaze. One place in
each firing is kept for witness cones.
"""

from __future__ import annotations

import math
from typing import Final

from glazecalc.values.inputs import Interior, Kiln, Piece
from glazecalc.values.tiles import Place
from glazecalc.work.kilns.stacking import PIECE_GAP_MM, WALL_GAP_MM, open_half_mm, stack

CONE_PLACES: Final = 1
"""Places of a firing kept for witness cones."""
TEST_TILE: Final = Piece(name="test tile", width_mm=50.0, height_mm=80.0, depth_mm=30.0, glazed_area_cm2=45.0)
"""An upright tile with a foot, where the studio names none (common practice)."""


def spots_on_level(inside: Interior, tile: Piece) -> list[tuple[float, float]]:
    """Middles of the most tiles that stand on one level [mm from the middle], back row first, left to right."""
    width = inside.width_mm - 2 * WALL_GAP_MM
    depth = (inside.depth_mm or inside.width_mm) - 2 * WALL_GAP_MM if inside.shape == "square" else width
    deep = tile.depth_mm or tile.width_mm
    best: list[tuple[float, float]] = []
    for along, across in ((tile.width_mm, deep), (deep, tile.width_mm)):
        for start in range(20):
            spots = _rows(inside.shape, width, depth, along, across, start / 20)
            if len(spots) > len(best):
                best = spots
    return sorted(best, key=lambda spot: (-spot[1], spot[0]))


def _rows(
    shape: str, width: float, depth: float, along: float, across: float, start: float
) -> list[tuple[float, float]]:
    step = across + PIECE_GAP_MM
    y, spots = -depth / 2 + start * step, []
    while y + across <= depth / 2 + 1e-9:
        half = min(open_half_mm(shape, width, depth, y), open_half_mm(shape, width, depth, y + across))
        count = max(0, int((2 * half + PIECE_GAP_MM + 1e-9) // (along + PIECE_GAP_MM)))
        first = -(count - 1) / 2 * (along + PIECE_GAP_MM)
        spots += [(first + i * (along + PIECE_GAP_MM), y + across / 2) for i in range(count)]
        y += step
    return spots


def places(kiln: Kiln | None, tile: Piece, count: int) -> tuple[list[Place], int] | None:
    """A place for each of ``count`` tiles in order, and how many go into one firing beside the cones.

    None where the kiln's inside is not known or no tile goes in.
    """
    if kiln is None or kiln.interior is None:
        return None
    stacked = stack(kiln, tile)
    spots = spots_on_level(kiln.interior, tile)
    levels = 0 if stacked is None else stacked.levels
    everywhere = [(level + 1, i + 1, *spot) for level in range(levels) for i, spot in enumerate(spots)]
    per_firing = len(everywhere) - CONE_PLACES
    if per_firing < 1:
        return None
    free = _without_middle(everywhere)
    found = []
    for firing in range(math.ceil(count / per_firing)):
        here = min(per_firing, count - firing * per_firing)
        chosen = [free[i] for i in _even(per_firing, here)]
        found += [Place(firing + 1, *chosen[i]) for i in _far_apart(here)]
    return found, per_firing


def _without_middle(spots: list[tuple[int, int, float, float]]) -> list[tuple[int, int, float, float]]:
    """All spots but the one nearest the front of the lowest level, which is for the witness cones."""
    cones = min(spots, key=lambda spot: (spot[0], spot[3], abs(spot[2])))
    return [spot for spot in spots if spot is not cones]


def _even(many: int, few: int) -> list[int]:
    """``few`` of ``many`` places, spread evenly."""
    return [i * many // few for i in range(few)]


def _far_apart(count: int) -> list[int]:
    """An order of 0 .. count - 1 in which neighbours are far apart: strides of about the golden section."""
    stride = next(s for s in range(max(round(0.382 * count), 1), count + 2) if math.gcd(s, count) == 1)
    return [i * stride % count for i in range(count)]
