"""The bases to begin with against formulas in print."""

from __future__ import annotations

import pytest

from glazecalc import api
from glazecalc.jobs.first import bases


def test_the_high_lime_clear_is_near_segers_cone_4() -> None:
    """H. Seger, Thonindustrie-Zeitung 1886: cone 4 is 0.3 K2O, 0.7 CaO, 0.5 Al2O3, 4 SiO2, which glazes porcelain (the
    figures as in Polytechnisches Journal 261, p. 37-43). A glaze of feldspar, lime, kaolin and quartz lies near it."""
    base = next(b for b in bases() if b.recipe.name == "First high lime clear")
    unity = api.formula(base.recipe).formula.unity()
    assert unity["K2O"] + unity["Na2O"] == pytest.approx(0.3, abs=0.1)
    assert unity["CaO"] == pytest.approx(0.7, abs=0.1)
    assert unity["Al2O3"] == pytest.approx(0.5, abs=0.1)
    assert unity["SiO2"] == pytest.approx(4.0, abs=0.4)
