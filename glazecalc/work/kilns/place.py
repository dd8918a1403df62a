"""Where the kiln stands: heat and gases it gives to the room, and what can be said of floor, space and
air.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from glazecalc.judge.place import STANDING_CAUTIONS, place_reasons
from glazecalc.models.kiln import outer_loss_W
from glazecalc.models.kiln_draws import plate_power_W, weighted_quantile
from glazecalc.models.room_heat import temperature_rise_bound_K
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Kiln, Room, UnitChoice
from glazecalc.values.kiln_report import PlaceResult, Release
from glazecalc.values.verdict import worst
from glazecalc.work.kilns.firing_follow import KilnRun


def judge_place(
    kiln: Kiln, room: Room | None, run: KilnRun | None, gases: Sequence[Release], units: UnitChoice
) -> PlaceResult:
    """Everything that can be said of the kiln in the room, in words of the chosen units."""
    heat = heat_to_room(kiln, run)
    rise = _rise(heat, room)
    reasons = place_reasons(kiln, room, rise, units)
    return PlaceResult(
        room=room.name if room else None,
        answer=worst(r.answer for r in reasons),
        reasons=reasons,
        estimates=tuple(e for e in (heat, rise) if e is not None),
        releases=tuple(gases),
        cautions=STANDING_CAUTIONS,
    )


def heat_to_room(kiln: Kiln, run: KilnRun | None) -> Estimate | None:
    """Heat given to the room at the peak of a firing [W]; the elements' power bounds it."""
    if run is not None:
        places = run.followed.run.places_degC
        peak = np.argmax(places[:, 0], axis=0)
        lost = outer_loss_W(run.model, places[peak, -1, np.arange(len(peak))])
        low, middle, high = (weighted_quantile(lost, run.draws.weights, p) for p in (0.05, 0.5, 0.95))
        caveat = "through the wall at the peak; it goes on while the kiln cools. The elements' power bounds it"
        return Estimate("heat_to_room", middle, low, high, "W", Basis.MODEL, ("wall_memory",), (caveat,))
    if kiln.watts or (kiln.amps and kiln.volts):
        watts = plate_power_W(kiln)
        caveat = "the power on the plate, all of which ends in the room"
        return Estimate("heat_to_room", watts, 0.3 * watts, watts, "W", Basis.STATED, ("computed",), (caveat,))
    return None


def _rise(heat: Estimate | None, room: Room | None) -> Estimate | None:
    if heat is None or room is None or not room.exhaust_m3_per_h:
        return None
    low, middle, high = (temperature_rise_bound_K(w, room.exhaust_m3_per_h) for w in (heat.low, heat.value, heat.high))
    caveats = (
        "a bound on the lasting warming with the stated air flow, walls and floor taking nothing; near"
        " the kiln it is"
        " hotter",
    )
    return Estimate("room_temperature_rise", middle, low, high, "K", Basis.MODEL, ("computed",), caveats)
