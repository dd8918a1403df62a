"""What is not known of a kiln, as evenly spread draws: from its plate, and held to the cone its maker rates
it for.

Draws follow a fixed low-discrepancy sequence, so the same kiln always gives the same answer. The prior
spreads are the project's own judgement of how far plates, bricks, loads and mains vary, and are stated
beside each constant.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.cones import equivalent_degC, heat_law, rated_cone, softening_rate, temperature_degC
from glazecalc.models.kiln import (
    OUTER_FILM_W_PER_M2K,
    WARE_HEAT_J_PER_KGK,
    Chamber,
    Drive,
    HeatingRun,
    KilnModel,
    chamber,
    contents_J_per_K,
    joined,
    longest_step_h,
    loss_for_stall,
    run_full_power,
    stall_degC,
    wall_of,
)
from glazecalc.values.answers import Basis, Estimate
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Kiln
from glazecalc.values.results.kiln import FULL_POWER_H
from glazecalc.values.texts import phrase

DRAWS: Final = 128
ROOM_DEGC: Final = 20.0
POWER_SPREAD: Final = 0.03
"""Standard deviation of ln(true power / plate power): makers wind elements to a few per cent."""
LOSS_USUAL: Final = 1.10
"""Loss over that of a plain wall: lid gaps, peepholes and grooves are thought to take a tenth to a third more. A US
maker's drawing (4.72 kW to the room at cone 6, round, 584 by 686 mm, 76 mm of brick) lies a tenth below it."""
LOSS_SPREAD: Final = 0.30
"""Of ln(loss): brick of one group varies by about a fourth, holes and lid seams come on top."""
STORE_SPREAD: Final = 0.17
"""Of ln(brick density): group 23 brick is sold from 370 to 650 kg/m3."""
LOAD_SPREAD: Final = 0.30
"""Of ln(load / full load): a tight load against a loose one."""
WALL_SPREAD: Final = 0.12
USUAL_WALL_MM: Final = 65.0
"""A wall of 2 1/2 inch brick, where none is stated."""
RATED_HOURS: Final = (6.0, 0.42, 0.36)
"""Hours a maker's kiln of brick takes to its rated cone at full power, new and lightly loaded: median, spread of ln
below and above it, so that nine in ten take 3 to 11 (common practice: 3 to 12)."""
FIBRE_HOURS: Final = (2.5, 0.42, 0.36)
"""The same of a lining of fibre, which stores a fifth of what brick does (judgement)."""
IN_HAND: Final = (1.3, 0.2)
"""Full power of new elements over the steady loss at the rating: median and spread of ln. Elements grown by a tenth
on a line 5 % low give 82 % of their power (P = V2/R) and should still get there, which asks for 1.22; some builders ask
for 1.5 and more (judgement). So no kiln goes far beyond its rating."""
RATED_LOAD: Final = 0.5
LADDER: Final = (-1.2, 0.9, 9)
"""Losses tried, as ln over the usual: from, to, and how many."""
FINER: Final = 8
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
    spread of readings. ``proven`` is the hottest cone that came down in them.
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
    proven: Cone | None = None

    @property
    def basis(self) -> Basis:
        """What figures of these draws rest on."""
        return Basis.LEARNED if self.learned else Basis.MODEL

    def model(
        self, volts_share: Array | float = 1.0, load: Array | float | None = None, new: bool = False
    ) -> KilnModel:
        """The kiln on mains of this share of the plate's volts, with this load, with ``new`` elements or as
        they are."""
        ones = np.ones_like(self.weights)
        wear = 0.0 * ones if new else self.wear
        shelves = contents_J_per_K(self.inside, max(1, self.kiln.shelves), 0.0)
        ware = self.inside.full_load_kg * WARE_HEAT_J_PER_KGK
        brick = wall_of(self.kiln.insulation)
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


@lru_cache(maxsize=8)
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
    points = np.array([[inverse(min(max(u, 1e-6), 1 - 1e-6)) for u in row] for row in uniform])
    points.setflags(write=False)
    return points


def weighted_quantile(values: Array, weights: Array, share: float) -> float:
    """Quantile of weighted draws, read between their midpoints."""
    return _quantiles(values, weights, (share,))[0]


def ninety(values: Array, weights: Array) -> tuple[float, float, float]:
    """5, 50 and 95 % points of weighted draws."""
    low, middle, high = _quantiles(values, weights, (0.05, 0.5, 0.95))
    return low, middle, high


def estimate_of(
    name: str, values: Array, weights: Array, unit: str, basis: Basis, sources: tuple[str, ...], *caveats: str
) -> Estimate:
    """Weighted draws of a figure [``unit``] as an Estimate: median and 90 % interval."""
    low, middle, high = ninety(values, weights)
    return Estimate(name, middle, low, high, unit, basis, sources, caveats)


def _quantiles(values: Array, weights: Array, shares: Sequence[float]) -> list[float]:
    order = np.argsort(values)
    weight = weights[order]
    middle = np.cumsum(weight) - 0.5 * weight
    return [float(np.interp(share * weight.sum(), middle, values[order])) for share in shares]


def can_be_modelled(kiln: Kiln) -> bool:
    """Whether power and inside are known and are those of a kiln."""
    return _is_described(kiln) and oddity(kiln) is None


def _is_described(kiln: Kiln) -> bool:
    return kiln.interior is not None and kiln.tells_power


@lru_cache(maxsize=64)
def oddity(kiln: Kiln) -> str | None:
    """In words, why a kiln with these figures cannot be; None where it can, or where too little is known to tell."""
    if not _is_described(kiln):
        return None
    model = _from_geometry(kiln, 1).model(new=True)
    rise = 60.0 * float(model.power_W[0] / model.chamber_J_per_K[0])
    if rise > MOST_RISE_K_PER_MIN:
        heats = "its power would heat so small an inside by {:.0f both K} a minute, which no kiln does"
        return phrase(heats, rise) + ": check watts and inside"
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
    rated = rated_cone(kiln)
    return draws if rated is None else _held_to_rating(draws, rated, spread_points(n, _DIMENSIONS)[:, 6])


def _from_geometry(kiln: Kiln, n: int) -> KilnDraws:
    """Draws of a kiln from plate, size and brick alone."""
    assert kiln.interior is not None
    z = spread_points(n, _DIMENSIONS)
    wall_spread = 0.0 if kiln.wall_mm else WALL_SPREAD
    walls = (kiln.wall_mm or USUAL_WALL_MM) * np.exp(wall_spread * z[:, 7])
    rooms = [chamber(kiln.interior, float(w)) for w in walls]
    brick = wall_of(kiln.insulation)
    return KilnDraws(
        kiln=kiln,
        weights=np.full(n, 1.0 / n),
        power_W=plate_power_W(kiln) * np.exp(POWER_SPREAD * z[:, 0]),
        wear=wear_share(kiln.firings_on_elements, z[:, 3]),
        loss=LOSS_USUAL * np.exp(LOSS_SPREAD * z[:, 5]),
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
    from_amps = kiln.amps * kiln.volts * kiln.per_line if kiln.amps and kiln.volts else None
    known = [w for w in (kiln.watts, from_amps) if w]
    return float(sum(known) / len(known))


def wear_share(firings: float | None, z: Array) -> Array:
    """Growth of the elements' resistance as a share, for standard-normal draws ``z``, shape (n,)."""
    count = UNKNOWN_FIRINGS * np.exp(0.5 * np.roll(z, 7)) if firings is None else float(firings)
    life = LIFE_FIRINGS[0] * np.exp(LIFE_FIRINGS[1] * z)
    return np.asarray(np.minimum(WEAR_AT_LIFE * count / life, MOST_WEAR))


def _held_to_rating(draws: KilnDraws, rated: Cone, z: Array) -> KilnDraws:
    """Each draw's loss is drawn, by ``z`` (standard normal), from the losses at which it does as makers' kilns do: new
    and lightly loaded it brings the rated cone down in the usual hours, with the usual power in hand. Draws that hardly
    can weigh less.
    """
    middle = float(np.log(LOSS_USUAL))
    rungs = middle + np.linspace(*LADDER)
    median, below, above = FIBRE_HOURS if draws.kiln.insulation == "fibre" else RATED_HOURS
    tries, hours = _hours_by_loss(draws, rated, rungs, median * float(np.exp(2.4 * above)))
    late = np.log(hours / median)
    model = draws.model(load=RATED_LOAD, new=True)
    in_hand = np.log(loss_for_stall(model, np.asarray(rated_degC(rated))) / draws.spread_m) - tries[:, None]
    off = np.square((tries - middle) / LOSS_SPREAD)[:, None] + np.square(late / np.where(late < 0, below, above))
    chance = np.exp(-0.5 * (off + np.square((in_hand - np.log(IN_HAND[0])) / IN_HAND[1])))
    total = chance.sum(axis=0)
    if not total.any():
        return replace(draws, agrees=False)
    weights = total / total.sum()
    up_to = np.cumsum(chance, axis=0) - 0.5 * chance
    shares = np.array([NormalDist().cdf(x) for x in z]) * total
    loss = np.array([np.interp(share, up_to[:, i], tries) for i, share in enumerate(shares)])
    if float(weights @ loss) < middle - 2.0 * LOSS_SPREAD:
        return replace(draws, agrees=False)
    return replace(draws, loss=np.exp(loss), weights=weights)


def _hours_by_loss(draws: KilnDraws, rated: Cone, rungs: Array, longest_h: float) -> tuple[Array, Array]:
    """ln of finely spaced losses (m,), and the hours in which each draw brings the rated cone down with them (m, n);
    infinite where it does not within ``longest_h``. The heat-work is interpolated between the ``rungs`` that are run.
    """
    one = draws.model(load=RATED_LOAD, new=True)
    all_rungs = joined([replace(one, spread_m=x * draws.spread_m) for x in np.exp(rungs)])
    run = run_full_power(all_rungs, longest_h, coarse=True)
    log_heat = np.log(heat_along(run, (rated,))[:, :, 0] + 1e-300).reshape(len(run.hours), len(rungs), -1)
    found = []
    for low, high in itertools.pairwise(range(len(rungs))):
        for share in np.arange(FINER) / FINER:
            heat = log_heat[:, low] + share * (log_heat[:, high] - log_heat[:, low])
            found.append(np.nan_to_num(_crossing(run.hours, heat >= 0.0, heat, np.asarray), nan=np.inf))
    tries = np.interp(np.arange(len(found)) / FINER, np.arange(len(rungs)), rungs)
    return tries, np.array(found)


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


# How hot a kiln gets: stall, hours to each cone, and the hottest cone within a day's firing.

REASONABLE_HOURS: Final = FULL_POWER_H
NOMINAL_SPREAD: Final = 0.025
"""Standard deviation of service volts about a nominal figure: ANSI C84.1 Range A, 5 % either way, taken as 2
sd."""
MEASURED_SPREAD: Final = 0.01
UNKNOWN_DROP: Final = (0.015, 0.01)
"""Share of volts lost in a wire of unknown gauge or length: mean and standard deviation."""
_NOMINAL_VOLTS: Final = frozenset({100.0, 110.0, 115.0, 120.0, 125.0, 200.0, 208.0, 220.0, 230.0, 240.0, 250.0})


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """What n draws of a kiln do at full power on one supply.

    ``equivalent_degC`` is the heat-work within ``hours`` as the temperature of a steady 60 degC/h ramp, not
    cut at the rated cone; ``stall_degC`` where it stops climbing; shape (n,). ``cone_hours`` until each cone
    bends, shape (n, cones), NaN where it never does in this time. ``run`` is the heating curve.
    """

    hours: float
    equivalent_degC: Array
    stall_degC: Array
    cone_hours: Array
    run: HeatingRun
    weights: Array

    def quantiles(self, values: Array) -> tuple[float, float, float]:
        """5, 50 and 95 % points of a figure of the draws."""
        return ninety(values, self.weights)

    def chance(self, cone: Cone) -> float:
        """Share of the draws that bring ``cone`` down in the time given, 0 to 1."""
        return float(self.weights @ ~np.isnan(self.cone_hours[:, cone.position]))


def supply_share(
    draws: KilnDraws,
    volts: float | None,
    loop_ohm: float | None,
    other_A: float = 0.0,
    measured: bool | None = None,
) -> Array:
    """Volts at the kiln under load as a share of the plate's, shape (n,).

    ``volts`` are those of the circuit, None for the plate's own; ``loop_ohm`` the wire's resistance there
    and back, None if not known; ``other_A`` is drawn through the same wire; ``measured`` as for
    :func:`volts_spread`.
    """
    plate = draws.kiln.volts or volts or 120.0
    given = volts or plate
    here = given * (1.0 + volts_spread(given, measured) * draws.supply_z)
    if loop_ohm is None:
        lost = UNKNOWN_DROP[0] + UNKNOWN_DROP[1] * np.roll(draws.supply_z, 11)
        return np.asarray(here / plate * (1.0 - np.clip(lost, 0.0, 0.05)))
    heater_ohm = element_ohm(draws.kiln, plate, draws.power_W, draws.wear)
    return np.asarray((here - other_A * loop_ohm) / plate * heater_ohm / (heater_ohm + loop_ohm))


def volts_spread(volts: float, measured: bool | None = None) -> float:
    """Standard deviation of the mains about the ``volts`` written down, as a share.

    Where ``measured`` is None, a figure that is not one of the nominal ones is taken as measured.
    """
    return MEASURED_SPREAD if (volts not in _NOMINAL_VOLTS if measured is None else measured) else NOMINAL_SPREAD


def element_ohm(kiln: Kiln, plate_V: float, power_W: Array, wear: Array) -> Array:
    """Resistance of elements that gave ``power_W`` at ``plate_V`` when new, worn since [ohm].

    For three phases it is the volts between two lines over the current in one, as
    :func:`glazecalc.models.kiln.loop_resistance_ohm` tells the wire.
    """
    return np.asarray(kiln.per_line * plate_V**2 / power_W * (1.0 + wear))


def reach(draws: KilnDraws, volts_share: Array | float, hours: float = REASONABLE_HOURS) -> Reach:
    """Full power from cold for ``hours`` on this supply."""
    model = draws.model(volts_share)
    run = run_full_power(model, hours)
    heat = heat_along(run)
    return Reach(
        hours=hours,
        equivalent_degC=equivalent_degC(heat[-1]),
        stall_degC=stall_degC(model),
        cone_hours=_crossing(run.hours, heat >= 1.0, heat, lambda share: np.log(share + 1e-300)),
        run=run,
        weights=draws.weights,
    )


def _crossing(hours: Array, down: NDArray[np.bool_], along: Array, log: Callable[[Array], Array]) -> Array:
    """Hours at which each of ``along`` (m, ...) is first ``down``, straight in its ``log``; NaN where it never is."""
    after = np.maximum(np.argmax(down, axis=0), 1)
    high, low = (log(np.take_along_axis(along, at[None], axis=0)[0]) for at in (after, after - 1))
    part = np.clip(-low / np.where(high > low, high - low, 1.0), 0.0, 1.0)
    found = hours[after - 1] + part * (hours[after] - hours[after - 1])
    return np.asarray(np.where(down.any(axis=0), found, np.nan))


# A kiln under a controller: what it does when asked for ramps and holds, and where it cannot follow.

STEP_H: Final = 1.0 / 30.0
_LEAST_RATE: Final = 3.0
"""A kiln climbing more slowly than this is taken to have stalled [degC/h]."""


@dataclass(frozen=True, slots=True)
class Leg:
    """One segment: at ``rate_degC_per_h`` (above zero) to ``to_degC``, then ``hold_h`` hours there.

    The rate is how fast, up or down; infinity is as fast as the kiln can.
    """

    rate_degC_per_h: float
    to_degC: float
    hold_h: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Followed:
    """A run under a controller.

    ``leg_end_h`` is when each leg ended, shape (legs, n), NaN where it never did; ``stalled`` (n,) where the
    kiln could not go on; ``kept`` (legs, n) where the rate asked for was kept within a tenth of the leg's
    time.
    """

    run: HeatingRun
    leg_end_h: Array
    stalled: NDArray[np.bool_]
    kept: NDArray[np.bool_]


def leg_hours(ends_h: Array) -> Array:
    """How long each of the legs took that ended one after the other, shape (legs, n) [h]."""
    return np.diff(ends_h, axis=0, prepend=0.0)


def follow_legs(model: KilnModel, legs: Sequence[Leg], longest_h: float = 60.0) -> Followed:
    """Lead each draw through the legs; a leg ends when its temperature is reached and its hold is over.

    Cooling legs can only be slowed by heating, never hastened. A draw that climbs by less than 3 degC/h at
    full power has stalled: it stays on full power in that leg to the end of the run.
    """
    n, many = len(model.power_W), len(legs)
    to = np.array([leg.to_degC for leg in legs])
    speed = np.array([min(leg.rate_degC_per_h, 1e5) for leg in legs]) / 3600.0
    hold_s = np.array([leg.hold_h for leg in legs]) * 3600.0
    drive = Drive(model, min(STEP_H, longest_step_h(model)))
    seconds = drive.step_h * 3600.0
    at, held_s, ended = np.zeros(n, dtype=int), np.zeros(n), np.full((many, n), np.nan)
    holding, stalled = np.zeros(n, dtype=bool), np.zeros(n, dtype=bool)
    while not np.all((at >= many) | stalled) and drive.hours[-1] < longest_h:
        leg, going, before = np.minimum(at, many - 1), at < many, drive.places[-1][0]
        rate = np.clip((to[leg] - before) / seconds, -speed[leg], speed[leg])
        drive.step(np.select([~going, stalled, holding], [-1e6, 1e6, 0.0], rate))
        now, hour = drive.places[-1][0], drive.hours[-1]
        arrived = np.abs(now - to[leg]) < 0.05
        slow = (to[leg] > before + 0.05) & ((now - before) / seconds * 3600.0 < _LEAST_RATE)
        stalled |= slow & ~arrived & going & (hour > 0.5)
        held_s = np.where(holding, held_s + seconds, 0.0)
        holding |= arrived & going
        over = holding & (held_s >= hold_s[leg] - 0.5 * seconds)
        ended[leg[over], np.flatnonzero(over)] = hour
        at, holding = at + over, holding & ~over
    return Followed(drive.run(), ended, stalled, _kept(ended, legs, model))


def _kept(ended: Array, legs: Sequence[Leg], model: KilnModel) -> NDArray[np.bool_]:
    """Whether each leg took no more than a tenth (and ten minutes) longer than asked, (legs, n)."""
    start = np.array([float(model.room_degC[0]), *[leg.to_degC for leg in legs[:-1]]])
    asked = np.array(
        [abs(leg.to_degC - s) / leg.rate_degC_per_h + leg.hold_h for leg, s in zip(legs, start, strict=True)]
    )
    with np.errstate(invalid="ignore"):
        return np.asarray(leg_hours(ended) <= 1.1 * asked[:, None] + 1.0 / 6.0)
