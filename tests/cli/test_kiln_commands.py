"""The promises of ``kiln`` and ``firing``: exit codes, JSON keys, plain refusals."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from glazecalc.files.studio import read_studio
from glazecalc.values.results.firing import FIRING_KINDS
from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
ESTIMATE_KEYS = {"name", "value", "low", "high", "unit", "basis", "sources", "caveats"}
STUDIO, _ = read_studio(DEMO)
CODES = {"fits": 0, "does_not_fit": 1, "cannot_say": 3, "done": 0}


def numbers(node: Any) -> list[float]:
    if isinstance(node, dict):
        return [n for value in node.values() for n in numbers(value)]
    if isinstance(node, list):
        return [n for value in node for n in numbers(value)]
    return [node] if isinstance(node, float) else []


@pytest.mark.parametrize(
    "words", [(), ("Guild kiln",), ("--circuit", "Kitchen outlet"), ("--room", "Shed", "--cone", "04")]
)
def test_kiln_json(run: Run, words: tuple[str, ...]) -> None:
    got = run("kiln", *words, "--studio", DEMO, "--json")
    assert list(got.json) == ["schema", "command", "answer", "results", "problems"]
    assert got.code == CODES[got.json["answer"]]
    result = got.json["results"][0]
    assert {"circuits", "estimates", "pieces_per_firing", "place", "ceiling"} <= set(result)
    for circuit in result["circuits"]:
        assert {
            "name", "answer", "load_A", "breaker_A", "minimum_breaker_A", "continuous_limit_A",
            "voltage_drop_V", "reasons",
        } <= set(circuit)  # fmt: skip
        assert all({"code", "message"} <= set(r) for r in circuit["reasons"])
    for name, estimate in result["estimates"].items():
        assert set(estimate) == ESTIMATE_KEYS
        assert estimate["name"] == name
        assert estimate["low"] <= estimate["value"] <= estimate["high"]
    assert {"kiln_ceiling", "energy_per_firing", "hours_to_cone", "heat_to_room"} <= set(result["estimates"])
    assert all(isinstance(n, int) for n in result["pieces_per_firing"].values())
    assert all(math.isfinite(n) for n in numbers(got.json))


def test_firing_json_above_the_rating(run: Run) -> None:
    """The demo kiln is rated for cone 8: no schedule for cone 10."""
    got = run("firing", "--cone", "10", "--studio", DEMO, "--json")
    result = got.json["results"][0]
    assert got.code == CODES["does_not_fit"] == 1
    assert result["segments"] == []
    assert "above the maker's rating" in result["sentence"]


@pytest.mark.parametrize("words", [("--cone", "6"), ("--cone", "06", "--kind", "bisque", "--hold", "0")])
def test_firing_json(run: Run, words: tuple[str, ...]) -> None:
    got = run("firing", *words, "--studio", DEMO, "--json")
    assert got.code == CODES[got.json["answer"]]
    result = got.json["results"][0]
    for segment in result["segments"]:
        assert {"rate_degC_per_h", "to_degC", "hold_h"} <= set(segment)
        assert segment["to_degF"] == pytest.approx(segment["to_degC"] * 1.8 + 32)
    down = [c["cone"] for c in result["cones"] if c["bends_at_h"] is not None]
    assert result["reached_cone"] == down[-1] == words[1]
    assert all((c["bends_at_h"] is None) == (c["bends_at_degC"] is None) for c in result["cones"])
    assert words[1] in result["witness_cones"]
    assert all(math.isfinite(n) for n in numbers(got.json))


def test_a_cone_is_a_name(run: Run, tmp_path: Path) -> None:
    low = run("firing", "--cone", "06", "--studio", DEMO, "--json").json["results"][0]
    high = run("firing", "--cone", "6", "--studio", DEMO, "--json").json["results"][0]
    peaks = [max(s["to_degC"] for s in r["segments"]) for r in (low, high)]
    assert peaks[1] - peaks[0] > 150


def test_a_schedule_from_a_file_and_from_stdin(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = "rate_degF_per_h,to_degF,hold_min\n270,2050,0\n108,2232,10\n"
    file = tmp_path / "mine.csv"
    file.write_text(text, encoding="utf-8")
    got = run("firing", "--schedule", file, "--studio", DEMO, "--json")
    assert got.json["results"][0]["reached_cone"] == "6"
    assert run("firing", "--schedule", tmp_path / "none.csv", "--studio", DEMO).code == 2
    wrong = run("firing", "--schedule", file, "--cone", "06", "--studio", DEMO, "--json")
    assert wrong.json["answer"] == "does_not_fit"


def test_it_works_without_a_studio(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    got = run("firing", "--cone", "6", "--json")
    assert got.code == 0
    assert got.json["results"][0]["kiln"] is None
    assert run("firing").code == 2
    assert run("kiln").code == 2


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("kiln", "Nobody's"), "no-kiln"),
        (("kiln", "--circuit", "nowhere"), "no-circuit"),
        (("kiln", "--room", "nowhere"), "no-room"),
        (("kiln", "--cone", "99"), "cone"),
        (("firing", "--kind", "raku"), "kind"),
        (("firing", "--hold", "2 days"), "wrong-unit"),
        (("firing", "--hold", "40h"), "hold"),
        (("firing", "--wall", "2m"), "wall"),
    ],
)
def test_what_cannot_be_is_refused_with_a_hint(run: Run, words: tuple[str, ...], code: str) -> None:
    got = run(*words, "--studio", DEMO, "--json")
    assert got.code == 2
    problem = got.json["problems"][0]
    assert problem["code"] == code
    assert problem["hint"]


def test_both_scales_are_shown(run: Run) -> None:
    metric = run("firing", "--cone", "6", "--studio", DEMO).out
    american = run("firing", "--cone", "6", "--studio", DEMO, "--units", "us").out
    assert "60 \N{DEGREE SIGN}C/h (108 \N{DEGREE SIGN}F/h)" in run("firing", "--cone", "06", "--studio", DEMO).out
    assert "\N{DEGREE SIGN}C (" in metric
    assert "\N{DEGREE SIGN}F (" in american


KILN_WORDS = ("electrician", "carbon monoxide", "fumes go outside", "extinguisher", "burns away", "within reach")
FIRING_WORDS = ("carbon monoxide", "vent outside", "anything that burns away", "see the kiln off yourself")


@pytest.mark.parametrize("kiln", [k.name for k in STUDIO.kilns])
@pytest.mark.parametrize("circuit", [None, *(c.name for c in STUDIO.circuits)])
@pytest.mark.parametrize("words", [(), ("--room", "Shed"), ("--cone", "6", "--units", "us")])
def test_a_kiln_is_short(run: Run, kiln: str, circuit: str | None, words: tuple[str, ...]) -> None:
    """50 lines at 80 columns; verdict, mains, poisonous gas, fumes and fire stand in them."""
    out = run("kiln", kiln, *(("--circuit", circuit) if circuit else ()), *words, "--studio", DEMO).out
    assert len(out.splitlines()) <= 50
    assert max(len(line) for line in out.splitlines()) <= 80
    told = " ".join(out.split())
    assert told.count("circuit carries it:") == 1
    assert [word for word in KILN_WORDS if word not in told] == []


@pytest.mark.parametrize("plate", ['name = "Bare"', 'name = "Bare"\nvolts = 240\namps = 30\ncone = "6"'])
def test_a_kiln_of_which_little_is_known_keeps_its_cautions(run: Run, plate: str, tmp_path: Path) -> None:
    (tmp_path / "studio.toml").write_text(f"[[kiln]]\n{plate}\n", encoding="utf-8")
    told = " ".join(run("kiln", "--studio", tmp_path).out.split())
    assert [word for word in KILN_WORDS if word not in told] == []


@pytest.mark.parametrize("kiln", [k.name for k in STUDIO.kilns])
@pytest.mark.parametrize("kind", FIRING_KINDS)
@pytest.mark.parametrize("words", [(), ("--units", "us"), ("--wall", "12mm", "--damp")])
def test_a_firing_is_short(run: Run, kiln: str, kind: str, words: tuple[str, ...]) -> None:
    """50 lines at 80 columns; the poisonous gas, the fumes, the fire and the end of the firing stand in them."""
    out = run("firing", "--kiln", kiln, "--kind", kind, *words, "--studio", DEMO).out
    assert len(out.splitlines()) <= 50
    assert max(len(line) for line in out.splitlines()) <= 80
    told = " ".join(out.split())
    assert [word for word in FIRING_WORDS if word not in told] == []


def test_a_glaze_that_poisons_is_never_left_out(run: Run) -> None:
    """What a glaze gives off that harms stands in the short answer as in the full one."""
    words = ("kiln", "--recipe", DEMO / "night-harbour.txt", "--studio", DEMO)
    short, full = run(*words).out, run(*words, "--full").out
    poison = full.split("Cautions\n--------\n")[1].split("  - Mains")[0]
    assert "carbon monoxide" in poison
    assert poison in short


def test_full_tells_the_rest(run: Run) -> None:
    """The losing circuits, all cones, the gases and the stages that the short answers leave out."""
    full, short = run("kiln", "--studio", DEMO, "--full").out, run("kiln", "--studio", DEMO).out
    for word in ("Guild wall", "duty factor", "levels off", "hydrogen fluoride    "):
        assert word in full
        assert word not in short
    full, short = run("firing", "--studio", DEMO, "--full").out, run("firing", "--studio", DEMO).out
    for word in ("quartz step", "dark glasses", "duty factor"):
        assert word in full
        assert word not in short


def test_nothing_unwise_is_ever_said(run: Run) -> None:
    """No answer suggests defeating a protective device, wrapping the kiln, or leaving it."""
    told = ""
    for words in (("kiln", "--room", "Shed"), ("kiln", "Guild kiln"), ("firing",), ("firing", "--kind", "bisque")):
        told += run(*words, "--studio", DEMO).out.casefold() + run(*words, "--studio", DEMO, "--full").out.casefold()
    told = " ".join(told.split())
    for bad in (
        "food safe",
        "leave it unattended",
        "bypass",
        "larger fuse",
        "wrap the kiln",
        "use an adapter",
        "is safe",
    ):
        assert bad not in told
    for good in ("manual", "electrician", "detector", "stay within reach"):
        assert good in told


def test_firing_says_first_that_the_glaze_does_not_melt_there(run: Run) -> None:
    """The verdict of `check`, before the schedule; not in a bisque, which melts no glaze."""
    card, kiln = DEMO / "shoal-clear.txt", ("--cone", "05")
    checked = run("check", card, *kiln, "--json").json["results"][0]
    melts = next(v["message"] for v in checked["verdicts"] if v["rule"] == "melts")
    planned = run("firing", "--recipe", card, *kiln)
    said = " ".join(planned.out.split())
    assert said.startswith(f"{melts} Fire a tile in a dish of old clay.") and "Segments" in said
    assert planned.code == run("check", card, *kiln).code
    assert melts not in " ".join(run("firing", "--recipe", card, *kiln, "--kind", "bisque").out.split())
    assert "dish of old clay" not in run("firing", "--recipe", card, "--cone", "6").out


@pytest.mark.parametrize(("wall", "code"), [("100mm", 0), ("101mm", 2)])
def test_a_wall_of_a_hand_s_breadth_is_the_most(run: Run, wall: str, code: int) -> None:
    got = run("firing", "--kind", "bisque", "--wall", wall, "--json")
    assert (got.code == 2) == (code == 2)


def test_a_glaze_of_oxides_carries_its_poisons_into_the_kiln(run: Run, tmp_path: Path) -> None:
    (tmp_path / "lead.txt").write_text("name: Old lead glaze\nkind: composition\nbasis: unity\ncone: 04\n\nPbO 0.9\nK2O 0.1\nAl2O3 0.2\nSiO2 2\n", encoding="utf-8")
    cautions = run("kiln", "--recipe", tmp_path / "lead.txt", "--studio", DEMO, "--json").json["results"][0]["cautions"]
    assert any(c.startswith("The glaze: ") and "lead" in c and "tableware" in c for c in cautions), cautions
