"""What a model answers for many compositions at once, and how one row becomes an estimate that can travel."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.domain import caveats_of_row, coefficients
from glazecalc.values.answers import Basis, Estimate

Practice = Literal["glaze", "glass"]
"""``glass``: melted and measured in a laboratory. ``glaze``: from a kiln, with bubbles, crystals, stray grains."""


def practice_note(model: str, practice: Practice) -> str:
    """Which of the two intervals an estimate of ``model`` has."""
    if practice == "glass" or model == "additive":
        return "interval as glass: clean, melted and measured in a laboratory"
    if interval_kind(model, practice) == "glaze":
        return "interval as glaze: from a kiln, with an allowance for bubbles, crystals and stray grains"
    return "interval as glaze: that of a laboratory melt, for want of measurements from kilns"


def interval_kind(model: str, practice: Practice) -> Practice:
    """What the intervals of a fitted model are good for where ``practice`` was asked for: ``glaze`` only where
    measurements from kilns gave them an allowance, otherwise ``glass``."""
    return "glaze" if practice == "glaze" and coefficients(model)["spread"]["allowance"] > 0 else "glass"


@dataclass(frozen=True, slots=True, eq=False)
class Prediction:
    """Values of one property for n compositions, each with its 90 % interval.

    ``value``, ``low``, ``high`` and ``sigma`` are in ``unit``, shape (n,); ``sigma`` is half the width of the
    central 68 %. ``extrapolated``, shape (n,), marks the rows on which no verdict may rest. ``mole_fractions``,
    shape (n, k), is the array the caller gave, kept so that a row can say which oxide is out of range.
    """

    name: str
    unit: str
    value: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    sigma: NDArray[np.float64]
    extrapolated: NDArray[np.bool_]
    mole_fractions: NDArray[np.float64]
    model: str
    practice: Practice
    sources: tuple[str, ...]
    notes: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.value)


def estimate_row(prediction: Prediction, row: int = 0) -> Estimate:
    """One row of ``prediction`` as an Estimate, with caveats that name the oxides outside the fitted range.

    Raises
    ------
    ValueError
        if the row has no answer: the composition holds none of the oxides the model knows.
    """
    value, low, high = (float(a[row]) for a in (prediction.value, prediction.low, prediction.high))
    if not math.isfinite(value):
        raise ValueError(f"{prediction.name}: the composition of row {row + 1} holds no oxide the model knows")
    caveats = caveats_of_row(prediction.mole_fractions[row], prediction.model, prediction.practice)
    return Estimate(
        name=prediction.name,
        value=value,
        low=min(low, value),
        high=max(high, value),
        unit=prediction.unit,
        basis=Basis.EXTRAPOLATED if prediction.extrapolated[row] else Basis.MODEL,
        sources=prediction.sources,
        caveats=(*prediction.notes, practice_note(prediction.model, prediction.practice), *caveats),
    )
