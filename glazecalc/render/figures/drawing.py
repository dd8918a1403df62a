"""Colours and line styles of every picture and page, in light, dark and print.

Marks stand out from the paper by at least 3:1 and letters by 4.5:1 in every theme; a test measures it. Colour never
speaks alone: what differs in colour differs in pattern, dash or shape as well.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from typing import Final, Literal

from glazecalc.render.words import rounded

Theme = dict[str, str]

LIGHT: Final[Theme] = {
    "paper": "#ffffff", "ink": "#1d2627", "muted": "#525e5f", "rule": "#818c8c", "faint": "#dfe3e1",
    "glaze": "#17646e", "clay": "#9a4a1f", "kiln": "#574a85", "wash": "#eef4f3", "hatch": "#8a8577",
}  # fmt: skip
DARK: Final[Theme] = {
    "paper": "#151b1c", "ink": "#e9edec", "muted": "#aeb8b7", "rule": "#76827f", "faint": "#2d3637",
    "glaze": "#62c4ce", "clay": "#e39b6b", "kiln": "#b8aaea", "wash": "#1d2829", "hatch": "#857f70",
}  # fmt: skip
PRINT: Final[Theme] = {
    "paper": "#ffffff", "ink": "#000000", "muted": "#000000", "rule": "#666666", "faint": "#cccccc",
    "glaze": "#0d454c", "clay": "#6d3413", "kiln": "#3b3160", "wash": "#ffffff", "hatch": "#767676",
}  # fmt: skip
LETTERS: Final = ("ink", "muted", "glaze", "clay", "kiln")
"""Colours that letters are written in."""


@dataclass(frozen=True, slots=True)
class Style:
    """How a mark is drawn: colours by name or None, line width [px], dash pattern [px], opacity of the fill."""

    line: str | None = None
    fill: str | None = None
    width: float = 1.0
    dash: tuple[float, ...] = ()
    opacity: float = 1.0


STYLES: Final[dict[str, Style]] = {
    "axis": Style("muted", None, 1.0),
    "grid": Style("faint", None, 1.0),
    "edge": Style("rule", None, 1.0, (4, 3)),
    "frame": Style("rule", None, 1.0),
    "wash": Style(None, "wash"),
    "paper": Style(None, "paper"),
    "hatch": Style("hatch", None, 0.8),
    "asked": Style("ink", None, 1.6),
    "notch": Style("paper", None, 2.4, (3, 2)),
    "glaze": Style("glaze", "glaze", 1.0),
    "glaze-line": Style("glaze", None, 2.2),
    "glaze-band": Style("glaze", "glaze", 0.8, (), 0.18),
    "glaze-open": Style("glaze", "paper", 1.8),
    "clay": Style("clay", "clay", 1.0),
    "clay-line": Style("clay", None, 2.0, (7, 4)),
    "clay-open": Style("clay", "paper", 1.8),
    "clay-hatch": Style("clay", None, 1.3),
    "kiln": Style("kiln", "kiln", 1.0),
    "kiln-open": Style("kiln", "paper", 1.8),
    "kiln-line": Style("kiln", None, 1.8, (2, 3)),
    "kiln-hatch": Style("kiln", None, 1.3),
    "kiln-band": Style("kiln", "kiln", 0.6, (), 0.16),
    "kiln-thin": Style("kiln", None, 1.4),
    "clay-band": Style(None, "clay", 0.0, (), 0.22),
    "clay-solid": Style("clay", None, 2.2),
    "handle": Style("clay", None, 5.0),
    "cross": Style("glaze", None, 2.4),
    "cell": Style("rule", None, 1.2),
    "cell-doubt": Style("rule", None, 1.2, (4, 3)),
    "plain": Style("ink", "paper", 1.2),
    "solid": Style("ink", "ink", 1.0),
    "leader": Style("rule", None, 0.8),
}  # fmt: skip


def variables(theme: Theme) -> str:
    """The theme as CSS custom properties."""
    return "".join(f"--gc-{name}:{colour};" for name, colour in theme.items())


def themes_css(selector: str = ":root") -> str:
    """The three themes: light by default, dark where the reader asks for it, black on white in print."""
    return (
        f"{selector}{{{variables(LIGHT)}}}"
        f"@media (prefers-color-scheme: dark){{{selector}{{{variables(DARK)}}}}}"
        f"@media print{{{selector}{{{variables(PRINT)}}}}}"
    )


def marks_css(scope: str = ".gc") -> str:
    """A class per style, and the lettering of pictures."""
    rules = [f"{scope} text{{font-family:{FONT};fill:var(--gc-ink);}}"]
    rules += [f"{scope} .t-{name}{{fill:var(--gc-{name});}}" for name in LETTERS]
    rules.append(f"{scope} .halo{{paint-order:stroke;stroke:var(--gc-paper);stroke-width:3px;stroke-linejoin:round;}}")
    for name, style in STYLES.items():
        line = f"stroke:var(--gc-{style.line});stroke-width:{style.width:g};" if style.line else "stroke:none;"
        fill = f"fill:var(--gc-{style.fill});" if style.fill else "fill:none;"
        dash = f"stroke-dasharray:{' '.join(f'{d:g}' for d in style.dash)};" if style.dash else ""
        faint = f"fill-opacity:{style.opacity:g};" if style.opacity < 1 else ""
        rules.append(f"{scope} .m-{name}{{{line}{fill}{dash}{faint}}}")
    return "".join(rules)


FONT: Final = "'Helvetica Neue',Helvetica,Arial,'Liberation Sans',sans-serif"


# The few marks every picture is made of, and a figure: marks, words for those who cannot see it, its data table.

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]
Size = Literal["title", "label", "small"]

SIZES: dict[Size, float] = {"title": 15.0, "label": 12.5, "small": 11.0}
"""The one scale of type [px]."""
WIDTH = 640.0
"""Width of every full picture [px]; heights differ."""


@dataclass(frozen=True, slots=True)
class Path:
    """A polyline, or a polygon where ``closed``."""

    points: tuple[Point, ...]
    style: str
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Strokes:
    """Many straight strokes that belong together: a grid, a hatching, ticks."""

    segments: tuple[tuple[Point, Point], ...]
    style: str


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle with its upper left corner at ``x``, ``y``; ``radius`` rounds its corners."""

    x: float
    y: float
    width: float
    height: float
    style: str
    radius: float = 0.0


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle."""

    x: float
    y: float
    radius: float
    style: str


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text on its baseline. ``halo`` lifts it off what lies beneath; ``turn_deg`` turns it clockwise."""

    x: float
    y: float
    text: str
    size: Size = "label"
    anchor: Anchor = "start"
    colour: str = "ink"
    bold: bool = False
    halo: bool = False
    turn_deg: float = 0.0


Mark = Path | Strokes | Box | Disc | Words


@dataclass(frozen=True, slots=True)
class DataTable:
    """The figures behind a picture, as text."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture ready to be written: ``name`` is its file stem and identifier."""

    name: str
    title: str
    description: str
    width: float
    height: float
    marks: tuple[Mark, ...]
    table: DataTable


def diamond(x: float, y: float, radius: float, style: str) -> Path:
    """A square on its corner, the mark that goes with the clay."""
    return Path(((x, y - radius), (x + radius, y), (x, y + radius), (x - radius, y)), style, closed=True)


def line(a: Point, b: Point, style: str) -> Path:
    """A straight line."""
    return Path((a, b), style)


def small(x: float, y: float, text: str, anchor: Anchor = "start") -> Words:
    """A small text that holds back: what stands on an axis, or explains."""
    return Words(x, y, text, "small", anchor, "muted")


def heading(title: str, subtitle: str = "") -> list[Mark]:
    """Title and reading of a picture, in its upper left corner; the space below them begins at y = 50."""
    marks: list[Mark] = [Words(0, 15, title, "title", bold=True)]
    if subtitle:
        marks.append(small(0, 34, subtitle))
    return marks


# A figure as SVG: within a page (styled by the page) or as a file of its own (styled by itself).

_PAD = 2
"""Room around a picture for the width of its lines [px]."""
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")


def safe(text: str) -> str:
    """``text`` escaped for XML and HTML, with the signs that XML forbids replaced.

    >>> safe('<b> & "x"')
    '&lt;b&gt; &amp; &quot;x&quot;'
    """
    return escape(printable(text), quote=True)


def printable(text: str) -> str:
    """``text`` with the signs that no page and no picture can hold replaced."""
    return _CONTROL.sub("\N{REPLACEMENT CHARACTER}", text)


def inline_svg(figure: Figure, prefix: str = "") -> str:
    """The figure for a page: described, without a style of its own; ``prefix`` keeps its ids unique."""
    return _svg(figure, f"{prefix}{figure.name}", "")


def svg_file(figure: Figure) -> str:
    """The figure as a file that stands alone, light or dark as its reader wishes."""
    style = f"<style>{themes_css('svg')}{marks_css('svg')}svg{{background:var(--gc-paper);}}</style>"
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + _svg(figure, figure.name, style) + "\n"


def _svg(figure: Figure, name: str, style: str) -> str:
    body = "".join(map(_mark, figure.marks))
    box = f"{-_PAD} {-_PAD} {figure.width + 2 * _PAD:g} {figure.height + 2 * _PAD:g}"
    title, desc = f"{name}-title", f"{name}-desc"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="gc" viewBox="{box}" role="img" '
        f'aria-labelledby="{title} {desc}">{style}'
        f'<title id="{title}">{safe(figure.title)}</title><desc id="{desc}">{safe(figure.description)}</desc>'
        f"{body}</svg>"
    )


def _n(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0")


def _mark(mark: Mark) -> str:
    match mark:
        case Words():
            return _words(mark)
        case Box(x, y, width, height, style, radius):
            corners = f' rx="{_n(radius)}"' if radius else ""
            size = f'width="{_n(width)}" height="{_n(height)}"'
            return f'<rect class="m-{style}" x="{_n(x)}" y="{_n(y)}" {size}{corners}/>'
        case Disc(x, y, radius, style):
            return f'<circle class="m-{style}" cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"/>'
        case Strokes(segments, style):
            course = "".join(f"M{_n(a)} {_n(b)}L{_n(c)} {_n(d)}" for (a, b), (c, d) in segments)
        case Path(points, style, closed):
            course = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points) + ("Z" if closed else "")
    return f'<path class="m-{style}" d="{course}"/>'


def _words(mark: Words) -> str:
    """One line of text, held to the width it was placed by: a wider font is drawn narrower, and nothing is cut."""
    classes = [f"t-{mark.colour}"] if mark.colour in LETTERS and mark.colour != "ink" else []
    classes += ["halo"] if mark.halo else []
    attributes = f' class="{" ".join(classes)}"' if classes else ""
    attributes += f' text-anchor="{mark.anchor}"' if mark.anchor != "start" else ""
    attributes += ' font-weight="600"' if mark.bold else ""
    if mark.text and max(mark.text) < "\u0100":
        length = text_width(mark.text, SIZES[mark.size], mark.bold) / _MARGIN
        attributes += f' textLength="{_n(length)}" lengthAdjust="spacingAndGlyphs"'
    if mark.turn_deg:
        attributes += f' transform="rotate({mark.turn_deg:g} {_n(mark.x)} {_n(mark.y)})"'
    return (
        f'<text x="{_n(mark.x)}" y="{_n(mark.y)}" font-size="{SIZES[mark.size]:g}"{attributes}>{safe(mark.text)}</text>'
    )


# How wide a text will be, so that it is shortened, shrunk or wrapped before it is cut off.

_NARROW: Final = {
    **dict.fromkeys(" !,./:;I[\\]ft|", 0.278), **dict.fromkeys("'`ijl", 0.222), **dict.fromkeys('"', 0.355),
    **dict.fromkeys("()-r{}", 0.334), **dict.fromkeys("*", 0.389), **dict.fromkeys("Jckvxyzs", 0.5),
    **dict.fromkeys("+<=>~", 0.584), **dict.fromkeys("&ABEKPSVXY", 0.667), **dict.fromkeys("CDHNRUw", 0.722),
    **dict.fromkeys("FTZ", 0.611), **dict.fromkeys("GOQ", 0.778), **dict.fromkeys("Mm", 0.833), "%": 0.889, "^": 0.469,
    "W": 0.944, "@": 1.015, "\N{DEGREE SIGN}": 0.4,
}  # fmt: skip
"""Advance widths of Helvetica [em] by its public metrics; what is not listed is 0.556."""
_MARGIN: Final = 1.05


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of a line set in the page's sans-serif at ``size`` [px or any unit]; a little too much, never too little.

    >>> text_width("iii", 10) < text_width("WWW", 10)
    True
    """
    ems = sum(_NARROW.get(c, 0.556 if c.isascii() else 1.0 if ord(c) > 0x2E80 else 0.65) for c in text)
    return ems * size * _MARGIN * (1.07 if bold else 1.0)


def shortened(text: str, width: float, size: float, bold: bool = False) -> str:
    """``text``, or as much of it as fits in ``width`` with three dots after it.

    >>> shortened("Harbour stoneware with a long name", 60, 10)
    'Harbour st...'
    """
    if text_width(text, size, bold) <= width:
        return text
    while text and text_width(text.rstrip() + "...", size, bold) > width:
        text = text[:-1]
    return text.rstrip() + "..."


def wrapped(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """``text`` in lines no wider than ``width``; a word too long for a line is broken."""
    lines: list[str] = []
    last = ""
    for word in text.split():
        tried = f"{last} {word}" if last else word
        if text_width(tried, size, bold) <= width:
            last = tried
            continue
        if last:
            lines.append(last)
        last = ""
        for c in word:
            if last and text_width(last + c, size, bold) > width:
                lines.append(last)
                last = ""
            last += c
    return [*lines, last] if last else lines


# From data to places on the paper: a linear scale, ticks at round numbers, axes.


@dataclass(frozen=True, slots=True)
class AxisScale:
    """Data from ``low`` to ``high`` lie on the paper from ``start`` to ``end`` [px]."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Place of ``value`` [px]."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def held(self, value: float) -> float:
        """Place of ``value``, held at the ends of the axis [px]."""
        return self(min(max(value, self.low), self.high))


def tick_step(low: float, high: float, about: int) -> float:
    """A round step, 1, 2 or 5 times a power of ten, that gives at most ``about`` steps.

    >>> tick_step(0, 10, 5), tick_step(1100, 1300, 6)
    (2.0, 50.0)
    """
    rough = (high - low) / about
    power = 10.0 ** math.floor(math.log10(rough))
    return next(m * power for m in (1, 2, 5, 10) if m * power >= rough * (1 - 1e-9))


def ticks(low: float, high: float, about: int = 6) -> list[float]:
    """Round numbers within ``low`` to ``high``.

    >>> ticks(0.2, 2.1, 4)
    [0.5, 1.0, 1.5, 2.0]
    """
    step = tick_step(low, high, about)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [i * step for i in range(first, last + 1)]


def tick_text(value: float, step: float) -> str:
    """A tick with as many decimals as its step needs."""
    return rounded(value, max(0, -math.floor(math.log10(step) + 1e-9)))


def axis_below(scale: AxisScale, y: float, title: str, about: int = 8) -> list[Mark]:
    """A horizontal axis with its ticks beneath it and its title under them."""
    places = ticks(scale.low, scale.high, about)
    step = tick_step(scale.low, scale.high, about)
    strokes = [((scale.start, y), (scale.end, y)), *(((scale(t), y), (scale(t), y + 5)) for t in places)]
    marks: list[Mark] = [Strokes(tuple(strokes), "axis")]
    for place in places:
        text = tick_text(place, step)
        marks.append(small(inside(scale(place), text), y + 18, text, "middle"))
    if title:
        marks.append(small((scale.start + scale.end) / 2, y + 34, title, "middle"))
    return marks


def inside(x: float, text: str) -> float:
    """``x``, moved so that a small text centred on it stays within the picture."""
    half = text_width(text, SIZES["small"]) / 2
    return min(max(x, half), WIDTH - half)


def axis_left(scale: AxisScale, x: float, right: float, title: str, about: int = 6) -> list[Mark]:
    """A vertical axis with faint lines across to ``right``; its title stands above it."""
    places = ticks(min(scale.low, scale.high), max(scale.low, scale.high), about)
    step = tick_step(min(scale.low, scale.high), max(scale.low, scale.high), about)
    marks: list[Mark] = [Strokes(tuple(((x, scale(t)), (right, scale(t))) for t in places), "grid")]
    marks += [small(x - 6, scale(t) + 4, tick_text(t, step), "end") for t in places]
    return [*marks, small(0, min(scale.start, scale.end) - 12, title)]


# Hatching drawn as strokes, alike in SVG and PNG and on a black-and-white printer.


def hatch(polygon: Sequence[Point], style: str, angle_deg: float = 45.0, spacing: float = 7.0) -> Strokes:
    """Parallel strokes over a convex polygon; the lines keep to one lattice, so neighbours join up."""
    across = (-math.sin(math.radians(angle_deg)), math.cos(math.radians(angle_deg)))
    corners = [((x, y), x * across[0] + y * across[1]) for x, y in polygon]
    heights = [height for _, height in corners]
    segments = []
    for i in range(math.ceil(min(heights) / spacing), math.floor(max(heights) / spacing) + 1):
        ends: list[Point] = []
        for ((x1, y1), a), ((x2, y2), b) in pairwise((*corners, corners[0])):
            if (a - i * spacing) * (b - i * spacing) < 0:
                t = (i * spacing - a) / (b - a)
                ends.append((x1 + t * (x2 - x1), y1 + t * (y2 - y1)))
        if len(ends) >= 2 and math.dist(min(ends), max(ends)) > 0.5:
            segments.append((min(ends), max(ends)))
    return Strokes(tuple(segments), style)


def hatched_box(
    x: float, y: float, width: float, height: float, style: str, angle_deg: float = 45.0, spacing: float = 7.0
) -> Strokes:
    """Hatching over a rectangle."""
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return hatch(corners, style, angle_deg, spacing)
