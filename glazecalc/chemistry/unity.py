"""The unity molecular formula: moles of each oxide when the fluxes are brought to a sum of one (H. Seger)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.oxides import OXIDES
from glazecalc.values.oxides import ALKALIS, INDEX, OXIDE_TABLE, Role

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Convention:
    """Which oxides are counted in the sum that is brought to one. ``mask`` (k,) holds ones and zeros."""

    name: str
    text: str
    mask: Array


def _mask(symbols: set[str]) -> Array:
    mask = np.array([float(symbol in symbols) for symbol in OXIDES])
    mask.setflags(write=False)
    return mask


_FLUXES = {oxide.symbol for oxide in OXIDE_TABLE if oxide.in_flux_sum}
_COLOURANTS = {oxide.symbol for oxide in OXIDE_TABLE if oxide.role is Role.COLOURANT}

CONVENTIONS: Final[dict[str, Convention]] = {
    c.name: c
    for c in (
        Convention("customary", "all R2O and RO brought to one, colouring RO (MnO, FeO, CoO, NiO, CuO) included",
                   _mask(_FLUXES)),
        Convention("colourants-out", "R2O and RO brought to one, colouring oxides left out of the sum",
                   _mask(_FLUXES - _COLOURANTS)),
        Convention("alumina", "Al2O3 brought to one, as for clay bodies", _mask({"Al2O3"})),
    )
}  # fmt: skip


def unity(moles: Array, convention: Convention) -> Array:
    """Unity formula of each row. ``moles`` (n, k) [mol]; returns (n, k), nan rows where the sum is nil."""
    total = (moles @ convention.mask)[:, None]
    return np.divide(moles, total, out=np.full_like(moles, np.nan, dtype=float), where=total > 0)


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
