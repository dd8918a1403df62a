"""`first` at the command line: what it says, and the card it writes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO


def test_the_card_that_is_written_is_read_by_check(run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("start", "mine", "--demo").code == 0
    got = run("first", "--studio", "mine", "-o", "mine/first-glaze.txt", "--json")
    assert got.code == 0
    told = got.json["results"][0]
    checked = run("check", "mine/first-glaze.txt", "--json").json["results"][0]
    assert checked["answer"] == told["answer"] == "fits"
    assert checked["estimates"]["expansion"]["value"] == told["check"]["estimates"]["expansion"]["value"]
    assert run("first", "--studio", "mine", "-o", "mine/first-glaze.txt").code == 2, "nothing is overwritten"


def test_the_answer_is_in_plain_sentences(run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    run("start", "mine", "--demo")
    got = run("first", "--studio", "mine")
    for part in ("Begin with First", "a batch for this scale", "Four tiles of it", "What it should look like", "Cautions",
                 "glazecalc first --cone 6", "dry coat 0.5 mm"):  # fmt: skip
        assert part in got.out, part
    assert "dry coat 0.02 in" in run("first", "--studio", "mine", "--units", "us").out
    none = run("first", "--studio", "mine", "-c", "04")
    assert none.code == 1 and none.out.startswith("None of the") and "batch" not in none.out
    assert run("first", "--studio", "mine", "-c", "04", "-o", "x.txt").code == 2 and not Path("x.txt").exists()


def test_what_is_weighed_is_told_in_the_unit_of_the_scale(run) -> None:
    """The demo's scale reads in grams; volumes and lengths stay as asked."""
    text = run("first", "--body", "Harbour stoneware", "--units", "us", "--studio", DEMO).out
    note = "Weights are in g, the unit of this scale, not in oz."
    assert note in text and " fl oz" in text and not re.search(r"(?<!fl) oz\b", text.replace(note, ""))
