"""A cone is a name: 06 and 6 never meet."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.values.cones import ALL_CONES, Cone


def test_order_of_the_series() -> None:
    """Hottest last (common practice, no source)."""
    assert [str(c) for c in sorted(map(Cone, ("6", "06", "1", "01", "022", "10", "5.5", "05.5")))] == [
        "022", "06", "05.5", "01", "1", "5.5", "6", "10",
    ]  # fmt: skip


@pytest.mark.parametrize(("text", "name"), [
    ("06", "06"), ("6", "6"), ("cone 6", "6"), ("Cone 06", "06"), ("^6", "6"), ("c6", "6"), ("5 1/2", "5.5"),
    ("5½", "5.5"), ("05.5", "05.5"), (" 10 ", "10"),
])  # fmt: skip
def test_spellings(text: str, name: str) -> None:
    assert str(Cone.parse(text)) == name


@pytest.mark.parametrize("text", ["", "15", "023", "-6", "6.2", "six", "0", "00", "1e1", "6 6", "\u0666"])
def test_what_is_not_a_cone(text: str) -> None:
    with pytest.raises(ValueError, match="cone"):
        Cone.parse(text)


@given(st.sampled_from(ALL_CONES))
def test_round_trip(cone: Cone) -> None:
    assert Cone.parse(str(cone)) == cone


@given(st.text(max_size=20))
def test_any_text_is_a_cone_or_a_value_error(text: str) -> None:
    with contextlib.suppress(ValueError):
        Cone.parse(text)
