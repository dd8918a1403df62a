"""The shape of the errors: drawn ones whose answer is known, and the figures the product carries."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.models.coat import error_parts
from training.data import DataMissingError, find_data, read_glasses
from training.tails import fit_tails, standardised


def _drawn(core_width: float, core_share: float, tail_width: float, n: int) -> np.ndarray:
    rng = np.random.default_rng(4)
    return rng.normal(size=n) * np.where(rng.random(n) < core_share, core_width, tail_width)


def test_a_drawn_mixture_is_found_again() -> None:
    found = fit_tails(_drawn(0.76, 0.82, 2.09, 40_000))
    assert found.within(1.6448536) == pytest.approx(0.90, abs=1e-6)
    assert found.core_width == pytest.approx(0.76, abs=0.03)
    assert found.core_share == pytest.approx(0.82, abs=0.03)
    assert found.tail_width == pytest.approx(2.09, abs=0.15)


def test_the_product_carries_what_the_data_say() -> None:
    try:
        find_data()
    except DataMissingError:
        pytest.skip("the glass data are not installed")
    found = fit_tails(standardised(read_glasses())[0])
    (core, share), (tail, rest) = error_parts()
    assert (core, share, tail) == pytest.approx((found.core_width, found.core_share, found.tail_width), abs=0.02)
    assert rest == pytest.approx(1.0 - found.core_share, abs=0.02)
