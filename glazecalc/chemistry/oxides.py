"""Molar masses of the fixed oxides. The one door to periodictable: element masses are summed, nothing is parsed.

``periodictable.formula`` accepts typing slips such as ``K20`` (twenty potassium atoms), so users' text never
reaches it; an oxide is looked up in :mod:`glazecalc.values.oxides`.
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
import periodictable

from glazecalc.values.arrays import Array
from glazecalc.values.oxides import INDEX, OXIDE_TABLE, SYMBOLS

OXIDES: Final[tuple[str, ...]] = SYMBOLS
"""The fixed oxide order of every composition array, length k."""


@cache
def element_mass(symbol: str) -> float:
    """Standard atomic mass of an element [g/mol]. Raises KeyError for an unknown symbol."""
    try:
        return float(getattr(periodictable.elements, symbol).mass)
    except AttributeError as exc:
        raise KeyError(symbol) from exc


MOLAR_MASSES: Final[Array] = np.array([sum(count * element_mass(el) for el, count in o.atoms) for o in OXIDE_TABLE])
"""Molar masses in the order of :data:`OXIDES` [g/mol], shape (k,)."""
MOLAR_MASSES.setflags(write=False)


def molar_mass(symbol: str) -> float:
    """Molar mass of one oxide of the fixed list [g/mol].

    >>> round(molar_mass("SiO2"), 3)
    60.083
    """
    return float(MOLAR_MASSES[INDEX[symbol]])
