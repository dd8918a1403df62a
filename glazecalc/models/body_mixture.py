"""A clay body from its fired composition: how much glass, mullite and free quartz, and a rough expansion.

Rule of mixture. The fluxes go into a glass of eutectic composition, taking alumina and silica with them;
what alumina is left makes mullite (3 Al2O3, 2 SiO2); what silica is left is free quartz. The expansion is
the sum over volume shares, with quartz acting only in part. Figures and their sources are in
``materials/body_mixture.csv``. The rule is meant for bodies fired until their feldspar has melted (about
cone 2 and up); it is never better than ``typical``."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.oxides import MOLAR_MASSES, OXIDES
from glazecalc.models.additive import appen
from glazecalc.models.layer import rise
from glazecalc.values.data import read_table
from glazecalc.values.oxides import ALKALINE_EARTHS, ALKALIS, INDEX

Array = NDArray[np.float64]

_APPEN_TO_DEGC: Final = 400.0
_BODY_TO_DEGC: Final = 600.0


@cache
def mixture_figure(name: str) -> tuple[float, float, float]:
    """Value, low and high of a row of the table of the rule. Raises KeyError for an unknown name."""
    row = {row["name"]: row for row in read_table("body_mixture")}[name]
    return float(row["value"]), float(row["low"]), float(row["high"])


@dataclass(frozen=True, slots=True)
class Phases:
    """Shares by volume [fraction], each (n,), and the glass as mole fractions (n, k)."""

    glass: Array
    mullite: Array
    quartz: Array
    glass_moles: Array


def phases(mole_fractions: Array) -> Phases:
    """Glass, mullite and free quartz of fired bodies, ``mole_fractions`` (n, k), by the rule of mixture."""
    x = np.atleast_2d(np.asarray(mole_fractions, dtype=float))
    silica, alumina = x[:, INDEX["SiO2"]], x[:, INDEX["Al2O3"]]
    alkali = x[:, [INDEX[o] for o in ALKALIS]].sum(axis=1)
    iron = 2.0 * x[:, INDEX["Fe2O3"]] + x[:, INDEX["FeO"]]
    earth = x[:, [INDEX[o] for o in ALKALINE_EARTHS]].sum(axis=1) + iron
    wanted_alumina = _takes("alumina_per_alkali") * alkali + _takes("alumina_per_earth") * earth
    wanted_silica = _takes("silica_per_alkali") * alkali + _takes("silica_per_earth") * earth
    in_glass = np.minimum(wanted_alumina, alumina)
    mullite = np.minimum((alumina - in_glass) / 3.0, silica / 2.0)
    in_glass = alumina - 3.0 * mullite
    silica_left = silica - 2.0 * mullite
    silica_in_glass = np.minimum(wanted_silica, silica_left)
    glass = x.copy()
    glass[:, INDEX["SiO2"]], glass[:, INDEX["Al2O3"]] = silica_in_glass, in_glass
    volumes = np.array([
        glass @ MOLAR_MASSES / _takes("glass_density"),
        mullite * (3.0 * _mass("Al2O3") + 2.0 * _mass("SiO2")) / _takes("mullite_density"),
        (silica_left - silica_in_glass) * _mass("SiO2") / _takes("quartz_density"),
    ])  # fmt: skip
    shares = volumes / volumes.sum(axis=0)
    total = glass.sum(axis=1, keepdims=True)
    return Phases(shares[0], shares[1], shares[2], np.divide(glass, total, out=np.zeros_like(glass), where=total > 0))


def mixture_expansion(found: Phases) -> Array:
    """Mean expansion from 20 to 600 degC of the mixture [1e-6/K], (n,)."""
    glass = appen(found.glass_moles) * rise(_BODY_TO_DEGC) / rise(_APPEN_TO_DEGC)
    quartz = _takes("quartz_expansion") * _takes("quartz_acts")
    return np.asarray(found.glass * glass + found.mullite * _takes("mullite_expansion") + found.quartz * quartz)


def _takes(name: str) -> float:
    return mixture_figure(name)[0]


def _mass(oxide: str) -> float:
    return float(MOLAR_MASSES[OXIDES.index(oxide)])
