"""The hand method: its order, where it applies, where it says that it does not."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.chemistry.composition import vector
from glazecalc.jobs.resolve_batch import by_hand, leading_oxide

SPAR, CHALK, CHINA, SAND = (
    vector({"K2O": 1, "Al2O3": 1, "SiO2": 6}), vector({"CaO": 1}), vector({"Al2O3": 1, "SiO2": 2}), vector({"SiO2": 1}),
)  # fmt: skip
NAMES = ["feldspar", "whiting", "kaolin", "quartz"]
MOLES = np.stack([SPAR, CHALK, CHINA, SAND])


@given(st.floats(0.1, 0.5), st.floats(0.0, 1.0), st.floats(0.0, 6.0))
def test_equivalents_are_taken_in_the_textbook_order(potash: float, clay: float, quartz: float) -> None:
    target = potash * SPAR + (1 - potash) * CHALK + clay * CHINA + quartz * SAND
    steps = by_hand(target, NAMES, MOLES, 1e-9)
    assert steps is not None
    assert [s.material for s in steps] == NAMES
    assert [s.oxide for s in steps] == ["K2O", "CaO", "Al2O3", "SiO2"]
    assert [s.equivalents for s in steps] == pytest.approx([potash, 1 - potash, clay, quartz], abs=1e-9)
    brought = sum(vector(dict(s.brings)) for s in steps)
    assert brought == pytest.approx(target, abs=1e-5)


def test_the_order_of_the_shelf_does_not_matter() -> None:
    target = vector({"K2O": 0.3, "CaO": 0.7, "Al2O3": 0.5, "SiO2": 4.0})
    one = by_hand(target, NAMES, MOLES)
    two = by_hand(target, NAMES[::-1], MOLES[::-1])
    assert one == two


@pytest.mark.parametrize(
    "target",
    [
        {"K2O": 0.3, "CaO": 0.7, "Al2O3": 0.2, "SiO2": 4.0},  # feldspar brings more alumina than there is
        {"K2O": 0.3, "CaO": 0.7, "Al2O3": 0.5, "SiO2": 2.0},  # and more silica
        {"K2O": 0.3, "CaO": 0.6, "ZnO": 0.1, "Al2O3": 0.5, "SiO2": 4.0},  # nothing brings zinc
    ],
)
def test_where_it_does_not_apply_it_says_so(target: dict[str, float]) -> None:
    assert by_hand(vector(target), NAMES, MOLES) is None


def test_two_sources_of_one_oxide_are_beyond_it() -> None:
    target = vector({"K2O": 0.3, "CaO": 0.7, "Al2O3": 0.5, "SiO2": 4.0})
    assert by_hand(target, [*NAMES, "chalk"], np.vstack([MOLES, CHALK])) is None


def test_a_frit_leads_with_its_boron() -> None:
    assert leading_oxide(vector({"B2O3": 2, "Na2O": 1})) == "B2O3"
    assert leading_oxide(vector({"SiO2": 1, "Fe2O3": 0.01})) == "SiO2"
