"""What hurts in a material of which only an analysis is known: what follows from its kind and oxides, marked so."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import moles_per_gram
from glazecalc.chemistry.formulas import FormulaError
from glazecalc.chemistry.oxides import MOLAR_MASSES
from glazecalc.jobs.materials import hazards_of
from glazecalc.values.answers import Problem, remark
from glazecalc.values.inputs import Material
from glazecalc.values.names import fold

FROM_KIND: Final = "from_kind"
"""The row of ``hazards.csv`` that marks hazards nobody read on a sheet."""
ALIKE_PERCENT: Final = 8.0
"""Weight % by which an analysis may differ from that of the kind it is taken for (a judgement)."""


def with_hazards(material: Material, built_in: Iterable[Material]) -> tuple[Material, tuple[Problem, ...]]:
    """The material with the hazards of its kind, told by its name or its analysis, and of the oxides it holds; and a
    remark. One with hazards of its own, or of no known kind and with no poison, is left as it is."""
    if material.hazards:
        return material, ()
    kind = kind_of_material(material, tuple(built_in))
    borrowed = () if kind is None else kind.hazards
    found = tuple(dict.fromkeys((*hazards_of(material), *borrowed)))
    if not found:
        return material, ()
    update = {"hazards": (*found, FROM_KIND), "family": material.family or ("" if kind is None else kind.family)}
    as_what = "from its analysis" if kind is None else f"as for {kind.name}"
    text = f"{material.name}: its hazards are filled in {as_what} ({', '.join(found)}) and marked so"
    hint = "put what the supplier's safety data sheet says into the column hazards of materials.csv"
    return material.model_copy(update=update), (remark("hazards-from-kind", text, hint),)


def kind_of_material(material: Material, built_in: tuple[Material, ...]) -> Material | None:
    """The built-in material whose name is in this one's, the longest; else the one of nearest analysis, if near."""
    words = set(fold(material.name).split())
    named = [
        (len(parts), m)
        for m in built_in
        for name in (m.name, *m.aliases)
        if (parts := fold(name).split()) and words.issuperset(parts) and not _other_poison(m, material)
    ]
    if named:
        return max(named, key=lambda pair: pair[0])[1]
    near = [(difference_percent(material, m), m) for m in built_in]
    least, kind = min(near, key=lambda pair: pair[0])
    return kind if least <= ALIKE_PERCENT else None


def _other_poison(kind: Material, material: Material) -> bool:
    """Whether a kind of that name holds other oxides than the analysis: `lead` in a name does not make it lead."""
    return difference_percent(kind, material) > 3 * ALIKE_PERCENT


def difference_percent(one: Material, other: Material) -> float:
    """Weight % of a material that is other oxides, or loss, than in another; 100 where one cannot be worked out."""
    try:
        grams = [100 * moles_per_gram(m) * MOLAR_MASSES for m in (one, other)]
    except FormulaError:
        return 100.0
    return float(np.abs(grams[0] - grams[1]).sum() / 2)
