"""The whole fitting run, in order, with what it learned on the way kept for the model cards."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from glazecalc.models import domain, firing, fitted, viscosity
from glazecalc.training import held_out, report
from glazecalc.training.additive import measure_additive
from glazecalc.training.data import Array, Glasses
from glazecalc.training.fit import PROPERTIES, fit_property, fit_viscosity, write
from glazecalc.training.learning import learning_curve, median_error_by_papers, paper_scatter
from glazecalc.training.window import window


def forget_coefficients() -> None:
    """Drop cached coefficient files after they were written anew."""
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
        print(prop.key, outcome.data["provenance"], flush=True)
        if prop.key == "expansion":
            extra["learning_curve"] = learning_curve(outcome.rows, prop.penalty)
            extra["scatter"] = dict(paper_scatter(outcome.rows, outcome.errors))
            extra["allowance"] = {
                "size": round(outcome.data["spread"]["allowance"], 3),
                "glazes": outcome.data["allowance_glazes"],
            }
    data, _, _ = fit_viscosity(glasses)
    print("viscosity", data["provenance"], flush=True)
    measure_additive(glasses)
    forget_coefficients()
    write("firing", window())
    forget_coefficients()
    low, high = median_error_by_papers("expansion", _held_out_papers(glasses))
    extra["scatter"]["median_90_percent"] = [round(low, 3), round(high, 3)]
    report.write(report.results(), extra)
