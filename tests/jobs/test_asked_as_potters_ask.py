"""Cards found by the name in them, cones as a range, brushes, jars, and data sheets that lie among the cards."""

from __future__ import annotations

from pathlib import Path

import pytest

from glazecalc.files.card import read_recipe_text
from glazecalc.files.card_head import is_sheet_text
from glazecalc.files.materials import built_in_materials
from glazecalc.jobs.amount import Wanted
from glazecalc.jobs.bench import card_names, open_bench
from glazecalc.jobs.check import jar_steps
from glazecalc.jobs.materials import pantry
from glazecalc.jobs.setup import cone_named, cones_between
from glazecalc.jobs.weigh import weigh
from glazecalc.values.answers import ProblemsError
from glazecalc.values.cones import Cone
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Scale

CARD = "name: Old Harbour Blue\ncone: 6\n\nWhiting 20\nSilica 40\nPotash feldspar 40\n"
SHEET = "Ball clay B, typical analysis\nSiO2 55.0 %\nAl2O3 28.1\nFe2O3 1.1\nTiO2 1.2\nK2O 2.0\nL.O.I. 11.2\n"
SAFETY = "SAFETY DATA SHEET\nSection 1: product\nCAS No 1332-58-7\nHazard statements: none\nMoisture 12 %\n"


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    (tmp_path / "studio.toml").write_text('[defaults]\ncone = "6"\n')
    (tmp_path / "t17.txt").write_text(CARD)
    (tmp_path / "clay-sheet.txt").write_text(SHEET)
    (tmp_path / "clay-safety.txt").write_text(SAFETY)
    return tmp_path


@pytest.mark.parametrize("name", ["Old Harbour Blue", "old harbour blue", "t17", "t17.txt"])
def test_a_card_is_found_by_the_name_in_it(studio: Path, name: str) -> None:
    assert [r.name for r in open_bench([name], studio).recipes] == ["Old Harbour Blue"]


def test_two_cards_of_one_name_are_said(studio: Path) -> None:
    (studio / "t18.txt").write_text(CARD)
    with pytest.raises(ProblemsError, match=r"t17\.txt and t18\.txt"):
        open_bench(["Old Harbour Blue"], studio)


def test_data_sheets_are_no_cards(studio: Path) -> None:
    assert card_names(studio) == ["t17"]


@pytest.mark.parametrize("path", sorted((data_root() / "recipes").glob("*.txt")), ids=lambda p: p.stem)
def test_no_card_of_the_demo_is_a_sheet(path: Path) -> None:
    assert not is_sheet_text(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("text", ["kind: composition\nbasis: weight\nSiO2 60\nAl2O3 15\nCaO 10\nK2O 5\nLOI 10\n", CARD])
def test_a_card_of_oxides_is_no_sheet(text: str) -> None:
    assert not is_sheet_text(text)


def test_a_range_of_neighbours_is_judged_at_the_hotter() -> None:
    for text in ("5/6", "5-6", "cone 5-6", "^5/6"):
        assert cone_named(text) == Cone("6")
        assert cones_between(text) is not None
    assert cone_named("06") == Cone("06") and cones_between("06") is None
    assert cone_named("5 1/2") == Cone("5.5")
    with pytest.raises(ProblemsError):
        cone_named("06/6")


def test_a_brush_needs_gum_coats_and_drying() -> None:
    recipe, _ = read_recipe_text(CARD)
    assert recipe is not None
    shelf, scales = pantry(built_in_materials()), (Scale(name="scale", resolution_g=0.1),)
    brushed = " ".join(weigh(recipe, shelf, scales, Wanted(dry_g=500, use="brush")).reasons)
    assert all(word in brushed for word in ("gum", "coats", "dry through"))
    dipped = " ".join(weigh(recipe, shelf, scales, Wanted(dry_g=500, use="dip")).reasons)
    assert "gum" not in dipped


@pytest.mark.parametrize(
    ("cone", "told"), [("6", "is on it"), ("8", "may run off"), ("04", "may stay dry"), (None, "none other")]
)
def test_a_jar_is_told_of_coats_overlaps_walls_and_its_label(cone: str | None, told: str) -> None:
    recipe, _ = read_recipe_text("name: Seafoam\nkind: bought\ncone: 5-6\n")
    assert recipe is not None
    steps = " ".join(jar_steps(recipe, None if cone is None else Cone(cone)))
    assert told in steps
    assert all(word in steps for word in ("coats", "Two jars", "upright walls"))


def test_a_card_with_a_batch_is_told_nothing_of_jars() -> None:
    recipe, _ = read_recipe_text(CARD)
    assert recipe is not None and jar_steps(recipe, Cone("6")) == ()
