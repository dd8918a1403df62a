"""Shrinkage and water absorption of clay, from a ruler and a scale."""

from __future__ import annotations


def shrinkage_percent(before_mm: float, after_mm: float) -> float:
    """Linear shrinkage [% of the length before].

    >>> shrinkage_percent(100, 87)
    13.0
    """
    return 100 * (before_mm - after_mm) / before_mm


def total_shrinkage_percent(drying_percent: float, firing_percent: float) -> float:
    """Wet to fired [%]: the two stages multiply, they do not add.

    >>> round(total_shrinkage_percent(6, 7), 2)
    12.58
    """
    return 100 * (1 - (1 - drying_percent / 100) * (1 - firing_percent / 100))


def absorption_percent(fired_g: float, soaked_g: float) -> float:
    """Water absorption [% of the fired weight], soaked by two hours of boiling and cooling in the water."""
    return 100 * (soaked_g - fired_g) / fired_g
