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
    line,
    shortened,
    small,
    text_width,
)
from glazecalc.render.words import both_degrees, fahrenheit, rounded
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.pictures import (
    ConeMark,
    ConeRulerPicture,
    RatioField,
    RulerBand,
    SilicaAluminaPicture,
    ViscosityPicture,
)

_TOP, _ROW, _BAR = 84.0, 48.0, 14.0


def ruler_figure(picture: ConeRulerPicture, units: UnitChoice) -> Figure:
    """Draw the picture."""
    scale = AxisScale(*ruler_reach(picture), 4, WIDTH - 34)
    bottom, asked = _TOP + 10 + _ROW * len(picture.bands), picture.asked
    fast = picture.rate_degC_per_h * (9 / 5 if units.temperature == "F" else 1)
    rate = f"{rounded(fast, 0)} \N{DEGREE SIGN}{units.temperature} per hour at the end"
    reading = f"The three bands should meet at the cone fired to. Cones as they bend when heated at {rate}."
    marks = heading("Where it melts, what suits the clay, what the kiln reaches", reading)
    marks += _cone_ticks(scale, picture.cones, _TOP, bottom, asked)
    if asked is not None:
        x = scale.held(asked.degC)
        marks += [
            line((x, _TOP - 4), (x, bottom), "asked"),
            Words(x, _TOP - 8, asked.cone, "label", "middle", bold=True, halo=True),
            Words(x, _TOP - 24, "fired to", "small", "middle", halo=True),
        ]
    tops = [_TOP + 6 + i * _ROW for i in range(len(picture.bands))]
    for top, band in zip(tops, picture.bands, strict=True):
        marks += _band(scale, top, band)
    if asked is not None:  # the line of the cone fired to, once more over each bar
        x = scale.held(asked.degC)
        marks.append(Strokes(tuple(((x, top + 17), (x, top + 17 + _BAR + 4)) for top in tops), "notch"))
    in_F = AxisScale(fahrenheit(scale.low), fahrenheit(scale.high), scale.start, scale.end)
    marks += axis_below(scale, bottom, "", 9)
    marks += [small(WIDTH, bottom + at, f"\N{DEGREE SIGN}{of}", "end") for of, at in (("C", 18), ("F", 42))]
    marks += axis_below(in_F, bottom + 24, "", 9)
    spans = [f"{b.name} ({b.words}): {_span(b)} degrees Celsius" for b in picture.bands]
    told = f"Fired to cone {asked.cone}, {rounded(asked.degC, 0)}. " if asked else ""
    return Figure(
        "cones", "Cone ruler: glaze, clay and kiln", f"{told}{'. '.join(spans)}.", WIDTH, bottom + 46, tuple(marks),
        _ruler_table(picture),
    )  # fmt: skip


def ruler_reach(picture: ConeRulerPicture) -> tuple[float, float]:
    """Ends of the temperature axis, on whole tens [degC]."""
    lows = [b.low_degC if b.kind != "kiln" else b.low_degC - 40 for b in picture.bands]
    places = [*lows, *(b.high_degC for b in picture.bands), *([picture.asked.degC] if picture.asked else [])]
    return round((min(places) - 40) / 10) * 10, round((max(places) + 40) / 10) * 10


def _cone_ticks(
    scale: AxisScale, cones: tuple[ConeMark, ...], top: float, bottom: float, asked: ConeMark | None
) -> list[Mark]:
    """The cones above a temperature axis, as many as have room; room is left for the one asked for."""
    shown = [c for c in cones if scale.low <= c.degC <= scale.high]
    named = [c for c in shown if asked is not None and c.cone == asked.cone]
    kept = len(named)
    for cone in shown:
        width = text_width(cone.cone, SIZES["small"], bold=True)
        if all(abs(scale(cone.degC) - scale(n.degC)) > width + 5 for n in named):
            named.append(cone)
    return [
        Strokes(tuple(((scale(c.degC), top), (scale(c.degC), bottom)) for c in shown), "grid"),
        *(small(scale(cone.degC), top - 8, cone.cone, "middle") for cone in named[kept:]),
        small(0, top - 24, "cone"),
    ]


def _band(scale: AxisScale, y: float, band: RulerBand) -> list[Mark]:
    label = shortened(f"{band.name} ({band.words})", WIDTH - 12, SIZES["label"])
    left, right, top = scale.held(band.low_degC), scale.held(band.high_degC), y + 19
    marks: list[Mark] = [Words(8, y + 13, label, "label", colour=band.kind, halo=True)]
    if band.kind == "kiln":
        return [
            *marks, Box(scale.start, top, left - scale.start, _BAR, "kiln"),
            Box(left, top, max(right - left, 1), _BAR, "kiln-open"),
            hatched_box(left, top, right - left, _BAR, "kiln-hatch", -60, 5),
        ]  # fmt: skip
    marks.append(Box(left, top, max(right - left, 2), _BAR, "glaze" if band.kind == "glaze" else "clay-open", 2))
    if band.kind == "clay":
        marks.append(hatched_box(left, top, right - left, _BAR, "clay-hatch", 60, 5))
    return marks


def _span(band: RulerBand) -> str:
    low, high = rounded(band.low_degC, 0), rounded(band.high_degC, 0)
    return f"up to {low} surely, {high} at most" if band.kind == "kiln" else f"{low} to {high}"


def _ruler_table(picture: ConeRulerPicture) -> DataTable:
    named = [(b.name, b.words, b.low_degC, b.high_degC) for b in picture.bands]
    if (asked := picture.asked) is not None:
        named.append((f"cone {asked.cone}", "fired to", asked.degC, asked.degC))
    ends = [f"{end} \N{DEGREE SIGN}{of}" for end in ("from", "to") for of in "CF"]
    rows = ((name, words, *both_degrees(low), *both_degrees(high)) for name, words, low, high in named)
    return DataTable(("band", "how it is known", *ends), tuple(rows))


# Viscosity against temperature: where the melt levels, and where it runs.

_MELT_TOP, _BOTTOM, _LEFT = 104.0, 312.0, 30.0
_READING: Final = (
    "A glaze levels in the pale band. Above it, it is still stiff; below it, it is likely to run off the pot."
)
_PLAIN_READING: Final = "The lower the curve, the more fluid the melt; each step is ten times."


def viscosity_figure(picture: ViscosityPicture, units: UnitChoice) -> Figure:
    """Draw the picture."""
    curve, asked = [p for p in picture.curve if p.value <= 8.5], picture.asked
    across = AxisScale(curve[0].x, curve[-1].x, _LEFT, WIDTH - 10)
    lowest = min((picture.window[0] if picture.window else 2.0) - 1.0, min(p.low for p in curve))
    up = AxisScale(lowest, min(8.0, max(p.high for p in curve)), _BOTTOM, _MELT_TOP)
    marks = heading("How fluid the melt is", _READING if picture.window else _PLAIN_READING)
    ground, names = _window(across, up, picture.window) if picture.window else ([], [])
    marks += [*ground, *axis_left(up, _LEFT, across.end, "", 6)]
    marks.append(small(0, _MELT_TOP - 46, "log10 of viscosity in Pa.s"))
    marks += _cone_ticks(across, picture.cones, _MELT_TOP, _BOTTOM, asked)
    if asked is not None and across.low <= asked.degC <= across.high:
        x = across(asked.degC)
        marks += [
            line((x, _MELT_TOP), (x, _BOTTOM), "asked"),
            Words(x, _MELT_TOP - 8, asked.cone, "label", "middle", bold=True),
        ]
    seen = [p for p in curve if p.low <= up.high]
    upper = [(across(p.x), up.held(p.high)) for p in seen]
    lower = [(across(p.x), up.held(p.low)) for p in reversed(seen)]
    middle = tuple((across(p.x), up(p.value)) for p in seen if up.low <= p.value <= up.high)
    early = seen[len(seen) // 3]
    name = shortened(picture.recipe, 200, SIZES["label"], bold=True)
    place = across(early.x) + 8, max(up.held(early.high) - 8, _MELT_TOP + 16)
    marks += [
        *names, Path((*upper, *lower), "glaze-band", closed=True), Path(middle, "glaze-line"),
        Words(*place, name, "label", "start", "glaze", bold=True, halo=True),
    ]  # fmt: skip
    read = AxisScale(_read(across.low, units), _read(across.high, units), across.start, across.end)
    marks += axis_below(read, _BOTTOM, f"temperature, \N{DEGREE SIGN}{units.temperature}")
    return Figure(
        "viscosity", f"Viscosity of {picture.recipe}", _melt_description(picture, units), WIDTH, _BOTTOM + 42,
        tuple(marks), _melt_table(picture, units),
    )  # fmt: skip


def _window(across: AxisScale, up: AxisScale, window: tuple[float, float]) -> tuple[list[Mark], list[Mark]]:
    runs, stiff = up.held(window[0]), up.held(window[1])
    left, right = across.start, across.end
    below = ((left, runs), (right, runs), (right, up.start), (left, up.start))
    ground: list[Mark] = [
        Box(left, stiff, right - left, runs - stiff, "wash"),
        hatch(below, "hatch", 45, 11),
        Strokes((((left, stiff), (right, stiff)), ((left, runs), (right, runs))), "edge"),
    ]
    names: list[Mark] = [
        Words(left + 8, stiff - 6, "still stiff", "small", halo=True),
        Words(left + 8, (stiff + runs) / 2 + 4, "levels and stays put", "small", bold=True, halo=True),
        Words(left + 8, runs + 15, "likely to run", "small", halo=True),
    ]
    return ground, names


def _read(degC: float, units: UnitChoice) -> float:
    return fahrenheit(degC) if units.temperature == "F" else degC


def _degrees(degC: float, units: UnitChoice, decimals: int = 0) -> str:
    return rounded(_read(degC, units), decimals)


def _melt_description(picture: ViscosityPicture, units: UnitChoice) -> str:
    lead = f"Log10 viscosity of {picture.recipe} against temperature with its 90 % interval."
    scale = {"C": "degrees Celsius", "F": "degrees Fahrenheit"}[units.temperature]
    if picture.window is None:
        first, last = picture.curve[0], picture.curve[-1]
        return (
            f"{lead} It falls from {rounded(first.value, 1)} at {_degrees(first.x, units)} to {rounded(last.value, 1)} "
            f"at {_degrees(last.x, units)} {scale}."
        )
    low, high = picture.window
    at = [_degrees(p.x, units, -1) for p in picture.curve if low <= p.value <= high]
    where = f"{at[0]} to {at[-1]} {scale}" if at else "no temperature shown"
    return f"{lead} It levels and stays put, between {low:g} and {high:g}, at {where}."


def _melt_table(picture: ViscosityPicture, units: UnitChoice) -> DataTable:
    rows = tuple(
        (_degrees(p.x, units), rounded(p.value, 1), rounded(p.low, 1), rounded(p.high, 1))
        for p in picture.curve[:: max(1, len(picture.curve) // 12)]
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
    place = min(max(across(at), half), WIDTH - half)
    marks.append(Words(place, 68, name, "label", "middle", "glaze", bold=True, halo=True))
    words = f"{picture.recipe}: silica per alumina {rounded(picture.ratio, 1)}. {picture.guide}"
    return Figure(
        "silica-alumina", "Matte or glossy", words, WIDTH, _STRIP_BOTTOM + 42, tuple(marks), _strip_table(picture)
    )


def _surface_band(across: AxisScale, field: RatioField) -> list[Mark]:
    """A band as a washed box with its name above; what lies between bands stays bare."""
    left = across.start if field.from_ratio is None else across(field.from_ratio)
    right = across.end if field.to_ratio is None else across(field.to_ratio)
    return [
        Box(left, _STRIP_TOP, right - left, _STRIP_BOTTOM - _STRIP_TOP, "wash"),
        Strokes(tuple(((x, _STRIP_TOP), (x, _STRIP_BOTTOM)) for x in (left, right)), "edge"),
        small(inside((left + right) / 2, field.words), _STRIP_TOP - 8, field.words, "middle"),
    ]


def _strip_table(picture: SilicaAluminaPicture) -> DataTable:
    rows = [(picture.recipe, rounded(picture.ratio, 1))]
    for f in picture.fields:
        low = "" if f.from_ratio is None else rounded(f.from_ratio, 1)
        high = "" if f.to_ratio is None else rounded(f.to_ratio, 1)
        rows.append((f.words, f"{low or 'below'} {'to ' if low and high else ''}{high or 'and above'}"))
    return DataTable(("glaze or surface", "silica per alumina"), tuple(rows))
