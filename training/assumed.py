"""What two assumed numbers of the viscosity model did on melts that no fit has used, all measured before 2010.

How much an interval widens outside the domain (``stretch``) and with small additions (``per_small_percent``) is
measured for the other models and assumed for this one. Here is what the shipped model does there; nothing is set from
it.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from glazecalc.models.domain import SMALL_ADDITIONS, SMALL_LIMIT, coefficients
from glazecalc.models.viscosity import temperature_at
from glazecalc.values.oxides import INDEX
from training.data import Array, Glasses, Mask, in_fixed_order
from training.split import glaze_paper_range, split
from training.surface import nearness
from training.viscosity import Points, all_points

_LEVELS: Final = (2.0, 4.0)
_FAR: Final = 0.02
"""Nearness to the glaze core below which no melt is fitted."""
_LEAST_SILICA: Final = 0.35
_LEAST_SMALL: Final = 0.005


def _compositions(glasses: Glasses, records: Any) -> Array:
    """Mole fractions (n, k) of records with their small additions."""
    x = in_fixed_order(glasses.composition[records] * glasses.share[records, None])
    for symbol in SMALL_ADDITIONS:
        if symbol in glasses.other.columns:
            x[:, INDEX[symbol]] = glasses.other[symbol].to_numpy(dtype=float)[records]
    return x


def _seen(glasses: Glasses, points: Points, use: Mask, outside_only: bool) -> dict[str, Any]:
    """Melts, points, share inside the interval, and the error over the half width that 90 % of the points keep."""
    level = points.log_viscosity
    rows = np.flatnonzero(use[points.record] & (level >= _LEVELS[0]) & (level <= _LEVELS[1]))
    answer = temperature_at(_compositions(glasses, points.record[rows]), level[rows], practice="glass")
    kept = answer.extrapolated if outside_only else ~answer.extrapolated
    ratio = (np.abs(points.degC[rows] - answer.value) / (answer.high - answer.value))[kept]
    records = points.record[rows][kept]
    return {
        "melts": len(np.unique(records)),
        "papers": len(np.unique(glasses.paper[records])),
        "points": len(ratio),
        "inside": round(float(np.mean(ratio <= 1.0)), 3),
        "error_over_half_width_p90": round(float(np.quantile(ratio, 0.9)), 2),
    }


def assumed_widenings(glasses: Glasses) -> dict[str, Any]:
    """What was seen at log10 viscosity 2 to 4 outside the domain and with small additions, and what is assumed."""
    points, allowed = all_points(glasses), split(glasses).fit
    present = [symbol for symbol in SMALL_ADDITIONS if symbol in glasses.other.columns]
    small = glasses.other[present].sum(axis=1).to_numpy(dtype=float)
    far = allowed & (glasses.share >= 0.99) & (nearness(glasses.composition) < _FAR)
    far &= glasses.composition[:, 0] >= _LEAST_SILICA
    coloured = allowed & (small >= _LEAST_SMALL) & (small <= SMALL_LIMIT) & (glasses.share + small >= 0.995)
    coloured &= glaze_paper_range(glasses.composition, np.ones(len(small)))
    spread = coefficients("viscosity")["spread"]
    return {
        "stretch": spread["stretch"],
        "per_small_percent_K": round(float(spread["per_small_percent"]), 1),
        "outside": _seen(glasses, points, far, True),
        "small_additions": _seen(glasses, points, coloured, False),
    }
