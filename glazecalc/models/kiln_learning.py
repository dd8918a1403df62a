"""What recorded firings say of a kiln: the most likely losses, heat store and wear, with their uncertainty.

A kiln is described by five numbers that its firings share: ln power, ln loss, ln heat store, a number for wear
and one for what its owner usually loads; each firing adds its own load and volts. The prior of the first four is
that of the plate's draws, their ties included. Gauss-Newton steps with differences find the most likely values;
the curvature there gives their spread (Laplace).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Final

import numpy as np

from glazecalc.models.cones import GAS_CONSTANT_KJ, KELVIN, heat_law, softening_rate
from glazecalc.models.kiln import Flows, KilnModel, cold, joined, longest_step_h
from glazecalc.models.kiln_reach import (
    UNKNOWN_DROP,
    UNKNOWN_FIRINGS,
    KilnDraws,
    element_ohm,
    spread_points,
    volts_spread,
    wear_share,
)
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone

# Kilns led along their recorded firings, all of them in one run: full power where the elements were on all the time,

MOST_STEPS: Final = 800
"""A firing is followed in no more steps than this; a kiln far from any that can be is then followed roughly."""
_AS_LED_W: Final = 1e9
"""Where the record leads, it was reached, whatever power the model has [W]."""


def along_records(models: Sequence[KilnModel], firings: Sequence[FiringCurve]) -> list[tuple[Array, Array]]:
    """Hours (m,) and chamber temperature (m, r) [degC] of each kiln in its own firing.

    Each of ``models`` holds the same number r of draws. All take the same number of steps, a short firing shorter
    ones.
    """
    grids = _grids(models, firings)
    r = len(models[0].power_W)
    model = joined(models)
    want = np.array([np.interp(g, f.hours, f.degC) for g, f in zip(grids, firings, strict=True)])
    ends = zip(grids[:, 1:], firings, strict=True)
    led = np.array([(g <= f.flat_out_h + 1e-9) | (g > f.until_h + 1e-9) for g, f in ends])
    seconds = np.repeat(np.diff(grids, axis=1) * 3600.0, r, axis=0).T
    want, led = np.repeat(want, r, axis=0).T, np.repeat(led, r, axis=0).T
    places, flows = cold(model), Flows(model)
    places[0] = want[0]
    chamber = np.empty((grids.shape[1], len(model.power_W)))
    chamber[0] = places[0]
    for i, (step, along) in enumerate(zip(seconds, led, strict=True)):
        flows.most_W = np.where(along, _AS_LED_W, model.power_W)
        rate = np.where(along, (want[i + 1] - places[0]) / np.maximum(step, 1e-9), np.inf)
        places = flows.step(places, step, rate)[0]
        chamber[i + 1] = places[0]
    parts = np.split(chamber, len(models), axis=1)
    return list(zip(grids, parts, strict=True))


def _grids(models: Sequence[KilnModel], firings: Sequence[FiringCurve]) -> Array:
    """Moments of each firing [h], shape (firings, m); steps of no length fill up at the end."""
    grids = []
    for model, firing in zip(models, firings, strict=True):
        end = end_of(firing)
        longest = max(longest_step_h(model), end / MOST_STEPS)
        turns = sorted({0.0, min(firing.flat_out_h, end), min(firing.until_h, end), end})
        grid = [0.0]
        for a, b in pairwise(turns):
            grid += np.linspace(a, b, max(1, int(np.ceil((b - a) / longest))) + 1)[1:].tolist()
        grids.append(grid)
    most = max(len(g) for g in grids)
    return np.array([g + [g[-1]] * (most - len(g)) for g in grids])


def longest_followed_h(model: KilnModel) -> float:
    """The longest firing that is followed well in ``MOST_STEPS`` [h]."""
    return MOST_STEPS * longest_step_h(model)


def end_of(firing: FiringCurve) -> float:
    """Hour to which a firing is followed."""
    return max(firing.end_h or 0.0, firing.hours[-1])


def read_at(at_h: Array, hours: Array, chamber_degC: Array) -> Array:
    """Chamber temperature at the hours ``at_h``, shape (r, len(at_h))."""
    columns = [np.interp(at_h, hours, column) for column in chamber_degC.T]
    return np.array(columns).reshape(chamber_degC.shape[1], len(at_h))


def log_heat_of(hours: Array, chamber_degC: Array, cones: tuple[Cone, ...]) -> Array:
    """ln of the share of each cone's bend done at the end, shape (r, cones)."""
    rate = softening_rate(heat_law().take(cones), np.minimum(chamber_degC, 1600.0))
    heat = np.sum(0.5 * (rate[1:] + rate[:-1]) * np.diff(hours)[:, None, None], axis=0)
    return np.asarray(np.log(heat + 1e-300))


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
_NO_GAIN: Final = 1e-3
"""A step that changes the sum of squared residuals by less than this, in standard deviations, ends the search."""


@dataclass(frozen=True, slots=True)
class FiringCurve:
    """One recorded firing.

    ``hours`` [h] and ``degC`` [degC] are readings, the first the start. From ``flat_out_h`` on the elements
    were on all the time, to ``until_h``; before and after, the record itself is taken as what the chamber did.
    ``volts`` were there behind which a wire of ``loop_ohm`` led to the kiln, and to others that drew ``other_A``: none
    where the volts were taken at the kiln, None where it is not known. ``measured`` is as for
    ``volts_spread`` of ``kiln_reach``. ``on_elements`` counts earlier firings on the elements. ``load`` is a
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


@dataclass(frozen=True, slots=True, eq=False)
class KilnFit:
    """Most likely ``ln power``, ``ln loss``, ``ln store``, wear number and load number, and their covariance.

    ``guess`` holds the most likely values of all, those of each firing included. ``misfit`` is the root mean square of
    the residuals in their own standard deviations, ``misfits`` that of each firing: far above one, the records do not
    look like this kiln.
    """

    mean: Array
    covariance: Array
    misfit: float
    misfits: tuple[float, ...]
    guess: Array


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
    wider = _most_likely(draws, plate_W, firings, fit.misfit, fit.guess)
    return replace(wider, misfit=fit.misfit, misfits=fit.misfits)


def _most_likely(
    draws: KilnDraws, plate_W: float, firings: tuple[FiringCurve, ...], doubt: float, start: Array | None = None
) -> KilnFit:
    """The fit where the records' standard deviations are ``doubt`` times what they usually are."""
    prior_mean, prior_covariance = prior_of(draws, plate_W)
    root = np.linalg.inv(np.linalg.cholesky(prior_covariance))
    guess = np.concatenate([prior_mean, np.zeros(2 * len(firings))]) if start is None else start
    count = len(guess)
    damping = 1.0

    def tried(at: Array) -> Array:
        found = _residuals(draws, plate_W, firings, at, prior_mean, root)
        found[:, count:] /= doubt
        return found

    table = tried(guess)
    if table.shape[1] == count:
        raise ValueError("no firing tells of full power: give readings from a flat-out stretch, or witness cones")
    for _ in range(_STEPS if start is None else _STEPS // 2):
        base, slopes = table[0], (table[1:] - table[0]).T / _NUDGE
        square = slopes.T @ slopes
        move = -np.linalg.solve(square + damping * np.diag(np.diag(square)) * 0.01, slopes.T @ base)
        move = np.clip(move, -0.5, 0.5)
        trial = tried(guess + move)
        gain = float(base @ base) - float(trial[0] @ trial[0])
        better = bool(np.all(np.isfinite(trial))) and gain >= -1e-9
        damping = damping / 3.0 if better else damping * 8.0
        if better:
            guess, table = guess + move, trial
        if abs(gain) < _NO_GAIN or (better and float(np.max(np.abs(move))) < 1e-3):
            break
    slopes = (table[1:] - table[0]).T / _NUDGE
    covariance = np.linalg.inv(slopes.T @ slopes)
    own = doubt * table[0][count:]
    ends = np.cumsum([residual_count(firing) for firing in firings])
    return KilnFit(
        mean=guess[:_SHARED],
        covariance=covariance[:_SHARED, :_SHARED],
        misfit=_root_mean_square(own),
        misfits=tuple(_root_mean_square(part) for part in np.split(own, ends[:-1])),
        guess=guess,
    )


def _root_mean_square(values: Array) -> float:
    return float(np.sqrt(np.mean(values**2))) if values.size else 0.0


def _residuals(
    draws: KilnDraws, plate_W: float, firings: tuple[FiringCurve, ...], at: Array, mean: Array, root: Array
) -> Array:
    """Residuals in standard deviations at ``at`` and with each of its values nudged: the priors first, then the
    records.

    A firing's own values move its own residuals alone, so that each is reckoned for what is shared and its own two.
    """
    points = at + _NUDGE * np.vstack([np.zeros(len(at)), np.eye(len(at))])
    rows = [(points[:, :_SHARED] - mean) @ root.T, points[:, _SHARED:]]
    moved = [[*range(_SHARED + 1), _SHARED + 1 + 2 * i, _SHARED + 2 + 2 * i] for i in range(len(firings))]
    models = []
    for i, (firing, which) in enumerate(zip(firings, moved, strict=True)):
        own = points[which, _SHARED + 2 * i : _SHARED + 2 * i + 2]
        models.append(model_of(draws, plate_W, firing, points[which, :_SHARED], own))
    for firing, model, chamber, which in zip(firings, models, along_records(models, firings), moved, strict=True):
        found = _off(model, firing, *chamber)
        table = np.repeat(found[:1], len(points), axis=0)
        table[which] = found
        rows.append(table)
    return np.concatenate(rows, axis=1)


def model_of(draws: KilnDraws, plate_W: float, firing: FiringCurve, shared: Array, own: Array) -> KilnModel:
    """The kiln in one firing for each row of ``shared`` (r, 5) and ``own`` (r, 2: load and volts,
    standard units).
    """
    ones = np.ones(len(shared))
    usual = np.exp(USUAL_LOAD_SPREAD * shared[:, 4])
    wear = wear_share(firing.on_elements if firing.on_elements is not None else UNKNOWN_FIRINGS, shared[:, 3])
    full_W = plate_W * np.exp(shared[:, 0])
    plate_V = draws.kiln.volts or firing.volts
    volts = _volts_share(plate_V, firing, element_ohm(draws.kiln, plate_V, full_W, wear), own[:, 1])
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


def _volts_share(plate_V: float, firing: FiringCurve, heater_ohm: Array, z: Array) -> Array:
    """Volts at the kiln in a firing as a share of the plate's, for standard-normal ``z``; Ohm's law."""
    spread = volts_spread(firing.volts, firing.measured)
    if firing.loop_ohm is None:
        lost, of_lost = UNKNOWN_DROP
        return np.asarray(firing.volts / plate_V * (1.0 - lost) * (1.0 + math.hypot(spread, of_lost) * z))
    here = firing.volts * (1.0 + spread * z) - firing.other_A * firing.loop_ohm
    return np.asarray(here / plate_V * heater_ohm / (heater_ohm + firing.loop_ohm))


def _middle(draws: KilnDraws) -> KilnDraws:
    """The kiln's geometry as single figures: the weighted middle of the draws."""
    names, one = ("power_W", "spread_m", "wall_J_per_K", "outer_W_per_K"), np.ones(1)
    middle: dict[str, Any] = {name: np.array([float(getattr(draws, name) @ draws.weights)]) for name in names}
    return replace(draws, weights=one, wear=0.0 * one, loss=one, store=one, load=one, supply_z=0.0 * one, **middle)


def residual_count(firing: FiringCurve) -> int:
    """How many residuals a firing has: readings at full power, witness cones, and the power where it was measured."""
    return len(firing.at_full) + len(firing.down) + len(firing.standing) + (firing.watts is not None)


def _off(model: KilnModel, firing: FiringCurve, hours: Array, chamber_degC: Array) -> Array:
    """Residuals of one firing, shape (r, readings and cones), from its chamber at ``hours`` (m,), shape (m, r)."""
    at, said = np.array(firing.at_full).reshape(-1, 2).T
    degC = read_at(at, hours, chamber_degC)
    columns = [(degC - said) / READING_SPREAD_K]
    cones = (*firing.down, *firing.standing)
    kelvin = float(np.max(degC)) + KELVIN if degC.size else 1400.0
    log_heat = log_heat_of(hours, chamber_degC, cones)
    law = heat_law()
    for i, cone in enumerate(cones):
        per_K = law.energy_kJ_per_mol[cone.position] / (GAS_CONSTANT_KJ * kelvin**2)
        short = -log_heat[:, i] / per_K / law.spread_K[cone.position]
        wrong = np.maximum(short, 0.0) if cone in firing.down else np.minimum(short, 0.0)
        columns.append(wrong[:, None])
    if firing.watts is not None:
        columns.append(np.log(model.power_W / firing.watts)[:, None] / POWER_MEASURED)
    return np.concatenate(columns, axis=1)


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
