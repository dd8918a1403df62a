"""A line too small for the scale: blend it dry with part of a larger line, or draw it from a stock in water.

Errors add up here as the worst case of every weighing: half a step of the scale each time, and the rounding
of what is taken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from glazecalc.chemistry.weights import scale_for, worst_error_percent
from glazecalc.values.inputs import Scale
from glazecalc.values.weighing import PreBlend, Split, Stock, WeighLine
from glazecalc.work.weighing.amount import slurry_figure

FOLDS: Final = (5, 10, 20, 50, 100)
"""How many times the small line's weight is taken of the blend."""
LARGEST_BLEND_G: Final = 500.0
SMALL_G: Final = 5.0
"""A line lighter than this is small [g] (judgement)."""
STIRRED_FAMILIES: Final = frozenset({"colourant"})
"""Families fine enough to be drawn from a stirred stock; feldspar, silica and clay settle (common practice)."""
STOCK_DRAW_ML: Final = 50.0
_NICE: Final = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)


def split(
    line: WeighLine, lines: Sequence[WeighLine], scales: Sequence[Scale], tolerance_percent: float, *, stirs: bool
) -> Split:
    """The ways to bring in ``line`` of a batch when the scale cannot weigh it well alone.

    ``stirs`` says that it is fine enough for a stock in water; what settles at once is not drawn from one, nor is a
    line of :data:`SMALL_G` or more, which would need a bucket of it.
    """
    alone = worst_error_percent(line.target_g, line.scale_g, line.resolution_g / 2)
    return Split(
        line.material, line.target_g, alone, pre_blend(line, lines, scales, tolerance_percent),
        stock(line, scales, tolerance_percent) if stirs and line.target_g < SMALL_G else None,
    )  # fmt: skip


def pre_blend(
    line: WeighLine, lines: Sequence[WeighLine], scales: Sequence[Scale], tolerance_percent: float
) -> PreBlend | None:
    """The dry blend within tolerance that takes least of the small material; else the most exact one; None
    if no other line is large enough. The carrier is the largest line of the base."""
    carriers = [other for other in lines if not other.addition and other.material != line.material]
    carrier = max(carriers, key=lambda other: other.target_g, default=None)
    if carrier is None:
        return None
    tried = [
        blend
        for fold in FOLDS
        if (fold - 1) * line.target_g <= carrier.target_g
        for start in _nice_grams(line.target_g, scales)
        if start * fold <= LARGEST_BLEND_G
        for blend in [_blend(line, carrier, fold, start, scales)]
    ]
    good = [blend for blend in tried if blend.error_percent <= tolerance_percent]
    if good:
        return min(good, key=lambda blend: (blend.blend_g + blend.carrier_blend_g, blend.error_percent))
    return min(tried, key=lambda blend: blend.error_percent, default=None)


def _nice_grams(least_g: float, scales: Sequence[Scale]) -> list[float]:
    step = min(s.resolution_g for s in scales)
    floor = max(least_g, min(s.minimum_g or s.resolution_g for s in scales))
    grams = (factor * 10.0**power for power in range(-3, 3) for factor in _NICE)
    return [g for g in grams if g >= floor and abs(g / step - round(g / step)) < 1e-6]


def _blend(line: WeighLine, carrier: WeighLine, fold: int, start_g: float, scales: Sequence[Scale]) -> PreBlend:
    rest = start_g * (fold - 1)
    take = line.target_g * fold
    step = scale_for(take, scales).resolution_g
    taken = max(round(take / step), 1) * step
    share = 1 / fold
    error = (
        (1 - share) * (_half_step(start_g, scales) / start_g + _half_step(rest, scales) / rest)
        + (abs(taken - take) + step / 2) / take
    )  # fmt: skip
    return PreBlend(
        line.material,
        carrier.material,
        start_g,
        rest,
        _tidy(taken),
        taken * (1 - share),
        100 * error,
    )


def _half_step(grams: float, scales: Sequence[Scale]) -> float:
    return scale_for(grams, scales).resolution_g / 2


def _tidy(grams: float) -> float:
    return float(f"{grams:.12g}")


def stock(line: WeighLine, scales: Sequence[Scale], tolerance_percent: float) -> Stock | None:
    """A stock in water of which :data:`STOCK_DRAW_ML` bring the line, as :func:`stock_of` has it."""
    return stock_of(line.material, line.target_g, scales, tolerance_percent, STOCK_DRAW_ML)


def stock_of(
    material: str, target_g: float, scales: Sequence[Scale], tolerance_percent: float, draw_mL: float
) -> Stock | None:
    """A stock in water of which ``draw_mL`` bring ``target_g``: the least stock that is within tolerance, else the
    most exact up to a litre; None if a litre is too little."""
    read = slurry_figure("syringe_error").value / draw_mL + slurry_figure("jug_error").value / 100
    tried = []
    for grams in _nice_grams(target_g, scales):
        volume = grams / target_g * draw_mL
        if volume > 1000 or not math.isfinite(volume):
            break
        error = 100 * (_half_step(grams, scales) / grams + read)
        tried.append(Stock(material, grams, volume, draw_mL, draw_mL - target_g / 2.6, error))
    good = [s for s in tried if s.error_percent <= tolerance_percent]
    return good[0] if good else min(tried, key=lambda s: s.error_percent, default=None)
