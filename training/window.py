"""Set the firing window from fired glazes: published ones, and judgements of practice on generic ones.

``fired_glazes.csv`` holds what was found at a peak: ``sound``, ``stiff`` or ``fluid``. ``practice_outcomes.csv`` holds
in ``matures`` the chance that a generic glaze is well melted at its cone (judgements from memory of the trade). Both
ends are where one in twenty of the sound glazes lies beyond, so that the range between them holds the cone of nine in
ten.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from glazecalc.models.cones import temperature_degC
from glazecalc.models.filler import stiffened
from glazecalc.models.firing import crystal_formers, feldspathic
from glazecalc.models.surface import liquidus_temperature
from glazecalc.models.viscosity import log_viscosity_on, viscosity_curves
from glazecalc.values.cones import Cone
from glazecalc.values.data import read_csv
from glazecalc.values.oxides import INDEX, SYMBOLS
from training.data import Array, Mask

FIRED: Final = Path(__file__).parent / "fired_glazes.csv"
JUDGED: Final = Path(__file__).parent / "practice_outcomes.csv"
RATE_DEGC_PER_H: Final = 60.0
BEYOND: Final = 0.05
"""Share of sound glazes beyond each end."""
_MOST_CRYSTALS: Final = 2.6
"""Volume share for each mole fraction of formers at which the richest melts no longer flow."""
_FELDSPAR: Final = 0.5
"""Least of :func:`feldspathic` of the glazes that tell how much stiffer feldspar may be."""


def fired_glazes() -> tuple[list[dict[str, str]], Array, Array]:
    """The rows, their compositions (n, k) and their peak temperatures [degC], a cone being taken at 60 degC/h."""
    rows = list(read_csv(FIRED))
    x = np.zeros((len(rows), len(SYMBOLS)))
    peak = np.empty(len(rows))
    for i, row in enumerate(rows):
        for column, text in row.items():
            if column.endswith("_mole_percent"):
                x[i, INDEX[column.removesuffix("_mole_percent")]] = float(text or 0.0)
        peak[i] = float(row["peak_degC"]) if row["peak_degC"] else temperature_degC(Cone(row["cone"]), RATE_DEGC_PER_H)
    return rows, x / x.sum(axis=1, keepdims=True), peak


def judged_glazes() -> tuple[list[dict[str, str]], Array, Array]:
    """The rows of the judgements with a chance of being well melted, compositions (n, k) and cones in degC."""
    from glazecalc.api import shelf
    from training.practice import composed

    rows = [row for row in read_csv(JUDGED) if row["matures"]]
    pantry, found = shelf(), []
    for row in rows:
        found.append(composed(row, pantry).mole_fractions[0])
    peak = np.array([temperature_degC(Cone.parse(row["cone"]), RATE_DEGC_PER_H) for row in rows])
    x = np.array(found)
    return rows, x / x.sum(axis=1, keepdims=True), peak


@dataclass(frozen=True, slots=True, eq=False)
class Fired:
    """Glazes at their peaks, each (n,).

    ``level`` is the log10 viscosity there and ``sigma`` its deviation by the model; ``sound``, ``stiff`` and ``fluid``
    are the chances of each; ``feldspar`` and ``formers`` are those of the model, ``white`` how much grains stiffen it;
    ``above`` is the cool end of the liquidus less the peak [K]; glazes of one base are one ``group``.
    """

    ids: tuple[str, ...]
    level: Array
    sigma: Array
    sound: Array
    stiff: Array
    fluid: Array
    feldspar: Array
    formers: Array
    white: Array
    above: Array
    group: NDArray[np.intp]


def fired() -> Fired:
    """All glazes that the models know."""
    rows, x, peak = fired_glazes()
    judged, y, judged_peak = judged_glazes()
    both, at = np.vstack([x, y]), np.concatenate([peak, judged_peak])
    curves = viscosity_curves(both)
    found, liquidus = log_viscosity_on(curves, at), liquidus_temperature(both)
    result = np.array([row["result"] for row in rows])
    matures = np.array([float(row["matures"]) for row in judged])
    none = np.zeros(len(judged))
    groups = [*(row["id"] for row in rows), *(row["base"] for row in judged)]
    above = np.where(liquidus.extrapolated, -np.inf, liquidus.low - at)
    known = ~curves.extrapolated
    data = (
        found.value, found.sigma, np.concatenate([result == "sound", matures]),
        np.concatenate([result == "stiff", none]), np.concatenate([result == "fluid", none]),
        feldspathic(both), crystal_formers(both), curves.stiffer, above, np.unique(groups, return_inverse=True)[1],
    )  # fmt: skip
    ids = np.array([row["id"] for row in (*rows, *judged)])[known]
    return Fired(tuple(ids.tolist()), *(np.asarray(part)[known] for part in data))


def _weighted_quantile(values: Array, weight: Array, share: float) -> float:
    order = np.argsort(values)
    heap = np.cumsum(weight[order]) - 0.5 * weight[order]
    return float(np.interp(share * weight.sum(), heap, values[order]))


def _weighted_slope(x: Array, y: Array, weight: Array) -> float:
    """Slope of the straight line through ``y`` over ``x``."""
    middle = float(np.average(x, weights=weight))
    away = (x - middle) * weight
    return float((away * y).sum() / (away * (x - middle)).sum())


def _crystals(formers: Array, level: Array, weight: Array) -> float:
    """Volume share of crystals, for each mole fraction of their formers, with which melt and crystals of sound glazes
    together are as stiff whether they have many or none."""

    def tilt(share: float) -> float:
        return _weighted_slope(formers, level + stiffened(share * formers), weight)

    if tilt(0.0) >= 0.0:
        return 0.0
    return float(brentq(tilt, 0.0, _MOST_CRYSTALS)) if tilt(_MOST_CRYSTALS) > 0.0 else _MOST_CRYSTALS


def ends(data: Fired, use: Mask) -> dict[str, float]:
    """The window on the glazes that ``use`` marks, rounded as it is kept.

    The doubt of an end is half the width of the middle 68 % of the sound glazes.
    """
    alone = data.feldspar >= _FELDSPAR
    usual, sound = use & ~alone, np.where(use, data.sound, 0.0)
    stiff = _weighted_quantile(data.level[usual], sound[usual], 1.0 - BEYOND)
    crystals = round(_crystals(data.formers[usual], data.level[usual], sound[usual]), 2)
    held = data.level + stiffened(crystals * data.formers)
    fluid = _weighted_quantile(held[use], sound[use], BEYOND)
    rich = use & alone & (data.sound > 0.5)
    more = (data.level[rich] - stiff) / data.feldspar[rich]
    feldspar = float(np.quantile(more, 1.0 - BEYOND)) if rich.any() else 0.0
    below = max(0.0, _weighted_quantile(np.maximum(data.above[use], -1e3), sound[use], 1.0 - BEYOND))
    middle = [_weighted_quantile(held[usual], sound[usual], 0.5 + part) for part in (-0.34, 0.34)]
    return {
        "stiff_end": round(stiff, 2),
        "fluid_end": round(fluid, 2),
        "doubt": round(0.5 * (middle[1] - middle[0]), 2),
        "feldspathic": round(feldspar, 2),
        "below_liquidus": round(below, 0),
        "crystals": crystals,
    }


def coverage(data: Fired) -> dict[str, Any]:
    """Share of the sound glazes whose cone lies between the ends, fitted with and without their own group.

    ``by_surface`` counts them, and those inside without their own group, by surface.

    Sound are those found sound or judged at least 60 % likely to be well melted.
    """
    sound = data.sound >= 0.6
    inside, outside = np.zeros(len(sound), dtype=bool), np.zeros(len(sound), dtype=bool)
    every = np.ones(len(sound), dtype=bool)
    inside = _between(data, ends(data, every))
    for group in np.unique(data.group):
        mine = data.group == group
        outside[mine] = _between(data, ends(data, ~mine))[mine]
    return {
        "glazes": int(sound.sum()),
        "inside": round(float(inside[sound].mean()), 3),
        "inside_left_out": round(float(outside[sound].mean()), 3),
        "by_surface": {
            name: [int((sound & kind).sum()), int((outside & sound & kind).sum())]
            for name, kind in surfaces(data).items()
        },
    }


_MATTE: Final = 0.05
"""Crystal formers from which a glaze counts to those that crystals make matte or dark [mole fraction above 0.15]."""


def surfaces(data: Fired) -> dict[str, Mask]:
    """The glazes by what their composition makes of their surface; every glaze is in one of them."""
    feldspar, white = data.feldspar >= _FELDSPAR, data.white > 0.0
    matte = (data.formers >= _MATTE) & ~white & ~feldspar
    return {
        "feldspar nearly alone": feldspar,
        "white with zircon or tin": white & ~feldspar,
        "matte, iron, ash or lithia": matte,
        "other, mostly glossy": ~(feldspar | white | matte),
    }


def _between(data: Fired, found: dict[str, float]) -> Mask:
    stiff = found["stiff_end"] + found["feldspathic"] * data.feldspar
    melted = data.above <= found["below_liquidus"]
    fluid = found["fluid_end"] - stiffened(found["crystals"] * data.formers)
    return np.asarray((data.level <= stiff) & (data.level >= fluid) & melted)


def window() -> dict[str, Any]:
    """Ends of the window [log10 Pa.s] and their doubt, with the glazes they rest on."""
    data = fired()
    return {
        **ends(data, np.ones(len(data.ids), dtype=bool)),
        "range": coverage(data),
        "found": {name: int((getattr(data, name) == 1.0).sum()) for name in ("sound", "stiff", "fluid")},
        "judged": int(((data.sound > 0.0) & (data.sound < 1.0)).sum()),
        "levels": {name: round(float(v), 2) for name, v in zip(data.ids, data.level, strict=True)},
    }
