"""Shrinkage and water absorption of clay, from a ruler and a scale."""

from __future__ import annotations


def shrinkage_percent(before_mm: float, after_mm: float) -> float:
    """Linear shrinkage [% of the length before].

    >>> shrinkage_percent(100, 87)
    13.0
    """
    return 100 * (before_mm - after_mm) / before_mm


def length_after_mm(before_mm: float, percent: float) -> float:
    """Length [mm] after a shrinkage of ``percent`` of the length before. Stages multiply: 6 and 7 % are not 13 %.

    >>> round(length_after_mm(length_after_mm(100, 6), 7), 2)
    87.42
    """
    return before_mm * (1 - percent / 100)


def absorption_percent(fired_g: float, soaked_g: float) -> float:
    """Water absorption [% of the fired weight], soaked by two hours of boiling and cooling in the water."""
    return 100 * (soaked_g - fired_g) / fired_g
