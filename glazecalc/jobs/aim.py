"""What a change of recipe is asked to do, as one number to make small.

The number is the squared distance in character [noticeable steps squared], plus a steep price for every goal that
is missed, plus a trifle for every part moved so that of two equal ways the shorter is taken. Goals are chances, so
what is not known of glaze, clay and analyses counts: a chance of sound moves with the spread as well as the middle.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import COLOURING, Composition, vector
from glazecalc.jobs.character import character_point, log_silica_to_alumina
from glazecalc.jobs.estimates import expansion_sigma, firing_range_of, firing_secants
from glazecalc.jobs.fit import fit_arrays
from glazecalc.jobs.palette import Palette
from glazecalc.jobs.setup import Setup
from glazecalc.models.body import known_body
from glazecalc.models.coat import on_ware, setting_temperature
from glazecalc.models.cones import temperature_degC
from glazecalc.models.expansion import expansion, expansion_slopes
from glazecalc.models.firing import SURE, maturity
from glazecalc.models.surface import youngs_modulus
from glazecalc.models.viscosity import viscosity_curves
from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.arrays import Array
from glazecalc.values.oxides import INDEX
from glazecalc.values.results.adjust import Goals
from glazecalc.values.texts import phrase

PRICE_OF_A_MISS: Final = 1000.0
"""Price of a goal missed by one unit of log-odds [noticeable steps squared]."""
ABOVE: Final = 0.001
"""A search aims this much above a level, so that rounding to what can be weighed does not fall below it."""
PRICE_UNKNOWN: Final = 1e6
PRICE_OF_MOVING: Final = 2e-4
"""Price of moving a material by one part in a hundred of base [noticeable steps squared, goes by the square]."""
CLAY_STEP: Final = 3.0
"""Clay beyond what keeps the slip well [parts per 100 of base] that counts as one noticeable step."""
SILICA_TO_ALUMINA: Final = (4.3, 17.9)
"""Moles of silica to one of alumina in the middle nine tenths of the measured glasses of the glaze core that the
expansion is fitted to (3145 glasses, ``tests/published/sciglass``)."""
PRICE_OUTSIDE: Final = 200.0
"""Root of the price of a silica to alumina ratio e times outside that range [noticeable steps]."""
INSIDE: Final = 0.02
"""A search keeps this far inside the range [natural logarithm], so that rounding does not leave it."""
SURFACE_OXIDES: Final = ("Al2O3", "MgO", "ZnO", "BaO", "TiO2", "B2O3")
_TINY: Final = 1e-12


WORTH_A_ROUNDER_NUMBER: Final = 0.05
"""Rounder numbers may cost this share of the objective more, and 0.02 squared steps."""


def about_as_good(objective: float, best: float) -> bool:
    """Whether rounder numbers at ``objective`` are worth what they cost beside the ``best``."""
    return objective <= best * (1 + WORTH_A_ROUNDER_NUMBER) + 0.02


def log_odds(chance: Array) -> Array:
    """Log-odds of chances, finite at 0 and 1."""
    held = np.clip(chance, _TINY, 1.0 - _TINY)
    return np.asarray(np.log(held) - np.log1p(-held))


@dataclass(frozen=True, slots=True, eq=False)
class Aim:
    """A palette, the outlook on its mixtures, the goals, and the character to keep.

    ``origin`` (k + 2,) is the character of the recipe as it is; ``weight`` (k + 2,) counts what is to be kept most.
    ``ratios`` are the ends of what silica to alumina may be at no price [natural logarithm].
    """

    palette: Palette
    outlook: Outlook
    goals: Goals
    origin: Array
    weight: Array
    ratios: tuple[float, float]

    def forecast(self, amounts: Array) -> Forecast:
        """The outlook on rows of amounts (n, m)."""
        return self.outlook(self.palette.composition(amounts))

    def objective(self, amounts: Array) -> Array:
        """The number to make small, for rows of amounts (n, m), (n,)."""
        return self.judged(amounts)[0]

    def met(self, amounts: Array) -> NDArray[np.bool_]:
        """Whether rows of amounts (n, m) meet every goal inside what the models know, (n,)."""
        return self.judged(amounts)[1]

    def judged(self, amounts: Array) -> tuple[Array, NDArray[np.bool_]]:
        """The number to make small and whether every goal is met, (n,) each, for rows of amounts (n, m)."""
        composition = self.palette.composition(amounts)
        forecast = self.outlook(composition)
        missed = np.maximum(-self._margins(forecast), 0.0).sum(axis=1)
        cost = (self._residuals(amounts, composition.moles) ** 2).sum(axis=1)
        met = np.all([*(chance >= level for chance, level in self._asked(forecast)), forecast.known], axis=0)
        return cost + PRICE_OF_A_MISS * missed + PRICE_UNKNOWN * ~forecast.known, np.asarray(met)

    def parts(self, amounts: Array) -> tuple[Array, Array]:
        """What rows of amounts (n, m) cost apart from missed goals, as parts to be squared and summed (n, k+4+m), and
        how far each of the g goals that are asked is met [log-odds], aimed a little above its level (n, g)."""
        composition = self.palette.composition(amounts)
        return self._residuals(amounts, composition.moles), self._margins(self.outlook(composition))

    def _residuals(self, amounts: Array, moles: Array) -> Array:
        moved = (np.atleast_2d(amounts) - self.palette.start) * (100.0 / self.palette.base_total)
        away = character_point(moles) - self.origin
        ratio, (low, high) = log_silica_to_alumina(moles), self.ratios
        outside = PRICE_OUTSIDE * np.maximum(0.0, np.maximum(low - ratio, ratio - high))[:, None]
        clay = self.palette.clay_off(amounts)[:, None] / CLAY_STEP
        return np.hstack([np.sqrt(self.weight) * away, np.sqrt(PRICE_OF_MOVING) * moved, clay, outside])

    def _margins(self, forecast: Forecast) -> Array:
        margins = [
            log_odds(chance) - log_odds(np.array(min(level + ABOVE, 0.9999))) for chance, level in self._asked(forecast)
        ]
        return np.array(margins).reshape(len(margins), len(forecast.sound)).T

    def _asked(self, forecast: Forecast) -> list[tuple[Array, float]]:
        """Of each goal that is asked its chance (n,), and the level it must reach [fraction]."""
        fit = [(forecast.sound, self.goals.sound)] if self.goals.fit else []
        return [*fit, *([(forecast.matures, self.goals.matures)] if self.goals.melt else [])]


def aim_at(palette: Palette, outlook: Outlook, goals: Goals, keep: tuple[str, ...] = ()) -> Aim:
    """The aim for a palette; ``keep`` may name ``surface`` or ``colour``, which then count three times as much."""
    moles = palette.composition(palette.start).moles
    origin = character_point(moles)[0]
    weight = np.ones_like(origin)
    if "surface" in keep:
        weight[[INDEX[s] for s in SURFACE_OXIDES]] = 9.0
        weight[-2:] = 9.0
    if "colour" in keep:
        weight[[*np.flatnonzero(COLOURING), INDEX["ZnO"], INDEX["MgO"], INDEX["BaO"], INDEX["B2O3"]]] = 9.0
    own = float(log_silica_to_alumina(moles)[0])
    low, high = np.log(SILICA_TO_ALUMINA[0]) + INSIDE, np.log(SILICA_TO_ALUMINA[1]) - INSIDE
    return Aim(palette, outlook, goals, origin, weight, (min(low, own), max(high, own)))


# What to expect of many compositions at once on one clay at one cone: the chances that a change of recipe moves.


@dataclass(frozen=True, slots=True, eq=False)
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
        fractions, sd = composition.mole_fractions, composition.relative_sd
        bulk = expansion(fractions)
        figured = np.isfinite(bulk.value)
        if not figured.all():
            fractions = np.where(figured[:, None], fractions, PLAIN_GLASS)
            bulk = expansion(fractions)
        curves, hoped, feared = viscosity_curves(fractions), np.ones(len(fractions)), np.zeros(len(fractions))
        fit = melt = (hoped, feared, feared)
        known = figured & ~bulk.extrapolated
        if clay is not None:
            sigma = np.hypot(bulk.sigma, expansion_sigma(fractions, sd, slopes))
            coat, doubt = on_ware(bulk.value, sigma, fractions)
            top, top_sigma = setting_temperature(curves.glass.value, curves.glass.sigma)
            stiffness = youngs_modulus(fractions)
            modulus = np.where(stiffness.extrapolated, np.nan, stiffness.value)
            fitted = fit_arrays(coat, doubt, top, modulus, clay, set_sigma_K=top_sigma)
            fit = fitted.sound_probability, fitted.crazing_probability, fitted.shivering_probability
            known = known & ~curves.glass.extrapolated
        if peak_degC is not None:
            chances = maturity(firing_range_of(fractions, sd, firing_slopes, curves), peak_degC)
            melt = chances.matures, chances.underfired, chances.runs
            known = known & ~chances.extrapolated
        return Forecast(bulk.value, *fit, *melt, known)

    return look


# What a changed recipe is asked to do, in words and as chances.


def goals_of(setup: Setup, keep: tuple[str, ...] = ()) -> Goals:
    """The goals of one setting.

    Raises ProblemsError if there is neither a clay to fit nor a cone to melt at.
    """
    fit, melt = setup.body is not None, setup.cone is not None
    if not fit and not melt:
        message = "there is no clay to fit and no cone to melt at, so nothing to aim for"
        hint = phrase("name a clay| with --body|, or a cone| with --cone|")
        raise ProblemsError([error("no-goal", message, hint)])
    words = []
    if setup.body is not None:
        words.append(f"sound on {setup.body.name} with a chance of at least {setup.limits.sound_percent:g} %")
    if melt:
        words.append(f"matures at cone {setup.cone} with at least {100 * SURE:.0f} %, neither underfired nor running")
    words.append(f"keeps its {' and '.join(keep)} first" if keep else "keeps its character as near as can be")
    return Goals(sound=setup.limits.sound_percent / 100.0, matures=SURE, fit=fit, melt=melt, words=tuple(words))
