"""What stays undissolved in a white glaze: zircon and tin oxide above what a melt takes up, as grains in the glass.

A melt in a kiln takes up a little zirconia and tin oxide; the rest stays, or comes back, as grains that make the
glaze white (zirconia as zircon, with as much silica), the more grains, the less is left in the melt. The grains stiffen
the melt as a suspension is stiffened. Limits and figures are common practice or from memory and are named beside their
use. The expansion counts them as melted: with grains that expand as they do alone, it misses the measured glazes of
glaze and enamel papers by more.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from glazecalc.values.arrays import Array
from glazecalc.values.oxides import INDEX

DISSOLVED_ZIRCONIA: Final = (0.010, 0.038)
"""Mole fraction of zirconia up to which a glaze melt takes up all, and from which it takes up none, the grains drawing
the rest out of it: 3 and 12 % zircon by weight (Castilone et al., J. Am. Ceram. Soc. 82 (1999), abstract)."""
DISSOLVED_TIN: Final = 0.006
"""Mole fraction of tin oxide that a glaze melt takes up: 1 to 2 % does not whiten (common practice, no source)."""
ZIRCON_VOLUME: Final = 39.3
"""Molar volume of zircon [cm3/mol]: 183.3 g/mol over 4.67 g/cm3 (handbook values, from memory)."""
TIN_VOLUME: Final = 21.7
"""Molar volume of tin oxide [cm3/mol]: 150.7 g/mol over 6.95 g/cm3 (handbook values, from memory)."""
MELT_VOLUME: Final = 25.0
"""Volume of a mole of the oxides of a glaze melt [cm3/mol]: about 62 g/mol over 2.5 g/cm3."""
_CLOSEST: Final = 0.6
"""Volume share of grains at which a suspension no longer flows (R. Roscoe, Br. J. Appl. Phys. 3 (1952) 267, rounded;
from memory)."""
MOST_GRAINS: Final = 0.3
"""Volume share of grains beyond which a mix is no glaze, and nothing is known of its melt (a judgement)."""
_LEAST_ROOM: Final = 0.1
"""Keeps the stiffening of a mix of nearly nothing but grains finite: such a mix is no glaze."""
_ZR, _SN, _SI = INDEX["ZrO2"], INDEX["SnO2"], INDEX["SiO2"]


@dataclass(frozen=True, slots=True, eq=False)
class Grains:
    """Grains in n glazes: volume share of each kind, (n,), and the ``melt`` between them, mole fractions (n, k)."""

    zircon: Array
    tin: Array
    melt: Array

    @property
    def share(self) -> Array:
        """Volume share of all grains, (n,)."""
        return self.zircon + self.tin


def grains(mole_fractions: Array) -> Grains | None:
    """The grains of glazes of shape (n, k) in the fixed oxide order; None where no glaze has any."""
    x = mole_fractions
    if not ((x[:, _ZR] > 0.0).any() or (x[:, _SN] > 0.0).any()):
        return None
    whole = np.maximum(x.sum(axis=1), 1e-30)
    zirconia, tin = x[:, _ZR] / whole, x[:, _SN] / whole
    if not ((zirconia > DISSOLVED_ZIRCONIA[0]).any() or (tin > DISSOLVED_TIN).any()):
        return None
    all_, none = DISSOLVED_ZIRCONIA
    taken_up = np.minimum(zirconia, all_ * np.clip((none - zirconia) / (none - all_), 0.0, 1.0))
    zircon = np.minimum(zirconia - taken_up, x[:, _SI] / whole)
    tin = np.maximum(tin - DISSOLVED_TIN, 0.0)
    melt = x.copy()
    melt[:, _ZR] -= zircon * whole
    melt[:, _SI] -= zircon * whole
    melt[:, _SN] -= tin * whole
    volume = MELT_VOLUME * (1.0 - 2.0 * zircon - tin)
    total = volume + ZIRCON_VOLUME * zircon + TIN_VOLUME * tin
    return Grains(ZIRCON_VOLUME * zircon / total, TIN_VOLUME * tin / total, melt)


def melt_of(mole_fractions: Array, practice: Literal["glaze", "glass"]) -> Array:
    """The melt between the grains, (n, k): the array itself where there are none, and of a glass melted with care."""
    found = grains(mole_fractions) if practice == "glaze" else None
    return mole_fractions if found is None else found.melt


def stiffened(share: Array) -> Array:
    """How much grains or crystals of a volume ``share`` stiffen a melt [log10 of viscosity], any shape.

    A. Einstein's rule carried to many grains by R. Roscoe (1952, from memory): viscosity x (1 - share / 0.6)^-2.5.
    """
    return np.asarray(-2.5 * np.log10(np.maximum(1.0 - np.asarray(share, dtype=float) / _CLOSEST, _LEAST_ROOM)))
