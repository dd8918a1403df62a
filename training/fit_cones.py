"""Fit the heat-work law of cones to the published chart and write ``models/coefficients/cones.csv``.

Run: ``python -m training.fit_cones``. Every cone has two parameters, its activation energy and its bending temperature
at 60 degC/h. They are fitted by least squares in temperature to the columns of ``materials/cones.csv``. The three
coolest cones have two columns only, too few for a slope of their own (cone 022 gains 4 K between 60 and 150 degC/h,
cone 021 gains 17 K); their energy is drawn towards that of the three next cones, by the weight of the scatter of the
chart about the law against the spread of the energies of all the other cones.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq, least_squares

from glazecalc.models.cones import KELVIN, READING_RANGE_K, log_ramp_integral
from glazecalc.values.answers import NINETY
from glazecalc.values.data import read_table

RATES: tuple[float, ...] = (15.0, 60.0, 150.0)
CHART_SCATTER_K = 2.8
"""Root mean square of the held-out 60 degC/h column about the law [K]; see tests/published/test_cones.py."""
NEIGHBOURS = 3


def chart() -> dict[str, tuple[float | None, ...]]:
    """Cone name -> printed temperatures at 15, 60 and 150 degC/h [degC], None where the chart is blank."""
    return {
        row["cone"]: tuple(float(row[f"degC_at_{r:g}"]) if row[f"degC_at_{r:g}"] else None for r in RATES)
        for row in read_table("cones")
    }


def at_rate(energy: float, degC_at_60: float, rate: float) -> float:
    """Bending temperature at a steady rate [degC] of a cone with these two parameters."""
    target = float(log_ramp_integral(degC_at_60 + KELVIN, energy)) + float(np.log(rate / 60.0))
    return float(brentq(lambda t: float(log_ramp_integral(t + KELVIN, energy)) - target, 300, 1800, xtol=1e-9))


def fit_one(
    rates: Sequence[float], degC: Sequence[float], prior: tuple[float, float] | None = None
) -> tuple[float, float]:
    """Energy [kJ/mol] and temperature at 60 degC/h [degC] of one cone.

    ``prior`` is mean and standard deviation of ln E, weighed against the chart's scatter.
    """

    def residuals(p: NDArray[np.float64]) -> list[float]:
        gaps = [(at_rate(np.exp(p[0]), p[1], r) - t) / CHART_SCATTER_K for r, t in zip(rates, degC, strict=True)]
        return gaps if prior is None else [*gaps, (p[0] - prior[0]) / prior[1]]

    found = least_squares(residuals, [np.log(600.0), float(np.mean(degC))], x_scale=[0.3, 10.0], xtol=1e-13, ftol=1e-13)
    return float(np.exp(found.x[0])), float(found.x[1])


def fit_all() -> list[dict[str, str]]:
    """One row a cone, coolest first, as it is written to the coefficients file."""
    table = chart()
    fitted: dict[str, tuple[float, float]] = {}
    short = [name for name, row in table.items() if None in row]
    for name, row in table.items():
        if name not in short:
            fitted[name] = fit_one(RATES, [t for t in row if t is not None])
    logs = [np.log(energy) for energy, _ in fitted.values()]
    prior = (float(np.mean(logs[:NEIGHBOURS])), float(np.std(logs, ddof=1)))
    for name in short:
        known = [(r, t) for r, t in zip(RATES, table[name], strict=True) if t is not None]
        fitted[name] = fit_one([r for r, _ in known], [t for _, t in known], prior)
    spread = float(np.hypot(READING_RANGE_K / 2 / NINETY, CHART_SCATTER_K))
    return [
        {
            "cone": name,
            "energy_kJ_per_mol": f"{fitted[name][0]:.3f}",
            "degC_at_60": f"{fitted[name][1]:.3f}",
            "spread_K": f"{spread:.2f}",
            "columns": str(2 if name in short else 3),
            "source": "cone_chart",
        }
        for name in table
    ]


def main() -> None:
    """Write the coefficients file beside the models."""
    path = Path(__file__).parents[1] / "glazecalc" / "models" / "coefficients" / "cones.csv"
    rows = fit_all()
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main()
