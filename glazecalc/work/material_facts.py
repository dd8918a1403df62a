"""What is known of one raw material: analysis, unity form, loss, hazards, source."""

from __future__ import annotations

from glazecalc.chemistry.composition import fired_mass
from glazecalc.chemistry.minerals import FormulaError
from glazecalc.chemistry.oxides import MOLAR_MASSES, OXIDES
from glazecalc.chemistry.shelf import moles_per_gram, typical_spread_percent
from glazecalc.values.data import read_table, sources
from glazecalc.values.formula_report import MaterialFacts
from glazecalc.values.inputs import Material
from glazecalc.values.problem import ProblemsError, error
from glazecalc.work.cautions import hazard_sentence


def material_facts(material: Material) -> MaterialFacts:
    """The facts of one material.

    Raises
    ------
    ProblemsError
        if its formula cannot be read.
    """
    try:
        moles = moles_per_gram(material)
    except FormulaError as exc:
        problem = error("formula", f"{material.name}: {exc}", exc.hint, material.file, material.line)
        raise ProblemsError([problem]) from None
    grams = 100 * moles * MOLAR_MASSES
    stated = material.spread_percent
    return MaterialFacts(
        material=material,
        oxides=tuple((OXIDES[i], float(grams[i])) for i in range(len(OXIDES)) if grams[i] > 0),
        moles_per_100g=tuple((OXIDES[i], 100 * float(moles[i])) for i in range(len(OXIDES)) if moles[i] > 0),
        loss_on_ignition_percent=100 * (1 - float(fired_mass(moles))),
        spread_percent=typical_spread_percent(material.kind) if stated is None else stated,
        hazards=hazard_lines(material.hazards),
        source=sources().get(material.source, material.source),
    )


def hazard_lines(ids: tuple[str, ...]) -> tuple[str, ...]:
    """The hazard statements of those ids, each with its advice, in the table's order."""
    wanted = set(ids)
    rows = (row for row in read_table("hazards") if row["id"] in wanted)
    return tuple(f"{line[:1].upper()}{line[1:]}" for line in map(hazard_sentence, rows))
