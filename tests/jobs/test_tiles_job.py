"""A plan of tiles: every tile is its corners' mixture, and is estimated as `check` estimates it."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from glazecalc.chemistry.composition import CONVENTIONS, compose, unity
from glazecalc.files.materials import built_in_materials
from glazecalc.jobs.blending import Addition, blend_of, common_cone, tile_records
from glazecalc.jobs.check import check
from glazecalc.jobs.materials import pantry, resolve, table_of
from glazecalc.jobs.melt import Chances, judge_melting
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.tiles import TileOrder, plan_tiles, tile_arrays, with_ids
from glazecalc.render.text.tiles import tiles_text
from glazecalc.values.answers import ProblemsError
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import (
    Body,
    ConeRange,
    GivenExpansion,
    Interior,
    Kiln,
    Piece,
    Recipe,
    RecipeLine,
    Scale,
    Studio,
    UnitChoice,
)
from glazecalc.values.oxides import SYMBOLS

SHELF = pantry(built_in_materials())
SCALES = (Scale(name="bench", resolution_g=0.1, capacity_g=2000),)
STUDIO = Studio(folder=".", scales=SCALES)
SIX = ConeRange(low=Cone("6"), high=Cone("6"))
CLAY = Body(name="Stoneware", ware="stoneware", expansion=GivenExpansion(value=6.5, to_degC=500.0))
KILN = Kiln(name="Small", cone=Cone("8"), interior=Interior(shape="octagon", width_mm=290, height_mm=230), shelves=1)
SETTING = Setup(body=CLAY, kiln=KILN, cone=Cone("6"))


def card(name, lines, over=()):
    return Recipe(
        name=name, cone=SIX,
        lines=(*(RecipeLine(material=m, amount=float(a)) for m, a in lines),
               *(RecipeLine(material=m, amount=float(a), addition=True) for m, a in over)),
    )  # fmt: skip


CLEAR = card("Clear", [("Potash feldspar", 40), ("Silica", 30), ("Whiting", 20), ("Kaolin", 10)])
SODA = card("Soda", [("Nepheline syenite", 140), ("Whiting", 30), ("Kaolin", 20), ("Silica", 10)], [("Tin oxide", 4)])
MAGNESIA = card("Magnesia", [("Talc", 25), ("Potash feldspar", 35), ("Silica", 30), ("Kaolin", 10)])
WOLLASTONITE = card("Stone", [("Wollastonite", 30), ("Nepheline syenite", 40), ("Silica", 15), ("Kaolin", 15)])


def plan(recipes, setting=SETTING, **asked):
    return plan_tiles(recipes, STUDIO, SHELF, SCALES, setting, TileOrder(**asked))


def moles_of(recipe):
    lines, _ = resolve(recipe, SHELF)
    composition = compose(np.array([[r.line.amount for r in lines]]), table_of(lines))
    return composition.moles[0] / composition.raw_g[0]


@pytest.mark.parametrize(
    ("name", "recipes", "tiles"),
    [("line", [CLEAR, SODA], 11), ("triaxial", [CLEAR, SODA, MAGNESIA], 21),
     ("square", [CLEAR, SODA, MAGNESIA, WOLLASTONITE], 25)],
)  # fmt: skip
def test_every_tile_has_the_formula_of_its_corners_mixed(name, recipes, tiles):
    """The tile's card, read by itself, fires to the dry-weighted mixture of the corners' glasses, to 1e-9."""
    result = plan(recipes, plan=name)
    assert len(result.points) == tiles
    corners = np.array([moles_of(recipe) for recipe in recipes])
    for point in result.points:
        shares = np.array(point.parts) / sum(point.parts)
        wanted = unity((shares @ corners)[None], CONVENTIONS["customary"])[0]
        got = point.check.formula.unity()
        for oxide, moles in zip(SYMBOLS, wanted, strict=True):
            assert got.get(oxide, 0.0) == pytest.approx(moles, rel=1e-9, abs=1e-12)


def test_the_estimates_are_those_of_check_and_of_the_array_models():
    result = plan([CLEAR, SODA], plan="line", size=(5,))
    blend = blend_of("line", [CLEAR, SODA], SHELF, (5,), ())
    arrays = tile_arrays(blend, blend.parts, SETTING)
    assert arrays.expansion.shape == (5,)
    for i, point in enumerate(result.points):
        alone = check(point.check.recipe, SHELF, SETTING)
        for estimate in alone.estimates:
            assert point.check.estimate(estimate.name) == estimate
        assert point.check.estimate("expansion").value == pytest.approx(arrays.expansion[i], rel=1e-9)
        assert point.check.estimate("crazing_probability").value == pytest.approx(arrays.crazes[i], abs=0.03)


def test_additions_are_over_the_base_and_whole():
    result = plan([CLEAR], plan="additions", additions=(Addition("Red iron oxide", (0.0, 0.5, 2.0)),))
    assert [p.parts for p in result.points] == [(200, 0), (200, 1), (200, 4)]
    last = result.points[-1].recipe
    assert sum(x.amount for x in last if not x.addition) == pytest.approx(100)
    assert [x.amount for x in last if x.addition] == pytest.approx([2.0])


def test_corner_batches_hold_what_the_tiles_take():
    result = plan([CLEAR, SODA, MAGNESIA], plan="triaxial", each_g=60.0, waste_percent=0.0)
    for i, corner in enumerate(result.corners):
        poured = sum(p.measures[i] for p in result.points)
        assert corner.taken_g == pytest.approx(poured)
        assert corner.batch_g >= corner.taken_g
        assert all(line.within_tolerance for line in corner.sheet.lines)
    assert all(sum(p.measures) == pytest.approx(60) for p in result.points)


def test_a_part_is_a_whole_number_of_scale_steps():
    result = plan([CLEAR, SODA, MAGNESIA], plan="triaxial", size=(8,), each_g=33.0)
    for point in result.points:
        for grams in point.measures:
            assert grams / 0.1 == pytest.approx(round(grams / 0.1), abs=1e-6)


def test_blending_by_volume_says_what_the_tile_really_gets():
    dense = card("Dense", [("Zircon", 60), ("Silica", 20), ("Kaolin", 20)])
    result = plan([CLEAR, dense], plan="line", by="volume", size=(5,))
    middle = result.points[2]
    contents = [c.dry_per_mL for c in result.corners]
    assert middle.parts == (2, 2)
    assert middle.dry_shares[1] == pytest.approx(contents[1] / sum(contents))
    assert result.volume_cost.largest_share_percent == pytest.approx(100 * abs(middle.dry_shares[1] - 0.5), rel=0.2)
    assert result.volume_cost.largest_expansion > 0
    even = [c.gravity_for_equal_dry for c in result.corners]
    fixed = plan([CLEAR, dense], plan="line", by="volume", size=(5,), gravities=tuple(even))
    assert fixed.volume_cost.largest_share_percent < 1e-6


def test_a_ladder_rises_in_even_steps_of_expansion_across_the_doubt():
    result = plan([CLEAR, SODA], plan="ladder", size=(6,))
    expansions = [p.check.estimate("expansion").value for p in result.points]
    assert expansions == sorted(expansions)
    steps = np.diff(expansions)
    assert len(expansions) == 6
    assert steps.max() < 2.2 * steps.min()


def test_a_ladder_over_one_card_goes_both_ways():
    result = plan(
        [CLEAR],
        plan="ladder",
        size=(7,),
        additions=(Addition("Silica", (40.0,)), Addition("Nepheline syenite", (60.0,))),
    )
    expansions = [p.check.estimate("expansion").value for p in result.points]
    assert expansions == sorted(expansions)
    assert expansions[-1] - expansions[0] > 0.5


def test_places_are_apart_and_firings_are_counted():
    result = plan(
        [CLEAR, SODA, MAGNESIA],
        plan="triaxial",
        size=(8,),
        tile=Piece(name="t", width_mm=50, depth_mm=30, height_mm=80),
    )
    assert len(result.points) == 36
    assert result.firings == -(-36 // result.tiles_per_firing)
    places = [p.place for p in result.points]
    assert len({(p.firing, p.shelf, p.spot) for p in places}) == 36
    assert max(sum(1 for p in places if p.firing == f) for f in (1, 2)) <= result.tiles_per_firing


def test_without_a_kiln_or_a_clay_the_plan_still_stands():
    result = plan([CLEAR, SODA], setting=Setup(), plan="line")
    assert result.firings is None
    assert all(p.place is None for p in result.points)
    assert any("inside is not known" in note for note in result.notes)


def test_dangerous_and_unusual_tiles_are_marked():
    result = plan([CLEAR], plan="additions", additions=(Addition("Cobalt carbonate", (0.0, 1.0, 30.0)),))
    assert not result.points[0].marks
    assert any("more than is usual" in mark for mark in result.points[-1].marks)


def test_chosen_tiles_are_of_the_plan_and_the_same_each_time():
    full = plan([CLEAR, SODA, MAGNESIA], plan="triaxial")
    first = plan([CLEAR, SODA, MAGNESIA], plan="triaxial", choose=8)
    again = plan([CLEAR, SODA, MAGNESIA], plan="triaxial", choose=8)
    assert [p.parts for p in first.points] == [p.parts for p in again.points]
    assert {p.parts for p in first.points} < {p.parts for p in full.points}
    assert [p.number for p in first.points] == list(range(1, 9))
    choice = first.choice
    assert choice.wrong_percent < choice.wrong_by_chance_percent < choice.wrong_before_percent


def test_three_cards_of_a_square_say_what_the_fourth_is():
    result = plan([CLEAR, SODA, MAGNESIA], plan="square", size=(3, 3))
    assert [p.code for p in result.problems] == ["fourth-corner"]
    assert len(result.corner_names) == 4


def test_records_are_frozen_with_their_composition():
    result = plan([CLEAR, SODA], plan="line", size=(3,))
    records = tile_records(result)
    assert [r.body for r in records] == ["Stoneware"] * 3
    assert sum(share for _, share in records[0].recipe.moles) == pytest.approx(1)
    assert [x.material for x in records[0].recipe.lines] == [x.material for x in result.points[0].recipe]
    renamed = with_ids(result, ["AAA", "AAC", "AAE"])
    assert renamed.recorded
    assert [p.id for p in renamed.points] == ["AAA", "AAC", "AAE"]
    assert {s.tile for pot in renamed.pots for s in pot.steps} <= {"AAA", "AAC", "AAE"}


def test_additions_too_small_for_the_scale_are_marked_with_a_way_out():
    scales = (Scale(name="bench", resolution_g=0.1, minimum_g=1.0),)
    order = TileOrder(plan="additions", additions=(Addition("Cobalt carbonate", (0.0, 0.5, 4.0)),))
    result = plan_tiles([CLEAR], STUDIO, SHELF, scales, SETTING, order)
    small = result.points[1]
    assert small.measures[1] < 1
    (said,) = (mark for mark in small.marks if "too small for this scale" in mark)
    grams, volume, drawn = map(
        float, re.search(r"stir ([\d.]+) g .* to ([\d.]+) mL .* draw ([\d.]+) mL", said).groups()
    )
    assert grams / volume * drawn == pytest.approx(small.measures[1], rel=0.02)
    each = float(re.search(r"--each (\d+)g", said)[1])
    again = TileOrder(plan="additions", additions=order.additions, each_g=each)
    larger = plan_tiles([CLEAR], STUDIO, SHELF, scales, SETTING, again)
    for point in (result.points[0], result.points[2], *larger.points):
        assert not any("too small for this scale" in mark for mark in point.marks)
    assert [step.too_small for step in result.pots[0].steps][:2] == [False, True]
    clay = TileOrder(plan="additions", additions=(Addition("Bentonite", (0.0, 0.5)),))
    (said,) = plan_tiles([CLEAR], STUDIO, SHELF, scales, SETTING, clay).points[1].marks
    assert "water" not in said and "--each" in said


def test_the_pots_add_up():
    """By adding and taking away what is printed, the pot holds what each step says, and all that is needed is named."""
    result = plan([CLEAR, SODA], plan="line", size=(5,))
    text = " ".join(tiles_text(result, UnitChoice()).split())
    assert "Both pots are needed" in text
    assert "AAA" not in text
    assert "AAC" in tiles_text(with_ids(result, ["AAA", "AAC", "AAE", "AAF", "AAH"]), UnitChoice())
    for pot in result.pots:
        base, added = pot.base_g, 0.0
        for step in pot.steps:
            added += step.add_g
            assert 100 * added / base == pytest.approx(step.level_percent, abs=1e-6)
            left = 1 - pot.tile_g / (base + added)
            base, added = base * left, added * left
    assert {s.tile for pot in result.pots for s in pot.steps} == {p.id for p in result.points}


@pytest.mark.parametrize("levels", [(0.5,), (0.5, 1.0, 2.0), (0.0, 400.0)])
def test_a_ladder_takes_the_most_only(levels):
    with pytest.raises(ProblemsError, match="finds its own levels"):
        plan([CLEAR], plan="ladder", additions=(Addition("Cobalt carbonate", levels),))
    assert len(plan([CLEAR], plan="ladder", additions=(Addition("Silica", (3.0,)),)).points) == 4


@pytest.mark.parametrize("asked", [
    {"plan": "circle"}, {"plan": "triaxial"}, {"plan": "line", "size": (1,)}, {"plan": "line", "size": (9999,)},
    {"plan": "line", "additions": (Addition("Silica"),)}, {"plan": "line", "choose": 99},
    {"plan": "line", "gravities": (1.5, 1.5, 1.5)}, {"plan": "line", "gravities": (3.0,)},
    {"plan": "line", "size": (3, 4)}, {"plan": "line", "size": (151,)}, {"plan": "line", "size": (151,), "choose": 37},
])  # fmt: skip
def test_what_cannot_be_planned_is_said(asked):
    with pytest.raises(ProblemsError):
        plan([CLEAR, SODA], **asked)


def test_a_plan_too_large_to_make_can_be_chosen_from():
    with pytest.raises(ProblemsError, match="300 tiles are more") as raised:
        plan([CLEAR, SODA], plan="line", size=(300,))
    assert "--choose" in raised.value.problems[0].hint
    assert len(plan([CLEAR, SODA], plan="line", size=(300,), choose=4).points) == 4


def test_a_tile_is_judged_by_its_own_cards() -> None:
    """The pure end is that card; between two cards of other cones neither is `the card`."""
    low = SODA.model_copy(update={"cone": ConeRange(low=Cone("05"), high=Cone("05"))})
    found = plan([low, CLEAR], setting=replace(SETTING, cone=Cone("05")), plan="line", size=(3,))
    ends = [found.points[0], found.points[-1]]
    for end, own in zip(ends, (low, CLEAR), strict=True):
        assert end.check.recipe.cone == own.cone
        alone = check(own, SHELF, replace(SETTING, cone=Cone("05")))
        assert _melts(end.check) == _melts(alone)
    between = found.points[1].check.recipe.cone
    assert between is not None and between.cards == ("05", "6")
    assert [r.recipe.cone for r in tile_records(found)][::2] == ["05", "6"]
    told = " ".join(tiles_text(found, UnitChoice(), full=True).split())
    assert "card says cone 05 to 6" not in told


def test_between_two_cards_both_cones_are_named() -> None:
    stated = common_cone([CLEAR.model_copy(update={"cone": ConeRange(low=Cone("05"), high=Cone("05"))}), CLEAR])
    runs = Chances(underfired=0.0, matures=0.01, runs=0.99, cones="cone 06")
    for cone in ("03", "10"):
        message = judge_melting(stated, Cone(cone), runs).message
        assert "two cards say cone 05 and cone 6" in message and "card says" not in message, message
    assert str(common_cone([CLEAR, SODA])) == "6" and common_cone([CLEAR, SODA]) == SIX


def _melts(result):
    return next(v.message for v in result.verdicts if v.rule == "melts")
