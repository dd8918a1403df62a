"""What a load gives to the air in a firing, from the clay and from the glaze's batch."""

from __future__ import annotations

from typing import Final

from glazecalc.chemistry.minerals import fired_mineral, species_mass
from glazecalc.chemistry.oxides import molar_mass
from glazecalc.chemistry.shelf import moles_per_gram
from glazecalc.models.chamber import WARE_KG_PER_LITRE, chamber
from glazecalc.models.kiln_draws import USUAL_WALL_MM
from glazecalc.models.room_heat import clay_releases, glaze_releases
from glazecalc.values.inputs import Kiln, Material, Recipe
from glazecalc.values.kiln_report import Release
from glazecalc.values.oxides import INDEX
from glazecalc.work.pantry import Pantry, resolve

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
    """Gases of a bisque of a full load of clay; with a recipe, those of its glaze coat on as much ware."""
    load_kg = full_load_kg(kiln)
    if load_kg is None:
        return ()
    if recipe is None or shelf is None:
        return clay_releases(1000.0 * load_kg / FIRED_SHARE)
    return glaze_releases(batch_gases(recipe, shelf, 1000.0 * load_kg * GLAZE_SHARE), f"glaze {recipe.name}")


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
