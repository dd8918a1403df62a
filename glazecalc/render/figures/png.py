"""A figure as PNG, from the same marks, through matplotlib: black and colours on white."""

from __future__ import annotations

import warnings
from pathlib import Path as FilePath
from typing import Any

from glazecalc.render.figures.drawing import LIGHT, SIZES, STYLES, Box, Disc, Figure, Mark, Strokes, Words, printable

DOTS_PER_INCH = 192
_PX_PER_INCH = 96.0
_POINTS_PER_PX = 0.75
_NARROWER = 0.9
"""matplotlib's own letters are wider than those of the page by about a tenth."""
_PAD = 6.0


def write_png(figure: Figure, path: FilePath) -> None:
    """Write the figure to ``path`` at twice its size on screen."""
    from matplotlib.figure import Figure as Canvas

    width, height = figure.width + 2 * _PAD, figure.height + 2 * _PAD
    canvas = Canvas(figsize=(width / _PX_PER_INCH, height / _PX_PER_INCH), dpi=DOTS_PER_INCH, facecolor="white")
    axes: Any = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(-_PAD, width - _PAD)
    axes.set_ylim(height - _PAD, -_PAD)
    axes.axis("off")
    for order, mark in enumerate(figure.marks):
        _add(axes, mark, order + 1)
    notes = {"Title": printable(figure.title), "Description": printable(figure.description)}
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph", category=UserWarning)
        canvas.savefig(path, format="png", metadata=notes)


def _look(style: str) -> dict[str, Any]:
    found = STYLES[style]
    width = found.width * _POINTS_PER_PX
    dash = [d / found.width for d in found.dash]
    fill = (LIGHT[found.fill], found.opacity) if found.fill else "none"
    return {
        "edgecolor": LIGHT[found.line] if found.line else "none", "facecolor": fill, "linewidth": width,
        "linestyle": (0, tuple(dash)) if dash else "-",
    }  # fmt: skip


def _add(axes: Any, mark: Mark, order: int) -> None:
    from matplotlib import patches
    from matplotlib.collections import LineCollection

    if isinstance(mark, Words):
        _write(axes, mark, order)
        return
    look = _look(mark.style) | {"zorder": order}
    if isinstance(mark, Strokes):
        look.pop("facecolor")
        axes.add_collection(LineCollection([list(s) for s in mark.segments], colors=look.pop("edgecolor"), **look))
    elif isinstance(mark, Box):
        style = f"round,pad=0,rounding_size={mark.radius}" if mark.radius else "square,pad=0"
        axes.add_patch(patches.FancyBboxPatch((mark.x, mark.y), mark.width, mark.height, boxstyle=style, **look))
    elif isinstance(mark, Disc):
        axes.add_patch(patches.Circle((mark.x, mark.y), mark.radius, **look))
    elif mark.closed:
        axes.add_patch(patches.Polygon(list(mark.points), closed=True, **look))
    else:
        xs, ys = zip(*mark.points, strict=True)
        axes.plot(
            xs, ys, color=look["edgecolor"], linewidth=look["linewidth"], linestyle=look["linestyle"], zorder=order
        )


def _write(axes: Any, mark: Words, order: int) -> None:
    from matplotlib import patheffects

    side = {"start": "left", "middle": "center", "end": "right"}[mark.anchor]
    halo = [patheffects.withStroke(linewidth=2.2, foreground="white")] if mark.halo else None
    text = printable(mark.text).replace("$", r"\$")
    axes.text(
        mark.x, mark.y, text, fontsize=SIZES[mark.size] * _POINTS_PER_PX * _NARROWER,
        color=LIGHT[mark.colour], ha=side, va="baseline", fontweight="bold" if mark.bold else "normal",
        rotation=-mark.turn_deg, rotation_mode="anchor", path_effects=halo, zorder=order,
    )  # fmt: skip
