"""A number that never travels alone: value, 90 % interval, unit, basis, sources, caveats."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final, overload

from glazecalc.values.cones import CONE_NAMES

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


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


WIDEST_SHARE: Final = 0.5
"""Widest extrapolated interval that is told, as a share of its figure (judgement)."""
_WIDEST: Final = {"degC": 200.0, "degF": 360.0}
"""Widest extrapolated interval of a temperature that is told, in its unit (judgement): 200 degC span ten cones, and a
wider one says nothing of a glaze."""


@overload
def too_wide(value: float, low: float, high: float, unit: str) -> bool: ...
@overload
def too_wide(
    value: NDArray[np.float64], low: NDArray[np.float64], high: NDArray[np.float64], unit: str
) -> NDArray[np.bool_]: ...
def too_wide(value: Any, low: Any, high: Any, unit: str) -> Any:
    """Whether an extrapolated interval is wider than is worth telling; of arrays, element by element.

    >>> too_wide(6.0, 4.6, 7.4, "1e-6/K"), too_wide(1350.0, 1200.0, 1500.0, "degC")
    (False, True)
    """
    width = high - low
    return (width > WIDEST_SHARE * abs(value)) | (width > _WIDEST.get(unit, math.inf))


def is_known(estimate: Estimate) -> bool:
    """Whether a figure is worth telling; outside the models' data a chance, a wide interval and a place beyond the
    series of cones are not."""
    if not estimate.extrapolated:
        return True
    beyond = estimate.name == "mature_cone" and (estimate.low >= len(CONE_NAMES) - 1 or estimate.high <= 0)
    wide = too_wide(estimate.value, estimate.low, estimate.high, estimate.unit)
    return not (beyond or wide or estimate.unit == "1")
