"""The fit of every model, from records to coefficient files."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import Any, Final

import numpy as np

from glazecalc.models.domain import COEFFICIENTS, FITTED, domain_from
from glazecalc.models.surface import terms
from training.calibrate import (
    MODERN_YEAR,
    Outcome,
    distance_and_outside,
    finish,
    in_practice,
    spread_as_data,
)
from training.data import KELVIN, Array, Glasses
from training.joins import behind, read_joins
from training.spread import HELD, SpreadFit, fit_spread
from training.surface import (
    Property,
    Rows,
    domain_as_data,
    fit_surface,
    near_core,
    rows_to_fit,
    surface_as_data,
)
from training.viscosity import QUADRATIC, Melts, fit_curve, melts_to_fit

PROPERTIES: Final[tuple[Property, ...]] = (
    Property("expansion", "expansion", "1e-6/K", "CTE", 1e6, 0.0, 0.5, 20.0, 10.0, 0.02),
    Property("transition", "transition_temperature", "degC", "Tg", 1.0, -KELVIN, 250.0, 1000.0, 1.0, 2.0),
    Property("modulus", "youngs_modulus", "GPa", "ElasticModulus", 1.0, 0.0, 30.0, 150.0, 10.0, 0.2),
    Property("liquidus", "liquidus_temperature", "degC", "Tliquidus", 1.0, -KELVIN, 500.0, 1900.0, 1.0, 3.0),
)
VISCOSITY_PENALTY: Final = 10.0
"""Ridge of the curve: of penalties that serve left-out papers equally well, the smoothest."""
_ALONG_LEVELS: Final = (0.5, 12.2)


def provenance(rows: int, papers: int, errors: Array) -> dict[str, Any]:
    """Where a coefficient file comes from, and its error on whole papers left out of the fit."""
    return {
        "data": "SciGlass (EPAM), ODbL 1.0, as shipped in glasspy 0.3",
        "kept_out": "records after 2009; papers about real glazes and enamels",
        "records": rows,
        "papers": papers,
        "date": datetime.date.today().isoformat(),
        "left_out_core_glasses": len(errors),
        "left_out_core_median_error": round(float(np.median(np.abs(errors))), 4),
        "left_out_core_p90_error": round(float(np.quantile(np.abs(errors), 0.9)), 4),
    }


def write(key: str, data: dict[str, Any], folder: Path = COEFFICIENTS) -> Path:
    """Write ``<key>.json`` into ``folder``: the shipped coefficients, where no other is given."""
    path = folder / f"{key}.json"
    path.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")
    return path


def _with_joins(rows: Rows) -> Rows:
    """``rows`` and, behind them, the temperatures at log10 viscosity 12 of the joins' melts that may be fitted."""
    joins = read_joins().part(False)
    degC = joins.transitions()
    known = np.isfinite(degC)
    return Rows(
        index=np.concatenate([rows.index, np.full(int(known.sum()), -1)]),
        values=np.concatenate([rows.values, degC[known]]),
        **behind(rows, joins, known),
    )


def fit_property(glasses: Glasses, prop: Property) -> Outcome:
    """Fit one property; writes nothing. The expansion alone gets an in-practice allowance."""
    rows = rows_to_fit(glasses, prop)
    if prop.key == "transition":
        rows = _with_joins(rows)
    outcome = finish(glasses, prop, rows, fit_surface(rows, prop.penalty))
    if prop.key == "expansion":
        size, count = in_practice(glasses, prop, outcome.data)
        outcome.data["spread"]["allowance"] = size
        outcome.data["allowance_glazes"] = count
    papers = len(np.unique(rows.paper))
    outcome.data["provenance"] = provenance(len(rows.values), papers, outcome.errors[rows.core])
    return outcome


def _curve_spread(melts: Melts, errors: Array, where: Any) -> tuple[SpreadFit, tuple[float, float]]:
    """Spread of the curve at log10 viscosity 3 and its change along it, on left-out papers in and beside the core."""
    z = terms(melts.composition.T.copy()).T[melts.melt]
    distance = distance_and_outside(melts.composition, where)[0][melts.melt]
    level = melts.log_viscosity
    core = melts.core[melts.melt]
    use = near_core(melts.composition)[melts.melt] & (level >= _ALONG_LEVELS[0]) & (level <= _ALONG_LEVELS[1])
    step = level - 3.0
    features = np.column_stack([z, step, step * step])
    weight = np.where(core, 1.0, 0.2) / np.sqrt(np.bincount(melts.melt)[melts.melt])
    shape = fit_spread(features[use], distance[use], errors[use], weight[use], 2.0)
    near = use & core & (np.abs(step) < 0.25) & (melts.year[melts.melt] >= MODERN_YEAR)
    held = np.abs(errors[near]) / shape.half_width(features[near], distance[near])
    scaled = shape.constant + float(np.log(np.quantile(held, HELD)))
    return SpreadFit(scaled, shape.weights[:-2], shape.distance), (
        float(shape.weights[-2]),
        float(shape.weights[-1]),
    )


def fit_viscosity(glasses: Glasses) -> tuple[dict[str, Any], Melts, Array]:
    """Fit the viscosity curve; returns its coefficient file with the melts and left-out errors, and writes nothing."""
    melts = melts_to_fit(glasses)
    curve = fit_curve(melts, VISCOSITY_PENALTY)
    near_joins = fit_curve(melts_to_fit(glasses, balance=True), VISCOSITY_PENALTY, leave_out=False, balance=True)
    errors = melts.degC - curve.left_out
    domain_data = domain_as_data(melts.composition, melts.core)
    where = domain_from(domain_data)
    spread, along = _curve_spread(melts, errors, where)
    distance, _ = distance_and_outside(melts.composition, where)
    half = spread.half_width(terms(melts.composition.T.copy()).T, distance)
    held = spread_as_data(spread, float(np.log(np.quantile(half[melts.core], 0.995))))
    held["stretch"] = 2.0
    held["per_small_percent"] = 0.25 * float(np.median(half[melts.core]))
    at_three = melts.core[melts.melt] & (np.abs(melts.log_viscosity - 3.0) < 0.02)
    data: dict[str, Any] = {
        "name": "temperature",
        "unit": "degC",
        "oxides": list(FITTED),
        "domain": domain_data,
        "surfaces": [surface_as_data(row) for row in curve.coefficients],
        "balanced": {
            "surfaces": [surface_as_data(row[: 1 + QUADRATIC]) for row in near_joins.coefficients],
            "balance": near_joins.coefficients[:, 1 + QUADRATIC :].tolist(),
        },
        "spread": held,
        "along": list(along),
        "provenance": provenance(len(melts.melt), len(np.unique(melts.paper)), errors[at_three]),
    }
    data["provenance"]["melts"] = len(melts.weight)
    return data, melts, errors
