"""No cell of a table may act as a formula when a spreadsheet opens it."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.render.words import csv_text, safe_cell

ATTACKS = [
    "=1+1", "+1", "-1", "@SUM(A1)", "\t=1+1", "\r=1+1", "\n=cmd", "  =HYPERLINK(\"x\")", "\uff1d1+1", "\u200b=1", "\ufeff=1",
    "=cmd|' /C calc'!A0", "|x", "%0A=1", "\u2212cmd", "\x00=1+1", "\u00a0=1",
]  # fmt: skip


@pytest.mark.parametrize("attack", ATTACKS, ids=repr)
def test_known_attacks_become_text(attack):
    """OWASP, CSV Injection (from memory): cells that begin with = + - @ tab or return."""
    assert safe_cell(attack).startswith("'")


@given(st.text(max_size=30))
def test_no_text_begins_as_a_formula_and_none_breaks_a_row(text):
    cell = safe_cell(text)
    assert not cell.strip("\u200b\u200c\u200d\u2060\ufeff\u00ad \u00a0").startswith(
        ("=", "+", "-", "@", "\t", "\r", "\n")
    )
    rows = list(csv.reader(io.StringIO(csv_text(["a", "b"], [[text, 1.5]]))))
    assert rows == [["a", "b"], [cell, "1.5"]]


def test_numbers_stay_numbers():
    assert [safe_cell(x) for x in (-0.25, 3, True, None, float("nan"))] == ["-0.25", "3", "yes", "", ""]


def test_plain_names_stay_as_they_are():
    assert safe_cell("Frit, high-calcium borosilicate") == "Frit, high-calcium borosilicate"
