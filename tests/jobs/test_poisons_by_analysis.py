"""Poisons are told from what is in the batch, whether or not anybody wrote them down, and no change brings them in."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from glazecalc.cli.main import main
from glazecalc.jobs.materials import guarded, hazard_lines, hazards_of
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Material, OxideAmount

OWN = "name,SiO2,PbO,Al2O3,BaO,formula\nOwn soft frit,38,60,2,,\nOwn barium frit,50,,10,40,\n石英,,,,,SiO2\n長石,66,,34,,\n"
CARD = "name: Poison\ncone: 04\n\nOwn soft frit 80\n長石 20\n"


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    folder = tmp_path / "studio"
    shutil.copytree(data_root() / "recipes", folder)
    (folder / "materials.csv").write_text(OWN, encoding="utf-8")
    (folder / "poison.txt").write_text(CARD, encoding="utf-8")
    return folder


def out(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    main([str(word) for word in words])
    return " ".join(capsys.readouterr().out.split())


def test_a_name_in_another_script_means_its_own_row(studio: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = out(capsys, "weigh", studio / "poison.txt", "--dry", "100g")
    assert told.startswith("Holds lead: do not weigh or mix this at home.")
    assert "長石 20.00" in told and "石英" not in told and "Silica 20" not in told
    assert "Quartz" not in out(capsys, "materials", "酸化鉛", "--studio", studio)


def test_rows_that_fold_alike_are_reported(studio: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (studio / "materials.csv").write_text("name,SiO2,PbO\nFrit-B,40,60\nfrit  b,100,\n", encoding="utf-8")
    assert main(["check", str(studio / "shoal-clear.txt"), "--json"]) == 2
    problems = json.loads(capsys.readouterr().out)["problems"]
    assert any(p["code"] == "name-twice" and p["line"] == 3 for p in problems)


@pytest.mark.parametrize("words", [
    ("check", "CARD"), ("weigh", "CARD", "--dry", "100g"), ("kiln", "--recipe", "CARD"),
    ("materials", "Own soft frit"), ("tiles", "CARD", "--add", "Copper carbonate:0,1,2"),
])  # fmt: skip
def test_every_sheet_names_the_lead(words: tuple[str, ...], studio: Path, capsys: pytest.CaptureFixture[str]) -> None:
    typed = [str(studio / "poison.txt") if word == "CARD" else word for word in words]
    assert "lead" in out(capsys, *typed, "--studio", studio).casefold()


def test_labels_lead_with_the_lead_and_tiles_carry_what_they_hold(studio: Path, tmp_path: Path) -> None:
    for kind, word in (("bucket", "POISON: lead"), ("tile", "Holds lead")):
        page = tmp_path / f"{kind}.html"
        main(["labels", str(studio / "poison.txt"), "--kind", kind, "-o", str(page)])
        assert word in page.read_text(encoding="utf-8"), kind


def test_no_change_brings_in_a_poison_uninvited(studio: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (studio / "stock.csv").write_text(
        "name,grams\nOwn soft frit,900\nOwn barium frit,900\nSilica,900\nKaolin,900\nTalc,900\n", encoding="utf-8"
    )
    told = json.loads(_json(capsys, "adjust", studio / "brine-crackle.txt", "--json"))["results"][0]
    names = {line["material"] for option in told["options"] for line in option["recipe"]}
    assert "Talc" in names, "what is in stock comes in"
    assert not names & {"Own soft frit", "Own barium frit"}


def _json(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    main([str(word) for word in words])
    return capsys.readouterr().out


def test_adjust_judges_kiln_and_clay_as_check_does(capsys: pytest.CaptureFixture[str]) -> None:
    card = data_root() / "recipes" / "old-pier.txt"
    told = json.loads(_json(capsys, "adjust", card, "--cone", "10", "--json"))
    assert told["answer"] == "does_not_fit"
    assert "rated for cone 8" in out(capsys, "adjust", card, "--cone", "10")


@pytest.mark.parametrize("batch", ["Alumina 100", "Silica 100", "Kaolin 100", "Silicon carbide 100"])
def test_a_cone_on_the_card_melts_no_stone(batch: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Common practice, no source: none of these makes a glaze by itself at any cone of a small kiln."""
    card = tmp_path / "stone.txt"
    card.write_text(f"name: Stone\ncone: 6\n\n{batch}\n", encoding="utf-8")
    told = json.loads(_json(capsys, "check", card, "--studio", data_root() / "recipes", "--json"))["results"][0]
    melts = next(v for v in told["verdicts"] if v["rule"] == "melts")
    assert melts["answer"] == "cannot_say"
    for name, low in (("transition_temperature", 200), ("expansion", 0), ("youngs_modulus", 0), ("firing_range", 0)):
        assert name not in told["estimates"] or told["estimates"][name]["value"] > low


def test_a_certain_run_is_a_no_whatever_the_card_says(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    card = tmp_path / "frit.txt"
    card.write_text("name: Frit\ncone: 6\n\nFrit, high-calcium borosilicate 90\nKaolin 10\n", encoding="utf-8")
    told = json.loads(_json(capsys, "check", card, "--studio", data_root() / "recipes", "--json"))["results"][0]
    melts = next(v for v in told["verdicts"] if v["rule"] == "melts")
    assert melts["answer"] == "does_not_fit"
    assert "catch tray" in melts["message"]


# From how much of a material on [weight %] a metal is worth a word: common practice, no source. What is said is what the
# handbooks of occupational health say of each: lead and cadmium harm by dust, food and fume, beryllium by dust.
FROM = {
    "PbO": (0.05, "lead", ("dust", "food", "fume")), "CdO": (0.02, "cadmium", ("dust", "food", "fume")), "As2O3": (0.05, "arsenic", ("dust", "food")),
    "BeO": (0.02, "beryllium", ("dust",)), "BaO": (1.0, "barium", ("dust", "food")), "Sb2O3": (0.5, "antimony", ("dust", "food")),
    "V2O5": (0.5, "vanadium", ("dust", "food")), "NiO": (0.5, "nickel", ("dust", "food")), "CoO": (0.5, "cobalt", ("dust", "food")),
    "Cr2O3": (0.5, "chrom", ("dust", "fume")), "MnO": (1.0, "manganese", ("dust", "fume")), "CuO": (0.5, "copper", ("dust", "food")),
    "Li2O": (1.0, "lithium", ("dust", "food")), "ZnO": (5.0, "zinc", ("fume", "food")),
}  # fmt: skip


SAYS = {"dust": r"breath|dust|swallow|poison", "food": r"food|drink", "fume": r"fume|vapour"}


@pytest.mark.parametrize("oxide", FROM)
def test_a_metal_is_told_from_the_share_that_counts(oxide: str) -> None:
    least, word, when = FROM[oxide]

    def told(percent: float) -> list[str]:
        analysis = (OxideAmount(oxide=oxide, amount=percent), OxideAmount(oxide="SiO2", amount=100 - percent))
        rows = hazards_of(Material(name="Own powder", analysis=analysis))
        return [line.casefold() for line in hazard_lines(rows) if word in line.casefold()]

    assert not told(0.7 * least)
    lines = told(1.4 * least)
    assert len(lines) == len(when)
    assert all(any(re.search(SAYS[kind], line) for line in lines) for kind in when), lines


def test_what_is_written_of_a_metal_is_not_said_twice() -> None:
    analysis = (OxideAmount(oxide="PbO", amount=60.0), OxideAmount(oxide="SiO2", amount=40.0))
    written = Material(name="Own frit", analysis=analysis, hazards=("lead_dust",))
    assert hazards_of(written) == ("lead_dust",) and guarded(written) is written
    assert set(guarded(Material(name="Own frit", analysis=analysis)).hazards) >= {"lead_dust", "lead_food", "lead_firing"}
