"""A kiln under a controller: what it does when asked for ramps and holds, and where it cannot follow."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.kiln import Flows, HeatingRun, KilnModel, cold, longest_step_h

Array = NDArray[np.float64]

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


@dataclass(frozen=True, slots=True)
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


def follow_legs(model: KilnModel, legs: tuple[Leg, ...], longest_h: float = 60.0) -> Followed:
    """Lead each draw through the legs; a leg ends when its temperature is reached and its hold is over.

    Cooling legs can only be slowed by heating, never hastened. A draw that climbs by less than 3 degC/h at
    full power has stalled: it stays on full power in that leg to the end of the run.
    """
    n = len(model.power_W)
    to = np.array([leg.to_degC for leg in legs])
    speed = np.array([min(leg.rate_degC_per_h, 1e5) for leg in legs]) / 3600.0
    hold = np.array([leg.hold_h for leg in legs])
    seconds = min(STEP_H, longest_step_h(model)) * 3600.0
    state = _State(n, len(legs))
    places, flows = cold(model), Flows(model)
    track, energy, hours = [places], [np.zeros(n)], [0.0]
    while not np.all(state.done | state.stalled) and hours[-1] < longest_h:
        leg = np.minimum(state.leg, len(legs) - 1)
        gap = to[leg] - places[0]
        rate = np.clip(gap / seconds, -speed[leg], speed[leg])
        rate = np.where(state.holding, 0.0, rate)
        rate = np.where(state.done, -1e6, np.where(state.stalled, 1e6, rate))
        new, given = flows.step(places, seconds, rate)
        state.move(new[0], places[0], to, hold, seconds, hours[-1] + seconds / 3600.0)
        places = new
        track.append(places)
        energy.append(energy[-1] + given)
        hours.append(hours[-1] + seconds / 3600.0)
    run = HeatingRun(np.array(hours), np.array(track), np.array(energy))
    return Followed(run, state.ended, state.stalled, _kept(state.ended, legs, model))


class _State:
    """Where each draw stands in the legs."""

    def __init__(self, n: int, legs: int) -> None:
        self.leg = np.zeros(n, dtype=int)
        self.holding = np.zeros(n, dtype=bool)
        self.held_s = np.zeros(n)
        self.ended = np.full((legs, n), np.nan)
        self.done = np.zeros(n, dtype=bool)
        self.stalled = np.zeros(n, dtype=bool)
        self.legs = legs

    def move(self, now: Array, before: Array, to: Array, hold: Array, seconds: float, hour: float) -> None:
        """Count holds, end legs and notice stalls after one step."""
        leg = np.minimum(self.leg, self.legs - 1)
        up = to[leg] > before + 0.05
        arrived = np.abs(now - to[leg]) < 0.05
        climb = (now - before) / seconds * 3600.0
        self.stalled |= up & ~arrived & ~self.done & (climb < _LEAST_RATE) & (hour > 0.5)
        self.held_s = np.where(self.holding, self.held_s + seconds, 0.0)
        self.holding |= arrived & ~self.done
        over = self.holding & (self.held_s >= hold[leg] * 3600.0 - 0.5 * seconds) & ~self.done
        self.ended[leg[over], np.flatnonzero(over)] = hour
        self.leg = self.leg + over
        self.holding &= ~over
        self.held_s = np.where(over, 0.0, self.held_s)
        self.done |= self.leg >= self.legs


def _kept(ended: Array, legs: tuple[Leg, ...], model: KilnModel) -> NDArray[np.bool_]:
    """Whether each leg took no more than a tenth (and ten minutes) longer than asked, (legs, n)."""
    begun = np.vstack([np.zeros(ended.shape[1]), ended[:-1]])
    start = np.array([float(model.room_degC[0]), *[leg.to_degC for leg in legs[:-1]]])
    asked = np.array(
        [abs(leg.to_degC - s) / leg.rate_degC_per_h + leg.hold_h for leg, s in zip(legs, start, strict=True)]
    )
    with np.errstate(invalid="ignore"):
        return np.asarray(ended - begun <= 1.1 * asked[:, None] + 1.0 / 6.0)
