"""Few materials for a set of oxides: exact where it can be, no more than it takes, limits kept."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog, nnls

from glazecalc.chemistry.composition import material_table, vector
from glazecalc.jobs.sparse import fewest_materials, matched_mix, nearest_mix
from glazecalc.values.oxides import SYMBOLS
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


@pytest.mark.parametrize("seed", range(5))
def test_no_fewer_materials_would_do(moles: np.ndarray, seed: int) -> None:
    """Every smaller set is tried: none comes within the same tolerance."""
    rng = np.random.default_rng(seed)
    amounts = np.zeros(len(moles))
    amounts[rng.choice(len(moles) - 1, size=5, replace=False)] = rng.uniform(5, 40, size=5)
    target = unity_of(amounts, moles)
    tolerance = 0.02
    few = fewest_materials(moles, target, tolerance)
    assert few.worst() <= tolerance
    for size in range(1, len(few.used)):
        for chosen in combinations(range(len(moles)), size):
            assert not within(moles[list(chosen)], target, 0.98 * tolerance), chosen


def within(moles: np.ndarray, target: np.ndarray, tolerance: float) -> bool:
    """Whether some amounts bring every oxide within the tolerance (least squares tell most sets off at once)."""
    shares = (moles / moles.sum(axis=1, keepdims=True)).T
    if nnls(shares, target)[1] > tolerance * np.sqrt(len(target)):
        return False
    bounds = np.concatenate([target + tolerance, tolerance - target])
    return bool(linprog(np.zeros(len(moles)), A_ub=np.vstack([shares, -shares]), b_ub=bounds).status == 0)


def test_out_of_reach_the_oxide_that_cannot_be_had_is_given_up(moles: np.ndarray) -> None:
    amounts = np.zeros(len(moles))
    amounts[[0, 3, 4, 5]] = (40, 30, 10, 20)
    target = unity_of(amounts, moles) + vector({"P2O5": 0.05})
    mix = fewest_materials(moles, target, 0.01)
    assert len(mix.used) == 4
    off = np.abs(mix.deviation) > 0.01
    assert [SYMBOLS[i] for i in np.flatnonzero(off)] == ["P2O5"]


def test_a_material_disliked_gives_way_to_another(moles: np.ndarray) -> None:
    amounts = np.zeros(len(moles))
    amounts[[3, 4, 5, 2]] = (25, 10, 15, 50)
    target = unity_of(amounts, moles)
    lime = [NAMES.index("Whiting"), NAMES.index("Wollastonite")]
    for one, other in (lime, lime[::-1]):
        dislike = np.zeros(len(moles))
        dislike[one] = 2.5
        mix = fewest_materials(moles, target, 0.01, dislike=dislike)
        assert mix.amounts[one] == 0
        assert mix.amounts[other] > 0
        assert mix.worst() <= 0.01


def test_nothing_is_written_by_the_solver(moles: np.ndarray, capfd: pytest.CaptureFixture[str]) -> None:
    """The output of a command may be one JSON document; some versions of HiGHS write lines of their own."""
    print("before", flush=True)
    for seed in range(4):
        fewest_materials(moles, np.random.default_rng(seed).uniform(0, 1, size=moles.shape[1]), 0.01)
    print("after", flush=True)
    assert capfd.readouterr().out == "before\nafter\n"


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
