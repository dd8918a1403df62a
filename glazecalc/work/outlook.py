"""What to expect of many compositions at once on one clay at one cone: the chances that a change of recipe moves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import Composition
from glazecalc.models.additive import additive_expansion
from glazecalc.models.body import known_body
from glazecalc.models.normal import NINETY
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
    slope = _expansion_slope(origin)

    def look(composition: Composition) -> Forecast:
        fractions = composition.mole_fractions
        expansion = additive_expansion("appen", fractions)
        centre = (expansion.low + expansion.high) / 2.0
        sigma = np.hypot((expansion.high - expansion.low) / (2 * NINETY), analysis_sigma(composition, slope))
        one = np.ones(len(centre))
        if clay is None:
            return Forecast(expansion.value, one, 0 * one, 0 * one, one, one, ~expansion.extrapolated)
        fit = fit_arrays(centre, sigma, None, None, clay)
        return Forecast(
            expansion.value, fit.sound_probability, fit.crazing_probability, fit.shivering_probability,
            one, one, ~expansion.extrapolated,
        )  # fmt: skip

    return look


def _expansion_slope(origin: Composition) -> Array:
    """How the expansion changes with the moles of each oxide where their sum is one [1e-6/K per mol], (k,)."""
    fractions = origin.mole_fractions[:1]
    present = np.flatnonzero(origin.moles_sd[0] > 0)
    step = 1e-4
    moved = fractions + step * np.eye(fractions.shape[1])[present]
    values = additive_expansion("appen", np.vstack([fractions, moved / moved.sum(axis=1, keepdims=True)])).value
    slope = np.zeros(fractions.shape[1])
    slope[present] = (values[1:] - values[0]) / step
    return slope


def analysis_sigma(composition: Composition, slope: Array) -> Array:
    """Standard deviation that the spread of the materials' analyses gives the expansion [1e-6/K], (n,)."""
    total = np.maximum(composition.moles.sum(axis=1, keepdims=True), 1e-30)
    return np.asarray(np.sqrt(((slope * composition.moles_sd / total) ** 2).sum(axis=1)))
