"""`materials`: sheets of several materials, renaming, removing, stock, and undoing each."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO

SHEET = "Material,SiO2,Al2O3,K2O,Na2O,LOI\nQuay ball clay,54,29,2.2,0.4,14\nQuay spar,66,19,11,4,0\n"


@pytest.fixture
def studio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "studio"
    shutil.copytree(DEMO, folder)
    monkeypatch.chdir(folder)
    (folder / "sheet.csv").write_text(SHEET, encoding="utf-8")
    return folder


def tables(folder: Path) -> dict[str, bytes]:
    return {name: (folder / name).read_bytes() for name in ("materials.csv", "stock.csv") if (folder / name).is_file()}


def test_every_row_of_a_sheet_is_added_with_its_hazards(run, studio: Path) -> None:
    got = run("materials", "--add", "sheet.csv", "--json")
    assert got.code == 0 and [m["name"] for m in got.json["results"]] == ["Quay ball clay", "Quay spar"]
    assert all("silica_dust" in m["hazards"] and "from_kind" in m["hazards"] for m in got.json["results"])
    shown = run("materials", "quay spar").out
    assert "not read on its" in " ".join(shown.split())
    again = run("materials", "--add", "sheet.csv", "--json")
    assert (again.code, again.json["problems"][-1]["code"]) == (2, "name-twice")


CHANGES = {
    "a sheet added": ["--add", "sheet.csv"],
    "a material renamed": ["--rename", "Quay spar=Window spar"],
    "a material removed": ["--remove", "Quay spar"],
    "stock corrected": ["--stock", "Silica=1.5kg", "--stock", "Quay spar=2lb"],
    "stock taken off": ["--stock", "Talc="],
    "stock not weighed": ["--stock", "Kaolin=?"],
}


@pytest.mark.parametrize("words", CHANGES.values(), ids=CHANGES)
def test_every_change_is_undone(words: list[str], run, studio: Path) -> None:
    if words[0] != "--add":
        run("materials", "--add", "sheet.csv")
    run("materials", "--stock", "Quay spar=100g")
    before = tables(studio)
    assert run("materials", *words).code == 0
    assert tables(studio) != before
    assert run("materials", "--undo").code == 0
    assert tables(studio) == before


def test_undo_goes_back_to_the_first_and_then_says_so(run, studio: Path) -> None:
    (studio / "stock.csv").unlink()
    before = tables(studio)
    run("materials", "--add", "sheet.csv"), run("materials", "--stock", "Silica=1kg")
    assert run("materials", "--undo").code == run("materials", "--undo").code == 0
    assert tables(studio) == before
    got = run("materials", "--undo", "--json")
    assert (got.code, got.json["problems"][0]["code"]) == (2, "nothing-to-undo")


def test_a_renamed_material_is_still_found_by_its_old_name(run, studio: Path) -> None:
    run("materials", "--add", "sheet.csv"), run("materials", "--stock", "Quay spar=100g")
    assert run("materials", "--rename", "quay spar=Window spar").code == 0
    for name in ("Quay spar", "Window spar"):
        assert run("materials", name, "--json").json["results"][0]["name"] == "Window spar"
    got = run("materials", "--rename", "Window spar=Quay ball clay", "--json")
    assert got.json["problems"][0]["code"] == "name-twice"


def test_what_is_shipped_or_still_named_is_said(run, studio: Path) -> None:
    got = run("materials", "--remove", "Silica", "--json")
    assert got.code == 2 and "not-own" in [p["code"] for p in got.json["problems"]]
    run("materials", "--add", "sheet.csv")
    (studio / "mine.txt").write_text("name: Mine\n\nQuay spar 60\nSilica 40\n", encoding="utf-8")
    got = run("materials", "--remove", "Quay spar", "--json")
    assert got.code == 0 and [p["code"] for p in got.json["problems"]] == ["still-named"]


@pytest.mark.parametrize(
    "words", [["--stock", "Silica"], ["--stock", "Silica=many"], ["--rename", "x"], ["--stock", "=1g"]]
)
def test_what_cannot_be_is_refused_and_changes_nothing(words: list[str], run, studio: Path) -> None:
    before = tables(studio)
    assert run("materials", *words).code == 2
    assert tables(studio) == before


def test_a_sheet_that_is_not_there_is_told_with_the_ones_that_are(run, tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "delivery.csv").write_text("name,SiO2\nFlint,100\n")
    said = run("materials", "--add", "delivry.csv", "--json")
    (told,) = said.json["problems"]
    assert said.code == 2 and told["code"] == "no-such-file" and "delivery.csv" in told["hint"]


@pytest.mark.parametrize("mass", ["1e-9g", "0.001g", "-5g", "0"])
def test_a_batch_too_small_to_weigh_is_refused_with_a_way_out(mass: str, run, tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "card.txt").write_text("name: Plain\n\nSilica 50\nKaolin 50\n")
    said = run("weigh", "card.txt", "--dry", mass, "--json")
    assert said.code == 2 and all(p["hint"] for p in said.json["problems"] if p["severity"] == "error")
