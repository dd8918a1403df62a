"""Turn a fitted surface and its left-out errors into a coefficient file: domain, spread, allowance, provenance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.domain import SMALL_ADDITIONS, SMALL_LIMIT, Domain, domain_from
from glazecalc.models.surface import Spread, spread_from, surface_from, terms
from training.data import Array, Glasses, Mask
from training.robust import RobustFit
from training.split import glaze_paper_range, split
from training.spread import HELD, SpreadFit, allowance, fit_spread
from training.surface import Property, Rows, domain_as_data, near_core, nearness, surface_as_data, values_of

MODERN_YEAR: Final = 1985
"""Intervals are scaled on left-out papers from this year on: laboratories of the time of use, not of 1920."""
_LEAST_STRETCH: Final = 1.5


def distance_and_outside(composition: Array, where: Domain) -> tuple[Array, Mask]:
    """Distance from the data and whether outside the domain, for fitted compositions (n, 16)."""
    distance = np.linalg.norm(composition @ where.whitening - where.whitened_centre, axis=1)
    outside = (composition < where.low).any(axis=1) | (composition > where.high).any(axis=1)
    return distance, outside | (distance > where.reach)


def spread_as_data(fit: SpreadFit, largest: float) -> dict[str, Any]:
    """A spread as it is written, still without small additions, allowance and stretch."""
    return {
        "constant": fit.constant,
        "weights": fit.weights.tolist(),
        "distance": fit.distance,
        "largest": largest,
        "per_small_percent": 0.0,
        "allowance": 0.0,
        "stretch": 1.0,
    }


def left_out_spread(rows: Rows, errors: Array, where: Domain, floor: float) -> SpreadFit:
    """Spread shaped by all left-out papers in and beside the glaze core, scaled on the core's modern ones.

    Modern means since :data:`MODERN_YEAR`.
    """
    distance, _ = distance_and_outside(rows.composition, where)
    core, z = rows.core, terms(rows.composition.T.copy()).T
    near = near_core(rows.composition)
    weight = np.where(core[near], 1.0, 0.2)
    shape = fit_spread(z[near], distance[near], errors[near], weight, floor)
    modern = core & (rows.year >= MODERN_YEAR)
    held = np.abs(errors[modern]) / shape.half_width(z[modern], distance[modern])
    return SpreadFit(shape.constant + float(np.log(np.quantile(held, HELD))), shape.weights, shape.distance)


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """A coefficient file in the making, and the left-out errors it was made from."""

    data: dict[str, Any]
    rows: Rows
    errors: Array
    half_width: Array


def predicted(composition: Array, data: dict[str, Any]) -> tuple[Array, Array, Mask]:
    """Value, half width as glass and outside flag, for fitted compositions (n, 16), from a coefficient file."""
    where = domain_from(data["domain"])
    z = terms(composition.T.copy())
    distance, outside = distance_and_outside(composition, where)
    spread: Spread = spread_from(data["spread"])
    log_width = np.minimum(spread.constant + spread.weights @ z + spread.distance * distance, spread.largest)
    half = np.exp(log_width) * np.where(outside, spread.stretch, 1.0)
    return surface_from(data["surface"]).at(z), half, outside


def finish(glasses: Glasses, prop: Property, rows: Rows, fit: RobustFit) -> Outcome:
    """Everything a coefficient file holds but its provenance."""
    domain_data = domain_as_data(rows.composition, rows.core)
    where = domain_from(domain_data)
    errors = rows.values - fit.left_out
    spread = left_out_spread(rows, errors, where, prop.floor)
    distance, _ = distance_and_outside(rows.composition, where)
    half = spread.half_width(terms(rows.composition.T.copy()).T, distance)
    largest = float(np.log(np.quantile(half[rows.core], 0.995)))
    data: dict[str, Any] = {
        "name": prop.name,
        "unit": prop.unit,
        "domain": domain_data,
        "surface": surface_as_data(fit.coefficients),
        "spread": spread_as_data(spread, largest),
    }
    data["spread"]["stretch"] = _stretch(glasses, prop, data)
    data["spread"]["per_small_percent"] = _small_additions(glasses, prop, data)
    most = small_most(glasses, prop, data)
    if most is not None:
        data["spread"]["small_most"] = most
    return Outcome(data, rows, errors, half)


def _stretch(glasses: Glasses, prop: Property, data: dict[str, Any]) -> float:
    """How much wider an interval must be outside the domain, measured on glasses too far away to be fitted."""
    values, known = values_of(glasses, prop)
    far = known & split(glasses).fit & (glasses.share >= 0.99) & (nearness(glasses.composition) < 0.02)
    far &= glasses.composition[:, 0] >= 0.35
    if far.sum() < 50:
        return _LEAST_STRETCH
    value, half, outside = predicted(glasses.composition[far], data)
    ratio = np.abs(values[far] - value)[outside] / half[outside]
    return max(_LEAST_STRETCH, float(np.quantile(ratio, HELD)))


_LEAST_SMALL, _MUCH_SMALL, _ENOUGH_MUCH = 0.005, 0.015, 200
"""Mole fractions of small additions that count, and that are much; glasses with much of them that a limit asks for."""


def _beside_small(
    glasses: Glasses, prop: Property, data: dict[str, Any], least: float, most: float
) -> tuple[Array, Array, Array]:
    """Error beyond the interval, in quadrature, its half width, and the share, of glasses with small additions."""
    values, known = values_of(glasses, prop)
    present = [c for c in SMALL_ADDITIONS if c in glasses.other.columns]
    share = glasses.other[present].sum(axis=1).to_numpy(dtype=float)
    use = known & split(glasses).fit & (share >= least) & (share <= most)
    use &= (glasses.share + share >= 0.995) & glaze_paper_range(glasses.composition, np.ones(len(share)))
    value, half, _ = predicted(glasses.composition[use], data)
    return np.sqrt(np.maximum((values[use] - value) ** 2 - half**2, 0.0)), half, share[use]


def _small_additions(glasses: Glasses, prop: Property, data: dict[str, Any]) -> float:
    """Interval per mole % of small additions, in quadrature, measured on glasses that hold 0.5 % or more of them."""
    beyond, half, share = _beside_small(glasses, prop, data, _LEAST_SMALL, SMALL_LIMIT)
    return float(np.quantile(beyond / (100.0 * share), HELD)) if len(beyond) >= 30 else float(np.median(half)) * 0.5


def small_most(glasses: Glasses, prop: Property, data: dict[str, Any]) -> float | None:
    """What much of the small additions adds in quadrature; None where too few glasses tell.

    The errors do not go on growing with the share: what is off is the laboratory more than the oxide left out.
    """
    beyond, _, _ = _beside_small(glasses, prop, data, _MUCH_SMALL, 1.5 * SMALL_LIMIT)
    return float(np.quantile(beyond, HELD)) if len(beyond) >= _ENOUGH_MUCH else None


def in_practice(glasses: Glasses, prop: Property, data: dict[str, Any]) -> tuple[float, int]:
    """Allowance sized on the glaze papers set apart for it, and how many glazes it rests on."""
    values, known = values_of(glasses, prop)
    use: NDArray[np.bool_] = known & split(glasses).glaze_calibrate
    use &= glaze_paper_range(glasses.composition, glasses.share)
    if use.sum() < 20:
        return 0.0, int(use.sum())
    value, half, _ = predicted(glasses.composition[use], data)
    return allowance(values[use] - value, half), int(use.sum())
