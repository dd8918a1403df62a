"""Which tile to fire next: the one whose result is expected to tell most about the clay.

Expected information [bits] is the mutual information between a tile's result and the clay's expansion,
under all that the recorded tiles said already, of the clay and of the glaze itself."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.strength import figure
from glazecalc.values.learning import NextTile
from glazecalc.work.learn import (
    RESULTS,
    GlazeOnTile,
    Ground,
    average_family,
    chances,
    posterior,
)

Array = NDArray[np.float64]


def result_chances(ground: Ground, glaze: GlazeOnTile, known: Array | None = None) -> Array:
    """Probability of each result of a tested tile given growth and expansion, (4, K, T), in the order of
    RESULTS.

    ``known`` is the likelihood of the tiles of the same family fired so far, (K, T, D, S).
    """
    possible = chances(ground, glaze)
    revealed = figure("test_reveals").value
    parts = [possible.likelihood(result, revealed) for result in RESULTS]
    if known is None:
        given = [average_family(part) for part in parts]
    else:
        base = average_family(known)
        given = [average_family(part * known) / base for part in parts]
    table = np.array(given)
    return np.asarray(table / table.sum(axis=0))


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
    (:func:`glazecalc.work.learn.family_likelihoods`). The first is the best alone; each further one adds
    most to those before it, one of a family as long as there are others."""
    weights = posterior(ground, [average_family(part) for part in known.values()])
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


def _both(first: Array, second: Array) -> Array:
    """Probabilities of two tiles' results together, given growth and expansion: (R, K, T) x (4, K, T)."""
    return np.asarray((first[:, None] * second[None]).reshape(-1, *second.shape[1:]))


def _next_tile(ground: Ground, name: str, weights: Array, table: Array) -> NextTile:
    joint = (table * weights).sum(axis=1)
    chance = joint.sum(axis=1)
    widths = [3.28971 * _deviation(ground.thetas, row) for row in joint]
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
