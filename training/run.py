"""The whole fitting run, in order, with what it learned on the way kept for the model cards."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from glazecalc.models import domain, firing, viscosity
from glazecalc.models import surface as fitted
from training import held_out, report
from training.additive import measure_additive
from training.assumed import assumed_widenings
from training.data import Array, Glasses
from training.fit import PROPERTIES, fit_property, fit_viscosity, write
from training.learning import learning_curve, median_error_by_papers, paper_scatter
from training.window import window


def forget_coefficients() -> None:
    """Drop cached coefficient files after they were written again."""
    cached = (domain.coefficients, domain.domain, fitted.fitted_model, viscosity.curve_model, firing.window)
    for function in cached:
        function.cache_clear()


def _held_out_papers(glasses: Glasses) -> Array:
    """Paper number of each row of the expansion extract."""
    table = pd.Series(glasses.paper, index=glasses.properties["ID"])
    text = held_out.cut(glasses, PROPERTIES[0]).splitlines()[1:]
    return np.asarray(table.loc[[line.split(",", 1)[0] for line in text]].to_numpy())


def fit_everything(glasses: Glasses) -> None:
    """Fit all models, set the firing window, measure the additive factors, and keep the numbers."""
    extra: dict[str, Any] = {}
    for prop in PROPERTIES:
        outcome = fit_property(glasses, prop)
        write(prop.key, outcome.data)
        print(prop.key, outcome.data["provenance"], flush=True)
        if prop.key == "expansion":
            extra["learning_curve"] = learning_curve(outcome.rows, prop.penalty)
            extra["scatter"] = dict(paper_scatter(outcome.rows, outcome.errors))
            extra["allowance"] = {
                "size": round(outcome.data["spread"]["allowance"], 3),
                "glazes": outcome.data["allowance_glazes"],
            }
    data, _, _ = fit_viscosity(glasses)
    write("viscosity", data)
    print("viscosity", data["provenance"], flush=True)
    measure_additive(glasses)
    forget_coefficients()
    write("firing", window())
    forget_coefficients()
    low, high = median_error_by_papers("expansion", _held_out_papers(glasses))
    extra["scatter"]["median_90_percent"] = [round(low, 3), round(high, 3)]
    extra["assumed"] = assumed_widenings(glasses)
    report.write(report.results(), extra)


def fit_again(glasses: Glasses, keys: Sequence[str], folder: Path) -> list[str]:
    """Fit some models into ``folder`` and leave the shipped files alone; says for each how far it is from the shipped.

    The distance is the largest difference of a number over the largest number of its own list or table. It is not
    zero: a linear algebra library adds in another order on another machine.
    """
    folder.mkdir(parents=True, exist_ok=True)
    lines = []
    for key in keys:
        if key == "viscosity":
            data, _, _ = fit_viscosity(glasses)
        else:
            data = fit_property(glasses, next(prop for prop in PROPERTIES if prop.key == key)).data
        path = write(key, data, folder)
        apart = difference(json.loads(path.read_text(encoding="utf-8")), domain.coefficients(key))
        lines.append(f"{key}: {path}, differs from the shipped file by {apart:.1e} at most")
    return lines


def difference(first: Any, second: Any) -> float:
    """Largest difference between two coefficient files, the date aside; infinite where they are not built alike."""
    if isinstance(first, dict) and isinstance(second, dict):
        if first.keys() != second.keys():
            return math.inf
        return max((difference(first[k], second[k]) for k in first if k != "date"), default=0.0)
    if isinstance(first, list) and isinstance(second, list) and len(first) == len(second):
        if any(isinstance(v, dict | list | str) for v in (*first, *second)):
            return max((difference(a, b) for a, b in zip(first, second, strict=True)), default=0.0)
        a, b = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
        return float(np.max(np.abs(a - b)) / max(float(np.max(np.abs(b))), 1e-12)) if len(a) else 0.0
    if isinstance(first, str) or isinstance(second, str):
        return 0.0 if first == second else math.inf
    return abs(float(first) - float(second)) / max(abs(float(second)), 1e-12)
