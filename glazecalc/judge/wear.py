"""Do the hours per firing creep up? The early warning of worn elements."""

from __future__ import annotations

import math
from collections.abc import Sequence

from glazecalc.values.kiln_report import WearTrend
from glazecalc.values.verdict import Answer, Verdict

RULE = "element_wear"
FEWEST = 4
GROWTH_TO_WARN = 0.10
SURE = 2.0
"""Standard errors by which the trend must stand out."""


def judge_wear(hours: Sequence[float]) -> WearTrend:
    """Trend of the hours of like firings, oldest first: a line through ln(hours) against the firing's number.

    Warns where the line has risen by a tenth or more over the record and stands out of the scatter.
    """
    told = tuple(hours)
    if len(told) < FEWEST:
        text = f"{len(told)} like firing(s) with hours are recorded; {FEWEST} are needed to see a trend."
        return WearTrend(Verdict(RULE, Answer.NOT_ASKED, text), told, None)
    slope, error = _line([math.log(h) for h in told])
    growth = math.expm1(slope * (len(told) - 1))
    per_firing = 100.0 * math.expm1(slope)
    if growth >= GROWTH_TO_WARN and slope > SURE * error:
        text = (
            f"Warning: like firings have grown longer by about {100 * growth:.0f} % over {len(told)} firings."
            " Worn elements or lower volts do this before a firing fails. With the kiln unplugged and"
            " cold have the"
            " elements' resistance measured against the maker's figure, and the volts measured under load."
        )
        return WearTrend(Verdict(RULE, Answer.CANNOT_SAY, text), told, per_firing)
    text = f"Hours of {len(told)} like firings show no growth that stands out."
    return WearTrend(Verdict(RULE, Answer.FITS, text), told, per_firing)


def _line(values: Sequence[float]) -> tuple[float, float]:
    """Slope per step and its standard error, least squares."""
    n = len(values)
    middle, mean = (n - 1) / 2, sum(values) / n
    square = sum((i - middle) ** 2 for i in range(n))
    slope = sum((i - middle) * (v - mean) for i, v in enumerate(values)) / square
    rest = sum((v - mean - slope * (i - middle)) ** 2 for i, v in enumerate(values))
    return slope, math.sqrt(rest / (n - 2) / square)
