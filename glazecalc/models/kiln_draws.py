"""What is not known of a kiln, as evenly spread draws: from its plate, and held to the cone its maker rates
it for.

Draws follow a fixed low-discrepancy sequence, so the same kiln always gives the same answer. The prior
spreads are the project's own judgement of how far plates, bricks, loads and mains vary, and are stated
beside each constant.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.chamber import (
    USUAL_BRICK,
    WARE_HEAT_J_PER_KGK,
    WARE_KG_PER_LITRE,
    Chamber,
    bricks,
    chamber,
    contents_J_per_K,
)
from glazecalc.models.cones import temperature_degC
from glazecalc.models.heat_work import heat_law, softening_rate
from glazecalc.models.kiln import OUTER_FILM_W_PER_M2K, HeatingRun, KilnModel, loss_for_stall, run_full_power
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Kiln

Array = NDArray[np.float64]

DRAWS: Final = 128
ROOM_DEGC: Final = 20.0
POWER_SPREAD: Final = 0.03
"""Standard deviation of ln(true power / plate power): makers wind elements to a few per cent."""
LOSS_SPREAD: Final = 0.30
"""Of ln(loss): brick of one group varies by about a fourth, holes and lid seams come on top."""
STORE_SPREAD: Final = 0.17
"""Of ln(brick density): group 23 brick is sold from 370 to 650 kg/m3."""
LOAD_SPREAD: Final = 0.30
"""Of ln(load / full load): a tight load against a loose one."""
WALL_SPREAD: Final = 0.12
USUAL_WALL_MM: Final = 65.0
"""A wall of 2 1/2 inch brick, where none is stated."""
RATED_HOURS: Final = (4.5, 0.8, 0.25)
"""Hours a maker's kiln takes to its rated cone at full power, new and lightly loaded: median, spread of ln
below and above it. Rated cones are often set by brick and elements, not by power: hence the long tail of
fast kilns."""
RATED_LOAD: Final = 0.5
WEAR_AT_LIFE: Final = 0.10
"""Elements are replaced when their resistance has grown by about a tenth (common practice)."""
LIFE_FIRINGS: Final = (120.0, 0.5)
"""Firings to that point: median and spread of ln (common practice)."""
UNKNOWN_FIRINGS: Final = 40.0
MOST_WEAR: Final = 0.35
MOST_RISE_K_PER_MIN: Final = 500.0
"""Full power lifts no cold chamber faster than this: kilns for beads, an eighth of a litre and 750 W, come near 450 by
this model (judgement)."""
LEAST_WALL_MM: Final = 25.0
"""No kiln has a wall of brick thinner than an inch (common practice, no source)."""
_DIMENSIONS: Final = 8


@dataclass(frozen=True, slots=True, eq=False)
class KilnDraws:
    """n draws of a kiln, shape (n,) each, with their ``weights`` (sum 1).

    ``power_W`` is of new elements at the plate's volts [W]; ``wear`` the growth of their resistance since,
    as a share; ``loss`` and ``store`` multiply what geometry and brick give; ``load`` is a share of a full
    load; ``supply_z`` is the standing of the mains in standard deviations. ``spread_m``, ``wall_J_per_K`` and
    ``outer_W_per_K`` come from the geometry. ``agrees`` is False when power, size and rated cone hardly go
    together; ``misfit`` tells how far the worst of the firings they were learned from lies from the model, in the
    spread of readings.
    """

    kiln: Kiln
    weights: Array
    power_W: Array
    wear: Array
    loss: Array
    store: Array
    load: Array
    supply_z: Array
    spread_m: Array
    wall_J_per_K: Array
    outer_W_per_K: Array
    inside: Chamber
    agrees: bool = True
    learned: bool = False
    misfit: float = 0.0

    def model(
        self, volts_share: Array | float = 1.0, load: Array | float | None = None, new: bool = False
    ) -> KilnModel:
        """The kiln on mains of this share of the plate's volts, with this load, with ``new`` elements or as
        they are."""
        ones = np.ones_like(self.weights)
        wear = 0.0 * ones if new else self.wear
        shelves = contents_J_per_K(self.inside, max(1, self.kiln.shelves), 0.0)
        ware = WARE_KG_PER_LITRE * self.inside.volume_m3 * 1000.0 * WARE_HEAT_J_PER_KGK
        brick = bricks()[USUAL_BRICK]
        return KilnModel(
            power_W=self.power_W * np.square(volts_share) / (1.0 + wear),
            spread_m=self.spread_m * self.loss,
            wall_J_per_K=self.wall_J_per_K * self.store,
            chamber_J_per_K=shelves + ware * (self.load if load is None else load * ones),
            outer_W_per_K=self.outer_W_per_K,
            room_degC=ROOM_DEGC * ones,
            k0=brick.k0,
            k1=brick.k1,
        )


def spread_points(n: int, dimensions: int) -> Array:
    """Evenly spread points of a standard normal, shape (n, dimensions); always the same.

    The additive recurrence of the generalised golden ratio (M. Roberts, 2018, quasirandom sequence R_d), put
    through the inverse of the normal distribution.
    """
    ratio = 2.0
    for _ in range(60):
        ratio = (1.0 + ratio) ** (1.0 / (dimensions + 1))
    steps = ratio ** -np.arange(1.0, dimensions + 1)
    uniform = (0.5 + np.outer(np.arange(1, n + 1), steps)) % 1.0
    inverse = NormalDist().inv_cdf
    return np.array([[inverse(min(max(u, 1e-6), 1 - 1e-6)) for u in row] for row in uniform])


def weighted_quantile(values: Array, weights: Array, share: float) -> float:
    """Quantile of weighted draws, read between their midpoints."""
    order = np.argsort(values)
    weight = weights[order]
    middle = np.cumsum(weight) - 0.5 * weight
    return float(np.interp(share * weight.sum(), middle, values[order]))


def can_be_modelled(kiln: Kiln) -> bool:
    """Whether power and inside are known and are those of a kiln."""
    return _is_described(kiln) and oddity(kiln) is None


def _is_described(kiln: Kiln) -> bool:
    return kiln.interior is not None and bool(kiln.watts or (kiln.amps and kiln.volts))


@lru_cache(maxsize=64)
def oddity(kiln: Kiln) -> str | None:
    """In words, why a kiln with these figures cannot be; None where it can, or where too little is known to tell."""
    if not _is_described(kiln):
        return None
    model = _from_geometry(kiln, 1).model(new=True)
    rise = 60.0 * float(model.power_W[0] / model.chamber_J_per_K[0])
    if rise > MOST_RISE_K_PER_MIN:
        told = f"{rise:.0f} C ({1.8 * rise:.0f} F)"
        return f"its power would heat so small an inside by {told} a minute, which no kiln does: check watts and inside"
    if kiln.wall_mm is not None and kiln.wall_mm < LEAST_WALL_MM:
        thin = f"{kiln.wall_mm:g} mm ({kiln.wall_mm / 25.4:.1f} in)"
        return f"a wall of {thin} is thinner than any kiln's: check wall_mm"
    return None


def draws_from_plate(kiln: Kiln, n: int = DRAWS) -> KilnDraws:
    """Draws of a kiln from its plate, held to its rated cone where one is given.

    Raises
    ------
    ValueError
        if power or inside is not known, or cannot be a kiln's.
    """
    if not can_be_modelled(kiln):
        raise ValueError("a kiln is modelled from its watts (or volts and amps) and its inside")
    draws = _from_geometry(kiln, n)
    return draws if kiln.cone is None else _held_to_rating(draws, kiln.cone, spread_points(n, _DIMENSIONS)[:, 6])


def _from_geometry(kiln: Kiln, n: int) -> KilnDraws:
    """Draws of a kiln from plate, size and brick alone."""
    assert kiln.interior is not None
    z = spread_points(n, _DIMENSIONS)
    wall_spread = 0.0 if kiln.wall_mm else WALL_SPREAD
    walls = (kiln.wall_mm or USUAL_WALL_MM) * np.exp(wall_spread * z[:, 7])
    rooms = [chamber(kiln.interior, float(w)) for w in walls]
    brick = bricks()[USUAL_BRICK]
    return KilnDraws(
        kiln=kiln,
        weights=np.full(n, 1.0 / n),
        power_W=plate_power_W(kiln) * np.exp(POWER_SPREAD * z[:, 0]),
        wear=wear_share(kiln.firings_on_elements, z[:, 3]),
        loss=np.exp(LOSS_SPREAD * z[:, 5]),
        store=np.exp(STORE_SPREAD * z[:, 1]),
        load=np.exp(LOAD_SPREAD * z[:, 2]),
        supply_z=z[:, 4],
        spread_m=np.array([r.mean_m2 / r.wall_m for r in rooms]),
        wall_J_per_K=np.array([r.brick_m3 for r in rooms]) * brick.density * brick.heat_capacity,
        outer_W_per_K=OUTER_FILM_W_PER_M2K * np.array([r.outer_m2 for r in rooms]),
        inside=chamber(kiln.interior, kiln.wall_mm or USUAL_WALL_MM),
    )


def plate_power_W(kiln: Kiln) -> float:
    """Heating power at the plate's volts [W]; where amps and watts disagree, their mean."""
    root = 3**0.5 if kiln.phase == 3 else 1.0
    from_amps = kiln.amps * kiln.volts * root if kiln.amps and kiln.volts else None
    known = [w for w in (kiln.watts, from_amps) if w]
    return float(sum(known) / len(known))


def wear_share(firings: float | None, z: Array) -> Array:
    """Growth of the elements' resistance as a share, for standard-normal draws ``z``, shape (n,)."""
    count = UNKNOWN_FIRINGS * np.exp(0.5 * np.roll(z, 7)) if firings is None else float(firings)
    life = LIFE_FIRINGS[0] * np.exp(LIFE_FIRINGS[1] * z)
    return np.asarray(np.minimum(WEAR_AT_LIFE * count / life, MOST_WEAR))


def _rated_hours(z: Array) -> Array:
    """Hours to the rated cone for standard-normal draws [h]; a maker's kiln is sooner much faster than much
    slower."""
    return np.asarray(RATED_HOURS[0] * np.exp(np.where(z < 0, RATED_HOURS[1], RATED_HOURS[2]) * z))


def _held_to_rating(draws: KilnDraws, rated: Cone, z: Array) -> KilnDraws:
    """The loss of each draw is set so that, new and lightly loaded, it brings the rated cone down in its
    hours.

    The hours are drawn first from their prior (``z``, standard normal), to see how the loss follows them;
    then from about where that prior and the prior of the loss agree, and weighed for it.
    """
    model = draws.model(load=RATED_LOAD, new=True)
    middle = float(
        np.clip(
            np.log(np.mean(loss_for_stall(model, np.asarray(rated_degC(rated) + 80.0)) / draws.spread_m)), -1.0, 1.0
        )
    )
    coarse = np.full(len(z), middle) + np.linspace(-0.9, 0.6, 6)[:, None]
    table = _log_heat_along(draws, rated, np.exp(coarse), float(_rated_hours(z).max()))
    guess = _loss_that_bends(table, coarse, _rated_hours(z))
    slope, start = np.polyfit(z, guess, 1)
    narrow = LOSS_SPREAD / np.hypot(slope, LOSS_SPREAD)
    z_new = -start * slope / (slope**2 + LOSS_SPREAD**2) + narrow * z
    guess = _loss_that_bends(table, coarse, _rated_hours(z_new))
    fine = guess + np.linspace(-0.1, 0.1, 3)[:, None]
    table = _log_heat_along(draws, rated, np.exp(fine), float(_rated_hours(z_new).max()))
    guess = _loss_that_bends(table, fine, _rated_hours(z_new))
    log_weight = -0.5 * (np.square(z_new) + np.square(guess / LOSS_SPREAD) - np.square(z))
    weights = np.exp(log_weight - log_weight.max())
    weights /= weights.sum()
    if float(weights @ guess) < -2.0 * LOSS_SPREAD:
        return replace(draws, agrees=False)
    return replace(draws, loss=np.exp(guess), weights=weights)


def _log_heat_along(draws: KilnDraws, rated: Cone, loss: Array, hours: float) -> tuple[Array, Array]:
    """ln of the share of the rated cone's bend, shape (m, r, n), at moments (m,), for losses (r, n)."""
    one = draws.model(load=RATED_LOAD, new=True)
    rungs = len(loss)
    model = KilnModel(
        power_W=np.tile(one.power_W, rungs),
        spread_m=(draws.spread_m * loss).ravel(),
        wall_J_per_K=np.tile(one.wall_J_per_K, rungs),
        chamber_J_per_K=np.tile(one.chamber_J_per_K, rungs),
        outer_W_per_K=np.tile(one.outer_W_per_K, rungs),
        room_degC=np.tile(one.room_degC, rungs),
        k0=one.k0,
        k1=one.k1,
    )
    run = run_full_power(model, hours, coarse=True)
    total = np.log(heat_along(run, (rated,))[:, :, 0] + 1e-300)
    return run.hours, total.reshape(-1, *loss.shape)


def _loss_that_bends(table: tuple[Array, Array], tries: Array, hours: Array) -> Array:
    """ln of the loss, shape (n,), at which the rated cone is just down after ``hours`` (n,); held at the
    ladder's ends."""
    moments, log_heat = table
    step = moments[1] if np.isfinite(moments[1]) and moments[1] > 0 else np.inf
    place = np.clip(np.nan_to_num(hours / step), 0, len(moments) - 1.000001)
    below = place.astype(int)
    column = np.arange(len(hours))
    low, high = log_heat[below, :, column], log_heat[below + 1, :, column]
    at_end = low + (place - below)[:, None] * (high - low)
    return np.array([np.interp(0.0, -row, tries[:, i]) for i, row in enumerate(at_end)])


def heat_along(run: HeatingRun, cones: tuple[Cone, ...] | None = None) -> Array:
    """Share of each cone's bend done up to each moment of a run, shape (m, n, cones).

    The steps of a run are short enough for the trapezoidal rule in the logarithm's sense of a degree or less.
    """
    law = heat_law() if cones is None else heat_law().take(cones)
    rate = softening_rate(law, np.minimum(run.chamber_degC, 1600.0))
    total = np.zeros_like(rate)
    np.add(rate[1:], rate[:-1], out=total[1:])
    total[1:] *= 0.5 * np.diff(run.hours)[:, None, None]
    for before, now in itertools.pairwise(total):  # many times faster than numpy's cumsum along the first axis
        now += before
    return np.asarray(total)


def rated_degC(cone: Cone) -> float:
    """Temperature of a rated cone as charts give it, at 60 degC/h [degC]."""
    return temperature_degC(cone, 60.0)
