"""A figure as PNG, from the same marks as the page, in the colours of the light theme."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import pairwise
from pathlib import Path as FilePath
from typing import Final

from PIL import Image, ImageDraw, ImageFont
from PIL.PngImagePlugin import PngInfo

from glazecalc.render.figures.drawing import (
    LIGHT,
    SIZES,
    STYLES,
    Box,
    Disc,
    Figure,
    Mark,
    Path,
    Point,
    Strokes,
    Words,
    printable,
)

SCALE: Final = 2
"""Dots of the file to a pixel of the page."""
_FINER: Final = 2
"""The picture is drawn this much larger and made smaller at the end, which smooths its lines."""
_DOTS: Final = SCALE * _FINER
_PAD: Final = 6.0
_HALO: Final = 1.5
_ANCHORS: Final = {"start": "ls", "middle": "ms", "end": "rs"}


def write_png(figure: Figure, path: FilePath) -> None:
    """Write the figure to ``path`` at twice its size on screen."""
    size = (round((figure.width + 2 * _PAD) * SCALE), round((figure.height + 2 * _PAD) * SCALE))
    image = Image.new("RGB", (size[0] * _FINER, size[1] * _FINER), LIGHT["paper"])
    for mark in figure.marks:
        _add(image, mark)
    notes = PngInfo()
    notes.add_itxt("Title", printable(figure.title))
    notes.add_itxt("Description", printable(figure.description))
    image.resize(size, Image.Resampling.BOX).save(path, format="PNG", pnginfo=notes)


def _at(point: Point) -> Point:
    return (point[0] + _PAD) * _DOTS, (point[1] + _PAD) * _DOTS


def _add(image: Image.Image, mark: Mark) -> None:
    if isinstance(mark, Words):
        _write(image, mark)
    elif isinstance(mark, Strokes):
        for segment in mark.segments:
            _line(image, segment, mark.style)
    elif isinstance(mark, Path):
        if mark.closed:
            _fill(image, mark.points, mark.style)
        _line(image, (*mark.points, mark.points[0]) if mark.closed else mark.points, mark.style)
    else:
        outline = tuple(_outline(mark))
        _fill(image, outline, mark.style)
        _line(image, (*outline, outline[0]), mark.style)


def _outline(mark: Box | Disc) -> Iterator[Point]:
    """A box, with its corners rounded, or a circle, as a polygon."""
    if isinstance(mark, Disc):
        yield from _arc((mark.x, mark.y), mark.radius, 0, 360)
        return
    r = min(mark.radius, mark.width / 2, mark.height / 2)
    left, top, right, foot = mark.x, mark.y, mark.x + mark.width, mark.y + mark.height
    for centre, first in (((right - r, foot - r), 0), ((left + r, foot - r), 90), ((left + r, top + r), 180)):
        yield from _arc(centre, r, first, first + 90)
    yield from _arc((right - r, top + r), r, 270, 360)


def _arc(centre: Point, radius: float, first: int, last: int) -> Iterator[Point]:
    for degree in (first, *range(first + 6, last, 6), last) if radius else (first,):
        yield centre[0] + radius * math.cos(math.radians(degree)), centre[1] + radius * math.sin(math.radians(degree))


def _fill(image: Image.Image, points: Sequence[Point], style: str) -> None:
    look = STYLES[style]
    if look.fill is None:
        return
    if look.opacity >= 1:
        ImageDraw.Draw(image).polygon([_at(p) for p in points], fill=LIGHT[look.fill])
        return
    veil = Image.new("L", image.size, 0)
    ImageDraw.Draw(veil).polygon([_at(p) for p in points], fill=round(255 * look.opacity))
    image.paste(Image.new("RGB", image.size, LIGHT[look.fill]), mask=veil)


def _line(image: Image.Image, points: Sequence[Point], style: str) -> None:
    look = STYLES[style]
    if look.line is None or not look.width:
        return
    draw, width = ImageDraw.Draw(image), max(1, round(look.width * _DOTS))
    for run in _dashes(points, look.dash) if look.dash else (points,):
        draw.line([_at(p) for p in run], fill=LIGHT[look.line], width=width, joint="curve")


def _dashes(points: Sequence[Point], dash: tuple[float, ...]) -> Iterator[tuple[Point, Point]]:
    """The drawn pieces of a polyline whose pattern of strokes and gaps runs on round its corners."""
    part, left = 0, dash[0]
    for a, b in pairwise(points):
        length, done = math.dist(a, b), 0.0
        while done < length:
            step = min(left, length - done)
            if part % 2 == 0:
                yield _between(a, b, done / length), _between(a, b, (done + step) / length)
            done, left = done + step, left - step
            if left <= 1e-9:
                part += 1
                left = dash[part % len(dash)]


def _between(a: Point, b: Point, share: float) -> Point:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


@cache
def _font(px: float) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(px * _DOTS)


def _write(image: Image.Image, mark: Words) -> None:
    font, text, colour = _font(SIZES[mark.size]), printable(mark.text), LIGHT[mark.colour]
    bold = round(0.35 * _DOTS) if mark.bold else 0
    x, y = _at((mark.x, mark.y))
    halo = round(_HALO * _DOTS) if mark.halo else 0
    if not mark.turn_deg:
        draw = ImageDraw.Draw(image)
        if halo:
            draw.text((x, y), text, LIGHT["paper"], font, _ANCHORS[mark.anchor], stroke_width=halo + bold)
        draw.text((x, y), text, colour, font, _ANCHORS[mark.anchor], stroke_width=bold, stroke_fill=colour)
        return
    letters = Image.new("L", image.size, 0)
    ImageDraw.Draw(letters).text((x, y), text, 255, font, _ANCHORS[mark.anchor], stroke_width=bold)
    turned = letters.rotate(-mark.turn_deg, Image.Resampling.BICUBIC, center=(x, y))
    image.paste(Image.new("RGB", image.size, colour), mask=turned)
