"""Tiles of the glaze itself lead the answer, tiles of its neighbours narrow it, and a jar is never told to change."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.api import recipe_from_text, shelf
from glazecalc.jobs.check import check
from glazecalc.jobs.fit import OwnTiles
from glazecalc.jobs.formula import compose_recipe
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.tiled import kinship
from glazecalc.values.answers import Answer, Estimate, Verdict
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, Recipe
from glazecalc.values.oxides import SYMBOLS
from glazecalc.values.records import FrozenLine, FrozenRecipe, TileRecord, TileResult
from tests.jobs.cases import taught

CLAY = Body(name="Grey", ware="stoneware")
HARD = "freezer and boiling water"


def glaze(name: str, silica: float, feldspar: float = 40.0) -> Recipe:
    lines = f"Potash feldspar {feldspar}\nWhiting 16\nZinc oxide 6\nKaolin 12\nSilica {silica}\nColemanite 8\n"
    return recipe_from_text(f"name: {name}\ncone: 6\n\n{lines}")


def frozen(recipe: Recipe) -> FrozenRecipe:
    composition = compose_recipe(recipe, shelf())[0]
    assert composition is not None
    moles = [(s, float(v)) for s, v in zip(SYMBOLS, composition.mole_fractions[0], strict=True) if v > 0]
    lines = tuple(FrozenLine(material=line.material, amount=line.amount) for line in recipe.lines)
    return FrozenRecipe(name=recipe.name, lines=lines, moles=tuple(moles))


def tile(recipe: Recipe, way: TileResult, number: int = 1, test: str = "") -> TileRecord:
    return TileRecord(
        id=f"t{number}", recipe=frozen(recipe), body="Grey", cone="6", results=(way,), after_test=test
    )  # fmt: skip


def jar_tile(way: TileResult, number: int = 1) -> TileRecord:
    return TileRecord(id=f"j{number}", glaze="Jar blue", body="Grey", cone="6", results=(way,), after_test=HARD)


def asked(recipe: Recipe, *tiles: TileRecord) -> tuple[Verdict, dict[str, Estimate], tuple[str, ...]]:
    result = check(recipe, shelf(), Setup(body=CLAY, cone=Cone("6"), bench=taught(tiles)))
    verdict = next(v for v in result.verdicts if v.rule == "fit")
    return verdict, {e.name: e for e in result.estimates}, result.next_steps


def width(estimates: dict[str, Estimate]) -> float:
    return estimates["layer_stress"].high - estimates["layer_stress"].low


MINE, NEAR = glaze("Mine", 18.0), glaze("Near", 20.0)
FAR = recipe_from_text("name: Far\ncone: 6\n\nSoda feldspar 10\nWhiting 25\nTalc 25\nKaolin 35\nSilica 5\n")


def test_a_sound_tile_of_a_neighbour_narrows_the_answer_by_a_third() -> None:
    _, before, _ = asked(MINE)
    _, after, _ = asked(MINE, tile(NEAR, TileResult.SOUND, test=HARD))
    assert width(after) <= 0.70 * width(before)
    assert after["crazing_probability"].value < 0.7 * before["crazing_probability"].value


def test_the_nearer_the_tile_the_more_it_says() -> None:
    chances = [
        asked(MINE, tile(glaze("Other", silica), TileResult.CRAZED_AT_ONCE))[1]["crazing_probability"].value
        for silica in (20.0, 30.0, 45.0)
    ]
    assert chances == sorted(chances, reverse=True)


def test_kinship_is_smooth_and_forgets_far_glazes() -> None:
    composition = compose_recipe(MINE, shelf())[0]
    assert composition is not None
    moles = composition.mole_fractions[0]
    from glazecalc.jobs.learn import evidence

    shares = []
    for silica in (18.0, 20.0, 24.0, 30.0, 45.0):
        tiles = [tile(glaze("Other", silica), TileResult.SOUND)]
        used, _ = evidence(tiles, "Grey", Cone("6"))
        shares.append(sum(kinship(moles, tiles, used).values()))
    assert shares[0] == pytest.approx(1.0, abs=1e-6)
    assert np.all(np.diff(shares) < 0.0)
    tiles = [tile(FAR, TileResult.SOUND)]
    assert kinship(moles, tiles, evidence(tiles, "Grey", Cone("6"))[0]) == {}
    assert kinship(None, tiles, ()) == {}


def test_own_tiles_lead_the_sentence_and_the_answer() -> None:
    tiles = [tile(MINE, TileResult.SOUND, n, HARD) for n in range(3)]
    verdict, _, _ = asked(MINE, *tiles)
    assert verdict.answer is Answer.FITS
    assert verdict.message.startswith("Your 3 tiles, frozen and boiled, came out sound. Sound on Grey")
    crazed, _, _ = asked(MINE, *[tile(MINE, TileResult.CRAZED_AT_ONCE, n) for n in range(2)])
    assert crazed.answer is Answer.DOES_NOT_FIT
    assert crazed.message.startswith("Your 2 tiles crazed. ")


@pytest.mark.parametrize(
    ("own", "sentence"),
    [
        (OwnTiles(1, 0, 0), "Your tile came out sound."),
        (OwnTiles(3, 0, 0, ("boil and freeze x3",)), "Your 3 tiles, boiled and frozen, came out sound."),
        (OwnTiles(2, 0, 0, ("a year in my kitchen",)), "Your 2 tiles came out sound (a year in my kitchen)."),
        (
            OwnTiles(2, 0, 0, ("steam in a pressure cooker",)),
            "Your 2 tiles came out sound (steam in a pressure cooker).",
        ),
        (OwnTiles(2, 1, 0), "Of your 3 tiles 2 came out sound and 1 crazed."),
        (OwnTiles(0, 0, 1), "Your tile shivered."),
    ],
)
def test_what_tiles_showed_in_words(own: OwnTiles, sentence: str) -> None:
    assert own.sentence == sentence


def test_a_jar_is_judged_by_its_own_tile_and_never_told_to_change() -> None:
    jar = recipe_from_text("name: Jar blue\nkind: bought\ncone: 6\n")
    sound, _, _ = asked(jar, *[jar_tile(TileResult.SOUND, n) for n in range(2)])
    assert sound.answer is Answer.FITS
    assert sound.message.startswith("Your 2 tiles, frozen and boiled, came out sound")
    for tiles in ([jar_tile(TileResult.CRAZED_AT_ONCE)], [jar_tile(TileResult.SHIVERED)], []):
        verdict, _, steps = asked(jar, *tiles)
        told = f"{verdict.message} {' '.join(steps)}"
        assert "silica" not in told and "potash" not in told and "adjust" not in told


def test_adjust_is_not_named_where_only_a_tile_can_tell() -> None:
    verdict = Verdict("fit", Answer.DOES_NOT_FIT, "Crazes.", remedy="tile")
    from glazecalc.jobs.check import next_steps

    assert not [s for s in next_steps(MINE, [verdict], body="Grey", cone="6") if "adjust" in s]
    other = Verdict("fit", Answer.DOES_NOT_FIT, "Crazes.", remedy="recipe")
    assert [s for s in next_steps(MINE, [other], body="Grey", cone="6") if "adjust" in s]


def test_a_card_that_people_use_counts_as_a_weak_tile_but_not_a_crackle() -> None:
    plain, before, _ = asked(MINE)
    used, after, _ = asked(MINE.model_copy(update={"proven": "cone 6 stoneware"}))
    crackle = MINE.model_copy(update={"proven": "cone 6 stoneware", "surface": "crackle"})
    chance = before["crazing_probability"].value
    assert 0.5 * chance < after["crazing_probability"].value < 0.8 * chance
    assert used.message.startswith("The card says that people use it for cone 6 stoneware")
    assert asked(crackle)[1]["crazing_probability"].value == chance
    tiles = [tile(MINE, TileResult.CRAZED_AT_ONCE)]
    own = asked(MINE.model_copy(update={"proven": "cone 6 stoneware"}), *tiles)
    assert own[0] == asked(MINE, *tiles)[0]
    assert plain.answer is Answer.CANNOT_SAY


def test_a_card_says_what_it_is_used_for() -> None:
    card = recipe_from_text("name: A\ncone: 6\nproven: cone 6 stoneware\n\nWhiting 20\nSilica 80\n")
    assert card.proven == "cone 6 stoneware"
