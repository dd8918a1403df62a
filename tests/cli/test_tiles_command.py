"""`tiles` at the command line: the contract's keys, every plan, the journal, tables."""

from __future__ import annotations

import csv
import io
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from glazecalc import api
from glazecalc.values.texts import untyped
from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
A, B, C = (DEMO / f"{name}.txt" for name in ("shoal-clear", "brine-crackle", "glasswort"))
POINT_KEYS = {"id", "parts", "recipe", "unity", "estimates", "verdicts"}


@pytest.mark.parametrize(
    ("cards", "plan", "tiles"),
    [([A, B], "line", 11), ([A, B, C], "triaxial", 21), ([A, B, C], "square", 25), ([A], "additions", 4),
     ([A], "ladder", 6), ([A, B], "ladder", 6), ([A], "grid", 25)],
)  # fmt: skip
def test_the_contract(run: Run, cards: list[Path], plan: str, tiles: int) -> None:
    got = run("tiles", *cards, "--plan", plan, "--json")
    assert got.code == 0
    result = got.json["results"][0]
    assert result.keys() >= {"points", "corners", "tiles_per_firing", "firings"}
    assert len(result["points"]) == tiles
    for point in result["points"]:
        assert point.keys() >= POINT_KEYS
        assert all(isinstance(part, int) for part in point["parts"])
        assert {"expansion", "crazing_probability", "firing_range"} <= point["estimates"].keys()
        assert {line.keys() >= {"material", "amount", "addition"} for line in point["recipe"]} == {True}
    assert len({point["id"] for point in result["points"]}) == tiles
    assert all(corner["dry_g"] > 0 and corner["lines"] for corner in result["corners"])
    assert result["firings"] == -(-tiles // result["tiles_per_firing"])


def test_the_plan_is_told_from_the_number_of_cards(run: Run) -> None:
    for cards, plan in (([A], "additions"), ([A, B], "line"), ([A, B, C], "triaxial")):
        assert run("tiles", *cards, "--json").json["results"][0]["plan"] == plan


def test_a_printed_plan_says_what_to_do(run: Run) -> None:
    got = run("tiles", A, B, C, "--choose", "8", "--full")
    assert got.code == 0
    for words in ("8 chosen from 21", "Mix these first", "Pour in this order", "The triangle", "Where each stands"):
        assert words in got.out
    assert got.out.replace("\N{DEGREE SIGN}", "").isascii()
    assert not re.search(r"\bsafe\b", got.out)


def test_levels_and_sizes(run: Run) -> None:
    levels = run("tiles", A, "--plan", "additions", "--add", "Copper carbonate:0,0.5,1,3", "--json").json["results"][0]
    assert [p["parts"][1] * 100 / p["parts"][0] for p in levels["points"]] == [0, 0.5, 1, 3]
    square = run("tiles", A, B, C, "--plan", "square", "--size", "3x4", "--by", "volume", "--json").json["results"][0]
    assert len(square["points"]) == 12
    assert square["volume_cost"]["largest_share_percent"] > 0


def test_tiles_are_recorded_frozen_with_new_ids(run: Run, tmp_path: Path) -> None:
    shutil.copytree(DEMO, tmp_path / "studio")
    here = tmp_path / "studio"
    first = run("tiles", here / "shoal-clear.txt", "--plan", "additions", "--record", "--json").json["results"][0]
    again = run("tiles", here / "shoal-clear.txt", "--plan", "additions", "--record", "--json").json["results"][0]
    ids = [p["id"] for p in (*first["points"], *again["points"])]
    assert first["recorded"]
    assert len(set(ids)) == 8
    listed = run("journal", "--studio", here, "--json").json["results"][0]["entries"]
    assert {entry["id"] for entry in listed} >= set(ids)


def test_nothing_is_recorded_unless_asked(run: Run, tmp_path: Path) -> None:
    shutil.copytree(DEMO, tmp_path / "studio")
    before = sorted(p.name for p in (tmp_path / "studio").iterdir())
    run("tiles", tmp_path / "studio" / "shoal-clear.txt")
    assert sorted(p.name for p in (tmp_path / "studio").iterdir()) == before


def test_csv_holds_a_row_a_tile(run: Run) -> None:
    rows = list(csv.reader(io.StringIO(run("tiles", A, B, "--csv").out)))
    assert len(rows) == 12
    assert rows[0][:4] == ["id", "number", "Shoal clear parts", "Brine crackle parts"]
    assert not any(cell.startswith(("=", "+", "@")) for row in rows for cell in row)


@pytest.mark.parametrize(
    "words",
    [("--plan", "circle"), ("--plan", "triaxial"), ("--size", "0"), ("--size", "x"), ("--choose", "0"),
     ("--choose", "99"), ("--by", "eye"), ("--sg", "1.5:1.5:1.5"), ("--sg", "9"), ("--each", "5 V"), ("--tile", "vase"),
     ("--series", "9"), ("--add", "Rutile"), ("--json", "--csv"), ("--cone", "66"), ("--body", "nobody")],
)  # fmt: skip
def test_what_cannot_be_planned_is_said(run: Run, words: tuple[str, ...]) -> None:
    got = run("tiles", A, B, *words)
    assert got.code == 2
    assert "Traceback" not in got.err + got.out


@pytest.mark.parametrize("words", [("--add", "Unobtainium:1"), ("--add", "Rutile:0,400"), ("--add", "Rutile:a"),
                                   ("--add", "Rutile:1", "--add", "Silica:2", "--add", "Talc:3")])  # fmt: skip
def test_additions_that_make_no_sense_are_said(run: Run, words: tuple[str, ...]) -> None:
    assert run("tiles", A, "--plan", "additions", *words).code == 2


@pytest.mark.parametrize("levels", ["0.5-2%", "", "0,1;2", "a", "-1", "0 1 2"])
def test_levels_are_written_one_by_one(run: Run, levels: str) -> None:
    got = run("tiles", A, "--plan", "additions", "--add", f"Cobalt carbonate:{levels}")
    assert got.code == 2
    assert "commas between" in got.err
    assert "LEVELS are percents" in " ".join(run("tiles", "--help").out.replace("|", " ").split())


def test_an_outlet_that_must_not_be_used_leads(run: Run) -> None:
    """An extension cord is no place for a kiln (makers' manuals; common practice, no source)."""
    told = run("tiles", A, B, "--circuit", "Far end of the garden", "--size", "3")
    assert told.out.startswith("Do not fire in Shed kiln at Far end of the garden: no extension cord")
    assert "licensed" in told.out.split("Plan line")[0]
    assert not re.match(r"Do not fire", run("tiles", A, B).out)
    assert run("tiles", A, B, "--circuit", "Far end of the garden", "--json").json["results"][0]["warnings"]


def test_a_kiln_that_does_not_come_to_the_cone_leads(run: Run) -> None:
    assert run("tiles", A, B, "--cone", "10").out.startswith("Shed kiln is rated for cone 8")


def coarse_studio(folder: Path) -> Path:
    shutil.copytree(DEMO, folder)
    told = (folder / "studio.toml").read_text(encoding="utf-8")
    assert "resolution_g = 0.1" in told
    (folder / "studio.toml").write_text(told.replace("resolution_g = 0.1", "resolution_g = 1"), encoding="utf-8")
    return folder


def test_a_scale_too_coarse_for_a_plan_is_said_first_with_ways_out(run: Run, tmp_path: Path) -> None:
    """The scale that is named does: with it nothing of the kind is said."""
    studio = coarse_studio(tmp_path / "studio")
    words = ("tiles", studio / "shoal-clear.txt", studio / "brine-crackle.txt", "--size", "3")
    told = " ".join(run(*words).out.split())
    assert told.startswith("This scale, which shows 1 g, is too coarse for so small a plan: Shoal clear takes 82 g")
    step = re.search(r"scale that shows (0\.\d+) g", told)
    assert step
    finer = (
        (studio / "studio.toml").read_text(encoding="utf-8").replace("resolution_g = 1", f"resolution_g = {step[1]}")
    )
    (studio / "studio.toml").write_text(finer.replace("minimum_g = 1\n", ""), encoding="utf-8")
    assert run(*words).out.startswith("Plan line: 3 tiles")


def test_ways_out_stand_whole_where_nothing_is_typed(tmp_path: Path) -> None:
    """On the page the command goes out of a way and leaves the way itself."""
    studio = tmp_path / "studio"
    shutil.copytree(DEMO, studio)
    lines = "Potash feldspar 50\nSilica 20\nWhiting 20\nKaolin 10\n+ Cobalt carbonate 0.3\n"
    (studio / "tiny.txt").write_text("name: Tiny\ncone: 6\n" + lines, encoding="utf-8")
    cards = [api.recipe_from_text((studio / name).read_text(encoding="utf-8")) for name in ("tiny.txt", "shoal-clear.txt")]
    told = [untyped(text) for text in api.tiles(cards, api.open_studio(studio), size=(3,)).warnings]
    assert any("bring in the small lines of Tiny by a dry blend or a stock, or mix" in text for text in told)
    assert not any("glazecalc" in text or ", or ," in text for text in told)


def test_a_pot_too_small_for_the_scale_says_the_ways_out(run: Run, tmp_path: Path) -> None:
    """A pot as large as is named leaves nothing too small."""
    studio = coarse_studio(tmp_path / "studio")
    words = ("tiles", studio / "shoal-clear.txt", "--add", "Copper carbonate:0,1,2")
    told = " ".join(run(*words, "--full").out.split())
    assert told.startswith("Some additions are too small for this scale, which shows 1 g: use a scale that shows 0.1 g")
    larger = re.search(r"or start with (\d+) g of Shoal clear", told)
    assert larger
    pot = run(*words, "--each", f"{2 * int(larger[1]) // 3}g", "--json").json["results"][0]["pots"][0]
    assert pot["base_g"] >= int(larger[1]) and pot["way_out"] == ""
    assert not any(step["too_small"] for step in pot["steps"])


def test_figures_that_check_would_not_show_are_left_out_of_a_plan(run: Run, tmp_path: Path) -> None:
    card = tmp_path / "tin.txt"
    card.write_text("name: Tin\ncone: 6\n\nTin oxide 80\nSilica 20\n", encoding="utf-8")
    words = ("tiles", card, "--studio", DEMO, "--add", "Zircon:0,1")
    rows = list(csv.DictReader(io.StringIO(run(*words, "--csv").out)))
    assert [row["crazing_probability"] for row in rows] == ["", ""]
    told = run(*words).out
    assert re.search(r"^  A1 .*  -  +-( |$)", told, re.MULTILINE)
    assert "  A1, A2: outside what the estimates know: expansion and fit, melting, stiffness\n" in told
    assert "likely to flake" not in told, "a chance that is not known makes nothing likely"


def test_no_chance_is_told_as_a_certainty(run: Run) -> None:
    told = run("tiles", A, B).out
    assert re.search(r"^  A11 .* 95 % +<1 %$", told, re.MULTILINE) and not re.search(r" (0|100) %", told)
