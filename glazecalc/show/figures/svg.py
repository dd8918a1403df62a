"""A figure as SVG: within a page (styled by the page) or as a file of its own (styled by itself)."""

from __future__ import annotations

import re
from html import escape

from glazecalc.show.figures.ink import SIZES, Box, Disc, Figure, Mark, Path, Strokes, Words
from glazecalc.show.figures.palette import LETTERS, marks_css, themes_css

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
    body = "".join(_mark(mark) for mark in figure.marks)
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
    if isinstance(mark, Words):
        return _words(mark)
    if isinstance(mark, Box):
        round_ = f' rx="{_n(mark.radius)}"' if mark.radius else ""
        return (
            f'<rect class="m-{mark.style}" x="{_n(mark.x)}" y="{_n(mark.y)}" '
            f'width="{_n(mark.width)}" height="{_n(mark.height)}"{round_}/>'
        )
    if isinstance(mark, Disc):
        return f'<circle class="m-{mark.style}" cx="{_n(mark.x)}" cy="{_n(mark.y)}" r="{_n(mark.radius)}"/>'
    return _path(mark)


def _path(mark: Path | Strokes) -> str:
    if isinstance(mark, Strokes):
        course = "".join(f"M{_n(a)} {_n(b)}L{_n(c)} {_n(d)}" for (a, b), (c, d) in mark.segments)
    else:
        course = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in mark.points) + ("Z" if mark.closed else "")
    return f'<path class="m-{mark.style}" d="{course}"/>'


def _words(mark: Words) -> str:
    classes = [f"t-{mark.colour}"] if mark.colour in LETTERS and mark.colour != "ink" else []
    classes += ["halo"] if mark.halo else []
    attributes = f' class="{" ".join(classes)}"' if classes else ""
    attributes += f' text-anchor="{mark.anchor}"' if mark.anchor != "start" else ""
    attributes += ' font-weight="600"' if mark.bold else ""
    if mark.turn_deg:
        attributes += f' transform="rotate({mark.turn_deg:g} {_n(mark.x)} {_n(mark.y)})"'
    return (
        f'<text x="{_n(mark.x)}" y="{_n(mark.y)}" font-size="{SIZES[mark.size]:g}"{attributes}>{safe(mark.text)}</text>'
    )
