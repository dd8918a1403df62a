"""A kiln with a manual switch: when to turn it up, and when to look at the cones."""

from __future__ import annotations

from typing import Final

import numpy as np

from glazecalc.models.kiln import KilnModel, cold, run_full_power
from glazecalc.models.kiln_draws import KilnDraws, heat_along, weighted_quantile
from glazecalc.values.cones import Cone
from glazecalc.values.firing_report import Dampness, FiringKind, TurnUp
from glazecalc.values.inputs import Circuit
from glazecalc.work.kilns.kiln_ceiling import share_on

LOW_POWER: Final = 1.0 / 3.0
MEDIUM_POWER: Final = 2.0 / 3.0
"""Three-position switches give about a third, two thirds and all of the power (common practice)."""
LONGEST_H: Final = 24.0
LOOK_BEFORE_H: Final = 0.75
RAW_RATE: Final = 100.0
"""Raw ware is heated no faster than this while it dries (common practice) [degC/h]."""


def turn_ups(
    draws: KilnDraws,
    circuit: Circuit | None,
    kind: FiringKind,
    cone: Cone,
    wall_mm: float = 6.0,
    dampness: Dampness = "dry",
) -> tuple[TurnUp, ...]:
    """Acts in order, with hours from switching on; the middle of the likely kilns decides the hour."""
    model = draws.model(share_on(draws, circuit))
    raw = kind in ("bisque", "once-fired")
    thick = max(1.0, wall_mm / 6.0)
    low_h = min(10.0, ((4.0 if dampness == "damp" else 2.0) if raw else 1.0) * thick)
    medium_h = 2.0 * thick if raw else 1.5
    at, places = 0.0, cold(model)
    acts: list[TurnUp] = []
    for hours, power, text in ((low_h, LOW_POWER, _MEDIUM), (medium_h, MEDIUM_POWER, _HIGH)):
        places = run_full_power(model.with_power(power * model.power_W), hours, places).places_degC[-1]
        if not acts:
            climb = (weighted_quantile(places[0], draws.weights, 0.5) - 20.0) / hours
            acts.append(TurnUp(0.0, 20.0, _LOW if not raw else _LOW_RAW + (_TOO_FAST if climb > RAW_RATE else "")))
        at += hours
        acts.append(TurnUp(at, weighted_quantile(places[0], draws.weights, 0.5), text))
    return (*acts, *_looking(model, draws, places, at, cone))


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


def _looking(model: KilnModel, draws: KilnDraws, places: np.ndarray, at: float, cone: Cone) -> list[TurnUp]:
    """When to begin to look at the cones, and when the cone is likely down."""
    run = run_full_power(model, LONGEST_H, places)
    heat = heat_along(run, (cone,))[:, :, 0]
    down = heat >= 1.0
    hours = np.where(down.any(axis=0), run.hours[np.argmax(down, axis=0)], np.inf)
    early, middle = (weighted_quantile(np.minimum(hours, 99.0), draws.weights, p) for p in (0.05, 0.5))
    if early >= LONGEST_H:
        return [TurnUp(at, None, f"Cone {cone} is not likely to come down in this kiln; see the reach.")]
    look = max(0.0, early - LOOK_BEFORE_H)
    text = (
        "From now look at the cones every quarter of an hour, through dark glasses made for it, and"
        " stay. Switch off"
        f" when the tip of cone {cone} is level with its base."
    )
    row = int(np.searchsorted(run.hours, look))
    found = [TurnUp(at + look, weighted_quantile(run.chamber_degC[row], draws.weights, 0.5), text)]
    if middle < LONGEST_H:
        row = min(int(np.searchsorted(run.hours, middle)), len(run.hours) - 1)
        degC = weighted_quantile(run.chamber_degC[row], draws.weights, 0.5)
        found.append(
            TurnUp(at + middle, degC, f"Cone {cone} is likely down about now. The cone decides, not the clock.")
        )
    return found
