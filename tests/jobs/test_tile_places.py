"""Tiles stand inside the chamber, apart from each other and the wall, as many as a firing is counted for."""

from __future__ import annotations

import itertools
import math

import pytest

from glazecalc.jobs.stacking import PIECE_GAP_MM, WALL_GAP_MM, on_one_level, spots_on_level
from glazecalc.jobs.tile_places import TEST_TILE, places
from glazecalc.values.inputs import Interior, Kiln, Piece

INSIDES = [
    Interior(shape="octagon", width_mm=290, height_mm=230),
    Interior(shape="round", width_mm=445, height_mm=455),
    Interior(shape="square", width_mm=300, height_mm=300, depth_mm=200),
]
TILES = [TEST_TILE, Piece(name="flat", width_mm=60, depth_mm=60, height_mm=8)]


def inside(shape, half, x, y):
    if shape == "round":
        return math.hypot(x, y) <= half + 1e-6
    return max(abs(x), abs(y)) <= half + 1e-6 and (shape == "square" or abs(x) + abs(y) <= half * math.sqrt(2) + 1e-6)


@pytest.mark.parametrize("tile", TILES, ids=lambda t: t.name)
@pytest.mark.parametrize("chamber", INSIDES, ids=lambda i: i.shape)
def test_spots_do_not_touch_and_are_clear_of_the_wall(chamber, tile):
    spots = spots_on_level(chamber, tile)
    assert len(spots) > 4
    sizes = [(tile.width_mm, tile.depth_mm), (tile.depth_mm, tile.width_mm)]
    free = chamber.width_mm / 2 - WALL_GAP_MM

    def works(w, d):
        apart = all(
            abs(a[0] - b[0]) >= w + PIECE_GAP_MM - 1e-6 or abs(a[1] - b[1]) >= d + PIECE_GAP_MM - 1e-6
            for a, b in itertools.combinations(spots, 2)
        )
        corners = [(x + i * w / 2, y + j * d / 2) for x, y in spots for i in (-1, 1) for j in (-1, 1)]
        return apart and all(inside(chamber.shape, free, *corner) for corner in corners)

    assert any(works(w, d) for w, d in sizes)


@pytest.mark.parametrize("count", [1, 7, 22, 23, 60])
def test_every_tile_has_a_place_of_its_own_and_cones_have_one(count):
    kiln = Kiln(name="k", interior=INSIDES[0], shelves=1)
    found, per_firing = places(kiln, TEST_TILE, count)
    assert per_firing == on_one_level(INSIDES[0], TEST_TILE) - 1
    assert len({(p.firing, p.shelf, p.spot) for p in found}) == count
    assert max(p.firing for p in found) == math.ceil(count / per_firing)


def test_neighbours_in_the_plan_stand_apart_in_the_kiln():
    kiln = Kiln(name="k", interior=INSIDES[1], shelves=1)
    found, _ = places(kiln, TEST_TILE, 21)
    steps = [math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) for a, b in itertools.pairwise(found)]
    assert min(steps) > TEST_TILE.width_mm


def test_an_unknown_inside_has_no_places():
    assert places(None, TEST_TILE, 3) is None
    assert places(Kiln(name="k"), TEST_TILE, 3) is None
    assert places(Kiln(name="k", interior=INSIDES[0]), Piece(name="vase", width_mm=100, height_mm=900), 3) is None
