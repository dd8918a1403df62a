"""No change brings in, unasked, what a potter would not put into a glaze: sand and grog are grains, not powder."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from glazecalc.files.card import read_recipe_text
from glazecalc.files.materials import built_in_materials
from glazecalc.jobs import requests
from glazecalc.jobs.bench import open_bench
from glazecalc.jobs.materials import coarse, pantry
from glazecalc.jobs.palette import Wishes
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Material


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    folder = tmp_path / "studio"
    shutil.copytree(data_root() / "recipes", folder)
    (folder / "materials.csv").write_text("name,SiO2,Al2O3\nBeach sand,98,2\n", encoding="utf-8")
    (folder / "stock.csv").write_text(
        "name,grams\nBeach sand,5000\nKaolin,5000\nWhiting,5000\nPotash feldspar,5000\n", encoding="utf-8"
    )
    return folder


# Common practice, no source: sand and grog go into clay, the quartz of a glaze is ground (a flour).
@pytest.mark.parametrize(("name", "grains"), [
    ("Beach sand", True), ("Silica sand", True), ("Sand, feldspathic", True), ("Grog, white", True), ("GROG", True),
    ("Silica", False), ("Sand, ground", False), ("Milled sand", False), ("Sandstone feldspar", False),
    ("Sand 325 mesh", False), ("Kaolin", False),
])  # fmt: skip
def test_what_is_grains(name: str, grains: bool) -> None:
    assert coarse(Material(name=name, formula="SiO2")) is grains


def test_no_change_offers_sand_unasked(studio: Path) -> None:
    card = studio / "brine-crackle.txt"
    recipe, _ = read_recipe_text(card.read_text())
    assert recipe is not None
    bench = open_bench((str(card),))
    result, _ = requests.adjust(bench, recipe)
    tried = [*result.options, *([result.nearest] if result.nearest else [])]
    assert tried
    assert not any("sand" in c.material.casefold() for option in tried for c in option.changes)
    assert not any("sand" in name.casefold() for name in result.would_help)
    asked, _ = requests.adjust(bench, recipe, wishes=Wishes(use=("Beach sand",)))
    tried = [*asked.options, *([asked.nearest] if asked.nearest else [])]
    assert any(c.material == "Beach sand" for option in tried for c in option.changes)


def test_the_shelf_knows_its_grains() -> None:
    found = {m.name for m in pantry(built_in_materials()).materials if coarse(m)}
    assert {"Silica sand", "Grog", "Quartz sand (published 1892)"} <= found and "Silica" not in found
