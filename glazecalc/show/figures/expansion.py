"""The picture `will it fit`: glaze and clay as intervals on one axis, the zones named in words."""

from __future__ import annotations

from typing import Final

from glazecalc.show.figures.hatching import hatched_box
from glazecalc.show.figures.ink import (
    SIZES,
    WIDTH,
    Box,
    DataTable,
    Disc,
    Figure,
    Mark,
    Strokes,
    Words,
    diamond,
    heading,
)
from glazecalc.show.figures.lettering import shortened, text_width
from glazecalc.show.figures.scales import Scale, axis_below
from glazecalc.show.numbers import decimals_for, estimate_parts, rounded
from glazecalc.values.estimate import Estimate
from glazecalc.values.pictures import ExpansionPicture, Leaning, Zone

READING: Final = (
    "The zones say what a glaze of just that expansion would do on this clay. Where the bar lies, so the glaze."
)
_TOP, _BOTTOM, _HEIGHT = 76.0, 196.0, 240.0
_ROW, _BAR = 56.0, 14.0
HATCH_ANGLE: Final[dict[Leaning, float]] = {Leaning.CRAZES: 45.0, Leaning.SHIVERS: -45.0}


def expansion_figure(picture: ExpansionPicture) -> Figure:
    """Draw the picture."""
    scale = Scale(*expansion_reach(picture), 4, WIDTH - 4)
    zones = [z for z in picture.zones if z.high > scale.low and z.low < scale.high]
    marks = heading("Will it fit? Expansion of glaze and clay", READING)
    marks += _zones(scale, zones)
    marks += _row(scale, _TOP + 8, f"glaze: {picture.recipe}", picture.glaze, "glaze")
    marks += _row(scale, _TOP + 8 + _ROW, f"clay: {picture.body}", picture.clay, "clay")
    marks += axis_below(scale, _BOTTOM, "mean expansion, millionths per kelvin (1e-6/K); bars are 90 % intervals")
    return Figure(
        "expansion", f"Expansion of {picture.recipe} and {picture.body}", _description(picture), WIDTH, _HEIGHT,
        tuple(marks), _table(picture),
    )  # fmt: skip


def expansion_reach(picture: ExpansionPicture) -> tuple[float, float]:
    """Ends of an axis that shows both bars and where crazing and shivering begin, on whole halves [1e-6/K]."""
    edges = [z.high if z.leaning is Leaning.SHIVERS else z.low for z in picture.zones if z.leaning in HATCH_ANGLE]
    low = min(picture.glaze.low, picture.clay.low, *edges)
    high = max(picture.glaze.high, picture.clay.high, *edges)
    room = max(0.4, 0.17 * (high - low))
    return max(0.0, round((low - room) * 2) / 2), round((high + room) * 2) / 2


def _zones(scale: Scale, zones: list[Zone]) -> list[Mark]:
    marks: list[Mark] = []
    for zone in zones:
        left, right = scale.held(zone.low), scale.held(zone.high)
        marks += _zone_ground(zone, left, right)
        if text_width(zone.words, SIZES["small"]) < right - left - 6:
            marks.append(
                Words(
                    (left + right) / 2,
                    _TOP - 10,
                    zone.words,
                    "small",
                    "middle",
                    "ink",
                    bold=zone.leaning is Leaning.SOUND,
                )
            )
    edges = [scale(z.low) for z in zones if z.low > scale.low]
    marks.append(Strokes(tuple(((x, _TOP - 22), (x, _BOTTOM)) for x in edges), "edge"))
    return marks


def _zone_ground(zone: Zone, left: float, right: float) -> list[Mark]:
    angle = HATCH_ANGLE.get(zone.leaning)
    if angle is not None:
        return [hatched_box(left, _TOP, right - left, _BOTTOM - _TOP, "hatch", angle, 10)]
    style = "wash" if zone.leaning is Leaning.SOUND else "paper"
    return [Box(left, _TOP, right - left, _BOTTOM - _TOP, style)]


def _row(scale: Scale, y: float, name: str, estimate: Estimate, style: str) -> list[Mark]:
    value, low, high = estimate_parts(estimate)
    numbers = f"{value} ({low} to {high})"
    room = WIDTH - 24 - text_width(numbers, SIZES["label"], bold=True)
    left, right, middle = scale(estimate.low), scale(estimate.high), y + 28
    label = shortened(name, room, SIZES["label"])
    marks: list[Mark] = [
        Words(10, y + 12, label, "label", colour=style, halo=True),
        Words(18 + text_width(label, SIZES["label"]), y + 12, numbers, "label", colour=style, bold=True, halo=True),
    ]
    bar = Box(left, middle - _BAR / 2, max(right - left, 1.0), _BAR, f"{style}-open", 2)
    if style == "glaze":
        return [*marks, bar, Box(left, middle - _BAR / 2, max(right - left, 1.0), _BAR, "glaze", 2),
                Disc(scale(estimate.value), middle, 5, "glaze-open")]  # fmt: skip
    hatching = hatched_box(left, middle - _BAR / 2, right - left, _BAR, f"{style}-hatch", 60, 5)
    return [*marks, bar, hatching, diamond(scale(estimate.value), middle, 7, f"{style}-open")]


def _description(picture: ExpansionPicture) -> str:
    glaze, clay = (estimate_parts(e) for e in (picture.glaze, picture.clay))
    zones = "; ".join(f"{z.words} {_stretch(z)}" for z in picture.zones)
    return (
        f"Glaze {picture.recipe}: {glaze[0]}, between {glaze[1]} and {glaze[2]}. Clay {picture.body}: {clay[0]}, "
        f"between {clay[1]} and {clay[2]}, in millionths per kelvin, 90 % intervals. For a glaze on this clay: {zones}."
    )


def _stretch(zone: Zone) -> str:
    low, high = (rounded(x, 1) for x in (zone.low, zone.high))
    if zone.low <= 0:
        return f"below {high}"
    return f"above {low}" if zone.high >= 30 else f"{low} to {high}"


def _table(picture: ExpansionPicture) -> DataTable:
    rows = []
    for name, e in ((f"glaze {picture.recipe}", picture.glaze), (f"clay {picture.body}", picture.clay)):
        rows.append((name, *estimate_parts(e), "; ".join((e.basis.value, *e.caveats))))
    for zone in picture.zones:
        decimals = decimals_for(0.1)
        low = "" if zone.low <= 0 else rounded(zone.low, decimals)
        high = "" if zone.high >= 30 else rounded(zone.high, decimals)
        rows.append((f"zone for the glaze: {zone.words}", "", low, high, ""))
    return DataTable(("what", "1e-6/K", "from", "to", "how it is known"), tuple(rows))
