"""Few materials for a set of oxides: exact where it can be, as few as a mixed-integer solver needs, limits kept."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from glazecalc.chemistry.composition import material_table, vector
from glazecalc.jobs.sparse import fewest_materials, matched_mix, nearest_mix
from tests.jobs.cases import shelf

NAMES = (
    "Potash feldspar", "Soda feldspar", "Nepheline syenite", "Silica", "Kaolin", "Whiting", "Dolomite", "Talc",
    "Wollastonite", "Zinc oxide", "Frit, high-calcium borosilicate", "Strontium carbonate", "Spodumene",
    "Red iron oxide",
)  # fmt: skip


@pytest.fixture(scope="module")
def moles() -> np.ndarray:
    found = [shelf().find(n) for n in NAMES]
    return material_table([m for m in found if m is not None]).moles


def unity_of(amounts: np.ndarray, moles: np.ndarray) -> np.ndarray:
    flux = vector(dict.fromkeys(("Li2O", "Na2O", "K2O", "MgO", "CaO", "SrO", "BaO", "ZnO", "MnO"), 1.0))
    fired = amounts @ moles
    return fired / (fired @ flux)


@given(st.integers(0, 10_000))
@settings(max_examples=25, deadline=None)
def test_a_mixture_of_the_shelf_is_found_again(seed: int) -> None:
    rng = np.random.default_rng(seed)
    found = [shelf().find(n) for n in NAMES]
    moles = material_table([m for m in found if m is not None]).moles
    amounts = np.zeros(len(NAMES))
    picked = rng.choice(len(NAMES), size=4, replace=False)
    amounts[picked] = rng.uniform(5, 40, size=4)
    if (amounts @ moles)[3:11].sum() <= 0.01:
        return  # no flux worth bringing to one
    target = unity_of(amounts, moles)
    assert nearest_mix(moles, target).worst() <= 1e-6 * max(target.max(), 1)
    few = fewest_materials(moles, target, 0.01)
    assert few.worst() <= 0.01 + 1e-9
    assert (few.amounts >= 0).all()


def test_the_number_planted_is_found_nearly_always(moles: np.ndarray) -> None:
    found = []
    for seed in range(40):
        rng = np.random.default_rng(seed)
        amounts = np.zeros(len(moles))
        amounts[rng.choice(len(moles), size=4, replace=False)] = rng.uniform(5, 40, size=4)
        found.append(len(fewest_materials(moles, unity_of(amounts, moles), 0.01).used))
    assert max(found) <= 5
    assert sum(n <= 4 for n in found) >= 38


@pytest.mark.parametrize("seed", range(12))
def test_no_fewer_materials_would_do(moles: np.ndarray, seed: int) -> None:
    """A mixed-integer solver (HiGHS), asked only for the count within the same tolerance, finds no smaller set."""
    rng = np.random.default_rng(seed)
    amounts = np.zeros(len(moles))
    amounts[rng.choice(len(moles) - 1, size=5, replace=False)] = rng.uniform(5, 40, size=5)
    target = unity_of(amounts, moles)
    tolerance = 0.02
    few = fewest_materials(moles, target, tolerance)
    assert few.worst() <= tolerance
    assert len(few.used) <= fewest_by_integers(moles, target, 0.9 * tolerance)


def fewest_by_integers(moles: np.ndarray, target: np.ndarray, tolerance: float) -> int:
    m = len(moles)
    scale = moles.sum(axis=1)
    shares = (moles / scale[:, None]).T
    tied = np.hstack([np.eye(m), -50.0 * np.eye(m)])
    found = milp(
        np.concatenate([np.zeros(m), np.ones(m)]), integrality=np.concatenate([np.zeros(m), np.ones(m)]),
        bounds=Bounds(0, np.concatenate([np.full(m, 50.0), np.ones(m)])),
        constraints=[LinearConstraint(tied, -np.inf, 0),
                     LinearConstraint(np.hstack([shares, 0 * shares]), target - tolerance, target + tolerance)],
    )  # fmt: skip
    return round(found.fun)


def test_another_flux_stands_in_mole_for_mole() -> None:
    """Baryta for strontia: as many moles, since the sum of the fluxes is what holds the rest of the formula."""
    table = material_table([m for m in (shelf().find("Barium carbonate"),) if m is not None])
    target = vector({"SrO": 0.3})
    mix = nearest_mix(table.moles, target)
    assert float(mix.amounts @ table.moles @ vector({"BaO": 1.0})) == pytest.approx(0.3, rel=0.06)


def test_a_match_within_tolerance_is_taken_where_least_squares_leaves_one_oxide_off() -> None:
    moles = np.eye(47)[:3] + 0.2 * np.eye(47)[[1, 2, 0]]
    target = np.zeros(47)
    target[:3] = (1.0, 0.1, 1.0)
    near, even = nearest_mix(moles, target), matched_mix(moles, target, 0.2)
    assert even.worst() <= max(0.2, near.worst())


def test_limits_are_kept(moles: np.ndarray) -> None:
    amounts = np.zeros(len(moles))
    amounts[[0, 3, 4, 5]] = (40, 30, 10, 20)
    target = unity_of(amounts, moles)
    upper = np.full(len(moles), np.inf)
    upper[4] = 5.0
    mix = fewest_materials(moles, target, 0.01, upper=upper)
    assert mix.amounts[4] <= 5.0 * mix.amounts.sum() / 100 * (1 + 1e-6)


def test_at_most_so_many(moles: np.ndarray) -> None:
    amounts = np.zeros(len(moles))
    amounts[[0, 3, 4, 5, 6, 9]] = (40, 25, 10, 15, 5, 5)
    mix = fewest_materials(moles, unity_of(amounts, moles), 0.01, at_most=4)
    assert len(mix.used) <= 4
