"""One kiln shelf from above, to scale, with the pieces that stand on it."""

from __future__ import annotations

import math

from glazecalc.render.figures.drawing import (
    SIZES,
    WIDTH,
    Box,
    DataTable,
    Disc,
    Figure,
    Mark,
    Path,
    Point,
    Strokes,
    Words,
    heading,
    shortened,
    text_width,
)
from glazecalc.render.words import length_text, rounded
from glazecalc.values.inputs import SIDES, UnitChoice
from glazecalc.values.results.pictures import PlacedPiece, ShelfPicture
from glazecalc.values.units import convert

_TOP, _SIDE = 60.0, 330.0


def shelf_figure(picture: ShelfPicture, units: UnitChoice) -> Figure:
    """Draw the picture; its scale bar is in the reader's unit of length."""
    room = picture.interior
    depth = room.depth_mm or room.width_mm
    scale = _SIDE / max(room.width_mm, depth)
    middle: Point = (room.width_mm * scale / 2 + 4, _TOP + depth * scale / 2)
    bottom = _TOP + depth * scale
    marks = heading(shortened(f"One shelf of {picture.kiln}, from above", WIDTH, SIZES["title"], True), picture.words)
    marks += _wall(picture, middle, scale)
    marks += [_handle(piece, middle, scale) for piece in picture.pieces if piece.handle_mm]
    for piece in picture.pieces:
        marks += _piece(piece, middle, scale)
    marks += _bar(room.width_mm * scale + 40, bottom, scale, units)
    marks += _notes(picture, room.width_mm * scale + 40, units)
    return Figure(
        "shelf",
        f"Shelf plan of {picture.kiln}",
        _description(picture),
        WIDTH,
        bottom + 12,
        tuple(marks),
        _table(picture),
    )


def outline(shape: str, width: float, depth: float, middle: Point) -> tuple[Point, ...]:
    """Corners of a chamber seen from above; a circle as a polygon of many sides."""
    x, y = middle
    if shape == "square":
        return (
            (x - width / 2, y - depth / 2),
            (x + width / 2, y - depth / 2),
            (x + width / 2, y + depth / 2),
            (x - width / 2, y + depth / 2),
        )
    sides = SIDES.get(shape, 90)
    turn = math.pi / sides if shape in SIDES else 0.0
    radius = width / 2 / (math.cos(turn) if shape in SIDES else 1.0)
    return tuple(
        (x + radius * math.cos(turn + 2 * math.pi * i / sides), y + radius * math.sin(turn + 2 * math.pi * i / sides))
        for i in range(sides)
    )


def _wall(picture: ShelfPicture, middle: Point, scale: float) -> list[Mark]:
    room, gap = picture.interior, picture.wall_clearance_mm
    depth = room.depth_mm or room.width_mm
    marks: list[Mark] = [
        Path(outline(room.outline, room.width_mm * scale, depth * scale, middle), "plain", closed=True)
    ]
    if gap > 0:
        inner = outline(room.outline, (room.width_mm - 2 * gap) * scale, (depth - 2 * gap) * scale, middle)
        marks.append(Path(inner, "edge", closed=True))
    return marks


def _handle(piece: PlacedPiece, middle: Point, scale: float) -> Strokes:
    x, y = middle[0] + piece.x_mm * scale, middle[1] - piece.y_mm * scale
    turn, reach = math.radians(piece.turn_deg), (piece.width_mm / 2 + piece.handle_mm) * scale
    return Strokes((((x, y), (x + reach * math.cos(turn), y - reach * math.sin(turn))),), "handle")


def _piece(piece: PlacedPiece, middle: Point, scale: float) -> list[Mark]:
    x, y = middle[0] + piece.x_mm * scale, middle[1] - piece.y_mm * scale
    width, depth = piece.width_mm * scale, piece.depth_mm * scale
    marks: list[Mark] = []
    if piece.shape == "round":
        marks.append(Disc(x, y, width / 2, "clay-open"))
    else:
        marks.append(Box(x - width / 2, y - depth / 2, width, depth, "clay-open", 1))
    if text_width(piece.name, SIZES["small"]) < width - 4:
        marks.append(Words(x, y + 4, piece.name, "small", "middle"))
    return marks


def _bar(x: float, y: float, scale: float, units: UnitChoice) -> list[Mark]:
    length_mm = 100.0 if units.length == "mm" else convert(4.0, "in", "mm", "length")
    end = x + length_mm * scale
    return [
        Strokes((((x, y - 4), (end, y - 4)), ((x, y - 9), (x, y + 1)), ((end, y - 9), (end, y + 1))), "axis"),
        Words(x, y - 14, length_text(length_mm, units), "small", colour="muted"),
    ]


def _notes(picture: ShelfPicture, x: float, units: UnitChoice) -> list[Mark]:
    room = picture.interior
    lines = [f"{room.shape} inside,", f"{length_text(room.width_mm, units)} across"]
    if picture.wall_clearance_mm:
        lines += [f"dashed line: {length_text(picture.wall_clearance_mm, units)}", "off the wall"]
    return [Words(x, _TOP + 14 + 15 * i, line, "small", colour="muted") for i, line in enumerate(lines)]


def _description(picture: ShelfPicture) -> str:
    return f"Plan to scale of one shelf of {picture.kiln} with {len(picture.pieces)} pieces. {picture.words}"


def _table(picture: ShelfPicture) -> DataTable:
    rows = tuple(
        (p.name, rounded(p.x_mm, 0), rounded(p.y_mm, 0), rounded(p.width_mm, 0), rounded(p.depth_mm, 0))
        for p in picture.pieces
    )
    return DataTable(("piece", "mm right of the middle", "mm behind the middle", "width, mm", "depth, mm"), rows)
