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
        ("6.5 1e-6/K", "expansion", "1e-6/K", 6.5),
        ("6.5 x 1e-6/K", "expansion", "1e-6/K", 6.5),
        ("65 1e-7/K", "expansion", "1e-6/K", 6.5),
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


# What people write beside a figure, and what it is in the first unit of its row. Factors as above; 16 oz a pound, 12 in a foot,
# 3 ft a yard, 8 pints and 4 quarts a gallon, 128 fluid ounces a gallon, a gallon 231 cubic inches, 3.6 MJ a kWh.
WRITTEN: dict[tuple[str, str], dict[float, str]] = {
    ("mass", "g"): {
        1: "g gm gms gr grm gram grams gramme grammes", 1000: "kg kilo kilos kilogram kilograms kgs", 0.001: "mg milligram milligrams",
        28.349523: "oz ounce ounces ozs", 453.59237: "lb lbs pound pounds #",
    },
    ("length", "mm"): {
        1: "mm millimetre millimetres millimeter millimeters", 10: "cm centimetre centimetres centimeter centimeters",
        1000: "m metre metres meter meters", 25.4: "in inch inches \" '' \u201d", 304.8: "ft foot feet ' \u2019", 914.4: "yd yard yards",
    },
    ("area", "cm2"): {1: "cm2 sq_cm cm^2 cm\u00b2", 1e4: "m2 sq_m m^2 m\u00b2", 6.4516: "in2 sq_in sqin in^2"},
    ("volume", "mL"): {
        1: "mL ml cc cm3 cm^3 millilitre millilitres milliliter milliliters", 1000: "L l litre litres liter liters",
        1e6: "m3 m^3 cu_m cubic_metre cubic_metres cubic_meters m\u00b3", 29.57353: "fl_oz floz fl._oz fl._oz. fluid_ounce fluid_ounces",
        473.1765: "pint pt pints pts", 946.353: "quart qt quarts qts", 3785.412: "gallon gal gallons gals",
        28316.85: "cuft cu_ft cu._ft. cu.ft. cubic_foot cubic_feet ft3 ft^3 cf ft\u00b3", 16.387064: "cuin cu_in cubic_inch cubic_inches in3 in^3",
    },
    ("temperature difference", "delta degC"): {1: "C degC \u00b0C deg_C celsius K kelvin", 5 / 9: "F degF \u00b0F deg_F fahrenheit"},
    ("rate", "degC/h"): {
        1: "degC/h C/h C/hr C_per_hour \u00b0C/h \u00b0C/hr K/h", 5 / 9: "degF/h F/h F/hr F_per_hour \u00b0F/h \u00b0F/hr", 60: "degC/min C/min K/min",
    },
    ("time", "h"): {1: "h hr hrs hour hours", 1 / 60: "min mins minute minutes", 1 / 3600: "s sec secs second seconds"},
    ("current", "A"): {1: "A amp amps ampere amperes"},
    ("potential", "V"): {1: "V volt volts VAC"},
    ("power", "W"): {1: "W watt watts", 1000: "kW kilowatt kilowatts kw"},
    ("energy", "kWh"): {1: "kWh kwh kilowatt_hour kilowatt_hours", 1 / 3.6: "MJ"},
    ("flow", "m3/h"): {1: "m3/h m^3/h m3/hr m\u00b3/h", 1.6990107: "cfm cu_ft/min cuft/min ft3/min CFM", 3.6: "L/s l/s"},
    ("expansion", "1e-6/K"): {
        1: "1e-6/K e-6/K x10-6/K 10^-6/K 1e-6/C e-6 ppm/K ppm/C um/m/K", 0.1: "1e-7/K e-7/K x10-7/K 10^-7/K 1e-7/C e-7", 1e6: "1/K /K /C 1/C",
    },
    ("percent", "%"): {1: "% percent per_cent pct"},
    ("density", "g/cm3"): {1: "g/cm3 g/mL g/ml g/cc kg/L g/cm^3", 0.001: "kg/m3 kg/m^3"},
    ("wire", "AWG"): {1: "AWG awg gauge ga"},
}  # fmt: skip
EACH = [(d, own, word.replace("_", " "), factor) for (d, own), rows in WRITTEN.items() for factor, words in rows.items() for word in words.split()]


@pytest.mark.parametrize(("dimension", "own", "word", "factor"), EACH)
def test_a_figure_is_read_with_the_unit_that_stands_beside_it(dimension: str, own: str, word: str, factor: float) -> None:
    found = Findings(None)
    assert convert(3, word, own, dimension) == pytest.approx(3 * factor, rel=1e-6)
    if not word[0].isdigit():  # 3 1/K is a mixed number
        assert read_quantity(f"3 {word}", dimension, own, "it", found) == pytest.approx(3 * factor, rel=1e-6)
    assert not found.has_errors


# 100 degC, 212 degF and 373.15 K are one heat (the steam point); 0 degC, 32 degF and 273.15 K another.
@pytest.mark.parametrize("word", ["C", "degC", "\u00b0C", "deg C", "celsius", "centigrade"])
@pytest.mark.parametrize("other", ["F", "degF", "\u00b0F", "deg F", "fahrenheit"])
def test_a_temperature_is_read_in_either_scale(word: str, other: str) -> None:
    for text, degC in ((f"100 {word}", 100), (f"212 {other}", 100), (f"0 {word}", 0), (f"32 {other}", 0), ("373.15 K", 100), ("373.15 kelvin", 100)):
        found = Findings(None)
        assert read_quantity(text, "temperature", "degC", "it", found) == pytest.approx(degC, abs=1e-9)
        assert not found.has_errors
