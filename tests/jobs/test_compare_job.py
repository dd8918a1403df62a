"""Recipes side by side: the tables agree with the checks, relatives are near, differences are the ones that matter."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from glazecalc.files.card import read_recipe
from glazecalc.jobs.compare import compare
from glazecalc.jobs.setup import Setup
from glazecalc.values.answers import ProblemsError
from glazecalc.values.cones import Cone
from glazecalc.values.results.adjust import Comparison
from tests.jobs.cases import clay, recipe_of, shelf

RECIPES = Path(__file__).resolve().parents[2] / "recipes"
SETTING = Setup(body=clay(), cone=Cone("6"))
FAMILY = tuple(card for card in (read_recipe(str(p))[0] for p in sorted(RECIPES.glob("*.txt"))) if card is not None)


def together(*names: str) -> Comparison:
    cards = [card for name in names for card in FAMILY if card.name == name]
    return compare([(card, SETTING) for card in cards], shelf(), FAMILY)


def test_a_celadon_is_the_nearest_relative_of_a_limestone_clear() -> None:
    """The two share their feldspar, lime, clay and silica; only 1 % of iron sets them apart."""
    result = together("Old pier limestone", "Kelp celadon")
    first, second = result.entries
    assert first.character is None
    assert second.character is not None
    assert first.relatives[0].name == "Kelp celadon"
    assert second.relatives[0].name == "Old pier limestone"
    assert first.relatives[0].distance == pytest.approx(second.character.distance, abs=1e-6)
    assert second.character.shifts[0].oxide == "Fe2O3"


def test_tables_hold_every_material_and_oxide_once() -> None:
    result = together("Shoal clear", "Brine crackle", "Verdigris satin")
    materials = dict(result.materials)
    assert len(materials) == len(result.materials)
    for i, entry in enumerate(result.entries):
        assert entry.check.batch is not None
        for line in entry.check.batch.lines:
            name = f"+ {line.material}" if line.addition else line.material
            assert materials[name][i] == pytest.approx(line.percent)
        assert entry.check.formula is not None
        for oxide, values in result.oxides:
            assert values[i] == entry.check.formula.unity().get(oxide)


def test_differences_that_matter_are_said() -> None:
    result = together("Shoal clear", "Brine crackle")
    told = " ".join(result.differences)
    assert "higher than Shoal clear: it crazes sooner" in told
    moved = dict(result.oxides)
    said = dict(re.findall(r": (\w+) goes (up|down), ", told))
    assert said == {"Na2O": "up", "CuO": "up", "B2O3": "down", "Al2O3": "up"}
    for oxide, way in said.items():
        first, other = (value or 0.0 for value in moved[oxide])
        assert f"{oxide} goes {way}, {first:.2f} to {other:.2f}" in told
        assert (other > first) is (way == "up")
    back = " ".join(together("Brine crackle", "Shoal clear").differences)
    assert "lower than Brine crackle" in back
    assert "Na2O goes down" in back and "B2O3 goes up" in back


def test_the_same_recipe_under_two_names_has_nothing_to_tell_apart() -> None:
    lines = {"Potash feldspar": 40, "Silica": 30, "Whiting": 20, "Kaolin": 10}
    result = compare([(recipe_of(lines, name="a"), SETTING), (recipe_of(lines, name="b"), SETTING)], shelf())
    assert result.entries[1].character is not None
    assert result.entries[1].character.distance == 0.0
    assert [d for d in result.differences if "goes" in d] == []


def test_a_jar_can_stand_beside_a_recipe() -> None:
    result = together("Shoal clear", "Seafoam, from a jar")
    assert result.entries[1].character is None
    assert all(values[1] is None for _, values in result.oxides)


def test_one_recipe_cannot_be_compared() -> None:
    with pytest.raises(ProblemsError):
        compare([(FAMILY[0], SETTING)], shelf())


def test_what_harms_in_a_fired_glaze_is_named_with_its_recipe() -> None:
    """Copper can be drawn out of a glaze by food (common practice, no source); the clear holds none."""
    cautions = together("Shoal clear", "Verdigris satin").cautions
    assert any(line.startswith("Verdigris satin:") and "copper" in line for line in cautions)
    assert not any("Shoal clear" in line for line in cautions)
    assert cautions[-1].startswith("Not tested for food")
