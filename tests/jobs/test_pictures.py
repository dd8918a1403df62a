"""What pictures show is what the models say: zones in order, cones by the chart, heating below the maker's limit."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from glazecalc.files.card import read_recipe
from glazecalc.files.materials import built_in_materials
from glazecalc.files.studio import read_studio
from glazecalc.jobs.check import check
from glazecalc.jobs.learn import evidence, learn
from glazecalc.jobs.materials import Pantry, pantry
from glazecalc.jobs.pictures import (
    cone_ruler,
    expansion_picture,
    heating_picture,
    hours_picture,
    learned_picture,
    silica_alumina,
)
from glazecalc.jobs.setup import Setup, setup_for
from glazecalc.jobs.tiled import learned_body_expansion
from glazecalc.values.answers import Basis, Estimate
from glazecalc.values.cones import Cone
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Body, Recipe, Studio
from glazecalc.values.records import FiringRecord, FrozenRecipe, Reading, TileRecord, TileResult
from glazecalc.values.results.check import CheckResult
from glazecalc.values.results.pictures import Leaning

DEMO = data_root() / "recipes"


@pytest.fixture(scope="module")
def studio() -> Studio:
    return read_studio(DEMO)[0]


@pytest.fixture(scope="module")
def shelf(studio: Studio) -> Pantry:
    return pantry(built_in_materials(), studio.materials)


def card(name: str) -> Recipe:
    found, _ = read_recipe(DEMO / f"{name}.txt")
    assert found is not None
    return found


def checked(name: str, studio: Studio, shelf: Pantry) -> tuple[CheckResult, Setup]:
    setting = setup_for(studio, card(name))
    return check(card(name), shelf, setting), setting


def test_zones_follow_each_other_without_a_gap(studio: Studio, shelf: Pantry) -> None:
    picture = expansion_picture(*checked("shoal-clear", studio, shelf))
    assert picture is not None
    assert all(a.high == b.low for a, b in pairwise(picture.zones))
    order = [z.leaning for z in picture.zones]
    # common practice, no source: the less a glaze shrinks the likelier it shivers, the more the likelier it crazes
    assert order == [Leaning.SHIVERS, Leaning.DOUBTFUL, Leaning.SOUND, Leaning.DOUBTFUL, Leaning.CRAZES]
    sound = next(z for z in picture.zones if z.leaning is Leaning.SOUND)
    assert sound.high < picture.clay.value, "a sound glaze shrinks less than its clay (common practice, no source)"


def test_glaze_and_clay_are_compared_over_one_range(studio: Studio, shelf: Pantry) -> None:
    result, setting = checked("shoal-clear", studio, shelf)
    picture = expansion_picture(result, setting)
    glaze = result.estimate("expansion_on_ware")
    assert picture is not None and glaze is not None
    caveats = (*picture.glaze.caveats, *picture.clay.caveats)
    spans = {c.split(",")[0] for c in caveats if c.startswith("mean from 20 to")}
    assert len(spans) == 1
    # a glass expands more the hotter it is, below its transition (common practice, no source)
    assert 1.0 < picture.glaze.value / glaze.value < 1.3
    assert picture.glaze.low / picture.glaze.value == pytest.approx(glaze.low / glaze.value)


def test_the_ruler_stands_where_the_published_chart_says(studio: Studio, shelf: Pantry) -> None:
    # Edward Orton Jr. Ceramic Foundation, temperature equivalents, self-supporting cones at 60 degC/h, 2016 sheet
    published = {"06": 998, "04": 1063, "1": 1137, "5": 1186, "6": 1222, "8": 1249, "10": 1285}
    picture = cone_ruler(*checked("shoal-clear", studio, shelf))
    assert picture is not None and picture.asked is not None
    found = {mark.cone: mark.degC for mark in picture.cones}
    assert all(abs(found[cone] - degC) <= 6 for cone, degC in published.items())
    assert picture.asked.cone == "6"
    assert {band.kind for band in picture.bands} == {"glaze", "clay", "kiln"}


def test_the_strip_of_surface_is_left_out_where_its_bands_say_nothing(studio: Studio, shelf: Pantry) -> None:
    """The bands are of porcelain glazes at cone 11: no boron-rich glaze, none of a low cone."""
    picture = silica_alumina(checked("kelp-celadon", studio, shelf)[0])
    assert picture is not None and "porcelain at cone 11" in picture.guide
    assert silica_alumina(checked("shoal-clear", studio, shelf)[0]) is None, "boron-rich"
    result, _ = checked("kelp-celadon", studio, shelf)
    assert silica_alumina(replace(result, cone="04")) is None


def test_heating_stays_below_the_makers_limit(studio: Studio) -> None:
    kiln, circuit = studio.kilns[0], studio.circuits[0]
    picture = heating_picture(kiln, circuit)
    assert picture is not None and picture.limit is not None
    assert all(p.high <= picture.limit.degC + 1e-9 for p in picture.fastest)
    assert all(a.x < b.x and a.value <= b.value + 1e-9 for a, b in pairwise(picture.fastest))
    assert kiln.cone is not None
    assert all(Cone(e.cone) <= kiln.cone for e in picture.cones)
    assert [e.hours for e in picture.cones] == sorted(e.hours for e in picture.cones)


def test_the_last_firing_with_readings_is_shown(studio: Studio) -> None:
    readings = tuple(Reading(at, degC) for at, degC in ((1, 200), (3, 700), (6, 1200)))
    firings = (
        FiringRecord(id="F1", kiln=studio.kilns[0].name, date="2026-01-01", readings=readings[:2], hours=6.0),
        FiringRecord(id="F2", kiln=studio.kilns[0].name, date="2026-01-05", readings=readings, hours=6.5),
        FiringRecord(id="F3", kiln="another", date="2026-02-05", readings=readings, hours=9.0),
    )
    picture = heating_picture(studio.kilns[0], None, None, firings)
    assert picture is not None and [p.degC for p in picture.recorded] == [200, 700, 1200]
    assert "2026-01-05" in picture.recorded_words
    hours = hours_picture(studio.kilns[0], firings)
    assert hours is not None and [f.hours for f in hours.firings] == [6.0, 6.5]


@pytest.mark.parametrize(("last", "wears"), [(6.1, False), (8.0, True)])
def test_longer_and_longer_firings_are_said(studio: Studio, last: float, wears: bool) -> None:
    lengths = (6.0, 6.1, 6.0, 6.2, last, last, last)
    kiln = studio.kilns[0]
    firings = [FiringRecord(kiln=kiln.name, date=f"2026-01-{i:02d}", hours=h) for i, h in enumerate(lengths, 1)]
    picture = hours_picture(kiln, firings)
    assert picture is not None and picture.usual_hours == 6.0
    assert ("% longer" in picture.words) is wears


def test_the_picture_of_a_clay_is_of_what_the_check_and_learn_say() -> None:
    """One clay known only by its class, with what its own recipe suggests: the three tell the same."""
    body = Body(name="Pale", ware="stoneware", cone_low=Cone("5"), cone_high=Cone("7"))
    moles = (("SiO2", 0.70), ("Al2O3", 0.08), ("CaO", 0.16), ("K2O", 0.06))
    tiles = tuple(
        TileRecord(id=id_, recipe=FrozenRecipe("Clear", moles=moles), body="Pale", results=(result,), after_test="boil")
        for id_, result in (("AAA", TileResult.CRAZED_AT_ONCE), ("AAB", TileResult.CRAZED), ("AAC", TileResult.SOUND))
    )
    reasoned = Estimate("body_expansion", 5.0, 4.6, 5.4, "1e-6/K", Basis.MODEL)
    picture = learned_picture(body, tiles, Cone("6"), reasoned)
    used, _ = evidence(tiles, "Pale", Cone("6"))
    told = learn(body, used, Cone("6"), reasoned)
    assert picture is not None
    assert picture.posterior == learned_body_expansion(body, tiles, Cone("6"), reasoned)
    for mine, its in ((picture.prior, told.prior), (picture.posterior, told.posterior)):
        assert (mine.low, mine.value, mine.high) == pytest.approx((its.low, its.value, its.high), abs=1e-9)
    step = told.thetas[1] - told.thetas[0]
    assert picture.posterior_density == pytest.approx([w / step for w in told.curve], abs=1e-9)
    assert sum(picture.prior_density) * step == pytest.approx(1.0)
    assert len(picture.tiles) == 3
