"""Stress in a thin coat that set on a clay at a high temperature and cooled with it.

Sign, here and everywhere: **tension is positive, compression negative**. A glaze wants to be in
compression, up to a point. Mismatch is expansion of the glaze less that of the clay, so a glaze that
shrinks more than its clay (positive mismatch) ends in tension and crazes.

Formulas: thin coat and thickness correction as in W. D. Kingery, H. K. Bowen, D. R. Uhlmann, Introduction
to Ceramics, 2nd ed. 1976, ch. 12 (from memory); curvature S. Timoshenko, J. Opt. Soc. Am. 11 (1925) 233
(from memory)."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glazecalc.models.strength import figure

Array = NDArray[np.float64]
Sides = Literal[1, 2]


def setting_temperature(transition_degC: ArrayLike, transition_sigma_K: ArrayLike = 0.0) -> tuple[Array, Array]:
    """Where the glaze begins to grip the clay on cooling: value and standard deviation [degC], shapes of
    the inputs.

    Between the transition temperature and 50 K above it (row ``set_above_transition``).
    """
    above = figure("set_above_transition")
    value = np.asarray(transition_degC, dtype=float) + above.value
    return value, np.hypot(np.asarray(transition_sigma_K, dtype=float), above.sigma)


def biaxial_modulus(modulus_GPa: ArrayLike, poisson: ArrayLike) -> Array:
    """E / (1 - nu) [GPa]: what a coat held in two directions resists with."""
    return np.asarray(modulus_GPa, dtype=float) / (1.0 - np.asarray(poisson, dtype=float))


def thin_coat_stress(glaze_biaxial_GPa: ArrayLike, mismatch_strain_1e6: ArrayLike) -> Array:
    """Stress of a coat so thin that the clay does not yield [MPa]: biaxial modulus x mismatch strain
    [1e-6].
    """
    return np.asarray(glaze_biaxial_GPa, dtype=float) * np.asarray(mismatch_strain_1e6, dtype=float) * 1e-3


def coat_stress(
    mismatch_strain_1e6: ArrayLike,
    glaze_biaxial_GPa: ArrayLike,
    body_biaxial_GPa: ArrayLike,
    coat_mm: ArrayLike,
    wall_mm: ArrayLike,
    sides: Sides = 2,
) -> Array:
    """Mean stress in a glaze coat on a wall that stays flat [MPa], tension positive.

    Balance of forces: sigma = E'g eps / (1 + s E'g hg / (E'b hb)), with ``sides`` s coats of ``coat_mm`` on
    a wall of ``wall_mm`` and the mismatch strain eps [1e-6]. The wall stays flat if it is glazed on both
    sides or closed (a cup, a tube); a plate glazed on one side bends and :func:`one_sided_stress` holds.
    Exact for any thickness and stiffness; tends to :func:`thin_coat_stress` as the coat thins."""
    glaze = np.asarray(glaze_biaxial_GPa, dtype=float)
    share = sides * glaze * np.asarray(coat_mm, dtype=float)
    share = share / (np.asarray(body_biaxial_GPa, dtype=float) * np.asarray(wall_mm, dtype=float))
    return thin_coat_stress(glaze, mismatch_strain_1e6) / (1.0 + share)


def wall_stress(coat_stress_MPa: ArrayLike, coat_mm: ArrayLike, wall_mm: ArrayLike, sides: Sides = 2) -> Array:
    """Mean stress in the clay that balances the coat [MPa]: -s sigma hg / hb."""
    ratio = np.asarray(coat_mm, dtype=float) / np.asarray(wall_mm, dtype=float)
    return -sides * np.asarray(coat_stress_MPa, dtype=float) * ratio


def curvature(
    mismatch_strain_1e6: ArrayLike,
    glaze_GPa: ArrayLike,
    body_GPa: ArrayLike,
    coat_mm: ArrayLike,
    wall_mm: ArrayLike,
) -> Array:
    """Curvature of a free strip glazed on one side [1/m], hollow on the glazed side when positive
    (Timoshenko 1925).

    kappa = 6 (1+m)^2 eps / (h [3 (1+m)^2 + (1+mn) (m^2 + 1/(mn))]), m = hg/hb, n = Eg/Eb, h = hg + hb. For
    a plate put biaxial moduli."""
    hg, hb = np.asarray(coat_mm, dtype=float), np.asarray(wall_mm, dtype=float)
    m, n = hg / hb, np.asarray(glaze_GPa, dtype=float) / np.asarray(body_GPa, dtype=float)
    strain = np.asarray(mismatch_strain_1e6, dtype=float) * 1e-6
    below = 3.0 * (1.0 + m) ** 2 + (1.0 + m * n) * (m**2 + 1.0 / (m * n))
    return 6.0 * (1.0 + m) ** 2 * strain / ((hg + hb) * 1e-3 * below)


def one_sided_stress(
    mismatch_strain_1e6: ArrayLike,
    glaze_GPa: ArrayLike,
    body_GPa: ArrayLike,
    coat_mm: ArrayLike,
    wall_mm: ArrayLike,
) -> Array:
    """Mean stress in the coat of a flat piece glazed on one side and free to bend [MPa], tension positive.

    The coat's force follows from the curvature (:func:`curvature`) by the balance of moments: F = 2 kappa
    (Dg + Db) / (hg + hb), D = E h^3 / 12 per unit width; stress = F / hg. For a plate put biaxial moduli.
    """
    hg, hb = np.asarray(coat_mm, dtype=float) * 1e-3, np.asarray(wall_mm, dtype=float) * 1e-3
    kappa = curvature(mismatch_strain_1e6, glaze_GPa, body_GPa, coat_mm, wall_mm)
    stiffness = (np.asarray(glaze_GPa, dtype=float) * hg**3 + np.asarray(body_GPa, dtype=float) * hb**3) / 12.0
    return 2.0 * kappa * stiffness / ((hg + hb) * hg) * 1e3


def glaze_strain(expansion_1e6: ArrayLike, set_degC: ArrayLike, quoted_to_degC: float = 300.0) -> Array:
    """How much a glaze shrinks from its setting temperature to the room [1e-6].

    The estimate is a mean from 20 degC to ``quoted_to_degC``; the mean to the setting temperature is higher
    by ``rise_per_K`` for each degree (row of the table, with its source)."""
    value, top = np.asarray(expansion_1e6, dtype=float), np.asarray(set_degC, dtype=float)
    return value * rise(top) / rise(quoted_to_degC) * (top - figure("room_temperature").value)


def rise(to_degC: ArrayLike) -> Array:
    """Mean expansion from 20 degC to ``to_degC`` of a glass or quartz-free clay, relative to the mean to
    300 degC.
    """
    return 1.0 + figure("rise_per_K").value * (np.asarray(to_degC, dtype=float) - 300.0)
