"""What recorded tiles say of a clay's expansion: a posterior on a grid, by the same stress and strengths as the check.

Unknown are the clay's expansion (one number for all tiles, on a grid), its growth by damp (shared too), and
for each family of glazes how far its estimate is off and how strong its coat is (a coat that bears more
tension is taken to bear more compression). The last two are shared by every tile of the family and averaged
over, so ten tiles of one glaze never count as ten independent ones. Families are glazes whose compositions
lie close together (a graded series, a recipe and its coloured versions).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

import numpy as np

from glazecalc.chemistry.composition import from_moles, vector
from glazecalc.jobs.estimates import ON_WARE, glaze_estimates
from glazecalc.jobs.fit import GLAZE_TO_DEGC, Coat, stress_per_strain, unshared_rise
from glazecalc.models.body import REFERENCE_DEGC, BodyExpansion, known_body, mean_over
from glazecalc.models.coat import (
    error_parts,
    figure,
    glaze_strain,
    lognormal_nodes,
    normal_cdf,
    setting_temperature,
    thickness_factor,
)
from glazecalc.models.expansion import normal_gauss
from glazecalc.values.answers import Basis, Estimate, sigma_of
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body
from glazecalc.values.records import FrozenRecipe, TileRecord, TileResult
from glazecalc.values.results.learn import Contradiction, Learned

_THETAS: Final = 121
_REACH: Final = 4.5
OFFSETS: Final = np.linspace(-4.8, 4.8, 33)
"""How far a glaze's estimate may be off, in its stated standard deviations, (D,)."""
_DENSITY: Final = sum(share / width * np.exp(-0.5 * (OFFSETS / width) ** 2) for width, share in error_parts())
OFFSET_WEIGHTS: Final[Array] = np.asarray(_DENSITY / np.sum(_DENSITY))
STRENGTHS: Final = 7
USUAL_COAT: Final = Coat()
_WHEN_UNKNOWN: Final = 0.5
"""Share of later crazing taken to have shown on a tile that is noted as crazed without a word on when."""
_SURPRISING: Final = 0.15
RESULTS: Final = (TileResult.SOUND, TileResult.CRAZED_AT_ONCE, TileResult.CRAZED_LATER, TileResult.SHIVERED)


@dataclass(frozen=True, slots=True)
class GlazeOnTile:
    """A glaze as a tile wears it: expansion 20-300 degC and its deviation [1e-6/K], setting temperature
    [degC], Young's modulus [GPa] or None, coat. ``family`` names what shares its error."""

    family: str
    value: float
    sigma: float
    set_degC: float
    modulus_GPa: float | None = None
    coat: Coat = USUAL_COAT


@dataclass(frozen=True, slots=True)
class TileEvidence:
    """A tile that says something: its glaze, its result, and how much of later crazing would have shown by now."""

    id: str
    glaze: GlazeOnTile
    result: TileResult
    revealed: float = 0.0

    @property
    def said(self) -> Said:
        """What the tile says, which tiles that are alike say again."""
        return self.glaze, self.result, self.revealed


Said = tuple[GlazeOnTile, TileResult, float]
"""A glaze on a tile, how it came out, and how much of later crazing would have shown."""


@dataclass(frozen=True, eq=False)
class Ground:
    """The clay before any tile: its curve, the grid of its expansion and the prior on it, and its growth by damp.

    ``thetas`` (T,) are means from 20 degC to the reference temperature [1e-6/K]; ``prior`` (T,) sums to one;
    ``growths`` and ``growth_weights`` (K,) [1e-6].
    """

    clay: BodyExpansion
    thetas: Array
    prior: Array
    growths: Array
    growth_weights: Array

    @cached_property
    def joint_prior(self) -> Array:
        """Prior weight of growth and expansion together, (K, T)."""
        return self.growth_weights[:, None] * self.prior[None, :]


def ground_of(clay: BodyExpansion) -> Ground:
    """The grid for a clay whose expansion is known only as far as ``clay`` says."""
    value, sigma = clay.at_reference()
    sigma = max(sigma, 0.03)
    z = np.linspace(-_REACH, _REACH, _THETAS)
    prior = np.exp(-0.5 * z**2)
    nodes, weights = normal_gauss(3 if clay.growth_sigma > 20.0 else 1)
    growths = np.maximum(clay.growth + clay.growth_sigma * nodes, 0.0)
    centred = clay.given_reference(value, 0.0, clay.basis, clay.caveats)
    return Ground(centred, value + sigma * z, prior / prior.sum(), growths, weights)


@dataclass(frozen=True, eq=False)
class TileChances:
    """Probabilities of the ways one tile can come out, given everything unknown.

    ``once`` and ``shivers`` (T, D, S), ``crazes`` (K, T, D, S) at once or later: for K growths, T
    expansions of the clay, D offsets of the glaze's estimate, S strengths of its coat."""

    once: Array
    crazes: Array
    shivers: Array

    def likelihood(self, result: TileResult, revealed: float) -> Array:
        """Probability of ``result`` when ``revealed`` of the later crazing would have shown, (K, T, D, S)."""
        once, shivers = self.once[None], self.shivers[None]
        if result is TileResult.CRAZED_AT_ONCE:
            chance = np.broadcast_to(once, self.crazes.shape)
        elif result is TileResult.CRAZED_LATER:
            chance = max(revealed, 0.05) * (self.crazes - once)
        elif result is TileResult.CRAZED:
            chance = once + max(revealed, _WHEN_UNKNOWN) * (self.crazes - once)
        elif result is TileResult.SHIVERED:
            chance = np.broadcast_to(shivers, self.crazes.shape)
        else:
            chance = np.clip(1.0 - once - revealed * (self.crazes - once) - shivers, 0.0, 1.0)
        slips = figure("record_slips").value
        return (1.0 - slips) * chance + slips / len(RESULTS)


def chances(ground: Ground, glaze: GlazeOnTile) -> TileChances:
    """How a tile of ``glaze`` can come out on this clay."""
    top = glaze.set_degC
    span = top - figure("room_temperature").value
    clay_strain, clay_sigma = ground.clay.strain(top)
    middle, _ = ground.clay.at_reference()
    up, _ = ground.clay.given_reference(middle + 1.0, 0.0, ground.clay.basis).strain(top)
    beyond = unshared_rise(glaze.value, top, GLAZE_TO_DEGC)
    offset = math.sqrt(float(glaze_strain(glaze.sigma, top)) ** 2 + float(clay_sigma) ** 2 + float(beyond) ** 2)
    strain = (
        float(glaze_strain(glaze.value, top))
        + offset * OFFSETS[None, :]
        - float(clay_strain)
        - (float(up) - float(clay_strain)) * (ground.thetas - middle)[:, None]
    )
    per_strain = float(stress_per_strain(glaze.modulus_GPa, ground.clay, glaze.coat))
    stress = per_strain * strain
    setup = figure("set_above_transition").sigma / span
    scatter = np.hypot(figure("piece_scatter").value, stress * setup)
    return _chances(stress, scatter, per_strain * ground.growths, thickness_factor(glaze.coat.thickness_mm))


def _chances(stress: Array, scatter: Array, growths: Array, factor: float) -> TileChances:
    tension, _ = lognormal_nodes("glaze_tensile", STRENGTHS)
    compression, _ = lognormal_nodes("glaze_compressive", STRENGTHS)
    use, fatigue = figure("service_tension"), figure("fatigue_fraction").value
    wide = np.hypot(scatter, use.sigma)[..., None]
    once = normal_cdf((stress[..., None] - factor * tension) / scatter[..., None])
    in_use = stress[None] + growths[:, None, None] + use.value
    later = normal_cdf((in_use[..., None] - factor * fatigue * tension) / wide)
    shivers = normal_cdf((-stress[..., None] - factor * compression) / scatter[..., None])
    crazes = np.minimum(np.maximum(once[None], later), 1.0 - shivers[None])
    return TileChances(np.minimum(once, 1.0 - shivers), crazes, shivers)


def average_family(likelihood: Array) -> Array:
    """Average over a family's offset and strength: (K, T, D, S) -> (K, T)."""
    _, weights = lognormal_nodes("glaze_tensile", STRENGTHS)
    averaged: Array = likelihood @ weights @ OFFSET_WEIGHTS
    return averaged


def families(tiles: Sequence[TileEvidence]) -> dict[str, list[int]]:
    """Indices of the tiles by family."""
    found: dict[str, list[int]] = {}
    for i, tile in enumerate(tiles):
        found.setdefault(tile.glaze.family, []).append(i)
    return found


class Likelihoods:
    """Likelihoods of tiles on one clay; what tiles that are alike say is worked out once."""

    def __init__(self, ground: Ground) -> None:
        self._ground = ground
        self._ways: dict[GlazeOnTile, TileChances] = {}
        self._found: dict[Said, Array] = {}

    def of(self, tile: TileEvidence) -> Array:
        """Likelihood of one tile's result, (K, T, D, S); not to be written to."""
        if tile.said not in self._found:
            if tile.glaze not in self._ways:
                self._ways[tile.glaze] = chances(self._ground, tile.glaze)
            found = self._ways[tile.glaze].likelihood(tile.result, tile.revealed)
            found.setflags(write=False)
            self._found[tile.said] = found
        return self._found[tile.said]


def family_likelihoods(ground: Ground, tiles: Sequence[TileEvidence]) -> dict[str, Array]:
    """Joint likelihood of each family's tiles, (K, T, D, S), not yet averaged over its offset and strength."""
    known = Likelihoods(ground)
    return {
        family: math.prod((known.of(tiles[i]) for i in members[1:]), start=known.of(tiles[members[0]]))
        for family, members in families(tiles).items()
    }


def posterior(ground: Ground, likelihoods: Sequence[Array]) -> Array:
    """Posterior of growth and expansion (K, T), summing to one, from families averaged to (K, T)."""
    joint = ground.joint_prior.copy()
    for likelihood in likelihoods:
        joint *= likelihood
    total = joint.sum()
    return joint / total if total > 0.0 else ground.joint_prior


def evidence_for(ground: Ground, likelihoods: Sequence[Array]) -> float:
    """Probability of all tiles' results on a clay as ``ground`` takes it before them, families averaged to (K, T)."""
    return float((ground.joint_prior * math.prod(likelihoods)).sum())


def learn(
    body: Body, tiles: Sequence[TileEvidence], cone: Cone | None = None, reasoned: Estimate | None = None
) -> Learned:
    """The posterior of the clay's expansion, the weight of each tile, and the tiles that contradict the rest."""
    ground = ground_of(known_body(body, cone, None, reasoned))
    known = Likelihoods(ground)
    alone: dict[Said, Array] = {}
    without: dict[Said, Array] = {}
    joint: dict[str, Array] = {}
    for family, members in families(tiles).items():
        logs = np.sum([np.log(known.of(tiles[i])) for i in members], axis=0)
        joint[family] = average_family(np.exp(logs))
        for tile in {tiles[i].said: tiles[i] for i in members}.values():
            alone[tile.said] = average_family(known.of(tile))
            without[tile.said] = average_family(np.exp(logs - np.log(known.of(tile))))
    final = posterior(ground, list(joint.values()))
    left_out = {said: _left_out(ground, joint, said[0].family, rest) for said, rest in without.items()}
    curve = final.sum(axis=0)
    moving = {said: divergence(curve, (rest / rest.sum()).sum(axis=0)) for said, rest in left_out.items()}
    moved = [moving[tile.said] for tile in tiles]
    total = sum(moved) or 1.0
    evidence = evidence_for(ground, list(joint.values()))
    surprising = [(i, evidence / float(left_out[tile.said].sum())) for i, tile in enumerate(tiles)]
    return Learned(
        prior=grid_estimate(ground, ground.prior, ground.clay.basis, ground.clay.sources, ground.clay.caveats),
        posterior=learned_estimate(ground, curve, len(tiles)),
        thetas=tuple(ground.thetas.tolist()),
        prior_curve=tuple(ground.prior.tolist()),
        curve=tuple(curve.tolist()),
        weights=tuple((tile.id, share / total) for tile, share in zip(tiles, moved, strict=True)),
        contradictions=_contradictions(ground, tiles, surprising, alone, known),
    )


def _left_out(ground: Ground, joint: dict[str, Array], family: str, without: Array) -> Array:
    """Prior times the likelihood of every tile but one, (K, T), not scaled."""
    others = [likelihood for name, likelihood in joint.items() if name != family]
    return np.asarray(ground.joint_prior * without * math.prod(others))


def _contradictions(
    ground: Ground,
    tiles: Sequence[TileEvidence],
    surprising: Sequence[tuple[int, float]],
    alone: Mapping[Said, Array],
    known: Likelihoods,
) -> tuple[Contradiction, ...]:
    found = []
    for i, chance in sorted(surprising, key=lambda pair: pair[1]):
        if chance < _SURPRISING and len(tiles) > 1:
            others = {other.said: other for j, other in enumerate(tiles) if j != i}
            ratios = {said: _ratio(ground, tiles[i], other, alone, known) for said, other in others.items()}
            least = min(ratios, key=ratios.__getitem__)
            clash = next(other for j, other in enumerate(tiles) if j != i and other.said == least)
            found.append(Contradiction(tiles[i].id, clash.id, chance))
    return tuple(found)


def _ratio(
    ground: Ground, one: TileEvidence, other: TileEvidence, alone: Mapping[Said, Array], known: Likelihoods
) -> float:
    """How much less likely two results are together than if they had nothing to do with each other."""
    prior, mine, theirs = ground.joint_prior, alone[one.said], alone[other.said]
    kin = one.glaze.family == other.glaze.family
    both = average_family(known.of(one) * known.of(other)) if kin else mine * theirs
    return float((prior * both).sum() / ((prior * mine).sum() * (prior * theirs).sum()))


def divergence(p: Array, q: Array) -> float:
    """Kullback-Leibler divergence of ``p`` from ``q`` on the grid [nats]."""
    where = p > 1e-300
    return float(np.sum(p[where] * np.log(p[where] / np.maximum(q[where], 1e-300))))


def grid_quantiles(thetas: Array, weights: Array, at: Sequence[float]) -> list[float]:
    """Quantiles of a distribution given at equally spaced grid points, read between them."""
    step = thetas[1] - thetas[0]
    edges = np.concatenate([[0.0], np.cumsum(weights)])
    places = np.concatenate([thetas - 0.5 * step, [thetas[-1] + 0.5 * step]])
    rising = np.concatenate([[True], np.diff(edges) > 0.0])
    return [float(np.interp(q, edges[rising], places[rising])) for q in at]


def grid_estimate(
    ground: Ground, weights: Array, basis: Basis, sources: tuple[str, ...], caveats: tuple[str, ...]
) -> Estimate:
    """A distribution on the grid as an Estimate: median and 90 % interval."""
    low, value, high = grid_quantiles(ground.thetas, weights, (0.05, 0.5, 0.95))
    caveats = (*caveats, mean_over(REFERENCE_DEGC))
    return Estimate("body_expansion", value, low, high, "1e-6/K", basis, sources, caveats)


def learned_estimate(ground: Ground, curve: Array, tiles: int) -> Estimate:
    """The posterior as the Estimate that the check uses."""
    if not tiles:
        return grid_estimate(ground, curve, ground.clay.basis, ground.clay.sources, ground.clay.caveats)
    words = f"learned from {tiles} tile{'s' if tiles > 1 else ''}"
    return grid_estimate(ground, curve, Basis.LEARNED, ground.clay.sources, (words,))


# From the journal's tiles to what they say: which tiles speak of a clay, of what glaze, and why the others

FAMILY_DISTANCE: Final = 0.06
"""Glazes whose mole fractions differ by less than this (half the sum of differences) share their estimate's
error.
"""
_CONES_APART: Final = 2
_YEARS_OF_USE_DAYS: Final = 3650.0


def moles_of(recipe: FrozenRecipe) -> Array:
    """Mole fractions of a frozen recipe in the fixed oxide order, shape (k,). Raises KeyError for an unknown oxide."""
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
    expansion = estimates[ON_WARE] if ON_WARE in estimates else estimates["expansion"]
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
        modulus_GPa=None if modulus is None or modulus.extrapolated else modulus.value,
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
    """The tiles that speak of ``body`` fired near ``cone``; pairs of id and reason for those that say nothing.

    ``jars`` gives estimates of glazes without a recipe, by name; other jar glazes say nothing.
    """
    known_jars = {name.casefold(): estimates for name, estimates in (jars or {}).items()}
    book = book or FamilyBook()
    used: list[TileEvidence] = []
    passed: list[tuple[str, str]] = []
    for tile in tiles:
        if tile.body.casefold() != body.casefold():
            continue
        name, result = tile.glaze_name.casefold(), tile.fit_result
        recipe = tile.recipe if tile.recipe is not None and tile.recipe.moles else None
        estimates = known_jars.get(name)
        if recipe is not None and result is not None:
            estimates = {e.name: e for e in _estimates(recipe)}
        reason = _why_not(tile, cone, estimates)
        if result is None or estimates is None or reason:
            passed.append((tile.id, reason))
            continue
        family = f"jar {name}" if recipe is None else book.name(moles_of(recipe), recipe.name)
        used.append(TileEvidence(tile.id, glaze_on_tile(estimates, family, tile.thickness_mm), result, revealed(tile)))
    return tuple(used), tuple(passed)


def _why_not(tile: TileRecord, cone: Cone | None, estimates: Mapping[str, Estimate] | None) -> str:
    """Why a tile says nothing of its clay; empty where it does."""
    if TileResult.UNDERFIRED in tile.results:
        return "it is underfired: an unripe glaze says nothing of fit"
    if tile.fit_result is None:
        return "no result of fit is recorded yet"
    if estimates is None:
        return "its glaze has no recipe, so its expansion is not known"
    if cone is not None and tile.cone and abs(Cone(tile.cone).position - cone.position) > _CONES_APART:
        return f"it was fired to cone {tile.cone}, too far from cone {cone}"
    by_recipe = tile.recipe is not None and tile.recipe.moles
    if by_recipe and ("expansion" not in estimates or estimates["expansion"].extrapolated):
        return "its glaze is outside what the estimates know"
    return ""


@lru_cache(maxsize=1024)
def _estimates(recipe: FrozenRecipe) -> tuple[Estimate, ...]:
    return glaze_estimates(from_moles(moles_of(recipe)[None, :]))
