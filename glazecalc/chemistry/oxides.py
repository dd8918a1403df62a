"""Molar masses of the fixed oxides, summed from the masses of the elements.

``masses.json`` holds what periodictable says of each element of the trade (``python -m training.masses`` writes it, a
test compares): loading that package takes a twentieth of a `check`. Its parser accepts typing slips such as ``K20``
(twenty potassium atoms) and is used nowhere; an oxide is looked up in :mod:`glazecalc.values.oxides`.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.values.oxides import INDEX, OXIDE_TABLE, SYMBOLS

OXIDES: Final[tuple[str, ...]] = SYMBOLS
"""The fixed oxide order of every composition array, length k."""


@cache
def element_masses() -> dict[str, float]:
    """Standard atomic masses of the elements of the trade [g/mol]."""
    held: dict[str, float] = json.loads((Path(__file__).parent / "masses.json").read_text(encoding="utf-8"))
    return held


def element_mass(symbol: str) -> float:
    """Standard atomic mass of an element of the trade [g/mol]. Raises KeyError for any other symbol."""
    return element_masses()[symbol]


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
