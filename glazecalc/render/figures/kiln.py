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
    shortened,
    text_width,
    tick_step,
    tick_text,
    ticks,
)
from glazecalc.render.words import fahrenheit, length_text, rounded
from glazecalc.values.inputs import SIDES, UnitChoice
from glazecalc.values.results.pictures import HeatingPicture, HoursPicture, PlacedPiece, ShelfPicture
from glazecalc.values.texts import begun
from glazecalc.values.units import convert

_TOP, _BOTTOM, _LEFT = 76.0, 326.0, 38.0


def heating_figure(picture: HeatingPicture) -> Figure:
    """Draw the picture."""
    across, up = _scales(picture)
    marks = heading(_title(picture), shortened(_reading(picture), WIDTH, SIZES["small"]))
    marks += axis_left(up, _LEFT, across.end, "\N{DEGREE SIGN}C", 8)
    marks += _fahrenheit(up, across.end)
    if picture.limit is not None:
        y = up(picture.limit.degC)
        marks.append(Path(((across.start, y), (across.end, y)), "edge"))
        text = f"the maker's limit: cone {picture.limit.cone}"
        marks.append(Words(across.start + 6, y - 5, text, "small", colour="muted", halo=True))
    if picture.fastest:
        upper = [(across(p.x), up.held(p.high)) for p in picture.fastest]
        lower = [(across(p.x), up.held(p.low)) for p in reversed(picture.fastest)]
        line = tuple((across(p.x), up.held(p.value)) for p in picture.fastest)
        marks += [Path((*upper, *lower), "kiln-band", closed=True), Path(line, "kiln-line")]
        early = picture.fastest[len(picture.fastest) // 3]
        marks.append(
            Words(across(early.x), up(early.high) - 10, "full power", "label", "end", "kiln", bold=True, halo=True)
        )
    if picture.planned:
        marks.append(Path(tuple((across(p.hours), up(p.degC)) for p in picture.planned), "glaze-line"))
        x, y = _along([(across(p.hours), up(p.degC)) for p in picture.planned], 0.5)
        marks.append(Words(x - 10, y, "planned", "label", "end", "glaze", bold=True, halo=True))
    if picture.recorded:
        marks.append(Path(tuple((across(p.hours), up(p.degC)) for p in picture.recorded), "clay-line"))
        marks += [diamond(across(p.hours), up(p.degC), 4.5, "clay-open") for p in picture.recorded]
        x, y = _along([(across(p.hours), up(p.degC)) for p in picture.recorded], 0.4)
        marks.append(Words(x + 12, y + 8, "recorded", "label", "start", "clay", bold=True, halo=True))
    marks += _cones(across, up, picture)
    marks += axis_below(across, _BOTTOM, "hours from switching on", 12)
    return Figure("heating", _title(picture), _description(picture), WIDTH, _BOTTOM + 42, tuple(marks), _table(picture))


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
    marks: list[Mark] = [Strokes(tuple(((x, second(t)), (x + 4, second(t))) for t in places), "axis")]
    marks += [Words(x + 8, second(t) + 4, tick_text(t, step), "small", "start", "muted") for t in places]
    return [*marks, Words(WIDTH, up.end - 12, "\N{DEGREE SIGN}F", "small", "end", "muted")]


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


def _title(picture: HeatingPicture) -> str:
    return shortened(
        f"How {picture.kiln} heats" + (f" on {picture.where}" if picture.where else ""), 430, SIZES["title"], True
    )


def _reading(picture: HeatingPicture) -> str:
    parts = ["full power from cold with its 90 % interval" if picture.fastest else ""]
    parts += [picture.planned_words if picture.planned else "", picture.recorded_words if picture.recorded else ""]
    parts.append("circles: a cone bends" if picture.cones else "")
    words = "; ".join(part for part in parts if part)
    return begun(words)


def _description(picture: HeatingPicture) -> str:
    cones = ", ".join(f"cone {c.cone} after {rounded(c.hours, 1)} hours" for c in picture.cones)
    return f"Temperature over hours. {_reading(picture)}." + (f" Cones bend: {cones}." if cones else "")


def _table(picture: HeatingPicture) -> DataTable:
    def degrees(degC: float) -> tuple[str, str]:
        return rounded(degC, 0), rounded(fahrenheit(degC), 0)

    rows: list[tuple[str, ...]] = []
    step = max(1, len(picture.fastest) // 12)
    for p in picture.fastest[::step]:
        rows.append(("full power", rounded(p.x, 1), *degrees(p.value), f"{rounded(p.low, 0)} to {rounded(p.high, 0)}"))
    for name, points in (("planned", picture.planned), ("recorded", picture.recorded)):
        step = max(1, len(points) // 14)
        rows += [(name, rounded(p.hours, 1), *degrees(p.degC), "") for p in points[::step]]
    rows += [(f"cone {c.cone} bends", rounded(c.hours, 1), *degrees(c.degC), "") for c in picture.cones]
    return DataTable(
        ("what", "hours", "\N{DEGREE SIGN}C", "\N{DEGREE SIGN}F", "90 % interval, \N{DEGREE SIGN}C"), tuple(rows)
    )


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
            Path(((_HOURS_LEFT, y), (WIDTH - 4, y)), "edge"),
            Words(WIDTH - 6, y + 14, "as it was at first", "small", "end", halo=True),
        ]
    places = [(across(i), up(f.hours)) for i, f in enumerate(picture.firings, start=1)]
    if count > 1:
        marks.append(Path(tuple(places), "kiln-thin"))
    marks += [Disc(x, y, 4, "kiln-open") for x, y in places]
    marks += _days(picture, places)
    return Figure(
        "hours", title, _hours_description(picture), WIDTH, _HOURS_BOTTOM + 30, tuple(marks), _hours_table(picture)
    )


def _days(picture: HoursPicture, places: list[tuple[float, float]]) -> list[Mark]:
    marks: list[Mark] = []
    last = -1e9
    for firing, (x, _) in zip(picture.firings, places, strict=True):
        width = text_width(firing.label, SIZES["small"])
        left = min(max(x - width / 2, 0.0), WIDTH - width)
        if left > last + 8:
            marks.append(Words(left, _HOURS_BOTTOM + 18, firing.label, "small", colour="muted"))
            last = left + width
    return marks


def _hours_description(picture: HoursPicture) -> str:
    return f"{len(picture.firings)} firings of {picture.kiln}. {picture.words}"


def _hours_table(picture: HoursPicture) -> DataTable:
    return DataTable(
        ("firing", "hours", "cone"), tuple((f.label, rounded(f.hours, 1), f.cone) for f in picture.firings)
    )


# The shelf of a kiln with its tiles.

_SHELF_TOP, _SIDE = 60.0, 330.0


def shelf_figure(picture: ShelfPicture, units: UnitChoice) -> Figure:
    """Draw the picture; its scale bar is in the reader's unit of length."""
    room = picture.interior
    depth = room.depth_mm or room.width_mm
    scale = _SIDE / max(room.width_mm, depth)
    middle: Point = (room.width_mm * scale / 2 + 4, _SHELF_TOP + depth * scale / 2)
    bottom = _SHELF_TOP + depth * scale
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
        _shelf_description(picture),
        WIDTH,
        bottom + 12,
        tuple(marks),
        _shelf_table(picture),
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
    return [Words(x, _SHELF_TOP + 14 + 15 * i, line, "small", colour="muted") for i, line in enumerate(lines)]


def _shelf_description(picture: ShelfPicture) -> str:
    return f"Plan to scale of one shelf of {picture.kiln} with {len(picture.pieces)} pieces. {picture.words}"


def _shelf_table(picture: ShelfPicture) -> DataTable:
    rows = tuple(
        (p.name, rounded(p.x_mm, 0), rounded(p.y_mm, 0), rounded(p.width_mm, 0), rounded(p.depth_mm, 0))
        for p in picture.pieces
    )
    return DataTable(("piece", "mm right of the middle", "mm behind the middle", "width, mm", "depth, mm"), rows)


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
