"""Rounding to the scale, the smallest adequate batch, and mending: against brute force and search."""

from __future__ import annotations

import itertools
import random
import time

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from glazecalc.chemistry.batches import adequate, least_extra, round_to_steps, scale_for, smallest_batch, weigh_out
from glazecalc.values.inputs import Scale

FINE = Scale(name="fine", resolution_g=0.01, capacity_g=100)
COARSE = Scale(name="coarse", resolution_g=1.0, capacity_g=5000)
BENCH = Scale(name="bench", resolution_g=0.1)

targets = st.lists(st.floats(0.05, 60), min_size=1, max_size=7)


def errors(steps, exact):
    relative = [abs(s - t) / t for s, t in zip(steps, exact, strict=True)]
    return max(relative), sum(r * r for r in relative)


def by_brute_force(exact):
    """The best of every way to take each line down or up a step, the rounded total kept."""
    choices = [{max(int(t), 1), max(int(t) + 1, 1)} if abs(t - round(t)) > 1e-9 else {round(t)} for t in exact]
    best = None
    for steps in itertools.product(*choices):
        if sum(steps) == round(sum(exact)) and (best is None or errors(steps, exact) < errors(best, exact)):
            best = steps
    return best


@given(targets)
@example([10.625, 13.75, 0.5])
@settings(max_examples=400, deadline=None)
def test_rounding_is_the_best_there_is(exact):
    best = by_brute_force(exact)
    ours = round_to_steps(exact)
    if best is None:  # the least of one step a line makes the rounded total unreachable
        assert any(t < 1 for t in exact)
        return
    assert sum(ours) == round(sum(exact))
    assert errors(ours, exact)[0] == pytest.approx(errors(best, exact)[0], abs=1e-12)
    assert errors(ours, exact)[1] <= errors(best, exact)[1] + 1e-12


@given(targets, st.floats(0, 5))
def test_lines_are_nearest_where_the_total_may_move(exact, tolerance):
    """Nearest of all steps, by trying the three about each target; a total out of tolerance is kept instead."""
    may_move = tolerance / 100 * sum(exact)
    ours = round_to_steps(exact, total_may_move=may_move)
    least = [min(abs(s - t) for s in (int(t), int(t) + 1, int(t) + 2) if s >= 1) for t in exact]
    nearest = [max(round(t), 1) for t in exact]
    if abs(sum(nearest) - sum(exact)) <= may_move:
        assert [abs(s - t) for s, t in zip(ours, exact, strict=True)] == pytest.approx(least)
        assert abs(sum(ours) - sum(exact)) <= may_move
    else:
        assert ours == round_to_steps(exact)


@given(targets)
def test_no_line_moves_a_whole_step_and_none_is_lost(exact):
    for steps, target in zip(round_to_steps(exact), exact, strict=True):
        assert steps >= 1
        assert abs(steps - target) < 1 + 1e-9


def test_whole_steps_stay_as_they_are():
    assert round_to_steps([3.0, 5.0, 92.0]) == (3, 5, 92)


def test_a_large_line_bears_the_step_rather_than_a_small_one():
    assert round_to_steps([1.5, 98.5]) == (2, 98) or round_to_steps([1.5, 98.5]) == (1, 99)
    assert round_to_steps([1.4, 90.4, 8.2]) == (1, 91, 8)


def first_by_search(shares, scales, tolerance):
    """The first batch, a step at a time from nothing, of which every line is within tolerance."""
    step = min(s.resolution_g for s in scales)
    count = 1
    while not adequate(shares, count * step, scales, tolerance):
        count += 1
    return count * step


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("scales", [(BENCH,), (COARSE,), (FINE, COARSE)], ids=["0.1 g", "1 g", "two scales"])
def test_smallest_batch_is_the_first_one_a_search_finds(seed, scales):
    draw = random.Random(seed)
    parts = [draw.uniform(3, 40) for _ in range(draw.randint(2, 6))]
    shares = [p / sum(parts) for p in parts]
    tolerance = draw.choice([2.0, 3.0, 5.0])
    assert smallest_batch(shares, scales, tolerance) == pytest.approx(first_by_search(shares, scales, tolerance))


def test_the_smallest_batch_holds_and_the_one_before_it_does_not():
    shares = [0.5, 0.3, 0.19, 0.01]
    batch = smallest_batch(shares, [BENCH], 2.0)
    assert adequate(shares, batch, [BENCH], 2.0)
    assert not adequate(shares, batch - 0.1, [BENCH], 2.0)
    assert all(w.worst_percent <= 2.0 + 1e-9 for w in weigh_out([batch * s for s in shares], [BENCH]))


def test_a_least_load_of_the_scale_counts():
    shares = [0.9, 0.1]
    plain = smallest_batch(shares, [BENCH], 5.0)
    with_least = smallest_batch(shares, [Scale(resolution_g=0.1, minimum_g=5)], 5.0)
    assert plain < with_least
    assert with_least * 0.1 >= 5 - 1e-9


def test_no_batch_is_adequate_without_tolerance_or_beyond_the_largest():
    assert smallest_batch([0.5, 0.5], [BENCH], 0.0) is None
    assert smallest_batch([0.999999, 0.000001], [BENCH], 1.0, largest_g=1000) is None


def test_each_line_goes_on_the_finest_scale_that_bears_it():
    assert scale_for(50, [COARSE, FINE]).name == "fine"
    assert scale_for(500, [COARSE, FINE]).name == "coarse"
    assert scale_for(90_000, [COARSE, FINE]).name == "coarse"
    assert weigh_out([12_000.0], [COARSE])[0].goes == 3
    with pytest.raises(ValueError, match="no scale"):
        scale_for(1, [])


@given(
    st.lists(st.floats(0.5, 500), min_size=2, max_size=8),
    st.lists(st.floats(0, 3).map(lambda f: 0.0 if f < 1e-9 else f), min_size=8, max_size=8),
)
def test_mending_restores_the_recipe_and_takes_the_least(wanted, factors):
    in_pot = [w * f for w, f in zip(wanted, factors, strict=False)]
    if max(in_pot) <= 0:
        return
    extra = least_extra(wanted, in_pot)
    after = [a + b for a, b in zip(in_pot, extra, strict=True)]
    assert min(extra) == 0.0  # nothing smaller would do: this line is full
    scale = sum(after) / sum(wanted)
    for got, want in zip(after, wanted, strict=True):
        assert got / scale == pytest.approx(want, rel=1e-6)


def test_a_scale_that_weighs_only_tons_is_answered_at_once():
    heavy = Scale(resolution_g=0.01, minimum_g=900.0)
    start = time.process_time()
    batch = smallest_batch([0.5, 0.3, 0.2], [heavy], 1.0)
    assert time.process_time() - start < 2.0
    assert batch is None or batch >= 900.0 / 0.2 * 0.999
