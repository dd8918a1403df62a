"""Batches become fired compositions: raw grams -> moles of oxides, for one recipe or a million.

Arrays follow the fixed order of :data:`glazecalc.chemistry.oxides.OXIDES` along their last axis.

Fluorine and chlorine are counted as the element. Where they stand, the metal is written as its oxide, so the
fired mass is the sum of the parts less the oxygen they replace (half an O per F or Cl), the convention of rock
analyses ("less O for F").
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.oxides import MOLAR_MASSES, OXIDES, element_mass
from glazecalc.values.oxides import INDEX

Array = NDArray[np.float64]

_HALOGENS = [INDEX["F"], INDEX["Cl"]]
TRACE_PERCENT = 1.0
"""Below this share [weight %] the relative spread of an analysis grows as one over the square root of the share."""


def fired_mass(moles: Array) -> Array:
    """Mass of a fired composition [g]. ``moles`` (..., k) [mol]; returns (...,)."""
    oxygen_replaced = moles[..., _HALOGENS].sum(axis=-1) * element_mass("O") / 2
    return np.asarray(moles @ MOLAR_MASSES - oxygen_replaced)


def mole_fractions(moles: Array) -> Array:
    """Moles scaled to a sum of one along the last axis, shape kept. A nil composition stays nil."""
    total = moles.sum(axis=-1, keepdims=True)
    return np.divide(moles, total, out=np.zeros_like(moles, dtype=float), where=total > 0)


def weight_percent(moles: Array) -> Array:
    """Weight % of each oxide of the fired mass, shape of ``moles``. With fluorine the sum passes 100 by its oxygen."""
    mass = fired_mass(moles)[..., None]
    return np.divide(100 * moles * MOLAR_MASSES, mass, out=np.zeros_like(moles, dtype=float), where=mass > 0)


def moles_from_weight_percent(weights: Array) -> Array:
    """Moles per 100 g [mol] of an analysis in weight %, shape kept."""
    return np.asarray(weights / MOLAR_MASSES)


def spread_of_analysis(weights: Array, spread_percent: Array) -> Array:
    """Standard deviation of an analysis [weight %]: ``weights`` (m, k), ``spread_percent`` (m,); returns (m, k).

    The relative spread holds for shares above :data:`TRACE_PERCENT`; a smaller share is known relatively worse
    (common practice, no source: an analysis is quoted to about the same hundredths for every oxide).
    """
    return np.asarray(spread_percent[:, None] / 100 * np.sqrt(weights * np.maximum(weights, TRACE_PERCENT)))


@dataclass(frozen=True, slots=True, eq=False)
class MaterialTable:
    """Materials as arrays, one row each, in the order of ``names``.

    ``moles`` and ``moles_sd`` (m, k) [mol per g of raw material], ``loi`` (m,) [g lost per g],
    ``density`` (m,) [g/mL, nan where unknown].
    """

    names: tuple[str, ...]
    moles: Array
    moles_sd: Array
    loi: Array
    density: Array


@dataclass(frozen=True, slots=True, eq=False)
class Composition:
    """Fired compositions of n batches: ``moles`` and their standard deviation ``moles_sd`` (n, k) [mol],
    ``raw_g`` (n,) [g] before firing, and the ``solids_density`` (n,) [g/mL, nan where a density is unknown]."""

    moles: Array
    moles_sd: Array
    raw_g: Array
    solids_density: Array

    @property
    def mole_fractions(self) -> Array:
        """Shape (n, k), rows summing to one."""
        return mole_fractions(self.moles)

    @property
    def relative_sd(self) -> Array:
        """Standard deviation of the moles of each oxide where their sum is one, shape (n, k)."""
        return np.asarray(self.moles_sd / np.maximum(self.moles.sum(axis=1, keepdims=True), 1e-30))

    @property
    def weight_percent(self) -> Array:
        """Shape (n, k) [weight % of the fired mass]."""
        return weight_percent(self.moles)

    @property
    def loss_on_ignition_percent(self) -> Array:
        """Shape (n,) [% of the raw mass]; negative where firing takes up oxygen."""
        return np.asarray(100 * (1 - fired_mass(self.moles) / self.raw_g))


def compose(amounts: Array, table: MaterialTable) -> Composition:
    """Fired compositions of batches. ``amounts`` (n, m) [g raw], columns as in ``table``."""
    raw = amounts.sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        volume = np.where(amounts > 0, amounts / table.density, 0.0).sum(axis=1)
        density = raw / volume
    return Composition(
        moles=amounts @ table.moles,
        moles_sd=np.sqrt(amounts**2 @ table.moles_sd**2),
        raw_g=raw,
        solids_density=density,
    )


def from_moles(moles: Array) -> Composition:
    """A composition given as oxides, without raw materials: no loss, no spread. ``moles`` (n, k) [mol]."""
    moles = np.atleast_2d(np.asarray(moles, dtype=float))
    n = moles.shape[0]
    return Composition(moles, np.zeros_like(moles), fired_mass(moles), np.full(n, np.nan))


def vector(amounts: dict[str, float]) -> Array:
    """Oxide -> amount as an array (k,) in the fixed order. Raises KeyError for an oxide outside the list."""
    out = np.zeros(len(OXIDES))
    for symbol, amount in amounts.items():
        out[INDEX[symbol]] += amount
    return out
