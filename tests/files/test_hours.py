"""Hours as potters write them, and temperatures in a studio that reads degF."""

from __future__ import annotations

import pytest

from glazecalc.files.numbers import in_studio_degrees, read_hours, read_quantity
from glazecalc.files.problems import Findings
from glazecalc.files.tile_words import read_readings


@pytest.mark.parametrize(
    ("text", "hours"), [("7:30", 7.5), ("7.5", 7.5), ("7 1/2", 7.5), ("7,5", 7.5), ("30min", 0.5), ("0:30", 0.5)]
)
def test_hours(text: str, hours: float) -> None:
    found = Findings(None)
    assert read_hours(text, "--hours", found) == pytest.approx(hours)
    assert not found.problems


@pytest.mark.parametrize("text", ["7:75", "7:30:00", "-2", "seven", "8 kg"])
def test_what_is_no_hours_is_refused(text: str) -> None:
    found = Findings(None)
    assert read_hours(text, "--hours", found) is None
    assert found.has_errors


def test_a_bare_temperature_is_the_studio_s_and_said() -> None:
    found = Findings(None)
    (reading,) = read_readings(["2:30=1112"], found, in_F=True)
    assert reading.degC == pytest.approx(600.0)
    assert [p.code for p in found.problems] == ["unit-assumed"]
    assert in_studio_degrees("600C", "--peak", True, found) == "600C"
    assert read_quantity(in_studio_degrees("2232", "--peak", True, found), "temperature", "degC", "x", found) == (
        pytest.approx(1222.2, abs=0.05)
    )
