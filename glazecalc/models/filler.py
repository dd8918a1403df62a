"""What stays undissolved in a white glaze: zircon and tin oxide above what a melt takes up, as grains in the glass.

A melt in a kiln takes up a little zirconia and tin oxide; the rest stays, or comes back, as grains that make the
glaze white (zirconia as zircon, with as much silica), the more grains, the less is left in the melt. The grains stiffen
the melt as a suspension is stiffened, and the cold coat is glass with grains in it, which expand and yield as they do
alone. Limits and figures are common practice or from memory and are named beside their use.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

import numpy as np

from glazecalc.values.arrays import Array
from glazecalc.values.oxides import INDEX

DISSOLVED_ZIRCONIA: Final = (0.010, 0.038)
"""Mole fraction of zirconia up to which a glaze melt takes up all, and from which it takes up none, the grains drawing
the rest out of it: 3 and 12 % zircon by weight (Castilone et al., J. Am. Ceram. Soc. 82 (1999), abstract)."""
DISSOLVED_TIN: Final = 0.006
"""Mole fraction of tin oxide that a glaze melt takes up: 1 to 2 % does not whiten (common practice, no source)."""


class Crystal(NamedTuple):
    """A crystal, or a glass: molar volume [cm3/mol], mean linear expansion [1e-6/K], bulk and shear modulus [GPa]."""

    volume: float
    expansion: float
    bulk: float
    shear: float


ZIRCON: Final = Crystal(39.3, 4.5, 228.0, 109.0)
"""183.3 g/mol over 4.67 g/cm3; expansion 4.2 to 4.6e-6/K, moduli of the crystal (handbook values, from memory)."""
TIN: Final = Crystal(21.7, 4.0, 210.0, 102.0)
"""Tin oxide, cassiterite: 150.7 g/mol over 6.95 g/cm3 (handbook values, from memory)."""
MELT_VOLUME: Final = 25.0
"""Volume of a mole of the oxides of a glaze melt [cm3/mol]: about 62 g/mol over 2.5 g/cm3."""
_POISSON: Final = 0.22
"""Of a glaze glass (handbook value, from memory)."""
_GLASS_YOUNGS: Final = 70.0
"""Of a glaze glass [GPa] (handbook value, from memory): how far grains pull its expansion hardly depends on it."""
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
    total = volume + ZIRCON.volume * zircon + TIN.volume * tin
    return Grains(ZIRCON.volume * zircon / total, TIN.volume * tin / total, melt)


def melt_of(mole_fractions: Array, practice: Literal["glaze", "glass"]) -> Array:
    """The melt between the grains, (n, k): the array itself where there are none, and of a glass melted with care."""
    white = grains(mole_fractions) if practice == "glaze" else None
    return mole_fractions if white is None else white.melt


def stiffened(share: Array) -> Array:
    """How much grains or crystals of a volume ``share`` stiffen a melt [log10 of viscosity], any shape.

    A. Einstein's rule carried to many grains by R. Roscoe (1952, from memory): viscosity x (1 - share / 0.6)^-2.5.
    """
    return np.asarray(-2.5 * np.log10(np.maximum(1.0 - np.asarray(share, dtype=float) / _CLOSEST, _LEAST_ROOM)))


def expansion_with_grains(glass: Array, zircon: Array, tin: Array) -> Array:
    """Mean linear expansion [1e-6/K] of glass with volume shares of grains in it, all (n,).

    Round grains that cling to the glass: the mean of the expansions, each by its volume times K / (3 K + 4 G), with its
    own bulk modulus K and the shear modulus G of the glass (E. H. Kerner, Proc. Phys. Soc. B 69 (1956) 808; it agrees
    with V. M. Levin's rule of 1967 and Z. Hashin and S. Shtrikman's lower bound of 1963; from memory).
    """
    bulk, shear = _moduli(np.asarray(_GLASS_YOUNGS))
    pulls = [share * k / (3.0 * k + 4.0 * shear) for share, k in _phases(zircon, tin, bulk, ZIRCON.bulk, TIN.bulk)]
    total = pulls[0] * glass + pulls[1] * ZIRCON.expansion + pulls[2] * TIN.expansion
    return np.asarray(total / (pulls[0] + pulls[1] + pulls[2]))


def stiffness_with_grains(youngs: Array, zircon: Array, tin: Array) -> Array:
    """Young's modulus [GPa] of glass of modulus ``youngs`` with volume shares of grains in it, all (n,).

    Z. Hashin and S. Shtrikman's lower bound, which round stiff grains in a softer glass come near to (J. Mech. Phys.
    Solids 11 (1963) 127, from memory).
    """
    bulk, shear = _moduli(youngs)
    around = 4.0 * shear / 3.0
    k = 1.0 / sum(v / (m + around) for v, m in _phases(zircon, tin, bulk, ZIRCON.bulk, TIN.bulk)) - around
    around = shear * (9.0 * bulk + 8.0 * shear) / (6.0 * (bulk + 2.0 * shear))
    g = 1.0 / sum(v / (m + around) for v, m in _phases(zircon, tin, shear, ZIRCON.shear, TIN.shear)) - around
    return np.asarray(9.0 * k * g / (3.0 * k + g))


def _moduli(youngs: Array) -> tuple[Array, Array]:
    """Bulk and shear modulus [GPa] of a glaze glass of this Young's modulus."""
    return youngs / (3.0 * (1.0 - 2.0 * _POISSON)), youngs / (2.0 * (1.0 + _POISSON))


def _phases(zircon: Array, tin: Array, *figures: Array | float) -> list[tuple[Array, Array | float]]:
    """Volume share and one figure of each phase: glass, zircon, tin oxide."""
    return list(zip((1.0 - zircon - tin, zircon, tin), figures, strict=True))
