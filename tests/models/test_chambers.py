"""Shapes of chambers against plane geometry, and walls of other stuff than brick of group 23."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from glazecalc.files.studio import read_studio
from glazecalc.models.kiln import WALLS, bricks, floor_and_girth, wall_of
from glazecalc.models.kiln_reach import draws_from_plate, reach, weighted_quantile
from glazecalc.values.inputs import SIDES, Interior, Kiln

PLATE = {"name": "k", "volts": 240.0, "amps": 27.0, "wall_mm": 76.0, "firings_on_elements": 0}


@pytest.mark.parametrize(("shape", "sides"), SIDES.items())
def test_floor_and_girth_of_flat_walls(shape: str, sides: int) -> None:
    """Gauss's area of a polygon from its corners, and the sum of its sides; 0.5 m across the flats."""
    radius = 0.25 / math.cos(math.pi / sides)
    turn = np.arange(sides) * 2 * math.pi / sides + math.pi / sides
    x, y = radius * np.cos(turn), radius * np.sin(turn)
    assert float(x.max()) == pytest.approx(0.25)
    area = 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))
    girth = float(np.hypot(x - np.roll(x, -1), y - np.roll(y, -1)).sum())
    found = floor_and_girth(Interior(shape=shape, width_mm=500.0, height_mm=400.0))  # type: ignore[arg-type]
    assert found == pytest.approx((area, girth))


def test_a_front_loading_box_has_its_depth() -> None:
    inside = Interior(shape="box", width_mm=400.0, height_mm=500.0, depth_mm=300.0)
    assert floor_and_girth(inside) == pytest.approx((0.12, 1.4))


def test_better_walls_lose_less() -> None:
    """Handbook order of conductivities: fibre below group 23 brick below group 26 (from memory)."""
    stall = {}
    for name in WALLS:
        inside = Interior(shape="decagon", width_mm=445.0, height_mm=455.0)
        draws = draws_from_plate(Kiln(**PLATE, insulation=name, interior=inside))
        found = reach(draws, 0.6)
        stall[name] = weighted_quantile(found.stall_degC, found.weights, 0.5)
    assert stall["fibre"] > stall["brick 23"] > stall["brick 26"]
    assert stall["brick with backing"] > stall["brick 23"]


def test_backing_is_a_quarter_of_the_wall_in_series() -> None:
    """Layers in series, as in any textbook of heat transfer: thickness over conductivity adds up."""
    found, brick = wall_of("brick with backing"), bricks()[WALLS["brick 23"]]
    for degC, fibre in ((400.0, 0.055), (800.0, 0.070), (1000.0, 0.075)):
        wanted = 1.0 / (0.75 / (brick.k0 + brick.k1 * degC) + 0.25 / fibre)
        assert found.k0 + found.k1 * degC == pytest.approx(wanted, rel=0.06)


@pytest.mark.parametrize(
    ("said", "shape"),
    [("decagon", "decagon"), ("12-sided", "dodecagon"), ("front-loading box", "box"), ("box", "box")],
)
def test_shapes_and_insulation_are_read(said: str, shape: str, tmp_path: Path) -> None:
    text = f'[[kiln]]\nname = "k"\ninsulation = "fiber"\ninterior = {{ shape = "{said}", width_mm = 300, height_mm = 300 }}\n'
    (tmp_path / "studio.toml").write_text(text, encoding="utf-8")
    studio, problems = read_studio(tmp_path)
    assert not problems
    assert studio.kilns[0].interior is not None
    assert (studio.kilns[0].interior.shape, studio.kilns[0].insulation) == (shape, "fibre")
