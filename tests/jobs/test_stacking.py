"""Counting pieces: what fits stays inside and apart, checked by placing them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glazecalc.jobs.stacking import PIECE_GAP_MM, STANDARD_PIECES, WALL_GAP_MM, footprint_mm, on_one_level, stack
from glazecalc.models.kiln import floor_and_girth
from glazecalc.values.inputs import Interior, Kiln, Piece

SHAPES = ("round", "octagon", "decagon", "dodecagon", "square", "box")


def inside(shape: str, width: float, height: float = 300.0, depth: float | None = None) -> Interior:
    return Interior(shape=shape, width_mm=width, height_mm=height, depth_mm=depth)  # type: ignore[arg-type]


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(SHAPES), st.floats(120.0, 700.0), st.floats(30.0, 200.0))
def test_round_pieces_never_take_more_floor_than_there_is(shape: str, width: float, size: float) -> None:
    """Equal circles cover at most pi / sqrt(12) of any area (A. Thue, 1910); their cells reach half a gap
    out."""
    piece = Piece(name="p", width_mm=size, height_mm=50.0)
    count = on_one_level(inside(shape, width), piece)
    clear = width - 2 * WALL_GAP_MM + PIECE_GAP_MM
    if clear <= 0:
        return
    floor = floor_and_girth(inside(shape, max(clear, 20.1)))[0] * 1e6
    assert count * math.pi / 4 * (size + PIECE_GAP_MM) ** 2 <= floor * 1.0001
    if size <= width - 2 * WALL_GAP_MM:
        assert count >= 1
    else:
        assert count == 0


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(SHAPES), st.floats(150.0, 600.0), st.floats(30.0, 150.0))
def test_a_wider_chamber_of_a_square_never_holds_fewer(shape: str, width: float, size: float) -> None:
    piece = Piece(name="p", width_mm=size, height_mm=50.0)
    assert on_one_level(inside("square", width), piece) >= on_one_level(inside("round", width), piece)
    assert on_one_level(inside(shape, width * 1.6), piece) >= on_one_level(inside(shape, width), piece)


@pytest.mark.parametrize(
    ("ratio", "count"), [(1.0, 1), (2.0, 2), (2.155, 3), (2.415, 4), (2.702, 5), (3.0, 7), (3.614, 9), (4.03, 12)]
)
def test_circles_in_a_circle(ratio: float, count: int) -> None:
    """Best known packings of equal circles in a circle: Kravitz 1967; Graham, Lubachevsky et al. 1998."""
    size = 60.0
    width = ratio * (size + PIECE_GAP_MM) - PIECE_GAP_MM + 2 * WALL_GAP_MM
    assert on_one_level(inside("round", width), Piece(name="p", width_mm=size, height_mm=50.0)) == count


def test_square_tiles_in_a_square() -> None:
    tile = Piece(name="tile", width_mm=100.0, depth_mm=100.0, height_mm=8.0)
    assert on_one_level(inside("square", 2 * WALL_GAP_MM + 3 * 100 + 2 * PIECE_GAP_MM), tile) == 9
    assert on_one_level(inside("square", 2 * WALL_GAP_MM + 3 * 100 + 2 * PIECE_GAP_MM - 1), tile) == 4
    oblong = inside("square", 2 * WALL_GAP_MM + 205, depth=2 * WALL_GAP_MM + 310)
    assert on_one_level(oblong, tile) == 6


def test_levels_are_limited_by_height_and_by_shelves() -> None:
    mug = STANDARD_PIECES[0]
    two = stack(Kiln(name="k", interior=inside("round", 300.0, 260.0), shelves=2), mug)
    one = stack(Kiln(name="k", interior=inside("round", 300.0, 260.0), shelves=1), mug)
    low = stack(Kiln(name="k", interior=inside("round", 300.0, 80.0), shelves=2), mug)
    assert two is not None and one is not None and low is not None
    assert (two.levels, two.levels_by_height, one.levels, one.levels_by_height) == (2, 2, 1, 2)
    assert low.per_firing == 0
    assert two.per_firing == 2 * one.per_firing
    floor = stack(Kiln(name="k", interior=inside("square", 160.0, 100.0), shelves=0), mug)
    assert floor is not None
    assert floor.per_firing == 1


def test_a_handle_takes_room_but_not_its_whole_length() -> None:
    mug = Piece(name="mug", width_mm=80.0, height_mm=90.0, handle_mm=30.0)
    assert 80.0 < footprint_mm(mug) < 110.0
    assert on_one_level(inside("octagon", 300.0), mug) < on_one_level(
        inside("octagon", 300.0), Piece(name="cup", width_mm=60.0, height_mm=90.0)
    )


def test_without_an_inside_nothing_is_counted() -> None:
    assert stack(Kiln(name="k"), STANDARD_PIECES[0]) is None
    assert on_one_level(inside("round", 22.0), STANDARD_PIECES[0]) == 0


# Radius of the least circle round n equal circles of radius one: R. L. Graham and others, Discrete Math. 181 (1998) 139-154, and
# the closed forms 1 + 2/sqrt(3), 1 + sqrt(2), 1 + sqrt(2(1 + 1/sqrt(5))), 3, 1 + 1/sin(pi/7) (from memory).
LEAST = {
    1: 1.0, 2: 2.0, 3: 1 + 2 / math.sqrt(3), 4: 1 + math.sqrt(2), 5: 1 + math.sqrt(2 * (1 + 1 / math.sqrt(5))), 7: 3.0, 8: 1 + 1 / math.sin(math.pi / 7), 9: 1 + math.sqrt(2 * (2 + math.sqrt(2))),
    10: 3.8130, 11: 3.9238, 12: 4.0296, 13: 2 + math.sqrt(5), 14: 4.3284, 15: 1 + math.sqrt(6 + 2 / math.sqrt(5) + 4 * math.sqrt(1 + 2 / math.sqrt(5))), 16: 4.6154, 17: 4.7920, 19: 1 + math.sqrt(2) + math.sqrt(6), 20: 5.1223,
}  # fmt: skip


@pytest.mark.parametrize("n", LEAST)
def test_as_many_round_pots_stand_in_a_round_kiln_as_mathematics_allows(n: int) -> None:
    """The pots keep PIECE_GAP_MM apart and WALL_GAP_MM off the wall: circles of their size and the gap in a floor that is a gap wider."""
    across = 95.0 + PIECE_GAP_MM
    need = LEAST[n] * across - PIECE_GAP_MM + 2 * WALL_GAP_MM
    pot = Piece(name="pot", width_mm=95.0, height_mm=50.0)
    assert on_one_level(inside("round", need + 0.05), pot) >= n
    assert on_one_level(inside("round", need - 0.6), pot) < n


def test_the_usual_pieces_are_of_usual_size() -> None:
    """A mug holds a third of a litre and more, a tile is a hand wide, a test tile two fingers (common practice, no source)."""
    of = {piece.name: piece for piece in STANDARD_PIECES}
    assert set(of) == {"mug", "bowl", "tile", "test tile"}
    assert 300 < math.pi / 4 * of["mug"].width_mm ** 2 * of["mug"].height_mm / 1000 < 600 and 20 <= of["mug"].handle_mm <= 40
    assert 130 <= of["bowl"].width_mm <= 180 and 50 <= of["bowl"].height_mm <= 90
    assert of["tile"].width_mm == of["tile"].depth_mm == 100 and of["tile"].height_mm < 12 and 30 <= of["test tile"].width_mm <= 60 and of["test tile"].height_mm > of["test tile"].width_mm
