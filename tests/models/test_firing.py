"""Where a glaze matures."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.models.cones import nearest_cone, temperature_degC
from glazecalc.models.firing import (
    Maturing,
    crystal_formers,
    crystals_probability,
    firing_range,
    firing_range_row,
    maturity,
    window,
)
from glazecalc.models.surface import liquidus_temperature
from glazecalc.models.viscosity import viscosity_curves
from glazecalc.values.cones import Cone
from glazecalc.values.oxides import INDEX, SYMBOLS


def glaze(**moles: float) -> np.ndarray:
    x = np.zeros((1, len(SYMBOLS)))
    for symbol, value in moles.items():
        x[0, INDEX[symbol]] = value
    return x / x.sum()


CLEAR_6 = glaze(Na2O=0.12, K2O=0.1, CaO=0.58, MgO=0.1, ZnO=0.1, Al2O3=0.38, SiO2=3.2, B2O3=0.25)
PORCELAIN_14 = glaze(K2O=0.3, CaO=0.7, Al2O3=1.0, SiO2=10.0)
LIME_MATTE = glaze(K2O=0.15, CaO=0.85, Al2O3=0.6, SiO2=2.6)
BOTTLE = glaze(Na2O=0.55, CaO=0.4, MgO=0.05, Al2O3=0.02, SiO2=3.0)


def at_cone(x: np.ndarray, cone: str) -> Maturing:
    return maturity(firing_range(x), temperature_degC(Cone(cone), 60.0)).state[0]


def test_the_window_is_where_published_glazes_put_it() -> None:
    """Sound glazes at log10 viscosity about 2.5 to 3.5 at their peak (after Parmelee; Taylor and Bull; from memory)."""
    assert window().stiff_end == pytest.approx(3.5, abs=0.2)
    assert window().fluid_end == pytest.approx(2.5, abs=0.3)
    assert window().feldspathic > 1.0, "feldspar alone is a glass while stiffer"
    assert 2.0 <= window().crystals <= 4.0, "moles of oxides in wollastonite, diopside and anorthite for one of lime"


def test_the_range_holds_the_cone_of_most_fired_glazes() -> None:
    """Of the fired and judged glazes left out with all of their base, at least 85 % have their cone in the range."""
    from glazecalc.models.domain import coefficients

    assert coefficients("firing")["range"]["inside_left_out"] >= 0.85
    assert coefficients("firing")["range"]["glazes"] > 50
    surfaces = coefficients("firing")["range"]["by_surface"]
    assert len(surfaces) == 4
    assert all(inside >= 0.8 * glazes > 0 for glazes, inside in surfaces.values())


def test_a_matte_is_judged_by_melt_and_crystals() -> None:
    """Its window is wider: melt and crystals together, stiffened as a suspension is (R. Roscoe 1952), are what runs."""
    ends = []
    for x in (PORCELAIN_14, LIME_MATTE):
        range_, curves = firing_range(x), viscosity_curves(x)
        ends.append(float(curves.log_viscosity(range_.high.value)[0]))
    share = window().crystals * float(crystal_formers(LIME_MATTE)[0])
    assert 0.1 < share < 0.6, "a matte holds some tens of percent of crystals (common practice, no source)"
    assert ends[0] == pytest.approx(window().fluid_end, abs=0.01)
    assert ends[1] == pytest.approx(window().fluid_end + 2.5 * np.log10(1.0 - share / 0.6), abs=0.01)


def test_no_glaze_levels_below_its_liquidus_by_more_than_was_found() -> None:
    """Of random glazes; the liquidus counts to the cool end of its interval, and only where it is known."""
    rng = np.random.default_rng(15)
    x = np.zeros((2000, len(SYMBOLS)))
    x[:, :16] = rng.dirichlet(np.array([60, 9, 7, 0.5, 4, 4, 4, 14, 1, 1, 3, 0.3, 0.1, 0.7, 0.1, 0.1]), 2000)
    low, liquidus = firing_range(x).low, liquidus_temperature(x)
    known = ~low.extrapolated & ~liquidus.extrapolated
    assert known.sum() > 500
    assert np.all(low.value[known] >= liquidus.low[known] - window().below_liquidus)


def test_a_cone_6_clear_by_cone() -> None:
    """Common practice, no source: dry at cone 04, glossy at 6, likelier than not to run at 13, off the pot at 14."""
    assert at_cone(CLEAR_6, "04") is Maturing.UNDERFIRED
    assert at_cone(CLEAR_6, "6") is Maturing.MATURES
    assert maturity(firing_range(CLEAR_6), temperature_degC(Cone("13"), 60.0)).runs[0] > 0.5
    assert at_cone(CLEAR_6, "14") is Maturing.LIKELY_TO_RUN


def test_hard_porcelain_glaze_is_underfired_at_cone_6() -> None:
    """H. Seger 1882: glazes of 1 Al2O3 10 SiO2 are for hard porcelain, cones 14 to 16."""
    assert at_cone(PORCELAIN_14, "6") is Maturing.UNDERFIRED


def test_bottle_glass_runs_at_cone_6() -> None:
    """Common practice, no source: crushed bottle glass melts well below stoneware heat."""
    assert at_cone(BOTTLE, "6") is Maturing.LIKELY_TO_RUN


def test_probabilities_add_up_and_turn_with_heat() -> None:
    states = [maturity(firing_range(CLEAR_6), degC) for degC in np.arange(900.0, 1400.0, 20.0)]
    assert [s.underfired[0] + s.matures[0] + s.runs[0] for s in states] == pytest.approx([1.0] * len(states))
    assert np.all(np.diff([s.underfired[0] for s in states]) <= 0)
    assert np.all(np.diff([s.runs[0] for s in states]) >= 0)


def test_what_is_out_of_range_cannot_be_said() -> None:
    lead = glaze(PbO=0.7, CaO=0.3, Al2O3=0.2, SiO2=2.0)
    assert at_cone(lead, "04") is Maturing.CANNOT_SAY
    assert firing_range_row(firing_range(lead)).extrapolated


def test_range_and_cones_are_in_order() -> None:
    range_ = firing_range(CLEAR_6)
    row = firing_range_row(range_)
    low, high = nearest_cone(row.low), nearest_cone(row.high)
    assert row.low < row.value < row.high
    assert low < high
    assert low <= Cone("6") <= high


def test_liquidus_caution_falls_with_heat() -> None:
    cold, hot = crystals_probability(CLEAR_6, 1000.0)[0], crystals_probability(CLEAR_6, 1300.0)[0]
    assert 0 <= hot < cold <= 1


def test_nothing_is_said_of_crystals_where_the_liquidus_is_extrapolated() -> None:
    """A lead glaze: lead is not in the fit."""
    lead = glaze(PbO=0.7, K2O=0.3, Al2O3=0.25, SiO2=2.5)
    assert np.isnan(crystals_probability(lead, 1000.0)).all()
    assert np.isfinite(crystals_probability(CLEAR_6, 1000.0)).all()


def test_the_firing_range_says_which_interval_it_has() -> None:
    assert any(c.startswith("interval as glaze") for c in firing_range_row(firing_range(CLEAR_6)).caveats)
