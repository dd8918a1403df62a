"""From data to places on the paper: a linear scale, ticks at round numbers, axes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from glazecalc.show.figures.ink import SIZES, WIDTH, Mark, Strokes, Words
from glazecalc.show.figures.lettering import text_width
from glazecalc.show.numbers import rounded


@dataclass(frozen=True, slots=True)
class Scale:
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


def axis_below(scale: Scale, y: float, title: str, about: int = 8, title_below: float = 34.0) -> list[Mark]:
    """A horizontal axis with its ticks beneath it and its title under them."""
    places = ticks(scale.low, scale.high, about)
    step = tick_step(scale.low, scale.high, about)
    strokes = [((scale.start, y), (scale.end, y)), *(((scale(t), y), (scale(t), y + 5)) for t in places)]
    marks: list[Mark] = [Strokes(tuple(strokes), "axis")]
    marks += [
        Words(inside(scale(t), tick_text(t, step)), y + 18, tick_text(t, step), "small", "middle", "muted")
        for t in places
    ]
    if title:
        marks.append(Words((scale.start + scale.end) / 2, y + title_below, title, "small", "middle", "muted"))
    return marks


def inside(x: float, text: str) -> float:
    """``x``, moved so that a small text centred on it stays within the picture."""
    half = text_width(text, SIZES["small"]) / 2
    return min(max(x, half), WIDTH - half)


def axis_left(scale: Scale, x: float, right: float, title: str, about: int = 6) -> list[Mark]:
    """A vertical axis with faint lines across to ``right``; its title stands above it."""
    places = ticks(min(scale.low, scale.high), max(scale.low, scale.high), about)
    step = tick_step(min(scale.low, scale.high), max(scale.low, scale.high), about)
    marks: list[Mark] = [Strokes(tuple(((x, scale(t)), (right, scale(t))) for t in places), "grid")]
    marks += [Words(x - 6, scale(t) + 4, tick_text(t, step), "small", "end", "muted") for t in places]
    marks.append(Words(0, min(scale.start, scale.end) - 12, title, "small", "start", "muted"))
    return marks
