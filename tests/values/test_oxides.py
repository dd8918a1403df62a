"""Users' oxides are looked up in a fixed list, and slips are caught with a suggestion."""

from __future__ import annotations

import pytest

from glazecalc.values.oxides import SYMBOLS, find_oxide, suggest_oxide


@pytest.mark.parametrize(("slip", "meant"), [
    ("K20", "K2O"), ("Al203", "Al2O3"), ("Si02", "SiO2"), ("Fe203", "Fe2O3"), ("Ca0", "CaO"), ("B203", "B2O3"),
    ("SiO", "SiO2"), ("Na", "Na2O"), ("Al2O", "Al2O3"),
])  # fmt: skip
def test_slips(slip: str, meant: str) -> None:
    assert find_oxide(slip) is None
    assert suggest_oxide(slip) == meant


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_case_is_forgiven(symbol: str) -> None:
    assert find_oxide(symbol.upper()) == find_oxide(symbol.lower()) == symbol


def test_no_two_oxides_differ_by_case_only() -> None:
    assert len({s.casefold() for s in SYMBOLS}) == len(SYMBOLS)
