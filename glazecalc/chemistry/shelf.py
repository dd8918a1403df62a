"""Materials become rows of arrays: analyses and mineral formulas in, moles per gram out."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np

from glazecalc.chemistry.composition import (
    Array,
    MaterialTable,
    fired_mass,
    moles_from_weight_percent,
    spread_of_analysis,
    vector,
)
from glazecalc.chemistry.minerals import fired_mineral
from glazecalc.chemistry.oxides import MOLAR_MASSES
from glazecalc.values.data import read_table
from glazecalc.values.inputs import Material


@cache
def typical_spread_percent(kind: str) -> float:
    """Typical relative spread of an analysis of that kind [%], from the shipped table."""
    return {row["kind"]: float(row["spread_percent"]) for row in read_table("spreads")}[kind]


def moles_per_gram(material: Material) -> Array:
    """Fired oxides of one material, shape (k,) [mol per g raw].

    Raises
    ------
    FormulaError
        if the material's formula cannot be read.
    """
    if material.formula is not None:
        mineral = fired_mineral(material.formula)
        return np.asarray(mineral.moles, dtype=float) / mineral.raw_g_per_mol
    return moles_from_weight_percent(vector({a.oxide: a.amount for a in material.analysis})) / 100


def material_table(materials: Sequence[Material]) -> MaterialTable:
    """The materials as arrays, one row each in the order given. Raises FormulaError as `moles_per_gram` does."""
    moles = np.array([moles_per_gram(m) for m in materials]).reshape(len(materials), -1)
    spreads = np.array([
        typical_spread_percent(m.kind) if m.spread_percent is None else m.spread_percent for m in materials
    ])  # fmt: skip
    share = 100 * moles * MOLAR_MASSES
    moles_sd = moles_from_weight_percent(spread_of_analysis(share, spreads)) / 100
    return MaterialTable(
        names=tuple(m.name for m in materials),
        moles=moles,
        moles_sd=moles_sd,
        loi=1 - fired_mass(moles),
        density=np.array([np.nan if m.density is None else m.density for m in materials]),
    )
