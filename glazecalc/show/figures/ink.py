"""The few marks every picture is made of, and a figure: marks, words for those who cannot see it, its data table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

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


def heading(title: str, subtitle: str = "") -> list[Mark]:
    """Title and reading of a picture, in its upper left corner; the space below them begins at y = 50."""
    marks: list[Mark] = [Words(0, 15, title, "title", bold=True)]
    if subtitle:
        marks.append(Words(0, 34, subtitle, "small", colour="muted"))
    return marks
