"""When a run of the kiln model first gets to a temperature; for tests."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.kiln import HeatingRun


def hours_to(run: HeatingRun, degC: float) -> NDArray[np.float64]:
    """Hours until the chamber first gets to ``degC`` [h], shape (n,), by straight lines; NaN where it never does."""
    found = []
    for chamber in run.chamber_degC.T:
        past = np.flatnonzero(chamber >= degC)
        found.append(float(np.interp(degC, chamber[: past[0] + 1], run.hours[: past[0] + 1])) if past.size else np.nan)
    return np.array(found)
