"""Where the kiln stands: heat and gases it gives to the room, and what can be said of floor, space and air."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from glazecalc.chemistry.composition import moles_per_gram
from glazecalc.chemistry.formulas import fired_mineral, species_mass
from glazecalc.chemistry.oxides import molar_mass
from glazecalc.jobs.materials import Pantry, resolve
from glazecalc.models.kiln import (
    chamber,
    clay_releases,
    glaze_releases,
    outer_loss_W,
    temperature_rise_bound_K,
)
from glazecalc.models.kiln_reach import USUAL_WALL_MM, estimate_of, plate_power_W
from glazecalc.values.answers import Answer, Basis, Estimate, badness, worst
from glazecalc.values.inputs import Kiln, Material, Recipe, Room, UnitChoice
from glazecalc.values.mains import Reason
from glazecalc.values.oxides import INDEX
from glazecalc.values.results.kiln import PlaceResult, Release
from glazecalc.values.texts import phrase
from glazecalc.values.units import convert

if TYPE_CHECKING:
    from glazecalc.jobs.firing_follow import KilnRun


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
        hazards=HAZARD_CAUTIONS,
        cautions=STANDING_CAUTIONS,
    )


def heat_to_room(kiln: Kiln, run: KilnRun | None) -> Estimate | None:
    """Heat given to the room at the peak of a firing [W]; the elements' power bounds it."""
    if run is not None:
        places = run.run.places_degC
        peak = np.argmax(places[:, 0], axis=0)
        lost = outer_loss_W(run.model, places[peak, -1, np.arange(len(peak))])
        caveat = "through the wall at the peak; it goes on while the kiln cools. The elements' power bounds it"
        return estimate_of("heat_to_room", lost, run.draws.weights, "W", Basis.MODEL, ("wall_memory",), caveat)
    if kiln.tells_power:
        watts = plate_power_W(kiln)
        caveat = "the power on the plate, all of which ends in the room"
        return Estimate("heat_to_room", watts, 0.3 * watts, watts, "W", Basis.STATED, ("computed",), (caveat,))
    return None


def _rise(heat: Estimate | None, room: Room | None) -> Estimate | None:
    if heat is None or room is None or not room.exhaust_m3_per_h:
        return None
    low, middle, high = (temperature_rise_bound_K(w, room.exhaust_m3_per_h) for w in (heat.low, heat.value, heat.high))
    caveat = "a bound on the lasting warming with the stated air flow, walls and floor taking nothing"
    caveats = (f"{caveat}; near the kiln it is hotter",)
    return Estimate("room_temperature_rise", middle, low, high, "K", Basis.MODEL, ("computed",), caveats)


# Where a kiln stands: floor, clearance, company, air. Never a claim that a room is safe.

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
    "Have mains work done by a licensed electrician, and ask the fire service or building office before the first "
    "firing indoors.",
    "No figure here says that a room is fit to breathe in: that takes a vent to the outside and a measurement by "
    "someone trained for it.",
)


def place_reasons(
    kiln: Kiln, room: Room | None, rise: Estimate | None, units: UnitChoice = METRIC
) -> tuple[Reason, ...]:
    """Reasons about the place in the chosen units, worst first; with no room given nothing can be said of it."""
    if room is None:
        text = phrase("no room is named|: add --room, or a [[room]] to studio.toml|")
        return (Reason("room_unknown", text, Answer.CANNOT_SAY),)
    found = [*_floor(room), *_clearance(kiln, room, units), *_company(room), *_air(room, units), *_warmth(rise, units)]
    return tuple(sorted(found, key=lambda r: -badness(r.answer)))


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
    floor = [word for word in re.split(r"[\s,;.()/\d-]+", words) if word]
    bare = [any(stone in word for stone in _BARE) for word in floor]
    return any(bare) and all(known or word in _BESIDE_BARE for known, word in zip(bare, floor, strict=True))


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
    asked, free = kiln.clearance_mm, room.clearance_mm
    need = USUAL_CLEARANCE_MM if asked is None else asked
    wanted = _length(need, units)
    if free is not None:
        whose = "common practice (where the manual is lost)" if asked is None else "the manual"
        text = f"{_length(free, units)} free, {whose} asks for {wanted}"
        if free < need - TAPE_MM:
            yield Reason("clearance_too_small", text, Answer.DOES_NOT_FIT)
        else:
            yield Reason("clearance_kept", text, Answer.FITS)
    elif asked is None:
        text = "the free space round the kiln is not known: the manual gives it; where it is lost, about"
        text = f"{text} {wanted} all round is usual, more to anything that burns"
        yield Reason("clearance_unknown", text, Answer.CANNOT_SAY)
    else:
        text = f"the manual asks for {wanted} all round; the room's free space is not known"
        yield Reason("clearance_unknown", text, Answer.CANNOT_SAY)


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
    text = f"the air may warm by up to about {_warmer(rise.value, units)} near the end of a firing"
    if rise.value > WARM_ROOM_K:
        text += ". Let more air in or fire on a cool day, and keep away what can burn"
        yield Reason("room_gets_hot", text, Answer.CANNOT_SAY)
    else:
        yield Reason("room_warms", text, Answer.FITS)


# What a load gives to the air in a firing, from the clay and from the glaze's batch.

FIRED_SHARE: Final = 0.92
"""Fired clay as a share of the bone-dry: about 8 % leaves (typical)."""
GLAZE_SHARE: Final = 0.10
"""Dry glaze as a share of the ware it coats (common practice)."""
_GAS_OF: Final = {"H2O": "water", "CO2": "carbon dioxide", "SO3": "sulphur dioxide", "SO2": "sulphur dioxide"}
HYDROGEN_FLUORIDE_PER_F: Final = 20.006 / 18.998


def load_releases(kiln: Kiln, recipe: Recipe | None = None, shelf: Pantry | None = None) -> tuple[Release, ...]:
    """Gases of a bisque of a full load of clay; with a recipe, those of its glaze coat on as much ware as well.

    What the clay still gives off after a bisque is not known: from none to all of it.
    """
    if kiln.interior is None:
        return ()
    load_kg = chamber(kiln.interior, kiln.wall_mm or USUAL_WALL_MM).full_load_kg
    clay = clay_releases(1000.0 * load_kg / FIRED_SHARE)
    if recipe is None or shelf is None:
        return clay
    left = tuple(replace(r, grams=r.high_g / 2, low_g=0.0, of="clay, less after a bisque") for r in clay)
    coat = batch_gases(recipe, shelf, 1000.0 * load_kg * GLAZE_SHARE)
    return (*left, *glaze_releases(coat, f"glaze {recipe.name}"))


def batch_gases(recipe: Recipe, shelf: Pantry, dry_g: float) -> dict[str, tuple[float, float]]:
    """Gases of ``dry_g`` of a batch by name: the least and the most that can come off [g].

    A mineral formula tells its gases exactly. An analysis gives one loss on ignition: where the material
    gives off several gases each of them is told from none to all of it.
    """
    lines, _ = resolve(recipe, shelf)
    total = sum(r.line.amount for r in lines)
    gases: dict[str, tuple[float, float]] = {}
    for resolved in lines:
        grams = dry_g * resolved.line.amount / total
        for gas, (low, high) in _gases_per_gram(resolved.material).items():
            before = gases.get(gas, (0.0, 0.0))
            gases[gas] = (before[0] + grams * low, before[1] + grams * high)
    return {gas: span for gas, span in gases.items() if span[1] > 0.05}


def _gases_per_gram(material: Material) -> dict[str, tuple[float, float]]:
    found: dict[str, tuple[float, float]] = {}
    fluorine = float(moles_per_gram(material)[INDEX["F"]]) * molar_mass("F") * HYDROGEN_FLUORIDE_PER_F
    if fluorine > 0:
        found["hydrogen fluoride"] = (0.0, fluorine)
    if material.formula is not None:
        mineral = fired_mineral(material.formula)
        for species, moles in mineral.volatiles:
            gas = _GAS_OF.get(species)
            if gas is not None and moles > 0:
                grams = moles * species_mass(species) / mineral.raw_g_per_mol
                low, high = found.get(gas, (0.0, 0.0))
                found[gas] = (low + grams, high + grams)
        return found
    loss = max(0.0, (material.loi or 0.0) / 100.0)
    named = [gas for s in material.volatile if (gas := _GAS_OF.get(s)) is not None]
    for gas in dict.fromkeys(named or ["water"]):
        found[gas] = (loss if len(set(named)) == 1 else 0.0, loss)
    return found
