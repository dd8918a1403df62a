"""Fit one surface over the oxides and their balances to a measured property, with domain and spread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.domain import FITTED
from glazecalc.models.surface import SIZE, terms
from training.data import Array, Glasses, Mask, first_of_duplicates
from training.robust import RobustFit, fit
from training.split import folds, glaze_core, group_sums, split

_NEAR: Final = 0.05
"""Distance from the glaze core, in mole fraction, over which a record's weight falls to 1/e."""
_LEAST_WEIGHT: Final = 0.02
_LEAST_SHARE: Final = 0.99
_BESIDE: Final = 0.37
"""Weight of a record about five mole % outside the glaze core."""
_RANGE_RANK: Final = 10
"""An oxide's fitted range ends at its tenth largest and tenth smallest value."""


@dataclass(frozen=True, slots=True)
class Property:
    """A measured property: column of the file, ``value = factor x column + shift``, and the values believed."""

    key: str
    name: str
    unit: str
    column: str
    factor: float
    shift: float
    low: float
    high: float
    penalty: float
    floor: float


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """The records one model is fitted on, and how near each lies to the glaze core."""

    index: NDArray[np.int64]
    composition: Array
    values: Array
    paper: NDArray[np.int64]
    year: NDArray[np.int64]
    fold: NDArray[np.int64]
    weight: Array
    core: Mask


def nearness(composition: Array) -> Array:
    """Weight of a composition: one inside the glaze core, falling with the distance from it; shape (n,)."""
    p = group_sums(composition)
    edges = (
        *((p["SiO2"], 45.0, 82.0), (p["Al2O3"], 3.0, 22.0), (p["B2O3"], 0.0, 30.0), (p["alkali"], 1.0, 20.0)),
        *((p["earths"], 2.0, 100.0), (p["P2O5"], 0.0, 5.0), (p["TiO2"], 0.0, 10.0), (p["ZrO2"], 0.0, 10.0)),
    )
    beyond = sum(
        (np.maximum(0.0, np.maximum(low - v, v - high)) for v, low, high in edges), start=np.zeros(len(composition))
    )
    return np.asarray(np.exp(-beyond / (100.0 * _NEAR)))


def values_of(glasses: Glasses, prop: Property) -> tuple[Array, Mask]:
    """The property of every record in its unit, and which records hold a believable one."""
    values = glasses.properties[prop.column].to_numpy(dtype=float) * prop.factor + prop.shift
    with np.errstate(invalid="ignore"):
        known = np.isfinite(values) & (values >= prop.low) & (values <= prop.high)
    return values, known


def rows_to_fit(glasses: Glasses, prop: Property) -> Rows:
    """Records near the glaze range that may be fitted, each once."""
    values, known = values_of(glasses, prop)
    weight = nearness(glasses.composition)
    use = known & split(glasses).fit & (glasses.share >= _LEAST_SHARE) & (weight >= _LEAST_WEIGHT)
    index = np.flatnonzero(use)
    index = index[first_of_duplicates(glasses.composition[index], values[index])]
    return Rows(index=index, values=values[index], **records(glasses, index, weight))


def records(glasses: Glasses, index: NDArray[np.int64], weight: Array) -> dict[str, Any]:
    """What a fit takes of the records at ``index``: composition, paper, year, fold, weight, core."""
    composition, paper = glasses.composition[index], glasses.paper[index]
    return {
        "composition": composition,
        "paper": paper,
        "year": glasses.year[index],
        "fold": folds(paper),
        "weight": weight[index],
        "core": glaze_core(composition, glasses.share[index]),
    }


def quadratic(z: Array) -> Array:
    """Linear and square terms of z (24, n), as columns, shape (n, p)."""
    first, second = np.triu_indices(SIZE)
    return np.hstack([z.T, (z[first] * z[second]).T])


def fit_surface(rows: Rows, penalty: float) -> RobustFit:
    """The robust quadratic over oxides and balances."""
    features = quadratic(terms(rows.composition.T.copy()))
    return fit(features, rows.values, rows.weight, rows.paper, rows.fold, penalty)


def surface_as_data(coefficients: Array) -> dict[str, Any]:
    """Coefficients, constant first, as they are written in a coefficient file."""
    return {
        "constant": float(coefficients[0]),
        "linear": coefficients[1 : 1 + SIZE].tolist(),
        "square_upper": coefficients[1 + SIZE :].tolist(),
    }


def near_core(composition: Array) -> Mask:
    """Compositions in or beside the glaze core: they make the domain and shape the intervals."""
    return np.asarray(nearness(composition) >= _BESIDE)


def domain_as_data(composition: Array, core: Mask) -> dict[str, Any]:
    """Fitted range of each oxide and the cloud of the data, as written in a coefficient file."""
    beside = composition[near_core(composition)]
    ordered = np.sort(beside, axis=0)
    low, high = ordered[_RANGE_RANK - 1], ordered[-_RANGE_RANK]
    centre = composition[core].mean(axis=0)
    cover = np.cov(composition[core].T) + np.diag(np.full(len(FITTED), 0.005**2))
    value, vector = np.linalg.eigh(cover)
    whitening = (vector / np.sqrt(value)) @ vector.T
    distance = np.linalg.norm((beside - centre) @ whitening, axis=1)
    return {
        "oxides": list(FITTED),
        "low_mole_percent": [round(float(v), 4) for v in 100.0 * np.where(low < 0.005, 0.0, low)],
        "high_mole_percent": [round(float(v), 4) for v in 100.0 * high],
        "centre": centre.tolist(),
        "whitening": whitening.tolist(),
        "reach": float(np.quantile(distance, 0.99)),
    }
