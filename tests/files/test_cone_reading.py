"""A cone is a name; how potters write it is common practice, no source."""

from __future__ import annotations

import pytest

from glazecalc.files.card import read_recipe_text
from glazecalc.files.numbers import read_cone, read_cone_range
from glazecalc.files.problems import Findings
from glazecalc.values.cones import CONE_NAMES


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("6", "6", "6"),
        ("06", "06", "06"),
        ("cone 06", "06", "06"),
        ("Cone6", "6", "6"),
        ("^6", "6", "6"),
        ("c/6", "6", "6"),
        ("\N{GREEK CAPITAL LETTER DELTA}6", "6", "6"),
        ("5-6", "5", "6"),
        ("5/6", "5", "6"),
        ("5 to 6", "5", "6"),
        ("06-04", "06", "04"),
        ("04-06", "06", "04"),
        ("5 1/2", "5.5", "5.5"),
        ("5\N{VULGAR FRACTION ONE HALF}-6", "5.5", "6"),
        ("022", "022", "022"),
    ],
)
def test_cones_as_written(text: str, low: str, high: str) -> None:
    found = Findings(None)
    cones = read_cone_range(text, found, 1)
    assert cones is not None and (cones.low.name, cones.high.name) == (low, high)
    assert found.problems == ()


@pytest.mark.parametrize("name", CONE_NAMES)
def test_every_cone_is_read_back(name: str) -> None:
    found = Findings(None)
    assert str(read_cone(name, found, None)) == name == str(read_cone(f"cone {name}", found, None))
    assert found.problems == ()


def test_a_toml_number_is_a_cone_without_leading_zero() -> None:
    found = Findings(None)
    assert str(read_cone(6, found, None)) == "6"
    assert str(read_cone(5.5, found, None)) == "5.5"
    assert found.problems == ()


@pytest.mark.parametrize("text", ["5-06", "06-6", "04 to 4"])
def test_a_range_over_many_cones_is_asked_about(text: str) -> None:
    found = Findings(None)
    assert read_cone_range(text, found, 1) is not None
    assert [p.code for p in found.problems] == ["cone-suspicious"]


def test_letter_o_and_temperature_have_their_own_hints() -> None:
    for text, word in (("o6", "06"), ("O4", "04"), ("1222 C", "temperature"), ("2232", "temperature")):
        found = Findings(None)
        assert read_cone_range(text, found, 1) is None
        assert word in found.problems[0].hint


@pytest.mark.parametrize(
    ("head", "asked"),
    [
        ("name: Red earthenware clear\ncone: 6", True),
        ("name: Low-fire white\ncone: 5-6", True),
        ("name: Stoneware blue\ncone: 06", True),
        ("name: Celadon\ncone: 06", True),
        ("name: x\ncone: 6\nnotes: bisque 06, glaze 6", True),
        ("name: Stoneware blue\ncone: 6", False),
        ("name: Majolica white\ncone: 06-04", False),
        ("name: x\ncone: 6\nnotes: bisque 04", False),
    ],
)
def test_a_cone_that_does_not_go_with_its_card_is_asked_about(head: str, asked: bool) -> None:
    recipe, problems = read_recipe_text(f"{head}\n\nWhiting 100\n")
    assert recipe is not None
    assert ("cone-suspicious" in [p.code for p in problems]) is asked
    assert recipe.cone is not None and recipe.cone.high.name in head
