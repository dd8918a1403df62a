"""Speed of the expansion model beside the bare products it needs. Run: pytest tests/bench -o addopts= -s

Times are of the processor, so that other work on the machine does not count.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from glazecalc.models.domain import _FOLDING
from glazecalc.models.expansion import expansion
from glazecalc.models.fitted import BLOCK, fitted_model
from glazecalc.models.product import small_product
from glazecalc.models.terms import terms
from glazecalc.values.oxides import SYMBOLS

ROWS = 1_000_000


def side_by_side(first: Callable[[], object], second: Callable[[], object], rounds: int = 7) -> tuple[float, float]:
    """Shortest processor time of the second [s], and the median of second over first, measured in turns."""
    found = []
    for _ in range(rounds):
        start = time.process_time()
        first()
        middle = time.process_time()
        second()
        found.append((middle - start, time.process_time() - middle))
    return min(t for _, t in found), float(np.median([t / f for f, t in found]))


def table(traces: bool) -> np.ndarray:
    """Glazes with or without a trace of every oxide that is not fitted."""
    generator = np.random.default_rng(0)
    x = np.zeros((ROWS, len(SYMBOLS)))
    x[:, :16] = generator.dirichlet(np.array([60, 8, 6, 2, 6, 4, 5, 12, 1, 1, 2, 1, 1, 1, 1, 1.0]), ROWS)
    if traces:
        x[:, 16:] = generator.uniform(0, 1e-4, (ROWS, len(SYMBOLS) - 16))
    return x


def test_a_million_compositions_a_second() -> None:
    model = fitted_model("expansion")
    for traces in (False, True):
        x = table(traces)
        z = terms(x[:, :16].T.copy())

        def products(x: np.ndarray = x, z: np.ndarray = z, traces: bool = traces) -> None:
            for start in range(0, ROWS, BLOCK):
                rows = slice(start, start + BLOCK)
                if traces:
                    small_product(_FOLDING, x[rows].T[16:])
                small_product(model.where.whitening.T, z[:16, rows])
                small_product(model.surface.square.T, z[:, rows])
                small_product(model.spread.weights, z[:, rows])

        whole, ratio = side_by_side(products, lambda x=x: expansion(x))
        what = "all 47 oxides" if traces else "16 oxides"
        print(f"\n{what}: {ROWS / whole / 1e6:.2f} million/s with interval; {ratio:.2f} x the bare products")
        assert whole <= 1.0
        if traces:
            assert ratio <= 3.0
