"""How an amount is read. Ounce and pound as in NIST SP 811 (2008), appendix B.8 (from memory)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.files.numbers import Amount, read_amount
from glazecalc.files.problems import Findings


def read(text: str, commas: bool = False) -> tuple[Amount | None, list[str]]:
    found = Findings("card")
    return read_amount(text, found, 1, commas), [p.code for p in found.problems]


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("30", 30, ""),
        ("30.5", 30.5, ""),
        ("30,5", 30.5, ""),
        (".5", 0.5, ""),
        ("30.", 30, ""),
        ("1/2", 0.5, ""),
        ("1 1/2", 1.5, ""),
        ("\N{VULGAR FRACTION ONE HALF}", 0.5, ""),
        ("2\N{VULGAR FRACTION THREE QUARTERS}", 2.75, ""),
        ("30%", 30, "%"),
        ("30 percent", 30, "%"),
        ("30 g", 30, "g"),
        ("30g.", 30, "g"),
        ("30 grams", 30, "g"),
        ("30 parts", 30, "part"),
        ("1e2", 100, ""),
        ("1.250,5", 1250.5, ""),
        ("1,250.5", 1250.5, ""),
        ("0,125", 0.125, ""),
        ("+5", 5, ""),
        ("\N{FULLWIDTH DIGIT THREE}\N{FULLWIDTH DIGIT ZERO}", 30, ""),
        ("0", 0, ""),
    ],
)
def test_amounts_potters_write(text: str, value: float, unit: str) -> None:
    amount, codes = read(text)
    assert amount == Amount(value, unit)
    assert codes == []


@pytest.mark.parametrize(
    ("text", "grams"), [("1 oz", 28.34952), ("1 lb", 453.5924), ("2 lbs", 907.1847), ("1.5 kg", 1500), ("500 mg", 0.5)]
)
def test_other_masses_become_grams_with_a_remark(text: str, grams: float) -> None:
    amount, codes = read(text)
    assert amount is not None and amount.unit == "g"
    assert amount.value == pytest.approx(grams, rel=1e-6)
    assert codes == ["unit-converted"]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("1e999", "number-too-large"),
        ("1e12", "number-too-large"),
        ("1e-30", "number-too-small"),
        ("nan", "not-a-number"),
        ("inf", "not-a-number"),
        ("1/0", "not-a-number"),
        ("1.2.3", "not-a-number"),
        ("0x10", "not-a-number"),
        ("-5", "amount-negative"),
        ("\N{MINUS SIGN}5", "amount-negative"),
        ("=5+5", "spreadsheet-formula"),
        ("@SUM(1)", "spreadsheet-formula"),
        ("5-10", "amount-range"),
        ("2-4%", "amount-range"),
        ("", "amount-missing"),
    ],
)
def test_what_is_no_amount_is_refused_with_its_reason(text: str, code: str) -> None:
    amount, codes = read(text)
    assert amount is None
    assert codes == [code]


def test_comma_before_three_digits_is_said() -> None:
    assert read("1,250") == (Amount(1250.0), ["comma-ambiguous"])
    assert read("1,250", commas=True) == (Amount(1.25), [])


@given(st.floats(min_value=1e-3, max_value=1e6))
def test_any_number_python_writes_is_read_back(value: float) -> None:
    amount, _ = read(f"{value:.6f}")
    assert amount is not None and amount.value == float(f"{value:.6f}")


@given(st.text(max_size=40))
def test_no_text_raises(text: str) -> None:
    amount, codes = read(text)
    assert (amount is None) == bool(set(codes) - {"comma-ambiguous", "unit-converted"})


@pytest.mark.parametrize("cell", ["NaN", "inf", "Infinity", "#N/A", "#DIV/0!", "#VALUE!", "#REF!", "None", "null"])
def test_what_a_spreadsheet_writes_for_no_number_is_none(cell: str) -> None:
    found = Findings(None)
    assert read_amount(cell, found, None) is None
    assert [(p.code, p.hint) for p in found.problems] == [("not-a-number", "write the amount in digits")]
