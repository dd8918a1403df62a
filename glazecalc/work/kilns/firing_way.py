"""How a firing goes in this kiln: one plan, for whoever asks what it takes, and whether the kiln follows."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.kiln_draws import KilnDraws, can_be_modelled
from glazecalc.values.cones import Cone
from glazecalc.values.firing_report import Dampness, FiringKind, TurnUp
from glazecalc.values.inputs import Body, Circuit, Kiln, Limits
from glazecalc.work.kilns.firing_follow import KilnRun, fit_to_kiln
from glazecalc.work.kilns.firing_plan import THIN_MM, Plan, corners, plan_legs
from glazecalc.work.kilns.kiln_ceiling import plate_draws, volts_go_together
from glazecalc.work.kilns.switch import fire_by_switch

USUAL_HOLD_H = 1.0 / 6.0


@dataclass(frozen=True, slots=True)
class FiringWish:
    """What is asked for: kind of firing, cone, hold at the peak [h], thickness [mm] and dampness of the
    ware.
    """

    kind: FiringKind
    cone: Cone
    hold_h: float = USUAL_HOLD_H
    wall_mm: float | None = None
    dampness: Dampness = "dry"


@dataclass(frozen=True, slots=True)
class FiringPlace:
    """Where it is fired: the kiln, its circuit, the clay, draws learned from its firings, and the
    studio's limits and folder.
    """

    kiln: Kiln | None = None
    circuit: Circuit | None = None
    body: Body | None = None
    draws: KilnDraws | None = None
    limits: Limits = field(default_factory=Limits)
    folder: str = "."

    def drawn(self) -> KilnDraws | None:
        """Draws of the kiln, or None where it cannot be modelled on this circuit."""
        if self.kiln is None or not volts_go_together(self.kiln, self.circuit):
            return None
        if self.draws is not None:
            return self.draws
        return plate_draws(self.kiln) if can_be_modelled(self.kiln) else None


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """A firing as it goes: legs for a controller or acts at a switch, hours and temperatures [degC] of the plan, what
    the likely kilns make of it (None where the kiln is not modelled), and notes.
    """

    legs: tuple[Plan, ...]
    hours: NDArray[np.float64]
    degC: NDArray[np.float64]
    run: KilnRun | None = None
    acts: tuple[TurnUp, ...] = ()
    notes: tuple[str, ...] = ()


def find_way(wish: FiringWish, place: FiringPlace) -> Way:
    """The firing wished for, by the switch where the kiln has one, else shaped by what the kiln can follow."""
    kiln, body, draws = place.kiln, place.body, place.drawn()
    wall = wish.wall_mm or (body.wall_mm if body else None) or THIN_MM
    ware = f"wall of {wall:g} mm, {wish.dampness} ware"
    known = body is not None or wish.wall_mm is not None
    thin = () if known else ("no clay is named: thin, bone-dry ware is reckoned with",)
    if kiln is not None and kiln.control == "switch" and draws is not None:
        found = fire_by_switch(draws, place.circuit, wish.kind, wish.cone, wall, wish.dampness)
        by_hand = f"{kiln.name} has a switch: hours and heat are those of the middle of the likely kilns on it"
        return Way((), found.hours, found.degC, found.run, found.acts, (f"{ware}; {by_hand}", *thin))
    stoneware = body is not None and body.ware in ("stoneware", "porcelain")
    legs = plan_legs(
        wish.kind,
        wish.cone,
        wish.hold_h,
        wall,
        wish.dampness,
        slow_cristobalite=bool(stoneware and wall >= 2 * THIN_MM and wish.kind != "bisque"),
    )
    notes = (f"{ware}; peak worked out so that cone {wish.cone} bends at its end", *thin)
    run = None
    if draws is not None:
        legs, run, compared = fit_to_kiln(draws, place.circuit, legs, wish.cone)
        notes = (*notes, *compared)
    return Way(legs, *corners(legs), run, (), notes)
