"""The cone ruler: glaze, clay and kiln as bands against the cones, degC and degF beneath."""

from __future__ import annotations

from glazecalc.show.figures.hatching import hatched_box
from glazecalc.show.figures.ink import SIZES, WIDTH, Box, DataTable, Figure, Mark, Path, Strokes, Words, heading
from glazecalc.show.figures.lettering import shortened, text_width
from glazecalc.show.figures.scales import Scale, axis_below, inside, tick_step, tick_text, ticks
from glazecalc.show.numbers import rounded
from glazecalc.show.units import fahrenheit
from glazecalc.values.pictures import ConeMark, ConeRulerPicture, RulerBand

_TOP, _ROW, _BAR = 84.0, 48.0, 14.0


def ruler_figure(picture: ConeRulerPicture) -> Figure:
    """Draw the picture."""
    scale = Scale(*ruler_reach(picture), 4, WIDTH - 34)
    bottom = _TOP + 10 + _ROW * len(picture.bands)
    marks = heading("Where it melts, what the clay bears, what the kiln reaches", _reading(picture))
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


def _reading(picture: ConeRulerPicture) -> str:
    rate = f"{rounded(picture.rate_degC_per_h, 0)} \N{DEGREE SIGN}C per hour at the end"
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
