"""A glaze to begin with: the base that `check` itself judges best, from this shelf, or none."""

from __future__ import annotations

import pytest

from glazecalc import api
from glazecalc.jobs.first import BATCH_G, bases
from glazecalc.jobs.materials import poisonous
from glazecalc.values.answers import Answer
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, Circuit, Defaults, Kiln, Material, OxideAmount, Scale, Studio

USUAL = (
    "Silica", "Kaolin", "Potash feldspar", "Soda feldspar", "Nepheline syenite", "Whiting", "Dolomite", "Talc",
    "Zinc oxide", "Colemanite", "Frit, high-calcium borosilicate", "Frit, soda-lime borosilicate", "Spodumene",
)  # fmt: skip
SCALE = Scale(resolution_g=0.1, capacity_g=1000)


def studio(ware: str = "stoneware", low: str = "5", high: str = "10", **more: object) -> Studio:
    clay = Body(name="Clay", ware=ware, cone_low=Cone(low), cone_high=Cone(high))  # type: ignore[arg-type]
    stock = tuple((name, 5000.0) for name in USUAL)
    return Studio(**{"folder": "/nowhere", "bodies": (clay,), "scales": (SCALE,), "stock": stock} | more)  # type: ignore[arg-type]


def verdict(result: api.CheckResult, rule: str) -> Answer:
    return next(v.answer for v in result.verdicts if v.rule == rule)


@pytest.mark.parametrize("base", bases(), ids=lambda b: b.recipe.name)
def test_a_base_is_of_known_harmless_materials_and_adds_up(base) -> None:
    shelf = api.shelf()
    assert base.recipe.base_total == 100
    found = [shelf.find(line.material) for line in base.recipe.lines]
    assert all(m is not None and not poisonous(m) for m in found)
    assert len({m.name for m in found if m}) == len(found) and base.looks


@pytest.mark.parametrize("base", bases(), ids=lambda b: b.recipe.name)
def test_a_base_matures_at_the_cones_it_states(base) -> None:
    for cone in (base.recipe.cone.low, base.recipe.cone.high):
        result = api.check(base.recipe, studio(), cone=cone.name)
        assert verdict(result, "melts") is Answer.FITS, (cone, result.sentence)


@pytest.mark.parametrize(("ware", "low", "high", "cone"), [
    ("earthenware", "06", "03", "06"), ("earthenware", "06", "03", "04"), ("terracotta", "06", "02", "04"),
    ("stoneware", "5", "10", "6"), ("porcelain", "5", "10", "6"), ("stoneware", "5", "10", "8"),
    ("stoneware", "5", "10", "10"), ("porcelain", "5", "10", "10"),
])  # fmt: skip
def test_every_ordinary_clay_finds_one_that_melts_and_is_not_against_it(
    ware: str, low: str, high: str, cone: str
) -> None:
    found = api.first(studio(ware, low, high), cone=cone)
    assert found.chosen is not None and not found.chosen.missing
    assert verdict(found.chosen.check, "fit") is Answer.FITS, found.sentence
    assert verdict(found.chosen.check, "melts") is Answer.FITS
    # No other on the shelf is judged better by `check`.
    mine = [v.answer for v in found.chosen.check.verdicts]
    rivals = [c for c in found.others if not c.missing and [v.answer for v in c.check.verdicts] == mine]
    assert all((c.sound or 0) <= (found.chosen.sound or 0) for c in rivals)


def test_the_batch_is_100_g_on_the_scale_and_does_for_four_tiles() -> None:
    found = api.first(studio(), cone="6")
    assert found.batch is not None and found.batch.dry_g == BATCH_G == 100
    assert sum(line.scale_g for line in found.batch.lines) == pytest.approx(100, abs=0.5)
    assert len(found.tiles) == 4 and 10 < sum(tile.dry_g for tile in found.tiles) < BATCH_G / 2
    thin, usual, thick, cool = (tile.coat_mm for tile in found.tiles)
    assert thin < usual == cool < thick
    assert any("lung" in caution for caution in found.cautions)


def test_only_what_is_on_the_shelf_is_taken_where_it_will_do() -> None:
    without = studio(stock=tuple((n, 5000.0) for n in USUAL if n not in ("Talc", "Spodumene")))
    found = api.first(without, cone="6")
    assert found.chosen is not None and not found.chosen.missing
    assert "Talc" not in [line.material for line in found.chosen.recipe.lines]
    nothing = api.first(studio(stock=(("Silica", 5000.0),)), cone="6")
    assert nothing.chosen is not None and "Kaolin" in nothing.chosen.missing and "Not on the shelf" in nothing.sentence


def test_a_jar_that_is_almost_empty_is_not_on_the_shelf() -> None:
    stock = tuple((n, 2.0 if n == "Kaolin" else 5000.0) for n in USUAL)
    found = api.first(studio(stock=stock), cone="6")
    assert found.chosen is not None and "Kaolin" in found.chosen.missing


def test_what_nobody_weighed_is_there() -> None:
    from glazecalc.files.studio import NOT_WEIGHED_G

    found = api.first(studio(stock=tuple((n, NOT_WEIGHED_G) for n in USUAL)), cone="6")
    assert found.chosen is not None and not found.chosen.missing


def test_an_own_bag_of_the_same_kind_stands_in() -> None:
    """A bag with nearly the same analysis is taken and judged by its own figures; another kind of clay is not."""
    oxides = tuple(OxideAmount(oxide=o, amount=a) for o, a in (("SiO2", 47.5), ("Al2O3", 37.0), ("Fe2O3", 0.8)))
    own = Material(name="Bag from the shed", analysis=oxides, loi=13.2, family="clay", own=True)
    stock = (*((n, 5000.0) for n in USUAL if n != "Kaolin"), ("Bag from the shed", 5000.0))
    found = api.first(studio(stock=stock, materials=(own,)), cone="6")
    assert found.chosen is not None and not found.chosen.missing
    assert "Bag from the shed" in [line.material for line in found.chosen.recipe.lines]
    red = (*((n, 5000.0) for n in USUAL if n != "Kaolin"), ("Red clay", 5000.0))
    other = api.first(studio(stock=red), cone="6").chosen
    assert other is not None and "Kaolin" in other.missing


KILN = Kiln(name="Small", volts=120.0, amps=15.0, watts=1800.0, cone=Cone("04"))
WALL = Circuit(name="Wall", volts=120.0, breaker_A=20.0, receptacle="5-20R", cord="none")


def test_a_kiln_that_does_not_get_there_lowers_the_cone_or_says_no() -> None:
    usual = Defaults(body="Clay", kiln="Small", circuit="Wall", cone=Cone("6"))
    low = studio("earthenware", "06", "6", kilns=(KILN,), circuits=(WALL,), defaults=usual)
    found = api.first(low)
    lower = next(p for p in found.problems if p.code == "aimed-lower")
    assert Cone(found.cone) <= Cone("04") and lower.message == f"Small does not surely reach cone 6: cone {found.cone} counts, which it does"
    high = studio("stoneware", "5", "10", kilns=(KILN,), circuits=(WALL,), defaults=usual)
    found = api.first(high)
    assert (found.answer, found.chosen, found.batch, found.tiles) == (Answer.DOES_NOT_FIT, None, None, ())
    assert found.sentence.startswith("None of the") and "kiln" in found.sentence and found.next_steps


def test_without_a_clay_or_without_its_cone_it_is_said() -> None:
    with pytest.raises(api.ProblemsError) as stop:
        api.first(Studio(folder="/nowhere"))
    assert stop.value.problems[0].code == "no-cone"
    found = api.first(Studio(folder="/nowhere"), cone="6")
    assert found.answer is Answer.CANNOT_SAY and found.chosen is not None
    bare = Studio(folder="/nowhere", bodies=(Body(name="Clay", ware="earthenware"),))
    found = api.first(bare)
    assert found.cone == "04" and "first-cone" in {p.code for p in found.problems}


def test_the_four_tiles_are_thin_usual_thick_and_one_where_the_kiln_is_coolest() -> None:
    thin, usual, thick, cool = api.first(studio(), cone="6").tiles
    assert [t.coat_mm / usual.coat_mm for t in (thin, usual, thick, cool)] == pytest.approx([0.5, 1.0, 1.5, 1.0])
    assert [t.dry_g / usual.dry_g for t in (thin, usual, thick, cool)] == pytest.approx([0.5, 1.0, 1.5, 1.0])
    assert [t.number for t in (thin, usual, thick, cool)] == [1, 2, 3, 4] and "coolest" in cool.place and "thin" in thin.tells and "dish" in thick.place
