"""Schedules as potters save them, and every way they go wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from glazecalc.files.schedule import read_schedule
from glazecalc.values.answers import Problem
from glazecalc.values.results.firing import ScheduleLeg


def read(tmp_path: Path, text: str) -> tuple[tuple[ScheduleLeg, ...], tuple[Problem, ...]]:
    path = tmp_path / "schedule.csv"
    path.write_text(text, encoding="utf-8")
    return read_schedule(path)


def test_the_plain_form(tmp_path: Path) -> None:
    legs, problems = read(tmp_path, "rate,to,hold\n100,120,0:15\n150,1120,\n60,1213,10min\n-80,900,1h\n")
    assert not problems
    assert [(leg.rate_degC_per_h, leg.to_degC) for leg in legs] == [(100, 120), (150, 1120), (60, 1213), (80, 900)]
    assert [leg.hold_h for leg in legs] == pytest.approx([0.25, 0.0, 1 / 6, 1.0])
    assert [leg.line for leg in legs] == [2, 3, 4, 5]


@pytest.mark.parametrize(
    "text",
    [
        "rate_degF_per_h,to_degF,hold_min\n108,2232,10\n",
        "Rate F,To F,Hold (min)\n108,2232,10\n",
        'rate,to,hold\n"108 F/h","2232 F",10 min\n',
        "rate;target;soak\n108 F/h;2232 F;10 min\n",
        "rate_degC_per_h,to_degC,hold_h\n60,1222.2222222222222,0.16666666666666666\n",
    ],
)
def test_the_same_firing_in_other_clothes(tmp_path: Path, text: str) -> None:
    legs, problems = read(tmp_path, text)
    assert not [p for p in problems if p.is_error]
    assert legs[0].rate_degC_per_h == pytest.approx(60.0)
    assert legs[0].to_degC == pytest.approx(1222.22, abs=0.01)
    assert legs[0].hold_h == pytest.approx(1 / 6)


def test_a_studio_in_fahrenheit_reads_fahrenheit_and_says_so(tmp_path: Path) -> None:
    path = tmp_path / "schedule.csv"
    for text in ("rate,to,hold\n108,2232,10min\n", "108,2232,10min\n"):
        path.write_text(text, encoding="utf-8")
        legs, problems = read_schedule(path, "F")
        assert (legs[0].rate_degC_per_h, legs[0].to_degC) == pytest.approx((60.0, 1222.22), abs=0.01)
        assert "read in degF" in problems[-1].message
    for text in ("rate_degC_per_h,to_degC,hold\n60,1222.22,10min\n", 'rate,to,hold\n"60 C/h","1222.22 C",10min\n'):
        path.write_text(text, encoding="utf-8")
        legs, problems = read_schedule(path, "F")
        assert (legs[0].rate_degC_per_h, legs[0].to_degC) == pytest.approx((60.0, 1222.22), abs=0.01)
        assert problems == ()


def test_what_was_assumed_is_said(tmp_path: Path) -> None:
    legs, problems = read(tmp_path, "100,600,0\n60,1222,15\n")
    assert len(legs) == 2
    assert legs[1].hold_h == pytest.approx(0.25)
    assert [p.code for p in problems] == ["unit-assumed", "unit-assumed"]
    legs, _ = read(tmp_path, "rate,to,hold\n60,1222,0.5\n")
    assert legs[0].hold_h == 0.5


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "empty-file"),
        ("rate,to,hold\n", "empty-file"),
        ("rate,hold\n60,10min\n", "column-missing"),
        ("rate,to,to\n60,1222,3\n", "column-twice"),
        ("rate,to,hold\n9999,1222,0\n", "out-of-range"),
        ("rate,to,hold\n0,1222,0\n", "out-of-range"),
        ("rate,to,hold\n60,2232,0\n", "out-of-range"),
        ("rate,to,hold\n60,1222,-2h\n", "out-of-range"),
        ("rate,to,hold\nfast,1222,0\n", "not-a-quantity"),
        ("rate,to,hold\n60 kg,1222,0\n", "wrong-unit"),
        ("rate,to,hold\n,1222,0\n", "not-a-number"),
        ("rate,to,hold\n60,1222,0,7,8\n", "too-many-cells"),
        ("rate,to,hold\n" + "60,900,0\n" * 80, "too-many-lines"),
        ("\x89PNG\r\n", "not-text"),
    ],
)
def test_what_is_wrong_is_an_error_with_a_hint(tmp_path: Path, text: str, code: str) -> None:
    path = tmp_path / "schedule.csv"
    path.write_bytes(text.encode("latin-1"))
    legs, problems = read_schedule(path)
    assert legs == ()
    errors = [p for p in problems if p.is_error]
    assert code in {p.code for p in errors}
    assert all(p.file == str(path) for p in problems)


def test_every_problem_is_found_in_one_pass(tmp_path: Path) -> None:
    _, problems = read(tmp_path, "rate,to,hold\nfast,1222,0\n60,hot,0\n60,1222,long\n")
    assert [p.line for p in problems if p.is_error] == [2, 3, 4]
    assert read_schedule(tmp_path / "nowhere.csv")[1][0].code == "no-such-file"
