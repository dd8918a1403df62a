"""The held-out measurements, cut from the database into small files that the tests carry, and the errors on them.

Set ``after``: records after 2009. Set ``glaze``: the papers about real glazes and enamels kept for testing. No fit, no
choice and no interval has seen either.
"""

from __future__ import annotations

import csv
import io
import lzma
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from glazecalc.models.domain import FITTED
from glazecalc.models.expansion import melted_expansion
from glazecalc.models.prediction import Practice, Prediction
from glazecalc.models.surface import liquidus_temperature, youngs_modulus
from glazecalc.models.viscosity import glass_transition, temperature_at
from training.data import KELVIN, Array, Glasses, Mask, in_fixed_order
from training.fit import PROPERTIES
from training.split import glaze_core, glaze_paper_range, split
from training.surface import Property, values_of

FOLDER: Final = Path(__file__).resolve().parents[1] / "tests" / "published" / "sciglass"
THREE: Final = Property("viscosity", "temperature", "degC", "T3", 1.0, -KELVIN, 250.0, 2000.0, 0.0, 0.0)
_CORE_EXPANSION: Final = (1.0, 16.0)


@dataclass(frozen=True, slots=True, eq=False)
class HeldOut:
    """Held-out measurements of one property: compositions (n, k) in the fixed order, values, which set, which year."""

    composition: Array
    values: Array
    after: Mask
    glaze: Mask


def cut(glasses: Glasses, prop: Property) -> str:
    """The held-out records of one property that lie in the ranges errors are reported on, as CSV text."""
    values, known = values_of(glasses, prop)
    sets = split(glasses)
    if prop.key == "expansion":
        known &= (values >= _CORE_EXPANSION[0]) & (values <= _CORE_EXPANSION[1])
    after = known & sets.after & glaze_core(glasses.composition, glasses.share)
    glaze = known & sets.glaze_test & glaze_paper_range(glasses.composition, glasses.share)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["record", "year", "after", "glaze", "value", *FITTED])
    for i in np.flatnonzero(after | glaze):
        shares = [f"{100.0 * v:.4f}".rstrip("0").rstrip(".") for v in glasses.composition[i]]
        record = glasses.properties["ID"].iloc[i]
        writer.writerow([record, glasses.year[i], int(after[i]), int(glaze[i]), f"{values[i]:.6g}", *shares])
    return out.getvalue()


def write_all(glasses: Glasses, folder: Path = FOLDER) -> list[Path]:
    """Write the extracts; returns their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for prop in (*PROPERTIES, THREE):
        path = folder / f"{prop.key}.csv.xz"
        path.write_bytes(lzma.compress(cut(glasses, prop).encode(), preset=9 | lzma.PRESET_EXTREME))
        paths.append(path)
    return paths


def read(key: str, folder: Path = FOLDER) -> HeldOut:
    """Read one extract."""
    with lzma.open(folder / f"{key}.csv.xz", "rt", encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    composition = in_fixed_order(np.array([[float(row[o]) / 100.0 for o in FITTED] for row in rows]))
    return HeldOut(
        composition / composition.sum(axis=1, keepdims=True),
        np.array([float(row["value"]) for row in rows]),
        np.array([row["after"] == "1" for row in rows]),
        np.array([row["glaze"] == "1" for row in rows]),
    )


def _temperature_at_three(x: Array, *, practice: Practice = "glaze") -> Prediction:
    return temperature_at(x, 3.0, practice=practice)


MODELS: Final[dict[str, Callable[..., Prediction]]] = {
    "expansion": melted_expansion,
    "transition": glass_transition,
    "modulus": youngs_modulus,
    "liquidus": liquidus_temperature,
    "viscosity": _temperature_at_three,
}


@dataclass(frozen=True, slots=True)
class Score:
    """Errors and interval of one model on one held-out set, in the unit of the property."""

    glasses: int
    median: float
    p90: float
    coverage: float
    width: float
    bias: float


def score(key: str, which: str, practice: Practice, folder: Path = FOLDER) -> Score:
    """Errors of one model on the set ``after`` or ``glaze``, with the interval for ``practice``."""
    held = read(key, folder)
    rows = held.after if which == "after" else held.glaze
    answer = MODELS[key](held.composition[rows], practice=practice)
    values = held.values[rows]
    error = np.abs(values - answer.value)
    return Score(
        glasses=int(rows.sum()),
        median=float(np.median(error)),
        p90=float(np.quantile(error, 0.9)),
        coverage=float(np.mean((values >= answer.low) & (values <= answer.high))),
        width=float(np.median(answer.high - answer.low)),
        bias=float(np.median(values - answer.value)),
    )
