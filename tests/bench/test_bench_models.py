"""Speed of the expansion model beside the bare products it needs. Run: pytest tests/bench -o addopts= -s

What is timed, and which products are needed, stands in ``training/speed.py``.
"""

from __future__ import annotations

import pytest

from training.speed import rows_per_second


@pytest.mark.parametrize("traces", [False, True], ids=["16 oxides", "all 47 oxides"])
def test_a_million_compositions_a_second(traces: bool) -> None:
    rate, ratio = rows_per_second(traces)
    what = "all 47 oxides" if traces else "16 oxides"
    print(f"\n{what}: {rate / 1e6:.2f} million/s with interval; {ratio:.2f} x the bare products")
    assert rate >= 1e6
    assert ratio <= 3.0
