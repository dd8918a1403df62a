"""Speed of the expansion model beside the bare products it needs. Run: pytest tests/bench -o addopts= -s"""

from __future__ import annotations

import time

import numpy as np

from glazecalc.models.domain import _FOLDING
from glazecalc.models.expansion import expansion
from glazecalc.models.fitted import BLOCK, fitted_model
from glazecalc.models.product import small_product
from glazecalc.models.terms import terms
from glazecalc.values.oxides import SYMBOLS

ROWS = 1_000_000


def best_of(times: int, work: object) -> float:
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)


def test_a_million_compositions_a_second() -> None:
    x = np.zeros((ROWS, len(SYMBOLS)))
    x[:, :16] = np.random.default_rng(0).dirichlet(np.array([60, 8, 6, 2, 6, 4, 5, 12, 1, 1, 2, 1, 1, 1, 1, 1.0]), ROWS)
    model = fitted_model("expansion")
    z = terms(x[:, :16].T.copy())

    def products() -> None:
        for start in range(0, ROWS, BLOCK):
            rows = slice(start, start + BLOCK)
            small_product(_FOLDING, x[rows].T[16:])
            small_product(model.where.whitening.T, z[:16, rows])
            small_product(model.surface.square.T, z[:, rows])
            small_product(model.spread.weights, z[:, rows])

    bare, whole = best_of(5, products), best_of(5, lambda: expansion(x))
    print(
        f"\n{ROWS / whole / 1e6:.2f} million compositions a second with interval; {whole / bare:.2f} x the bare products"
    )
    assert whole <= 1.0
    assert whole <= 3.0 * bare
