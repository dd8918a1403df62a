"""The promises of the command line: exit codes, JSON shapes, streams, nothing overwritten."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from glazecalc.cli.main import IN_SHORT, program
from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
ESTIMATE_KEYS = {"name", "value", "low", "high", "unit", "basis", "sources", "caveats"}
CHECK_KEYS = {
    "recipe", "unity", "mole_percent", "weight_percent", "loss_on_ignition_percent", "ratios", "estimates", "verdicts",
    "cautions", "next_steps", "sources",
}  # fmt: skip
CARDS = sorted(DEMO.glob("*.txt"))


def numbers(node: Any) -> list[float]:
    if isinstance(node, dict):
        return [n for value in node.values() for n in numbers(value)]
    if isinstance(node, list):
        return [n for value in node for n in numbers(value)]
    return [node] if isinstance(node, float) else []


@pytest.mark.parametrize("card", CARDS, ids=lambda p: p.stem)
def test_check_json(run: Run, card: Path) -> None:
    got = run("check", card, "--json")
    document = got.json
    assert list(document) == ["schema", "command", "answer", "results", "problems"]
    assert got.code == {"fits": 0, "does_not_fit": 1, "cannot_say": 3}[document["answer"]]
    result = document["results"][0]
    assert set(result) >= CHECK_KEYS
    for name, estimate in result["estimates"].items():
        assert set(estimate) == ESTIMATE_KEYS
        assert estimate["name"] == name
        assert estimate["low"] <= estimate["value"] <= estimate["high"]
    for verdict in result["verdicts"]:
        assert set(verdict) == {"rule", "answer", "message", "evidence"}
        assert set(verdict["evidence"]) <= set(result["estimates"]), "evidence is among the estimates"
    order = ["fits", "cannot_say", "does_not_fit"]
    assert document["answer"] == max((v["answer"] for v in result["verdicts"]), key=order.index)
    assert all(math.isfinite(n) for n in numbers(document))
    assert "food safe" not in got.out.casefold()


def test_percentages_close(run: Run) -> None:
    result = run("check", DEMO / "shoal-clear.txt", "--json").json["results"][0]
    assert sum(result["mole_percent"].values()) == pytest.approx(100)
    assert sum(result["weight_percent"].values()) == pytest.approx(100)


def test_several_recipes_give_the_worst_answer(run: Run) -> None:
    got = run("check", DEMO / "rock-pool.txt", DEMO / "old-pier.txt", "--json")
    assert len(got.json["results"]) == 2
    assert got.code == 1


def test_the_text_begins_with_the_answer(run: Run) -> None:
    got = run("check", DEMO / "old-pier.txt")
    assert got.out.startswith("Old pier limestone on Harbour stoneware at cone 10")
    headings = ["Next", "Unity molecular formula", "Estimates", "Cautions"]
    full = run("check", DEMO / "old-pier.txt", "--full").out
    for out, shown in ((got.out, [h for h in headings if h != "Unity molecular formula"]), (full, headings)):
        places = [out.index(h) for h in shown]
        assert places == sorted(places)
    assert "Unity molecular formula" not in got.out


@pytest.mark.parametrize("card", ["shoal-clear", "kelp-celadon", "old-pier"])
def test_a_check_is_short(run: Run, card: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """45 lines at 80 columns; the verdicts, the line on food and the advice on data sheets stand in them, once."""
    monkeypatch.setenv("COLUMNS", "80")
    out = run("check", DEMO / f"{card}.txt").out
    assert len(out.splitlines()) <= 45
    assert max(len(line) for line in out.splitlines()) <= 80
    assert out.count("fits the clay:") == 1
    assert out.count("Not tested for food or drink") == 1
    assert out.count("safety data sheet") == 1


def test_a_short_check_keeps_every_caution(run: Run) -> None:
    """Lead, cadmium and their kind stand without ``--full`` as with it: the cautions are the same lines."""
    for card in ("night-harbour", "verdigris", "glasswort"):
        short, full = run("check", DEMO / f"{card}.txt").out, run("check", DEMO / f"{card}.txt", "--full").out
        assert short.split("Cautions:\n")[1] == full.split("Cautions\n--------\n")[1]


def test_results_and_remarks_use_their_streams(run: Run, tmp_path: Path) -> None:
    card = tmp_path / "odd.txt"
    card.write_text("name: Odd\ncone: 6\n\nSilica 30\nWhiting 20\nKaolin 30\n", encoding="utf-8")
    got = run("check", card)
    assert "note:" in got.err
    assert "note:" not in got.out
    assert json.loads(run("check", card, "--json").out)["problems"]
    assert run("check", card, "--json").err == ""


def test_strict_turns_remarks_into_errors(run: Run, tmp_path: Path) -> None:
    card = tmp_path / "odd.txt"
    card.write_text("name: Odd\ncone: 6\n\nSilica 30\nWhiting 20\nKaolin 30\n", encoding="utf-8")
    got = run("formula", card, "--strict")
    assert got.code == 2 and "error:" in got.err and "note:" not in got.err
    assert run("formula", card, "--strict", "--json").json["problems"][0]["severity"] == "error"


@pytest.mark.parametrize("words", [
    ("check",), ("nonsense",), ("check", "no-such-card"), ("formula", "--basis", "nonsense", str(DEMO / "rock-pool.txt")),
    ("check", str(DEMO / "rock-pool.txt"), "--cone", "six"), ("check", str(DEMO / "rock-pool.txt"), "--body", "Sandstone"),
    ("check", str(DEMO / "rock-pool.txt"), "--kiln", "Volcano"), ("check", str(DEMO / "rock-pool.txt"), "--units", "cubits"),
    ("materials", "unobtainium"), ("check", "--no-such-option"), ("formula", str(DEMO / "jar-seafoam.txt")),
    ("check", str(DEMO / "rock-pool.txt"), "--studio", "no/such/folder"),
])  # fmt: skip
def test_usage_and_input_errors(run: Run, words: tuple[str, ...]) -> None:
    got = run(*words)
    assert got.code == 2
    assert got.out == ""
    assert "Traceback" not in got.err
    assert "[" in got.err, "an error has a code"
    as_json = run(*words, "--json")
    assert as_json.code == 2
    assert as_json.json["answer"] == "error"
    assert as_json.json["problems"][0]["message"]


def test_did_you_mean(run: Run) -> None:
    assert "Harbour stoneware" in run("check", DEMO / "rock-pool.txt", "--body", "harbor stoneware").err
    assert "shoal-clear" in run("check", "shoal-claer", "--studio", DEMO).err
    assert "check" in run("chekc").err


def test_a_card_is_found_by_its_name(run: Run) -> None:
    by_name, by_path = (
        run("check", "rock-pool", "--studio", DEMO, "--json"),
        run("check", DEMO / "rock-pool.txt", "--json"),
    )
    assert by_name.code == by_path.code == 3
    assert by_name.json["results"] == by_path.json["results"]


def test_units(run: Run) -> None:
    assert "\N{DEGREE SIGN}F" in run("check", DEMO / "rock-pool.txt", "--full", "--units", "us").out
    assert "degF" not in run("check", DEMO / "rock-pool.txt", "--full", "--units", "metric").out


def test_start_overwrites_nothing(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "studio"
    assert run("start", folder).code == 0
    (folder / "studio.toml").write_text("# mine\n", encoding="utf-8")
    again = run("start", folder)
    assert again.code == 2
    assert (folder / "studio.toml").read_text(encoding="utf-8") == "# mine\n"
    assert run("start", folder, "--force").code == 0
    assert (folder / "studio.toml").read_bytes() == (DEMO / "studio.toml").read_bytes()


def test_stdin(monkeypatch: pytest.MonkeyPatch) -> None:
    text = (DEMO / "rock-pool.txt").read_text(encoding="utf-8")
    found = subprocess.run(
        [sys.executable, "-m", "glazecalc", "formula", "-", "--json"],
        input=text, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr
    assert json.loads(found.stdout)["results"][0]["recipe"] == "Rock pool, from a book"


def test_a_bug_is_one_line_and_70(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    import glazecalc.jobs.formula

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("broken on purpose")

    monkeypatch.setattr(glazecalc.jobs.formula, "describe", broken)
    got = run("formula", DEMO / "rock-pool.txt")
    assert got.code == 70
    assert "broken on purpose" in got.err
    assert "Traceback" not in got.err
    with pytest.raises(RuntimeError):
        run("formula", DEMO / "rock-pool.txt", "--debug")


def test_interrupted(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    import glazecalc.jobs.formula

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(glazecalc.jobs.formula, "describe", interrupted)
    assert run("formula", DEMO / "rock-pool.txt").code == 130


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437", "utf-8"])
def test_output_survives_any_terminal(encoding: str) -> None:
    found = subprocess.run(
        [sys.executable, "-m", "glazecalc", "check", "recipes/shoal-clear.txt"],
        cwd=DEMO.parent, capture_output=True, timeout=60, check=False, env={"PYTHONIOENCODING": encoding, "PATH": ""},
    )  # fmt: skip
    assert found.returncode == 0, found.stderr
    assert b"\x1b" not in found.stdout, "no colour into a pipe"


@pytest.mark.parametrize(("encoding", "degree"), [("ascii", b"1247 degC"), ("cp1252", b"1247 \xb0C"),
                                                  ("cp437", b"1247 \xf8C"), ("utf-8", b"1247 \xc2\xb0C")])  # fmt: skip
def test_a_degree_has_its_sign_where_the_stream_can_show_it(encoding: str, degree: bytes) -> None:
    """The byte of the degree sign in each code page, as Unicode's mapping tables give it (F8 in CP437, B0 in CP1252)."""
    words = [sys.executable, "-m", "glazecalc", "kiln", "--studio", "recipes"]
    env = {"PYTHONIOENCODING": encoding, "PATH": ""}
    found = subprocess.run(words, cwd=DEMO.parent, capture_output=True, timeout=60, check=False, env=env)
    assert degree in found.stdout
    assert encoding == "ascii" or b"degC" not in found.stdout
    told = subprocess.run([*words, "--json"], cwd=DEMO.parent, capture_output=True, timeout=60, check=False, env=env)
    assert told.stdout.isascii()
    assert b'"unit": "degC"' in told.stdout


@pytest.mark.parametrize("command", IN_SHORT)
def test_help_has_two_examples(run: Run, command: str) -> None:
    app = program()
    assert command in [c.name for c in (*app.registered_commands, *app.registered_groups)]
    got = run(command, "--help")
    assert got.code == 0
    assert got.out.count(f"glazecalc {command}") >= 2
    assert command == "record" or "--json" in got.out


def test_words_of_a_material_list_every_one_that_has_them(run: Run) -> None:
    got = run("materials", "cobalt", "--json")
    assert got.code == 0
    names = [m["name"] for m in got.json["results"]]
    assert {"Cobalt oxide", "Cobalt carbonate"} <= set(names)
    assert "raw materials have" in run("materials", "frit").out
    assert run("materials", "whiting", "--json").json["results"][0]["name"] == "Whiting"


def test_lead_and_barium_stand_apart_in_the_list(run: Run) -> None:
    parts = re.split(r"\n\n(?=.*\n-{3,}\n)", run("materials").out)
    groups = {head: " ".join(names.split()) for head, _, names in (p.split("\n", 2) for p in parts[1:])}
    lead = groups["lead: poison, only to read old recipes"]
    assert all(name in lead for name in ("White lead", "Litharge", "Red lead", "Galena", "Frit, lead bisilicate"))
    barium = next(names for head, names in groups.items() if head.startswith("barium: poison"))
    assert "Barium carbonate" in barium and "Barium" not in groups["lime, magnesia and strontia"]
    assert "carbonate" not in groups and list(groups).index("frit") < list(groups).index(
        "lead: poison, only to read old recipes"
    )


def test_what_stops_a_job_says_error_and_what_does_not_says_note(run: Run, tmp_path: Path) -> None:
    card = tmp_path / "card.txt"
    card.write_text("name: Trial\n\nSilica 60\nUnobtainium 30\n", encoding="utf-8")
    err = run("check", card).err
    assert ":4: error: no material" in err
    assert ": note: the base adds up to 90" in err


def test_signs_that_steer_a_terminal_never_leave(run: Run, tmp_path: Path) -> None:
    text = (DEMO / "studio.toml").read_text(encoding="utf-8").replace('colour = "buff"', 'colour = "\\u001b[31mbuff"')
    (tmp_path / "studio.toml").write_text(text, encoding="utf-8")
    for words in (("body", "--studio", tmp_path), ("check", "x", "--studio", tmp_path / "\x1b[31m")):
        got = run(*words)
        assert "\x1b" not in got.out + got.err


def test_a_screened_id_cannot_act_as_a_formula(run: Run, tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_text('id,SiO2,Na2O,CaO\n"=1+1",70,15,15\n', encoding="utf-8")
    assert run("screen", tmp_path / "t.csv", "-o", tmp_path / "o.csv").code == 0
    assert "'=1+1" in (tmp_path / "o.csv").read_text(encoding="utf-8")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["o.csv", "t.csv"], "no crumbs"


@pytest.mark.parametrize("words", [("check",), ("check", "--json")])
def test_a_full_disk_is_no_bug_and_no_verdict(words: tuple[str, ...]) -> None:
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("this system has no /dev/full")
    with full.open("w", encoding="utf-8") as stream:
        found = subprocess.run(
            [sys.executable, "-m", "glazecalc", words[0], "recipes/shoal-clear.txt", *words[1:]],
            cwd=DEMO.parent, stdout=stream, stderr=subprocess.PIPE, text=True, timeout=60, check=False,
        )  # fmt: skip
    assert found.returncode == 2
    assert "Traceback" not in found.stderr


@pytest.mark.parametrize("line", ["Copper carbonate 100", "Tin oxide 100", "Alumina hydrate 100"])
def test_a_glaze_of_nothing_the_models_know_cannot_be_judged(run: Run, tmp_path: Path, line: str) -> None:
    (tmp_path / "c.txt").write_text(f"name: x\ncone: 6\n\n{line}\n", encoding="utf-8")
    got = run("check", tmp_path / "c.txt", "--studio", DEMO, "--json")
    assert got.code in (1, 3)
    assert "nan" not in run("formula", tmp_path / "c.txt", "--explain", "--json").out


# What each command is for, by a word of the trade that no other needs.
FOR = {
    "check": "fit", "formula": "formula", "compare": "side by side", "weigh": "weigh", "tiles": "tile", "adjust": "fit", "swap": "material", "start": "studio folder", "first": "begin with",
    "materials": "raw materials", "report": "print", "labels": "buckets", "journal": "recorded", "record": "Write down", "learn": "tiles", "body": "clay", "kiln": "plugged in",
    "firing": "schedule", "screen": "table", "open": "browser",
}  # fmt: skip


@pytest.mark.parametrize("command", FOR)
def test_the_first_page_says_what_each_command_is_for(command: str, run: Run) -> None:
    page = run("--help").out
    line = next(line for line in page.split("\n") if re.match(rf"\W*{command} ", line))
    assert FOR[command].casefold() in line.casefold()
