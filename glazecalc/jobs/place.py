"""Where a kiln stands: floor, clearance, company, air. Never a claim that a room is safe."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from glazecalc.values.answers import Answer, Estimate
from glazecalc.values.inputs import Kiln, Room, UnitChoice
from glazecalc.values.mains import Reason
from glazecalc.values.units import convert

USUAL_CLEARANCE_MM: Final = 457.2
"""Eighteen inches round a kiln is the usual figure where the manual is lost (common practice)."""
TAPE_MM: Final = 1.0
"""A tape is read no finer than this [mm]."""
WARM_ROOM_K: Final = 20.0
METRIC: Final = UnitChoice()
_BARE: Final = ("concrete", "cement", "stone", "brick", "tile", "ceramic", "screed", "earth")
_BURNS: Final = (
    "wood", "carpet", "vinyl", "lino", "laminate", "plywood", "parquet", "cork", "rug", "straw", "hay", "foam", "paper",
    "cardboard", "fabric", "felt", "rubber", "plastic", "bamboo", "sisal", "chipboard", "fibreboard", "mdf", "osb",
)  # fmt: skip
_BESIDE_BARE: Final = frozenset((
    "floor", "slab", "bare", "on", "over", "and", "of", "a", "the", "with", "sealed", "polished", "smooth", "rough",
    "solid", "unglazed", "glazed", "quarry", "porcelain", "terracotta", "clay", "fire", "cinder", "block", "blocks",
    "flag", "slate", "granite", "marble", "limestone", "sandstone", "sand", "gravel", "ground", "rammed", "grey",
    "gray", "red", "old", "new", "thick", "cm", "mm", "in", "base", "paving", "poured", "kiln",
))  # fmt: skip
"""What may be said beside a floor that does not burn; any other word, such as "never", and the floor is not known."""

HAZARD_CAUTIONS: Final = (
    "Keep a smoke detector and a carbon monoxide detector that work, and an extinguisher, near but not over the kiln.",
    "Keep children, animals and anything that burns away; nobody sleeps nearby. Stay within reach of a firing kiln"
    " until it is off, and do not trust a controller or a cone shut-off to switch it off.",
)
"""Told however short the answer is."""
STANDING_CAUTIONS: Final = (
    "The maker's manual rules on floor, clearance, stand and vent; then the local codes for wiring, fire and air.",
    "Have mains work done by a licensed electrician, and ask the fire service or building office before"
    " the first"
    " firing indoors.",
    "No figure here says that a room is fit to breathe in: that takes a vent to the outside and a"
    " measurement by"
    " someone trained for it.",
)


def place_reasons(
    kiln: Kiln, room: Room | None, rise: Estimate | None, units: UnitChoice = METRIC
) -> tuple[Reason, ...]:
    """Reasons about the place in the chosen units, worst first; with no room given nothing can be said of it."""
    if room is None:
        text = "no room is named: add --room, or a [[room]] to studio.toml"
        return (Reason("room_unknown", text, Answer.CANNOT_SAY),)
    found = [*_floor(room), *_clearance(kiln, room, units), *_company(room), *_air(room, units), *_warmth(rise, units)]
    order = {Answer.DOES_NOT_FIT: 0, Answer.CANNOT_SAY: 1, Answer.FITS: 2, Answer.NOT_ASKED: 3}
    return tuple(sorted(found, key=lambda r: order[r.answer]))


def place_refusal(kiln: Kiln, room: Room, units: UnitChoice = METRIC) -> str | None:
    """Everything that speaks against firing in this room, in a clause without a full stop; None where nothing does."""
    against = [r.message for r in place_reasons(kiln, room, None, units) if r.answer is Answer.DOES_NOT_FIT]
    return f"{kiln.name} is not to be fired in {room.name} as it is ({'; '.join(against)})" if against else None


def _floor(room: Room) -> Iterator[Reason]:
    words = room.floor.casefold()
    if any(word in words for word in _BURNS):
        text = f"the floor ({room.floor}) can burn or char: a kiln stands on a floor and base its manual allows"
        yield Reason("floor_burns", text, Answer.DOES_NOT_FIT)
    elif _is_bare(words):
        text = f"the floor ({room.floor}) does not burn; the kiln still stands on its own stand, with air under it"
        yield Reason("floor_bare", text, Answer.FITS)
    else:
        text = "the floor is not known: a kiln stands level on a floor that does not burn, on its own stand"
        yield Reason("floor_unknown", text, Answer.CANNOT_SAY)


def _is_bare(words: str) -> bool:
    said = [word for word in re.split(r"[\s,;.()/\d-]+", words) if word]
    bare = [any(stone in word for stone in _BARE) for word in said]
    return any(bare) and all(known or word in _BESIDE_BARE for known, word in zip(bare, said, strict=True))


def _length(mm: float, units: UnitChoice) -> str:
    """A length in millimetres or inches as a tape shows it."""
    if units.length == "mm":
        return f"{mm:.0f} mm"
    return f"{round(convert(mm, 'mm', units.length, 'length'), 1):g} {units.length}"


def _flow(m3_per_h: float, units: UnitChoice) -> str:
    if units.length == "mm":
        return f"{m3_per_h:.4g} m3 of air an hour"
    return f"{convert(m3_per_h, 'm3/h', 'cfm', 'flow'):.0f} cubic feet of air a minute"


def _warmer(K: float, units: UnitChoice) -> str:
    """A difference of temperature in both scales, the chosen one first."""
    celsius, other = f"{K:.0f} degC", f"{convert(K, 'C', 'F', 'temperature difference'):.0f} degF"
    return f"{other} ({celsius})" if units.temperature == "F" else f"{celsius} ({other})"


def _clearance(kiln: Kiln, room: Room, units: UnitChoice) -> Iterator[Reason]:
    if kiln.clearance_mm is None and room.clearance_mm is None:
        text = (
            "the free space round the kiln is not known: the manual gives it; where it is lost, about"
            f" {_length(USUAL_CLEARANCE_MM, units)} all round is usual, more to anything that burns"
        )
        yield Reason("clearance_unknown", text, Answer.CANNOT_SAY)
    elif room.clearance_mm is None and kiln.clearance_mm is not None:
        text = f"the manual asks for {_length(kiln.clearance_mm, units)} all round; the room's free space is not known"
        yield Reason("clearance_unknown", text, Answer.CANNOT_SAY)
    elif room.clearance_mm is not None:
        need, whose = kiln.clearance_mm, "the manual"
        if need is None:
            need, whose = USUAL_CLEARANCE_MM, "common practice (where the manual is lost)"
        text = f"{_length(room.clearance_mm, units)} free, {whose} asks for {_length(need, units)}"
        if room.clearance_mm < need - TAPE_MM:
            yield Reason("clearance_too_small", text, Answer.DOES_NOT_FIT)
        else:
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


def _air(room: Room, units: UnitChoice) -> Iterator[Reason]:
    if room.exhaust_m3_per_h is None:
        text = "air drawn off is not known: fumes must go outside, and as much fresh air must come in"
        yield Reason("exhaust_unknown", text, Answer.CANNOT_SAY)
        return
    if room.exhaust_m3_per_h == 0:
        text = "no air is drawn off: fumes and heat stay in the room"
        yield Reason("no_exhaust", text, Answer.DOES_NOT_FIT)
        return
    flow = _flow(room.exhaust_m3_per_h, units)
    text = f"{flow} goes out, by your figure; an opening must let as much fresh air in"
    if room.volume_m3:
        text += f" ({room.exhaust_m3_per_h / room.volume_m3:.0f} changes of the room's air an hour)"
    yield Reason("exhaust_stated", text, Answer.FITS)


def _warmth(rise: Estimate | None, units: UnitChoice) -> Iterator[Reason]:
    if rise is None:
        return
    if rise.value > WARM_ROOM_K:
        text = (
            f"the air may warm by up to about {_warmer(rise.value, units)} near the end of a firing. Let more air in"
            " or fire on a cool day, and keep away what can burn"
        )
        yield Reason("room_gets_hot", text, Answer.CANNOT_SAY)
    else:
        text = f"the air may warm by up to about {_warmer(rise.value, units)} near the end of a firing"
        yield Reason("room_warms", text, Answer.FITS)
