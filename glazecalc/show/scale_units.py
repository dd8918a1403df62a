"""The unit of the scale at hand: what is weighed is told in it, whatever else is read in."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final, Literal

from glazecalc.values.inputs import UnitChoice
from glazecalc.values.units import convert

MassUnit = Literal["g", "oz", "lb"]
_UNITS: Final[tuple[MassUnit, ...]] = ("g", "oz", "lb")
_STEPS: Final = (1.0, 1.25, 2.0, 2.5, 5.0, 6.25, 10.0)
"""First digits of the steps that scales show: ones, twos, fives, quarters, eighths and sixteenths (common practice)."""
_ROUND: Final = 0.002
"""A step within this share of such a one was meant to be it: 2.835 g is 0.1 oz."""


def at_the_scale(units: UnitChoice, steps_g: Iterable[float]) -> UnitChoice:
    """``units`` with masses in the unit of the scales that show these steps [g]: the chosen one where they are steps
    of it, and where they are steps of none.

    >>> us = UnitChoice(mass="oz", volume="fl oz")
    >>> [at_the_scale(us, [step]).mass for step in (0.1, 2.8349523125)]
    ['g', 'oz']
    """
    steps = tuple(steps_g)
    for mass in (units.mass, *_UNITS):
        if all(_is_step(convert(step, "g", mass, "mass")) for step in steps):
            return units.model_copy(update={"mass": mass})
    return units


def scale_note(asked: UnitChoice, told: UnitChoice) -> str:
    """Says that weights are told in another unit than was asked for; empty where they are not."""
    if asked.mass == told.mass:
        return ""
    return f"Weights are in {told.mass}, the unit of this scale, not in {asked.mass}."


def _is_step(step: float) -> bool:
    first = step / 10.0 ** math.floor(math.log10(step))
    return any(abs(first - usual) <= _ROUND * usual for usual in _STEPS)
