"""What tiles taught of a clay: its expansion before and after, the tiles as marks beneath."""

from __future__ import annotations

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
    Strokes,
    Words,
    axis_below,
    diamond,
    hatched_box,
    heading,
    shortened,
    text_width,
    wrapped,
)
from glazecalc.render.words import estimate_parts, rounded, with_sign
from glazecalc.values.results.pictures import Leaning, LearnedPicture, PushPicture, TileMark

_TOP, _BASE, _ROW = 66.0, 196.0, 20.0
_WORDS: Final = {Leaning.SOUND: "stayed sound", Leaning.CRAZES: "crazed", Leaning.SHIVERS: "shivered"}


def learned_figure(picture: LearnedPicture) -> Figure:
    """Draw the picture: dashed what was thought before, filled what the tiles leave of it."""
    scale = _reach(picture)
    rows = [leaning for leaning in _WORDS if any(t.leaning is leaning for t in picture.tiles)]
    bottom = _BASE + 14 + _ROW * len(rows)
    title = shortened(f"What the tiles say of {picture.body}", WIDTH, SIZES["title"], True)
    marks = heading(
        title, "Dashed: before any tile. Filled: after them. Marks: each tile at the expansion of its glaze."
    )
    top = max(*picture.prior_density, *picture.posterior_density)
    up = AxisScale(0, top, _BASE, _TOP)
    marks += _curves(picture, scale, up)
    for i, leaning in enumerate(rows):
        marks += _tiles([t for t in picture.tiles if t.leaning is leaning], leaning, scale, _BASE + 22 + i * _ROW)
    marks += axis_below(scale, bottom, "mean expansion, millionths per kelvin (1e-6/K)")
    return Figure(
        "learned",
        f"Learned expansion of {picture.body}",
        _description(picture),
        WIDTH,
        bottom + 42,
        tuple(marks),
        _table(picture),
    )


def _reach(picture: LearnedPicture) -> AxisScale:
    places = [picture.prior.low, picture.prior.high, picture.posterior.low, picture.posterior.high]
    places += [t.expansion for t in picture.tiles]
    return AxisScale(min(places) - 0.4, max(places) + 0.4, 96, WIDTH - 6)


def _curves(picture: LearnedPicture, scale: AxisScale, up: AxisScale) -> list[Mark]:
    def line(density: tuple[float, ...]) -> list[tuple[float, float]]:
        pairs = zip(picture.expansion, density, strict=True)
        return [(scale(x), up(d)) for x, d in pairs if scale.low <= x <= scale.high]

    before, after = line(picture.prior_density), line(picture.posterior_density)
    filled = ((after[0][0], up.start), *after, (after[-1][0], up.start))
    b, a = estimate_parts(picture.prior), estimate_parts(picture.posterior)
    peak = min(after, key=lambda p: p[1])
    marks: list[Mark] = [
        Path(filled, "clay-band", closed=True),
        Path(tuple(after), "clay-solid"),
        Path(tuple(before), "clay-line"),
    ]
    marks.append(
        Words(peak[0], peak[1] - 8, f"now {a[0]} ({a[1]} to {a[2]})", "label", "middle", "clay", bold=True, halo=True)
    )
    right = scale(picture.prior.value) >= peak[0]
    edge = picture.prior.high if right else picture.prior.low
    shoulder = min(before, key=lambda p: abs(p[0] - scale((edge + picture.prior.value) / 2)))
    x, text = shoulder[0] + (12 if right else -12), f"before {b[0]} ({b[1]} to {b[2]})"
    marks.append(Words(x, shoulder[1] - 8, text, "small", "start" if right else "end", "clay", halo=True))
    return marks


def _tiles(tiles: list[TileMark], leaning: Leaning, scale: AxisScale, y: float) -> list[Mark]:
    marks: list[Mark] = [Words(0, y + 4, _WORDS[leaning], "small", colour="muted")]
    for tile in tiles:
        x = scale(tile.expansion)
        if leaning is Leaning.SOUND:
            marks.append(Disc(x, y, 5, "glaze"))
        elif leaning is Leaning.CRAZES:
            marks.append(Path(((x - 5, y - 5), (x + 5, y + 5)), "cross"))
            marks.append(Path(((x - 5, y + 5), (x + 5, y - 5)), "cross"))
        else:
            marks.append(diamond(x, y, 6, "glaze-open"))
    return marks


def _description(picture: LearnedPicture) -> str:
    b, a = estimate_parts(picture.prior), estimate_parts(picture.posterior)
    counts = ", ".join(
        f"{n} {_WORDS[leaning]}" for leaning in _WORDS if (n := sum(t.leaning is leaning for t in picture.tiles))
    )
    return (
        f"Expansion of {picture.body}: before {b[0]} ({b[1]} to {b[2]}), after {len(picture.tiles)} tiles "
        f"{a[0]} ({a[1]} to {a[2]}). Tiles: {counts}."
    )


def _table(picture: LearnedPicture) -> DataTable:
    rows: list[tuple[str, ...]] = [
        ("clay, before", *estimate_parts(picture.prior), ""), ("clay, after", *estimate_parts(picture.posterior), ""),
    ]  # fmt: skip
    rows += [(f"tile {t.id}, {t.recipe}", rounded(t.expansion, 2), "", "", t.result) for t in picture.tiles]
    return DataTable(("what", "1e-6/K", "from", "to", "came out"), tuple(rows))


# What pushes the expansion: a bar for each oxide of the glaze, up to the right, down to the left.

_PUSHES_TOP, _PUSHES_ROW, _BAR = 76.0, 22.0, 13.0
_MOST_ROWS = 14


def pushes_figure(picture: PushPicture) -> Figure:
    """Draw the picture: for the oxides in the glaze, what one mole % more in place of silica would do."""
    here = [p for p in picture.pushes if p.one_more is not None and p.mole_percent >= 0.05]
    shown = sorted(((p, p.one_more) for p in here if p.one_more is not None), key=lambda pair: -pair[1])[:_MOST_ROWS]
    most = max((abs(more) for _, more in shown), default=1.0) or 1.0
    lowest = min(0.0, *(more for _, more in shown)) if shown else 0.0
    scale = AxisScale(min(lowest, -0.25 * most), most, 170, WIDTH - 150)
    reference = wrapped(picture.reference, WIDTH, SIZES["small"])[:3]
    top = _PUSHES_TOP + 14 * (len(reference) - 1)
    bottom = top + _PUSHES_ROW * len(shown) + 4
    marks = heading("What pushes the expansion")
    marks += [Words(0, 34 + 14 * i, line, "small", colour="muted") for i, line in enumerate(reference)]
    marks += [
        Words(scale(0) + 8, top - 12, "one more raises it", "small", "start", "muted"),
        Words(scale(0) - 8, top - 12, "lowers it", "small", "end", "muted"),
        Words(WIDTH, top - 12, "push", "small", "end", "muted"),
    ]
    for i, (push, more) in enumerate(shown):
        y = top + i * _PUSHES_ROW
        marks.append(Words(0, y + 13, push.oxide))
        marks.append(Words(112, y + 13, f"{rounded(push.mole_percent, 1)} mol %", "small", "end", "muted"))
        marks += _bar(scale, y, more)
        marks.append(Words(WIDTH, y + 13, with_sign(push.push), "small", "end"))
    marks.append(Strokes((((scale(0), top - 6), (scale(0), bottom)),), "axis"))
    return Figure(
        "pushes", f"What pushes the expansion of {picture.recipe}", _pushes_description(picture), WIDTH, bottom + 6,
        tuple(marks), _pushes_table(picture),
    )  # fmt: skip


def _bar(scale: AxisScale, y: float, push: float) -> list[Mark]:
    zero, end = scale(0), scale(push)
    text = with_sign(push)
    room = text_width(text, SIZES["small"])
    if push >= 0:
        return [Box(zero, y + 2, max(end - zero, 0.5), _BAR, "glaze"), Words(end + 6, y + 13, text, "small")]
    marks: list[Mark] = [Box(end, y + 2, zero - end, _BAR, "glaze-open")]
    marks.append(hatched_box(end, y + 2, zero - end, _BAR, "glaze-band", 45, 5))
    return [*marks, Words(max(end - 6, 116 + room), y + 13, text, "small", "end")]


def _pushes_description(picture: PushPicture) -> str:
    parts = "; ".join(f"{p.oxide} {with_sign(p.push)}" for p in picture.pushes)
    return f"{picture.reference} In millionths per kelvin: {parts}."


def _pushes_table(picture: PushPicture) -> DataTable:
    rows = tuple(
        (p.oxide, rounded(p.mole_percent, 2), with_sign(p.push), "" if p.one_more is None else with_sign(p.one_more))
        for p in picture.pushes
    )
    return DataTable(("oxide", "mole %", "push, 1e-6/K", "one more mole %, 1e-6/K"), rows)
