"""Hatching drawn as strokes, alike in SVG and PNG and on a black-and-white printer."""

from __future__ import annotations

import math
from collections.abc import Sequence

from glazecalc.show.figures.ink import Point, Strokes


def hatch(polygon: Sequence[Point], style: str, angle_deg: float = 45.0, spacing: float = 7.0) -> Strokes:
    """Parallel strokes over a convex polygon; the lines keep to one lattice, so neighbours join up."""
    across = (-math.sin(math.radians(angle_deg)), math.cos(math.radians(angle_deg)))
    heights = [x * across[0] + y * across[1] for x, y in polygon]
    first, last = math.ceil(min(heights) / spacing), math.floor(max(heights) / spacing)
    segments = []
    for i in range(first, last + 1):
        ends = _crossings(polygon, heights, i * spacing)
        if len(ends) >= 2 and math.dist(ends[0], ends[-1]) > 0.5:
            segments.append((ends[0], ends[-1]))
    return Strokes(tuple(segments), style)


def _crossings(polygon: Sequence[Point], heights: Sequence[float], level: float) -> list[Point]:
    found: list[Point] = []
    for i, (x1, y1) in enumerate(polygon):
        j = (i + 1) % len(polygon)
        a, b = heights[i], heights[j]
        if (a - level) * (b - level) < 0:
            t = (level - a) / (b - a)
            found.append((x1 + t * (polygon[j][0] - x1), y1 + t * (polygon[j][1] - y1)))
    return sorted(found)


def hatched_box(
    x: float, y: float, width: float, height: float, style: str, angle_deg: float = 45.0, spacing: float = 7.0
) -> Strokes:
    """Hatching over a rectangle."""
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return hatch(corners, style, angle_deg, spacing)
