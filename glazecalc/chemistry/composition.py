"""Batches become fired compositions: raw grams -> moles of oxides, for one recipe or a million.

Arrays follow the fixed order of :data:`glazecalc.chemistry.oxides.OXIDES` along their last axis.

Fluorine and chlorine are counted as the element. Where they stand, the metal is written as its oxide, so the
fired mass is the sum of the parts less the oxygen they replace (half an O per F or Cl), the convention of rock
analyses ("less O for F").
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from glazecalc.chemistry.formulas import fired_mineral
from glazecalc.chemistry.oxides import MOLAR_MASSES, OXIDES, element_mass
from glazecalc.values.arrays import Array
from glazecalc.values.data import read_table
from glazecalc.values.inputs import Material
from glazecalc.values.oxides import ALKALIS, INDEX, OXIDE_TABLE, Role

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


# The unity molecular formula: moles of each oxide when the fluxes are brought to a sum of one (H. Seger).


@dataclass(frozen=True, slots=True, eq=False)
class Convention:
    """Which oxides are counted in the sum that is brought to one. ``mask`` (k,) holds ones and zeros."""

    name: str
    text: str
    mask: Array


_FLUXES = {oxide.symbol for oxide in OXIDE_TABLE if oxide.in_flux_sum}
_COLOURANTS = {oxide.symbol for oxide in OXIDE_TABLE if oxide.role is Role.COLOURANT}

COLOURING: Final = np.array([oxide.role in (Role.COLOURANT, Role.OPACIFIER) for oxide in OXIDE_TABLE])
"""Which oxides are in a glaze for its colour or its opacity, (k,)."""
CONVENTIONS: Final[dict[str, Convention]] = {
    name: Convention(name, text, np.array([float(symbol in counted) for symbol in OXIDES]))
    for name, text, counted in (
        ("customary", "fluxes add up to 1, the colouring ones (MnO, FeO, CoO, NiO, CuO) included", _FLUXES),
        ("colourants-out", "fluxes add up to 1, colouring oxides left out of the sum", _FLUXES - _COLOURANTS),
        ("alumina", "alumina is 1, as for clays", {"Al2O3"}),
    )
}


def unity(moles: Array, convention: Convention) -> Array:
    """Unity formula of each row. ``moles`` (n, k) [mol]; returns (n, k), nan rows where the sum is nil."""
    total = (moles @ convention.mask)[:, None]
    return np.divide(moles, total, out=np.full_like(moles, np.nan, dtype=float), where=total > 0)


def flux_sum(moles: Array) -> float:
    """What one composition (k,) is divided by for its unity formula [mol]: its fluxes, or all of it without any."""
    flux = float(moles @ CONVENTIONS["customary"].mask)
    return flux if flux > 0 else max(float(moles.sum()), 1e-30)


def per_flux(moles: Array) -> Array:
    """The unity formula of one composition (k,), of nil and of one without fluxes too."""
    return np.asarray(moles / flux_sum(moles))


def unity_sd(moles: Array, moles_sd: Array, convention: Convention) -> Array:
    """Standard deviation of the unity formula by first-order propagation of independent oxide errors.

    ``moles``, ``moles_sd`` (n, k) [mol]; returns (n, k). With u = n / S and S the flux sum,
    du/dn_j = delta/S - f_j n / S**2 (f_j is 1 for a flux).
    """
    total = (moles @ convention.mask)[:, None]
    variance = moles_sd**2
    flux_variance = (variance @ convention.mask)[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        own = variance * (1 / total - convention.mask * moles / total**2) ** 2
        others = (moles / total**2) ** 2 * (flux_variance - convention.mask * variance)
        result = np.sqrt(own + others)
    return np.where(total > 0, result, np.nan)


def ratio(moles: Array, numerator: tuple[str, ...], denominator: tuple[str, ...]) -> Array:
    """Moles of one group of oxides per mole of another, shape (n,); nan where the second is absent."""
    top = moles[:, [INDEX[s] for s in numerator]].sum(axis=1)
    bottom = moles[:, [INDEX[s] for s in denominator]].sum(axis=1)
    return np.divide(top, bottom, out=np.full_like(top, np.nan), where=bottom > 0)


def silica_alumina(moles: Array) -> Array:
    """Moles SiO2 per mole Al2O3, shape (n,)."""
    return ratio(moles, ("SiO2",), ("Al2O3",))


def alkali_fraction(moles: Array, convention: Convention) -> Array:
    """Share of the alkalis R2O in the flux sum, shape (n,); the rest is RO."""
    total = moles @ convention.mask
    alkalis = moles[:, [INDEX[s] for s in ALKALIS]].sum(axis=1)
    return np.divide(alkalis, total, out=np.full_like(total, np.nan), where=total > 0)


# Materials become rows of arrays: analyses and mineral formulas in, moles per gram out.


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
