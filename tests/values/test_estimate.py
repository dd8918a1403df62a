"""An estimate holds its value inside its interval, and refuses what is not finite."""

from __future__ import annotations

import math

import pytest

from glazecalc.values.answers import Basis, Estimate


@pytest.mark.parametrize(("value", "low", "high"), [(1, 2, 3), (4, 2, 3), (math.nan, 0, 1), (1, -math.inf, 2)])
def test_refused(value: float, low: float, high: float) -> None:
    with pytest.raises(ValueError, match="estimate"):
        Estimate("x", value, low, high, "1", Basis.MODEL)


def test_kept() -> None:
    assert not Estimate("x", 1, 1, 1, "1", Basis.MODEL).extrapolated
    assert Estimate("x", 1, 0, 2, "1", Basis.EXTRAPOLATED).extrapolated
