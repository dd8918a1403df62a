"""Estimates against measured glasses that no fit has seen: SciGlass database (EPAM, ODbL 1.0), see sciglass/README.md."""

from __future__ import annotations

import csv
import lzma
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from glazecalc.models.expansion import expansion, melted_expansion
from glazecalc.models.prediction import Practice, Prediction
from glazecalc.models.surface import liquidus_temperature, youngs_modulus
from glazecalc.models.viscosity import glass_transition, temperature_at
from glazecalc.values.oxides import INDEX, SYMBOLS

FOLDER = Path(__file__).parent / "sciglass"


@dataclass(frozen=True)
class Measured:
    x: np.ndarray
    values: np.ndarray


def measured(name: str, which: str) -> Measured:
    with lzma.open(FOLDER / f"{name}.csv.xz", "rt", encoding="utf-8", newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if row[which] == "1"]
    x = np.zeros((len(rows), len(SYMBOLS)))
    for symbol in SYMBOLS[:16]:
        x[:, INDEX[symbol]] = [float(row[symbol]) for row in rows]
    return Measured(x / x.sum(axis=1, keepdims=True), np.array([float(row["value"]) for row in rows]))


def at_three(x: np.ndarray, *, practice: Practice) -> Prediction:
    return temperature_at(x, 3.0, practice=practice)


# median and 90th percentile of the error, a small margin above what was reached
LIMITS = [
    ("expansion", "after", expansion, 0.20, 0.65, 3000),
    ("expansion", "glaze", melted_expansion, 0.34, 1.45, 85),
    ("viscosity", "after", at_three, 20.0, 65.0, 2000),
    ("transition", "after", glass_transition, 17.0, 45.0, 1500),
    ("modulus", "after", youngs_modulus, 1.9, 4.5, 1500),
    ("liquidus", "after", liquidus_temperature, 48.5, 135.0, 2200),
]


@pytest.mark.parametrize(("name", "which", "model", "median", "p90", "least"), LIMITS)
def test_errors_on_glasses_no_fit_has_seen(
    name: str, which: str, model: Callable[..., Prediction], median: float, p90: float, least: int
) -> None:
    held = measured(name, which)
    assert len(held.values) >= least
    error = np.abs(model(held.x, practice="glass").value - held.values)
    assert np.median(error) <= median
    assert np.quantile(error, 0.9) <= p90


@pytest.mark.parametrize(
    ("name", "which", "practice", "model", "low", "high", "width"),
    [
        ("expansion", "after", "glass", expansion, 0.87, 0.94, 1.5),
        ("expansion", "glaze", "glaze", melted_expansion, 0.85, 1.0, 2.6),
        ("viscosity", "after", "glass", at_three, 0.87, 0.94, 125.0),
        ("transition", "after", "glass", glass_transition, 0.87, 0.95, 90.0),
        ("liquidus", "after", "glass", liquidus_temperature, 0.85, 0.95, 240.0),
        ("modulus", "after", "glass", youngs_modulus, 0.87, 1.0, 17.0),
    ],
)
def test_intervals_keep_their_word(
    name: str,
    which: str,
    practice: Practice,
    model: Callable[..., Prediction],
    low: float,
    high: float,
    width: float,
) -> None:
    held = measured(name, which)
    answer = model(held.x, practice=practice)
    inside = (held.values >= answer.low) & (held.values <= answer.high)
    assert low <= inside.mean() <= high
    assert np.median(answer.high - answer.low) <= width
