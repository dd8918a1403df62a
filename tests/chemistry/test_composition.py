"""Invariants of batches and formulas: what a potter would be astonished to see broken."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.chemistry.composition import (
    CONVENTIONS,
    Composition,
    alkali_fraction,
    compose,
    fired_mass,
    from_moles,
    material_table,
    mole_fractions,
    moles_from_weight_percent,
    silica_alumina,
    spread_of_analysis,
    unity,
    unity_sd,
    vector,
    weight_percent,
)
from glazecalc.chemistry.oxides import MOLAR_MASSES, OXIDES
from glazecalc.values.inputs import Material, OxideAmount
from glazecalc.values.oxides import INDEX

FORMULAS = ("K2O.Al2O3.6SiO2", "CaCO3", "SiO2", "Al2O3.2SiO2.2H2O", "2CaO.3B2O3.5H2O", "MgCO3", "ZnO", "Fe2O3", "CaF2")
TABLE = material_table([Material(name=f, kind="ideal", formula=f) for f in FORMULAS])
CUSTOMARY = CONVENTIONS["customary"]

batches = st.lists(st.floats(0.01, 1000), min_size=len(FORMULAS), max_size=len(FORMULAS)).map(lambda a: np.array([a]))
compositions = st.lists(st.floats(0, 100), min_size=len(OXIDES), max_size=len(OXIDES)).map(lambda a: np.array([a]))


def formula(amounts: np.ndarray) -> np.ndarray:
    return unity(compose(amounts, TABLE).moles, CUSTOMARY)


@given(batches, st.permutations(range(len(FORMULAS))))
def test_order_of_lines_never_matters(amounts: np.ndarray, order: list[int]) -> None:
    shuffled = material_table([Material(name=FORMULAS[i], kind="ideal", formula=FORMULAS[i]) for i in order])
    again = unity(compose(amounts[:, order], shuffled).moles, CUSTOMARY)
    np.testing.assert_allclose(again, formula(amounts), rtol=1e-9)


@given(batches, st.floats(1e-3, 1e3))
def test_scale_of_the_batch_never_matters(amounts: np.ndarray, scale: float) -> None:
    np.testing.assert_allclose(formula(amounts * scale), formula(amounts), rtol=1e-9)


@given(batches, st.floats(0.01, 0.99), st.integers(0, len(FORMULAS) - 1))
def test_splitting_a_line_never_matters(amounts: np.ndarray, share: float, line: int) -> None:
    both = [*FORMULAS, FORMULAS[line]]
    table = material_table([Material(name=f"{i}", kind="ideal", formula=f) for i, f in enumerate(both)])
    split = np.append(amounts, [[amounts[0, line] * share]], axis=1)
    split[0, line] *= 1 - share
    np.testing.assert_allclose(unity(compose(split, table).moles, CUSTOMARY), formula(amounts), rtol=1e-9)


@given(batches)
def test_fluxes_sum_to_one(amounts: np.ndarray) -> None:
    assert (formula(amounts) @ CUSTOMARY.mask)[0] == pytest.approx(1)


@given(batches)
def test_fired_and_lost_make_the_batch(amounts: np.ndarray) -> None:
    fired = compose(amounts, TABLE)
    mass = fired_mass(fired.moles)[0]
    assert 0 < mass <= fired.raw_g[0] + 1e-9
    assert mass + fired.loss_on_ignition_percent[0] / 100 * fired.raw_g[0] == pytest.approx(fired.raw_g[0])


@given(compositions.filter(lambda a: a.sum() > 0))
def test_mass_to_mole_and_back(weights: np.ndarray) -> None:
    np.testing.assert_allclose(moles_from_weight_percent(weights) * MOLAR_MASSES, weights, rtol=1e-12, atol=1e-290)


@given(compositions.filter(lambda a: a[0, :10].sum() > 1e-6))
def test_weight_and_mole_percent_agree(moles: np.ndarray) -> None:
    moles = moles.copy()
    moles[:, [INDEX["F"], INDEX["Cl"]]] = 0
    assert mole_fractions(moles).sum() == pytest.approx(1)
    assert weight_percent(moles).sum() == pytest.approx(100)
    np.testing.assert_allclose(
        mole_fractions(moles_from_weight_percent(weight_percent(moles))), mole_fractions(moles), atol=1e-12
    )


def test_one_path_for_one_and_for_many() -> None:
    rng = np.random.default_rng(1)
    many = rng.random((50, len(FORMULAS)))
    together = compose(many, TABLE)
    for i in range(50):
        alone = compose(many[i : i + 1], TABLE)
        np.testing.assert_allclose(alone.moles[0], together.moles[i], rtol=1e-12)
        np.testing.assert_allclose(alone.moles_sd[0], together.moles_sd[i], rtol=1e-12)


def test_spread_of_the_formula_agrees_with_sampling() -> None:
    """First-order propagation against 200,000 draws of the moles: numpy's generator is the outside check."""
    moles = from_moles(vector({"K2O": 0.3, "CaO": 0.7, "Al2O3": 0.5, "SiO2": 4.0})).moles
    deviation = 0.03 * moles
    draws = moles + deviation * np.random.default_rng(7).standard_normal((200_000, len(OXIDES)))
    sampled = np.nanstd(unity(draws, CUSTOMARY), axis=0)
    got = unity_sd(moles, deviation, CUSTOMARY)[0]
    for oxide in ("K2O", "CaO", "Al2O3", "SiO2"):
        assert got[INDEX[oxide]] == pytest.approx(sampled[INDEX[oxide]], rel=0.02)


def test_small_shares_are_known_relatively_worse() -> None:
    spread = spread_of_analysis(np.array([[50.0, 1.0, 0.01]]), np.array([3.0]))[0]
    assert spread == pytest.approx([1.5, 0.03, 0.003])


def test_fluorspar_loses_nothing_on_paper() -> None:
    """CaF2 is written CaO + 2 F - O, the convention of rock analyses; the mass returns."""
    fired = compose(np.array([[78.07]]), material_table([Material(name="fluorspar", kind="ideal", formula="CaF2")]))
    assert fired_mass(fired.moles)[0] == pytest.approx(78.07, rel=1e-6)


def test_a_batch_without_flux_has_no_unity_formula() -> None:
    assert np.isnan(unity(from_moles(vector({"SiO2": 1.0})).moles, CUSTOMARY)).all()
    assert np.isnan(silica_alumina(from_moles(vector({"SiO2": 1.0})).moles)[0])
    assert np.isnan(alkali_fraction(from_moles(vector({"SiO2": 1.0})).moles, CUSTOMARY)[0])


def test_conventions_differ_where_they_should() -> None:
    moles = from_moles(vector({"K2O": 0.3, "CaO": 0.6, "CuO": 0.1, "Al2O3": 0.4, "SiO2": 4.0})).moles
    assert unity(moles, CUSTOMARY)[0, INDEX["SiO2"]] == pytest.approx(4.0)
    assert unity(moles, CONVENTIONS["colourants-out"])[0, INDEX["SiO2"]] == pytest.approx(4 / 0.9)
    assert unity(moles, CONVENTIONS["alumina"])[0, INDEX["SiO2"]] == pytest.approx(10.0)


def test_density_is_that_of_the_mixture() -> None:
    """1 / density = sum of shares / densities (common practice, no source)."""
    table = material_table([
        Material(name="a", kind="ideal", formula="SiO2", density=2.5),
        Material(name="b", kind="ideal", formula="ZnO", density=5.0),
    ])  # fmt: skip
    assert compose(np.array([[50.0, 50.0]]), table).solids_density[0] == pytest.approx(100 / 30)
    unknown = material_table([Material(name="a", kind="typical", analysis=(OxideAmount(oxide="SiO2", amount=99.0),))])
    assert isinstance(compose(np.array([[1.0]]), unknown), Composition)
    assert np.isnan(compose(np.array([[1.0]]), unknown).solids_density[0])
