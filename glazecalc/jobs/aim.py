"""What a change of recipe is asked to do, as one number to make small.

The number is the squared distance in character [noticeable steps squared], plus a steep price for every goal that
is missed, plus a trifle for every part moved so that of two equal ways the shorter is taken. Goals are chances, so
what is not known of glaze, clay and analyses counts: a chance of sound moves with the spread as well as the middle.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.jobs.character import character_point, log_silica_to_alumina
from glazecalc.jobs.outlook import Forecast, Outlook
from glazecalc.jobs.palette import Palette
from glazecalc.values.arrays import Array
from glazecalc.values.results.adjust import Goals

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


def log_odds(chance: Array) -> Array:
    """Log-odds of chances, finite at 0 and 1."""
    held = np.clip(chance, _TINY, 1.0 - _TINY)
    return np.asarray(np.log(held) - np.log1p(-held))


@dataclass(frozen=True, slots=True)
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

    def asked(self, forecast: Forecast) -> tuple[tuple[bool, Array, float], ...]:
        """The two goals: whether each is asked, its chance (n,), and the level it must reach [fraction]."""
        return (
            (self.goals.fit, forecast.sound, self.goals.sound),
            (self.goals.melt, forecast.matures, self.goals.matures),
        )

    def margins(self, forecast: Forecast) -> Array:
        """How far each goal is met [log-odds], (n, 2), aimed a little above its level; not asked is +inf."""
        columns = [
            log_odds(chance) - log_odds(np.array(min(level + ABOVE, 0.9999)))
            if wanted
            else np.full(len(chance), np.inf)
            for wanted, chance, level in self.asked(forecast)
        ]
        return np.column_stack(columns)

    def residuals(self, amounts: Array) -> Array:
        """What rows of amounts (n, m) cost apart from missed goals, as parts to be squared and summed: (n, k+4+m)."""
        return self._residuals(amounts, self.palette.composition(amounts).moles)

    def _residuals(self, amounts: Array, moles: Array) -> Array:
        moved = (np.atleast_2d(amounts) - self.palette.start) * (100.0 / self.palette.base_total)
        away = character_point(moles) - self.origin
        outside = PRICE_OUTSIDE * self._outside(moles)[:, None]
        clay = self.palette.clay_off(amounts)[:, None] / CLAY_STEP
        return np.hstack([np.sqrt(self.weight) * away, np.sqrt(PRICE_OF_MOVING) * moved, clay, outside])

    def _outside(self, moles: Array) -> Array:
        """How far silica to alumina is beyond both fitted glazes and the recipe as it is [natural logarithm], (n,)."""
        found, (low, high) = log_silica_to_alumina(moles), self.ratios
        return np.asarray(np.maximum(0.0, np.maximum(low - found, found - high)))

    def forecast(self, amounts: Array) -> Forecast:
        """The outlook on rows of amounts (n, m)."""
        return self.outlook(self.palette.composition(amounts))

    def objective(self, amounts: Array) -> Array:
        """The number to make small, for rows of amounts (n, m), (n,)."""
        return self.judged(amounts)[0]

    def met(self, amounts: Array) -> NDArray[np.bool_]:
        """Whether rows of amounts (n, m) meet every goal inside what the models know, (n,)."""
        return self._met(self.forecast(amounts))

    def judged(self, amounts: Array) -> tuple[Array, NDArray[np.bool_]]:
        """The number to make small and whether every goal is met, (n,) each, for rows of amounts (n, m)."""
        composition = self.palette.composition(amounts)
        forecast = self.outlook(composition)
        missed = np.maximum(-self.margins(forecast), 0.0).sum(axis=1)
        cost = (self._residuals(amounts, composition.moles) ** 2).sum(axis=1)
        return cost + PRICE_OF_A_MISS * missed + PRICE_UNKNOWN * ~forecast.known, self._met(forecast)

    def parts(self, amounts: Array) -> tuple[Array, Array]:
        """The :meth:`residuals` and the :meth:`margins` of rows of amounts (n, m)."""
        composition = self.palette.composition(amounts)
        return self._residuals(amounts, composition.moles), self.margins(self.outlook(composition))

    def _met(self, forecast: Forecast) -> NDArray[np.bool_]:
        held = [chance >= level for wanted, chance, level in self.asked(forecast) if wanted]
        return np.asarray(np.all([*held, forecast.known], axis=0))


def aim_at(palette: Palette, outlook: Outlook, goals: Goals, keep: tuple[str, ...] = ()) -> Aim:
    """The aim for a palette; ``keep`` may name ``surface`` or ``colour``, which then count three times as much."""
    from glazecalc.values.oxides import INDEX, OXIDE_TABLE, Role

    moles = palette.composition(palette.start).moles
    origin = character_point(moles)[0]
    weight = np.ones_like(origin)
    if "surface" in keep:
        weight[[INDEX[s] for s in SURFACE_OXIDES]] = 9.0
        weight[-2:] = 9.0
    if "colour" in keep:
        strong = [INDEX[o.symbol] for o in OXIDE_TABLE if o.role in (Role.COLOURANT, Role.OPACIFIER)]
        weight[[*strong, INDEX["ZnO"], INDEX["MgO"], INDEX["BaO"], INDEX["B2O3"]]] = 9.0
    own = float(log_silica_to_alumina(moles)[0])
    low, high = np.log(SILICA_TO_ALUMINA[0]) + INSIDE, np.log(SILICA_TO_ALUMINA[1]) - INSIDE
    return Aim(palette, outlook, goals, origin, weight, (min(low, own), max(high, own)))
