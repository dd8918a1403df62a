"""Where the kiln stands: heat and gases it gives to the room, and what can be said of floor, space and
air.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import moles_per_gram
from glazecalc.chemistry.formulas import fired_mineral, species_mass
from glazecalc.chemistry.oxides import molar_mass
from glazecalc.jobs.firing_follow import KilnRun
from glazecalc.jobs.materials import Pantry, resolve
from glazecalc.jobs.place import HAZARD_CAUTIONS, STANDING_CAUTIONS, place_reasons
from glazecalc.models.kiln import (
    WARE_KG_PER_LITRE,
    chamber,
    clay_releases,
    glaze_releases,
    outer_loss_W,
    temperature_rise_bound_K,
)
from glazecalc.models.kiln_reach import USUAL_WALL_MM, plate_power_W, weighted_quantile
from glazecalc.values.answers import Basis, Estimate, worst
from glazecalc.values.inputs import Kiln, Material, Recipe, Room, UnitChoice
from glazecalc.values.oxides import INDEX
from glazecalc.values.results.kiln import PlaceResult, Release


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


# What a load gives to the air in a firing, from the clay and from the glaze's batch.

FIRED_SHARE: Final = 0.92
"""Fired clay as a share of the bone-dry: about 8 % leaves (typical)."""
GLAZE_SHARE: Final = 0.10
"""Dry glaze as a share of the ware it coats (common practice)."""
_GAS_OF: Final = {"H2O": "water", "CO2": "carbon dioxide", "SO3": "sulphur dioxide", "SO2": "sulphur dioxide"}
HYDROGEN_FLUORIDE_PER_F: Final = 20.006 / 18.998


def full_load_kg(kiln: Kiln) -> float | None:
    """Fired ware of a full load [kg], or None where the inside is not known."""
    if kiln.interior is None:
        return None
    return WARE_KG_PER_LITRE * 1000.0 * chamber(kiln.interior, kiln.wall_mm or USUAL_WALL_MM).volume_m3


def load_releases(kiln: Kiln, recipe: Recipe | None = None, shelf: Pantry | None = None) -> tuple[Release, ...]:
    """Gases of a bisque of a full load of clay; with a recipe, those of its glaze coat on as much ware as well.

    What the clay still gives off after a bisque is not known: from none to all of it.
    """
    load_kg = full_load_kg(kiln)
    if load_kg is None:
        return ()
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
