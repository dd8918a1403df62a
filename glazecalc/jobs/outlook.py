"""What to expect of many compositions at once on one clay at one cone: the chances that a change of recipe moves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import Composition, vector
from glazecalc.jobs.estimates import expansion_sigma, firing_range_of, firing_secants
from glazecalc.jobs.fit import fit_arrays
from glazecalc.jobs.setup import Setup
from glazecalc.models.body import BodyExpansion, known_body
from glazecalc.models.coat import on_ware, setting_temperature
from glazecalc.models.cones import temperature_degC
from glazecalc.models.expansion import expansion, expansion_slopes
from glazecalc.models.firing import FiringRange, maturity
from glazecalc.models.prediction import Prediction
from glazecalc.models.surface import youngs_modulus
from glazecalc.models.viscosity import viscosity_curves
from glazecalc.values.arrays import Array


@dataclass(frozen=True, slots=True)
class Forecast:
    """For n compositions: expansion [1e-6/K] and chances [fraction], each (n,).

    ``sound``, ``crazes`` and ``shivers`` are on the clay, ``matures``, ``underfired`` and ``runs`` at the cone; without
    a clay or a cone they are one for what is hoped and nil for what is feared. ``known`` is False where a model would
    have to extrapolate.
    """

    expansion: Array
    sound: Array
    crazes: Array
    shivers: Array
    matures: Array
    underfired: Array
    runs: Array
    known: NDArray[np.bool_]


PLAIN_GLASS = vector({"SiO2": 0.7, "CaO": 0.15, "Na2O": 0.15})
"""Stands in for a mixture without any oxide the models know, which is then marked as not known [mole fraction]."""
Outlook = Callable[[Composition], Forecast]
"""Forecasts of n compositions."""


def outlook_of(setup: Setup, origin: Composition) -> Outlook:
    """The outlook of one setting; compositions are taken to be near ``origin``.

    By the models that `check` uses, but with the clay's learned interval where `check` averages over all that its
    tiles leave open: a few percent apart.
    """
    body, cone = setup.body, setup.cone
    clay = None if body is None else known_body(body, cone, setup.learned, setup.reasoned)
    peak_degC = None if cone is None else temperature_degC(cone)
    slopes = expansion_slopes(origin.mole_fractions[:1])
    firing_slopes = firing_secants(origin.mole_fractions[:1], origin.relative_sd[:1])

    def look(composition: Composition) -> Forecast:
        fractions = composition.mole_fractions
        value = expansion(fractions)
        told = np.isfinite(value.value)
        if not told.all():
            fractions = np.where(told[:, None], fractions, PLAIN_GLASS)
            value = expansion(fractions)
        sd = composition.relative_sd
        sigma = np.hypot(value.sigma, expansion_sigma(fractions, sd, slopes))
        curves = viscosity_curves(fractions)
        sound, crazes, shivers, sure = _fit(fractions, value.value, sigma, clay, curves.glass)
        melting = firing_range_of(fractions, sd, firing_slopes, curves)
        matures, underfired, runs, melt_sure = _melt(melting, peak_degC)
        known = told & ~value.extrapolated & sure & melt_sure
        return Forecast(value.value, sound, crazes, shivers, matures, underfired, runs, known)

    return look


def _fit(
    fractions: Array, value: Array, sigma: Array, clay: BodyExpansion | None, transition: Prediction
) -> tuple[Array, Array, Array, NDArray[np.bool_]]:
    """Chances of sound, crazing and shivering on the clay, and whether the models know the glazes, each (n,)."""
    nil, yes = np.zeros(len(value)), np.ones(len(value), dtype=bool)
    if clay is None:
        return nil + 1, nil, nil, yes
    top, top_sigma = setting_temperature(transition.value, transition.sigma)
    coat, doubt = on_ware(value, sigma, fractions)
    stiffness = youngs_modulus(fractions)
    modulus = np.where(stiffness.extrapolated, np.nan, stiffness.value)
    fit = fit_arrays(coat, doubt, top, modulus, clay, set_sigma_K=top_sigma)
    return fit.sound_probability, fit.crazing_probability, fit.shivering_probability, ~transition.extrapolated


def _melt(range_: FiringRange, peak_degC: float | None) -> tuple[Array, Array, Array, NDArray[np.bool_]]:
    """Chances of maturing, being underfired and running, and whether the models know the glazes, each (n,)."""
    nil, yes = np.zeros(len(range_)), np.ones(len(range_), dtype=bool)
    if peak_degC is None:
        return nil + 1, nil, nil, yes
    found = maturity(range_, peak_degC)
    return found.matures, found.underfired, found.runs, ~found.extrapolated
