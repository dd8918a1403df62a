"""Molar masses of the fixed oxides. The one door to periodictable: element masses are summed, nothing is parsed.

``periodictable.formula`` accepts typing slips such as ``K20`` (twenty potassium atoms), so users' text never
reaches it; an oxide is looked up in :mod:`glazecalc.values.oxides`.
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
import periodictable
from numpy.typing import NDArray

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


def _read_only(values: list[float] | NDArray[np.float64]) -> NDArray[np.float64]:
    array = np.asarray(values, dtype=float)
    array.setflags(write=False)
    return array


MOLAR_MASSES: Final[NDArray[np.float64]] = _read_only(
    [sum(count * element_mass(el) for el, count in oxide.atoms) for oxide in OXIDE_TABLE]
)
"""Molar masses in the order of :data:`OXIDES` [g/mol], shape (k,)."""


def molar_mass(symbol: str) -> float:
    """Molar mass of one oxide of the fixed list [g/mol].

    >>> round(molar_mass("SiO2"), 3)
    60.083
    """
    return float(MOLAR_MASSES[INDEX[symbol]])
