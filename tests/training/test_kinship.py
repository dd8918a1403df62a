"""The width of kinship is found again in errors drawn with a known one; the shipped width is one that the data allow."""

import numpy as np

from glazecalc.jobs.tiled import KIN_DISTANCE
from training.kinship import WIDTHS, likeliest, papers


def test_a_width_is_found_again() -> None:
    rng = np.random.default_rng(3)
    x = rng.dirichlet(np.ones(6), 40)[rng.integers(0, 40, 900)] + rng.normal(0.0, 0.02, (900, 6))
    paper = np.repeat(np.arange(60), 15)
    errors = np.zeros(900)
    for name in range(60):
        rows = paper == name
        apart = 0.5 * np.abs(x[rows][:, None] - x[rows][None]).sum(axis=-1)
        spread = 0.3 + np.exp(-((apart / 0.09) ** 2)) + 0.1 * np.eye(15)
        errors[rows] = rng.multivariate_normal(np.zeros(15), spread, method="cholesky")
    told = dict(likeliest(papers(errors, x, paper), (0.03, 0.09, 0.27)))
    assert told[0.09] == 0.0
    assert min(told[0.03], told[0.27]) > 1.0


def test_the_shipped_width_is_one_that_was_weighed() -> None:
    assert KIN_DISTANCE in WIDTHS
