"""An outside check of the models: standard glasses whose certified or published values anyone can buy or look up.

``standard_glasses.csv`` holds every value at hand that a model can be asked about, with its source. Left out because
no composition is at hand: SRM 710a, the successor of 710, and SRM 731, a borosilicate expansion standard; SRM 736 is
copper. In SRM 710 and 711 the certificate's R2O3 is counted as alumina.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np

from glazecalc.chemistry.composition import moles_from_weight_percent
from glazecalc.models.expansion import expansion
from glazecalc.models.viscosity import temperature_at
from glazecalc.values.data import read_csv
from glazecalc.values.oxides import INDEX, SYMBOLS
from training.data import Array

STANDARDS: Final = Path(__file__).parent / "standard_glasses.csv"


@dataclass(frozen=True, slots=True)
class Standard:
    """One value of a standard glass beside the estimate: ``printed`` and ``interval`` are (low, high) [``unit``]."""

    glass: str
    what: str
    unit: str
    source: str
    printed: tuple[float, float]
    value: float
    interval: tuple[float, float]
    extrapolated: bool

    @property
    def inside(self) -> bool:
        """Whether all that is printed lies in the 90 % interval."""
        return self.interval[0] <= self.printed[0] and self.printed[1] <= self.interval[1]

    @property
    def error(self) -> float:
        """Estimated minus the middle of what is printed."""
        return self.value - 0.5 * sum(self.printed)


def _composition(weight_percent: str) -> Array:
    percent = np.zeros((1, len(SYMBOLS)))
    for part in weight_percent.split(";"):
        symbol, share = part.split()
        percent[0, INDEX[symbol]] = float(share)
    moles = moles_from_weight_percent(percent)
    return np.asarray(moles / moles.sum())


def standards() -> list[Standard]:
    """Every value of ``standard_glasses.csv`` beside its estimate as glass."""
    found = []
    for row in read_csv(STANDARDS):
        x = _composition(row["weight_percent"])
        if row["property"] == "expansion":
            answer = expansion(x, practice="glass")
        else:
            answer = temperature_at(x, float(row["log_viscosity"]), practice="glass")
        value, low, high = (float(a[0]) for a in (answer.value, answer.low, answer.high))
        printed, outside = (float(row["low"]), float(row["high"])), bool(answer.extrapolated[0])
        found.append(
            Standard(row["glass"], row["what"], answer.unit, row["source"], printed, value, (low, high), outside)
        )
    return found


def standards_summary() -> dict[str, Any]:
    """How many values lie in the interval, of those within the fit and of those beyond it; temperature errors [K]."""
    found = standards()
    within = [s for s in found if not s.extrapolated]
    beyond = [s for s in found if s.extrapolated]
    errors = np.abs([s.error for s in within if s.unit == "degC"])
    return {
        "within_fit": len(within),
        "within_fit_inside": sum(s.inside for s in within),
        "beyond_fit": len(beyond),
        "beyond_fit_inside": sum(s.inside for s in beyond),
        "temperatures": len(errors),
        "median_error_K": round(float(np.median(errors)), 1),
        "largest_error_K": round(float(np.max(errors)), 1),
    }
