"""The cone ruler: glaze, clay and kiln as bands against the cones, degC and degF beneath."""

from __future__ import annotations

import itertools
from typing import Final

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
    Scale,
    Strokes,
    Words,
    axis_below,
    axis_left,
    diamond,
    hatch,
    hatched_box,
    heading,
    inside,
    shortened,
    text_width,
    tick_step,
    tick_text,
    ticks,
)
from glazecalc.render.words import fahrenheit, rounded
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.pictures import (
    ConeMark,
    ConeRulerPicture,
    CurvePoint,
    GlazePoint,
    RatioField,
    RulerBand,
    SilicaAluminaPicture,
    ViscosityPicture,
)

_TOP, _ROW, _BAR = 84.0, 48.0, 14.0


def ruler_figure(picture: ConeRulerPicture, units: UnitChoice) -> Figure:
    """Draw the picture."""
    scale = Scale(*ruler_reach(picture), 4, WIDTH - 34)
    bottom = _TOP + 10 + _ROW * len(picture.bands)
    marks = heading("Where it melts, what suits the clay, what the kiln reaches", _reading(picture, units))
    marks += cone_ticks(scale, picture.cones, _TOP, bottom, None if picture.asked is None else picture.asked.cone)
    if picture.asked is not None:
        marks += _asked(scale, picture.asked, bottom)
    for i, band in enumerate(picture.bands):
        marks += _band(scale, _TOP + 6 + i * _ROW, band)
    if picture.asked is not None:
        marks.append(_notches(scale, picture, bottom))
    marks += axis_below(scale, bottom, "", 9) + _fahrenheit(scale, bottom + 20)
    return Figure(
        "cones",
        "Cone ruler: glaze, clay and kiln",
        _description(picture),
        WIDTH,
        bottom + 46,
        tuple(marks),
        _table(picture),
    )


def ruler_reach(picture: ConeRulerPicture) -> tuple[float, float]:
    """Ends of the temperature axis, on whole tens [degC]."""
    lows = [b.low_degC if b.kind != "kiln" else b.low_degC - 40 for b in picture.bands]
    places = [*lows, *(b.high_degC for b in picture.bands), *([picture.asked.degC] if picture.asked else [])]
    return round((min(places) - 40) / 10) * 10, round((max(places) + 40) / 10) * 10


def cone_ticks(scale: Scale, cones: tuple[ConeMark, ...], top: float, bottom: float, asked: str | None) -> list[Mark]:
    """The cones above a temperature axis, as many as have room; the one asked for always."""
    shown = [c for c in cones if scale.low <= c.degC <= scale.high]
    named: list[ConeMark] = [c for c in shown if c.cone == asked]
    for cone in shown:
        width = text_width(cone.cone, SIZES["small"], bold=True)
        if all(abs(scale(cone.degC) - scale(n.degC)) > width + 5 for n in named):
            named.append(cone)
    marks: list[Mark] = [Strokes(tuple(((scale(c.degC), top), (scale(c.degC), bottom)) for c in shown), "grid")]
    for cone in named:
        if cone.cone != asked:
            marks.append(Words(scale(cone.degC), top - 8, cone.cone, "small", "middle", "muted"))
    marks.append(Words(0, top - 24, "cone", "small", colour="muted"))
    return marks


def _asked(scale: Scale, asked: ConeMark, bottom: float) -> list[Mark]:
    x = scale.held(asked.degC)
    return [
        Path(((x, _TOP - 4), (x, bottom)), "asked"),
        Words(x, _TOP - 8, asked.cone, "label", "middle", bold=True, halo=True),
        Words(x, _TOP - 24, "fired to", "small", "middle", halo=True),
    ]


def _notches(scale: Scale, picture: ConeRulerPicture, bottom: float) -> Strokes:
    """The line of the cone fired to, once more over each bar."""
    assert picture.asked is not None
    x = scale.held(picture.asked.degC)
    tops = [_TOP + 6 + i * _ROW + 17 for i in range(len(picture.bands))]
    return Strokes(tuple(((x, y), (x, y + _BAR + 4)) for y in tops), "notch")


def _band(scale: Scale, y: float, band: RulerBand) -> list[Mark]:
    label = shortened(f"{band.name} ({band.words})", WIDTH - 12, SIZES["label"])
    marks: list[Mark] = [Words(8, y + 13, label, "label", colour=band.kind, halo=True)]
    top = y + 19
    if band.kind == "kiln":
        sure, most = scale.held(band.low_degC), scale.held(band.high_degC)
        marks.append(Box(scale.start, top, sure - scale.start, _BAR, "kiln", 0))
        marks.append(Box(sure, top, max(most - sure, 1), _BAR, "kiln-open", 0))
        marks.append(hatched_box(sure, top, most - sure, _BAR, "kiln-hatch", -60, 5))
        return marks
    left, right = scale.held(band.low_degC), scale.held(band.high_degC)
    style = "glaze" if band.kind == "glaze" else "clay-open"
    marks.append(Box(left, top, max(right - left, 2), _BAR, style, 2))
    if band.kind == "clay":
        marks.append(hatched_box(left, top, right - left, _BAR, "clay-hatch", 60, 5))
    return marks


def _fahrenheit(scale: Scale, y: float) -> list[Mark]:
    low, high = fahrenheit(scale.low), fahrenheit(scale.high)
    places, step = ticks(low, high, 9), tick_step(low, high, 9)
    second = Scale(low, high, scale.start, scale.end)
    marks: list[Mark] = [
        Words(WIDTH, y - 2, "\N{DEGREE SIGN}C", "small", "end", "muted"),
        Words(WIDTH, y + 22, "\N{DEGREE SIGN}F", "small", "end", "muted"),
        Strokes(
            ((((scale.start, y + 4)), (scale.end, y + 4)), *(((second(t), y + 4), (second(t), y + 9)) for t in places)),
            "axis",
        ),
    ]
    marks += [
        Words(inside(second(t), tick_text(t, step)), y + 22, tick_text(t, step), "small", "middle", "muted")
        for t in places
    ]
    return marks


def _reading(picture: ConeRulerPicture, units: UnitChoice) -> str:
    fast = picture.rate_degC_per_h * (9 / 5 if units.temperature == "F" else 1)
    rate = f"{rounded(fast, 0)} \N{DEGREE SIGN}{units.temperature} per hour at the end"
    return f"The three bands should meet at the cone fired to. Cones as they bend when heated at {rate}."


def _description(picture: ConeRulerPicture) -> str:
    parts = [f"{b.name} ({b.words}): {_span(b)} degrees Celsius" for b in picture.bands]
    asked = f"Fired to cone {picture.asked.cone}, {rounded(picture.asked.degC, 0)}. " if picture.asked else ""
    return asked + ". ".join(parts) + "."


def _span(band: RulerBand) -> str:
    low, high = rounded(band.low_degC, 0), rounded(band.high_degC, 0)
    return f"up to {low} surely, {high} at most" if band.kind == "kiln" else f"{low} to {high}"


def _table(picture: ConeRulerPicture) -> DataTable:
    def both(degC: float) -> tuple[str, str]:
        return rounded(degC, 0), rounded(fahrenheit(degC), 0)

    rows = [(b.name, b.words, *both(b.low_degC), *both(b.high_degC)) for b in picture.bands]
    if picture.asked is not None:
        rows.append((f"cone {picture.asked.cone}", "fired to", *both(picture.asked.degC), *both(picture.asked.degC)))
    return DataTable(
        ("band", "how it is known", "from \N{DEGREE SIGN}C", "from \N{DEGREE SIGN}F", "to \N{DEGREE SIGN}C",
         "to \N{DEGREE SIGN}F"), tuple(rows),
    )  # fmt: skip


# Viscosity against temperature: where the melt levels, and where it runs.

_MELT_TOP, _BOTTOM, _LEFT = 104.0, 312.0, 30.0
_READING: Final = (
    "A glaze levels in the pale band. Above it, it is still stiff; below it, it is likely to run off the pot."
)


_PLAIN_READING: Final = "The lower the curve, the more fluid the melt; each step is ten times."


def viscosity_figure(picture: ViscosityPicture, units: UnitChoice) -> Figure:
    """Draw the picture."""
    curve = [p for p in picture.curve if p.value <= 8.5]
    across = Scale(curve[0].x, curve[-1].x, _LEFT, WIDTH - 10)
    lowest = min((picture.window[0] if picture.window else 2.0) - 1.0, min(p.low for p in curve))
    highest = min(8.0, max(p.high for p in curve))
    up = Scale(lowest, highest, _BOTTOM, _MELT_TOP)
    marks = heading("How fluid the melt is", _READING if picture.window else _PLAIN_READING)
    ground, names = _window(across, up, picture.window) if picture.window else ([], [])
    marks += ground
    marks += axis_left(up, _LEFT, across.end, "", 6)
    marks.append(Words(0, _MELT_TOP - 46, "log10 of viscosity in Pa.s", "small", colour="muted"))
    marks += cone_ticks(
        across, picture.cones, _MELT_TOP, _BOTTOM, None if picture.asked is None else picture.asked.cone
    )
    if picture.asked is not None and across.low <= picture.asked.degC <= across.high:
        x = across(picture.asked.degC)
        marks += [
            Path(((x, _MELT_TOP), (x, _BOTTOM)), "asked"),
            Words(x, _MELT_TOP - 8, picture.asked.cone, "label", "middle", bold=True),
        ]
    marks += names
    inside = [p for p in curve if p.low <= highest]
    marks += _curve(across, up, inside)
    early = inside[len(inside) // 3]
    name = shortened(picture.recipe, 200, SIZES["label"], bold=True)
    place = across(early.x) + 8, max(up.held(early.high) - 8, _MELT_TOP + 16)
    marks.append(Words(*place, name, "label", "start", "glaze", bold=True, halo=True))
    low, high = across.low, across.high
    if units.temperature == "F":
        low, high = fahrenheit(low), fahrenheit(high)
    read = Scale(low, high, across.start, across.end)
    marks += axis_below(read, _BOTTOM, f"temperature, \N{DEGREE SIGN}{units.temperature}")
    return Figure(
        "viscosity",
        f"Viscosity of {picture.recipe}",
        _melt_description(picture, units),
        WIDTH,
        _BOTTOM + 42,
        tuple(marks),
        _melt_table(picture, units),
    )


def _window(across: Scale, up: Scale, window: tuple[float, float]) -> tuple[list[Mark], list[Mark]]:
    runs, stiff = up.held(window[0]), up.held(window[1])
    width = across.end - across.start
    below = ((across.start, runs), (across.end, runs), (across.end, up.start), (across.start, up.start))
    ground: list[Mark] = [
        Box(across.start, stiff, width, runs - stiff, "wash"),
        hatch(below, "hatch", 45, 11),
        Strokes((((across.start, stiff), (across.end, stiff)), ((across.start, runs), (across.end, runs))), "edge"),
    ]
    names: list[Mark] = [
        Words(across.start + 8, stiff - 6, "still stiff", "small", halo=True),
        Words(across.start + 8, (stiff + runs) / 2 + 4, "levels and stays put", "small", bold=True, halo=True),
        Words(across.start + 8, runs + 15, "likely to run", "small", halo=True),
    ]
    return ground, names


def _curve(across: Scale, up: Scale, curve: list[CurvePoint]) -> list[Mark]:
    upper = [(across(p.x), up.held(p.high)) for p in curve]
    lower = [(across(p.x), up.held(p.low)) for p in reversed(curve)]
    middle = tuple((across(p.x), up(p.value)) for p in curve if up.low <= p.value <= up.high)
    return [Path((*upper, *lower), "glaze-band", closed=True), Path(middle, "glaze-line")]


def _melt_description(picture: ViscosityPicture, units: UnitChoice) -> str:
    lead = f"Log10 viscosity of {picture.recipe} against temperature with its 90 % interval."
    if picture.window is None:
        first, last = picture.curve[0], picture.curve[-1]
        return (
            f"{lead} It falls from {rounded(first.value, 1)} at {_degrees(first.x, units)} to {rounded(last.value, 1)} "
            f"at {_degrees(last.x, units)} {_SCALES[units.temperature]}."
        )
    inside = [p for p in picture.curve if picture.window[0] <= p.value <= picture.window[1]]
    where = (
        f"{_degrees(inside[0].x, units, -1)} to {_degrees(inside[-1].x, units, -1)} {_SCALES[units.temperature]}"
        if inside
        else "no temperature shown"
    )
    return f"{lead} It levels and stays put, between {picture.window[0]:g} and {picture.window[1]:g}, at {where}."


_SCALES: Final = {"C": "degrees Celsius", "F": "degrees Fahrenheit"}


def _degrees(degC: float, units: UnitChoice, decimals: int = 0) -> str:
    return rounded(fahrenheit(degC) if units.temperature == "F" else degC, decimals)


def _melt_table(picture: ViscosityPicture, units: UnitChoice) -> DataTable:
    step = max(1, len(picture.curve) // 12)
    rows = tuple(
        (_degrees(p.x, units), rounded(p.value, 1), rounded(p.low, 1), rounded(p.high, 1))
        for p in picture.curve[::step]
    )
    return DataTable((f"\N{DEGREE SIGN}{units.temperature}", "log10 viscosity", "from", "to"), rows)


# The ruler of silica per alumina: this glaze, the studio's others, and upright bands of surface; silica stands upwards.

_RATIO_TOP, _RATIO_BOTTOM, _RATIO_LEFT = 76.0, 352.0, 30.0
_RATIO_LEAST: Final = 18.0
"""The ruler reaches at least this far, so that the name of its last band has room."""
_RATIO_MOST: Final = 30.0
"""Glazes with more silica per alumina stand at the ruler's end."""
_Rect = tuple[float, float, float, float]


def silica_alumina_figure(picture: SilicaAluminaPicture) -> Figure:
    """Draw the picture."""
    top_silica = max(6.0, max((p.silica for p in picture.points), default=0.0) * 1.2)
    far = max((_ratio(p) for p in picture.points), default=0.0) * 1.06
    across = Scale(0, min(max(_RATIO_LEAST, far), _RATIO_MOST), _RATIO_LEFT, WIDTH - 4)
    up = Scale(0, top_silica, _RATIO_BOTTOM, _RATIO_TOP)
    marks = heading(
        "Silica per alumina: where the surface usually lies", shortened(picture.guide, WIDTH, SIZES["small"])
    )
    marks += _doubts(across, picture.fields)
    marks += axis_left(up, _RATIO_LEFT, WIDTH - 4, "silica, moles per mole of flux")
    taken: list[_Rect] = []
    marks += _field_names(across, picture.fields, taken)
    marks += axis_below(across, _RATIO_BOTTOM, "silica per alumina, moles")
    marks += _points(across, up, picture.points, taken)
    return Figure(
        "silica-alumina",
        "Silica per alumina",
        _ratio_description(picture),
        WIDTH,
        _RATIO_BOTTOM + 42,
        tuple(marks),
        _ratio_table(picture),
    )


def _ratio(point: GlazePoint) -> float:
    return min(point.silica / point.alumina, _RATIO_MOST) if point.alumina > 0 else _RATIO_MOST


def _doubts(across: Scale, fields: tuple[RatioField, ...]) -> list[Mark]:
    """The stretches between neighbouring bands, hatched: there either may happen."""
    marks: list[Mark] = []
    for field, following in itertools.pairwise(fields):
        if field.to_ratio is None or following.from_ratio is None:
            continue
        left, right = across(field.to_ratio), across(following.from_ratio)
        top, bottom = _RATIO_TOP, _RATIO_BOTTOM
        marks.append(hatch(((left, top), (right, top), (right, bottom), (left, bottom)), "hatch", 20, 7))
        marks += [Path(((x, top), (x, bottom)), "edge") for x in (left, right)]
    return marks


def _field_names(across: Scale, fields: tuple[RatioField, ...], taken: list[_Rect]) -> list[Mark]:
    """Each band's name at the head of its middle, none over its neighbour's."""
    marks: list[Mark] = []
    free = across.start
    for field in fields:
        low, high = field.from_ratio or 0.0, field.to_ratio or across.high
        width = text_width(field.words, SIZES["small"], bold=True)
        middle = across((low + high) / 2)
        left = min(max(middle - width / 2, free), across.end - width)
        free = left + width + 8
        base = _RATIO_TOP + 17
        taken.append((left - 3, base - 13, left + width + 3, base + 5))
        marks.append(Words(left, base, field.words, "small", bold=True, colour="muted", halo=True))
    return marks


def _points(across: Scale, up: Scale, points: tuple[GlazePoint, ...], taken: list[_Rect]) -> list[Mark]:
    marks: list[Mark] = []
    ordered = sorted(points, key=lambda p: not p.this)
    for point in ordered:
        x, y = across(_ratio(point)), up(point.silica)
        taken.append((x - 6, y - 6, x + 6, y + 6))
    for point in ordered:
        marks += _label(across, across(_ratio(point)), up(point.silica), point, taken)
    for point in reversed(ordered):
        x, y = across(_ratio(point)), up(point.silica)
        marks.append(diamond(x, y, 9, "glaze") if point.this else Disc(x, y, 4.5, "other"))
    return marks


def _label(across: Scale, x: float, y: float, point: GlazePoint, taken: list[_Rect]) -> list[Mark]:
    """The name beside its point, further off on a leader where it is crowded; none where nothing is free."""
    size = SIZES["label"] if point.this else SIZES["small"]
    text = shortened(point.name, 170, size, point.this)
    width, near = text_width(text, size, point.this), 12.0 if point.this else 8.0
    for off in (near, 20.0, 32.0, 46.0):
        for left, base in _places(x, y, width, off):
            spot = (left, base - size, left + width, base + 3)
            inside = (
                left >= across.start + 2
                and left + width <= across.end
                and base - 8 > _RATIO_TOP
                and base < _RATIO_BOTTOM - 2
            )
            if inside and not any(_overlap(spot, other) for other in taken):
                taken.append(spot)
                leader = [Path(((x, y), (min(max(x, left), left + width), base - 4)), "leader")] if off > near else []
                colour = "glaze" if point.this else "ink"
                words = Words(left, base, text, "label" if point.this else "small", "start", colour, point.this, True)
                return [*leader, words]
    return []


def _places(x: float, y: float, width: float, off: float) -> list[Point]:
    """Where a name may stand about its point, best first: beside, above and below, then at the corners."""
    return [
        (x + off, y + 4), (x - off - width, y + 4), (x - width / 2, y - off), (x - width / 2, y + off + 9),
        (x + off - 2, y - off + 2), (x + off - 2, y + off + 7), (x - off - width, y - off),
        (x - off - width, y + off + 7),
    ]  # fmt: skip


def _overlap(a: _Rect, b: _Rect) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _ratio_description(picture: SilicaAluminaPicture) -> str:
    this = [p for p in picture.points if p.this]
    lead = "; ".join(f"{p.name}: silica per alumina {rounded(_ratio(p), 1)}" for p in this)
    count = len(picture.points) - len(this)
    others = f"; {count} other glazes of the studio are shown" if count else ""
    return f"{lead or 'Glazes of the studio'}{others}. {picture.guide}"


def _ratio_table(picture: SilicaAluminaPicture) -> DataTable:
    rows = [
        (p.name, rounded(p.silica, 2), rounded(p.alumina, 3), rounded(p.silica / p.alumina, 1) if p.alumina > 0 else "")
        for p in sorted(picture.points, key=lambda p: (not p.this, p.name))
    ]
    for f in picture.fields:
        low = "" if f.from_ratio is None else rounded(f.from_ratio, 1)
        high = "" if f.to_ratio is None else rounded(f.to_ratio, 1)
        rows.append(
            (f"band: {f.words}", "", "", f"{low or 'below'} {'to ' if low and high else ''}{high or 'and above'}")
        )
    return DataTable(("glaze", "SiO2", "Al2O3", "silica per alumina"), tuple(rows))
