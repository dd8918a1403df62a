"""From the journal's tiles to what they say: which tiles speak of a clay, of what glaze, and why the others
do not.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.composition import from_moles, vector
from glazecalc.models.layer import setting_temperature
from glazecalc.models.normal import sigma_of
from glazecalc.models.strength import figure
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Estimate
from glazecalc.values.records import FrozenRecipe, TileRecord, TileResult
from glazecalc.work.fit import Coat
from glazecalc.work.glaze import glaze_estimates
from glazecalc.work.learning.learn import (
    GlazeOnTile,
    TileEvidence,
)

Array = NDArray[np.float64]

FAMILY_DISTANCE: Final = 0.06
"""Glazes whose mole fractions differ by less than this (half the sum of differences) share their estimate's
error.
"""
_CONES_APART: Final = 2
_YEARS_OF_USE_DAYS: Final = 3650.0


def moles_of(recipe: FrozenRecipe) -> Array:
    """Mole fractions of a frozen recipe in the fixed oxide order, shape (k,). Raises KeyError for an
    unknown oxide.
    """
    return np.asarray(vector(dict(recipe.moles)), dtype=float)


def revealed(tile: TileRecord) -> float:
    """Share of later crazing that would have shown on this tile by now [fraction].

    A hard test brings out most of it. Mere waiting brings it out with the logarithm of time, up to ten years.
    """
    by_test = figure("test_reveals").value if tile.after_test else 0.0
    days = tile.after_days or 0.0
    by_time = min(math.log(1.0 + days) / math.log(1.0 + _YEARS_OF_USE_DAYS), 1.0)
    return max(by_test, by_time)


def glaze_on_tile(estimates: Mapping[str, Estimate], family: str, thickness_mm: float | None = None) -> GlazeOnTile:
    """A glaze's estimates as the learning takes them. Raises KeyError without an ``expansion``."""
    expansion = estimates["expansion"]
    transition, modulus = estimates.get("transition_temperature"), estimates.get("youngs_modulus")
    if transition is None:
        top = figure("set_temperature_unknown").value
    else:
        top = float(setting_temperature(transition.value)[0])
    return GlazeOnTile(
        family=family,
        value=(expansion.low + expansion.high) / 2.0,
        sigma=sigma_of(expansion.low, expansion.high),
        set_degC=top,
        modulus_GPa=None if modulus is None else modulus.value,
        coat=Coat(thickness_mm),
    )


class FamilyBook:
    """Gives near compositions one family name: that of the first glaze of the family that came along."""

    def __init__(self) -> None:
        self._first: list[tuple[str, Array]] = []

    def name(self, moles: Array, name: str) -> str:
        """The family of a composition, mole fractions (k,); a new one is called ``name``."""
        for family, first in self._first:
            if 0.5 * float(np.abs(moles - first).sum()) < FAMILY_DISTANCE:
                return family
        family = name if name not in {f for f, _ in self._first} else f"{name} ({len(self._first) + 1})"
        self._first.append((family, moles))
        return family


def evidence(
    tiles: Iterable[TileRecord],
    body: str,
    cone: Cone | None = None,
    book: FamilyBook | None = None,
    jars: Mapping[str, Mapping[str, Estimate]] | None = None,
) -> tuple[tuple[TileEvidence, ...], tuple[tuple[str, str], ...]]:
    """The tiles that speak of ``body`` fired near ``cone``; pairs of id and reason for those that say
    nothing.

    ``jars`` gives estimates of glazes without a recipe, by name; other jar glazes say nothing.
    """
    known_jars = {name.casefold(): estimates for name, estimates in (jars or {}).items()}
    book = book or FamilyBook()
    used: list[TileEvidence] = []
    passed: list[tuple[str, str]] = []
    for tile in tiles:
        if tile.body.casefold() != body.casefold():
            continue
        jar = known_jars.get(glaze_called(tile).casefold()) if not _has_moles(tile) else None
        reason = _why_not(tile, cone, jar is not None)
        estimates = jar or {}
        if reason is None and jar is None and tile.recipe is not None:
            estimates = {e.name: e for e in _estimates(tile.recipe)}
            if "expansion" not in estimates or estimates["expansion"].extrapolated:
                reason = "its glaze is outside what the estimates know"
        if reason is not None:
            passed.append((tile.id, reason))
            continue
        assert tile.fit_result is not None
        family = f"jar {glaze_called(tile).casefold()}"
        if jar is None and tile.recipe is not None:
            family = book.name(moles_of(tile.recipe), tile.recipe.name)
        glaze = glaze_on_tile(estimates, family, tile.thickness_mm)
        used.append(TileEvidence(tile.id, glaze, tile.fit_result, revealed(tile)))
    return tuple(used), tuple(passed)


def glaze_called(tile: TileRecord) -> str:
    """The name of a tile's glaze."""
    return tile.glaze or (tile.recipe.name if tile.recipe is not None else "")


def _has_moles(tile: TileRecord) -> bool:
    return tile.recipe is not None and bool(tile.recipe.moles)


def _why_not(tile: TileRecord, cone: Cone | None, known_jar: bool = False) -> str | None:
    if TileResult.UNDERFIRED in tile.results:
        return "it is underfired: an unripe glaze says nothing of fit"
    if tile.fit_result is None:
        return "no result of fit is recorded yet"
    if not known_jar and not _has_moles(tile):
        return "its glaze has no recipe, so its expansion is not known"
    if cone is not None and tile.cone and abs(Cone(tile.cone).position - cone.position) > _CONES_APART:
        return f"it was fired to cone {tile.cone}, too far from cone {cone}"
    return None


@lru_cache(maxsize=1024)
def _estimates(recipe: FrozenRecipe) -> tuple[Estimate, ...]:
    return glaze_estimates(from_moles(moles_of(recipe)[None, :]))
