"""What is estimated of a fired glaze from its composition: the one place that says which models answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from glazecalc.chemistry.composition import Array, Composition
from glazecalc.models.additive import additive_expansion, appen
from glazecalc.models.prediction import estimate_row
from glazecalc.values.estimate import Estimate
from glazecalc.values.oxides import SYMBOLS


def glaze_estimates(composition: Composition, row: int = 0) -> tuple[Estimate, ...]:
    """The estimates of one composition that its chemistry alone gives."""
    fractions = composition.mole_fractions[row : row + 1]
    return (replace(estimate_row(additive_expansion("appen", fractions)), name="expansion"),)


def push_of_oxides(mole_fractions: Array) -> tuple[tuple[int, str, float], ...]:
    """How far each oxide pushes the expansion from that of the same glaze without it.

    ``mole_fractions`` (1, k). Returns (index, oxide, push [1e-6/K]) for each oxide present, largest push first.
    """
    here = float(appen(mole_fractions)[0])
    pushes = []
    for i in np.flatnonzero(mole_fractions[0] > 0):
        without = mole_fractions.copy()
        without[0, i] = 0
        pushes.append((int(i), SYMBOLS[i], here - float(appen(without / without.sum())[0])))
    return tuple(sorted(pushes, key=lambda p: -abs(p[2])))
