"""Figures in the units a user reads: temperature, mass, length, volume. Conversion happens here and in read."""

from __future__ import annotations

from dataclasses import replace

from glazecalc.values.estimate import Estimate
from glazecalc.values.inputs import UnitChoice


def fahrenheit(degC: float) -> float:
    """A temperature in degF.

    >>> fahrenheit(100.0)
    212.0
    """
    return degC * 9 / 5 + 32


def in_units(estimate: Estimate, units: UnitChoice) -> Estimate:
    """The estimate in the user's units; unchanged where its quantity has no choice."""
    if estimate.unit == "degC" and units.temperature == "F":
        low, value, high = (fahrenheit(x) for x in (estimate.low, estimate.value, estimate.high))
        return replace(estimate, value=value, low=low, high=high, unit="degF")
    return estimate
