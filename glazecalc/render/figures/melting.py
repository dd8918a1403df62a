"""The cone ruler: glaze, clay and kiln as bands against the cones, degC and degF beneath."""

from __future__ import annotations

from typing import Final

from glazecalc.render.figures.drawing import (
    SIZES,
    WIDTH,
    AxisScale,
    Box,
    DataTable,
    Figure,
    Mark,
    Path,
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
    RatioField,
    RulerBand,
    SilicaAluminaPicture,
    StiffnessPoint,
    ViscosityPicture,
)

_TOP, _ROW, _BAR = 84.0, 48.0, 14.0


def ruler_figure(picture: ConeRulerPicture, units: UnitChoice) -> Figure:
    """Draw the picture."""
    scale = AxisScale(*ruler_reach(picture), 4, WIDTH - 34)
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


def cone_ticks(
    scale: AxisScale, cones: tuple[ConeMark, ...], top: float, bottom: float, asked: str | None
) -> list[Mark]:
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


def _asked(scale: AxisScale, asked: ConeMark, bottom: float) -> list[Mark]:
    x = scale.held(asked.degC)
    return [
        Path(((x, _TOP - 4), (x, bottom)), "asked"),
        Words(x, _TOP - 8, asked.cone, "label", "middle", bold=True, halo=True),
        Words(x, _TOP - 24, "fired to", "small", "middle", halo=True),
    ]


def _notches(scale: AxisScale, picture: ConeRulerPicture, bottom: float) -> Strokes:
    """The line of the cone fired to, once more over each bar."""
    assert picture.asked is not None
    x = scale.held(picture.asked.degC)
    tops = [_TOP + 6 + i * _ROW + 17 for i in range(len(picture.bands))]
    return Strokes(tuple(((x, y), (x, y + _BAR + 4)) for y in tops), "notch")


def _band(scale: AxisScale, y: float, band: RulerBand) -> list[Mark]:
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


def _fahrenheit(scale: AxisScale, y: float) -> list[Mark]:
    low, high = fahrenheit(scale.low), fahrenheit(scale.high)
    places, step = ticks(low, high, 9), tick_step(low, high, 9)
    second = AxisScale(low, high, scale.start, scale.end)
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
    across = AxisScale(curve[0].x, curve[-1].x, _LEFT, WIDTH - 10)
    lowest = min((picture.window[0] if picture.window else 2.0) - 1.0, min(p.low for p in curve))
    highest = min(8.0, max(p.high for p in curve))
    up = AxisScale(lowest, highest, _BOTTOM, _MELT_TOP)
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
    read = AxisScale(low, high, across.start, across.end)
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


def _window(across: AxisScale, up: AxisScale, window: tuple[float, float]) -> tuple[list[Mark], list[Mark]]:
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


def _curve(across: AxisScale, up: AxisScale, curve: list[StiffnessPoint]) -> list[Mark]:
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


# A rough sign of the surface: one strip of silica per alumina with this glaze's mark.

_STRIP_TOP, _STRIP_BOTTOM = 104.0, 134.0
_STRIP_REACH: Final = (3.0, 16.0)
"""What the strip shows at least; the last band's name has room."""
_STRIP_MOST: Final = 30.0
"""A glaze with more silica per alumina stands at the strip's end."""


def silica_alumina_figure(picture: SilicaAluminaPicture) -> Figure:
    """Draw the picture."""
    at = min(picture.ratio, _STRIP_MOST)
    across = AxisScale(min(_STRIP_REACH[0], at), max(_STRIP_REACH[1], at), 4, WIDTH - 4)
    marks = heading("Matte or glossy? A rough sign", shortened(picture.guide, WIDTH, SIZES["small"]))
    for field in picture.fields:
        marks += _surface_band(across, field)
    marks += axis_below(across, _STRIP_BOTTOM, "silica per alumina, moles")
    marks.append(diamond(across(at), (_STRIP_TOP + _STRIP_BOTTOM) / 2, 9, "glaze"))
    name = shortened(picture.recipe, 200, SIZES["label"], bold=True)
    half = text_width(name, SIZES["label"], bold=True) / 2
    marks.append(
        Words(min(max(across(at), half), WIDTH - half), 68, name, "label", "middle", "glaze", bold=True, halo=True)
    )
    return Figure(
        "silica-alumina",
        "Matte or glossy",
        f"{picture.recipe}: silica per alumina {rounded(picture.ratio, 1)}. {picture.guide}",
        WIDTH,
        _STRIP_BOTTOM + 42,
        tuple(marks),
        _strip_table(picture),
    )


def _surface_band(across: AxisScale, field: RatioField) -> list[Mark]:
    """A band as a washed box with its name above; what lies between bands stays bare."""
    left = across.start if field.from_ratio is None else across(field.from_ratio)
    right = across.end if field.to_ratio is None else across(field.to_ratio)
    return [
        Box(left, _STRIP_TOP, right - left, _STRIP_BOTTOM - _STRIP_TOP, "wash"),
        Strokes((((left, _STRIP_TOP), (left, _STRIP_BOTTOM)), ((right, _STRIP_TOP), (right, _STRIP_BOTTOM))), "edge"),
        Words(inside((left + right) / 2, field.words), _STRIP_TOP - 8, field.words, "small", "middle", "muted"),
    ]


def _strip_table(picture: SilicaAluminaPicture) -> DataTable:
    rows = [(picture.recipe, rounded(picture.ratio, 1))]
    for f in picture.fields:
        low = "" if f.from_ratio is None else rounded(f.from_ratio, 1)
        high = "" if f.to_ratio is None else rounded(f.to_ratio, 1)
        rows.append((f.words, f"{low or 'below'} {'to ' if low and high else ''}{high or 'and above'}"))
    return DataTable(("glaze or surface", "silica per alumina"), tuple(rows))
