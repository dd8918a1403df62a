"""Kilns of ordinary plates: hours to the rating, what is left beyond it, the answer by the rating, energy."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest

from glazecalc.jobs.ceiling import ceiling
from glazecalc.jobs.firing import plan_firing
from glazecalc.jobs.firing_follow import FiringWish, Plan, energy_estimates, find_way, run_kiln
from glazecalc.jobs.learn_kiln import learn_kiln
from glazecalc.jobs.reach import reach_verdict
from glazecalc.jobs.setup import Setup
from glazecalc.models.cones import rated_cone, temperature_degC
from glazecalc.models.kiln import loss_for_stall
from glazecalc.models.kiln_reach import KilnDraws, draws_from_plate, rated_degC, reach, supply_share, weighted_quantile
from glazecalc.values.answers import Answer, Estimate
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Interior, Kiln, Limits
from glazecalc.values.records import FiringRecord, Reading, WitnessCone


def kiln(volts: float, watts: float, inside: tuple[Any, ...], wall: float, rated: str, brick: str = "brick 23") -> Kiln:
    """A kiln with new elements; ``inside`` is shape, width, height and for a box depth [mm]; ``rated`` a cone or degC."""
    shape, width, height, *depth = inside
    limit: dict[str, Any] = {"max_degC": float(rated[:-1])} if rated.endswith("C") else {"cone": Cone(rated)}
    return Kiln(
        name="k", volts=volts, watts=watts, wall_mm=wall, firings_on_elements=0, insulation=brick, shelves=2,
        interior=Interior(shape=shape, width_mm=width, height_mm=height, depth_mm=depth[0] if depth else None),
        **limit,
    )  # fmt: skip


OCTAGON_17 = ("octagon", 445, 455)
BRICK = {
    "8 in cube, 12 A at 120 V": (kiln(120, 1440, ("square", 203, 203), 64, "6"), "4"),
    "8 in cube, 15 A at 120 V": (kiln(120, 1800, ("square", 203, 203), 64, "10"), "8"),
    "14.5 L, 15 A at 120 V": (kiln(120, 1800, ("octagon", 290, 230), 64, "8"), "6"),
    "14 in wide, 16 A at 120 V": (kiln(120, 1920, ("octagon", 356, 229), 64, "04"), "06"),
    "17 in, 30 A circuit": (kiln(240, 5760, OCTAGON_17, 64, "8"), "6"),
    "17 in, 27 A": (kiln(240, 6480, OCTAGON_17, 76, "10"), "8"),
    "23 in by 22 in, 40 A": (kiln(240, 9600, ("decagon", 584, 571), 76, "10"), "8"),
    "23 in by 27 in, 48 A, 7 cubic feet": (kiln(240, 11520, ("decagon", 584, 686), 76, "10"), "8"),
    "28 in by 27 in, 48 A": (kiln(240, 11520, ("decagon", 711, 686), 76, "10"), "8"),
    "large top-loader, 80 A at 208 V": (kiln(208, 16640, ("round", 711, 1000), 76, "6"), "4"),
    "20 L front-loader, 13 A at 230 V": (kiln(230, 2990, ("box", 260, 300, 260), 90, "1250C", "brick 26"), "6"),
    "40 L front-loader, 16 A at 230 V": (
        kiln(230, 3680, ("box", 330, 380, 330), 100, "1280C", "brick with backing"), "7"
    ),
}  # fmt: skip
"""Volts and watts such as plates give (1440, 1800 and 1920 W are limits of 120 V circuits; 230 V kilns take 13 to 16 A and
begin at 20 L; 9.6, 11.52 and 16.64 kW are what circuits of 50, 60 and, at 208 V, 100 A carry for hours); ratings,
measures and walls are common practice, no source."""
KILNS = {**BRICK, "fibre muffle, 12.5 A at 120 V": (kiln(120, 1500, ("box", 200, 165, 200), 50, "1150C", "fibre"), "1")}


def hours_to_rating(rated: Kiln) -> tuple[KilnDraws, np.ndarray]:
    cone = rated_cone(rated)
    assert cone is not None
    draws = draws_from_plate(rated)
    return draws, np.nan_to_num(reach(draws, 1.0, 16.0).cone_hours[:, cone.position], nan=99.0)


@pytest.mark.parametrize("name", BRICK)
def test_new_elements_reach_the_rating_in_a_day_s_firing(name: str) -> None:
    """Common practice, no source: three to twelve hours at full power."""
    draws, hours = hours_to_rating(BRICK[name][0])
    low, middle, high = (weighted_quantile(hours, draws.weights, p) for p in (0.05, 0.5, 0.95))
    assert low > 2.7
    assert 3.5 < middle < 8.0
    assert high < 12.0
    assert float(draws.weights @ ((hours >= 3.0) & (hours <= 12.0))) > 0.85


def test_nearly_all_likely_kilns_take_three_to_twelve_hours() -> None:
    shares = []
    for rated, _ in BRICK.values():
        draws, hours = hours_to_rating(rated)
        shares.append(float(draws.weights @ ((hours >= 3.0) & (hours <= 12.0))))
    assert float(np.mean(shares)) > 0.95


def test_a_fibre_kiln_is_quick_and_gets_to_its_rating() -> None:
    """Fibre stores little heat, so an hour or three; at its own rating it once had one chance in two."""
    rated, _ = KILNS["fibre muffle, 12.5 A at 120 V"]
    draws, hours = hours_to_rating(rated)
    assert weighted_quantile(hours, draws.weights, 0.05) > 1.0
    assert weighted_quantile(hours, draws.weights, 0.95) < 4.0
    cone = rated_cone(rated)
    assert cone is not None
    assert reach(draws, supply_share(draws, None, None)).chance(cone) > 0.9


@pytest.mark.parametrize("name", KILNS)
def test_none_goes_far_beyond_its_rating(name: str) -> None:
    """A tenth more resistance on a line 5 % low leaves 82 % of the power (P = V2/R): new elements have about a fifth to a
    half in hand at the rating, hardly ever as much again."""
    rated = KILNS[name][0]
    cone = rated_cone(rated)
    assert cone is not None
    draws = draws_from_plate(rated)
    model = draws.model(load=0.5, new=True)
    in_hand = loss_for_stall(model, np.asarray(rated_degC(cone))) / model.spread_m
    low, middle, high = (weighted_quantile(in_hand, draws.weights, p) for p in (0.05, 0.5, 0.95))
    assert low > 0.95
    assert 1.15 < middle < 1.55
    assert high < 2.05


@pytest.mark.parametrize("name", KILNS)
def test_a_rated_kiln_keeps_its_answer(name: str) -> None:
    """Two cones below its rating yes, above it no, and without one never yes (common practice, no source)."""
    rated, cone = KILNS[name]
    bare = rated.model_copy(update={"cone": None, "max_degC": None})
    assert reach_verdict(rated, None, Cone(cone), ceiling(rated), Limits()).answer is Answer.FITS
    assert reach_verdict(rated, None, Cone("11"), ceiling(rated), Limits()).answer is Answer.DOES_NOT_FIT
    assert reach_verdict(bare, None, Cone(cone), ceiling(bare), Limits()).answer is Answer.CANNOT_SAY


SHAPES = [
    (120, 750, ("round", 150, 120)), (120, 1440, ("square", 152, 152)), (120, 1800, ("square", 152, 152)),
    (120, 1440, ("square", 203, 203)), (120, 1800, ("octagon", 290, 230)), (120, 1920, ("octagon", 356, 229)),
    (120, 1800, ("box", 200, 165, 200)), (240, 3600, ("octagon", 356, 343)), (240, 5760, OCTAGON_17),
    (240, 6480, OCTAGON_17), (240, 9000, ("octagon", 400, 400)), (240, 9600, ("decagon", 584, 571)),
    (240, 11520, ("decagon", 711, 686)), (208, 16640, ("round", 711, 1000)), (230, 2990, ("box", 260, 300, 260)),
    (230, 3680, ("box", 330, 380, 330)), (400, 11000, ("box", 450, 610, 530)), (240, 11520, ("dodecagon", 584, 686)),
]  # fmt: skip


@pytest.mark.parametrize(("volts", "watts", "inside"), SHAPES)
def test_no_rating_no_yes_and_no_ceiling_above_cone_ten(volts: float, watts: float, inside: tuple[Any, ...]) -> None:
    """Elements, brick and insulation limit a kiln, and small ones are seldom made for more than cone 10 (common practice,
    no source)."""
    bare = kiln(volts, watts, inside, 64, "6").model_copy(update={"cone": None, "insulation": None})
    hot = ceiling(bare)
    assert hot is not None
    assert hot.estimate.high <= temperature_degC(Cone("10"), 60.0) + 1.0
    assert hot.cone is None or hot.cone <= Cone("10")
    assert max(c.cone for c in hot.cones) <= Cone("10")
    for cone in ("06", "04", "6", "10"):
        told = reach_verdict(bare, None, Cone(cone), hot, Limits())
        assert told.answer is not Answer.FITS
        assert "hotter" not in told.message
    report = plan_firing(FiringWish("glaze", Cone("6")), Setup(kiln=bare))
    assert report.answer is Answer.CANNOT_SAY
    assert "maker's highest cone" in report.sentence


def test_what_is_learned_of_an_unrated_kiln_names_what_is_missing() -> None:
    """A cone that came down is sure, what lies above it is told as heat alone (common practice, no source)."""
    bare = BRICK["14.5 L, 15 A at 120 V"][0].model_copy(update={"cone": None})
    hot = (20, 450, 690, 850, 970, 1055, 1115, 1160, 1200)
    fired = FiringRecord(id="F1", kiln="k", hours=8.0, volts=118.0, cones=(WitnessCone("5", "down"),),
                         readings=tuple(Reading(float(h), float(t)) for h, t in enumerate(hot)))  # fmt: skip
    told = learn_kiln(bare, [fired], None).sentence
    assert "By heat alone" in told
    assert "cone 5 came down in it, and its maker's rating is not known" in told


def energy(run: Any) -> Estimate:
    return next(e for e in energy_estimates(run, None, "") if e.name == "energy_per_firing")


def fired(rated: Kiln, kind: Any, cone: str, control: str = "controller") -> Any:
    place = Setup(kiln=rated.model_copy(update={"control": control}))
    return find_way(FiringWish(kind, Cone(cone)), place).run


def test_a_slow_bisque_of_a_large_kiln() -> None:
    """About 80 kWh by the meter for a bisque of half a day in some 280 litres (common practice, no source)."""
    run = fired(BRICK["28 in by 27 in, 48 A"][0], "bisque", "04")
    told = energy(run)
    assert 11.0 < float(np.median(run.down_h(Cone("04")))) < 14.0
    assert told.low < 80.0 < told.high
    assert told.value == pytest.approx(80.0, rel=0.12)


def test_a_bisque_after_a_long_preheat() -> None:
    """7 h near 82 degC, then 9 h of bisque, 11.52 kW: half of full power in the firing and 15 % in the preheat (common
    practice, no source)."""
    legs = (Plan(60.0, 82.0, 6.0, ""), Plan(100.0, 600.0, 0.0, ""), Plan(130.0, 960.0, 0.0, ""),
            Plan(60.0, 1062.0, 0.0, "", at_peak=True))  # fmt: skip
    draws = draws_from_plate(BRICK["23 in by 27 in, 48 A, 7 cubic feet"][0])
    told = energy(run_kiln(draws, None, legs).of_raw_ware())
    assert told.low < 11.52 * (7 * 0.15 + 9 * 0.5) < told.high


def test_raw_ware_takes_more_heat_than_fired_ware() -> None:
    """Driving the bound water from kaolinite takes about 0.6 MJ/kg (from memory): for 48 kg of ware, half of it clay
    mineral, some 4 kWh."""
    run = run_kiln(draws_from_plate(BRICK["28 in by 27 in, 48 A"][0]), None, (Plan(150.0, 1000.0, 0.0, ""),))
    assert energy(run.of_raw_ware()).value - energy(run).value == pytest.approx(4.6, abs=1.0)


@pytest.mark.parametrize("name", ["17 in, 27 A", "28 in by 27 in, 48 A"])
def test_the_switch_takes_what_a_plan_of_its_curve_takes(name: str) -> None:
    """A controller led along the curve of a firing by the switch heats the same load and brick, so it takes as much."""
    rated = BRICK[name][0].model_copy(update={"control": "switch"})
    way = find_way(FiringWish("bisque", Cone("04")), Setup(kiln=rated))
    assert way.run is not None
    end = int(np.argmax(way.degC))
    rows = np.unique(np.linspace(0, end, 12).round().astype(int))
    legs = tuple(
        Plan(float((way.degC[j] - way.degC[i]) / (way.hours[j] - way.hours[i])), float(way.degC[j]), 0.0, "")
        for i, j in itertools.pairwise(rows)
    )
    by_switch, planned = energy(way.run), energy(run_kiln(way.run.draws, None, legs).of_raw_ware())
    assert by_switch.value == pytest.approx(planned.value, rel=0.08)
    assert by_switch.low < planned.value < by_switch.high


@pytest.mark.parametrize("name", BRICK)
def test_duty_overlaps_what_is_usual(name: str) -> None:
    """0.5 for a bisque and 0.65 for a glaze to cone 6 (common practice, no source)."""
    rated, cone = BRICK[name]
    found = energy_estimates(fired(rated, "glaze", cone), None, "")
    duty = next(e for e in found if e.name == "duty_factor")
    assert duty.low < 0.65
    assert duty.high > 0.5
