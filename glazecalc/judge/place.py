"""Where a kiln stands: floor, clearance, company, air. Never a claim that a room is safe."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from glazecalc.values.estimate import Estimate
from glazecalc.values.inputs import Kiln, Room
from glazecalc.values.mains import Reason
from glazecalc.values.verdict import Answer

USUAL_CLEARANCE_MM: Final = 457.2
"""Eighteen inches round a kiln is the usual figure where the manual is lost (common practice)."""
WARM_ROOM_K: Final = 20.0
_BARE: Final = ("concrete", "cement", "stone", "brick", "tile", "ceramic", "screed", "earth")
_BURNS: Final = ("wood", "carpet", "vinyl", "lino", "laminate", "plywood", "parquet", "cork", "rug")

STANDING_CAUTIONS: Final = (
    "The maker's manual rules on floor, clearance, stand and vent; then the local codes for wiring, fire and air.",
    "Have mains work done by a licensed electrician, and ask the fire service or building office before"
    " the first"
    " firing indoors.",
    "Keep a smoke detector and a carbon monoxide detector that work, and an extinguisher, near but not over the kiln.",
    "Nothing that burns near it, nobody asleep beside it, children and animals out; stay within reach of"
    " a firing"
    " kiln until it is off, and do not trust a controller or a sitter to switch it off.",
    "No figure here says that a room is fit to breathe in: that takes a vent to the outside and a"
    " measurement by"
    " someone trained for it.",
)


def place_reasons(kiln: Kiln, room: Room | None, rise: Estimate | None, heat_W: float | None) -> tuple[Reason, ...]:
    """Reasons about the place, worst first; with no room given nothing can be said of it."""
    if room is None:
        text = "no room is named: add --room, or a [[room]] to studio.toml"
        return (Reason("room_unknown", text, Answer.CANNOT_SAY),)
    found = [*_floor(room), *_clearance(kiln, room), *_company(room), *_air(room, heat_W), *_warmth(room, rise)]
    order = {Answer.DOES_NOT_FIT: 0, Answer.CANNOT_SAY: 1, Answer.FITS: 2, Answer.NOT_ASKED: 3}
    return tuple(sorted(found, key=lambda r: order[r.answer]))


def _floor(room: Room) -> Iterator[Reason]:
    words = room.floor.casefold()
    if any(word in words for word in _BURNS):
        text = f"the floor ({room.floor}) can burn or char: a kiln stands on a floor and base its manual allows"
        yield Reason("floor_burns", text, Answer.DOES_NOT_FIT)
    elif any(word in words for word in _BARE):
        text = f"the floor ({room.floor}) does not burn; the kiln still stands on its own stand, with air under it"
        yield Reason("floor_bare", text, Answer.FITS)
    else:
        text = "the floor is not known: a kiln stands level on a floor that does not burn, on its own stand"
        yield Reason("floor_unknown", text, Answer.CANNOT_SAY)


def _clearance(kiln: Kiln, room: Room) -> Iterator[Reason]:
    if kiln.clearance_mm is None and room.clearance_mm is None:
        text = (
            "the free space round the kiln is not known: the manual gives it; where it is lost, about"
            f" {USUAL_CLEARANCE_MM:.0f} mm (18 in) all round is usual, more to anything that burns"
        )
        yield Reason("clearance_unknown", text, Answer.CANNOT_SAY)
    elif room.clearance_mm is None:
        text = f"the manual asks for {kiln.clearance_mm:g} mm all round; the room's free space is not known"
        yield Reason("clearance_unknown", text, Answer.CANNOT_SAY)
    else:
        need, whose = kiln.clearance_mm, "the manual"
        if need is None:
            need, whose = USUAL_CLEARANCE_MM, "common practice (18 in, where the manual is lost)"
        if room.clearance_mm < need:
            text = f"{room.clearance_mm:g} mm free, {whose} asks for {need:.0f} mm"
            yield Reason("clearance_too_small", text, Answer.DOES_NOT_FIT)
        else:
            text = f"{room.clearance_mm:g} mm free, {whose} asks for {need:.0f} mm"
            yield Reason("clearance_kept", text, Answer.FITS)


def _company(room: Room) -> Iterator[Reason]:
    if room.separate is None:
        text = "whether people live or work in the room while it fires is not known"
        yield Reason("separate_unknown", text, Answer.CANNOT_SAY)
    elif not room.separate:
        text = "the room is lived or worked in: gases of a firing do not belong where people stay"
        yield Reason("not_separate", text, Answer.DOES_NOT_FIT)
    else:
        yield Reason("separate", "the room is apart from where people stay", Answer.FITS)


def _air(room: Room, heat_W: float | None) -> Iterator[Reason]:
    if room.exhaust_m3_per_h is None:
        text = "air drawn off is not known: fumes must go outside, and as much fresh air must come in"
        yield Reason("exhaust_unknown", text, Answer.CANNOT_SAY)
        return
    if room.exhaust_m3_per_h == 0:
        text = "no air is drawn off: fumes and heat stay in the room"
        yield Reason("no_exhaust", text, Answer.DOES_NOT_FIT)
        return
    text = (
        f"{room.exhaust_m3_per_h:g} m3 of air an hour is said to be drawn off; an opening must let as much fresh air in"
    )
    if room.volume_m3:
        text += f" ({room.exhaust_m3_per_h / room.volume_m3:.0f} changes of the room's air an hour)"
    yield Reason("exhaust_stated", text, Answer.FITS)


def _warmth(room: Room, rise: Estimate | None) -> Iterator[Reason]:
    if rise is None:
        return
    if rise.value > WARM_ROOM_K:
        text = (
            f"the air may warm by up to about {rise.value:.0f} K near the end of a firing: more air is"
            " needed, or fire"
            " on a cool day, and mind what stands near"
        )
        yield Reason("room_gets_hot", text, Answer.CANNOT_SAY)
    else:
        text = f"the air may warm by up to about {rise.value:.0f} K near the end of a firing"
        yield Reason("room_warms", text, Answer.FITS)
