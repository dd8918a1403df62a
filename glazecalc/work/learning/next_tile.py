"""Which tile to fire next: the one whose result is expected to tell most about the clay.

Expected information [bits] is the mutual information between a tile's result and the clay's expansion,
under all that the recorded tiles said already, of the clay and of the glaze itself."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.strength import figure
from glazecalc.values.interval import NINETY
from glazecalc.values.learning import NextTile
from glazecalc.work.fit import fit_arrays
from glazecalc.work.learning.learn import (
    RESULTS,
    Chances,
    GlazeOnTile,
    Ground,
    average_family,
    chances,
    posterior,
)

Array = NDArray[np.float64]

_MOST_COUNTED: Final = 24
"""Expected information is worked out for at most this many candidates."""


def result_chances(ground: Ground, glaze: GlazeOnTile, known: Array | None = None) -> Array:
    """Probability of each result of a tested tile given growth and expansion, (4, K, T), in the order of
    RESULTS.

    ``known`` is the likelihood of the tiles of the same family fired so far, (K, T, D, S).
    """
    possible = chances(ground, glaze)
    revealed = figure("test_reveals").value
    if known is None:
        return _averaged_results(possible, revealed)
    base = average_family(known)
    parts = (average_family(possible.likelihood(result, revealed) * known) / base for result in RESULTS)
    table = np.array(list(parts))
    return np.asarray(table / table.sum(axis=0))


def _averaged_results(possible: Chances, revealed: float) -> Array:
    """The table of :func:`result_chances` for a new family: the likelihoods are linear, so averages come
    first.
    """
    crazes = average_family(possible.crazes)
    once = average_family(possible.once[None])
    shivers = average_family(possible.shivers[None])
    later = revealed * (crazes - once)
    sound = np.maximum(1.0 - once - later - shivers, 0.0)
    table = np.array(list(np.broadcast_arrays(sound, once, later, shivers)))
    slips = figure("record_slips").value
    table = (1.0 - slips) * table / table.sum(axis=0) + slips / len(RESULTS)
    return np.asarray(table)


def information_bits(weights: Array, table: Array) -> float:
    """Mutual information [bits] of a result and the clay's expansion; ``weights`` (K, T), ``table`` (R, K,
    T).
    """
    by_theta = weights.sum(axis=0)
    joint = (table * weights).sum(axis=1)
    return _mutual(joint, by_theta)


def _mutual(joint: Array, by_theta: Array) -> float:
    """Mutual information [bits] from the joint distribution (R, T) of result and expansion."""
    results = joint.sum(axis=1, keepdims=True)
    independent = results * by_theta[None, :]
    where = joint > 1e-300
    return float(np.sum(joint[where] * np.log(joint[where] / independent[where])) / math.log(2.0))


def best_next(
    ground: Ground,
    candidates: Sequence[tuple[str, GlazeOnTile]],
    known: Mapping[str, Array],
    n: int = 3,
) -> tuple[NextTile, ...]:
    """The ``n`` tiles to fire together that should tell most, best first.

    ``known`` holds the likelihoods of the recorded families
    (:func:`glazecalc.work.learning.learn.family_likelihoods`). The first is the best alone; each further one adds
    most to those before it, one of a family as long as there are others."""
    weights = posterior(ground, [average_family(part) for part in known.values()])
    candidates = _likeliest_to_tell(ground, weights, candidates)
    tables = [result_chances(ground, glaze, known.get(glaze.family)) for _, glaze in candidates]
    chosen: list[int] = []
    so_far = np.ones((1, *weights.shape))
    while len(chosen) < min(n, len(candidates), 4):
        taken = {candidates[i][1].family for i in chosen}
        free = [i for i in range(len(candidates)) if i not in chosen]
        fresh = [i for i in free if candidates[i][1].family not in taken] or free
        gains = {i: information_bits(weights, _both(so_far, tables[i])) for i in fresh}
        best = max(fresh, key=lambda i: (gains[i], -i))
        so_far = _both(so_far, tables[best])
        chosen.append(best)
    return tuple(_next_tile(ground, candidates[i][0], weights, tables[i]) for i in chosen)


def _likeliest_to_tell(
    ground: Ground, weights: Array, candidates: Sequence[tuple[str, GlazeOnTile]]
) -> list[tuple[str, GlazeOnTile]]:
    """The candidates whose result is least certain by the check's own figures: the others are not worth the
    count.
    """
    if len(candidates) <= _MOST_COUNTED:
        return list(candidates)
    curve = weights.sum(axis=0)
    middle = float(np.dot(curve, ground.thetas))
    clay = ground.clay.given_reference(middle, _deviation(ground.thetas, curve), ground.clay.basis)
    uncertain = []
    for _, glaze in candidates:
        found = fit_arrays([glaze.value], [glaze.sigma], glaze.set_degC, glaze.modulus_GPa, clay, coat=glaze.coat)
        parts = np.array([found.crazing_probability[0], found.shivering_probability[0], found.sound_probability[0]])
        uncertain.append(float(-(parts * np.log(np.maximum(parts, 1e-12))).sum()))
    best = sorted(range(len(candidates)), key=lambda i: -uncertain[i])[:_MOST_COUNTED]
    return [candidates[i] for i in sorted(best)]


def _both(first: Array, second: Array) -> Array:
    """Probabilities of two tiles' results together, given growth and expansion: (R, K, T) x (4, K, T)."""
    return np.asarray((first[:, None] * second[None]).reshape(-1, *second.shape[1:]))


def _next_tile(ground: Ground, name: str, weights: Array, table: Array) -> NextTile:
    joint = (table * weights).sum(axis=1)
    chance = joint.sum(axis=1)
    widths = [2.0 * NINETY * _deviation(ground.thetas, row) for row in joint]
    return NextTile(
        name=name,
        information_bits=_mutual(joint, weights.sum(axis=0)),
        outcomes=tuple((result, float(p)) for result, p in zip(RESULTS, chance, strict=True)),
        width_after=float(np.dot(chance, widths)),
    )


def _deviation(thetas: Array, weights: Array) -> float:
    total = weights.sum()
    if total <= 0.0:
        return 0.0
    mean = float(np.dot(thetas, weights) / total)
    return math.sqrt(max(float(np.dot((thetas - mean) ** 2, weights) / total), 0.0))
