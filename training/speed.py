"""Speed of the expansion model beside the bare products it needs.

The products, in plain numpy, are what any program must multiply to know this model's value, interval and distance from
the data, with the compositions scaled, turned and lying in cache, and nothing looked up, checked or written down:

* the four linear balances of the oxides (4 x 16);
* the quadratic form of the value, its linear part and the spread (26 x 24), and the terms with the form's product;
* the quadratic form of the distance from the data (16 x 16), and its product with itself;
* with traces of other oxides, the product that counts them as the fitted ones (18 x 31).

``np.matmul`` is ``@`` into an array made before; ``np.einsum`` stands where ``@`` has no word for the product of each
column with its own. Pieces are small enough for one thread, which was fastest here. Times are of the processor, so
that other work on the machine does not count, and are taken in turns.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Final

import numpy as np

from glazecalc.models.domain import FITTED, folding_matrix
from glazecalc.models.expansion import expansion
from glazecalc.models.surface import SIZE, fitted_model, terms
from glazecalc.values.oxides import SYMBOLS
from training.data import Array

ROWS: Final = 1_000_000
PIECE: Final = 384
_ROUNDS: Final = 9


def side_by_side(
    first: Callable[[], object], second: Callable[[], object], rounds: int = _ROUNDS
) -> tuple[float, float]:
    """Shortest processor time of the second [s], and the median of second over first, measured in turns."""
    found = []
    for _ in range(rounds):
        start = time.process_time()
        first()
        middle = time.process_time()
        second()
        found.append((middle - start, time.process_time() - middle))
    return min(t for _, t in found), float(np.median([t / f for f, t in found]))


def table(traces: bool) -> Array:
    """Glazes with or without a trace of every oxide that is not fitted."""
    generator = np.random.default_rng(0)
    x = np.zeros((ROWS, len(SYMBOLS)))
    x[:, :16] = generator.dirichlet(np.array([60, 8, 6, 2, 6, 4, 5, 12, 1, 1, 2, 1, 1, 1, 1, 1.0]), ROWS)
    if traces:
        x[:, 16:] = generator.uniform(0, 1e-4, (ROWS, len(SYMBOLS) - 16))
    return x


def bare_products(x: Array, traces: bool) -> Callable[[], object]:
    """The products for the rows of ``x`` (n, k), worked on one piece of it over and over, so that it stays in cache."""
    model, k = fitted_model("expansion"), len(FITTED)
    z = terms(np.ascontiguousarray(x[:PIECE, :k].T))
    others = np.ascontiguousarray(x[:PIECE, k:].T)
    balances = np.ascontiguousarray(np.eye(4, k))
    quadratic = np.vstack([model.surface.rows, model.spread.weights])
    whitening, folding = np.ascontiguousarray(model.where.whitening.T), folding_matrix()
    four, form, white, folded = (np.empty((len(left), PIECE)) for left in (balances, quadratic, whitening, folding))
    value, distance = np.empty(PIECE), np.empty(PIECE)

    def products() -> None:
        for _ in range(-(-len(x) // PIECE)):
            if traces:
                np.matmul(folding, others, out=folded)
            np.matmul(balances, z[:k], out=four)
            np.matmul(quadratic, z, out=form)
            np.einsum("ij,ij->j", form[:SIZE], z, out=value)
            np.matmul(whitening, z[:k], out=white)
            np.einsum("ij,ij->j", white, white, out=distance)

    return products


def rows_per_second(traces: bool) -> tuple[float, float]:
    """Compositions a second, and the model's time over that of its bare products, with traces of all oxides or none."""
    x = table(traces)
    whole, ratio = side_by_side(bare_products(x, traces), lambda: expansion(x))
    return ROWS / whole, ratio
