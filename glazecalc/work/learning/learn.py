"""What recorded tiles say of a clay's expansion: a posterior on a grid, by the same stress and strengths as
the check.

Unknown are the clay's expansion (one number for all tiles, on a grid), its growth by damp (shared too), and
for each family of glazes how far its estimate is off and how strong its coat is (a coat that bears more
tension is taken to bear more compression). The last two are shared by every tile of the family and averaged
over, so ten tiles of one glaze never count as ten independent ones. Families are glazes whose compositions
lie close together (a graded series, a recipe and its coloured versions)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.body import REFERENCE_DEGC, BodyExpansion, known_body
from glazecalc.models.layer import glaze_strain
from glazecalc.models.normal import normal_cdf, normal_nodes
from glazecalc.models.strength import error_parts, figure, lognormal_nodes, thickness_factor
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Body
from glazecalc.values.learning import Contradiction, Learned
from glazecalc.values.records import TileResult
from glazecalc.work.fit import GLAZE_TO_DEGC, Coat, stress_per_strain, unshared_rise

Array = NDArray[np.float64]

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
    """A tile that says something: its glaze, its result, and how much of later crazing would have shown by
    now.
    """

    id: str
    glaze: GlazeOnTile
    result: TileResult
    revealed: float = 0.0


@dataclass(frozen=True)
class Ground:
    """The clay before any tile: its curve, the grid of its expansion and the prior on it, and its growth by
    damp.

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
    nodes, weights = normal_nodes(3 if clay.growth_sigma > 20.0 else 1)
    growths = np.maximum(clay.growth + clay.growth_sigma * nodes, 0.0)
    centred = clay.given_reference(value, 0.0, clay.basis, clay.caveats)
    return Ground(centred, value + sigma * z, prior / prior.sum(), growths, weights)


@dataclass(frozen=True)
class Chances:
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


def chances(ground: Ground, glaze: GlazeOnTile) -> Chances:
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
    setting = figure("set_above_transition").sigma / span
    scatter = np.hypot(figure("piece_scatter").value, stress * setting)
    return _chances(stress, scatter, per_strain * ground.growths, thickness_factor(glaze.coat.thickness_mm))


def _chances(stress: Array, scatter: Array, growths: Array, factor: float) -> Chances:
    tension, _ = lognormal_nodes("glaze_tensile", STRENGTHS)
    compression, _ = lognormal_nodes("glaze_compressive", STRENGTHS)
    use, fatigue = figure("service_tension"), figure("fatigue_fraction").value
    wide = np.hypot(scatter, use.sigma)[..., None]
    once = normal_cdf((stress[..., None] - factor * tension) / scatter[..., None])
    in_use = stress[None] + growths[:, None, None] + use.value
    later = normal_cdf((in_use[..., None] - factor * fatigue * tension) / wide)
    shivers = normal_cdf((-stress[..., None] - factor * compression) / scatter[..., None])
    crazes = np.minimum(np.maximum(once[None], later), 1.0 - shivers[None])
    return Chances(np.minimum(once, 1.0 - shivers), crazes, shivers)


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


def family_likelihoods(ground: Ground, tiles: Sequence[TileEvidence]) -> dict[str, Array]:
    """Joint likelihood of each family's tiles, (K, T, D, S), not yet averaged over its offset and
    strength.
    """
    found: dict[str, Array] = {}
    for tile in tiles:
        new = likelihood_of(ground, tile)
        family = tile.glaze.family
        found[family] = found[family] * new if family in found else new
    return found


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
    """The posterior of the clay's expansion, the weight of each tile, and the tiles that contradict the
    rest.
    """
    ground = ground_of(known_body(body, cone, None, reasoned))
    alone: list[Array] = [np.empty(0)] * len(tiles)
    without: list[Array] = [np.empty(0)] * len(tiles)
    joint: dict[str, Array] = {}
    together: dict[tuple[int, int], Array] = {}
    for family, members in families(tiles).items():
        each = [likelihood_of(ground, tiles[i]) for i in members]
        logs = np.sum(np.log(each), axis=0)
        joint[family] = average_family(np.exp(logs))
        for i, own in zip(members, each, strict=True):
            alone[i], without[i] = average_family(own), average_family(np.exp(logs - np.log(own)))
        together |= {
            (members[a], members[b]): average_family(each[a] * each[b])
            for b in range(len(members)) for a in range(b)
        }  # fmt: skip
    final = posterior(ground, list(joint.values()))
    left_out = [_left_out(ground, joint, tile.glaze.family, without[i]) for i, tile in enumerate(tiles)]
    curve = final.sum(axis=0)
    moved = [divergence(curve, (rest / rest.sum()).sum(axis=0)) for rest in left_out]
    total = sum(moved) or 1.0
    evidence = evidence_for(ground, list(joint.values()))
    surprising = [(i, evidence / float(rest.sum())) for i, rest in enumerate(left_out)]
    return Learned(
        prior=grid_estimate(ground, ground.prior, ground.clay.basis, ground.clay.sources, ground.clay.caveats),
        posterior=learned_estimate(ground, curve, len(tiles)),
        thetas=tuple(ground.thetas.tolist()),
        prior_curve=tuple(ground.prior.tolist()),
        curve=tuple(curve.tolist()),
        weights=tuple((tile.id, share / total) for tile, share in zip(tiles, moved, strict=True)),
        contradictions=_contradictions(ground, tiles, surprising, alone, together),
    )


def likelihood_of(ground: Ground, tile: TileEvidence) -> Array:
    """Likelihood of one tile's result, (K, T, D, S)."""
    return chances(ground, tile.glaze).likelihood(tile.result, tile.revealed)


def _left_out(ground: Ground, joint: dict[str, Array], family: str, without: Array) -> Array:
    """Prior times the likelihood of every tile but one, (K, T), not scaled."""
    others = [likelihood for name, likelihood in joint.items() if name != family]
    return np.asarray(ground.joint_prior * without * math.prod(others))


def _contradictions(
    ground: Ground,
    tiles: Sequence[TileEvidence],
    surprising: Sequence[tuple[int, float]],
    alone: Sequence[Array],
    together: dict[tuple[int, int], Array],
) -> tuple[Contradiction, ...]:
    found = []
    for i, chance in sorted(surprising, key=lambda pair: pair[1]):
        if chance < _SURPRISING and len(tiles) > 1:
            ratios = {j: _ratio(ground, i, j, alone, together) for j in range(len(tiles)) if j != i}
            found.append(Contradiction(tiles[i].id, tiles[min(ratios, key=ratios.__getitem__)].id, chance))
    return tuple(found)


def _ratio(ground: Ground, i: int, j: int, alone: Sequence[Array], together: dict[tuple[int, int], Array]) -> float:
    """How much less likely two results are together than if they had nothing to do with each other."""
    prior = ground.joint_prior
    both = together.get((min(i, j), max(i, j)), alone[i] * alone[j])
    return float((prior * both).sum() / ((prior * alone[i]).sum() * (prior * alone[j]).sum()))


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
    caveats = (*caveats, f"mean from 20 to {REFERENCE_DEGC:.0f} degC")
    return Estimate("body_expansion", value, low, high, "1e-6/K", basis, sources, caveats)


def learned_estimate(ground: Ground, curve: Array, tiles: int) -> Estimate:
    """The posterior as the Estimate that the check uses."""
    if not tiles:
        return grid_estimate(ground, curve, ground.clay.basis, ground.clay.sources, ground.clay.caveats)
    words = f"learned from {tiles} tile{'s' if tiles > 1 else ''}"
    return grid_estimate(ground, curve, Basis.LEARNED, ground.clay.sources, (words,))
