"""What a potter reads of a kiln and a firing: chosen units throughout, no figure above the rating, no false digits."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from glazecalc.jobs.ceiling import ceiling
from glazecalc.jobs.firing import FiringWish, plan_firing
from glazecalc.jobs.kiln import check_kiln
from glazecalc.jobs.learn_kiln import learn_kiln
from glazecalc.jobs.setup import Setup
from glazecalc.models.cones import temperature_degC
from glazecalc.render.text.firing import firing_text
from glazecalc.render.text.kiln import kiln_learned_text, kiln_text
from glazecalc.values.answers import Basis, Estimate
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Circuit, Interior, Kiln, Room, UnitChoice
from glazecalc.values.records import FiringRecord, Reading
from glazecalc.values.results.kiln import KilnReport, Release

US = UnitChoice(temperature="F", mass="oz", length="in", volume="fl oz")
KILN = Kiln(
    name="Shed kiln", volts=120.0, amps=15.0, cone=Cone("8"), shelves=1, firings_on_elements=20, wall_mm=64.0,
    interior=Interior(shape="octagon", width_mm=290.0, height_mm=230.0), plug="5-20P",
)  # fmt: skip
OUTLET = Circuit(
    name="Shed outlet", volts=120.0, breaker_A=20.0, receptacle="5-20R", wire_awg=12, length_m=12.0, other_load_A=0.0,
    cord="none", ground_fault="no",
)  # fmt: skip
ROOM = Room(name="Shed", volume_m3=18.0, exhaust_m3_per_h=150.0, floor="concrete", separate=True, clearance_mm=460.0)


def asked(**changes: Any) -> KilnReport:
    fields: dict[str, Any] = {"kiln": KILN, "circuits": (OUTLET,), "circuit": OUTLET, "cone": Cone("6"), "room": ROOM}
    return check_kiln(Setup(**{**fields, **changes}))


def words(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize(("amps", "breaker", "over"), [(15.0, 20.0, False), (15.0, 15.0, True), (18.0, 15.0, True)])
def test_a_bar_shows_the_load_against_what_the_circuit_carries(amps: float, breaker: float, over: bool) -> None:
    """80 % of the breaker for hours: past the mark where the kiln draws more, and none where the amps are not known."""
    outlet = OUTLET.model_copy(update={"breaker_A": breaker})
    told = kiln_text(
        asked(kiln=KILN.model_copy(update={"amps": amps}), circuits=(outlet,), circuit=outlet), UnitChoice()
    )
    bar = re.search(r"0 \[(.*)\] (\d+) A \(! is the most for hours\)", told)
    assert bar is not None
    assert float(bar[2]) == max(amps, breaker)
    assert (bar[1].index("|") > bar[1].index("!")) == over
    bare = KILN.model_copy(update={"amps": None, "watts": None})
    assert "the most for hours" not in kiln_text(asked(kiln=bare), UnitChoice())


def test_every_figure_of_the_place_is_in_the_chosen_units() -> None:
    """150 m3/h are 88.3 cubic feet a minute (28.317 L each); 460 mm are 18.1 in; 20 K of warming are 36 degF."""
    told = words(kiln_text(asked(units=US), US))
    assert "18.1 in free" in told
    assert "asks for 18 in" in told
    assert "88 cubic feet of air a minute" in told
    assert re.search(r"warm by up to about \d+ .F \(\d+ .C\)", told)
    assert re.search(r"air warms by up to \d+ .F \(\d+ .C\); \d+ .F", told)
    assert "mostly 842 to 1202 \N{DEGREE SIGN}F (450 to 650 \N{DEGREE SIGN}C)" in told
    assert "until 212 \N{DEGREE SIGN}F (100 \N{DEGREE SIGN}C)" in told
    assert not re.search(r"\d K\b|\d mm\b|m3", told)
    assert "\N{DEGREE SIGN}C" not in re.sub(r"\(.*?\)", "", told)
    metric = words(kiln_text(asked(), UnitChoice()))
    assert "460 mm free" in metric
    assert "asks for 457 mm" in metric
    assert "150 m3 of air an hour" in metric
    assert not re.search(r"\d K\b|\d in\b|cubic feet", metric)


def test_a_tape_decides_no_finer_than_it_reads() -> None:
    """Eighteen inches are 457.2 mm; who wrote 457 has them."""
    for free, word in ((457.0, "clearance_kept"), (450.0, "clearance_too_small"), (152.4, "clearance_too_small")):
        place = asked(room=ROOM.model_copy(update={"clearance_mm": free}), units=US).place
        assert place is not None
        assert word in {r.code for r in place.reasons}
    assert "6 in free" in " ".join(r.message for r in place.reasons)


@pytest.mark.parametrize("kind", ["glaze", "bisque", "slow-cooled", "once-fired"])
def test_a_firing_in_degF_leaves_no_bare_degC(kind: Any) -> None:
    for kiln in (KILN, KILN.model_copy(update={"control": "switch"})):
        told = words(firing_text(plan_firing(FiringWish(kind, Cone("6"), wall_mm=13.0), Setup(kiln=kiln)), US))
        assert "\N{DEGREE SIGN}C" not in re.sub(r"\(.*?\)", "", told)
        assert "wall of 0.51 in (13 mm)" in told
        for fahrenheit, celsius in re.findall(r"(\d+) .F \((\d+) .C\)", told):
            f, c = int(fahrenheit), int(celsius)
            assert abs(f - (1.8 * c + 32)) <= 1.5 or abs(f - 1.8 * c) <= 1.5, "a temperature or a difference"


def test_one_figure_where_the_recipe_tells_the_gas_exactly() -> None:
    report = asked()
    assert report.place is not None
    gases = (("water", 7.53, 7.531), ("carbon dioxide", 100.1, 100.1), ("sulphur dioxide", 1.0, 18.0))
    made = tuple(Release(gas, high, low, high, "glaze", 450.0, 650.0, "mind", "s") for gas, low, high in gases)
    told = words(kiln_text(replace(report, place=replace(report.place, releases=made)), UnitChoice()))
    assert "water about 7.5 g" in told
    assert "carbon dioxide about 100 g" in told
    assert "sulphur dioxide 1 to 18 g" in told


def test_a_ceiling_above_the_stall_is_explained() -> None:
    report = asked()
    assert report.ceiling is not None
    low = Estimate("stall_temperature", 1231.0, 1200.0, 1260.0, "degC", Basis.LEARNED)
    capped = Estimate("kiln_ceiling", 1247.0, 1220.0, 1247.0, "degC", Basis.LEARNED)
    hot = replace(report.ceiling, estimate=capped, stall=low, cone=Cone("8"))
    told = words(kiln_text(replace(report, ceiling=hot), UnitChoice()))
    assert (
        "cone 8 by long heat: 12 h work like a peak of 1247 \N{DEGREE SIGN}C (2277 \N{DEGREE SIGN}F), though it levels off near 1231 \N{DEGREE SIGN}C"
        in told
    )
    assert "by long heat" not in words(kiln_text(report, UnitChoice())), "where it stalls above, nothing is to explain"


@pytest.mark.parametrize(
    ("low", "value", "high", "told"),
    [
        (
            1250.0,
            1300.0,
            1300.0,
            "levels off hotter than its elements can stand; from 1250 \N{DEGREE SIGN}C (2282 \N{DEGREE SIGN}F) up",
        ),
        (1300.0, 1300.0, 1300.0, "levels off hotter than its elements can stand"),
        (
            1200.0,
            1240.0,
            1300.0,
            "levels off about 1240 \N{DEGREE SIGN}C (2264 \N{DEGREE SIGN}F); 1200 \N{DEGREE SIGN}C (2192 \N{DEGREE SIGN}F) to hotter than its elements can stand",
        ),
    ],
)
def test_no_figure_is_told_that_no_element_bears(low: float, value: float, high: float, told: str) -> None:
    """Elements of iron, chromium and aluminium are for kilns of at most about 1300 degC (from memory)."""
    report = asked()
    assert report.ceiling is not None
    cut = ("beyond 1300 degC it is hotter than its elements can stand, and no figure is given",)
    stall = Estimate("stall_temperature", value, low, high, "degC", Basis.MODEL, (), cut)
    text = words(kiln_text(replace(report, ceiling=replace(report.ceiling, stall=stall)), UnitChoice()))
    assert told in text
    assert "1300 \N{DEGREE SIGN}C (2372 \N{DEGREE SIGN}F); " not in text


def test_a_strong_kiln_stalls_beyond_what_its_elements_bear() -> None:
    """The losses of a small kiln hardly catch up with 9 kW (computed); its elements would be gone long before."""
    strong = Kiln(name="Strong", volts=240.0, watts=9000.0, cone=Cone("6"), firings_on_elements=0,
                  interior=Interior(shape="octagon", width_mm=400.0, height_mm=400.0))  # fmt: skip
    hot = ceiling(strong)
    assert hot is not None
    assert hot.stall is not None
    assert hot.stall.low <= hot.stall.value <= hot.stall.high <= 1300.0
    assert any("hotter than its elements can stand" in c for c in hot.stall.caveats)


def test_no_figure_is_above_the_rating() -> None:
    """An uncertain ceiling was once rounded up to whole tens, past the cone the maker rates the kiln for."""
    rated = temperature_degC(Cone("8"), 60.0)
    degC = (20, 120, 400, 680, 900, 1040, 1125, 1185, 1225)
    fired = FiringRecord(id="F1", kiln="Shed kiln", hours=8.0, volts=118.0, on_elements=20,
                         readings=tuple(Reading(float(h), float(t)) for h, t in enumerate(degC)))  # fmt: skip
    for units, scale in ((UnitChoice(), "\N{DEGREE SIGN}C"), (US, "\N{DEGREE SIGN}F")):
        told = words(kiln_learned_text(learn_kiln(KILN, [fired], OUTLET), units))
        most = rated if units.temperature == "C" else 1.8 * rated + 32
        lines = re.findall(r"ceiling (?:before|now) (.*?), (?:learned|from the plate)", told)
        assert len(lines) == 2
        for line in lines:
            figures = [int(x) for x in re.findall(rf"(\d+) {scale}", line)]
            assert figures
            assert max(figures) <= round(most)
