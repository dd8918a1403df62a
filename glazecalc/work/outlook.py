"""What to expect of many compositions at once on one clay at one cone: the chances that a change of recipe moves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import Composition
from glazecalc.models.body import known_body
from glazecalc.models.expansion import expansion
from glazecalc.models.layer import setting_temperature
from glazecalc.models.modulus import youngs_modulus
from glazecalc.models.transition import transition_temperature
from glazecalc.work.fit import fit_arrays
from glazecalc.work.setting import Setting

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Forecast:
    """For n compositions: expansion [1e-6/K] and chances [fraction], each (n,).

    ``melts``: fluid enough at the cone; ``stays``: not so fluid that it runs. ``known`` is False where a model would
    have to extrapolate. Chances that were not asked for are one.
    """

    expansion: Array
    sound: Array
    crazes: Array
    shivers: Array
    melts: Array
    stays: Array
    known: NDArray[np.bool_]


MELTING_IS_ESTIMATED = False
"""Whether a model says from the composition where a glaze matures; without one, melting is not a goal."""
Outlook = Callable[[Composition], Forecast]
"""Forecasts of n compositions."""


def outlook_of(setting: Setting, origin: Composition) -> Outlook:
    """The outlook of one setting by the models that `check` uses; compositions are taken to be near ``origin``."""
    clay = None if setting.body is None else known_body(setting.body, setting.cone, setting.learned, setting.reasoned)
    slope = expansion_slope(origin)

    def look(composition: Composition) -> Forecast:
        fractions = composition.mole_fractions
        value = expansion(fractions)
        sigma = np.hypot(value.sigma, analysis_sigma(composition, slope))
        nil = np.zeros(len(sigma))
        if clay is None:
            return Forecast(value.value, nil + 1, nil, nil, nil + 1, nil + 1, ~value.extrapolated)
        transition = transition_temperature(fractions)
        top, top_sigma = setting_temperature(transition.value, transition.sigma)
        stiffness = youngs_modulus(fractions).value
        fit = fit_arrays(value.value, sigma, top, stiffness, clay, set_sigma_K=top_sigma)
        return Forecast(
            value.value,
            fit.sound_probability,
            fit.crazing_probability,
            fit.shivering_probability,
            nil + 1,
            nil + 1,
            ~(value.extrapolated | transition.extrapolated),
        )

    return look


def expansion_slope(origin: Composition) -> Array:
    """How the expansion changes with the moles of each oxide where their sum is one [1e-6/K per mol], (k,)."""
    fractions = origin.mole_fractions[:1]
    present = np.flatnonzero(origin.moles_sd[0] > 0)
    step = 1e-4
    moved = fractions + step * np.eye(fractions.shape[1])[present]
    values = expansion(np.vstack([fractions, moved / moved.sum(axis=1, keepdims=True)])).value
    slope = np.zeros(fractions.shape[1])
    slope[present] = (values[1:] - values[0]) / step
    return slope


def analysis_sigma(composition: Composition, slope: Array) -> Array:
    """Standard deviation that the spread of the materials' analyses gives the expansion [1e-6/K], (n,)."""
    total = np.maximum(composition.moles.sum(axis=1), 1e-30)
    return np.asarray(np.sqrt(composition.moles_sd**2 @ slope**2) / total)
