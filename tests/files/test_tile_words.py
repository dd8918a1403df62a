"""What a potter says of a tile or a firing."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glazecalc.files.problems import Findings
from glazecalc.files.tile_words import days_in, read_date, read_readings, read_results, read_witness
from glazecalc.values.records import Reading, TileResult, WitnessCone

R = TileResult


@pytest.mark.parametrize(
    ("words", "after", "results", "days", "test"),
    [
        (("sound",), None, (R.SOUND,), None, ""),
        (("crazed",), None, (R.CRAZED,), None, ""),
        (("crazed-later",), None, (R.CRAZED_LATER,), None, ""),
        (("crazed_at_once",), None, (R.CRAZED_AT_ONCE,), None, ""),
        (("crazed",), "3 days", (R.CRAZED_LATER,), 3.0, ""),
        (("crazed after 2 weeks",), None, (R.CRAZED_LATER,), 14.0, ""),
        (("Crazed after boiling",), None, (R.CRAZED_LATER,), None, "boiling"),
        (("sound, pinholed",), "freezer and boil x3", (R.SOUND, R.PINHOLED), None, "freezer and boil x3"),
        (("crazed later", "ran"), None, (R.CRAZED_LATER, R.RAN), None, ""),
        (("shivering",), None, (R.SHIVERED,), None, ""),
        ((), None, (), None, ""),
    ],
)
def test_results(words, after, results, days, test):
    found = Findings(None)
    assert read_results(words, after, found) == (results, days, test)
    assert not found.has_errors


def test_an_unknown_result_is_said_with_a_hint():
    found = Findings(None)
    read_results(("crazzed",), None, found)
    (problem,) = found.problems
    assert problem.code == "unknown-result"
    assert "crazed" in problem.hint


def test_spans_of_time():
    assert days_in("36 hours") == pytest.approx(1.5)
    assert days_in("a year") == pytest.approx(365.25)
    assert days_in("often") is None


def test_witness_cones_keep_their_names():
    found = Findings(None)
    words = ("6=half", "cone 05 down", "7 standing")
    cones = read_witness(words, found)
    assert cones == (WitnessCone("6", "half"), WitnessCone("05", "down"), WitnessCone("7", "stands"))
    read_witness(("6", "6=sideways", "66=down"), found)
    assert [p.code for p in found.problems] == ["not-a-witness", "not-a-witness", "no-such-cone"]


def test_readings():
    found = Findings(None)
    assert read_readings(("2:30=600C", "1=212F"), found) == (Reading(1.0, 100.0), Reading(2.5, 600.0))
    read_readings(("noon=hot",), found)
    assert found.has_errors


def test_dates():
    found = Findings(None)
    assert read_date("2026-03-31", found) == "2026-03-31"
    assert read_date(None, found) == date.today().isoformat()
    read_date("31.3.26", found)
    assert found.has_errors


@settings(deadline=None)
@given(st.text(max_size=40))
def test_no_word_upsets_the_reader(text):
    found = Findings(None)
    read_results((text,), text, found)
    read_witness((text,), found)
    read_readings((text,), found)
    assert all(problem.code and problem.message.isprintable() for problem in found.problems)
