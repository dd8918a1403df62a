"""The re-solve set beside brute force on three materials, and its own promises: repeatable, sparse, never worse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from glazecalc.jobs.adjust import starting_points
from glazecalc.jobs.aim import Aim, outlook_of
from glazecalc.jobs.palette import Wishes
from glazecalc.jobs.re_solve import LOOKS_PER_STEP, Start, best_mix, descents
from glazecalc.jobs.setup import Setup
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone
from tests.jobs.cases import aim_for, clay, recipe_of, seeded_aim

THREE = [
    ({"Nepheline syenite": 60.0, "Silica": 25.0, "Whiting": 15.0}, 6.2, 0.6),
    ({"Potash feldspar": 50.0, "Silica": 20.0, "Wollastonite": 30.0}, 5.4, 0.55),
    ({"Soda feldspar": 70.0, "Kaolin": 10.0, "Dolomite": 20.0}, 6.4, 0.5),
    ({"Frit, high-calcium borosilicate": 60.0, "Kaolin": 20.0, "Silica": 20.0}, 5.2, 0.6),
    ({"Spodumene": 30.0, "Silica": 40.0, "Whiting": 30.0}, 7.5, 0.6),
]


def by_brute_force(aim: Aim) -> float:
    """The best objective on a grid of half parts in a hundred, and once more around the best in fiftieths."""
    grid = np.array([(a, b, 100 - a - b) for a in np.arange(0, 100.25, 0.5) for b in np.arange(0, 100.25 - a, 0.5)])
    grid = grid[(grid >= 0).all(axis=1)]
    best = grid[int(np.argmin(aim.objective(grid)))]
    fine = np.arange(-1, 1.001, 0.02)
    near = np.array([(best[0] + a, best[1] + b, best[2] - a - b) for a in fine for b in fine])
    return float(aim.objective(near[(near >= 0).all(axis=1)]).min())


@pytest.mark.parametrize("case", range(len(THREE)))
def test_never_worse_than_brute_force_on_three_materials(case: int) -> None:
    amounts, expansion, level = THREE[case]
    aim = aim_for(recipe_of(amounts), clay(expansion), level)
    ours = best_mix(aim, starting_points(aim), 3)
    assert ours.objective <= 1.01 * by_brute_force(aim) + 1e-3


@pytest.mark.parametrize("seed", range(6))
def test_a_re_solve_is_repeatable_and_keeps_its_promises(seed: int) -> None:
    aim = seeded_aim(seed)
    palette = aim.palette
    once, again = (best_mix(aim, starting_points(aim), 4) for _ in range(2))
    assert (once.amounts == again.amounts).all()
    assert once.amounts.sum() == pytest.approx(palette.start.sum(), rel=1e-9)
    assert (once.amounts >= 0).all()
    assert np.count_nonzero(once.amounts > 1e-3 * palette.free_total) <= 4
    fixed = float(aim.objective(palette.start[None, :])[0])
    free = best_mix(aim, starting_points(aim), len(palette.free))
    assert free.objective <= fixed + 1e-9
    assert free.objective <= once.objective * 1.001 + 1e-6


def test_a_start_that_meets_its_goals_is_left_alone() -> None:
    aim = aim_for(recipe_of({"Potash feldspar": 40, "Silica": 30, "Whiting": 20, "Kaolin": 10}), clay(7.0), 0.5)
    assert bool(aim.met(aim.palette.start[None, :])[0])
    assert descents(aim, [Start(aim.palette.start)])[0].amounts == pytest.approx(aim.palette.start, abs=1e-6)


def test_limits_bind_where_they_are_set() -> None:
    recipe = recipe_of({"Nepheline syenite": 60, "Silica": 15, "Kaolin": 10, "Whiting": 15})
    free = aim_for(recipe, clay(5.8), 0.6)
    unbound = best_mix(free, starting_points(free), 4)
    silica = 1
    assert unbound.amounts[silica] > 20
    bound = aim_for(recipe, clay(5.8), 0.6, Wishes(limit=(("Silica", 18.0),)))
    solved = best_mix(bound, starting_points(bound), 4)
    assert solved.amounts[silica] <= 18.0 + 1e-9
    assert solved.objective >= unbound.objective - 1e-6


@pytest.mark.parametrize("seed", [1, 3, 5, 11, 16])
def test_never_worse_than_differential_evolution(seed: int) -> None:
    """Five cases of tests/bench/adjust_against_evolution.py, one of them with goals that exclude each other."""
    from scipy.optimize import differential_evolution

    aim = seeded_aim(seed)
    columns = aim.palette.free
    fixed = np.where(aim.palette.fixed, aim.palette.start, 0.0)

    def objective(x: np.ndarray) -> np.ndarray:
        rows = np.tile(fixed, (x.shape[1], 1))
        rows[:, columns] = x.T + 1e-9
        return aim.objective(aim.palette.scaled_back(rows))

    bounds = [(0.0, 1.0)] * len(columns)
    found = differential_evolution(objective, bounds, seed=seed, vectorized=True, updating="deferred", polish=False)
    ours = best_mix(aim, starting_points(aim), len(columns))
    assert ours.objective <= 1.01 * float(found.fun) + 1e-3


def test_a_search_that_comes_to_no_end_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    """No mixture of these goes with both goals at cone 14: the solver walked along a kink, 837 looks for two searches."""
    recipe = recipe_of({"Spodumene": 37, "Bentonite": 32, "Talc": 21.5, "Soda feldspar": 11.4})
    aim = aim_for(recipe, clay(5.8), 0.9, Wishes(use=("Kaolin", "Silica", "Dolomite", "Zinc oxide")), melt=True)
    hot = Setup(body=clay(5.8), cone=Cone("14"))
    aim = replace(aim, outlook=outlook_of(hot, aim.palette.composition(aim.palette.start)))
    looks: list[int] = []
    parts = Aim.parts

    def counted(self: Aim, amounts: Array) -> tuple[Array, Array]:
        looks.append(len(amounts))
        return parts(self, amounts)

    monkeypatch.setattr(Aim, "parts", counted)
    steps = 100
    start = aim.palette.start
    ended = descents(aim, [Start(start, steps=steps)])[0]
    assert ended.objective <= float(aim.objective(start[None, :])[0])
    assert 0 < len(looks) <= 2 * LOOKS_PER_STEP * steps + 5
