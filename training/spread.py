"""Size the intervals on whole papers left out of the fit, and see whether they keep their word."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.optimize import minimize

from training.data import Array

HELD: Final = 0.90
"""Share of the measured values an interval is to hold."""
_SHRINK: Final = 0.01
"""Pull of the composition weights of a spread towards none."""


@dataclass(frozen=True, slots=True, eq=False)
class SpreadFit:
    """Logarithm of the 90 % half width: ``constant + weights . features + distance_weight x distance``."""

    constant: float
    weights: Array
    distance: float

    def half_width(self, features: Array, distance: Array) -> Array:
        """Half width of the 90 % interval, shape (n,), for features (n, m) and distances (n,)."""
        return np.asarray(np.exp(self.constant + features @ self.weights + self.distance * distance))


def fit_spread(features: Array, distance: Array, errors: Array, weight: Array, floor: float) -> SpreadFit:
    """Fit the typical size of ``errors`` (n,) as a function of composition, then scale it to hold 90 % of them.

    The errors are of rows predicted without their paper. ``floor`` keeps exact repeats from shrinking the spread.
    """
    size = np.maximum(np.abs(errors), floor)
    middle, scale = features.mean(axis=0), features.std(axis=0) + 1e-12
    design = np.hstack([np.ones((len(errors), 1)), (features - middle) / scale, distance[:, None]])
    share = weight / weight.sum()

    def loss(theta: Array) -> tuple[float, Array]:
        log_size = design @ theta
        ratio = size * np.exp(-log_size)
        slope = design.T @ (share * (1.0 - ratio)) + 2 * _SHRINK * np.concatenate([[0.0], theta[1:]])
        return float(share @ (log_size + ratio) + _SHRINK * theta[1:] @ theta[1:]), slope

    start = np.zeros(design.shape[1])
    start[0] = np.log(np.median(size))
    theta = minimize(loss, start, jac=True, method="L-BFGS-B").x
    raw = theta[1:-1] / scale
    constant = theta[0] - middle @ raw
    held = np.abs(errors) / np.exp(constant + features @ raw + theta[-1] * distance)
    return SpreadFit(constant + float(np.log(weighted_quantile(held, weight, HELD))), np.asarray(raw), float(theta[-1]))


def weighted_quantile(values: Array, weight: Array, share: float) -> float:
    """Value below which ``share`` of the weight lies."""
    order = np.argsort(values)
    cumulative = np.cumsum(weight[order])
    return float(values[order][np.searchsorted(cumulative, share * cumulative[-1])])


def allowance(errors: Array, half_width: Array) -> float:
    """In-practice allowance: what must be added in quadrature for 90 % of ``errors`` to be held."""
    low, high = 0.0, 100.0 * float(np.median(half_width) + np.median(np.abs(errors)))
    for _ in range(60):
        middle = 0.5 * (low + high)
        if np.mean(np.abs(errors) <= np.hypot(half_width, middle)) < HELD:
            low = middle
        else:
            high = middle
    return high
