"""How much tension and compression a glaze coat bears, and the probability of each way a piece can come out.

The figures are rows of ``materials/strengths.csv``, each with its source. Tension is positive, as in
:mod:`glazecalc.models.layer`. Strengths are lognormal; stress is normal; the probability is the normal
integral averaged over the strength by Gauss-Hermite quadrature, so it is the same on every run."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glazecalc.models.normal import normal_cdf, normal_nodes, sigma_of
from glazecalc.values.data import read_table
from glazecalc.values.interval import NINETY

Array = NDArray[np.float64]

STRENGTH_NODES: Final = 9
_AT_A_TIME: Final = 8192


class Figure(NamedTuple):
    """One figure of the table: middle, 5 and 95 % points, unit, source id."""

    name: str
    value: float
    low: float
    high: float
    unit: str
    source: str

    @property
    def sigma(self) -> float:
        """Standard deviation of the figure taken as normal, in its unit."""
        return sigma_of(self.low, self.high)

    @property
    def sigma_ln(self) -> float:
        """Standard deviation of the natural logarithm of the figure taken as lognormal."""
        return math.log(self.high / self.low) / (2.0 * NINETY)


@cache
def figure(name: str) -> Figure:
    """The row ``name`` of ``materials/strengths.csv``. Raises KeyError for an unknown name."""
    for row in read_table("strengths"):
        if row["name"] == name:
            return Figure(name, float(row["value"]), float(row["low"]), float(row["high"]), row["unit"], row["source"])
    raise KeyError(name)


@cache
def lognormal_nodes(name: str, n: int = STRENGTH_NODES) -> tuple[Array, Array]:
    """Values and weights, each (n,), that average over the lognormal figure ``name``, in its unit."""
    row = figure(name)
    nodes, weights = normal_nodes(n)
    values = row.value * np.exp(row.sigma_ln * nodes)
    values.setflags(write=False)
    return values, weights


@dataclass(frozen=True, slots=True, eq=False)
class Outcomes:
    """Probabilities of how a piece comes out; they sum to one with ``at_once <= crazes``. Arrays of one
    shape.

    ``at_once``: crazed when it leaves the kiln. ``crazes``: crazed then or later in use. ``shivers``: the
    coat flakes off. ``sound``: neither, in use."""

    at_once: Array
    crazes: Array
    shivers: Array
    sound: Array


def outcomes(
    stress_MPa: ArrayLike,
    sigma_MPa: ArrayLike,
    growth_MPa: ArrayLike = 0.0,
    growth_sigma_MPa: ArrayLike = 0.0,
    coat_mm: float | None = None,
) -> Outcomes:
    """How a coat under ``stress_MPa`` +- ``sigma_MPa`` comes out, arrays of shape (n,) or numbers.

    A coat crazes at once where its stress passes the tension it bears. It crazes later where stress, the
    tension of use (chills) and the growth of a damp clay (``growth_MPa`` +- ``growth_sigma_MPa``) pass the
    share of that tension which glass bears for years. It shivers where its compression passes the other
    limit. ``coat_mm`` scales both limits (:func:`thickness_factor`).
    """
    given = (stress_MPa, sigma_MPa, growth_MPa, growth_sigma_MPa)
    arrays = np.broadcast_arrays(*(np.atleast_1d(np.asarray(a, dtype=float)) for a in given))
    factor = thickness_factor(coat_mm)
    parts = [
        _outcomes([array[i : i + _AT_A_TIME] for array in arrays], factor)
        for i in range(0, max(len(arrays[0]), 1), _AT_A_TIME)
    ]
    joined = (np.concatenate([getattr(p, f) for p in parts]) for f in ("at_once", "crazes", "shivers", "sound"))
    return Outcomes(*joined)


@cache
def error_parts() -> tuple[tuple[float, float], ...]:
    """The error of a glaze's estimate as a mixture of two normal parts: pairs of width and share.

    Widths are multiples of the stated standard deviation. Half of the errors lie closer than a normal error's
    would and the tails reach further; the 90 % points are those of the normal error.
    """
    share = figure("error_core_share").value
    return (figure("error_core_width").value, share), (figure("error_tail_width").value, 1.0 - share)


def thickness_factor(coat_mm: float | None) -> float:
    """How much more (or less) a coat of this thickness bears than one of the usual thickness.

    A crack through the coat, and a flake off it, are driven by stress squared times thickness, so the limits
    fall as one over the root of the thickness: J. W. Hutchinson, Z. Suo, Adv. Appl. Mech. 29 (1992) 63 (from
    memory). Seger (1882) and Sproat (1923) saw it: a thicker glaze crazes sooner and more.
    """
    usual = figure("glaze_thickness").value
    return 1.0 if coat_mm is None else math.sqrt(usual / coat_mm)


def _outcomes(given: Sequence[Array], factor: float) -> Outcomes:
    mean, sigma, growth, growth_sigma = given
    tension, weights = lognormal_nodes("glaze_tensile")
    compression, _ = lognormal_nodes("glaze_compressive")
    use, fatigue = figure("service_tension"), figure("fatigue_fraction").value
    narrow = np.maximum(sigma, 1e-9)[:, None]
    wide = np.sqrt(sigma**2 + growth_sigma**2 + use.sigma**2)[:, None]
    in_use = (mean + growth + use.value)[:, None]
    at_once = normal_cdf((mean[:, None] - factor * tension) / narrow) @ weights
    later = normal_cdf((in_use - factor * fatigue * tension) / wide) @ weights
    shivers = normal_cdf((-mean[:, None] - factor * compression) / narrow) @ weights
    crazes = np.minimum(np.maximum(at_once, later), 1.0 - shivers)
    return Outcomes(np.minimum(at_once, crazes), crazes, shivers, np.clip(1.0 - crazes - shivers, 0.0, 1.0))
