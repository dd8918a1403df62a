"""Quadrature points against those of numpy."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.models.expansion import normal_gauss, unit_gauss


@pytest.mark.parametrize("n", [1, 2, 5, 9, 16, 40])
def test_points_are_those_of_numpy(n: int) -> None:
    """``numpy.polynomial``, which finds them by Newton's method from a companion matrix."""
    nodes, weights = normal_gauss(n)
    theirs, their_weights = np.polynomial.hermite_e.hermegauss(n)
    assert nodes == pytest.approx(theirs, abs=1e-13)
    assert weights == pytest.approx(their_weights / their_weights.sum(), abs=1e-14)
    nodes, weights = unit_gauss(n)
    theirs, their_weights = np.polynomial.legendre.leggauss(n)
    assert nodes == pytest.approx(0.5 * (1.0 + theirs), abs=1e-14)
    assert weights == pytest.approx(0.5 * their_weights, abs=1e-14)


def test_moments_of_a_normal_quantity_are_exact() -> None:
    """1, 3 and 15: the second, fourth and sixth moments of a standard normal quantity."""
    nodes, weights = normal_gauss(5)
    assert [float(weights @ nodes**k) for k in (0, 1, 2, 4, 6)] == pytest.approx([1, 0, 1, 3, 15], abs=1e-12)
