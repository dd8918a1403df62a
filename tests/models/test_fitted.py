"""Properties of the fitted models that hold whatever their numbers are."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glazecalc.models import viscosity
from glazecalc.models.domain import small_product
from glazecalc.models.expansion import contributions, expansion, expansion_slopes
from glazecalc.models.prediction import Practice, estimate_row
from glazecalc.models.surface import predict, term_slopes, terms
from glazecalc.values.answers import Basis
from glazecalc.values.oxides import INDEX, SYMBOLS

KEYS = ("expansion", "transition", "modulus", "liquidus")


def glaze(**moles: float) -> np.ndarray:
    x = np.zeros((1, len(SYMBOLS)))
    for symbol, value in moles.items():
        x[0, INDEX[symbol]] = value
    return x / x.sum()


STONEWARE = {"SiO2": 3.7, "Al2O3": 0.42, "K2O": 0.15, "Na2O": 0.13, "CaO": 0.6, "MgO": 0.12, "B2O3": 0.15}
compositions = st.lists(st.floats(0.0, 1.0), min_size=16, max_size=16).filter(lambda v: sum(v) > 0.1)


def many(n: int, seed: int = 0) -> np.ndarray:
    centre = np.array([65, 8, 8, 1, 6, 4, 4, 12, 0.5, 0.5, 2, 0.3, 0.3, 0.3, 0.1, 0.1]) + 0.05
    x = np.zeros((n, len(SYMBOLS)))
    x[:, :16] = np.random.default_rng(seed).dirichlet(centre, n)
    return x


@pytest.mark.parametrize("key", KEYS)
def test_one_row_and_many_rows_agree(key: str) -> None:
    x = many(5000)
    whole = predict(key, x, "glaze")
    for row in (0, 2047, 2048, 4999):
        single = predict(key, x[row : row + 1], "glaze")
        for name in ("value", "low", "high"):
            assert getattr(single, name)[0] == pytest.approx(getattr(whole, name)[row], rel=1e-9)


@pytest.mark.parametrize("key", KEYS)
@given(compositions)
@settings(max_examples=60, deadline=None)
def test_interval_holds_its_value_and_scale_does_not_matter(key: str, shares: list[float]) -> None:
    x = np.zeros((1, len(SYMBOLS)))
    x[0, :16] = shares
    one, ten = predict(key, x, "glass"), predict(key, 10.0 * x, "glass")
    assert np.isfinite(one.value[0])
    assert one.low[0] <= one.value[0] <= one.high[0]
    assert ten.value[0] == pytest.approx(one.value[0], rel=1e-6, abs=1e-6)


def test_a_glaze_is_known_less_well_than_a_glass() -> None:
    x = many(500)
    x[:, INDEX["ZrO2"]] = 0.0
    glass, kiln = expansion(x, practice="glass"), expansion(x, practice="glaze")
    assert np.all(kiln.high - kiln.low > glass.high - glass.low)
    assert np.array_equal(kiln.value, glass.value)


def test_slopes_are_those_of_the_surface() -> None:
    """Against central differences, silica giving way."""
    x = many(20)
    slope = expansion_slopes(x)
    step = 1e-5
    for i in range(1, 16):
        up, down = x.copy(), x.copy()
        up[:, i] += step
        up[:, 0] -= step
        down[:, i] -= step
        down[:, 0] += step
        numeric = (expansion(up).value - expansion(down).value) / (2 * step)
        assert slope[:, i] == pytest.approx(numeric, rel=2e-4, abs=2e-3)


def test_term_slopes_against_differences() -> None:
    x = many(10)[:, :16].T.copy()
    slope, step = term_slopes(x), 1e-6
    for i in range(16):
        up, down = x.copy(), x.copy()
        up[i] += step
        down[i] -= step
        assert slope[:, i] == pytest.approx((terms(up) - terms(down)) / (2 * step), rel=1e-4, abs=1e-5)


def test_pushes_add_up_to_the_estimate() -> None:
    x = many(50)
    why = contributions(x)
    assert why.reference_value + why.push.sum(axis=1) == pytest.approx(expansion(x).value, abs=1e-3)
    assert np.all(why.push[:, 0] == 0.0)


def test_soda_and_potash_push_up_and_boron_down() -> None:
    """Alkalis raise the expansion and boric oxide for lime lowers it: common practice, no source."""
    base = expansion(glaze(**STONEWARE)).value[0]
    assert expansion(glaze(**{**STONEWARE, "Na2O": 0.3})).value[0] > base + 0.3
    assert expansion(glaze(**{**STONEWARE, "K2O": 0.3})).value[0] > base + 0.3
    assert expansion(glaze(**{**STONEWARE, "B2O3": 0.4})).value[0] < base


def test_iron_two_counts_as_iron_three() -> None:
    two = expansion(glaze(**STONEWARE, FeO=0.1))
    three = expansion(glaze(**STONEWARE, Fe2O3=0.05))
    assert two.value[0] == pytest.approx(three.value[0], abs=1e-9)


def test_a_colourant_widens_the_interval_and_leaves_the_value() -> None:
    plain, blue = expansion(glaze(**STONEWARE)), expansion(glaze(**STONEWARE, CoO=0.06))
    assert blue.value[0] == pytest.approx(plain.value[0], abs=1e-9)
    assert blue.high[0] - blue.low[0] > plain.high[0] - plain.low[0]
    assert "CoO" in " ".join(estimate_row(blue).caveats)
    assert not blue.extrapolated[0]


@pytest.mark.parametrize(("moles", "word"), [({"PbO": 0.5}, "lead"), ({"F": 0.3}, "fluorine"), ({"CdO": 0.3}, "CdO")])
def test_what_is_not_in_the_fit_is_extrapolated(moles: dict[str, float], word: str) -> None:
    estimate = estimate_row(expansion(glaze(**STONEWARE, **moles)))
    assert estimate.basis is Basis.EXTRAPOLATED
    assert word in " ".join(estimate.caveats)


def test_an_oxide_out_of_range_is_named() -> None:
    answer = expansion(glaze(SiO2=30, MnO=60, Na2O=10))
    assert answer.extrapolated[0]
    assert any("MnO" in caveat for caveat in estimate_row(answer).caveats)


def test_nothing_known_has_no_estimate() -> None:
    with pytest.raises(ValueError, match="no oxide"):
        estimate_row(expansion(np.zeros((1, len(SYMBOLS)))))


def test_wrong_shape_is_refused() -> None:
    with pytest.raises(ValueError, match="shape"):
        expansion(np.zeros((2, 3)))


def test_viscosity_curve_can_be_read_both_ways() -> None:
    x = many(200)
    for level in (1.0, 3.0, 6.6, 11.0):
        degC = viscosity.temperature_at(x, level).value
        assert viscosity.log_viscosity_on(viscosity.viscosity_curves(x), degC).value == pytest.approx(
            np.full(200, level), abs=1e-6
        )


def test_hotter_is_more_fluid() -> None:
    curves = viscosity.viscosity_curves(many(500))
    levels = np.stack([curves.log_viscosity(degC) for degC in np.arange(600.0, 1450.0, 25.0)])
    assert np.all(np.diff(levels, axis=0) < 0)


def test_small_product_is_the_product() -> None:
    left, right = np.random.default_rng(1).normal(size=(18, 31)), np.random.default_rng(2).normal(size=(31, 1000))
    assert small_product(left, right) == pytest.approx(left @ right)
    assert small_product(left[0], right) == pytest.approx(left[0] @ right)


def test_small_product_writes_where_it_is_told() -> None:
    left, right = np.arange(6.0).reshape(2, 3), np.random.default_rng(0).normal(size=(3, 1000))
    out = np.empty((4, 1000))
    assert small_product(left, right, out[1:3]).base is out
    assert out[1:3] == pytest.approx(left @ right)


def test_rows_do_not_depend_on_what_else_is_asked() -> None:
    """One row alone, in a block with traces of other oxides, and across the edge of a block."""
    x = many(9000)
    x[:4000, INDEX["CoO"]] = 1e-3
    x[8000:, INDEX["PbO"]] = 0.02
    whole = expansion(x)
    for row in (0, 3999, 4000, 4223, 4224, 7999, 8000, 8999):
        one = expansion(x[row : row + 1])
        for together, alone in ((whole.value, one.value), (whole.low, one.low), (whole.high, one.high)):
            assert together[row] == pytest.approx(alone[0], rel=1e-12)
        assert whole.extrapolated[row] == one.extrapolated[0]
    assert whole.extrapolated[8000:].all()


@pytest.mark.parametrize("practice", ["glaze", "glass"])
def test_every_estimate_says_which_interval_it_has(practice: Practice) -> None:
    x = glaze(**STONEWARE)
    for key in KEYS:
        notes = [c for c in estimate_row(predict(key, x, practice)).caveats if c.startswith("interval as ")]
        assert [note.split()[2].strip(":") for note in notes] == [practice]
    assert "bubbles" in " ".join(estimate_row(predict("expansion", x, "glaze")).caveats)
    assert "for want of measurements" in " ".join(estimate_row(predict("liquidus", x, "glaze")).caveats)
