"""A number that never travels alone: value, 90 % interval, unit, basis, sources, caveats."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum


class Basis(StrEnum):
    """Where an estimate comes from, best first."""

    MEASURED = "measured"
    LEARNED = "learned"
    SUPPLIER = "supplier"
    STATED = "stated"
    MODEL = "model"
    TYPICAL = "typical"
    EXTRAPOLATED = "extrapolated"


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its 90 % interval.

    ``value``, ``low`` and ``high`` are in ``unit`` and obey ``low <= value <= high``; all finite.

    Raises
    ------
    ValueError
        if a number is not finite or the interval does not hold its value.
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    basis: Basis
    sources: tuple[str, ...] = ()
    caveats: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not all(math.isfinite(x) for x in (self.value, self.low, self.high)):
            raise ValueError(f"estimate {self.name!r} holds a number that is not finite")
        if not self.low <= self.value <= self.high:
            raise ValueError(f"estimate {self.name!r}: {self.value} is outside {self.low} .. {self.high}")

    @property
    def extrapolated(self) -> bool:
        """Whether no verdict may rest on this estimate."""
        return self.basis is Basis.EXTRAPOLATED


def percent_words(probability: float) -> str:
    """A chance as it is told: whole percent, but never a certainty.

    >>> percent_words(0.374), percent_words(0.003), percent_words(1.0)
    ('37 %', 'under 1 %', 'over 99 %')
    """
    percent = round(100.0 * probability)
    return "under 1 %" if percent < 1 else "over 99 %" if percent > 99 else f"{percent} %"
