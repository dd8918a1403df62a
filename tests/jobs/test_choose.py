"""Chosen tiles against tiles taken by chance: what is learnt of where crazing begins, in simulated firings."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtr

from glazecalc.chemistry.batches import square_parts, triaxial_parts
from glazecalc.jobs.tile_places import LOCAL_SIGMA, SHARED_SIGMA, belief, choose, wrong_by_chance, wrong_percent


def plan(kind, rng):
    """A blend whose chance of crazing runs from nearly none to nearly sure, as between unlike corners."""
    parts = triaxial_parts(6) if kind == "triangle" else square_parts(5, 7)
    shares = parts / parts.sum(axis=1, keepdims=True)
    corners = rng.dirichlet(np.ones(8), parts.shape[1])
    lean = shares @ rng.permutation(np.linspace(-5, 5, parts.shape[1]))
    return ndtr(lean / np.sqrt(1 + SHARED_SIGMA**2 + LOCAL_SIGMA**2)), shares @ corners


def believed_lean(before, rows, came_out):
    """What a learner believes of every tile once those in ``rows`` came out so, (t, r); Laplace, probit."""
    rows = np.asarray(rows)
    sign = np.where(came_out, 1.0, -1.0)
    among, across = before.covariance[np.ix_(rows, rows)], before.covariance[:, rows]
    mean = before.lean[rows]
    f = np.tile(mean, (len(sign), 1))
    for _ in range(12):
        z = sign * f
        slope = np.exp(-z * z / 2) / np.sqrt(2 * np.pi) / np.maximum(ndtr(z), 1e-12)
        weight = np.maximum(slope * (slope + z), 1e-9)
        target = weight * (f - mean) + sign * slope
        inner = np.linalg.solve(np.eye(len(rows)) + weight[:, :, None] * among, target[:, :, None])
        f = mean + (among @ inner)[:, :, 0]
    return before.lean + np.linalg.solve(among, (f - mean).T).T @ across.T


def simulate(kind, count, plans=12, truths=600, seed=20):
    """Percent of a plan guessed on the wrong side: chosen, as many by chance, whole plan, none; a row a plan."""
    rng, found = np.random.default_rng(seed), []
    for _ in range(plans):
        crazing, fractions = plan(kind, rng)
        before = belief(crazing, fractions)
        n = len(crazing)
        root = np.linalg.cholesky(before.covariance + 1e-9 * np.eye(n))
        truth = before.lean + rng.standard_normal((truths, n)) @ root.T
        came_out = truth + rng.standard_normal((truths, n)) > 0

        def wrong(rows, some=slice(None), before=before, truth=truth, came_out=came_out):
            lean = believed_lean(before, rows, came_out[some][:, rows])
            return np.mean((lean > 0) != (truth[some] > 0))

        each = [slice(i, i + 20) for i in range(0, truths, 20)]
        by_chance = np.mean([wrong(rng.choice(n, count, replace=False), some) for some in each])
        none = np.mean((before.lean > 0) != (truth > 0))
        found.append([wrong(list(choose(before, count))), by_chance, wrong(list(range(n))), none])
    return 100 * np.array(found)


@pytest.mark.parametrize(("kind", "count"), [("triangle", 6), ("square", 9)])
def test_chosen_tiles_teach_more_than_as_many_by_chance(kind, count):
    """Simulated firings with a fixed seed; the figures are those of docs/tiles.md."""
    found = simulate(kind, count)
    ours, chance, whole, none = found.mean(axis=0)
    print(
        f"\n{kind}: {count} chosen {ours:.1f} % wrong, by chance {chance:.1f} %, "
        f"whole plan {whole:.1f} %, none {none:.1f} %"
    )
    gain = found[:, 1] - found[:, 0]
    assert gain.mean() > 2 * gain.std(ddof=1) / np.sqrt(len(gain))
    assert whole < ours < chance < none


def test_each_tile_is_the_best_to_add_to_those_before_it():
    crazing, fractions = plan("triangle", np.random.default_rng(3))
    before = belief(crazing, fractions)
    chosen = choose(before, 4)
    weights = before.untold
    for i, best in enumerate(chosen):
        losses = {}
        for j in set(range(len(crazing))) - set(chosen[:i]):
            losses[j] = np.mean((before.believed(before.told(weights, j)) - before.sides) ** 2)
        assert losses[best] == pytest.approx(min(losses.values()), rel=1e-5)
        weights = before.told(weights, best)


def test_more_tiles_teach_more():
    crazing, fractions = plan("square", np.random.default_rng(5))
    before = belief(crazing, fractions)
    wrong = [wrong_percent(before, choose(before, n)) for n in (1, 4, 12)]
    assert wrong_percent(before, ()) > wrong[0] > wrong[1] > wrong[2]
    assert wrong_by_chance(before, 4) > wrong[1]


def test_tiles_are_spread_and_near_the_boundary():
    parts = triaxial_parts(11)
    shares = parts / 10
    before = belief(ndtr(3 * (shares[:, 0] - 0.5)), shares)
    chosen = choose(before, 12)
    assert len(set(chosen)) == 12
    near = np.abs(shares[:, 0] - 0.5)
    assert near[list(chosen)].mean() < near.mean()
    assert shares[list(chosen), 1].max() - shares[list(chosen), 1].min() > 0.4


def test_without_a_clay_the_formula_space_is_covered():
    shares = triaxial_parts(6) / 5
    before = belief(np.full(21, 0.5), shares)
    chosen = shares[list(choose(before, 6))]
    assert (chosen.max(axis=0) - chosen.min(axis=0) >= 0.6).all()
