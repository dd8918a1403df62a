"""Pictures of expansion: glaze and clay as intervals on one axis, what tiles taught, and what pushes it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, TypeVar

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
    Strokes,
    Words,
    axis_below,
    diamond,
    hatched_box,
    heading,
    line,
    shortened,
    small,
    text_width,
    wrapped,
)
from glazecalc.render.figures.melting import ruler_reach
from glazecalc.render.words import estimate_parts, rounded, with_sign, worded
from glazecalc.values.answers import Estimate
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.page import Page
from glazecalc.values.results.pictures import (
    BlendCell,
    BlendPicture,
    ConeRulerPicture,
    ExpansionPicture,
    Leaning,
    LearnedPicture,
    PushPicture,
    Zone,
)
from glazecalc.values.texts import joined

READING: Final = "Find the zone that the bar of the glaze lies in: that is what it is likely to do on this clay."
_TOP, _BOTTOM, _HEIGHT = 76.0, 196.0, 240.0
_ROW, _BAR = 56.0, 14.0
HATCH_ANGLE: Final[dict[Leaning, float]] = {Leaning.CRAZES: 45.0, Leaning.SHIVERS: -45.0}


def expansion_figure(picture: ExpansionPicture, units: UnitChoice) -> Figure:
    """Draw the picture."""
    scale = AxisScale(*expansion_reach(picture), 4, WIDTH - 4)
    marks = heading("Will it fit? Expansion of glaze and clay", READING)
    marks += _zones(scale, [z for z in picture.zones if z.high > scale.low and z.low < scale.high])
    marks += _row(scale, _TOP + 8, f"glaze: {picture.recipe}", picture.glaze, "glaze")
    marks += _row(scale, _TOP + 8 + _ROW, f"clay: {picture.body}", picture.clay, "clay")
    marks += axis_below(scale, _BOTTOM, "mean expansion, millionths per kelvin (1e-6/K); bars are 90 % intervals")
    glaze, clay = (estimate_parts(e) for e in (picture.glaze, picture.clay))
    zones = "; ".join(f"{z.words} {_stretch(z)}" for z in picture.zones)
    words = (
        f"Glaze {picture.recipe}: {glaze[0]}, between {glaze[1]} and {glaze[2]}. Clay {picture.body}: {clay[0]}, "
        f"between {clay[1]} and {clay[2]}, in millionths per kelvin, 90 % intervals. For a glaze on this clay: {zones}."
    )
    title = f"Expansion of {picture.recipe} and {picture.body}"
    return Figure("expansion", title, words, WIDTH, _HEIGHT, tuple(marks), _table(picture, units))


def expansion_reach(picture: ExpansionPicture) -> tuple[float, float]:
    """Ends of an axis that shows both bars and where crazing and shivering begin, on whole halves [1e-6/K]."""
    edges = [z.high if z.leaning is Leaning.SHIVERS else z.low for z in picture.zones if z.leaning in HATCH_ANGLE]
    low = min(picture.glaze.low, picture.clay.low, *edges)
    high = max(picture.glaze.high, picture.clay.high, *edges)
    room = max(0.4, 0.17 * (high - low))
    return max(0.0, round((low - room) * 2) / 2), round((high + room) * 2) / 2


def _zones(scale: AxisScale, zones: list[Zone]) -> list[Mark]:
    marks: list[Mark] = []
    for zone in zones:
        left, right = scale.held(zone.low), scale.held(zone.high)
        sound, angle = zone.leaning is Leaning.SOUND, HATCH_ANGLE.get(zone.leaning)
        if angle is not None:
            marks.append(hatched_box(left, _TOP, right - left, _BOTTOM - _TOP, "hatch", angle, 10))
        else:
            marks.append(Box(left, _TOP, right - left, _BOTTOM - _TOP, "wash" if sound else "paper"))
        if text_width(zone.words, SIZES["small"]) < right - left - 6:
            marks.append(Words((left + right) / 2, _TOP - 10, zone.words, "small", "middle", bold=sound))
    edges = [scale(z.low) for z in zones if z.low > scale.low]
    return [*marks, Strokes(tuple(((x, _TOP - 22), (x, _BOTTOM)) for x in edges), "edge")]


def _row(scale: AxisScale, y: float, name: str, estimate: Estimate, style: str) -> list[Mark]:
    value, low, high = estimate_parts(estimate)
    numbers = f"{value} ({low} to {high})"
    room = WIDTH - 24 - text_width(numbers, SIZES["label"], bold=True)
    left, right, middle = scale(estimate.low), scale(estimate.high), y + 28
    label = shortened(name, room, SIZES["label"])
    marks: list[Mark] = [
        Words(10, y + 12, label, "label", colour=style, halo=True),
        Words(18 + text_width(label, SIZES["label"]), y + 12, numbers, "label", colour=style, bold=True, halo=True),
    ]
    width, top = max(right - left, 1.0), middle - _BAR / 2
    bar = Box(left, top, width, _BAR, f"{style}-open", 2)
    if style == "glaze":
        disc = Disc(scale(estimate.value), middle, 5, "glaze-open")
        return [*marks, bar, Box(left, top, width, _BAR, "glaze", 2), disc]
    hatching = hatched_box(left, top, right - left, _BAR, f"{style}-hatch", 60, 5)
    return [*marks, bar, hatching, diamond(scale(estimate.value), middle, 7, f"{style}-open")]


def _stretch(zone: Zone) -> str:
    low, high = (rounded(x, 1) for x in (zone.low, zone.high))
    if zone.low <= 0:
        return f"below {high}"
    return f"above {low}" if zone.high >= 30 else f"{low} to {high}"


def _table(picture: ExpansionPicture, units: UnitChoice) -> DataTable:
    rows: list[tuple[str, ...]] = []
    for name, e in ((f"glaze {picture.recipe}", picture.glaze), (f"clay {picture.body}", picture.clay)):
        rows.append((name, *estimate_parts(e), worded(joined("; ", (e.basis.value, *e.caveats)), units)))
    for zone in picture.zones:
        low = "" if zone.low <= 0 else rounded(zone.low, 2)
        high = "" if zone.high >= 30 else rounded(zone.high, 2)
        rows.append((f"zone for the glaze: {zone.words}", "", low, high, ""))
    return DataTable(("what", "1e-6/K", "from", "to", "how it is known"), tuple(rows))


# Small pictures for the index: one line each, on axes shared by all recipes.

_WIDTH, _SMALL_HEIGHT = 220.0, 34.0
_NO_TABLE = DataTable((), ())
T = TypeVar("T")


def small_figures(pages: Sequence[Page]) -> list[tuple[Figure | None, Figure | None]]:
    """Small pictures of fit and firing for each page, all on the same axes so that recipes can be compared; None where
    their data are missing.
    """
    fits = [_first(page, ExpansionPicture) for page in pages]
    rulers = [_first(page, ConeRulerPicture) for page in pages]
    fit_scale = _common([expansion_reach(p) for p in fits if p is not None])
    ruler_scale = _common([ruler_reach(p) for p in rulers if p is not None])
    return [
        (
            None if fit is None else _fit(f"fit-{i}", fit, fit_scale),
            None if ruler is None else _firing(f"firing-{i}", ruler, ruler_scale),
        )
        for i, (fit, ruler) in enumerate(zip(fits, rulers, strict=True), start=1)
    ]


def _first(page: Page, kind: type[T]) -> T | None:
    return next((p for p in page.pictures if isinstance(p, kind)), None)


def _common(reaches: Sequence[tuple[float, float]]) -> AxisScale:
    low, high = (min(r[0] for r in reaches), max(r[1] for r in reaches)) if reaches else (0.0, 1.0)
    return AxisScale(low, high, 0, _WIDTH)


def _fit(name: str, picture: ExpansionPicture, scale: AxisScale) -> Figure:
    marks: list[Mark] = []
    for zone in picture.zones:
        left, right = scale.held(zone.low), scale.held(zone.high)
        if zone.leaning is Leaning.SOUND:
            marks.append(Box(left, 0, right - left, _SMALL_HEIGHT, "wash"))
            marks += [line((x, 0), (x, _SMALL_HEIGHT), "edge") for x in (left, right)]
        elif zone.leaning in HATCH_ANGLE and right > left:
            marks.append(hatched_box(left, 0, right - left, _SMALL_HEIGHT, "hatch", HATCH_ANGLE[zone.leaning], 8))
    glaze, clay = picture.glaze, picture.clay
    marks += [
        Box(scale(glaze.low), 5, scale(glaze.high) - scale(glaze.low), 9, "glaze", 1),
        Disc(scale(glaze.value), 9.5, 3.5, "glaze-open"),
        Box(scale(clay.low), 20, scale(clay.high) - scale(clay.low), 9, "clay-open", 1),
        diamond(scale(clay.value), 24.5, 5, "clay-open"),
    ]
    g, c = estimate_parts(glaze), estimate_parts(clay)
    words = f"glaze {g[0]} ({g[1]} to {g[2]}), clay {c[0]} ({c[1]} to {c[2]}), 1e-6/K"
    return Figure(name, f"Fit of {picture.recipe}", words, _WIDTH, _SMALL_HEIGHT, tuple(marks), _NO_TABLE)


def _firing(name: str, picture: ConeRulerPicture, scale: AxisScale) -> Figure:
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
        marks.append(line((x, 0), (x, _SMALL_HEIGHT), "asked"))
    text = f"{'; '.join(words)} degrees Celsius"
    return Figure(name, f"Firing of {picture.recipe}", text, _WIDTH, _SMALL_HEIGHT, tuple(marks), _NO_TABLE)


# A blend as it lies on the table: a line, a triangle or a square of cells, the parts written in each.

_GAP: Final = 6.0
_LETTERS: Final = "ABCDEFGH"


def blend_figure(picture: BlendPicture) -> Figure:
    """Draw the picture."""
    columns = max((cell.column for cell in picture.cells), default=0) + 1
    rows = max((cell.row for cell in picture.cells), default=0) + 1
    key = _key([f"{letter} {name}" for letter, name in zip(_LETTERS, picture.corners, strict=False)])
    width = min(150.0, (WIDTH - _GAP * (columns - 1)) / columns)
    lines = max((len(_parts(cell, width)) for cell in picture.cells), default=1)
    height = 22 + 14.0 * lines + (15 if any(cell.words for cell in picture.cells) else 0)
    top = max((words.y for words in key), default=18.0) + 16
    what = {"line": "Line blend", "triangle": "Triaxial blend", "square": "Square blend"}.get(picture.kind, "Blend")
    title = f"{what}: {len(picture.cells)} tiles"
    marks: list[Mark] = [*heading(title), *key]
    for cell in picture.cells:
        indent = (rows - 1 - cell.row) * (width + _GAP) / 2 if picture.kind == "triangle" else 0.0
        x, y = indent + cell.column * (width + _GAP), top + cell.row * (height + _GAP)
        marks += _cell(cell, x, y, width, height)
    corners = ", ".join(f"{letter} is {name}" for letter, name in zip(_LETTERS, picture.corners, strict=False))
    words = f"{title}. {corners}. Each cell has the tile's mark, its parts and what is expected of it."
    bottom = top + rows * (height + _GAP)
    return Figure("blend", title, words, WIDTH, bottom, tuple(marks), _blend_table(picture))


def _key(corners: Sequence[str]) -> list[Words]:
    """Names of the corners, on as many lines as they need."""
    marks: list[Words] = []
    x, y = 0.0, 36.0
    for corner in corners:
        text = shortened(corner, 300, SIZES["label"])
        width = text_width(text, SIZES["label"])
        if x and x + width > WIDTH:
            x, y = 0.0, y + 16
        marks.append(Words(x, y, text, "label", colour="muted"))
        x += width + 22
    return marks


def _parts(cell: BlendCell, width: float) -> list[str]:
    """The parts of a cell, as many to a line as fit."""
    lines: list[str] = []
    for text in (f"{letter} {part:g}" for letter, part in zip(_LETTERS, cell.parts, strict=False) if part):
        joined = f"{lines[-1]}  {text}" if lines else text
        if lines and text_width(joined, SIZES["small"]) <= width - 12:
            lines[-1] = joined
        else:
            lines.append(text)
    return lines or [" "]


def _cell(cell: BlendCell, x: float, y: float, width: float, height: float) -> list[Mark]:
    out, angle = cell.leaning is Leaning.OUT, HATCH_ANGLE.get(cell.leaning)
    marks: list[Mark] = [Box(x, y, width, height, "wash" if cell.leaning is Leaning.SOUND else "paper", 4)]
    if angle is not None:
        marks.append(hatched_box(x + 1, y + 1, width - 2, height - 2, "hatch", angle, 9))
    marks.append(Box(x, y, width, height, "cell-doubt" if out or cell.leaning is Leaning.DOUBTFUL else "cell", 4))
    id_ = shortened(cell.id, width - 14, SIZES["label"], True)
    marks.append(Words(x + 7, y + 16, id_, "label", bold=True, halo=True))
    if out:
        marks.append(Words(x + width - 7, y + 16, "x", "label", "end", bold=True, halo=True))
    for i, parts in enumerate(_parts(cell, width)):
        marks.append(Words(x + 7, y + 31 + 14 * i, parts, "small", halo=True))
    if cell.words:
        words = shortened(cell.words, width - 12, SIZES["small"])
        marks.append(Words(x + 7, y + height - 7, words, "small", colour="muted", halo=True))
    return marks


def _blend_table(picture: BlendPicture) -> DataTable:
    rows = []
    for cell in picture.cells:
        expected = cell.words or ("" if cell.leaning is Leaning.NONE else cell.leaning.value)
        rows.append((cell.id, *(f"{part:g}" for part in cell.parts), expected))
    return DataTable(("tile", *_LETTERS[: len(picture.corners)], "expected"), tuple(rows))


# What tiles taught of a clay, and what pushes the expansion of a glaze.

_LEARNED_TOP, _BASE, _LEARNED_ROW = 66.0, 196.0, 20.0
_WORDS: Final = {Leaning.SOUND: "stayed sound", Leaning.CRAZES: "crazed", Leaning.SHIVERS: "shivered"}


def learned_figure(picture: LearnedPicture) -> Figure:
    """Draw the picture: dashed what was thought before, filled what the tiles leave of it."""
    prior, posterior = picture.prior, picture.posterior
    places = [prior.low, prior.high, posterior.low, posterior.high, *(t.expansion for t in picture.tiles)]
    scale = AxisScale(min(places) - 0.4, max(places) + 0.4, 96, WIDTH - 6)
    by_outcome = {leaning: [t for t in picture.tiles if t.leaning is leaning] for leaning in _WORDS}
    rows = [(leaning, tiles) for leaning, tiles in by_outcome.items() if tiles]
    bottom = _BASE + 14 + _LEARNED_ROW * len(rows)
    marks = heading(
        shortened(f"What the tiles say of {picture.body}", WIDTH, SIZES["title"], True),
        "Dashed: before any tile. Filled: after them. Marks: each tile at the expansion of its glaze.",
    )
    up = AxisScale(0, max(*picture.prior_density, *picture.posterior_density), _BASE, _LEARNED_TOP)
    marks += _curves(picture, scale, up)
    for i, (leaning, tiles) in enumerate(rows):
        y = _BASE + 22 + i * _LEARNED_ROW
        marks.append(small(0, y + 4, _WORDS[leaning]))
        for tile in tiles:
            marks += _tile(leaning, scale(tile.expansion), y)
    marks += axis_below(scale, bottom, "mean expansion, millionths per kelvin (1e-6/K)")
    b, a = estimate_parts(prior), estimate_parts(posterior)
    counts = ", ".join(f"{len(tiles)} {_WORDS[leaning]}" for leaning, tiles in rows)
    words = (
        f"Expansion of {picture.body}: before {b[0]} ({b[1]} to {b[2]}), after {len(picture.tiles)} tiles "
        f"{a[0]} ({a[1]} to {a[2]}). Tiles: {counts}."
    )
    return Figure(
        "learned", f"Learned expansion of {picture.body}", words, WIDTH, bottom + 42, tuple(marks),
        _learned_table(picture),
    )  # fmt: skip


def _curves(picture: LearnedPicture, scale: AxisScale, up: AxisScale) -> list[Mark]:
    def course(density: tuple[float, ...]) -> list[tuple[float, float]]:
        pairs = zip(picture.expansion, density, strict=True)
        return [(scale(x), up(d)) for x, d in pairs if scale.low <= x <= scale.high]

    prior = picture.prior
    before, after = course(picture.prior_density), course(picture.posterior_density)
    filled = ((after[0][0], up.start), *after, (after[-1][0], up.start))
    b, a = estimate_parts(prior), estimate_parts(picture.posterior)
    x, y = min(after, key=lambda p: p[1])
    right = scale(prior.value) >= x
    middle = scale(((prior.high if right else prior.low) + prior.value) / 2)
    shoulder = min(before, key=lambda p: abs(p[0] - middle))
    place, text = shoulder[0] + (12 if right else -12), f"before {b[0]} ({b[1]} to {b[2]})"
    return [
        Path(filled, "clay-band", closed=True),
        Path(tuple(after), "clay-solid"),
        Path(tuple(before), "clay-line"),
        Words(x, y - 8, f"now {a[0]} ({a[1]} to {a[2]})", "label", "middle", "clay", bold=True, halo=True),
        Words(place, shoulder[1] - 8, text, "small", "start" if right else "end", "clay", halo=True),
    ]


def _tile(leaning: Leaning, x: float, y: float) -> list[Mark]:
    if leaning is Leaning.SOUND:
        return [Disc(x, y, 5, "glaze")]
    if leaning is Leaning.CRAZES:
        return [line((x - 5, y - 5), (x + 5, y + 5), "cross"), line((x - 5, y + 5), (x + 5, y - 5), "cross")]
    return [diamond(x, y, 6, "glaze-open")]


def _learned_table(picture: LearnedPicture) -> DataTable:
    rows: list[tuple[str, ...]] = [
        ("clay, before", *estimate_parts(picture.prior), ""), ("clay, after", *estimate_parts(picture.posterior), ""),
    ]  # fmt: skip
    rows += [(f"tile {t.id}, {t.recipe}", rounded(t.expansion, 2), "", "", t.result) for t in picture.tiles]
    return DataTable(("what", "1e-6/K", "from", "to", "came out"), tuple(rows))


# What pushes the expansion: a bar for each oxide of the glaze, up to the right, down to the left.

_PUSHES_TOP, _PUSHES_ROW, _LEARNED_BAR = 76.0, 22.0, 13.0
_MOST_ROWS = 14


def pushes_figure(picture: PushPicture) -> Figure:
    """Draw the picture: for the oxides in the glaze, what one mole % more in place of silica would do."""
    here = [(p, p.one_more) for p in picture.pushes if p.one_more is not None and p.mole_percent >= 0.05]
    shown = sorted(here, key=lambda pair: -pair[1])[:_MOST_ROWS]
    most = max((abs(more) for _, more in shown), default=1.0) or 1.0
    lowest = min((0.0, *(more for _, more in shown)))
    scale = AxisScale(min(lowest, -0.25 * most), most, 170, WIDTH - 150)
    reference = wrapped(picture.reference, WIDTH, SIZES["small"])[:3]
    top = _PUSHES_TOP + 14 * (len(reference) - 1)
    bottom = top + _PUSHES_ROW * len(shown) + 4
    marks = heading("What pushes the expansion")
    marks += [small(0, 34 + 14 * i, text) for i, text in enumerate(reference)]
    marks += [
        small(scale(0) + 8, top - 12, "one more raises it"),
        small(scale(0) - 8, top - 12, "lowers it", "end"),
        small(WIDTH, top - 12, "push", "end"),
    ]
    for i, (push, more) in enumerate(shown):
        y = top + i * _PUSHES_ROW
        marks.append(Words(0, y + 13, push.oxide))
        marks.append(small(112, y + 13, f"{rounded(push.mole_percent, 1)} mol %", "end"))
        marks += _bar(scale, y, more)
        marks.append(Words(WIDTH, y + 13, with_sign(push.push), "small", "end"))
    marks.append(Strokes((((scale(0), top - 6), (scale(0), bottom)),), "axis"))
    parts = "; ".join(f"{p.oxide} {with_sign(p.push)}" for p in picture.pushes)
    return Figure(
        "pushes", f"What pushes the expansion of {picture.recipe}",
        f"{picture.reference} In millionths per kelvin: {parts}.", WIDTH, bottom + 6, tuple(marks),
        _pushes_table(picture),
    )  # fmt: skip


def _bar(scale: AxisScale, y: float, push: float) -> list[Mark]:
    zero, end = scale(0), scale(push)
    text = with_sign(push)
    room = text_width(text, SIZES["small"])
    if push >= 0:
        return [Box(zero, y + 2, max(end - zero, 0.5), _LEARNED_BAR, "glaze"), Words(end + 6, y + 13, text, "small")]
    marks: list[Mark] = [Box(end, y + 2, zero - end, _LEARNED_BAR, "glaze-open")]
    marks.append(hatched_box(end, y + 2, zero - end, _LEARNED_BAR, "glaze-band", 45, 5))
    return [*marks, Words(max(end - 6, 116 + room), y + 13, text, "small", "end")]


def _pushes_table(picture: PushPicture) -> DataTable:
    rows = tuple(
        (p.oxide, rounded(p.mole_percent, 2), with_sign(p.push), "" if p.one_more is None else with_sign(p.one_more))
        for p in picture.pushes
    )
    return DataTable(("oxide", "mole %", "push, 1e-6/K", "one more mole %, 1e-6/K"), rows)
