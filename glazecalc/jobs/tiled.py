"""Fit on a clay that has tiles. What tiles of the glaze itself showed counts before any estimate.

The clay's expansion, this glaze's offset and its coat's strength are averaged together under all tiles of
the clay, so a glaze that crazed on its tile is not called sound for being estimated low, and a jar glaze
without a recipe can be judged from its tiles alone.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Final, NamedTuple

import numpy as np

from glazecalc.jobs.fit import GLAZE_TO_DEGC, Coat, Fit, OwnTiles, fit, fit_arrays, stress_per_strain, with_chances
from glazecalc.jobs.learn import (
    OFFSET_WEIGHTS,
    OFFSETS,
    STRENGTHS,
    FamilyBook,
    GlazeOnTile,
    Ground,
    TileEvidence,
    average_family,
    chances,
    evidence,
    family_likelihoods,
    glaze_on_tile,
    ground_of,
    learned_estimate,
    moles_of,
    posterior,
)
from glazecalc.models.body import known_body
from glazecalc.models.coat import figure, lognormal_nodes, rise
from glazecalc.values.answers import NINETY, Basis, Estimate
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, Recipe
from glazecalc.values.records import FrozenRecipe, TileRecord, TileResult

_SAME_GLAZE: Final = 0.02
KIN_DISTANCE: Final = 0.09
"""Half the sum of differences in mole fractions at which the chance that two estimates share their error has fallen to
1/e: the likeliest of the errors on papers left out (0.075 to 0.1 are nearly as likely; ``training/kinship.py``)."""
_LEAST_KIN: Final = 0.05
_JAR: Final = Estimate(
    "expansion", 7.66, 7.66 - NINETY * 1.67, 7.66 + NINETY * 1.67, "1e-6/K", Basis.TYPICAL, ("glass_database",),
    ("no recipe: what is usual of 4618 measured glasses of the glaze range",),
)  # fmt: skip
"""Mean and spread of the measured expansions of glaze-like glasses [1e-6/K, 20-300 degC]: the prior of a
jar glaze.
"""


def same_glaze(recipe: Recipe, tile: TileRecord) -> bool:
    """Whether a tile wears this glaze: lines within 2 % of the batch for a recipe, the same name for a jar."""
    if recipe.lines and tile.recipe is not None and tile.recipe.lines:
        return _distance(recipe, tile.recipe) < _SAME_GLAZE
    return not recipe.lines and not recipe.composition and tile.glaze_name.casefold() == recipe.name.casefold()


def _distance(recipe: Recipe, frozen: FrozenRecipe) -> float:
    def shares(lines: Sequence[tuple[str, float]]) -> dict[str, float]:
        total = sum(amount for _, amount in lines)
        parts: dict[str, float] = {}
        for material, amount in lines:
            parts[material.casefold()] = parts.get(material.casefold(), 0.0) + amount / total
        return parts

    here = shares([(line.material, line.amount) for line in recipe.lines])
    there = shares([(line.material, line.amount) for line in frozen.lines])
    return 0.5 * sum(abs(here.get(m, 0.0) - there.get(m, 0.0)) for m in here.keys() | there.keys())


def fit_given_tiles(
    recipe: Recipe,
    expansion: Estimate | None,
    body: Body,
    tiles: Sequence[TileRecord],
    *,
    transition: Estimate | None = None,
    modulus: Estimate | None = None,
    cone: Cone | None = None,
    reasoned: Estimate | None = None,
    moles: Array | None = None,
) -> Fit | None:
    """Fit of a glaze on a clay under all tiles of that clay, or None where none says anything of it.

    ``expansion`` is None for a jar glaze; its estimates then hold an ``expansion`` learned from its tiles.
    ``moles`` are the glaze's mole fractions (k,): tiles of glazes near it then tell of its error too.
    A glaze outside what the estimates know stays `cannot say`."""
    own = [t.id for t in tiles if t.body.casefold() == body.name.casefold() and same_glaze(recipe, t)]
    jar = expansion is None
    given = {e.name: e for e in (transition, modulus) if e is not None} | {"expansion": expansion or _JAR}
    book = FamilyBook()
    used, _ = evidence(tiles, body.name, cone, book, jars={recipe.name: given} if jar else {})
    mine = [tile for tile in used if tile.id in own]
    if not used or (jar and not mine) or (expansion is not None and expansion.extrapolated):
        return None
    clay = taught(body, used, cone, reasoned)
    if not mine:
        return fit_on_taught(given, body, clay, kinship(moles, tiles, used), cone=cone, reasoned=reasoned)
    itself = Own(mine[0].glaze.family, len(mine), jar)
    fitted = fit_on_taught(given, body, clay, own=itself, cone=cone, reasoned=reasoned)
    return replace(fitted, own=own_tiles([t for t in tiles if t.id in {m.id for m in mine}]), bought=jar)


def own_tiles(tiles: Sequence[TileRecord]) -> OwnTiles:
    """What tiles of one glaze on one clay showed."""
    ways = [tile.fit_result for tile in tiles]
    crazed = sum(way in (TileResult.CRAZED, TileResult.CRAZED_AT_ONCE, TileResult.CRAZED_LATER) for way in ways)
    tests = dict.fromkeys(t.after_test for t in tiles if t.after_test and t.fit_result is TileResult.SOUND)
    return OwnTiles(ways.count(TileResult.SOUND), crazed, ways.count(TileResult.SHIVERED), tuple(tests))


def kinship(moles: Array | None, tiles: Sequence[TileRecord], used: Sequence[TileEvidence]) -> dict[str, float]:
    """Chance [fraction] that a glaze's estimate is off just as that of each family of tiles near it.

    Falls smoothly with the distance of the mole fractions, ``exp(-(d / KIN_DISTANCE)^2)``, to the nearest tile of the
    family; ``moles`` is (k,) in the fixed oxide order.
    """
    if moles is None:
        return {}
    families = {tile.id: tile.glaze.family for tile in used}
    kin: dict[str, float] = {}
    for tile in tiles:
        family = families.get(tile.id)
        if family is None or tile.recipe is None or not tile.recipe.moles:
            continue
        apart = 0.5 * float(np.abs(moles_of(tile.recipe) - moles).sum())
        kin[family] = max(kin.get(family, 0.0), math.exp(-((apart / KIN_DISTANCE) ** 2)))
    return {family: share for family, share in kin.items() if share >= _LEAST_KIN}


@dataclass(frozen=True, eq=False)
class Taught:
    """A clay with its tiles: the ground before them, and the likelihood (K, T, D, S) of each family's."""

    ground: Ground
    likelihoods: Mapping[str, Array]
    tiles: int

    @cached_property
    def averaged(self) -> dict[str, Array]:
        """The likelihoods averaged over each family's offset and strength, (K, T)."""
        return {family: average_family(likelihood) for family, likelihood in self.likelihoods.items()}

    @cached_property
    def posterior(self) -> Array:
        """Weight of growth and expansion under all tiles, (K, T)."""
        return posterior(self.ground, list(self.averaged.values()))

    @cached_property
    def estimate(self) -> Estimate:
        """The clay's expansion as `learn` tells it."""
        return learned_estimate(self.ground, self.posterior.sum(axis=0), self.tiles)


@lru_cache(maxsize=8)
def taught(
    body: Body, used: tuple[TileEvidence, ...], cone: Cone | None = None, reasoned: Estimate | None = None
) -> Taught:
    """The clay under all that the ``used`` tiles say; kept, as every glaze on the clay asks for it again."""
    ground = ground_of(known_body(body, cone, None, reasoned))
    return Taught(ground, family_likelihoods(ground, used), len(used))


def learned_body_expansion(
    body: Body, records: Sequence[TileRecord], cone: Cone | None = None, reasoned: Estimate | None = None
) -> Estimate | None:
    """The clay's expansion as the recorded tiles teach it, or None if none of them says anything of it.

    ``records`` are all tiles of the journal. The estimate is a mean from 20 degC to
    :data:`glazecalc.models.body.REFERENCE_DEGC`, for :func:`glazecalc.jobs.fit.fit` to take as ``learned``.
    """
    used, _ = evidence(records, body.name, cone)
    return taught(body, used, cone, reasoned).estimate if used else None


class Own(NamedTuple):
    """The tiles of a glaze itself: the family they are in, how many, and whether it is a jar glaze, whose expansion is
    learned from them too."""

    family: str
    tiles: int = 1
    jar: bool = False


def fit_on_taught(
    given: Mapping[str, Estimate],
    body: Body,
    clay: Taught,
    kin: Mapping[str, float] | None = None,
    *,
    own: Own | None = None,
    cone: Cone | None = None,
    reasoned: Estimate | None = None,
) -> Fit:
    """Fit of a glaze on a clay that has tiles, under all of them.

    ``given`` holds the glaze's estimates by name. Raises KeyError without an ``expansion`` or a tile of its ``own``
    family.

    Without tiles of its own or near it the chances are averaged over growth by damp and expansion together, as the
    tiles leave them: tiles tell their sum better than either, which an interval of the expansion alone cannot carry.
    With the chance ``kin`` (:func:`kinship`) its estimate is off just as that of a near family is, else it has an error
    of its own; so the spread of the error stays as it was, and a far glaze says nothing.
    """
    base = fit(
        given["expansion"], body, transition=given.get("transition_temperature"), modulus=given.get("youngs_modulus"),
        cone=cone, learned=clay.estimate, reasoned=reasoned,
    )  # fmt: skip
    glaze = glaze_on_tile(given, own.family if own else "")
    kin = kin or {}
    if not kin and own is None:
        ways, weights = chances(clay.ground, glaze), clay.posterior
        shivers, crazes, once = (
            float((weights * average_family(part)).sum()) for part in (ways.shivers[None], ways.crazes, ways.once[None])
        )
        return with_chances(base, crazes, once, shivers)
    _, strengths = lognormal_nodes("glaze_tensile", STRENGTHS)
    weights = clay.ground.joint_prior[:, :, None] * OFFSET_WEIGHTS
    for family, apart in clay.averaged.items():
        share = kin.get(family, 0.0)
        if own is None or family != own.family:
            near = share * (clay.likelihoods[family] @ strengths) if share else 0.0
            weights = weights * (near + (1.0 - share) * apart[:, :, None])
    weights = weights[..., None] * strengths * (clay.likelihoods[own.family] if own else 1.0)
    return _told(base, _Joint(clay.ground, glaze, weights / weights.sum()), own)


@dataclass(frozen=True, eq=False)
class _Joint:
    """Weight of everything unknown together: (K, T, D, S), summing to one, and the glaze's own chances."""

    ground: Ground
    glaze: GlazeOnTile
    weights: Array

    def mean(self, values: Array) -> float:
        """Average of ``values`` (broadcast to (K, T, D, S))."""
        return float((self.weights * values).sum())

    @cached_property
    def raised(self) -> float:
        """What an expansion from 20 to 300 degC is multiplied by to hold up to the setting temperature."""
        return float(rise(self.glaze.set_degC) / rise(GLAZE_TO_DEGC))

    @cached_property
    def span(self) -> float:
        """From room to setting temperature [K]."""
        return self.glaze.set_degC - figure("room_temperature").value

    @cached_property
    def per_mismatch(self) -> float:
        """Stress for a mismatch of 1e-6/K [MPa]."""
        return self.span * float(stress_per_strain(self.glaze.modulus_GPa, self.ground.clay, self.glaze.coat))

    @cached_property
    def stress(self) -> tuple[float, float]:
        """Mean and deviation of the stress under all tiles [MPa], from the mismatch on the grid of clay and offset."""
        ground, top = self.ground, self.glaze.set_degC
        curves = [ground.clay.given_reference(theta, 0.0, Basis.LEARNED) for theta in ground.thetas.tolist()]
        clay = np.array([float(curve.strain(top)[0]) for curve in curves]) / self.span
        glaze = self.raised * (self.glaze.value + self.glaze.sigma * OFFSETS)
        return _mean_and_deviation(self.weights.sum(axis=(0, 3)), (glaze - clay[:, None]) * self.per_mismatch)

    @cached_property
    def expansion(self) -> tuple[float, float]:
        """The glaze's expansion under all tiles: mean and deviation [1e-6/K]."""
        offset, spread = _mean_and_deviation(self.weights.sum(axis=(0, 1, 3)), OFFSETS)
        return self.glaze.value + self.glaze.sigma * offset, self.glaze.sigma * spread

    def way_to_move(self) -> tuple[float, float]:
        """How far to move the glaze for the best chance [1e-6/K], and that chance; the stress taken as normal."""
        top, clay, (value, _), (stress, sigma) = self.glaze.set_degC, self.ground.clay, self.expansion, self.stress
        here = value * self.raised - stress / self.per_mismatch
        value_at, _ = clay.at_reference()
        more = clay.given_reference(value_at + 1.0, 0.0, clay.basis)
        unit = float(more.strain(top)[0] - clay.strain(top)[0]) / self.span
        middle = value_at + (here - float(clay.strain(top)[0]) / self.span) / unit
        certain = clay.given_reference(middle, 0.0, Basis.LEARNED)
        shifts = np.linspace(-4.0, 4.0, 161)
        spread = np.full(shifts.shape, sigma / self.per_mismatch / self.raised)
        moved = fit_arrays(value + shifts, spread, top, self.glaze.modulus_GPa, certain, coat=Coat())
        best = int(np.argmax(moved.sound_probability))
        return float(shifts[best]), float(moved.sound_probability[best])


def _mean_and_deviation(weights: Array, values: Array) -> tuple[float, float]:
    mean = float((weights * values).sum())
    return mean, math.sqrt(float((weights * (values - mean) ** 2).sum()))


def _told(base: Fit, joint: _Joint, own: Own | None) -> Fit:
    """``base`` with the probabilities, the stress and the way to move that the tiles tell."""
    ways = chances(joint.ground, joint.glaze)
    shivers, crazes, once = joint.mean(ways.shivers[None]), joint.mean(ways.crazes), joint.mean(ways.once[None])
    words = "tiles of glazes near this one counted"
    if own is not None:
        words = f"{own.tiles} tile{'s' if own.tiles > 1 else ''} of this glaze on this clay counted"
    (stress, sigma), (value, spread) = joint.stress, joint.expansion
    half = NINETY * math.hypot(sigma, figure("piece_scatter").value)
    old = base.estimate("layer_stress")
    layer = replace(
        old, value=stress, low=stress - half, high=stress + half, basis=Basis.LEARNED, caveats=(*old.caveats, words)
    )
    (to_sound, best), uptake = joint.way_to_move(), figure("body_uptake").value
    estimates, to_sound = tuple(layer if e is old else e for e in base.estimates), to_sound / (1.0 - uptake)
    moved = replace(base, estimates=estimates, to_sound=to_sound, best_sound=best)
    fitted = with_chances(moved, crazes, once, shivers, (words,), Basis.LEARNED)
    if own is None or not own.jar:
        return fitted
    low, high = value - NINETY * spread, value + NINETY * spread
    learned = Estimate("expansion", value, low, high, "1e-6/K", Basis.LEARNED, _JAR.sources, (words,))
    return replace(fitted, estimates=(learned, *fitted.estimates))
