"""Kilns led along their recorded firings, all of them in one run: full power where the elements were on all the time,
along the record before and after.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.heat_work import heat_law, softening_rate
from glazecalc.models.kiln import Flows, KilnModel, cold, longest_step_h
from glazecalc.values.cones import Cone

if TYPE_CHECKING:
    from glazecalc.models.kiln_fit import FiringCurve

Array = NDArray[np.float64]

MOST_STEPS: Final = 800
"""A firing is followed in no more steps than this; a kiln far from any that can be is then followed roughly."""
_AS_LED_W: Final = 1e9
"""Where the record leads, it was reached, whatever power the model has [W]."""


def along_records(models: Sequence[KilnModel], firings: Sequence[FiringCurve]) -> list[tuple[Array, Array]]:
    """Hours (m,) and chamber temperature (m, r) [degC] of each kiln in its own firing.

    Each of ``models`` holds the same number r of draws. All take the same number of steps, a short firing shorter
    ones.
    """
    grids = _grids(models, firings)
    r = len(models[0].power_W)
    model = _joined(models)
    want = np.array([np.interp(g, f.hours, f.degC) for g, f in zip(grids, firings, strict=True)])
    ends = zip(grids[:, 1:], firings, strict=True)
    led = np.array([(g <= f.flat_out_h + 1e-9) | (g > f.until_h + 1e-9) for g, f in ends])
    seconds = np.repeat(np.diff(grids, axis=1) * 3600.0, r, axis=0).T
    want, led = np.repeat(want, r, axis=0).T, np.repeat(led, r, axis=0).T
    places, flows = cold(model), Flows(model)
    places[0] = want[0]
    chamber = np.empty((grids.shape[1], len(model.power_W)))
    chamber[0] = places[0]
    for i, (step, along) in enumerate(zip(seconds, led, strict=True)):
        flows.most_W = np.where(along, _AS_LED_W, model.power_W)
        rate = np.where(along, (want[i + 1] - places[0]) / np.maximum(step, 1e-9), np.inf)
        places = flows.step(places, step, rate)[0]
        chamber[i + 1] = places[0]
    parts = np.split(chamber, len(models), axis=1)
    return list(zip(grids, parts, strict=True))


def _grids(models: Sequence[KilnModel], firings: Sequence[FiringCurve]) -> Array:
    """Moments of each firing [h], shape (firings, m); steps of no length fill up at the end."""
    grids = []
    for model, firing in zip(models, firings, strict=True):
        end = end_of(firing)
        longest = max(longest_step_h(model), end / MOST_STEPS)
        turns = sorted({0.0, min(firing.flat_out_h, end), min(firing.until_h, end), end})
        grid = [0.0]
        for a, b in pairwise(turns):
            grid += np.linspace(a, b, max(1, int(np.ceil((b - a) / longest))) + 1)[1:].tolist()
        grids.append(grid)
    most = max(len(g) for g in grids)
    return np.array([g + [g[-1]] * (most - len(g)) for g in grids])


def longest_followed_h(model: KilnModel) -> float:
    """The longest firing that is followed well in ``MOST_STEPS`` [h]."""
    return MOST_STEPS * longest_step_h(model)


def end_of(firing: FiringCurve) -> float:
    """Hour to which a firing is followed."""
    return max(firing.end_h or 0.0, firing.hours[-1])


def _joined(models: Sequence[KilnModel]) -> KilnModel:
    """All draws of all models as one."""
    one = models[0]
    arrays = {
        f.name: np.concatenate([getattr(m, f.name) for m in models])
        for f in fields(KilnModel)
        if isinstance(getattr(one, f.name), np.ndarray)
    }
    return KilnModel(**arrays, k0=one.k0, k1=one.k1)


def read_at(at_h: Array, hours: Array, chamber_degC: Array) -> Array:
    """Chamber temperature at the hours ``at_h``, shape (r, len(at_h))."""
    columns = [np.interp(at_h, hours, column) for column in chamber_degC.T]
    return np.array(columns).reshape(chamber_degC.shape[1], len(at_h))


def log_heat_of(hours: Array, chamber_degC: Array, cones: tuple[Cone, ...]) -> Array:
    """ln of the share of each cone's bend done at the end, shape (r, cones)."""
    rate = softening_rate(heat_law().take(cones), np.minimum(chamber_degC, 1600.0))
    heat = np.sum(0.5 * (rate[1:] + rate[:-1]) * np.diff(hours)[:, None, None], axis=0)
    return np.asarray(np.log(heat + 1e-300))
