"""Pictures of kilns: a firing over time, the hours it takes, tiles on a shelf, and small ones of outlets and cones."""

from __future__ import annotations

import itertools
import math
from typing import Final

from glazecalc.render.figures.drawing import (
    SIZES,
    WIDTH,
    AxisScale,
    Box,
    DataTable,
    Disc,
    Figure,
    Mark,
    Path,
    Point,
    Strokes,
    Words,
    axis_below,
    axis_left,
    diamond,
    heading,
    line,
    shortened,
    small,
    text_width,
    tick_step,
    tick_text,
    ticks,
)
from glazecalc.render.words import both_degrees, fahrenheit, length_text, rounded
from glazecalc.values.inputs import SIDES, UnitChoice
from glazecalc.values.results.pictures import HeatingPicture, HoursPicture, PlacedPiece, ShelfPicture
from glazecalc.values.texts import begun
from glazecalc.values.units import convert

_TOP, _BOTTOM, _LEFT = 76.0, 326.0, 38.0


def heating_figure(picture: HeatingPicture) -> Figure:
    """Draw the picture."""
    across, up = _scales(picture)
    title = f"How {picture.kiln} heats" + (f" on {picture.where}" if picture.where else "")
    title, reading = shortened(title, 430, SIZES["title"], True), _reading(picture)
    marks = heading(title, shortened(reading, WIDTH, SIZES["small"]))
    marks += axis_left(up, _LEFT, across.end, "\N{DEGREE SIGN}C", 8)
    marks += _fahrenheit(up, across.end)
    if picture.limit is not None:
        y = up(picture.limit.degC)
        text = f"the maker's limit: cone {picture.limit.cone}"
        marks += [line((across.start, y), (across.end, y), "edge"),
                  Words(across.start + 6, y - 5, text, "small", colour="muted", halo=True)]  # fmt: skip
    if picture.fastest:
        upper = [(across(p.x), up.held(p.high)) for p in picture.fastest]
        lower = [(across(p.x), up.held(p.low)) for p in reversed(picture.fastest)]
        middle = tuple((across(p.x), up.held(p.value)) for p in picture.fastest)
        early = picture.fastest[len(picture.fastest) // 3]
        x, y = across(early.x), up(early.high) - 10
        marks += [Path((*upper, *lower), "kiln-band", closed=True), Path(middle, "kiln-line"),
                  Words(x, y, "full power", "label", "end", "kiln", bold=True, halo=True)]  # fmt: skip
    if picture.planned:
        places = [(across(p.hours), up(p.degC)) for p in picture.planned]
        x, y = _along(places, 0.5)
        marks += [Path(tuple(places), "glaze-line"),
                  Words(x - 10, y, "planned", "label", "end", "glaze", bold=True, halo=True)]  # fmt: skip
    if picture.recorded:
        places = [(across(p.hours), up(p.degC)) for p in picture.recorded]
        x, y = _along(places, 0.4)
        marks += [Path(tuple(places), "clay-line"), *(diamond(a, b, 4.5, "clay-open") for a, b in places),
                  Words(x + 12, y + 8, "recorded", "label", "start", "clay", bold=True, halo=True)]  # fmt: skip
    marks += [*_cones(across, up, picture), *axis_below(across, _BOTTOM, "hours from switching on", 12)]
    cones = ", ".join(f"cone {c.cone} after {rounded(c.hours, 1)} hours" for c in picture.cones)
    words = f"Temperature over hours. {reading}." + (f" Cones bend: {cones}." if cones else "")
    return Figure("heating", title, words, WIDTH, _BOTTOM + 42, tuple(marks), _table(picture))


def _scales(picture: HeatingPicture) -> tuple[AxisScale, AxisScale]:
    hours = [*(p.x for p in picture.fastest), *(p.hours for p in (*picture.planned, *picture.recorded)), 1.0]
    tops = [*(p.high for p in picture.fastest), *(p.degC for p in (*picture.planned, *picture.recorded)),
            *(c.degC for c in picture.cones), picture.limit.degC if picture.limit else 0.0, 400.0]  # fmt: skip
    return AxisScale(0, max(hours) * 1.02, _LEFT, WIDTH - 44), AxisScale(0, max(tops) * 1.08, _BOTTOM, _TOP)


def _along(places: list[Point], height: float) -> Point:
    """Where a rising line first passes that share of its height."""
    top, foot = min(y for _, y in places), max(y for _, y in places)
    level = foot + height * (top - foot)
    for (x1, y1), (x2, y2) in itertools.pairwise(places):
        if y2 <= level < y1:
            return x1 + (x2 - x1) * (y1 - level) / (y1 - y2), level
    return places[-1]


def _fahrenheit(up: AxisScale, x: float) -> list[Mark]:
    high = fahrenheit(up.high)
    places, step = ticks(32, high, 7), tick_step(32, high, 7)
    second = AxisScale(32, high, up.start, up.end)
    return [
        Strokes(tuple(((x, second(t)), (x + 4, second(t))) for t in places), "axis"),
        *(small(x + 8, second(t) + 4, tick_text(t, step)) for t in places),
        small(WIDTH, up.end - 12, "\N{DEGREE SIGN}F", "end"),
    ]


def _cones(across: AxisScale, up: AxisScale, picture: HeatingPicture) -> list[Mark]:
    """Cones where they bend; their names below to the right or above to the left, where no mark and no name stands."""
    spots = [(across(c.hours), up(c.degC)) for c in picture.cones]
    marks: list[Mark] = [Disc(x, y, 3.5, "plain") for x, y in spots]
    taken: list[tuple[float, float, float]] = []
    for event in sorted(picture.cones, key=lambda c: -c.degC):
        x, y = across(event.hours), up(event.degC)
        text = f"cone {event.cone}"
        width = text_width(text, SIZES["small"])
        for left, base in ((x + 7, y + 14), (x - 7 - width, y - 7)):
            covers = any(left - 5 < a < left + width + 5 and base - 13 < b < base + 6 for a, b in spots)
            crowds = any(abs(base - b) < 13 and left < a + w + 6 and a < left + width + 6 for a, b, w in taken)
            if not covers and not crowds and left + width < across.end:
                taken.append((left, base, width))
                marks.append(Words(left, base, text, "small", halo=True))
                break
    return marks


def _reading(picture: HeatingPicture) -> str:
    return begun("; ".join(filter(None, (
        "full power from cold with its 90 % interval" if picture.fastest else "",
        picture.planned_words if picture.planned else "",
        picture.recorded_words if picture.recorded else "",
        "circles: a cone bends" if picture.cones else "",
    ))))  # fmt: skip


def _table(picture: HeatingPicture) -> DataTable:
    rows: list[tuple[str, ...]] = []
    for p in picture.fastest[:: max(1, len(picture.fastest) // 12)]:
        reach = f"{rounded(p.low, 0)} to {rounded(p.high, 0)}"
        rows.append(("full power", rounded(p.x, 1), *both_degrees(p.value), reach))
    for name, points in (("planned", picture.planned), ("recorded", picture.recorded)):
        some = points[:: max(1, len(points) // 14)]
        rows += [(name, rounded(p.hours, 1), *both_degrees(p.degC), "") for p in some]
    rows += [(f"cone {c.cone} bends", rounded(c.hours, 1), *both_degrees(c.degC), "") for c in picture.cones]
    heads = ("what", "hours", "\N{DEGREE SIGN}C", "\N{DEGREE SIGN}F", "90 % interval, \N{DEGREE SIGN}C")
    return DataTable(heads, tuple(rows))


# Hours per firing over a kiln's life: when they creep up, the elements are wearing out.

_HOURS_TOP, _HOURS_BOTTOM, _HOURS_LEFT = 76.0, 226.0, 30.0


def hours_figure(picture: HoursPicture) -> Figure:
    """Draw the picture."""
    count = len(picture.firings)
    across = AxisScale(1, max(count, 2), _HOURS_LEFT + 18, WIDTH - 20)
    longest = max((f.hours for f in picture.firings), default=1.0)
    up = AxisScale(0, longest * 1.15, _HOURS_BOTTOM, _HOURS_TOP)
    title = shortened(f"Hours per firing of {picture.kiln}", WIDTH, SIZES["title"], True)
    marks = heading(title, shortened(picture.words, WIDTH, SIZES["small"]))
    marks += axis_left(up, _HOURS_LEFT, WIDTH - 4, "hours", 5)
    if picture.usual_hours is not None:
        y = up(picture.usual_hours)
        marks += [
            line((_HOURS_LEFT, y), (WIDTH - 4, y), "edge"),
            Words(WIDTH - 6, y + 14, "as it was at first", "small", "end", halo=True),
        ]
    places = [(across(i), up(f.hours)) for i, f in enumerate(picture.firings, start=1)]
    if count > 1:
        marks.append(Path(tuple(places), "kiln-thin"))
    marks += [Disc(x, y, 4, "kiln-open") for x, y in places]
    last = -1e9
    for firing, (x, _) in zip(picture.firings, places, strict=True):
        width = text_width(firing.label, SIZES["small"])
        left = min(max(x - width / 2, 0.0), WIDTH - width)
        if left > last + 8:
            marks.append(small(left, _HOURS_BOTTOM + 18, firing.label))
            last = left + width
    rows = tuple((f.label, rounded(f.hours, 1), f.cone) for f in picture.firings)
    return Figure(
        "hours", title, f"{count} firings of {picture.kiln}. {picture.words}", WIDTH, _HOURS_BOTTOM + 30, tuple(marks),
        DataTable(("firing", "hours", "cone"), rows),
    )  # fmt: skip


# The shelf of a kiln with its tiles.

_SHELF_TOP, _SIDE = 60.0, 330.0


def shelf_figure(picture: ShelfPicture, units: UnitChoice) -> Figure:
    """Draw the picture; its scale bar is in the reader's unit of length."""
    room, gap = picture.interior, picture.wall_clearance_mm
    depth = room.depth_mm or room.width_mm
    scale = _SIDE / max(room.width_mm, depth)
    right, bottom = room.width_mm * scale, _SHELF_TOP + depth * scale
    middle: Point = (right / 2 + 4, _SHELF_TOP + depth * scale / 2)
    marks = heading(shortened(f"One shelf of {picture.kiln}, from above", WIDTH, SIZES["title"], True), picture.words)
    marks.append(Path(outline(room.outline, right, depth * scale, middle), "plain", closed=True))
    if gap > 0:
        inner = outline(room.outline, (room.width_mm - 2 * gap) * scale, (depth - 2 * gap) * scale, middle)
        marks.append(Path(inner, "edge", closed=True))
    marks += [_handle(piece, middle, scale) for piece in picture.pieces if piece.handle_mm]
    for piece in picture.pieces:
        marks += _piece(piece, middle, scale)
    marks += _bar(right + 40, bottom, scale, units)
    notes = [f"{room.shape} inside,", f"{length_text(room.width_mm, units)} across"]
    if gap:
        notes += [f"dashed line: {length_text(gap, units)}", "off the wall"]
    marks += [small(right + 40, _SHELF_TOP + 14 + 15 * i, note) for i, note in enumerate(notes)]
    rows = tuple((p.name, *(rounded(mm, 0) for mm in (p.x_mm, p.y_mm, p.width_mm, p.depth_mm))) for p in picture.pieces)
    heads = ("piece", "mm right of the middle", "mm behind the middle", "width, mm", "depth, mm")
    words = f"Plan to scale of one shelf of {picture.kiln} with {len(picture.pieces)} pieces. {picture.words}"
    return Figure(
        "shelf", f"Shelf plan of {picture.kiln}", words, WIDTH, bottom + 12, tuple(marks), DataTable(heads, rows)
    )


def outline(shape: str, width: float, depth: float, middle: Point) -> tuple[Point, ...]:
    """Corners of a chamber seen from above; a circle as a polygon of many sides."""
    x, y = middle
    if shape == "square":
        return tuple((x + a * width / 2, y + b * depth / 2) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    sides = SIDES.get(shape, 90)
    turn = math.pi / sides if shape in SIDES else 0.0
    radius = width / 2 / (math.cos(turn) if shape in SIDES else 1.0)
    angles = (turn + 2 * math.pi * i / sides for i in range(sides))
    return tuple((x + radius * math.cos(angle), y + radius * math.sin(angle)) for angle in angles)


def _handle(piece: PlacedPiece, middle: Point, scale: float) -> Strokes:
    x, y = middle[0] + piece.x_mm * scale, middle[1] - piece.y_mm * scale
    turn, reach = math.radians(piece.turn_deg), (piece.width_mm / 2 + piece.handle_mm) * scale
    return Strokes((((x, y), (x + reach * math.cos(turn), y - reach * math.sin(turn))),), "handle")


def _piece(piece: PlacedPiece, middle: Point, scale: float) -> list[Mark]:
    x, y = middle[0] + piece.x_mm * scale, middle[1] - piece.y_mm * scale
    width, depth = piece.width_mm * scale, piece.depth_mm * scale
    shape = (
        Disc(x, y, width / 2, "clay-open") if piece.shape == "round"
        else Box(x - width / 2, y - depth / 2, width, depth, "clay-open", 1)
    )  # fmt: skip
    named = text_width(piece.name, SIZES["small"]) < width - 4
    return [shape, *([Words(x, y + 4, piece.name, "small", "middle")] if named else [])]


def _bar(x: float, y: float, scale: float, units: UnitChoice) -> list[Mark]:
    length_mm = 100.0 if units.length == "mm" else convert(4.0, "in", "mm", "length")
    end = x + length_mm * scale
    return [
        Strokes((((x, y - 4), (end, y - 4)), ((x, y - 9), (x, y + 1)), ((end, y - 9), (end, y + 1))), "axis"),
        small(x, y - 14, length_text(length_mm, units)),
    ]


# Small drawings beside a question: the faces of outlets, and how a witness cone stands after the firing.
#
# The faces are drawn from memory of how such outlets look, as plain shapes; the number on the outlet's own face
# decides.

_UPRIGHT_LEFT: Final = '<rect class="m-solid" x="19" y="20" width="4" height="15"/>'
_UPRIGHT_RIGHT: Final = '<rect class="m-solid" x="41" y="20" width="4" height="15"/>'
_T_LEFT: Final = _UPRIGHT_LEFT + '<rect class="m-solid" x="12" y="25.5" width="8" height="4"/>'
_LYING_RIGHT: Final = '<rect class="m-solid" x="38" y="25.5" width="13" height="4"/>'
_HOLE: Final = '<circle class="m-solid" cx="32" cy="46" r="4.5"/>'
_HOLE_ABOVE: Final = '<circle class="m-solid" cx="32" cy="14" r="4.5"/>'
_L_LEFT: Final = '<path class="m-solid" d="M17 20h10v4h-6v12h-4z"/>'
_L_BELOW: Final = '<path class="m-solid" d="M26 40h4v8h8v4H26z"/>'
_STRAIGHT_BELOW: Final = '<rect class="m-solid" x="30" y="40" width="4" height="14"/>'
_SLANTING: Final = (
    '<path class="m-solid" d="M16 30l8-13 3.4 2.1-8 13z"/><path class="m-solid" d="M48 30l-8-13-3.4 2.1 8 13z"/>'
)
_TALL_SIDES: Final = (
    '<rect class="m-solid" x="14" y="25" width="4" height="15"/>'
    '<rect class="m-solid" x="46" y="25" width="4" height="15"/>'
)
_FACES: Final = {
    "5-15": _UPRIGHT_LEFT + _UPRIGHT_RIGHT + _HOLE,
    "5-20": _T_LEFT + _UPRIGHT_RIGHT + _HOLE,
    "6-20": _T_LEFT + _LYING_RIGHT + _HOLE,
    "6-30": _L_LEFT + _UPRIGHT_RIGHT + _HOLE,
    "6-50": _UPRIGHT_LEFT + _UPRIGHT_RIGHT + _HOLE,
    "10-30": _SLANTING + _L_BELOW,
    "10-50": _SLANTING + _STRAIGHT_BELOW,
    "14-30": _TALL_SIDES + _HOLE_ABOVE + _L_BELOW,
    "14-50": _TALL_SIDES + _HOLE_ABOVE + _STRAIGHT_BELOW,
}
_LARGE: Final = frozenset({"6-30", "6-50", "10-30", "10-50", "14-30", "14-50"})
_CONES: Final = {
    "stands": "M20 56L26 8l6 48z",
    "soft": "M20 56C21 34 24 22 38 12C33 24 31 38 32 56z",
    "half": "M20 56C20 26 30 14 54 26C38 25 32 36 32 56z",
    "down": "M20 56C18 16 44 0 58 54C46 24 33 26 32 56z",
}


def outlet_face(name: str) -> str:
    """The face of an outlet as SVG; empty where none is drawn. A large one has a ring inside its rim."""
    if name not in _FACES:
        return ""
    ring = '<circle class="m-frame" cx="32" cy="32" r="26"/>' if name in _LARGE else ""
    return _svg(f'<circle class="m-plain" cx="32" cy="32" r="30"/>{ring}{_FACES[name]}')


def cone_after(bend: str) -> str:
    """A witness cone on its shelf as SVG: standing, soft at its tip, half down or down; empty for another word."""
    if bend not in _CONES:
        return ""
    return _svg(f'<path class="m-axis" d="M4 57h56"/><path class="m-clay-band" d="{_CONES[bend]}"/>'
                f'<path class="m-clay-solid" d="{_CONES[bend]}"/>')  # fmt: skip


def _svg(inside: str) -> str:
    frame = 'class="gc face" viewBox="0 0 64 64" width="64" height="64" aria-hidden="true" focusable="false"'
    return f"<svg {frame}>{inside}</svg>"
