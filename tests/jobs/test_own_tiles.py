"""A glaze that has its own tiles on the clay is judged by them."""

from __future__ import annotations

import pytest

from glazecalc.chemistry.composition import from_moles, vector
from glazecalc.jobs.estimates import glaze_estimates
from glazecalc.jobs.fit import fit, judge_fit
from glazecalc.jobs.tiled import fit_given_tiles, same_glaze
from glazecalc.values.answers import Answer, Basis, Estimate
from glazecalc.values.inputs import Body, Recipe, RecipeLine
from glazecalc.values.records import FrozenLine, FrozenRecipe, TileRecord, TileResult

CLAY = Body(name="Pale", ware="stoneware")
MOLES = (("SiO2", 0.76), ("Al2O3", 0.1), ("Na2O", 0.05), ("CaO", 0.09))
CARD = Recipe(
    name="Clear", lines=(RecipeLine(material="Silica", amount=60.0), RecipeLine(material="Whiting", amount=40.0))
)
JAR = Recipe(name="Jar blue", kind="bought")
EXPANSION = glaze_estimates(from_moles(vector(dict(MOLES))[None, :]))[0]


def mixed(silica: float = 60.0, name: str = "Clear") -> FrozenRecipe:
    return FrozenRecipe(name, lines=(FrozenLine("Silica", silica), FrozenLine("whiting", 100.0 - silica)), moles=MOLES)


def tile(result: TileResult, id_: str = "AAA", **fields) -> TileRecord:
    usual = {"id": id_, "recipe": mixed(), "body": "Pale", "results": (result,), "after_test": "boil"}
    return TileRecord(**(usual | fields))


def test_which_tiles_wear_this_glaze():
    assert same_glaze(CARD, tile(TileResult.SOUND))
    assert same_glaze(CARD, tile(TileResult.SOUND, recipe=mixed(61.0, "another name")))
    assert not same_glaze(CARD, tile(TileResult.SOUND, recipe=mixed(70.0)))
    assert same_glaze(JAR, tile(TileResult.SOUND, recipe=None, glaze="jar BLUE"))
    assert not same_glaze(JAR, tile(TileResult.SOUND))


def test_no_tile_on_this_clay_leaves_the_estimate():
    assert fit_given_tiles(CARD, EXPANSION, CLAY, []) is None
    assert fit_given_tiles(CARD, EXPANSION, CLAY, [tile(TileResult.SOUND, body="Other")]) is None


def test_tiles_of_another_glaze_teach_the_clay_and_no_more():
    """Their estimates stay those of the learned clay; no word is said of own tiles."""
    found = fit_given_tiles(CARD, EXPANSION, CLAY, [tile(TileResult.SOUND, recipe=mixed(70.0))])
    assert found is not None
    assert found.estimate("body_expansion").basis is Basis.LEARNED
    assert found.estimate("crazing_probability").basis is Basis.MODEL
    assert not any("of this glaze" in caveat for e in found.estimates for caveat in e.caveats)


@pytest.mark.parametrize(
    ("result", "field"),
    [(TileResult.SOUND, "sound"), (TileResult.CRAZED_AT_ONCE, "crazing"), (TileResult.SHIVERED, "shivering")],
)
def test_what_the_tile_showed_becomes_likelier(result, field):
    before = fit(EXPANSION, CLAY)
    after = fit_given_tiles(CARD, EXPANSION, CLAY, [tile(result)])
    assert after is not None
    assert getattr(after, field) > getattr(before, field) + 0.1
    assert after.crazing + after.shivering + after.sound == pytest.approx(1.0)
    assert after.estimate("layer_stress").basis is Basis.LEARNED
    again = fit_given_tiles(CARD, EXPANSION, CLAY, [tile(result), tile(result, "AAC")])
    assert again is not None
    assert getattr(again, field) > getattr(after, field)


def test_a_glaze_that_crazed_is_not_called_sound():
    tiles = [tile(TileResult.CRAZED_AT_ONCE, "AAA"), tile(TileResult.CRAZED_AT_ONCE, "AAC")]
    found = fit_given_tiles(CARD, EXPANSION, CLAY, tiles)
    assert found is not None
    verdict = judge_fit(found, "Pale")
    assert verdict.answer is Answer.DOES_NOT_FIT
    assert "lower" in verdict.message


def test_a_jar_is_judged_from_its_tiles_alone():
    tiles = [tile(TileResult.SOUND, f"AA{s}", recipe=None, glaze="Jar blue") for s in "ACEFHJ"]
    found = fit_given_tiles(JAR, None, CLAY, tiles)
    assert found is not None
    assert found.estimate("expansion").basis is Basis.LEARNED
    assert judge_fit(found, "Pale").answer is Answer.FITS
    bad = [tile(TileResult.CRAZED_LATER, f"AA{s}", recipe=None, glaze="Jar blue") for s in "AC"]
    crazed = fit_given_tiles(JAR, None, CLAY, bad)
    assert crazed is not None
    assert judge_fit(crazed, "Pale").answer is Answer.DOES_NOT_FIT


def test_a_glaze_outside_the_estimates_stays_cannot_say():
    strange = Estimate("expansion", 5.0, 3.0, 7.0, "1e-6/K", Basis.EXTRAPOLATED)
    assert fit_given_tiles(CARD, strange, CLAY, [tile(TileResult.SOUND)]) is None
