"""What tiles taught of a clay: its expansion before and after, the tiles as marks beneath."""

from __future__ import annotations

from typing import Final

from glazecalc.show.figures.ink import SIZES, WIDTH, DataTable, Disc, Figure, Mark, Path, Words, diamond, heading
from glazecalc.show.figures.lettering import shortened
from glazecalc.show.figures.scales import Scale, axis_below
from glazecalc.show.numbers import estimate_parts, rounded
from glazecalc.values.pictures import Leaning, LearnedPicture, TileMark

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
    up = Scale(0, top, _BASE, _TOP)
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


def _reach(picture: LearnedPicture) -> Scale:
    places = [picture.prior.low, picture.prior.high, picture.posterior.low, picture.posterior.high]
    places += [t.expansion for t in picture.tiles]
    return Scale(min(places) - 0.4, max(places) + 0.4, 96, WIDTH - 6)


def _curves(picture: LearnedPicture, scale: Scale, up: Scale) -> list[Mark]:
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


def _tiles(tiles: list[TileMark], leaning: Leaning, scale: Scale, y: float) -> list[Mark]:
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
