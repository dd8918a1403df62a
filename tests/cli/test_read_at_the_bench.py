"""What a potter reads off an answer and acts on: small amounts, a missing cone, clay or place, lists and completed names."""

from __future__ import annotations

import csv
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from glazecalc.cli.options import names
from glazecalc.render.words import SPELLINGS, encodable
from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
G = r"([\d.]+) g"
PRINTED = re.compile(
    rf"shake {G} of it with {G} (.+?) in a closed jar, take {G} of that, and weigh {G} less (.+?): within", re.S
)


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    return Path(shutil.copytree(DEMO, tmp_path / "studio"))


def verdicts(got: Ran) -> dict[str, dict[str, Any]]:
    return {verdict["rule"]: verdict for verdict in got.json["results"][0]["verdicts"]}


def without(studio: Path, name: str, word: str) -> Path:
    """A file of the studio without the lines that begin with a word."""
    path = studio / name
    kept = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith(word)]
    path.write_text("\n".join(kept) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("grams", [20, 35, 60])
def test_a_pre_blend_brings_the_card_into_the_pot(run: Run, studio: Path, grams: float) -> None:
    # Mass is conserved: what is taken of the jar holds the small material in the jar's share, the rest is carrier, and
    # that much carrier is left out of its own line.
    result = run("weigh", studio / "lagoon-blue.txt", "--dry", f"{grams}g", "--json").json["results"][0]
    blends = [split["pre_blend"] for split in result["splits"] if split["pre_blend"]]
    target = {line["material"]: line["target_g"] for line in result["lines"]}
    assert blends
    for blend in blends:
        share = blend["blend_g"] / (blend["blend_g"] + blend["carrier_blend_g"])
        assert blend["take_g"] * share == pytest.approx(target[blend["material"]], rel=blend["error_percent"] / 100)
        assert blend["carrier_less_g"] == pytest.approx(
            blend["take_g"] * (1 - share), abs=0.0501
        )  # the scale's half step
        assert 0 < blend["carrier_less_g"] < target[blend["carrier"]]


def test_the_printed_pre_blend_is_the_one_that_was_computed(run: Run, studio: Path) -> None:
    words = ("weigh", studio / "lagoon-blue.txt", "--dry", "20g")
    blends = [s["pre_blend"] for s in run(*words, "--json").json["results"][0]["splits"] if s["pre_blend"]]
    printed = PRINTED.findall(" ".join(run(*words).out.split()))
    assert len(printed) == len(blends)
    for (blend_g, with_g, carrier, take_g, less_g, less_of), blend in zip(printed, blends, strict=True):
        shown = [float(word) for word in (blend_g, with_g, take_g, less_g)]
        held = [blend[key] for key in ("blend_g", "carrier_blend_g", "take_g", "carrier_less_g")]
        assert shown == pytest.approx(held, abs=0.0501)
        assert carrier == less_of == blend["carrier"]


@pytest.mark.parametrize(
    ("typed", "grams"), [("1,500g", 1500.0), ("1,500 g", 1500.0), ("1500", 1500.0), ("2,000g", 2000.0)]
)
def test_a_comma_between_thousands_is_no_decimal_point(run: Run, typed: str, grams: float) -> None:
    # Three figures after one comma: thousands in English writing (ISO 80000-1 7.3.1 warns that both are in use).
    got = run("weigh", DEMO / "shoal-clear.txt", "--dry", typed, "--json")
    result = got.json["results"][0]
    assert result["dry_g"] == pytest.approx(grams)
    assert sum(line["target_g"] for line in result["lines"]) == pytest.approx(grams)
    assert f"{grams:.1f} g" in run("weigh", DEMO / "shoal-clear.txt", "--dry", typed).out


def test_shopping_never_sells_back_what_is_on_the_shelf(run: Run, studio: Path) -> None:
    with (studio / "stock.csv").open(encoding="utf-8", newline="") as table:
        stock = {row["name"]: float(row["grams"]) for row in csv.DictReader(table)}
    few = run("weigh", studio / "shoal-clear.txt", "--dry", "500g", "--shopping", "--json").json["results"][-1][
        "shopping"
    ]
    many = run("weigh", studio / "shoal-clear.txt", "--dry", "9kg", "--shopping", "--json").json["results"][-1][
        "shopping"
    ]
    assert [line["to_buy_g"] for line in few["lines"]] == [0.0] * len(few["lines"])
    assert few["cost"] == 0 and few["cost_is_complete"]
    for line in many["lines"]:
        assert line["to_buy_g"] == pytest.approx(max(line["needed_g"] - stock.get(line["material"], 0.0), 0.0))
    bought = [line["to_buy_g"] for line in many["lines"]]
    assert bought == sorted(bought, reverse=True) and bought[0] > 0
    assert sum(line["needed_g"] for line in many["lines"]) == pytest.approx(9000)


def test_a_card_without_a_cone_is_asked_for_one_and_never_guessed(run: Run, studio: Path) -> None:
    card = without(studio, "shoal-clear.txt", "cone")
    without(studio, "studio.toml", 'cone = "6"')
    got = run("check", card, "--json")
    found = verdicts(got)
    assert (got.code, got.json["answer"]) == (3, "cannot_say")
    assert {found[rule]["answer"] for rule in ("melts", "kiln_reaches")} == {"cannot_say"}
    assert all("--cone" in found[rule]["message"] for rule in ("melts", "kiln_reaches"))
    assert got.json["results"][0]["cone"] is None
    given = verdicts(run("check", card, "--cone", "6", "--json"))
    assert given["melts"]["answer"] == given["kiln_reaches"]["answer"] == "fits"


def test_a_check_without_a_clay_leaves_the_fit_open(run: Run, studio: Path) -> None:
    without(studio, "studio.toml", "body = ")
    got = run("check", studio / "shoal-clear.txt", "--json")
    result = got.json["results"][0]
    assert (got.code, got.json["answer"], result["body"]) == (3, "cannot_say", None)
    assert verdicts(got)["fit"]["answer"] == "cannot_say"
    assert "--body" in verdicts(got)["fit"]["message"]
    assert not result["estimates"].keys() & {"body_expansion", "probability_crazing", "probability_shivering"}
    assert run("check", studio / "shoal-clear.txt").out.count("cannot say") >= 1
    named = verdicts(run("check", studio / "shoal-clear.txt", "--body", "Harbour stoneware", "--json"))
    assert named["fit"]["answer"] != "cannot_say"


def test_a_tile_without_a_place_is_listed_and_its_result_kept(run: Run, studio: Path) -> None:
    without(studio, "studio.toml", "body = ")
    without(studio, "studio.toml", "kiln = ")
    assert run("record", "tile", studio / "shoal-clear.txt", "--result", "crazed").code == 0
    listed = run("journal", "--studio", studio).out.splitlines()
    row = next(line for line in listed if line.startswith("AAA"))
    assert "Shoal clear" in row and row.rstrip().endswith("crazed")
    assert "Harbour stoneware" not in row and "Shed kiln" not in row


def test_firings_are_listed_with_the_kiln_they_were_in(run: Run, studio: Path) -> None:
    fired = {"F1": ("Shed kiln", "9.5"), "F2": ("Guild kiln", "11"), "F3": ("Shed kiln", "10")}
    for kiln, hours in fired.values():
        assert run("record", "firing", "--kiln", kiln, "--hours", hours, "--studio", studio).code == 0
    listed = run("journal", "--studio", studio).out.splitlines()
    for mark, (kiln, hours) in fired.items():
        row = next(line for line in listed if line.startswith(mark + " "))
        assert kiln in row and f"{hours} h" in row


@pytest.mark.parametrize(
    ("kind", "typed", "offered"),
    [
        ("body", "gu", ["Gull porcelain"]),
        ("body", "", ["Harbour stoneware", "Dune earthenware", "Gull porcelain"]),
        ("kiln", "S", ["Shed kiln"]),
        ("circuit", "guild", ["Guild wall", "Guild wall, 208 volts"]),
        ("room", "sh", ["Shed"]),
        ("kiln", "nothing of that name", []),
    ],
)
def test_the_shell_completes_the_studios_own_names(
    kind: str, typed: str, offered: list[str], studio: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # The names as studio.toml writes them, in its order, whatever the case they are typed in.
    assert names(kind, {"studio": str(studio)}, typed) == offered
    assert capsys.readouterr() == ("", "")


def test_the_shell_completes_cards_and_materials(studio: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(studio)
    assert {"shoal-clear", "spray-clear", "spring-tide"} & {
        Path(n).stem for n in names("recipe", {"studio": str(studio)}, "s")
    }
    assert all(n.casefold().startswith("s") for n in names("recipe", {"studio": str(studio)}, "s"))
    assert "Whiting" in names("material", {"studio": str(studio)}, "whi")
    (studio / "studio.toml").write_bytes(b"\xff\xfe not toml [")
    assert names("body", {"studio": str(studio)}, "") == []


def test_several_glazes_are_ranked_by_what_remains_of_their_two_faults(run: Run, studio: Path) -> None:
    # A coat that is neither crazed nor shivered is sound: the chances of the three sum to one (Kolmogorov's axioms).
    cards = [studio / f"{name}.txt" for name in ("brine-crackle", "lagoon-blue", "shoal-clear", "spray-clear")]
    left = {}
    for one in run("check", *cards, "--json").json["results"]:
        faults = [one["estimates"][f"{name}_probability"]["value"] for name in ("crazing", "shivering")]
        left[one["recipe"]] = 1 - sum(faults)
    printed = re.findall(
        r"^  (.+?) +(?:about |less than |more than )?(\d+) % likely to stay sound$", run("check", *cards).out, re.M
    )
    assert [name for name, _ in printed] == sorted(left, key=lambda name: -left[name])
    for name, percent in printed:
        assert float(percent) == pytest.approx(100 * left[name], abs=1.5)


@pytest.mark.parametrize(("mm", "kept"), [("19.5", True), ("20.5", False), ("0.005", False)])
def test_a_coat_is_no_thicker_than_a_finger(run: Run, studio: Path, mm: str, kept: bool) -> None:
    # Glazes go on at fractions of a millimetre to a few (common practice, no source); 20 mm is a slip of the pen.
    got = run("record", "tile", studio / "shoal-clear.txt", "--thickness", mm, "--result", "sound")
    assert (got.code == 0) is kept
    assert ("AAA" in run("journal", "--studio", studio).out) is kept


def test_a_bare_terminal_keeps_the_dot_of_a_hydrate() -> None:
    # IUPAC Red Book 2005, IR-5.5: the parts of an addition compound are joined by a centre dot; ASCII has a full stop.
    assert encodable("CuSO4·5H2O", "ascii") == "CuSO4.5H2O"


def test_every_sign_that_is_spelt_is_spelt_in_ascii() -> None:
    for sign, spelt in SPELLINGS.items():
        assert not sign.isascii() and spelt.isascii() and "\\" not in encodable(sign, "ascii")


def test_an_entry_is_told_back_with_its_results(run: Run, studio: Path) -> None:
    told = run("record", "tile", studio / "shoal-clear.txt", "--result", "crazed", "--result", "underfired")
    assert told.code == 0
    assert re.search(r"^ *results +crazed, underfired$", told.out, re.M)


# Signs that a bare terminal lacks, and what people type in their place (common practice, no source).
TYPED = {"\u00b0": "deg", "\u00d7": "x", "\u00b1": "+/-", "\u00b5": "u", "\u2192": "->", "\u2013": "-", "\u2014": "-", "\u2212": "-", "\u2264": "<=", "\u2265": ">=", "\u00bd": " 1/2",
         "\u2022": "*", "\u00b7": ".", "\u2026": "...", "\u00a0": " ", "\u2018": "'", "\u2019": "'", "\u201c": '"', "\u201d": '"'}  # fmt: skip


@pytest.mark.parametrize("sign", TYPED)
def test_a_sign_that_a_terminal_lacks_is_typed_as_people_type_it(sign: str) -> None:
    assert encodable(f"a{sign}b", "ascii") == f"a{TYPED[sign]}b" and encodable(f"a{sign}b", "utf-8") == f"a{sign}b"
