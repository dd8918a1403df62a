"""Every answer that rests on the demo's own recipe, clay, kiln, outlet or scale says so, until they are the potter's."""

from __future__ import annotations

from pathlib import Path

import pytest

ANSWERS = {
    "check": ["check", "shoal-clear"], "first": ["first"], "kiln": ["kiln"], "firing": ["firing", "--cone", "6"],
    "body": ["body"], "weigh": ["weigh", "shoal-clear", "--dry", "500g"], "learn": ["learn"],
    "tiles": ["tiles", "shoal-clear", "brine-crackle", "--plan", "line", "--size", "3"],
    "swap": ["swap", "shoal-clear", "Whiting", "Wollastonite"], "learn kiln": ["learn", "--kiln", "Shed kiln"],
    "adjust": ["adjust", "brine-crackle"], "target": ["adjust", "--target", "rock-pool"],
    "compare": ["compare", "shoal-clear", "old-pier"], "formula": ["formula", "shoal-clear"],
    "report": ["report", "shoal-clear"], "report all": ["report", "--all"], "labels": ["labels", "shoal-clear"],
    "shopping": ["weigh", "shoal-clear", "--shopping"], "schedule": ["firing", "--schedule", "steps.csv"],
    "bucket": ["weigh", "shoal-clear", "--bucket", "3L", "--sg", "1.45"],
}  # fmt: skip
OF_A_CONE = ("check", "adjust", "target", "compare", "tiles", "swap", "firing", "kiln", "first", "report", "body",
             "learn", "labels", "schedule")  # fmt: skip


@pytest.fixture
def studio(run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    assert run("start", "mine", "--demo").code == 0
    monkeypatch.chdir(tmp_path / "mine")
    (tmp_path / "mine" / "steps.csv").write_text("rate,to,hold\n100,600,0\n150,1200,10\n")
    return tmp_path / "mine"


def codes(got) -> list[str]:
    return [p["code"] for p in got.json["problems"]]


@pytest.mark.parametrize("words", ANSWERS.values(), ids=ANSWERS)
def test_an_answer_from_the_demo_says_so(words: list[str], run, studio: Path) -> None:
    said = run(*words, "--json")
    assert said.json["answer"] != "error", said.json["problems"]
    assert codes(said).count("demo-data") == 1


@pytest.mark.parametrize("command", OF_A_CONE)
def test_a_range_of_cones_is_taken_the_same_way_everywhere(command: str, run, studio: Path) -> None:
    """The hotter of the two counts, and every answer says so."""
    said = run(*ANSWERS[command], "--json", "-c", "5/6")
    assert said.json["answer"] != "error", said.json["problems"]
    assert codes(said).count("hotter-cone") == 1
    (studio / "labels.html").unlink(missing_ok=True)
    (studio / "shoal-clear.html").unlink(missing_ok=True)
    at_six = run(*ANSWERS[command], "--json", "-c", "6")
    for key in ("cone", "answer", "sentence"):
        assert [r.get(key) for r in said.json["results"]] == [r.get(key) for r in at_six.json["results"]]


def test_every_card_of_the_demo_is_known_as_the_demo_s(run, studio: Path) -> None:
    from glazecalc.jobs.bench import _CARDS, card_names

    assert sorted(_CARDS.values()) == card_names(studio)
    for stem in _CARDS.values():
        told = [p for p in run("check", stem, "--json").json["problems"] if p["code"] == "demo-data"]
        name = next(n for n, s in _CARDS.items() if s == stem)
        assert len(told) == 1 and name in told[0]["message"]


def test_what_was_changed_is_the_potter_s_own(run, studio: Path) -> None:
    path = studio / "studio.toml"
    text = path.read_text(encoding="utf-8")
    for old, new in (("expansion = { value = 5.5,", "expansion = { value = 5.6,"), ("watts = 1800", "watts = 1700"),
                     ('length_m = "40 ft"', 'length_m = "30 ft"')):  # fmt: skip
        assert text.count(old) == 1
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    assert "demo-data" in codes(run("check", "shoal-clear", "--json")), "the recipe is still the demo's"
    (studio / "own.txt").write_text("name: Own\ncone: 6\n\nNepheline syenite 40\nSilica 25\nWhiting 15\nKaolin 20\n")
    assert "demo-data" not in codes(run("check", "own", "--json"))
    assert "demo-data" not in codes(run("formula", "own", "--json"))
    (studio / "sandy.txt").write_text("name: Sandy\ncone: 6\n\nNepheline syenite 40\nBeach sand 40\nWhiting 20\n")
    assert "demo-data" in codes(run("formula", "sandy", "--json")), "its sand is the demo's"
    assert "demo-data" in codes(run("check", "own", "--kiln", "Guild kiln", "--json"))
    assert "demo-data" in codes(run("weigh", "shoal-clear", "--dry", "500g", "--json")), "the scale is still the demo's"


def test_a_word_on_the_demo_is_no_fault_for_strict(run, studio: Path) -> None:
    assert run("check", "shoal-clear", "--strict").code == 0
