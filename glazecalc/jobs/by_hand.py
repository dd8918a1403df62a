"""The classical stepwise way from a unity formula to a batch, as potters were taught it with pencil and paper.

One oxide after another is brought in by one material, whatever else it brings is crossed off, clay brings what
alumina is left and quartz what silica is left. It works when every step leaves nothing below zero; otherwise the
method does not apply and says so by giving None. (Seger 1886 wrote his cones this way; common practice since.)
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from glazecalc.values.arrays import Array
from glazecalc.values.oxides import INDEX, SYMBOLS
from glazecalc.values.results.adjust import HandStep

ORDER: Final = (
    "P2O5", "TiO2", "ZrO2", "SnO2", "F", "Li2O", "B2O3", "K2O", "Na2O", "MgO", "BaO", "SrO", "ZnO", "PbO", "MnO", "CoO",
    "CuO", "NiO", "Cr2O3", "V2O5", "Fe2O3", "CaO", "Al2O3", "SiO2",
)  # fmt: skip
"""Which oxide is crossed off first."""
_WORTH: Final = 0.08
"""A material leads with an oxide only if it holds more than this share of its moles."""


def leading_oxide(moles_per_g: Array) -> str:
    """The oxide a material is brought in for: the first of :data:`ORDER` that it holds in earnest.

    >>> import numpy as np
    >>> from glazecalc.chemistry.composition import vector
    >>> leading_oxide(vector({"K2O": 1, "Al2O3": 1, "SiO2": 6})), leading_oxide(vector({"Al2O3": 1, "SiO2": 2}))
    ('K2O', 'Al2O3')
    """
    total = float(moles_per_g.sum())
    for symbol in ORDER:
        if total > 0 and moles_per_g[INDEX[symbol]] > _WORTH * total:
            return symbol
    return SYMBOLS[int(np.argmax(moles_per_g))]


def by_hand(target: Array, names: Sequence[str], moles: Array, tolerance: float = 0.005) -> tuple[HandStep, ...] | None:
    """The steps from the unity formula ``target`` (k,) to a batch of the materials ``moles`` (m, k) [mol/g].

    Returns None where the method does not apply: two materials lead with one oxide, an oxide is brought in excess, or
    something is left over beyond ``tolerance`` [mol per flux sum].
    """
    leads = [leading_oxide(row) for row in moles]
    if len(set(leads)) != len(leads):
        return None
    left, steps = target.copy(), []
    for i in sorted(range(len(names)), key=lambda i: ORDER.index(leads[i]) if leads[i] in ORDER else len(ORDER)):
        lead = INDEX[leads[i]]
        weight = max(float(left[lead] / moles[i, lead]), 0.0)
        brings = weight * moles[i]
        left = left - brings
        if left.min() < -tolerance:
            return None
        steps.append(HandStep(names[i], leads[i], float(brings[lead]), _named(brings), weight))
    return tuple(steps) if np.abs(left).max() <= tolerance else None


def _named(moles: Array) -> tuple[tuple[str, float], ...]:
    return tuple((SYMBOLS[i], float(moles[i])) for i in np.flatnonzero(moles > 1e-6))
