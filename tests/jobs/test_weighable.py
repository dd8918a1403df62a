"""Rounding to what can be weighed: whole steps, the total kept, and the best such rounding."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.jobs.palette import finest_step, rounded_to, steps_for

AMOUNTS = st.lists(st.floats(0.0, 80.0), min_size=2, max_size=8).filter(lambda a: sum(a) > 5)


@given(AMOUNTS, st.sampled_from([1.0, 0.5, 0.2, 0.1]))
def test_the_total_is_kept_and_nothing_goes_below_zero(amounts: list[float], step: float) -> None:
    given_row = np.array(amounts)
    row = rounded_to(given_row, step)[0]
    assert row.sum() == pytest.approx(given_row.sum(), abs=1e-9)
    assert (row >= 0).all()
    assert (row[given_row == 0] == 0).all()
    assert np.abs(row - given_row).max() <= step * (1 + len(row)) + 1e-9


@given(st.lists(st.integers(1, 400), min_size=2, max_size=6))
def test_a_recipe_already_in_steps_is_left_alone(tenths: list[int]) -> None:
    row = np.array(tenths) / 10
    assert rounded_to(row, 0.1)[0] == pytest.approx(row)


@pytest.mark.parametrize("seed", range(8))
def test_largest_remainders_are_the_best_rounding(seed: int) -> None:
    """No other set of whole steps with the same total lies nearer (brute force over up and down)."""
    row = 100 * np.random.default_rng(seed).dirichlet(np.ones(5))
    ours = np.abs(rounded_to(row, 1.0)[0] - row).sum()
    low = np.floor(row)
    others = [low + np.array(up) for up in product((0, 1), repeat=5) if sum(up) == round(100 - low.sum())]
    assert ours <= min(np.abs(o - row).sum() for o in others) + 1e-9


def test_fixed_lines_do_not_move() -> None:
    row = np.array([33.33, 33.33, 25.34, 8.0])
    found = rounded_to(row, 1.0, np.array([False, False, False, True]))[0]
    assert found[3] == 8.0
    assert found[:3].sum() == pytest.approx(92.0)


def test_many_rows_are_rounded_at_once() -> None:
    rows = 100 * np.random.default_rng(3).dirichlet(np.ones(6), size=500)
    together = rounded_to(rows, 0.5)
    assert together == pytest.approx(np.vstack([rounded_to(r, 0.5) for r in rows]))


def test_steps_are_no_finer_than_the_scale() -> None:
    assert finest_step(0.1) == 0.1
    assert finest_step(0.01) == 0.01
    assert finest_step(2.0) == 1.0
    assert steps_for(0.5) == (1.0, 0.5)
    assert steps_for(0.1, 200.0) == (2.0, 1.0, 0.4, 0.2)
