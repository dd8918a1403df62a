"""Melts of the feldspar and nepheline joins, measured by others and kept back from the fit.

Source of the measurements: the data that the MIT-licensed package imelt 2.2.0 ships (see ``training/joins.py``).
"""

from __future__ import annotations

import json

import numpy as np
import pytest

from training import report
from training.joins import OXIDES, joins_scores, read_joins

KEPT = json.loads(report.RESULTS.read_text(encoding="utf-8"))["joins"]


def test_like_melts_are_fitted_together_or_kept_back_together() -> None:
    joins = read_joins()
    fitted, kept = joins.part(False), joins.part(True)
    assert not set(fitted.group) & set(kept.group)
    assert len(fitted.composition) + len(kept.composition) == len(joins.composition)
    assert np.allclose(joins.composition.sum(axis=1), 1.0)
    assert np.count_nonzero(joins.composition.any(axis=0)) == len(OXIDES)
    assert np.array_equal(np.unique(kept.melt), np.arange(len(kept.composition)))


def test_melts_kept_back_are_told_as_model_and_held() -> None:
    """The transition is met within 35 K; at log10 viscosity 3 the curve is still some 80 K too low, and the width says
    so: the interval holds the measured ones."""
    found = joins_scores()
    for key, score in found.items():
        assert score == pytest.approx(KEPT[key], rel=1e-2, abs=0.5), key
        assert score["told_as_model"] >= 0.5
        assert score["inside"] >= 0.85
    assert found["transition"]["median_error_K"] <= 35.0
