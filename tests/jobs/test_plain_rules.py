"""The rules that need only names and cones: the clay's range, the stated cone, the plate, the headline."""

from __future__ import annotations

import pytest

from glazecalc.jobs.check import headline, judge_clay_range, next_steps
from glazecalc.jobs.melt import judge_stated_cone
from glazecalc.jobs.reach import judge_rated_cone
from glazecalc.values.answers import Answer, Verdict, worst
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import ConeRange, Kiln, Recipe

FITS, NO, UNSURE = Answer.FITS, Answer.DOES_NOT_FIT, Answer.CANNOT_SAY


def cone(name: str | None) -> Cone | None:
    return None if name is None else Cone(name)


@pytest.mark.parametrize(("low", "high", "fired", "answer"), [
    ("5", "7", "6", FITS), ("5", "7", "5", FITS), ("5", "7", "8", NO), ("5", "7", "06", NO), ("06", "03", "6", NO),
    (None, None, "6", UNSURE), ("5", None, "6", UNSURE), ("5", None, "4", NO), (None, "7", "8", NO), ("5", "7", None, UNSURE),
])  # fmt: skip
def test_clay_range(low: str | None, high: str | None, fired: str | None, answer: Answer) -> None:
    assert judge_clay_range("Clay", cone(low), cone(high), cone(fired)).answer is answer


@pytest.mark.parametrize(("low", "high", "fired", "answer"), [
    ("5", "6", "6", FITS), ("6", "6", "7", UNSURE), ("6", "6", "5.5", UNSURE), ("6", "6", "10", NO), ("10", "10", "6", NO),
    ("06", "06", "6", NO), ("6", "6", None, UNSURE),
])  # fmt: skip
def test_stated_cone(low: str, high: str, fired: str | None, answer: Answer) -> None:
    assert judge_stated_cone(ConeRange(low=Cone(low), high=Cone(high)), cone(fired)).answer is answer


def test_no_stated_cone_is_never_a_pass() -> None:
    assert judge_stated_cone(None, Cone("6")).answer is UNSURE


@pytest.mark.parametrize(("rated", "fired", "answer"), [
    ("8", "6", FITS), ("6", "6", UNSURE), ("6", "10", NO), ("06", "6", NO), (None, "6", UNSURE), ("8", None, UNSURE),
])  # fmt: skip
def test_rated_cone(rated: str | None, fired: str | None, answer: Answer) -> None:
    """Rated exactly at the cone is a warning, not a yes (common practice, no source)."""
    assert judge_rated_cone(Kiln(name="Kiln", cone=cone(rated)), cone(fired)).answer is answer


def test_a_report_is_its_worst_verdict() -> None:
    assert worst([FITS, UNSURE, NO]) is NO
    assert worst([FITS, Answer.NOT_ASKED]) is FITS
    assert worst([Answer.NOT_ASKED]) is UNSURE


def test_headline_says_why() -> None:
    verdicts = [Verdict("fit", NO, ""), Verdict("melts", UNSURE, ""), Verdict("kiln_reaches", NO, "")]
    line = headline("Glaze", "Clay", "Kiln", "6", verdicts)
    assert line.startswith("Glaze on Clay at cone 6 in Kiln: does not fit, because ")
    assert "clay" in line.split("because")[1]
    assert "kiln" in line.split("because")[1]
    assert "\n" not in line


def test_next_step_matches_the_trouble() -> None:
    recipe = Recipe(name="Glaze", file="my glaze.txt")
    assert "adjust" in " ".join(next_steps(recipe, [Verdict("fit", NO, "")]))
    assert '"my glaze.txt"' in " ".join(next_steps(recipe, [Verdict("fit", NO, "")]))
    assert "test tile" in " ".join(next_steps(recipe, [Verdict("fit", UNSURE, "")]))


def test_a_next_step_can_be_typed_as_it_stands() -> None:
    recipe = Recipe(name="Glaze", file="my studio/glaze.txt")
    tile = next_steps(recipe, [Verdict("fit", UNSURE, "")], body="White clay", cone="6")[-1]
    assert tile.endswith('glazecalc record tile "my studio/glaze.txt" --body "White clay" --cone 6 --result RESULT')
    kiln = next_steps(recipe, [Verdict("kiln_reaches", NO, "")], kiln="Little kiln", folder="my studio")[0]
    assert kiln.endswith('glazecalc kiln "Little kiln" --studio "my studio"')


def test_a_headline_gives_the_cause_of_a_no() -> None:
    refused = Verdict("kiln_reaches", NO, "", because="Little kiln must not be plugged in at Laundry")
    said = headline("Glaze", "Clay", "Little kiln", "6", [refused])
    assert said.endswith("does not fit, because Little kiln must not be plugged in at Laundry.")
