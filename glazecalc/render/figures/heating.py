"""A firing over time: what the kiln can do, what is planned, what was recorded, and where cones bend."""

from __future__ import annotations

import itertools

from glazecalc.render.figures.drawing import (
    SIZES,
    WIDTH,
    AxisScale,
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
from glazecalc.render.words import fahrenheit, rounded
from glazecalc.values.results.pictures import HeatingPicture, HoursPicture

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
    return words[:1].upper() + words[1:]


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
