"""Why the errors are what they are: the learning curve, and the scatter between papers."""

from __future__ import annotations

from typing import Final

import numpy as np

from training.data import Array
from training.held_out import MODELS, read
from training.robust import fit
from training.surface import Rows, quadratic, terms

SHARES: Final = (0.125, 0.25, 0.5, 1.0)
_DRAWS: Final = 400


def learning_curve(rows: Rows, penalty: float) -> list[dict[str, float]]:
    """Left-out error on the glaze core against the share of the papers that is fitted."""
    features = quadratic(terms(rows.composition.T.copy()))
    papers = np.unique(rows.paper)
    order = np.random.default_rng(0).permutation(papers)
    curve = []
    for share in SHARES:
        use = np.isin(rows.paper, order[: round(share * len(papers))])
        part = fit(features[use], rows.values[use], rows.weight[use], rows.paper[use], rows.fold[use], penalty)
        error = np.abs(rows.values[use] - part.left_out)[rows.core[use]]
        curve.append(
            {
                "papers": len(np.unique(rows.paper[use])),
                "median": round(float(np.median(error)), 3),
                "p90": round(float(np.quantile(error, 0.9)), 3),
            }
        )
    return curve


def paper_scatter(rows: Rows, errors: Array) -> dict[str, float]:
    """Spread of papers' own medians about the model, and of records about their paper, on the core.

    The first is what no model of composition can take away: laboratories that differ on like glasses.
    """
    papers = np.unique(rows.paper[rows.core])
    offsets, within = [], []
    for paper in papers:
        own = errors[rows.core & (rows.paper == paper)]
        if len(own) >= 3:
            offsets.append(np.median(own))
            within.append(np.median(np.abs(own - np.median(own))))
    return {
        "papers": len(offsets),
        "between_papers_median_absolute_offset": round(float(np.median(np.abs(offsets))), 3),
        "within_papers_median_absolute_deviation": round(float(np.median(within)), 3),
    }


def median_error_by_papers(key: str, groups: Array) -> tuple[float, float]:
    """90 % range of the held-out median error when whole papers are drawn again; ``groups`` numbers papers (n,)."""
    held = read(key)
    rows = held.after
    error = np.abs(held.values - MODELS[key](held.composition, practice="glass").value)[rows]
    papers = groups[rows]
    names = np.unique(papers)
    by_paper = [error[papers == name] for name in names]
    generator = np.random.default_rng(0)
    medians = [
        np.median(np.concatenate([by_paper[i] for i in generator.integers(0, len(names), len(names))]))
        for _ in range(_DRAWS)
    ]
    low, high = np.quantile(medians, [0.05, 0.95])
    return float(low), float(high)
