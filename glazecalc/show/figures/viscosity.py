"""Viscosity against temperature: where the melt levels, and where it runs."""

from __future__ import annotations

from typing import Final

from glazecalc.show.figures.hatching import hatch
from glazecalc.show.figures.ink import SIZES, WIDTH, Box, DataTable, Figure, Mark, Path, Strokes, Words, heading
from glazecalc.show.figures.lettering import shortened
from glazecalc.show.figures.ruler import cone_ticks
from glazecalc.show.figures.scales import Scale, axis_below, axis_left
from glazecalc.show.numbers import rounded
from glazecalc.values.pictures import CurvePoint, ViscosityPicture

_TOP, _BOTTOM, _LEFT = 104.0, 312.0, 30.0
_READING: Final = (
    "A glaze levels in the pale band. Above it, it is still stiff; below it, it is likely to run off the pot."
)


_PLAIN_READING: Final = "The lower the curve, the more fluid the melt; each step is ten times."


def viscosity_figure(picture: ViscosityPicture) -> Figure:
    """Draw the picture."""
    curve = [p for p in picture.curve if p.value <= 8.5]
    across = Scale(curve[0].x, curve[-1].x, _LEFT, WIDTH - 10)
    lowest = min((picture.window[0] if picture.window else 2.0) - 1.0, min(p.low for p in curve))
    highest = min(8.0, max(p.high for p in curve))
    up = Scale(lowest, highest, _BOTTOM, _TOP)
    marks = heading("How fluid the melt is", _READING if picture.window else _PLAIN_READING)
    ground, names = _window(across, up, picture.window) if picture.window else ([], [])
    marks += ground
    marks += axis_left(up, _LEFT, across.end, "", 6)
    marks.append(Words(0, _TOP - 46, "log10 of viscosity in Pa.s", "small", colour="muted"))
    marks += cone_ticks(across, picture.cones, _TOP, _BOTTOM, None if picture.asked is None else picture.asked.cone)
    if picture.asked is not None and across.low <= picture.asked.degC <= across.high:
        x = across(picture.asked.degC)
        marks += [
            Path(((x, _TOP), (x, _BOTTOM)), "asked"),
            Words(x, _TOP - 8, picture.asked.cone, "label", "middle", bold=True),
        ]
    marks += names
    inside = [p for p in curve if p.low <= highest]
    marks += _curve(across, up, inside)
    early = inside[len(inside) // 3]
    name = shortened(picture.recipe, 200, SIZES["label"], bold=True)
    place = across(early.x) + 8, max(up.held(early.high) - 8, _TOP + 16)
    marks.append(Words(*place, name, "label", "start", "glaze", bold=True, halo=True))
    marks += axis_below(across, _BOTTOM, "temperature, \N{DEGREE SIGN}C")
    return Figure(
        "viscosity",
        f"Viscosity of {picture.recipe}",
        _description(picture),
        WIDTH,
        _BOTTOM + 42,
        tuple(marks),
        _table(picture),
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


def _description(picture: ViscosityPicture) -> str:
    lead = f"Log10 viscosity of {picture.recipe} against temperature with its 90 % interval."
    if picture.window is None:
        first, last = picture.curve[0], picture.curve[-1]
        return (
            f"{lead} It falls from {rounded(first.value, 1)} at {rounded(first.x, 0)} to {rounded(last.value, 1)} at "
            f"{rounded(last.x, 0)} degrees Celsius."
        )
    inside = [p for p in picture.curve if picture.window[0] <= p.value <= picture.window[1]]
    where = (
        f"{rounded(inside[0].x, -1)} to {rounded(inside[-1].x, -1)} degrees Celsius"
        if inside
        else "no temperature shown"
    )
    return f"{lead} It levels and stays put, between {picture.window[0]:g} and {picture.window[1]:g}, at {where}."


def _table(picture: ViscosityPicture) -> DataTable:
    step = max(1, len(picture.curve) // 12)
    rows = tuple(
        (rounded(p.x, 0), rounded(p.value, 1), rounded(p.low, 1), rounded(p.high, 1)) for p in picture.curve[::step]
    )
    return DataTable(("\N{DEGREE SIGN}C", "log10 viscosity", "from", "to"), rows)
