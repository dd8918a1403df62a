"""Learning a clay from tiles: direction, weights, contradictions, shared error, the next tile, and honest
intervals.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glazecalc.jobs.fit import Coat, fit_arrays
from glazecalc.jobs.learn import (
    FamilyBook,
    GlazeOnTile,
    TileEvidence,
    average_family,
    chances,
    evidence,
    family_likelihoods,
    grid_quantiles,
    ground_of,
    learn,
    moles_of,
    posterior,
    revealed,
)
from glazecalc.jobs.lesson import best_next, information_bits, result_chances
from glazecalc.jobs.tiled import learned_body_expansion
from glazecalc.models.body import known_body
from glazecalc.values.answers import Basis
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, GivenExpansion
from glazecalc.values.records import FrozenRecipe, TileRecord, TileResult

CLAY = Body(name="Pale", ware="stoneware")


def glaze(value: float, family: str = "g", sigma: float = 0.6) -> GlazeOnTile:
    return GlazeOnTile(family, value, sigma, 620.0)


def tile(value: float, result: TileResult, family: str, revealed_: float = 0.8, name: str = "") -> TileEvidence:
    return TileEvidence(name or f"{family}{value}", glaze(value, family), result, revealed_)


def test_no_tiles_leave_the_prior():
    found = learn(CLAY, [])
    assert found.posterior.basis is Basis.TYPICAL
    assert (found.posterior.low, found.posterior.high) == pytest.approx((5.6, 7.6), abs=0.01)


def test_direction_and_sharpening():
    crazed = learn(CLAY, [tile(6.0, TileResult.CRAZED_AT_ONCE, "a")])
    sound = learn(CLAY, [tile(6.0, TileResult.SOUND, "a")])
    shivered = learn(CLAY, [tile(6.0, TileResult.SHIVERED, "a")])
    values = [found.posterior.value for found in (crazed, sound, shivered)]
    assert values == sorted(values), "crazing means the clay shrinks less, shivering that it shrinks more"
    assert crazed.posterior.basis is Basis.LEARNED
    assert "learned from 1 tile" in crazed.posterior.caveats
    both = learn(CLAY, [tile(6.5, TileResult.CRAZED_AT_ONCE, "a"), tile(5.0, TileResult.SOUND, "b")])
    assert both.posterior.high - both.posterior.low < 3.0


def test_an_untested_sound_tile_says_less_than_a_tested_one():
    fresh = learn(CLAY, [tile(5.5, TileResult.SOUND, "a", 0.0)])
    tested = learn(CLAY, [tile(5.5, TileResult.SOUND, "a", 0.8)])
    assert tested.posterior.value > fresh.posterior.value


def test_ten_tiles_of_one_glaze_are_not_ten_glazes():
    one = learn(CLAY, [tile(6.0, TileResult.CRAZED_AT_ONCE, "a", name="1")])
    same = learn(CLAY, [tile(6.0, TileResult.CRAZED_AT_ONCE, "a", name=str(i)) for i in range(10)])
    apart = learn(CLAY, [tile(6.0, TileResult.CRAZED_AT_ONCE, f"g{i}", name=str(i)) for i in range(10)])
    assert apart.posterior.value < same.posterior.value < one.posterior.value + 1e-9
    moved_same = one.posterior.value - same.posterior.value
    moved_apart = one.posterior.value - apart.posterior.value
    assert moved_same < 0.5 * moved_apart


def test_weights_share_the_change_and_the_odd_one_is_named():
    tiles = [
        tile(5.0, TileResult.SOUND, "a", name="AAA"),
        tile(4.6, TileResult.SOUND, "b", name="AAC"),
        tile(7.0, TileResult.CRAZED_AT_ONCE, "c", name="AAE"),
        tile(4.0, TileResult.CRAZED_AT_ONCE, "d", name="AAF"),
    ]
    found = learn(CLAY, tiles)
    assert sum(weight for _, weight in found.weights) == pytest.approx(1.0)
    assert found.contradictions[0].tile == "AAF"
    assert found.contradictions[0].chance < 0.15
    assert not learn(CLAY, tiles[:3]).contradictions


@settings(max_examples=15, deadline=None)
@given(st.permutations(range(4)))
def test_order_of_tiles_does_not_matter(order):
    tiles = [
        tile(5.0, TileResult.SOUND, "a"),
        tile(5.2, TileResult.CRAZED_LATER, "a"),
        tile(6.6, TileResult.CRAZED_AT_ONCE, "b"),
        tile(3.6, TileResult.SHIVERED, "c"),
    ]
    straight = learn(CLAY, tiles).posterior
    assert learn(CLAY, [tiles[i] for i in order]).posterior.value == pytest.approx(straight.value, abs=1e-9)


def test_results_are_a_distribution():
    ground = ground_of(known_body(CLAY))
    table = result_chances(ground, glaze(5.5))
    assert np.allclose(table.sum(axis=0), 1.0)
    assert np.all(table >= 0.0)


def test_grid_agrees_with_the_closed_form_of_the_check():
    # Averaging the learning's grid over everything unknown gives the check's own probabilities for the same
    # glaze.
    clay = known_body(CLAY)
    ground = ground_of(clay)
    ways = chances(ground, glaze(5.5))
    found = fit_arrays([5.5], [0.6], 620.0, None, clay, set_sigma_K=15.2, coat=Coat())
    averaged = average_family(ways.crazes)
    mean = float((ground.joint_prior * averaged).sum())
    assert mean == pytest.approx(float(found.crazing_probability[0]), abs=0.015)
    once = average_family(np.broadcast_to(ways.once[None], ways.crazes.shape))
    assert float((ground.joint_prior * once).sum()) == pytest.approx(float(found.at_once_probability[0]), abs=0.015)
    shivers = np.broadcast_to(ways.shivers[None], ways.crazes.shape)
    expected = float(found.shivering_probability[0])
    assert float((ground.joint_prior * average_family(shivers)).sum()) == pytest.approx(expected, abs=0.015)


def test_quantiles_of_a_normal_grid():
    thetas = np.linspace(0.0, 10.0, 401)
    weights = np.exp(-0.5 * ((thetas - 5.0) / 1.2) ** 2)
    low, middle, high = grid_quantiles(thetas, weights / weights.sum(), (0.05, 0.5, 0.95))
    assert (low, middle, high) == pytest.approx((5 - 1.2 * 1.644854, 5.0, 5 + 1.2 * 1.644854), abs=0.002)


def test_information_against_a_direct_count():
    # Mutual information by its definition over a small table, worked directly.
    weights = np.array([[0.2, 0.5, 0.3]])
    table = np.array([[[0.9, 0.5, 0.1]], [[0.1, 0.5, 0.9]]])
    result = (table * weights).sum(axis=(1, 2))
    direct = sum(
        weights[0, t] * table[r, 0, t] * math.log2(table[r, 0, t] / result[r]) for r in range(2) for t in range(3)
    )
    assert information_bits(weights, table) == pytest.approx(direct)


def test_next_tile_is_near_the_boundary_and_not_a_repeat():
    ground = ground_of(known_body(CLAY))
    known = family_likelihoods(ground, [tile(6.0, TileResult.CRAZED_AT_ONCE, "at the edge")])
    offers = [(f"{v:g}", glaze(v, f"{v:g}")) for v in (1.5, 5.5, 9.5)] + [("again", glaze(6.0, "at the edge"))]
    chosen = best_next(ground, offers, known, 3)
    assert chosen[0].name == "5.5"
    assert chosen[0].information_bits > 0.05
    assert len({c.name for c in chosen}) == 3
    assert sum(p for _, p in chosen[0].outcomes) == pytest.approx(1.0)
    weights = posterior(ground, [average_family(part) for part in known.values()])
    again = information_bits(weights, result_chances(ground, glaze(6.0, "at the edge"), known["at the edge"]))
    fresh = information_bits(weights, result_chances(ground, glaze(6.0, "new")))
    assert again < fresh, "a repeat of the same glaze tells less than another glaze of the same estimate"


# --- from the journal


def frozen(name: str = "Clear", silica: float = 0.7, soda: float = 0.08) -> FrozenRecipe:
    rest = 1.0 - silica - soda - 0.08
    return FrozenRecipe(name, moles=(("SiO2", silica), ("Al2O3", 0.08), ("Na2O", soda), ("CaO", rest)))


def written(**fields) -> TileRecord:
    usual = {"id": "AAA", "recipe": frozen(), "body": "Pale", "cone": "6", "results": (TileResult.SOUND,)}
    return TileRecord(**(usual | fields))


def test_which_tiles_speak():
    tiles = [
        written(id="AAA"),
        written(id="AAC", body="Other"),
        written(id="AAE", results=()),
        written(id="AAF", results=(TileResult.CRAZED_AT_ONCE, TileResult.UNDERFIRED)),
        written(id="AAH", recipe=None, glaze="Jar"),
        written(id="AAJ", cone="06"),
        written(id="AAK", results=(TileResult.CRAZED_LATER, TileResult.PINHOLED), after_days=20.0),
    ]
    used, passed = evidence(tiles, "pale", Cone("6"))
    assert [t.id for t in used] == ["AAA", "AAK"]
    assert {i: reason.split(":")[0].split(",")[0] for i, reason in passed} == {
        "AAE": "no result of fit is recorded yet",
        "AAF": "it is underfired",
        "AAH": "its glaze has no recipe",
        "AAJ": "it was fired to cone 06",
    }
    assert learned_body_expansion(CLAY, tiles, Cone("6")) is not None
    assert learned_body_expansion(CLAY, tiles[1:3], Cone("6")) is None


def test_a_glaze_outside_what_is_known_teaches_nothing():
    strange = FrozenRecipe("Strange", moles=(("F", 0.5), ("SiO2", 0.2), ("Ta2O5", 0.3)))
    used, passed = evidence([written(recipe=strange)], "Pale")
    assert not used
    assert "outside what the estimates know" in passed[0][1]


def test_families_are_near_compositions():
    book = FamilyBook()
    first = book.name(moles_of(frozen("Clear")), "Clear")
    assert book.name(moles_of(frozen("Clear + silica", 0.73)), "Clear + silica") == first == "Clear"
    assert book.name(moles_of(frozen("Soda", 0.55, 0.2)), "Soda") == "Soda"


def test_time_and_tests_bring_out_crazing():
    assert revealed(written()) == 0.0
    waited = [revealed(written(after_days=d)) for d in (1.0, 30.0, 365.0, 3650.0)]
    assert waited == sorted(waited)
    assert waited[-1] == 1.0
    assert revealed(written(after_test="freezer and boil x3")) == pytest.approx(0.8)


def test_a_supplier_figure_is_the_prior():
    body = Body(name="Pale", ware="stoneware", expansion=GivenExpansion(value=6.0, low=5.7, high=6.3, to_degC=600.0))
    found = learn(body, [tile(6.5, TileResult.SOUND, "a")])
    assert found.prior.basis is Basis.SUPPLIER
    assert 6.0 < found.posterior.value < 6.3


FIGURE = Body(
    name="Pale", ware="stoneware",
    expansion=GivenExpansion(value=7.0, low=6.9, high=7.1, from_degC=20, to_degC=500, source="demo"),
)  # fmt: skip


@pytest.mark.parametrize("top", [400.0, 500.0, 560.0, 600.0, 680.0])
@pytest.mark.parametrize(("result", "of"), [(TileResult.SOUND, 5.5), (TileResult.CRAZED_AT_ONCE, 7.5)])
def test_tiles_never_leave_a_clay_less_certain_than_its_figure(top, result, of):
    # A posterior given evidence that agrees with the prior is no wider (Bayes; from memory).
    before = known_body(FIGURE)
    learned = learn(FIGURE, [tile(of, result, "a")]).posterior
    after = known_body(FIGURE, learned=learned)
    (_, wide), (value, narrow) = before.mean_to(top), after.mean_to(top)
    assert narrow <= wide * 1.001
    assert after.at_reference()[0] == pytest.approx(learned.value, abs=0.02)
    assert value == pytest.approx(float(before.mean_to(top)[0]), abs=3 * float(wide))


def test_what_was_told_is_the_normal_rule_of_one_quantity_given_another():
    # E[y|x] and var[y|x] of two normal quantities, found here by drawing the clay's three unknowns (from memory).
    clay = known_body(FIGURE)
    rng = np.random.default_rng(5)
    z = rng.normal(size=(3, 400_000))
    at = {t: clay._prior(t) for t in (560.0, 600.0)}
    drawn = {t: (float(v) + (parts[:, None] * z).sum(axis=0)) / (t - 20.0) for t, (v, parts) in at.items()}
    near = np.abs(drawn[600.0] - 8.2) < 0.01
    mean, sigma = clay.given_reference(8.2, 0.0, Basis.LEARNED).mean_to(560.0)
    assert float(mean) == pytest.approx(float(drawn[560.0][near].mean()), abs=0.01)
    assert float(sigma) == pytest.approx(float(drawn[560.0][near].std()), rel=0.1, abs=0.01)
