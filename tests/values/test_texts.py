"""A text keeps its parts: figures reach a reader's unit as what they are, commands leave a room, nothing is lost."""

from __future__ import annotations

import copy
import json
import pickle

import pytest

from glazecalc.models.cones import cone_temperature
from glazecalc.render.words import worded
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.texts import Text, joined, parts_of, phrase, untyped

US = UnitChoice(temperature="F", length="in", mass="oz", volume="fl oz")


@pytest.mark.parametrize(
    ("template", "us"),
    [
        ("{650 degC}", "1202 degF (650 degC)"),
        ("by {60 K} per hour", "by 108 degF (60 degC) per hour"),
        ("{60 K} an hour", "108 degF (60 degC) an hour"),
        ("at {60 K/h}", "at 108 degF/h (60 degC/h)"),
        ("{15 to 150 K} per hour", "27 to 270 degF (15 to 150 degC) per hour"),
        ("{100 g} in {500 mL}", "3.53 oz (100 g) in 16.9 fl oz (500 mL)"),
        ("{25.4 mm} and {6.4516 cm2}", "1 in (25.4 mm) and 1 in2 (6.4516 cm2)"),
        ("weigh| --dry {100 g} --at 2:00={400 degC}|", "weigh --dry 3.6oz --at 2:00=752F"),
    ],
)
def test_a_figure_is_told_as_what_it_is(template: str, us: str) -> None:
    """A degree Celsius is 1.8 degrees Fahrenheit, and its scale begins 32 of them higher (NIST SP 811, B.8); the ounce
    is 28.349523 g, the inch 25.4 mm, the fluid ounce 29.57353 mL (the same)."""
    assert worded(phrase(template), US) == us


def test_a_rate_beyond_the_chart_is_told_as_a_range_of_rates() -> None:
    caveats = [worded(c, US) for c in cone_temperature(Cone("6"), 300.0).caveats]
    assert "heating rate beyond the chart's 27 to 270 degF (15 to 150 degC) per hour" in caveats


def test_in_its_own_units_a_text_stands_as_it_was_made() -> None:
    text = phrase("{} below {:.0f degC}| (--at {:.0f degC})|", "Shed kiln", 650.4, 650.4)
    assert text == worded(text, UnitChoice()) == "Shed kiln below 650 degC (--at 650C)"
    assert json.dumps([text]) == '["Shed kiln below 650 degC (--at 650C)"]'
    assert all(parts_of(twin) == parts_of(text) for twin in (copy.deepcopy(text), pickle.loads(pickle.dumps(text))))
    assert untyped(text) == "Shed kiln below 650 degC"


@pytest.mark.parametrize("name", ["a {b} c", "{0.__class__}", "50 % | more", "{650 degC}"])
def test_what_a_user_wrote_is_filled_in_and_never_read(name: str) -> None:
    assert phrase("{} melts", name) == f"{name} melts"
    assert untyped(phrase("see {}|: glazecalc check {}|", name, name)) == f"see {name}"


def test_joining_keeps_the_parts() -> None:
    texts = [phrase("{100 g}"), "a bare one", phrase("{650 degC}")]
    assert [p.unit for p in parts_of(joined(", ", texts))] == ["g", "", "", "", "degC"]
    assert [p.unit for p in parts_of("from " + texts[0] + " on") if p.unit] == ["g"]


def test_an_f_string_of_the_package_that_loses_a_part_is_an_error() -> None:
    """``tests/conftest.py`` watches every test."""
    names = {"__name__": "glazecalc.jobs.somewhere", "text": phrase("{100 g}| (--dry)|"), "bare": Text("a bare one")}
    with pytest.raises(AssertionError, match="loses"):
        eval("f'weigh {text}'", names)
    assert eval("f'weigh {bare}'", names) == "weigh a bare one"
    assert f"a library user may print {names['text']}" == "a library user may print 100 g (--dry)"
