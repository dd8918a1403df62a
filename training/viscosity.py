"""Fit the viscosity curve: temperature as a quadratic in ``u = 1 / (log10 viscosity + 3)``, surfaces as coefficients.

``T(l) = S0 + S1 u + S2 u^2``: with ``S2 = 0`` this is the Vogel-Fulcher-Tammann equation with its high-temperature
limit at log10 viscosity -3; ``S2`` bends it as measured glasses do. Temperature is linear in every coefficient, so the
fit is the same robust ridge regression as for the other properties, and errors are minimised where they matter: in
degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.surface import SIZE, terms
from glazecalc.models.viscosity import balance_terms, log_viscosity_to_u
from training.data import KELVIN, Array, Glasses, Mask
from training.joins import behind, read_joins
from training.robust import reweight
from training.split import split
from training.surface import nearness, quadratic, records

ORDERS: Final = 3
_ROUNDS: Final = 5
_LOG_RANGE: Final = (-0.5, 12.6)
_DEGC_RANGE: Final = (250.0, 2000.0)
_LEAST_WEIGHT: Final = 0.02
_LEAST_SHARE: Final = 0.99


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """Measured points: ``record`` of each in the database, log10 viscosity [Pa.s] and temperature [degC]."""

    record: NDArray[np.int64]
    log_viscosity: Array
    degC: Array


def all_points(glasses: Glasses) -> Points:
    """Every believable point of the database: temperatures at whole log viscosities, viscosities at temperatures."""
    table = glasses.properties
    record, log_viscosity, kelvin = [], [], []
    for n in range(13):
        column = table[f"T{n}"].to_numpy(dtype=float)
        rows = np.flatnonzero(np.isfinite(column))
        record.append(rows)
        log_viscosity.append(np.full(len(rows), float(n)))
        kelvin.append(column[rows])
    for name in (c for c in table.columns if c.startswith("ViscosityAt")):
        column = table[name].to_numpy(dtype=float)
        rows = np.flatnonzero(np.isfinite(column))
        record.append(rows)
        log_viscosity.append(column[rows])
        kelvin.append(np.full(len(rows), float(name.removeprefix("ViscosityAt").removesuffix("K"))))
    which, log_eta, degC = np.concatenate(record), np.concatenate(log_viscosity), np.concatenate(kelvin) - KELVIN
    good = (log_eta >= _LOG_RANGE[0]) & (log_eta <= _LOG_RANGE[1])
    good &= (degC >= _DEGC_RANGE[0]) & (degC <= _DEGC_RANGE[1])
    return Points(which[good], log_eta[good], degC[good])


@dataclass(frozen=True, slots=True, eq=False)
class Melts:
    """The melts a curve is fitted on, and their points: ``melt`` is the row of each point in ``composition``.

    ``firm`` melts are not doubted for lying off the rest: they were picked for lying where the rest says nothing.
    """

    composition: Array
    paper: NDArray[np.int64]
    year: NDArray[np.int64]
    fold: NDArray[np.int64]
    weight: Array
    core: Mask
    melt: NDArray[np.int64]
    log_viscosity: Array
    degC: Array
    firm: Mask


JOINS_WEIGHT: Final = 3.0
"""Weight of a melt of the joins beside one of the database in the fit with the balance: they are few where they matter.
Chosen, with the width of the balance and its penalty, on groups of like melts and papers left out in turn."""
BALANCE_PENALTY: Final = 300.0
"""Ridge of the terms of the charge balance, in ridges of the other terms."""
QUADRATIC: Final = SIZE + SIZE * (SIZE + 1) // 2
"""Terms of the quadratic; those of the charge balance stand behind them."""


def melts_to_fit(glasses: Glasses, balance: bool = False) -> Melts:
    """The melts of the database and those of the feldspar joins that are not kept back."""
    return with_joins(database_melts(glasses), JOINS_WEIGHT if balance else 1.0, firm=balance)


def with_joins(melts: Melts, weight: float, firm: bool = False) -> Melts:
    """``melts`` and, behind them, those of the joins that may be fitted; a group of like melts stands for a paper."""
    joins = read_joins().part(False)
    return Melts(
        **behind(melts, joins, slice(None), weight),
        melt=np.concatenate([melts.melt, len(melts.weight) + joins.melt]),
        log_viscosity=np.concatenate([melts.log_viscosity, joins.log_viscosity]),
        degC=np.concatenate([melts.degC, joins.degC]),
        firm=np.concatenate([melts.firm, np.full(len(joins.composition), firm)]),
    )


def database_melts(glasses: Glasses) -> Melts:
    """Points of the database's melts near the glaze range that may be fitted, each once."""
    points = all_points(glasses)
    near = nearness(glasses.composition)
    allowed = split(glasses).fit & (glasses.share >= _LEAST_SHARE) & (near >= _LEAST_WEIGHT)
    use = allowed[points.record]
    key = np.column_stack(
        [
            np.round(glasses.composition[points.record[use]], 4),
            np.round(points.log_viscosity[use], 2),
            np.round(points.degC[use]),
        ]
    )
    _, first = np.unique(key, axis=0, return_index=True)
    chosen = np.flatnonzero(use)[np.sort(first)]
    index, melt = np.unique(points.record[chosen], return_inverse=True)
    return Melts(
        **records(glasses, index, near),
        melt=melt.astype(np.int64),
        log_viscosity=points.log_viscosity[chosen],
        degC=points.degC[chosen],
        firm=np.zeros(len(index), dtype=bool),
    )


@dataclass(frozen=True, slots=True, eq=False)
class CurveFit:
    """Coefficients of the three surfaces, shape (3, p), constant first, and each point predicted without its fold."""

    coefficients: Array
    left_out: Array


class _Design:
    """Features of the melts, scaled, and the normal equations of points that share them."""

    def __init__(self, melts: Melts, penalty: float, balance: bool) -> None:
        x = melts.composition.T.copy()
        features = quadratic(terms(x))
        if balance:
            features = np.hstack([features, balance_terms(x).T])
        self.middle = np.average(features, axis=0, weights=melts.weight)
        self.spread = np.sqrt(np.average((features - self.middle) ** 2, axis=0, weights=melts.weight)) + 1e-12
        self.rows = np.hstack([np.ones((len(features), 1)), (features - self.middle) / self.spread])
        u = log_viscosity_to_u(melts.log_viscosity)
        self.u_middle, self.u_spread = float(u.mean()), float(u.std())
        scaled = (u - self.u_middle) / self.u_spread
        self.powers = np.stack([scaled**k for k in range(2 * ORDERS - 1)])
        of_balance = features.shape[1] - QUADRATIC
        self.penalty = np.repeat([penalty, penalty * BALANCE_PENALTY], [QUADRATIC, of_balance])

    def predict(self, solved: Array, melt: NDArray[np.int64], points: Array | Mask | slice) -> Array:
        surfaces = self.rows @ solved.T
        return np.asarray(np.einsum("kn,nk->n", self.powers[:ORDERS, points], surfaces[melt]))

    def solve(self, melt: NDArray[np.int64], points: Mask, degC: Array, weight: Array) -> Array:
        """Coefficients (3, p) from the given points."""
        count, p = self.rows.shape
        moments = np.stack([np.bincount(melt, weight * row[points], count) for row in self.powers])
        right = np.stack(
            [self.rows.T @ np.bincount(melt, weight * degC * row[points], count) for row in self.powers[:ORDERS]]
        )
        used = moments[0] > 0
        rows = self.rows[used]
        blocks = [(rows * m[used, None]).T @ rows for m in moments]
        gram = np.block([[blocks[a + b] for b in range(ORDERS)] for a in range(ORDERS)])
        ridge = np.tile(np.concatenate([[1e-9], self.penalty * weight.mean()]), ORDERS)
        return np.asarray(np.linalg.solve(gram + np.diag(ridge), right.ravel()).reshape(ORDERS, p))

    def raw(self, solved: Array) -> Array:
        """Coefficients on unscaled features and unscaled u."""
        plain = solved[:, 1:] / self.spread
        constant = solved[:, 0] - plain @ self.middle
        a, b, c = np.column_stack([constant, plain])
        m, s = self.u_middle, self.u_spread
        return np.stack([a - b * m / s + c * m * m / s**2, b / s - 2 * c * m / s**2, c / s**2])


def fit_curve(melts: Melts, penalty: float, leave_out: bool = True, balance: bool = False) -> CurveFit:
    """Fit the three surfaces robustly; predict every point by a fit without its fold of papers.

    With ``balance`` the terms of the charge balance stand behind the quadratic's.
    """
    design = _Design(melts, penalty, balance)
    count = np.bincount(melts.melt)
    base = (melts.weight / np.sqrt(count))[melts.melt]
    base /= base.mean()
    paper = melts.paper[melts.melt]

    def iterate(points: Mask) -> Array:
        melt, degC, weight = melts.melt[points], melts.degC[points], base[points]
        _, dense = np.unique(paper[points], return_inverse=True)
        current, solved = weight, np.zeros((ORDERS, design.rows.shape[1]))
        for _ in range(_ROUNDS):
            solved = design.solve(melt, points, degC, current)
            current = reweight(degC - design.predict(solved, melt, points), weight, dense)
            current = np.where(melts.firm[melt], np.maximum(current, weight), current)
        return solved

    everything = np.ones(len(melts.melt), dtype=bool)
    solved = iterate(everything)
    left_out = np.full(len(melts.melt), np.nan)
    fold = melts.fold[melts.melt]
    for k in np.unique(fold) if leave_out else ():
        rest = fold != k
        left_out[~rest] = design.predict(iterate(rest), melts.melt[~rest], ~rest)
    return CurveFit(design.raw(solved), left_out)
