"""Parts are whole, mixtures are linear, and nothing is lost."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from glazecalc.chemistry.batches import (
    addition_parts,
    corner_totals,
    line_parts,
    mix,
    pot_additions,
    shares,
    square_parts,
    triaxial_parts,
)

corner_amounts = arrays(float, (4, 6), elements=st.floats(0.001, 100))
plans = st.one_of(
    st.integers(2, 12).map(line_parts),
    st.integers(2, 9).map(triaxial_parts),
    st.tuples(st.integers(2, 7), st.integers(2, 7)).map(lambda size: square_parts(*size)),
)


@given(plans, corner_amounts)
@settings(deadline=None)
def test_the_mixture_of_the_corners_is_the_corner_weighted_recipe(parts, amounts):
    corners = amounts[: parts.shape[1]]
    mixed = mix(parts, corners)
    for row, got in zip(parts, mixed, strict=True):
        pot = sum(part * corner for part, corner in zip(row, corners, strict=True))
        assert got == pytest.approx(pot, rel=1e-9)
    assert mixed.sum() == pytest.approx(float(parts.sum(axis=0) @ corners.sum(axis=1)), rel=1e-9)


@given(plans)
def test_parts_are_whole_and_sum_to_the_same(parts):
    assert parts.dtype.kind == "i"
    assert (parts >= 0).all()
    assert len(set(parts.sum(axis=1).tolist())) == 1


@given(plans)
def test_every_corner_stands_by_itself_once(parts):
    total = parts.sum(axis=1)[0]
    assert ((parts == total).sum(axis=0) == 1).all()


@given(plans, arrays(float, 4, elements=st.floats(0.3, 1.2)))
def test_volumes_conserve_dry_matter(parts, contents):
    """What all the tiles hold of a corner is what was poured of it: volume times dry content."""
    contents = contents[: parts.shape[1]]
    found = shares(parts, contents)
    assert found.sum(axis=1) == pytest.approx(np.ones(len(parts)))
    dry_of_tile = (parts * contents).sum(axis=1)
    assert (found * dry_of_tile[:, None]).sum(axis=0) == pytest.approx(parts.sum(axis=0) * contents)


@given(plans, st.floats(0.3, 1.2))
def test_slurries_of_one_dry_content_blend_by_volume_as_by_weight(parts, content):
    assert shares(parts, np.full(parts.shape[1], content)) == pytest.approx(shares(parts))


@given(st.lists(st.sampled_from([0, 0.25, 0.5, 1, 2, 4, 7.5, 12]), min_size=1, max_size=5, unique=True))
def test_additions_are_whole_parts_of_a_whole_base(levels):
    parts = addition_parts(levels)
    assert (100 * parts[:, 1] / parts[:, 0]) == pytest.approx(levels)
    assert (parts[:, 0] % 100 == 0).all()


def test_two_additions_make_a_grid():
    assert addition_parts([0, 5], [0, 10, 20]).tolist() == [
        [100, 0, 0], [100, 0, 10], [100, 0, 20], [100, 5, 0], [100, 5, 10], [100, 5, 20],
    ]  # fmt: skip


def test_corner_batches_are_what_the_tiles_take_and_the_waste():
    parts = triaxial_parts(6)
    totals = corner_totals(shares(parts), 50.0, 10.0)
    assert totals == pytest.approx([21 * 50 / 3 * 1.1] * 3)


@given(
    st.lists(st.floats(0, 20), min_size=2, max_size=8, unique=True),
    st.floats(100, 1000),
    st.floats(0.5, 8),
)
def test_a_pot_passes_through_its_levels(levels, base, tile):
    """Simulated pot: what is in it before each tile is at the level, whatever the tiles took."""
    levels = sorted(levels)
    in_base, in_added = base, 0.0
    for level, extra in zip(levels, pot_additions(levels, base, tile), strict=True):
        in_added += extra
        assert 100 * in_added / in_base == pytest.approx(level, abs=1e-9)
        taken = tile / (in_base + in_added)
        in_base, in_added = in_base * (1 - taken), in_added * (1 - taken)


def test_a_pot_that_is_too_small_or_levels_that_fall_are_refused():
    with pytest.raises(ValueError, match="too small"):
        pot_additions([0, 1, 2], 10, 6)
    with pytest.raises(ValueError, match="rise"):
        pot_additions([2, 1], 100, 1)


@pytest.mark.parametrize("call", [lambda: line_parts(1), lambda: triaxial_parts(1), lambda: square_parts(1, 5),
                                  lambda: addition_parts([-1, 2]), lambda: addition_parts()])  # fmt: skip
def test_plans_that_are_none_are_refused(call):
    with pytest.raises(ValueError, match=r"at least|percentages"):
        call()
