"""How many pieces go on a shelf and into a firing, for round, many-sided and square chambers."""

from __future__ import annotations

import math
from typing import Final

from glazecalc.values.inputs import SIDES, Interior, Kiln, Piece
from glazecalc.values.results.kiln import StackCount

WALL_GAP_MM: Final = 13.0
"""Half an inch between ware and elements (common practice)."""
PIECE_GAP_MM: Final = 5.0
"""Between glazed pieces (common practice: a finger's thickness at most)."""
TOP_GAP_MM: Final = 6.0
"""Over a piece, to the next shelf or the lid."""
SHELF_MM: Final = 13.0
FLOOR_GAP_MM: Final = 13.0
"""Half an inch of post under the lowest shelf (common practice)."""

STANDARD_PIECES: Final = (
    Piece(name="mug", width_mm=85.0, height_mm=90.0, handle_mm=30.0),
    Piece(name="bowl", width_mm=150.0, height_mm=75.0),
    Piece(name="tile", width_mm=100.0, depth_mm=100.0, height_mm=8.0),
    Piece(name="test tile", width_mm=45.0, depth_mm=35.0, height_mm=90.0),
)
"""What a studio is counted in when it names no pieces of its own: sizes as usual, no source."""

CIRCLES_IN_CIRCLE: Final = (
    1.0, 2.0, 2.1547, 2.4143, 2.7014, 3.0, 3.0, 3.3048, 3.6132, 3.8131, 3.9239, 4.0297, 4.2361, 4.3285, 4.5214,
    4.6155, 4.7921, 4.8638, 4.8638, 5.1224,
)  # fmt: skip
"""Radius of the smallest circle round n equal circles of radius one, n from 1 (S. Kravitz, Math. Mag. 40
(1967) 65-71; R. L. Graham, B. D. Lubachevsky, K. J. Nurmela, P. Ostergard, Discrete Math. 181 (1998)
139-154)."""


def stack(kiln: Kiln, piece: Piece) -> StackCount | None:
    """How many of ``piece`` go into ``kiln``; None where its inside is not known."""
    inside = kiln.interior
    if inside is None:
        return None
    tall = piece.height_mm + TOP_GAP_MM
    by_height = int((inside.height_mm - FLOOR_GAP_MM) // (tall + SHELF_MM))
    if kiln.shelves == 0:
        by_height = int(tall <= inside.height_mm)
    per_level = on_one_level(inside, piece)
    return StackCount(piece.name, per_level, min(by_height, max(1, kiln.shelves)), by_height)


def on_one_level(inside: Interior, piece: Piece) -> int:
    """Pieces that stand side by side on one level, clear of the wall and of each other."""
    width, depth = _floor(inside)
    if width <= 0 or depth <= 0:
        return 0
    if piece.depth_mm is not None:
        return len(spots_on_level(inside, piece))
    size = footprint_mm(piece)
    best = max(_lattice(inside.outline, width, depth, size, pitch) for pitch in (1.0, math.sqrt(3) / 2))
    ratio = (min(width, depth) + PIECE_GAP_MM) / (size + PIECE_GAP_MM)
    return max(best, sum(1 for need in CIRCLES_IN_CIRCLE if need <= ratio + 1e-9))


def footprint_mm(piece: Piece) -> float:
    """Width of the circle a round piece takes up [mm]; handles are turned into the gaps, so half of one counts."""
    return piece.width_mm + piece.handle_mm / 2


def open_half_mm(shape: str, width: float, depth: float, y: float) -> float:
    """Half the free width of the chamber at distance ``y`` from its middle, negative outside [mm]."""
    if shape == "square":
        return width / 2 if abs(y) <= depth / 2 + 1e-9 else -1.0
    radius = width / 2
    if abs(y) > radius + 1e-9:
        return -1.0
    if shape == "round":
        return math.sqrt(max(radius**2 - y**2, 0.0))
    return _within_sides(SIDES[shape], radius, abs(y))


def _within_sides(sides: int, reach: float, y: float) -> float:
    """Half the width at distance ``y`` from the middle of a chamber with ``sides`` flat walls ``reach`` away [mm]; two
    of them stand to the left and to the right.
    """
    turns = (2.0 * math.pi * i / sides for i in range(sides // 4 + 1))
    return min((reach - y * math.sin(a)) / math.cos(a) for a in turns if math.cos(a) > 1e-9)


def _floor(inside: Interior) -> tuple[float, float]:
    """Width and depth of a level clear of the wall [mm]."""
    width = inside.width_mm - 2 * WALL_GAP_MM
    return width, (inside.depth_mm or inside.width_mm) - 2 * WALL_GAP_MM if inside.outline == "square" else width


def spots_on_level(inside: Interior, piece: Piece) -> list[tuple[float, float]]:
    """Middles of the most oblong pieces that stand on one level, in straight rows that begin at the best of several
    starts [mm from the middle], back row first, left to right."""
    width, depth = _floor(inside)
    sizes = (piece.width_mm, piece.depth_mm or piece.width_mm)
    tried = (
        _rows(inside.outline, width, depth, *size, start / 20) for size in (sizes, sizes[::-1]) for start in range(20)
    )
    most = max(tried, key=len)
    return sorted(most, key=lambda spot: (-spot[1], spot[0]))


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


def _lattice(shape: str, width: float, depth: float, size: float, pitch: float) -> int:
    """Round pieces in rows set square (``pitch`` 1) or staggered, the best of several starts."""
    cell, radius = size + PIECE_GAP_MM, size / 2
    stagger = pitch < 1.0
    best = 0
    for start in range(20):
        y = -depth / 2 + radius + start / 20 * cell * pitch
        total, row = 0, 0
        while y <= depth / 2 - radius + 1e-9:
            half = open_half_mm(shape, width - size, depth - size, y)  # to the middles of the pieces
            total += _in_row(half, cell, shifted=stagger and row % 2 == 1, centred=stagger or shape != "square")
            y, row = y + cell * pitch, row + 1
        best = max(best, total)
    return best


def _in_row(half: float, cell: float, shifted: bool, centred: bool) -> int:
    """Pieces in one row: on the middle line, or shifted by half a cell, or filling the row from its edge."""
    if half < -1e-9:
        return 0
    half = max(half, 0.0)
    if not centred:
        return int(2 * half / cell + 1e-9) + 1
    if shifted:
        return 2 * int(half / cell + 0.5 + 1e-9)
    return 2 * int(half / cell + 1e-9) + 1
