"""`weigh` at the command line: the contract's keys, amounts in any unit, errors that say what to do."""

from __future__ import annotations

import csv
import io
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
CLEAR, BLUE = DEMO / "shoal-clear.txt", DEMO / "lagoon-blue.txt"
LINE_KEYS = {"material", "addition", "target_g", "scale_g", "error_percent"}
KEYS = {"lines", "dry_g", "water_g", "slurry_mL", "specific_gravity", "smallest_batch_g"}


def test_the_contract(run: Run) -> None:
    got = run("weigh", BLUE, "--dry", "500g", "--json")
    assert got.code == 0
    result = got.json["results"][0]
    assert result.keys() >= KEYS
    assert all(line.keys() >= LINE_KEYS for line in result["lines"])
    assert sum(line["target_g"] for line in result["lines"]) == pytest.approx(500)
    for line in result["lines"]:
        assert line["error_percent"] == pytest.approx(100 * (line["scale_g"] / line["target_g"] - 1), abs=1e-9)
        assert line["scale_g"] / 0.1 == pytest.approx(round(line["scale_g"] / 0.1), abs=1e-6)
    assert [line["addition"] for line in result["lines"]] == [False] * 6 + [True] * 2


@pytest.mark.parametrize(
    ("amount", "grams"),
    [("500g", 500), ("0.5 kg", 500), ("1 lb", 453.59237), ("16oz", 453.59237), ("1/2 kg", 500), ("500", 500)],
)
def test_dry_weights_in_any_unit(run: Run, amount: str, grams: float) -> None:
    assert run("weigh", CLEAR, "--dry", amount, "--json").json["results"][0]["dry_g"] == pytest.approx(grams)


@pytest.mark.parametrize(
    ("amount", "millilitres"),
    [("1.5L", 1500), ("1 gallon", 3785.411784), ("2 pints", 946.352946), ("32 fl oz", 946.352946)],
)
def test_slurries_in_any_unit(run: Run, amount: str, millilitres: float) -> None:
    result = run("weigh", CLEAR, "--slurry", amount, "--sg", "1.5", "--json").json["results"][0]
    assert result["slurry_mL"] == pytest.approx(millilitres)
    assert result["dry_g"] + result["water_g"] == pytest.approx(1.5 * millilitres)


def test_pieces_and_a_pot_of_the_studio(run: Run) -> None:
    pieces = run("weigh", CLEAR, "--pieces", "mug:8", "--json").json["results"][0]
    both = run("weigh", CLEAR, "--pieces", "mugs:8", "--fill", "dip pot", "--json").json["results"][0]
    pot = run("weigh", CLEAR, "--fill", "dip pot", "--piece", "mug", "--json").json["results"][0]
    assert both["dry_g"] == pytest.approx(pot["dry_g"] + pieces["dry_g"] / 1.1)


@pytest.fixture
def card(tmp_path: Path) -> Path:
    """A card of the test's own, so that the demo studio may change."""
    path = tmp_path / "trial.txt"
    path.write_text("name: Trial\n\nPotash feldspar 40\nSilica 30\nWhiting 20\nKaolin 10\n", encoding="utf-8")
    return path


def test_recover_takes_grams_nothing_and_multiples(run: Run, card: Path) -> None:
    doubled = run("weigh", card, "--dry", "500g", "--recover", "Silica=2x", "--json").json["results"][0]["recover"]
    assert doubled["factor"] == pytest.approx(2)
    left_out = run("weigh", card, "--dry", "500g", "--recover", "Kaolin=0", "--json").json["results"][0]["recover"]
    assert [line["extra_g"] for line in left_out["lines"]] == pytest.approx([0, 0, 0, 50])
    over = run("weigh", card, "--dry", "500g", "--recover", "Whiting=110g").out
    assert "To mend it, add" in over


def test_a_bucket_and_an_oxide(run: Run) -> None:
    got = run("weigh", CLEAR, "--bucket", "3L", "--cup", "31g:185g:131g", "--add", "Red iron oxide:2%", "--json")
    result = got.json["results"][0]
    assert result["specific_gravity"] == pytest.approx(1.54)
    assert result["lines"][0]["target_g"] == pytest.approx(0.02 * result["dry_g"])
    assert "wet it first" in run("weigh", CLEAR, "--bucket", "4kg", "--sg", "1.5", "--add", "Rutile=3").out


def test_two_scales_share_the_lines(run: Run) -> None:
    result = run("weigh", BLUE, "--dry", "2kg", "--scale", "0.01g:100g", "--scale", "1g:5kg", "--json").json["results"][
        0
    ]
    scales = {line["material"]: line["scale"] for line in result["lines"]}
    assert scales["Cobalt carbonate"] == "scale 1"
    assert scales["Silica"] == "scale 2"


def test_shopping_over_several_cards(run: Run) -> None:
    got = run("weigh", CLEAR, BLUE, "--dry", "6kg", "--shopping", "--json").json
    single = [sum(line["target_g"] for line in r["lines"] if line["material"] == "Silica") for r in got["results"]]
    silica = next(x for x in got["results"][0]["shopping"]["lines"] if x["material"] == "Silica")
    assert silica["needed_g"] == pytest.approx(sum(single))
    assert silica["in_stock_g"] == 3200
    assert silica["to_buy_g"] == pytest.approx(max(sum(single) - 3200, 0))


def test_us_units_are_read_and_shown(run: Run) -> None:
    text = run("weigh", CLEAR, "--dry", "1lb", "--units", "us", "--scale", "0.01oz").out
    assert text.startswith("Shoal clear: 16.00 oz dry\n")
    assert "fl oz" in text


@pytest.mark.parametrize(("units", "scale", "mass"), [
    ("us", "0.1g", "g"), ("us", "1g:5kg", "g"), ("us", "0.1oz", "oz"), ("us", "2.835g", "oz"), ("us", "0.01lb", "lb"),
    ("metric", "0.1g", "g"), ("metric", "0.005oz", "oz"),
])  # fmt: skip
def test_weights_are_told_in_the_unit_of_the_scale(run: Run, units: str, scale: str, mass: str) -> None:
    """Nothing but what the scale can show: every figure of the column `scale` is a whole number of its steps."""
    asked = "oz" if units == "us" else "g"
    got = run("weigh", CLEAR, "--dry", "2lb", "--units", units, "--scale", scale)
    note = f"Weights are in {mass}, the unit of this scale, not in {asked}.\n\n"
    assert got.out.startswith(note if mass != asked else "") and ("unit of this scale" in got.out) == (mass != asked)
    assert re.search(rf"total +\d+(\.\d+)? {mass}\n", got.out)
    assert ("fl oz" in got.out) == (units == "us"), "volumes as asked"
    rows = re.findall(r"^ \[ \] .*? +([\d.]+) +([\d.]+) +([\d.]+)  [+\d-]", got.out, re.MULTILINE)
    assert len(rows) == 6
    number = {"2.835g": 0.1}.get(scale) or float(re.match(r"[\d.]+", scale)[0])
    for _, shown, _ in rows:
        assert float(shown) / number == pytest.approx(round(float(shown) / number), abs=1e-6)


def test_a_bucket_and_tiles_follow_the_scale_too(run: Run) -> None:
    bucket = run("weigh", BLUE, "--bucket", "3L", "--sg", "1.5", "--add", "Red iron oxide:2%", "--units", "us").out
    assert bucket.startswith("Weights are in g, the unit of this scale, not in oz.")
    assert re.search(r"Red iron oxide: [\d.]+ g for 2 %", bucket) and not re.search(
        r"[\d.]+ oz", bucket.replace("fl oz", "")
    )
    tiles = run("tiles", CLEAR, DEMO / "brine-crackle.txt", "--size", "5", "--units", "us").out
    assert tiles.startswith("Weights are in g, the unit of this scale, not in oz.")
    assert "A = Shoal clear: 137.5 g dry" in tiles and not re.search(r"\d oz", tiles)


def test_figures_that_say_nothing_more_are_left_out(run: Run) -> None:
    mended = run("weigh", CLEAR, "--dry", "500g", "--recover", "Silica=181.5g").out
    assert "13.0 g" in mended and "exactly" not in mended
    odd = run("weigh", CLEAR, "--dry", "500g", "--recover", "Silica=184.3g").out
    assert re.search(r"Kaolin +10\.0 g +\(exactly 9\.94 g\)", odd)
    assert "no oxide moves by more than 0.00" in mended and "+-0.000" not in mended


def test_csv_has_no_cell_that_acts(run: Run, tmp_path: Path) -> None:
    for name in ("studio.toml", "materials.csv"):
        shutil.copy(DEMO / name, tmp_path / name)
    card = tmp_path / "evil.txt"
    card.write_text("name: =cmd|' /C calc'!A0\n\nSilica 50\nKaolin 50\n", encoding="utf-8")
    got = run("weigh", card, "--csv")
    rows = list(csv.reader(io.StringIO(got.out)))
    assert len(rows) == 3
    assert not any(cell.startswith(("=", "+", "@")) for row in rows for cell in row)
    assert rows[1][0].startswith("'=")


@pytest.mark.parametrize(
    "words",
    [("--dry", "5 V"), ("--dry", "-5g"), ("--dry", "0"), ("--dry", "1g", "--slurry", "1L"), ("--sg", "0.9"),
     ("--use", "throw"), ("--pieces", "mug"), ("--pieces", "vase:3"), ("--fill", "bathtub"), ("--recover", "Talc"),
     ("--recover", "Sugar=3g"), ("--add", "Rutile:2"), ("--bucket", "3L"), ("--bucket", "3", "--sg", "1.5"),
     ("--cup", "31:30:131", "--bucket", "3L"), ("--scale", "0"), ("--tolerance", "x"), ("--json", "--csv"),],
)  # fmt: skip
def test_what_makes_no_sense_is_said_and_nothing_is_printed(run: Run, words: tuple[str, ...]) -> None:
    got = run("weigh", CLEAR, *words)
    assert got.code == 2
    assert "Traceback" not in got.err + got.out
    if "--json" not in words:
        assert got.err.strip()


@pytest.mark.parametrize("name", ["rock-pool", "jar-seafoam"])
def test_cards_without_a_batch_cannot_be_weighed(run: Run, name: str) -> None:
    got = run("weigh", DEMO / f"{name}.txt", "--json")
    assert got.code == 2
    assert got.json["problems"][0]["code"] == "nothing-to-weigh"


def test_weighing_stays_light() -> None:
    """pandas, scipy and matplotlib are not imported by `weigh`."""
    code = (
        "import sys; from glazecalc.cli.main import main; main(['weigh', sys.argv[1], '--dry', '500g']); "
        "print([m for m in ('pandas', 'scipy', 'matplotlib') if m in sys.modules], file=sys.stderr)"
    )
    ran = subprocess.run([sys.executable, "-c", code, str(CLEAR)], capture_output=True, text=True, check=True)
    assert ran.stderr.strip().endswith("[]")
