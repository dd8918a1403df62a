"""Units. Factors from NIST SP 811 (2008), appendix B.8 (from memory): foot 0.3048 m, cubic foot 2.831 685 E-02 m3,
US gallon 3.785 412 L, US fluid ounce 29.573 53 mL, US liquid pint 0.473 176 5 L,
cubic foot per minute 4.719 474 E-04 m3/s, pound 0.453 592 37 kg."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.files.numbers import read_quantity
from glazecalc.files.problems import Findings
from glazecalc.values.units import UNITS, convert, find_unit


@pytest.mark.parametrize(
    ("value", "unit", "to", "dimension", "expected"),
    [
        (1, "ft", "m", "length", 0.3048),
        (1, "cuft", "m3", "volume", 2.831685e-2),
        (1, "gallon", "L", "volume", 3.785412),
        (1, "fl oz", "mL", "volume", 29.57353),
        (1, "pint", "L", "volume", 0.4731765),
        (1, "cfm", "m3/h", "flow", 4.719474e-4 * 3600),
        (1, "lb", "g", "mass", 453.59237),
        (16, "oz", "lb", "mass", 1),
        (1, "kWh", "MJ", "energy", 3.6),
        (212, "F", "C", "temperature", 100),
        (-40, "C", "F", "temperature", -40),
        (0, "C", "K", "temperature", 273.15),
        (180, "F", "C", "temperature difference", 100),
        (108, "F/h", "C/h", "rate", 60),
        (65, "1e-7/K", "1e-6/K", "expansion", 6.5),
    ],
)
def test_conversions_against_published_factors(
    value: float, unit: str, to: str, dimension: str, expected: float
) -> None:
    assert convert(value, unit, to, dimension) == pytest.approx(expected, rel=1e-6)


@given(st.sampled_from(UNITS), st.sampled_from(UNITS), st.floats(-1e6, 1e6))
def test_conversion_there_and_back(one: object, other: object, value: float) -> None:
    if one.dimension == other.dimension:  # type: ignore[attr-defined]
        there = convert(value, one.symbol, other.symbol, one.dimension)  # type: ignore[attr-defined]
        back = convert(there, other.symbol, one.symbol, one.dimension)  # type: ignore[attr-defined]
        assert back == pytest.approx(value, rel=1e-9, abs=1e-6)


def test_each_spelling_means_one_unit_of_its_dimension() -> None:
    for unit in UNITS:
        for spelling in (unit.symbol, *unit.spellings):
            assert find_unit(spelling, unit.dimension) == unit, spelling


@pytest.mark.parametrize(
    ("value", "dimension", "own", "expected"),
    [
        ("6 in", "length", "mm", 152.4),
        ('6"', "length", "mm", 152.4),
        ("6 1/2 in", "length", "mm", 165.1),
        ("1 ft 6 in", "length", "mm", 457.2),
        ("40 ft", "length", "m", 12.192),
        ("0.75 cuft", "volume", "m3", 0.75 * 2.831685e-2),
        ("20 L", "volume", "mL", 20000),
        ("2232 F", "temperature", "degC", 1222.2222),
        ("2.3 kW", "power", "W", 2300),
        ("6,5", "length", "mm", 6.5),
        (12, "length", "mm", 12),
        ("-20 C", "temperature", "degC", -20),
        ("6.5e-6 /K", "expansion", "1e-6/K", 6.5),
        ("65 x 10^-7 /K", "expansion", "1e-6/K", 6.5),
    ],
)
def test_quantities(value: object, dimension: str, own: str, expected: float) -> None:
    found = Findings(None)
    assert read_quantity(value, dimension, own, "it", found) == pytest.approx(expected, rel=1e-6)
    assert not found.has_errors


@pytest.mark.parametrize(
    ("value", "code"),
    [("6 kg", "wrong-unit"), ("6 cubits", "wrong-unit"), ("wide", "not-a-quantity"), ("", "not-a-quantity"),
     (True, "wrong-type"), ([1], "wrong-type"), (float("nan"), "number-too-large"), (10**400, "number-too-large"),
     ("1e999 mm", "number-too-large")],
)  # fmt: skip
def test_refused_quantities(value: object, code: str) -> None:
    found = Findings(None)
    assert read_quantity(value, "length", "mm", "it", found) is None
    assert [p.code for p in found.problems] == [code]


def test_a_temperature_is_not_a_difference() -> None:
    found = Findings(None)
    assert read_quantity("50 F", "temperature", "degC", "it", found) == pytest.approx(10)
    assert read_quantity("50 F", "temperature difference", "delta degC", "it", found) == pytest.approx(
        27.7778, rel=1e-5
    )
