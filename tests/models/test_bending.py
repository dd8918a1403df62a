"""Heat-work of any firing: closed form against small steps, invariants, equivalences."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import exp1

from glazecalc.models.cones import (
    GAS_CONSTANT_KJ,
    bending_temperature,
    bends,
    cone_position,
    cone_reached,
    cone_temperature,
    cumulative_heat,
    equivalent_degC,
    heat_law,
    hold_hours,
    hold_worth_K,
    log_ramp_integral,
    nearest_cone,
    softening_rate,
    temperature_degC,
)
from glazecalc.values.answers import Basis
from glazecalc.values.cones import ALL_CONES, Cone

CORNERS_H = [0.0, 8.0, 10.0, 20.0, 24.0]
CORNERS_DEGC = [20.0, 1100.0, 1100.0, 1230.0, 700.0]


def test_ramp_integral_against_the_exponential_integral() -> None:
    """Exact form: T exp(-x) - (E/R) E1(x), x = E/(R T) (M. Abramowitz, I. A. Stegun, 1964, ch. 5)."""
    for energy in (250.0, 700.0, 900.0):
        for kelvin in (900.0, 1300.0, 1600.0):
            x = energy / (GAS_CONSTANT_KJ * kelvin)
            exact = np.log(kelvin * np.exp(-x) - energy / GAS_CONSTANT_KJ * exp1(x))
            assert float(log_ramp_integral(kelvin, energy)) == pytest.approx(exact, abs=1e-6)


def test_closed_form_against_small_steps() -> None:
    law = heat_law()
    fine = np.linspace(0.0, 24.0, 240_001)
    rate = softening_rate(law, np.interp(fine, CORNERS_H, CORNERS_DEGC))
    summed = np.trapezoid(rate, fine, axis=0)
    closed = cumulative_heat(law, CORNERS_H, CORNERS_DEGC)[-1]
    np.testing.assert_allclose(closed, summed, rtol=1e-6)


def test_a_steady_ramp_bends_each_cone_at_its_temperature() -> None:
    found = bends([0.0, 25.0], [0.0, 1500.0])
    np.testing.assert_allclose(found.degC, bending_temperature(heat_law(), 60.0), atol=1e-4)
    np.testing.assert_allclose(found.hours, found.degC / 60.0, rtol=1e-6)
    assert found.reached() == Cone("14")


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(0.1, 6.0), st.floats(20.0, 1350.0)), min_size=1, max_size=6))
def test_cutting_a_firing_into_pieces_changes_nothing(legs: list[tuple[float, float]]) -> None:
    times = np.concatenate([[0.0], np.cumsum([h for h, _ in legs])])
    degC = np.array([20.0, *(t for _, t in legs)])
    fine = np.unique(np.concatenate([times, np.linspace(0.0, times[-1], 40)]))
    whole, cut = bends(times, degC), bends(fine, np.interp(fine, times, degC))
    np.testing.assert_allclose(cut.done, whole.done, rtol=2e-5, atol=1e-30)
    sure = np.abs(np.log(whole.done)) > 1e-4
    np.testing.assert_array_equal(np.isnan(cut.hours)[sure], np.isnan(whole.hours)[sure])


@settings(max_examples=30, deadline=None)
@given(st.floats(700.0, 1330.0), st.floats(20.0, 200.0), st.floats(0.0, 3.0), st.floats(0.05, 2.0))
def test_a_longer_hold_never_does_less(peak: float, rate: float, hold: float, more: float) -> None:
    def heat(hours: float) -> np.ndarray:
        return bends([0.0, peak / rate, peak / rate + hours], [0.0, peak, peak]).done

    assert np.all(heat(hold + more) >= heat(hold))


def test_bend_in_a_hold_and_on_the_way_down() -> None:
    top = temperature_degC(Cone("6"), 60.0)
    need = hold_hours(Cone("6"), top - 10, 60.0)
    t = (top - 10) / 60.0
    held = bends([0.0, t, t + 2 * need], [0.0, top - 10, top - 10])
    six = Cone("6").position
    assert held.hours[six] == pytest.approx(t + need, rel=1e-5)
    t = (top - 2) / 60.0
    cooled = bends([0.0, t, t + 0.5], [0.0, top - 2, top - 52])
    assert cooled.hours[six] > t
    assert cooled.degC[six] < top - 2
    assert hold_hours(Cone("6"), top + 1, 60.0) == 0.0


@pytest.mark.parametrize("name", ["06", "6", "10"])
def test_hold_worth_undoes_hold_hours(name: str) -> None:
    worth = hold_worth_K(Cone(name), 0.5, 60.0)
    assert hold_hours(Cone(name), temperature_degC(Cone(name), 60.0) - worth, 60.0) == pytest.approx(0.5, rel=1e-6)


@pytest.mark.parametrize("peak", [600.0, 905.0, 1063.0, 1153.0, 1222.0, 1300.0])
def test_equivalent_temperature_of_a_60_degree_ramp_is_its_peak(peak: float) -> None:
    heat = bends([0.0, peak / 60.0], [0.0, peak]).done
    assert float(equivalent_degC(heat)) == pytest.approx(peak, abs=2.5)


def test_a_firing_needs_points_in_order() -> None:
    with pytest.raises(ValueError, match="two points"):
        bends([0.0], [20.0])
    with pytest.raises(ValueError, match="backwards"):
        bends([0.0, 2.0, 1.0], [20.0, 300.0, 400.0])
    with pytest.raises(ValueError, match="above zero"):
        temperature_degC(Cone("6"), 0.0)


def test_cone_of_a_temperature_and_back() -> None:
    for cone in ALL_CONES:
        degC = temperature_degC(cone, 60.0)
        assert cone_reached(degC + 1e-6, 60.0) == cone
        assert nearest_cone(degC) == cone
        assert cone_position(degC) == pytest.approx(cone.position)
    assert cone_reached(400.0) is None
    assert cone_reached(1222.0, 60.0) == Cone("6")
    assert cone_reached(1222.0, 150.0) == Cone("5")


def test_the_interval_widens_off_the_chart() -> None:
    inside, fast, wild = (cone_temperature(Cone("6"), r) for r in (60.0, 400.0, 900.0))
    assert fast.high - fast.low > inside.high - inside.low
    assert inside.basis is Basis.MODEL
    assert wild.basis is Basis.EXTRAPOLATED
    assert any("no 15 degC" in c for c in cone_temperature(Cone("022"), 20.0).caveats)
