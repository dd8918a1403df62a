"""Set the firing window from published fired glazes: between what was found stiff, sound and too fluid at its peak."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any, Final

import numpy as np

from glazecalc.models.cones import temperature_degC
from glazecalc.models.viscosity import log_viscosity_on, viscosity_curves
from glazecalc.values.cones import Cone
from glazecalc.values.oxides import INDEX, SYMBOLS
from training.data import Array

FIRED: Final = Path(__file__).parent / "fired_glazes.csv"
RATE_DEGC_PER_H: Final = 60.0
_BARE_SPREAD: Final = 0.25
"""Least doubt about where the window ends [log10 Pa.s]: hold, thickness, grain and the eye of the observer."""


def fired_glazes() -> tuple[list[dict[str, str]], Array, Array]:
    """The rows, their compositions (n, k) and their peak temperatures [degC], a cone being taken at 60 degC/h."""
    with FIRED.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    x = np.zeros((len(rows), len(SYMBOLS)))
    peak = np.empty(len(rows))
    for i, row in enumerate(rows):
        for column, text in row.items():
            if column.endswith("_mole_percent"):
                x[i, INDEX[column.removesuffix("_mole_percent")]] = float(text)
        peak[i] = float(row["peak_degC"]) if row["peak_degC"] else temperature_degC(Cone(row["cone"]), RATE_DEGC_PER_H)
    return rows, x / x.sum(axis=1, keepdims=True), peak


def window() -> dict[str, Any]:
    """Ends of the window [log10 Pa.s] and their doubt, with the glazes they rest on.

    At the stiff end 95 % of the sound glazes are more fluid; the fluid end lies half way between the most fluid sound
    glaze and the stiffest one called fluid.
    """
    rows, x, peak = fired_glazes()
    level = log_viscosity_on(viscosity_curves(x, practice="glass"), peak).value
    result = np.array([row["result"] for row in rows])
    sound, stiff, fluid = (level[result == name] for name in ("sound", "stiff", "fluid"))
    stiff_end = float(np.quantile(sound, 0.95))
    fluid_end = 0.5 * float(sound.min() + fluid.max())
    return {
        "stiff_end": round(stiff_end, 2),
        "fluid_end": round(fluid_end, 2),
        "doubt": max(_BARE_SPREAD, round(float(np.std(sound)), 2)),
        "sound": len(sound),
        "stiff": len(stiff),
        "fluid": len(fluid),
        "levels": {row["id"]: round(float(v), 2) for row, v in zip(rows, level, strict=True)},
    }
