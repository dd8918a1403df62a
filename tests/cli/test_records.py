"""record, journal, learn and body on the command line."""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from glazecalc.files.journal import Journal
from tests.cli.conftest import DEMO


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    folder = tmp_path / "studio"
    shutil.copytree(DEMO, folder)
    return folder


def test_record_a_tile_and_correct_it(run, studio):
    got = run("record", "tile", studio / "shoal-clear.txt", "--body", "Harbour stoneware", "--cone", "6",
              "--result", "sound", "--after", "freezer and boil x3", "--thickness", "0.3mm", "--json")  # fmt: skip
    assert got.code == 0
    first = got.json["results"][0]
    assert (first["id"], first["kind"]) == ("AAA", "tile")
    assert first["entry"]["recipe"]["lines"][0]["material"]
    assert sum(share for _, share in first["entry"]["recipe"]["moles"]) == pytest.approx(1.0)
    assert run("record", "tile", "--studio", studio, "--id", "aaa", "--result", "crazed after 40 days").code == 0
    shown = run("journal", "AAA", "--studio", studio, "--json").json["results"][0]["entries"]
    assert [(e["revision"], e["results"], e["after_days"]) for e in shown] == [
        (2, ["crazed later"], 40.0), (1, ["sound"], None),
    ]  # fmt: skip


def test_a_first_result_is_no_correction(run, studio):
    run("record", "tile", studio / "shoal-clear.txt")
    change = ("record", "tile", "--studio", studio, "--id", "AAA")
    assert run(*change, "--thickness", "0.3mm").out.startswith("Corrected: tile AAA.")
    assert run(*change, "--result", "sound").out.startswith("Result written down: tile AAA.")
    assert run(*change, "--result", "crazed after 40 days").out.startswith("Corrected: tile AAA.")
    assert run(*change, "--withdraw").out.startswith("Taken back: tile AAA.")


def test_the_first_cone_of_a_firing_is_no_correction(run, studio):
    run("record", "firing", "--studio", studio, "--purpose", "glaze")
    change = ("record", "firing", "--studio", studio, "--id", "F1", "--witness")
    assert run(*change, "6=down").out.startswith("Result written down: firing F1.")
    assert run(*change, "6=half").out.startswith("Corrected: firing F1.")


def test_an_empty_journal_is_said_to_be_empty(run, studio):
    assert run("journal", "--studio", studio).out.startswith("The journal is empty. Write a tile down with:")
    run("record", "tile", studio / "shoal-clear.txt", "--result", "sound")
    asked = run("journal", "--studio", studio, "--result", "crazed")
    assert (asked.code, asked.out) == (0, "The journal has no such entry. All it has: glazecalc journal\n")


def test_a_changed_card_does_not_change_what_was_mixed(run, studio):
    card = studio / "shoal-clear.txt"
    run("record", "tile", card, "--result", "sound")
    before = run("journal", "--studio", studio, "--json").json["results"][0]["entries"][0]["recipe"]
    card.write_text("name: Shoal clear\ncone: 6\n\nSilica 100\n")
    assert run("journal", "--studio", studio, "--json").json["results"][0]["entries"][0]["recipe"] == before


def test_record_a_firing_and_a_batch(run, studio):
    words = ["--witness", "5=down", "--witness", "6=half", "--hours", "7.5", "--at", "2:00=800F", "--volts", "117"]
    got = run("record", "firing", "--studio", studio, "--kiln", "Shed kiln", *words, "--load", "4kg", "--json")
    assert (got.code, got.json["results"][0]["id"]) == (0, "F1")
    entry = got.json["results"][0]["entry"]
    assert entry["readings"] == [{"at_h": 2.0, "degC": pytest.approx(426.67, abs=0.01)}]
    assert entry["load_kg"] == 4.0
    got = run("record", "batch", studio / "shoal-clear.txt", "--dry", "1lb", "--lot", "Kaolin=bag 7", "--json")
    assert got.json["results"][0]["entry"]["dry_g"] == pytest.approx(453.59237)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--result", "melted"], "unknown-result"),
        (["--cone", "66"], "no-such-cone"),
        (["--thickness", "3 kg"], "wrong-unit"),
        (["--thickness", "300mm"], "record"),
        (["--date", "yesterday"], "not-a-date"),
        (["--body", "Harbor stonewear"], "no-body"),
        (["--result", "sound", "--result", "crazed"], "record"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_written(run, studio, words, code):
    got = run("record", "tile", studio / "shoal-clear.txt", "--json", *words)
    assert got.code == 2
    assert got.json["problems"][0]["code"] == code
    listed = run("journal", "--studio", studio, "--json")
    assert listed.json["results"][0]["entries"] == []


def test_every_problem_is_said_in_one_pass(run, studio):
    got = run(
        "record", "tile", studio / "shoal-clear.txt", "--result", "melted", "--cone", "66", "--date", "x", "--json"
    )
    assert len([p for p in got.json["problems"] if p["severity"] == "error"]) == 3


def test_list_and_filter(run, studio):
    run("record", "tile", studio / "shoal-clear.txt", "--result", "sound", "--date", "2026-01-05")
    run("record", "tile", studio / "brine-crackle.txt", "--result", "crazed", "--date", "2026-02-05")
    run("record", "tile", "--glaze", "Jar of blue", "--studio", studio)
    run("record", "firing", "--studio", studio, "--kiln", "Shed kiln", "--hours", "8")

    def ids(*words: str) -> list[str]:
        return [e["id"] for e in run("journal", "--studio", studio, "--json", *words).json["results"][0]["entries"]]

    assert ids() == ["AAA", "AAC", "AAE", "F1"]
    assert ids("--kind", "firing") == ["F1"]
    assert ids("--result", "crazed") == ["AAC"]
    assert ids("--glaze", "jar") == ["AAE"]
    assert ids("--since", "2026-02-01") == ["AAC", "AAE", "F1"]
    assert ids("--body", "harbour stoneware", "--glaze", "shoal") == ["AAA"]
    assert run("record", "tile", "--studio", studio, "--id", "AAC", "--withdraw").code == 0
    assert ids() == ["AAA", "AAE", "F1"]
    rows = run("journal", "--studio", studio, "--csv").out.splitlines()
    assert rows[0].startswith("kind,id,revision")
    assert len(rows) == 4


def test_export_and_import(run, studio, tmp_path):
    run("record", "tile", studio / "shoal-clear.txt", "--note", "=1+1", "--result", "sound")
    run("record", "tile", "--id", "AAA", "--studio", studio, "--result", "shivered")
    saved = tmp_path / "saved.csv"
    assert run("journal", "--studio", studio, "--export", saved).code == 0
    assert run("journal", "--studio", studio, "--export", saved).code == 2, "nothing is overwritten without --force"
    assert "'=1+1" in saved.read_text()
    new = tmp_path / "new"
    new.mkdir()
    assert run("journal", "--studio", new, "--import", saved).code == 0
    with Journal(studio) as a, Journal(new) as b:
        assert a.all_entries() == b.all_entries()


def test_no_journal_yet(run, studio):
    got = run("journal", "--studio", studio, "--json")
    assert (got.code, got.json["results"][0]["entries"]) == (0, [])
    assert not (studio / "journal.sqlite").exists(), "reading makes no file"
    for words in (["AAA"], ["--export", str(studio / "x.csv")]):
        got = run("journal", "--studio", studio, "--json", *words)
        assert (got.code, got.json["problems"][0]["code"]) == (2, "no-journal")
    assert run("journal", "--studio", studio / "nowhere", "--json").code == 2


def test_learn_and_check_go_together(run, studio):
    before = run("check", studio / "shoal-clear.txt", "--json").json["results"][0]["estimates"]["body_expansion"]
    empty = run("learn", "--studio", studio, "--json")
    assert empty.code == 0
    assert empty.json["results"][0]["tiles"] == []
    assert empty.json["results"][0]["next_tiles"]
    for card, result in (("brine-crackle", "crazed"), ("shoal-clear", "sound"), ("lighthouse-white", "sound")):
        run("record", "tile", studio / f"{card}.txt", "--cone", "6", "--result", result)
    learned = run("learn", "--studio", studio, "--json").json["results"][0]
    both = learned["estimates"]["body_expansion"]
    assert both["posterior"]["basis"] == "learned"
    assert both["prior"]["basis"] == before["basis"]
    assert sum(t["weight"] for t in learned["tiles"]) == pytest.approx(1.0)
    assert [t["id"] for t in learned["tiles"]] == ["AAA", "AAC", "AAE"]
    after = run("check", studio / "shoal-clear.txt", "--json").json["results"][0]["estimates"]["body_expansion"]
    assert after["basis"] == "learned"
    assert "learned from 3 tiles" in after["caveats"]
    assert after["high"] - after["low"] < before["high"] - before["low"]
    text = run("learn", "--studio", studio).out
    assert "Fire next" in text
    assert max(len(line) for line in text.splitlines()) <= 120


def test_learn_offers_only_what_the_kiln_reaches(run, studio):
    names = run("learn", "--studio", studio, "--kiln", "Shed kiln", "--body", "Harbour stoneware", "--json")
    assert not any("old pier" in t["name"].casefold() for t in names.json["results"][0]["next_tiles"])


def test_body(run, studio):
    got = run("body", "harbour stoneware", "--studio", studio, "--cone", "6", "--fired", "88mm", "--json")
    assert got.code == 0
    result = got.json["results"][0]
    assert result["wet_size"]["wet_mm"] == pytest.approx(100.0)
    assert {"body_expansion", "absorption", "shrinkage"} <= set(result["estimates"])
    porcelain = run("body", "gull porcelain", "--studio", studio, "--json").json["results"][0]
    assert porcelain["unity"]["Al2O3"] == pytest.approx(1.0)
    assert porcelain["estimates"]["reasoned_expansion"]["basis"] == "typical"
    got = run("body", "nobody", "--studio", studio, "--json")
    assert (got.code, got.json["problems"][0]["code"]) == (2, "no-body")


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no such signal")
def test_the_command_itself_killed_at_any_moment(studio):
    # Two terminals run the command; each is killed at a random moment. What was acknowledged on stdout is
    # there.
    rng = random.Random(5)
    command = [sys.executable, "-m", "glazecalc", "record", "tile", str(studio / "shoal-clear.txt"), "--json"]
    acknowledged: list[tuple[str, str]] = []
    for i in range(6):
        pair = [
            subprocess.Popen(
                [*command, "--note", f"{i}-{k}"], stdout=subprocess.PIPE, start_new_session=True, text=True
            )
            for k in range(2)
        ]
        time.sleep(rng.uniform(0.2, 2.5))
        for k, process in enumerate(pair):
            os.kill(process.pid, signal.SIGKILL)
            out, _ = process.communicate()
            if out.rstrip().endswith("}") and out.lstrip().startswith("{"):
                acknowledged.append((json.loads(out)["results"][0]["id"], f"{i}-{k}"))
    with Journal(studio) as journal:
        kept = {t.id: t.note for t in journal.tiles()}
    assert all(kept[id_] == note for id_, note in acknowledged)
    assert len({id_ for id_, _ in acknowledged}) == len(acknowledged)
