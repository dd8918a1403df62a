"""Small pictures for the index: one line each, on axes shared by all recipes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from glazecalc.show.figures.expansion import HATCH_ANGLE, expansion_reach
from glazecalc.show.figures.hatching import hatched_box
from glazecalc.show.figures.ink import Box, DataTable, Disc, Figure, Mark, Path, diamond
from glazecalc.show.figures.ruler import ruler_reach
from glazecalc.show.figures.scales import Scale
from glazecalc.show.numbers import estimate_parts, rounded
from glazecalc.values.page import Page
from glazecalc.values.pictures import ConeRulerPicture, ExpansionPicture, Leaning

_WIDTH, _HEIGHT = 220.0, 34.0
_NO_TABLE = DataTable((), ())
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Small:
    """The small pictures of one recipe; None where their data are missing."""

    fit: Figure | None
    firing: Figure | None


def small_figures(pages: Sequence[Page]) -> list[Small]:
    """Small pictures for each page, on common axes."""
    fits = [_first(page, ExpansionPicture) for page in pages]
    rulers = [_first(page, ConeRulerPicture) for page in pages]
    fit_scale = _common([expansion_reach(p) for p in fits if p is not None])
    ruler_scale = _common([ruler_reach(p) for p in rulers if p is not None])
    return [
        Small(
            None if fit is None else _fit(f"fit-{i}", fit, fit_scale),
            None if ruler is None else _firing(f"firing-{i}", ruler, ruler_scale),
        )
        for i, (fit, ruler) in enumerate(zip(fits, rulers, strict=True), start=1)
    ]


def _first(page: Page, kind: type[T]) -> T | None:
    return next((p for p in page.pictures if isinstance(p, kind)), None)


def _common(reaches: Sequence[tuple[float, float]]) -> Scale:
    low, high = (min(r[0] for r in reaches), max(r[1] for r in reaches)) if reaches else (0.0, 1.0)
    return Scale(low, high, 0, _WIDTH)


def _fit(name: str, picture: ExpansionPicture, scale: Scale) -> Figure:
    marks: list[Mark] = []
    for zone in picture.zones:
        left, right = scale.held(zone.low), scale.held(zone.high)
        if zone.leaning is Leaning.SOUND:
            marks += [Box(left, 0, right - left, _HEIGHT, "wash"), Path(((left, 0), (left, _HEIGHT)), "edge"),
                      Path(((right, 0), (right, _HEIGHT)), "edge")]  # fmt: skip
        elif zone.leaning in HATCH_ANGLE and right > left:
            marks.append(hatched_box(left, 0, right - left, _HEIGHT, "hatch", HATCH_ANGLE[zone.leaning], 8))
    glaze, clay = picture.glaze, picture.clay
    marks += [
        Box(scale(glaze.low), 5, scale(glaze.high) - scale(glaze.low), 9, "glaze", 1),
        Disc(scale(glaze.value), 9.5, 3.5, "glaze-open"),
        Box(scale(clay.low), 20, scale(clay.high) - scale(clay.low), 9, "clay-open", 1),
        diamond(scale(clay.value), 24.5, 5, "clay-open"),
    ]
    g, c = estimate_parts(glaze), estimate_parts(clay)
    words = f"glaze {g[0]} ({g[1]} to {g[2]}), clay {c[0]} ({c[1]} to {c[2]}), 1e-6/K"
    return Figure(name, f"Fit of {picture.recipe}", words, _WIDTH, _HEIGHT, tuple(marks), _NO_TABLE)


def _firing(name: str, picture: ConeRulerPicture, scale: Scale) -> Figure:
    marks: list[Mark] = []
    words = []
    for i, band in enumerate(picture.bands[-3:]):
        y = 2 + i * 11.0
        left, right = scale.held(band.low_degC), scale.held(band.high_degC)
        if band.kind == "kiln":
            marks += [Box(0, y, left, 8, "kiln"), Box(left, y, max(right - left, 1), 8, "kiln-open")]
        else:
            marks.append(Box(left, y, max(right - left, 1.5), 8, "glaze" if band.kind == "glaze" else "clay-open"))
        words.append(f"{band.kind} {rounded(band.low_degC, 0)} to {rounded(band.high_degC, 0)}")
    if picture.asked is not None:
        x = scale.held(picture.asked.degC)
        marks.append(Path(((x, 0), (x, _HEIGHT)), "asked"))
    text = f"{'; '.join(words)} degrees Celsius"
    name_ = picture.bands[0].name.removeprefix("glaze: ")
    return Figure(name, f"Firing of {name_}", text, _WIDTH, _HEIGHT, tuple(marks), _NO_TABLE)
