"""Every answer that rests on the demo's own clay, kiln, outlet or scale says so, until they are the potter's."""

from __future__ import annotations

from pathlib import Path

import pytest

ANSWERS = {
    "check": ["check", "shoal-clear"], "first": ["first"], "kiln": ["kiln"], "firing": ["firing", "--cone", "6"],
    "body": ["body"], "weigh": ["weigh", "shoal-clear", "--dry", "500g"], "learn": ["learn"],
    "tiles": ["tiles", "shoal-clear", "brine-crackle", "--plan", "line", "--size", "3"],
    "swap": ["swap", "shoal-clear", "Whiting", "Wollastonite"], "learn kiln": ["learn", "--kiln", "Shed kiln"],
}  # fmt: skip


@pytest.fixture
def studio(run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    assert run("start", "mine", "--demo").code == 0
    monkeypatch.chdir(tmp_path / "mine")
    return tmp_path / "mine"


def codes(got) -> list[str]:
    return [p["code"] for p in got.json["problems"]]


@pytest.mark.parametrize("words", ANSWERS.values(), ids=ANSWERS)
def test_an_answer_from_the_demo_says_so(words: list[str], run, studio: Path) -> None:
    assert "demo-data" in codes(run(*words, "--json"))


def test_what_was_changed_is_the_potter_s_own(run, studio: Path) -> None:
    path = studio / "studio.toml"
    text = path.read_text(encoding="utf-8")
    for old, new in (("expansion = { value = 5.5,", "expansion = { value = 5.6,"), ("watts = 1800", "watts = 1700"),
                     ('length_m = "40 ft"', 'length_m = "30 ft"')):  # fmt: skip
        assert text.count(old) == 1
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    assert "demo-data" not in codes(run("check", "shoal-clear", "--json"))
    assert "demo-data" in codes(run("check", "shoal-clear", "--kiln", "Guild kiln", "--json"))
    assert "demo-data" in codes(run("weigh", "shoal-clear", "--dry", "500g", "--json")), "the scale is still the demo's"


def test_a_word_on_the_demo_is_no_fault_for_strict(run, studio: Path) -> None:
    assert run("check", "shoal-clear", "--strict").code == 0
