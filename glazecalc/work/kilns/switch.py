"""A kiln with a manual switch: how its likely kilns fire, when to turn it up, and when to look at the cones."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.heat_work import heat_law, softening_rate
from glazecalc.models.kiln import Flows, HeatingRun, KilnModel, cold, longest_step_h, stall_degC
from glazecalc.models.kiln_draws import KilnDraws, weighted_quantile
from glazecalc.models.kiln_follow import Followed
from glazecalc.values.cones import Cone
from glazecalc.values.firing_report import Dampness, FiringKind, TurnUp
from glazecalc.values.inputs import Circuit
from glazecalc.work.kilns.firing_follow import KilnRun
from glazecalc.work.kilns.firing_plan import FALL_FIRST_K, SLOW_COOL
from glazecalc.work.kilns.kiln_ceiling import share_on

Array = NDArray[np.float64]

LOW_POWER: Final = 1.0 / 3.0
MEDIUM_POWER: Final = 2.0 / 3.0
"""Three-position switches give about a third, two thirds and all of the power (common practice)."""
LONGEST_H: Final = 24.0
"""A firing that is still going a day after the switch was turned to high has failed [h]."""
LOOK_BEFORE_H: Final = 0.75
RAW_RATE: Final = 100.0
"""Raw ware is heated no faster than this while it dries (common practice) [degC/h]."""
LONGEST_COOL_H: Final = 12.0
"""A slow cooling is followed no longer than this [h]."""


@dataclass(frozen=True, slots=True, eq=False)
class SwitchFiring:
    """A firing by the switch: the run of the likely kilns, each switched off as its cone comes down; the acts; the
    middle kiln's hours (m,) and chamber (m,) [degC].
    """

    run: KilnRun
    acts: tuple[TurnUp, ...]
    hours: Array
    degC: Array


def fire_by_switch(
    draws: KilnDraws, circuit: Circuit | None, kind: FiringKind, cone: Cone, wall_mm: float, dampness: Dampness
) -> SwitchFiring:
    """Low, medium and high, then off when the cone is down; a slow cooling is kept up with low and off by hand."""
    model = draws.model(share_on(draws, circuit))
    low_h, medium_h = _stages(kind, wall_mm, dampness)
    slowly = kind == "slow-cooled"
    found, down_h = _fired(model, low_h, low_h + medium_h, cone, slowly)
    n = len(draws.weights)
    followed = Followed(found, np.empty((0, n)), np.isinf(down_h), np.empty((0, n), dtype=bool))
    at_most = np.minimum(down_h, 1e3)
    middle = int(np.argmin(np.abs(at_most - _middle(draws, at_most))))
    hours, degC, end = found.hours, found.chamber_degC[:, middle], float(at_most[middle])
    acts = [*_turn_ups(draws, found, kind, low_h, medium_h), *_looking(draws, found, down_h, low_h + medium_h, cone)]
    if slowly and np.isfinite(down_h[middle]):
        hangs = _middle(draws, stall_degC(model.with_power(LOW_POWER * model.power_W)))
        acts += _held_back(hours, degC, end, hangs)
        end = acts[-1].at_h
    rows = hours <= end + hours[1] + 1e-9
    return SwitchFiring(KilnRun(followed, (), draws, model), tuple(acts), hours[rows], degC[rows])


def _stages(kind: FiringKind, wall_mm: float, dampness: Dampness) -> tuple[float, float]:
    """Hours on low and on medium."""
    raw = kind in ("bisque", "once-fired")
    thick = max(1.0, wall_mm / 6.0)
    low_h = min(10.0, ((4.0 if dampness == "damp" else 2.0) if raw else 1.0) * thick)
    return low_h, min(10.0, 2.0 * thick) if raw else 1.5


def _fired(
    model: KilnModel, medium_at_h: float, high_at_h: float, cone: Cone, slowly: bool
) -> tuple[HeatingRun, Array]:
    """The run of each draw, and the hour at which its cone is down (n,), infinite where it never is."""
    step_h = min(1.0 / 30.0, longest_step_h(model))
    law, flows = heat_law().take((cone,)), Flows(model)
    n = len(model.power_W)
    places, heat, down_h = cold(model), np.zeros(n), np.full(n, np.inf)
    off, start_degC = np.zeros(n, dtype=bool), np.full(n, SLOW_COOL[0])
    track, energy, hours = [places], [np.zeros(n)], [0.0]
    falling_K_per_s = -SLOW_COOL[2] / 3600.0
    while not off.all() and hours[-1] < high_at_h + LONGEST_H + (LONGEST_COOL_H if slowly else 0.0):
        at = hours[-1]
        share = LOW_POWER if at < medium_at_h else MEDIUM_POWER if at < high_at_h else 1.0
        down = np.isfinite(down_h)
        held = down & (places[0] <= start_degC) & ~off
        off |= down & (places[0] <= SLOW_COOL[1]) if slowly else down
        flows.most_W = model.power_W * np.where(off | (down & ~held), 0.0, np.where(held, LOW_POWER, share))
        new, given = flows.step(places, step_h * 3600.0, np.where(held, falling_K_per_s, np.inf))
        rates = [softening_rate(law, np.minimum(p[0], 1600.0))[:, 0] for p in (places, new)]
        heat += 0.5 * (rates[0] + rates[1]) * step_h
        places = new
        track.append(places)
        energy.append(energy[-1] + given)
        hours.append(at + step_h)
        just = ~down & (heat >= 1.0)
        down_h[just] = hours[-1]
        start_degC = np.where(just, np.minimum(SLOW_COOL[0], places[0] - FALL_FIRST_K), start_degC)
    return HeatingRun(np.array(hours), np.array(track), np.array(energy)), down_h


def _middle(draws: KilnDraws, values: Array) -> float:
    return weighted_quantile(values, draws.weights, 0.5)


def _at(draws: KilnDraws, run: HeatingRun, hour: float) -> float:
    """Chamber of the middle of the likely kilns at an hour [degC]."""
    row = min(int(np.searchsorted(run.hours, hour)), len(run.hours) - 1)
    return _middle(draws, run.chamber_degC[row])


def _turn_ups(draws: KilnDraws, run: HeatingRun, kind: FiringKind, low_h: float, medium_h: float) -> list[TurnUp]:
    warm, hot = _at(draws, run, low_h), _at(draws, run, low_h + medium_h)
    begin = _LOW
    if kind in ("bisque", "once-fired"):
        begin = _LOW_RAW + (_TOO_FAST if (warm - 20.0) / low_h > RAW_RATE else "")
    return [TurnUp(0.0, 20.0, begin), TurnUp(low_h, warm, _MEDIUM), TurnUp(low_h + medium_h, hot, _HIGH)]


_LOW_RAW = (
    "Switch on low, the lid a finger open or the peephole plug out, until no damp shows on a cold mirror held to it."
)
_TOO_FAST = (
    " With the lid shut, low heats this kiln faster than raw ware likes: keep the lid well open, or"
    " switch off for a"
    " while now and then, until it is dry."
)
_LOW = "Switch on low, the top peephole plug out."
_MEDIUM = "Turn to medium. Close the lid if it was open; leave the top peephole plug out."
_HIGH = "Turn to high. Put the plug in when nothing smells any more."


def _looking(draws: KilnDraws, run: HeatingRun, down_h: Array, high_h: float, cone: Cone) -> list[TurnUp]:
    """When to begin to look at the cones, and when the cone is likely down."""
    hours = np.minimum(down_h, high_h + 99.0)
    early, middle = (weighted_quantile(hours, draws.weights, p) for p in (0.05, 0.5))
    if early >= high_h + LONGEST_H:
        return [TurnUp(high_h, None, f"Cone {cone} is not likely to come down in this kiln; see the reach.")]
    look = max(high_h, early - LOOK_BEFORE_H)
    text = (
        "From now look at the cones every quarter of an hour, through dark glasses made for it, and"
        " stay. Switch off"
        f" when the tip of cone {cone} is level with its base."
    )
    found = [TurnUp(look, _at(draws, run, look), text)]
    if middle < high_h + LONGEST_H:
        nearest = int(np.argmin(np.abs(hours - middle)))
        row = min(int(np.searchsorted(run.hours, hours[nearest])), len(run.hours) - 1)
        likely = f"Cone {cone} is likely down about now. The cone decides, not the clock."
        found.append(TurnUp(middle, float(run.chamber_degC[row, nearest]), likely))
    return found


def _held_back(hours: Array, degC: Array, down_h: float, hangs_degC: float) -> list[TurnUp]:
    """When to begin to hold the cooling back by hand, and when to switch off; what low alone would do."""
    start, end, rate = SLOW_COOL
    fallen = (hours >= down_h) & (degC <= min(start, float(np.interp(down_h, hours, degC)) - FALL_FIRST_K))
    begin = float(hours[np.argmax(fallen)]) if fallen.any() else down_h
    stop = (
        float(hours[np.argmax((hours >= begin) & (degC <= end))]) if (degC[hours >= begin] <= end).any() else hours[-1]
    )
    text = (
        "A switch cannot cool slowly by itself. From now turn to low and off again by hand, so that the pyrometer"
        f" falls by about {rate:.0f} degC per hour; left on low this kiln would hang near {hangs_degC:.0f} degC."
    )
    return [
        TurnUp(begin, float(np.interp(begin, hours, degC)), text),
        TurnUp(float(stop), float(np.interp(stop, hours, degC)), "Switch off, and see that it is off."),
    ]
