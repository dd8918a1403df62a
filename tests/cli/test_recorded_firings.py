"""Recorded firings through every command that learns from them: one answer, and a misfit said in each."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]

LAST_HOURS = ("1=450C", "2=690C", "3=850C", "4=970C", "5=1055C", "6=1115C")
STALLED = ("1=900C", "2=901C", "3=901.5C", "4=901.7C", "5=901.8C")
"""A kiln that jumps to 900 degC and stands there is not the demo's."""
ON = ("--kiln", "Shed kiln")
COMMANDS = {
    "check": ("check", "shoal-clear", *ON, "--circuit", "Shed outlet"),
    "kiln": ("kiln", "Shed kiln", "--circuit", "Shed outlet"),
    "learn": ("learn", *ON, "--circuit", "Shed outlet"),
    "firing": ("firing", *ON, "--cone", "6"),
}


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    folder = tmp_path / "studio"
    shutil.copytree(DEMO, folder)
    return folder


def record(run: Run, studio: Path, readings: tuple[str, ...], *more: str) -> set[str]:
    """Write a firing down; the codes of what was remarked."""
    looks = [word for at in readings for word in ("--at", at)]
    got = run("record", "firing", *looks, *more, "--studio", studio, "--json")
    assert got.code == 0
    return {p["code"] for p in got.json["problems"]}


def ceilings(run: Run, studio: Path) -> dict[str, tuple[float, float, float, str]]:
    found = {}
    for name in ("check", "kiln", "learn"):
        e = run(*COMMANDS[name], "--studio", studio, "--json").json["results"][0]["estimates"]["kiln_ceiling"]
        found[name] = (e["value"], e["low"], e["high"], e["basis"])
    return found


@pytest.mark.parametrize(
    "more", [("--volts", "118"), ("--circuit", "Shed outlet"), ("--circuit", "Kitchen outlet"), ()]
)
def test_check_kiln_and_learn_tell_one_ceiling(run: Run, studio: Path, more: tuple[str, ...]) -> None:
    assert record(run, studio, LAST_HOURS, *ON, *more) == set()
    found = ceilings(run, studio)
    assert found["check"] == found["kiln"] == found["learn"]
    assert found["check"][-1] == "learned"


def test_a_firing_without_a_kiln_counts_only_where_there_is_one(run: Run, studio: Path) -> None:
    text = (studio / "studio.toml").read_text(encoding="utf-8")
    several = text.replace('kiln = "Shed kiln"\ncircuit = "Shed outlet"\n', "")
    (studio / "studio.toml").write_text(several, encoding="utf-8")
    assert record(run, studio, LAST_HOURS, "--volts", "118") == {"no-kiln"}
    assert {found[-1] for found in ceilings(run, studio).values()} == {"model"}
    before, _, after = several.partition('[[kiln]]\nname = "Guild kiln"')
    (studio / "studio.toml").write_text(before + after[after.index("[[circuit]]") :], encoding="utf-8")
    found = ceilings(run, studio)
    assert {basis for *_, basis in found.values()} == {"learned"}
    assert found["check"] == found["kiln"] == found["learn"]


def test_wrong_volts_are_remarked_and_never_a_bug(run: Run, studio: Path) -> None:
    plate = ceilings(run, studio)
    assert record(run, studio, LAST_HOURS, *ON, "--volts", "240") == {"firing-odd"}
    assert ceilings(run, studio) == plate, "nothing is learned from it"
    left = run(*COMMANDS["learn"], "--studio", studio, "--json").json["results"][0]["firings"]
    assert [(f["used"], "240 V" in f["reason"]) for f in left] == [(False, True)]
    assert record(run, studio, (), "--id", "F1", "--volts", "118") == set()
    assert {found[-1] for found in ceilings(run, studio).values()} == {"learned"}


@pytest.mark.parametrize("command", COMMANDS)
def test_a_misfit_is_said_wherever_the_firings_are_used(run: Run, studio: Path, command: str) -> None:
    record(run, studio, STALLED, *ON, "--volts", "118")
    got = run(*COMMANDS[command], "--studio", studio)
    assert "times further from the model than readings" in " ".join((got.out + got.err).split())
    if command != "firing":
        problems = run(*COMMANDS[command], "--studio", studio, "--json").json["problems"]
        assert "kiln-misfit" in {p["code"] for p in problems}


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        (("--circuit", "No such circuit"), {"no-circuit"}),
        (("--circuit", "shed OUTLET"), set()),
        (("--energy", "12", "--hours", "8"), set()),
        (("--energy", "40", "--hours", "8"), {"firing-odd"}),
        (("--hold", "9", "--hours", "8"), {"firing-odd"}),
        (("--volts", "100"), set()),
        (("--volts", "208"), {"firing-odd"}),
    ],
)
def test_what_does_not_go_with_the_kiln_is_remarked(
    run: Run, studio: Path, words: tuple[str, ...], codes: set[str]
) -> None:
    """1800 W over 8 h is 14.4 kWh, and more the meter cannot count."""
    assert record(run, studio, (), *ON, *words) == codes


def test_factors_are_told_with_their_intervals(run: Run, studio: Path) -> None:
    """A loss above that of geometry and brick is a number above one, not a share."""
    record(run, studio, LAST_HOURS, *ON, "--volts", "118")
    learned = run(*COMMANDS["learn"], "--studio", studio, "--json").json["results"][0]["estimates"]["loss_factor"]
    lines = [line.split() for line in run(*COMMANDS["learn"], "--studio", studio).out.splitlines()]
    told = next(words for words in lines if words[:2] == ["loss", "factor"])
    figures = [float(word.strip("(),")) for word in (told[2], told[3], told[5])]
    assert figures == pytest.approx([learned["value"], learned["low"], learned["high"]], abs=0.06)
