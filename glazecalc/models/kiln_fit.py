"""What recorded firings say of a kiln: the most likely losses, heat store and wear, with their uncertainty.

A kiln is described by five numbers that its firings share: ln power, ln loss, ln heat store, a number for wear
and one for what its owner usually loads; each firing adds its own load and volts. The prior of the first four is
that of the plate's draws, their ties included. Gauss-Newton steps with differences find the most likely values;
the curvature there gives their spread (Laplace).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.heat_work import GAS_CONSTANT_KJ, KELVIN, heat_law, softening_rate
from glazecalc.models.kiln import Flows, KilnModel, cold, longest_step_h
from glazecalc.models.kiln_draws import UNKNOWN_FIRINGS, KilnDraws, spread_points, wear_share
from glazecalc.models.reach import UNKNOWN_DROP, element_ohm, volts_spread
from glazecalc.values.cones import Cone

Array = NDArray[np.float64]

READING_SPREAD_K: Final = 8.0
"""Of a reading about the lumped model: pyrometer, place in the chamber and the model's own simplicity [K]."""
POWER_MEASURED: Final = 0.02
USUAL_LOAD_SPREAD: Final = 0.26
"""Of ln(usual load / full load); with the next it makes the spread of a plate's draws."""
FIRING_LOAD_SPREAD: Final = 0.15
"""Of ln(load) from one firing to the next."""
WIDEN_FROM: Final = 1.5
"""Records this many times further from the model than readings usually do are trusted that much less."""
_SHARED: Final = 5
_STEPS: Final = 12
_NUDGE: Final = 0.02


@dataclass(frozen=True, slots=True)
class FiringCurve:
    """One recorded firing.

    ``hours`` [h] and ``degC`` [degC] are readings, the first the start. From ``flat_out_h`` on the elements
    were on all the time, to ``until_h``; before and after, the record itself is taken as what the chamber did.
    ``volts`` were there behind which a wire of ``loop_ohm`` led to the kiln, and to others that drew ``other_A``: none
    where the volts were taken at the kiln, None where it is not known. ``measured`` is as for
    :func:`~glazecalc.models.reach.volts_spread`. ``on_elements`` counts earlier firings on the elements. ``load`` is a
    share of a full load, None if not known. ``down`` and ``standing`` are witness cones at the end, ``end_h`` the end.
    ``watts`` is measured power at these volts.
    """

    hours: tuple[float, ...]
    degC: tuple[float, ...]
    volts: float
    measured: bool | None = None
    flat_out_h: float = 0.0
    on_elements: float | None = None
    load: float | None = None
    down: tuple[Cone, ...] = ()
    standing: tuple[Cone, ...] = ()
    end_h: float | None = None
    watts: float | None = None
    until_h: float = math.inf
    loop_ohm: float | None = 0.0
    other_A: float = 0.0

    @property
    def at_full(self) -> tuple[tuple[float, float], ...]:
        """Readings taken at full power [h, degC]."""
        pairs = zip(self.hours, self.degC, strict=True)
        return tuple((h, t) for h, t in pairs if self.flat_out_h < h <= self.until_h)


@dataclass(frozen=True, slots=True)
class KilnFit:
    """Most likely ``ln power``, ``ln loss``, ``ln store``, wear number and load number, their covariance, and
    what the prior was.

    ``misfit`` is the root mean square of the residuals in their own standard deviations, ``misfits`` that of each
    firing: far above one, the records do not look like this kiln.
    """

    mean: Array
    covariance: Array
    prior_mean: Array
    prior_covariance: Array
    misfit: float
    misfits: tuple[float, ...]
    readings: int


def prior_of(draws: KilnDraws, plate_W: float) -> tuple[Array, Array]:
    """Mean and covariance of what all firings share, (5,) and (5, 5), over the plate's draws."""
    z = spread_points(len(draws.weights), 8)[:, 3]
    middle = _middle(draws)
    loss = np.log(draws.loss * draws.spread_m / middle.spread_m)
    store = np.log(draws.store * draws.wall_J_per_K / middle.wall_J_per_K)
    columns = np.stack([np.log(draws.power_W / plate_W), loss, store, z])
    centred = columns - (columns @ draws.weights)[:, None]
    covariance = np.eye(_SHARED)
    covariance[:-1, :-1] = (centred * draws.weights) @ centred.T + 1e-6 * np.eye(_SHARED - 1)
    return np.append(columns @ draws.weights, 0.0), covariance


def fit_kiln(draws: KilnDraws, plate_W: float, firings: tuple[FiringCurve, ...]) -> KilnFit:
    """Fit the kiln to its firings, starting from its plate.

    Where the records lie further from the model than readings do, they are fitted again and trusted that much less:
    the prior then counts for more and the intervals are wider (R. T. Birge, Phys. Rev. 40 (1932) 207).

    Raises
    ------
    ValueError
        if no firing holds a reading from its flat-out part or a witness cone.
    """
    fit = _most_likely(draws, plate_W, firings, 1.0)
    if fit.misfit <= WIDEN_FROM:
        return fit
    wider = _most_likely(draws, plate_W, firings, fit.misfit)
    return replace(wider, misfit=fit.misfit, misfits=fit.misfits)


def _most_likely(draws: KilnDraws, plate_W: float, firings: tuple[FiringCurve, ...], doubt: float) -> KilnFit:
    """The fit where the records' standard deviations are ``doubt`` times what they usually are."""
    prior_mean, prior_covariance = prior_of(draws, plate_W)
    root = np.linalg.inv(np.linalg.cholesky(prior_covariance))
    guess = np.concatenate([prior_mean, np.zeros(2 * len(firings))])
    count = len(guess)
    damping = 1.0
    nudges = _NUDGE * np.vstack([np.zeros(count), np.eye(count)])

    def tried(at: Array) -> Array:
        found = _residuals(draws, plate_W, firings, at + nudges, prior_mean, root)
        found[:, count:] /= doubt
        return found

    table = tried(guess)
    if table.shape[1] == count:
        raise ValueError("no firing tells of full power: give readings from a flat-out stretch, or witness cones")
    for _ in range(_STEPS):
        base, slopes = table[0], (table[1:] - table[0]).T / _NUDGE
        square = slopes.T @ slopes
        move = -np.linalg.solve(square + damping * np.diag(np.diag(square)) * 0.01, slopes.T @ base)
        move = np.clip(move, -0.5, 0.5)
        trial = tried(guess + move)
        better = bool(np.all(np.isfinite(trial))) and float(trial[0] @ trial[0]) <= float(base @ base) + 1e-9
        damping = damping / 3.0 if better else damping * 8.0
        if better:
            guess, table = guess + move, trial
            if float(np.max(np.abs(move))) < 1e-3:
                break
    slopes = (table[1:] - table[0]).T / _NUDGE
    covariance = np.linalg.inv(slopes.T @ slopes)
    own = doubt * table[0][count:]
    ends = np.cumsum([residual_count(firing) for firing in firings])
    return KilnFit(
        mean=guess[:_SHARED],
        covariance=covariance[:_SHARED, :_SHARED],
        prior_mean=prior_mean,
        prior_covariance=prior_covariance,
        misfit=_root_mean_square(own),
        misfits=tuple(_root_mean_square(part) for part in np.split(own, ends[:-1])),
        readings=len(own),
    )


def _root_mean_square(values: Array) -> float:
    return float(np.sqrt(np.mean(values**2))) if values.size else 0.0


def _residuals(
    draws: KilnDraws, plate_W: float, firings: tuple[FiringCurve, ...], points: Array, mean: Array, root: Array
) -> Array:
    """Residuals in standard deviations for each row of ``points``: the priors first, then the records."""
    rows = [(points[:, :_SHARED] - mean) @ root.T, points[:, _SHARED:]]
    for i, firing in enumerate(firings):
        own = points[:, _SHARED + 2 * i : _SHARED + 2 * i + 2]
        rows.append(residuals_of(draws, plate_W, firing, points[:, :_SHARED], own))
    return np.concatenate(rows, axis=1)


def model_of(draws: KilnDraws, plate_W: float, firing: FiringCurve, shared: Array, own: Array) -> KilnModel:
    """The kiln in one firing for each row of ``shared`` (r, 5) and ``own`` (r, 2: load and volts,
    standard units).
    """
    ones = np.ones(len(shared))
    usual = np.exp(USUAL_LOAD_SPREAD * shared[:, 4])
    wear = wear_share(firing.on_elements if firing.on_elements is not None else UNKNOWN_FIRINGS, shared[:, 3])
    full_W = plate_W * np.exp(shared[:, 0])
    volts = _volts_share(draws, firing, element_ohm(draws.kiln, _plate_V(draws, firing), full_W, wear), own[:, 1])
    load = (firing.load if firing.load is not None else usual) * np.exp(FIRING_LOAD_SPREAD * own[:, 0])
    middle = _middle(draws)
    return replace(
        middle.model(1.0, load * ones, new=True),
        power_W=full_W * volts**2 / (1.0 + wear),
        spread_m=middle.spread_m * np.exp(shared[:, 1]),
        wall_J_per_K=middle.wall_J_per_K * np.exp(shared[:, 2]),
        outer_W_per_K=middle.outer_W_per_K * ones,
        room_degC=20.0 * ones,
    )


def _plate_V(draws: KilnDraws, firing: FiringCurve) -> float:
    return draws.kiln.volts or firing.volts


def _volts_share(draws: KilnDraws, firing: FiringCurve, heater_ohm: Array, z: Array) -> Array:
    """Volts at the kiln in a firing as a share of the plate's, for standard-normal ``z``; Ohm's law."""
    plate = _plate_V(draws, firing)
    spread = volts_spread(firing.volts, firing.measured)
    if firing.loop_ohm is None:
        lost, of_lost = UNKNOWN_DROP
        return np.asarray(firing.volts / plate * (1.0 - lost) * (1.0 + math.hypot(spread, of_lost) * z))
    here = firing.volts * (1.0 + spread * z) - firing.other_A * firing.loop_ohm
    return np.asarray(here / plate * heater_ohm / (heater_ohm + firing.loop_ohm))


def _middle(draws: KilnDraws) -> KilnDraws:
    """The kiln's geometry as single figures: the weighted middle of the draws."""

    def one(values: Array) -> Array:
        return np.array([float(values @ draws.weights)])

    return replace(
        draws,
        weights=np.ones(1),
        power_W=one(draws.power_W),
        wear=np.zeros(1),
        loss=np.ones(1),
        store=np.ones(1),
        load=np.ones(1),
        supply_z=np.zeros(1),
        spread_m=one(draws.spread_m),
        wall_J_per_K=one(draws.wall_J_per_K),
        outer_W_per_K=one(draws.outer_W_per_K),
    )


def residual_count(firing: FiringCurve) -> int:
    """How many residuals a firing has: readings at full power, witness cones, and the power where it was measured."""
    return len(firing.at_full) + len(firing.down) + len(firing.standing) + (firing.watts is not None)


def residuals_of(draws: KilnDraws, plate_W: float, firing: FiringCurve, shared: Array, own: Array) -> Array:
    """Residuals of one firing, shape (r, readings and cones)."""
    model = model_of(draws, plate_W, firing, shared, own)
    at, said = np.array(firing.at_full).reshape(-1, 2).T
    degC, log_heat = follow(model, firing, at)
    columns = [(degC - said) / READING_SPREAD_K]
    law = heat_law()
    for cone in (*firing.down, *firing.standing):
        kelvin = float(np.max(degC)) + KELVIN if degC.size else 1400.0
        per_K = law.energy_kJ_per_mol[cone.position] / (GAS_CONSTANT_KJ * kelvin**2)
        short = -log_heat[:, cone.position] / per_K / law.spread_K[cone.position]
        wrong = np.maximum(short, 0.0) if cone in firing.down else np.minimum(short, 0.0)
        columns.append(wrong[:, None])
    if firing.watts is not None:
        columns.append(np.log(model.power_W / firing.watts)[:, None] / POWER_MEASURED)
    return np.concatenate(columns, axis=1)


def follow(model: KilnModel, firing: FiringCurve, at_h: Array) -> tuple[Array, Array]:
    """Chamber temperature at the hours ``at_h``, shape (r, len(at_h)), and ln heat-work at the end, (r,
    cones).

    From ``flat_out_h`` to ``until_h`` the elements are on all the time; else the chamber is led along the record, as
    far as power and losses let it.
    """
    end = max(firing.end_h or 0.0, firing.hours[-1])
    places = cold(model)
    places[0] = firing.degC[0]
    steps = max(2, int(np.ceil(end / longest_step_h(model))))
    turns = [min(firing.flat_out_h, end), min(firing.until_h, end)]
    grid = np.unique(np.concatenate([np.linspace(0.0, end, steps + 1), turns]))
    curve = np.empty((len(grid), len(model.power_W)))
    curve[0] = places[0]
    led, free = Flows(model.with_power(1e9)), Flows(model)
    for i in range(1, len(grid)):
        seconds = float(grid[i] - grid[i - 1]) * 3600.0
        if grid[i] <= firing.flat_out_h + 1e-9 or grid[i] > firing.until_h + 1e-9:
            want = float(np.interp(grid[i], firing.hours, firing.degC))
            places = led.step(places, seconds, (want - places[0]) / seconds)[0]
        else:
            places = free.step(places, seconds)[0]
        curve[i] = places[0]
    degC = np.array([np.interp(at_h, grid, column) for column in curve.T]).reshape(len(model.power_W), len(at_h))
    rate = softening_rate(heat_law(), np.minimum(curve, 1600.0))
    heat = np.sum(0.5 * (rate[1:] + rate[:-1]) * np.diff(grid)[:, None, None], axis=0)
    return degC, np.log(heat + 1e-300)


def draws_after(draws: KilnDraws, plate_W: float, fit: KilnFit, firings_now: float | None) -> KilnDraws:
    """Draws of the kiln as learned, with the wear of ``firings_now`` firings on its elements.

    Where their number is not known, it is the same middling one that the fit reckons with.
    """
    n = len(draws.weights)
    z = spread_points(n, 8)
    drawn = fit.mean[:, None] + np.linalg.cholesky(fit.covariance) @ z[:, :_SHARED].T
    middle = _middle(draws)
    return replace(
        draws,
        weights=np.full(n, 1.0 / n),
        power_W=plate_W * np.exp(drawn[0]),
        loss=np.exp(drawn[1]),
        store=np.exp(drawn[2]),
        wear=wear_share(UNKNOWN_FIRINGS if firings_now is None else firings_now, drawn[3]),
        load=np.exp(USUAL_LOAD_SPREAD * drawn[4] + FIRING_LOAD_SPREAD * z[:, 5]),
        supply_z=z[:, 6],
        spread_m=np.repeat(middle.spread_m, n),
        wall_J_per_K=np.repeat(middle.wall_J_per_K, n),
        outer_W_per_K=np.repeat(middle.outer_W_per_K, n),
        learned=True,
        misfit=max(fit.misfits, default=0.0),
    )
