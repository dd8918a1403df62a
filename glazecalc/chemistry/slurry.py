"""Slurry, water and coat: Brongniart's relation and what follows from it.

A litre of slurry of density L [g/mL] whose solids have the density G [g/mL] holds (L - 1) G / (G - 1) g of
dry matter per mL, because solids and water take their own volumes side by side (A. Brongniart; as quoted by
M. Cardew, Pioneer Pottery, p. 269, and the Handbook for Australian Potters). The water's density is taken as
1 g/mL.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

USUAL_SOLIDS_DENSITY: Final = 2.6
"""Density of a glaze's solids where a material's own is unknown [g/mL] (Handbook for Australian Potters)."""


def dry_per_mL(slurry_density: ArrayLike, solids_density: ArrayLike) -> Array:
    """Dry matter in a slurry [g per mL], from its density and that of its solids [g/mL]; the two broadcast.

    >>> round(1000 * float(dry_per_mL(1.5, 2.5)), 1)
    833.3
    """
    density, solids = np.asarray(slurry_density, dtype=float), np.asarray(solids_density, dtype=float)
    return (density - 1) * solids / (solids - 1)


def slurry_density(dry_g_per_mL: ArrayLike, solids_density: ArrayLike) -> Array:
    """Density of a slurry [g/mL] that holds so much dry matter per mL: the inverse of :func:`dry_per_mL`."""
    solids = np.asarray(solids_density, dtype=float)
    return 1 + np.asarray(dry_g_per_mL, dtype=float) * (solids - 1) / solids


def volume_mL(dry_g: ArrayLike, specific_gravity: ArrayLike, solids_density: ArrayLike) -> Array:
    """Volume of slurry that so much dry matter makes [mL]."""
    return np.asarray(dry_g, dtype=float) / dry_per_mL(specific_gravity, solids_density)


def water_g(dry_g: ArrayLike, specific_gravity: ArrayLike, solids_density: ArrayLike) -> Array:
    """Water in the slurry that so much dry matter makes [g]."""
    dry, gravity = np.asarray(dry_g, dtype=float), np.asarray(specific_gravity, dtype=float)
    return volume_mL(dry, gravity, solids_density) * gravity - dry


def dry_in_mass(slurry_g: ArrayLike, specific_gravity: ArrayLike, solids_density: ArrayLike) -> Array:
    """Dry matter in so many grams of slurry [g]."""
    gravity = np.asarray(specific_gravity, dtype=float)
    return np.asarray(slurry_g, dtype=float) / gravity * dry_per_mL(gravity, solids_density)


def water_to_change(dry_g: float, now: float, wanted: float, solids_density: float) -> float:
    """Water to add [g] to bring a slurry from one specific gravity to another; negative: to take off."""
    return float(water_g(dry_g, wanted, solids_density) - water_g(dry_g, now, solids_density))


def mixed_density(grams: ArrayLike, densities: ArrayLike) -> tuple[float, bool]:
    """Density of mixed solids [g/mL] by their volumes, and whether every density was known.

    ``grams`` (m,) [g], ``densities`` (m,) [g/mL], nan where unknown and then taken as usual.
    """
    mass, rho = np.asarray(grams, dtype=float), np.asarray(densities, dtype=float)
    known = np.isfinite(rho) | (mass == 0)
    rho = np.where(np.isfinite(rho), rho, USUAL_SOLIDS_DENSITY)
    return float(mass.sum() / (mass / rho).sum()), bool(known.all())


def density_from_cup(empty_g: float, full_g: float, volume_mL: float) -> float:
    """Density of a slurry [g/mL] from a cup weighed empty and full.

    Raises
    ------
    ValueError
        if the cup holds nothing.
    """
    if not (volume_mL > 0 and full_g > empty_g >= 0):
        raise ValueError("the full cup must weigh more than the empty one, and hold something")
    return (full_g - empty_g) / volume_mL


def density_error(empty_g: float, full_g: float, volume_mL: float, step_g: float, volume_error_mL: float) -> float:
    """How far the density of a cup can be off [g/mL], half a scale step at each weighing and an error of the
    volume."""
    density = density_from_cup(empty_g, full_g, volume_mL)
    return math.hypot(step_g / math.sqrt(2) / volume_mL, density * volume_error_mL / volume_mL)


def coat_grams(area_cm2: float, coat_mm: float, packing: float, solids_density: float) -> float:
    """Dry glaze on an area [g]: thickness of the dry coat times the share of it that is solid times its
    density."""
    return area_cm2 * coat_mm / 10 * packing * solids_density


def fired_thickness_mm(dry_g_per_cm2: float, loss_on_ignition_percent: float, glass_density: float) -> float:
    """Thickness of the fired coat [mm] that so much dry glaze per cm2 melts down to."""
    return 10 * dry_g_per_cm2 * (1 - loss_on_ignition_percent / 100) / glass_density


def dip_volume_mL(width_mm: float, level_mm: float, displaced_mL: float) -> float:
    """Slurry [mL] in a round pot that stands at ``level_mm`` once a piece that displaces so much is under."""
    return math.pi / 4 * width_mm**2 * level_mm / 1000 - displaced_mL


def weighed_moist(dry_g: float, moisture_percent: float) -> float:
    """What to weigh [g] of a damp material for so much of it dry; moisture in % of the dry weight.

    The convention of H. Norsker, J. Danisch, Glazes for the Self-reliant Potter (GTZ, 1993), section 16.3.1.

    >>> round(weighed_moist(3500.0, 8.7), 1)
    3804.5
    """
    return dry_g * (1 + moisture_percent / 100)
