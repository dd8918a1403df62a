"""Fit of a glaze that has its own tiles on the clay: what those tiles showed counts before any estimate.

The clay's expansion, this glaze's offset and its coat's strength are averaged together under all tiles of
the clay, so a glaze that crazed on its tile is not called sound for being estimated low, and a jar glaze
without a recipe can be judged from its tiles alone."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.body import known_body
from glazecalc.models.layer import rise
from glazecalc.models.normal import NINETY
from glazecalc.models.strength import figure, lognormal_nodes
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Body, Recipe
from glazecalc.values.records import FrozenRecipe, TileRecord
from glazecalc.work.fit import GLAZE_TO_DEGC, Coat, Fit, fit, fit_arrays, stress_per_strain
from glazecalc.work.learning.evidence import FamilyBook, evidence, glaze_on_tile
from glazecalc.work.learning.learn import (
    OFFSET_WEIGHTS,
    OFFSETS,
    STRENGTHS,
    GlazeOnTile,
    Ground,
    TileEvidence,
    average_family,
    chances,
    family_likelihoods,
    ground_of,
)

Array = NDArray[np.float64]

_SAME_GLAZE: Final = 0.02
_JAR: Final = Estimate(
    "expansion", 7.66, 7.66 - 1.645 * 1.67, 7.66 + 1.645 * 1.67, "1e-6/K", Basis.TYPICAL, ("sciglass",),
    ("no recipe: what is usual of 4618 measured glasses of the glaze range",),
)  # fmt: skip
"""Mean and spread of the measured expansions of glaze-like glasses [1e-6/K, 20-300 degC]: the prior of a
jar glaze.
"""


def same_glaze(recipe: Recipe, tile: TileRecord) -> bool:
    """Whether a tile wears this glaze: lines within 2 % of the batch for a recipe, the same name for a
    jar.
    """
    if recipe.lines and tile.recipe is not None and tile.recipe.lines:
        return _distance(recipe, tile.recipe) < _SAME_GLAZE
    name = tile.glaze or (tile.recipe.name if tile.recipe else "")
    return not recipe.lines and not recipe.composition and name.casefold() == recipe.name.casefold()


def _distance(recipe: Recipe, frozen: FrozenRecipe) -> float:
    def shares(lines: Sequence[tuple[str, float]]) -> dict[str, float]:
        total = sum(amount for _, amount in lines)
        found: dict[str, float] = {}
        for material, amount in lines:
            found[material.casefold()] = found.get(material.casefold(), 0.0) + amount / total
        return found

    here = shares([(line.material, line.amount) for line in recipe.lines])
    there = shares([(line.material, line.amount) for line in frozen.lines])
    return 0.5 * sum(abs(here.get(m, 0.0) - there.get(m, 0.0)) for m in here.keys() | there.keys())


@dataclass(frozen=True)
class _Joint:
    """Weight of everything unknown together: (K, T, D, S), summing to one, and the glaze's own chances."""

    ground: Ground
    glaze: GlazeOnTile
    weights: Array

    def mean(self, values: Array) -> float:
        """Average of ``values`` (broadcast to (K, T, D, S))."""
        return float((self.weights * values).sum())


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
) -> Fit | None:
    """Fit of a glaze on a clay under all tiles of that clay, or None where no tile wears this glaze.

    ``expansion`` is None for a jar glaze; its estimates then hold an ``expansion`` learned from its tiles.
    A glaze outside what the estimates know stays `cannot say`."""
    own = [t.id for t in tiles if t.body.casefold() == body.name.casefold() and same_glaze(recipe, t)]
    jar = expansion is None
    given = {e.name: e for e in (expansion or _JAR, transition, modulus) if e is not None}
    book = FamilyBook()
    used, _ = evidence(tiles, body.name, cone, book, jars={recipe.name: given} if jar else {})
    mine = [tile for tile in used if tile.id in own]
    if not mine or (expansion is not None and expansion.extrapolated):
        return None
    return fit_given_evidence(
        given, mine[0].glaze.family, body, used, own=len(mine), jar=jar, cone=cone, reasoned=reasoned
    )


def fit_given_evidence(
    given: Mapping[str, Estimate],
    family: str,
    body: Body,
    used: Sequence[TileEvidence],
    *,
    own: int = 1,
    jar: bool = False,
    cone: Cone | None = None,
    reasoned: Estimate | None = None,
) -> Fit:
    """Fit of a glaze of ``family`` on a clay under all that the ``used`` tiles say.

    ``given`` holds the glaze's estimates by name, ``own`` says how many of the tiles are its own. Raises KeyError
    without an ``expansion`` or a tile of the family.
    """
    ground = ground_of(known_body(body, cone, None, reasoned))
    glaze = glaze_on_tile(given, family)
    likelihoods = family_likelihoods(ground, used)
    weights = likelihoods.pop(family) * ground.joint_prior[:, :, None, None]
    for other in likelihoods.values():
        weights = weights * average_family(other)[:, :, None, None]
    _, strengths = lognormal_nodes("glaze_tensile", STRENGTHS)
    weights = weights * OFFSET_WEIGHTS[:, None] * strengths
    joint = _Joint(ground, glaze, weights / weights.sum())
    base = fit(
        given["expansion"], body, transition=given.get("transition_temperature"), modulus=given.get("youngs_modulus"),
        cone=cone, learned=_clay_estimate(joint, len(used)), reasoned=reasoned,
    )  # fmt: skip
    return _told(base, joint, own, jar)


def _clay_estimate(joint: _Joint, tiles: int) -> Estimate:
    from glazecalc.work.learning.learn import learned_estimate

    return learned_estimate(joint.ground, joint.weights.sum(axis=(0, 2, 3)), tiles)


def _told(base: Fit, joint: _Joint, own: int, jar: bool) -> Fit:
    """``base`` with the probabilities, the stress and the way to move that the tiles tell."""
    ways = chances(joint.ground, joint.glaze)
    shivers = joint.mean(ways.shivers[None])
    crazes = min(joint.mean(ways.crazes), 1.0 - shivers)
    once = min(joint.mean(ways.once[None]), crazes)
    words = f"{own} tile{'s' if own > 1 else ''} of this glaze on this clay counted"
    stress, sigma = _stress(joint)
    half = NINETY * math.hypot(sigma, figure("piece_scatter").value)
    old = base.estimate("layer_stress")
    estimates = [
        base.estimate("body_expansion"),
        replace(old, value=stress, low=stress - half, high=stress + half, basis=Basis.LEARNED,
                caveats=(*old.caveats, words)),
        _probability(base, "crazing_probability", crazes, words),
        _probability(base, "shivering_probability", shivers, words),
    ]  # fmt: skip
    value, spread = _glaze_value(joint)
    if jar:
        estimates.insert(0, Estimate("expansion", value, value - NINETY * spread, value + NINETY * spread, "1e-6/K",
                                     Basis.LEARNED, _JAR.sources, (words,)))  # fmt: skip
    to_sound, best = _way_to_move(joint, value, stress, sigma)
    return replace(
        base, estimates=tuple(estimates), crazing=crazes, at_once=once, shivering=shivers,
        sound=max(1.0 - crazes - shivers, 0.0), mismatch=stress / _per_mismatch(joint),
        to_sound=to_sound, best_sound=best,
    )  # fmt: skip


def _probability(base: Fit, name: str, value: float, words: str) -> Estimate:
    old = base.estimate(name)
    return replace(old, value=value, low=value, high=value, basis=Basis.LEARNED, caveats=(*old.caveats, words))


def _per_mismatch(joint: _Joint) -> float:
    """Stress for a mismatch of 1e-6/K [MPa]."""
    span = joint.glaze.set_degC - figure("room_temperature").value
    return span * float(stress_per_strain(joint.glaze.modulus_GPa, joint.ground.clay, joint.glaze.coat))


def _mismatches(joint: _Joint) -> Array:
    """Mismatch on the grid of clay and offset [1e-6/K], (T, D)."""
    top = joint.glaze.set_degC
    raised = float(rise(top) / rise(GLAZE_TO_DEGC))
    span = top - figure("room_temperature").value
    ground = joint.ground
    curves = [ground.clay.given_reference(theta, 0.0, Basis.LEARNED) for theta in ground.thetas.tolist()]
    clay = np.array([float(curve.strain(top)[0]) for curve in curves]) / span
    return raised * (joint.glaze.value + joint.glaze.sigma * OFFSETS)[None, :] - clay[:, None]


def _stress(joint: _Joint) -> tuple[float, float]:
    """Mean and deviation of the stress under all tiles [MPa]."""
    stress = _mismatches(joint) * _per_mismatch(joint)
    weights = joint.weights.sum(axis=(0, 3))
    mean = float((weights * stress).sum())
    return mean, math.sqrt(float((weights * (stress - mean) ** 2).sum()))


def _glaze_value(joint: _Joint) -> tuple[float, float]:
    """The glaze's expansion under all tiles: mean and deviation [1e-6/K]."""
    weights = joint.weights.sum(axis=(0, 1, 3))
    offset = float((weights * OFFSETS).sum())
    spread = math.sqrt(float((weights * (OFFSETS - offset) ** 2).sum()))
    return joint.glaze.value + joint.glaze.sigma * offset, joint.glaze.sigma * spread


def _way_to_move(joint: _Joint, value: float, stress: float, sigma: float) -> tuple[float, float]:
    """How far to move the glaze for the best chance [1e-6/K], and that chance; the stress taken as normal."""
    top = joint.glaze.set_degC
    raised = float(rise(top) / rise(GLAZE_TO_DEGC))
    clay = joint.ground.clay
    here = value * raised - stress / _per_mismatch(joint)
    span = top - figure("room_temperature").value
    value_at, _ = clay.at_reference()
    more = clay.given_reference(value_at + 1.0, 0.0, clay.basis)
    unit = float(more.strain(top)[0] - clay.strain(top)[0]) / span
    middle = value_at + (here - float(clay.strain(top)[0]) / span) / unit
    certain = clay.given_reference(middle, 0.0, Basis.LEARNED)
    shifts = np.linspace(-4.0, 4.0, 161)
    spread = np.full(shifts.shape, sigma / _per_mismatch(joint) / raised)
    moved = fit_arrays(value + shifts, spread, top, joint.glaze.modulus_GPa, certain, coat=Coat())
    best = int(np.argmax(moved.sound_probability))
    return float(shifts[best]), float(moved.sound_probability[best])
