"""A clay beyond its measured cones: fired hotter it takes up no more water and shrinks no less (common practice, no
source)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.jobs.body import shrinkage
from glazecalc.models.coat import absorption, beside_measured
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.inputs import AtCone, Body

WARES = st.sampled_from(["earthenware", "stoneware", "porcelain", "terracotta", "other"])
PERCENT = st.floats(0.0, 30.0)
MIDDLE = st.sampled_from(ALL_CONES[4:-4])


@given(ware=WARES, percent=PERCENT, cone=MIDDLE, steps=st.integers(1, 4))
def test_absorption_falls_with_heat(ware, percent, cone, steps):
    body = Body(name="Clay", ware=ware, absorption_percent=(AtCone(cone=cone, percent=percent),))
    hotter = absorption(body, ALL_CONES[cone.position + steps])
    cooler = absorption(body, ALL_CONES[cone.position - steps])
    assert hotter.high <= percent <= cooler.low
    for found in (hotter, cooler):
        assert found.low <= found.value <= found.high


@given(ware=WARES, percent=PERCENT, cone=MIDDLE, steps=st.integers(1, 4))
def test_shrinkage_grows_with_heat(ware, percent, cone, steps):
    body = Body(name="Clay", ware=ware, shrinkage_percent=(AtCone(cone=cone, percent=percent),))
    hotter = shrinkage(body, ALL_CONES[cone.position + steps])
    cooler = shrinkage(body, ALL_CONES[cone.position - steps])
    assert hotter is not None
    assert cooler is not None
    assert cooler.high <= percent <= hotter.low
    for found in (hotter, cooler):
        assert found.low <= found.value <= found.high


def test_only_a_cone_outside_the_measured_ones_has_a_neighbour():
    rows = (AtCone(cone=Cone("04"), percent=11.0), AtCone(cone=Cone("5"), percent=3.0))
    assert beside_measured(rows, Cone("2")) is None
    assert beside_measured(rows, None) is None
    assert beside_measured((), Cone("2")) is None
    assert beside_measured(rows, Cone("6")) == (rows[1], True)
    assert beside_measured(rows, Cone("06")) == (rows[0], False)


@pytest.mark.parametrize("percent", [0.0, 30.0])
def test_a_figure_outside_the_usual_of_its_class_is_believed(percent):
    body = Body(name="Clay", ware="porcelain", absorption_percent=(AtCone(cone=Cone("6"), percent=percent),))
    assert absorption(body, Cone("7")).high <= percent
    assert absorption(body, Cone("5")).low >= percent
