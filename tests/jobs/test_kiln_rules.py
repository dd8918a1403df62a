"""Reach, wear and place judged on values alone."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from glazecalc.jobs.learn_kiln import judge_wear
from glazecalc.jobs.reach import reach_verdict
from glazecalc.jobs.room import HAZARD_CAUTIONS, STANDING_CAUTIONS, place_reasons
from glazecalc.values.answers import Answer, Basis, Estimate, Verdict
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Kiln, Limits, Room
from glazecalc.values.results.kiln import Ceiling, ConeReach


def ceiling(basis: Basis = Basis.MODEL) -> Estimate:
    return Estimate("kiln_ceiling", 1240.0, 1180.0, 1247.0, "degC", basis)


def judge_reach(
    name: str, rated: Cone | None, cone: Cone | None, estimate: Estimate | None, hottest: Cone | None = None,
    chance: float | None = None, misfit: bool = False, folder: str = ".",
) -> Verdict:  # fmt: skip
    """The verdict for a kiln of that rating whose ceiling and chance of the cone are these."""
    cones = () if cone is None or chance is None else (ConeReach(cone, chance, None),)
    hot = None if estimate is None else Ceiling(estimate, hottest, None, None, cones=cones, misfit=9.0 * misfit)
    return reach_verdict(Kiln(name=name, cone=rated), None, cone, hot, Limits(), folder)


@pytest.mark.parametrize(
    ("chance", "answer"),
    [
        (0.95, Answer.FITS),
        (0.8, Answer.FITS),
        (0.79, Answer.CANNOT_SAY),
        (0.5, Answer.CANNOT_SAY),
        (0.49, Answer.DOES_NOT_FIT),
    ],
)
def test_the_odds_decide(chance: float, answer: Answer) -> None:
    verdict = judge_reach("k", Cone("8"), Cone("6"), ceiling(), Cone("7"), chance)
    assert verdict.answer is answer
    assert f"about {100 * chance:.0f} %" in verdict.message


def test_the_maker_is_never_overruled() -> None:
    verdict = judge_reach("k", Cone("6"), Cone("8"), ceiling(Basis.LEARNED), Cone("7"), 1.0)
    assert verdict.answer is Answer.DOES_NOT_FIT


def test_rated_exactly_at_the_cone_is_a_warning() -> None:
    verdict = judge_reach("k", Cone("6"), Cone("6"), ceiling(), Cone("6"), 0.9)
    assert verdict.answer is Answer.FITS
    assert "Warning" in verdict.message
    assert "rated exactly" in verdict.message
    by_plate = judge_reach("k", Cone("6"), Cone("6"), None)
    assert by_plate.answer is Answer.CANNOT_SAY


def test_without_a_model_the_plate_speaks_and_extrapolation_never_decides() -> None:
    assert judge_reach("k", Cone("8"), Cone("6"), None).answer is Answer.FITS
    assert judge_reach("k", None, Cone("6"), None).answer is Answer.CANNOT_SAY
    assert judge_reach("k", Cone("8"), None, ceiling(), Cone("7"), 1.0).answer is Answer.CANNOT_SAY
    far = judge_reach("k", None, Cone("6"), ceiling(Basis.EXTRAPOLATED), Cone("7"), 1.0)
    assert far.answer is Answer.CANNOT_SAY
    for chance in (0.1, 0.99):
        strange = judge_reach("k", Cone("8"), Cone("6"), ceiling(Basis.LEARNED), Cone("8"), chance, misfit=True)
        assert strange.answer is Answer.CANNOT_SAY
        assert "hardly look like it" in strange.message
    assert "recorded firings" in judge_reach("k", Cone("8"), Cone("6"), ceiling(Basis.LEARNED), Cone("8"), 0.99).message


@pytest.mark.parametrize(
    ("rated", "cone", "hottest", "told"),
    [
        ("6", "5", "6", "Its rating, cone 6, is the next whole cone up."),
        ("5.5", "5", "5.5", "Its rating, cone 5.5, is less than a cone up."),
        ("8", "6", "8", "could go 2 cones hotter"),
        ("10", "5", "7", "could go 2 cones hotter"),
        ("10", "5", "6", "could go 1 cone hotter"),
        ("8", "04", "8", "could go 11 cones hotter"),
    ],
)
def test_headroom_is_counted_in_whole_cones(rated: str, cone: str, hottest: str, told: str) -> None:
    """03 02 01 1 2 3 4 5 6 7 8 are eleven above 04: half cones are no step of the series (facts of the trade)."""
    verdict = judge_reach("k", Cone(rated), Cone(cone), ceiling(), Cone(hottest), 0.95)
    assert told in verdict.message


def test_nothing_is_left_where_the_ceiling_is_no_whole_cone_above() -> None:
    told = judge_reach("k", Cone("8"), Cone("5"), ceiling(), Cone("5.5"), 0.95).message
    assert "hotter" not in told
    assert "rating" not in told


def test_by_the_plate_half_cones_do_not_count_either() -> None:
    assert "cone 6, 1 above cone 5." in judge_reach("k", Cone("6"), Cone("5"), None).message


def test_the_command_names_kiln_and_studio() -> None:
    verdict = judge_reach("Shed kiln", None, Cone("6"), ceiling(), None, 0.9, misfit=True, folder="my studio")
    assert '(glazecalc learn --kiln "Shed kiln" --studio "my studio").' in verdict.message


def test_wear_shows_in_the_hours() -> None:
    steady = judge_wear([6.0, 6.2, 5.9, 6.1, 6.0])
    creeping = judge_wear([6.0, 6.3, 6.5, 6.9, 7.3, 7.6])
    jumpy = judge_wear([6.0, 9.0, 5.0, 8.0, 6.5])
    assert steady.verdict.answer is Answer.FITS
    assert creeping.verdict.answer is Answer.CANNOT_SAY
    assert "unplugged and cold" in creeping.verdict.message
    assert jumpy.verdict.answer is Answer.FITS
    assert judge_wear([6.0, 7.0]).verdict.answer is Answer.NOT_ASKED
    assert judge_wear([6.0] * 5).percent_per_firing == pytest.approx(0.0)


ROOM: dict[str, Any] = {
    "name": "Shed", "volume_m3": 18.0, "exhaust_m3_per_h": 400.0, "floor": "concrete", "separate": True,
    "clearance_mm": 500.0,
}  # fmt: skip


def answers(rise_K: float | None = None, kiln: dict[str, Any] | None = None, **room: Any) -> dict[str, Answer]:
    rise = None if rise_K is None else Estimate("room_temperature_rise", rise_K, rise_K, rise_K, "K", Basis.MODEL)
    reasons = place_reasons(Kiln(name="k", **(kiln or {})), Room(**{**ROOM, **room}), rise)
    return {r.code: r.answer for r in reasons}


def test_a_good_place_has_nothing_against_it() -> None:
    assert set(answers(8.0).values()) == {Answer.FITS}


@pytest.mark.parametrize(
    ("change", "code", "answer"),
    [
        ({"floor": "wooden boards"}, "floor_burns", Answer.DOES_NOT_FIT),
        ({"floor": ""}, "floor_unknown", Answer.CANNOT_SAY),
        ({"separate": False}, "not_separate", Answer.DOES_NOT_FIT),
        ({"separate": None}, "separate_unknown", Answer.CANNOT_SAY),
        ({"exhaust_m3_per_h": None}, "exhaust_unknown", Answer.CANNOT_SAY),
        ({"exhaust_m3_per_h": 0.0}, "no_exhaust", Answer.DOES_NOT_FIT),
        ({"clearance_mm": None}, "clearance_unknown", Answer.CANNOT_SAY),
        ({"clearance_mm": 200.0}, "clearance_too_small", Answer.DOES_NOT_FIT),
    ],
)
def test_what_is_wrong_or_unknown_is_said(change: dict[str, Any], code: str, answer: Answer) -> None:
    assert answers(8.0, **change)[code] is answer


# What floors are made of, and whether it burns: common knowledge, no source.
BURN = (
    "oak boards over joists; wood; carpet; vinyl on concrete; lino; laminate; plywood; parquet; cork tile; a rug; straw bales; hay; foam mat; paper; "
    "cardboard; synthetic fabric; felt; rubber mat; plastic tile; bamboo; sisal; chipboard; fibreboard; MDF; OSB; hardwood; floorboards of softwood"
)  # fmt: skip
DO_NOT = (
    "concrete; bare concrete; Concrete slab, 10 cm thick; polished concrete; sealed smooth concrete; rough grey cement; cement screed over concrete; stone; "
    "old stone flags; quarry tile; glazed ceramic tile on concrete; unglazed terracotta tiles; porcelain tile; clay tile; red brick; fire brick on a concrete base; "
    "concrete blocks; cinder block and cement; solid concrete; slate stone; granite paving stone; marble tile; limestone and sandstone; sand on rammed earth; "
    "gravel over concrete; poured concrete; kiln brick; the new concrete floor of the shed; gray concrete with tile; concrete, 4 in; ground floor of concrete"
)  # fmt: skip


@pytest.mark.parametrize("floor", [f for f in BURN.split("; ") if "boards" not in f or "wood" in f])
def test_a_floor_that_burns_is_refused(floor: str) -> None:
    assert answers(8.0, floor=floor)["floor_burns"] is Answer.DOES_NOT_FIT


@pytest.mark.parametrize("floor", [f for f in DO_NOT.split("; ") if "shed" not in f and "flags" not in f])
def test_a_floor_that_does_not_burn_is_taken(floor: str) -> None:
    assert answers(8.0, floor=floor)["floor_bare"] is Answer.FITS


@pytest.mark.parametrize("floor", ["not concrete", "never concrete", "concrete one day", "something", "floor", "thick", "tatami"])
def test_a_floor_that_is_not_plainly_said_is_not_known(floor: str) -> None:
    assert answers(8.0, floor=floor)["floor_unknown"] is Answer.CANNOT_SAY


def test_the_manual_comes_first_for_clearance() -> None:
    assert answers(8.0, {"clearance_mm": 600.0})["clearance_too_small"] is Answer.DOES_NOT_FIT
    assert answers(8.0, {"clearance_mm": 300.0}, clearance_mm=310.0)["clearance_kept"] is Answer.FITS


def test_a_hot_room_and_no_room() -> None:
    assert answers(45.0)["room_gets_hot"] is Answer.CANNOT_SAY
    none = place_reasons(Kiln(name="k"), None, None)
    assert [r.code for r in none] == ["room_unknown"]


def test_cautions_defer_and_never_promise() -> None:
    told = " ".join((*HAZARD_CAUTIONS, *STANDING_CAUTIONS)).lower()
    for word in ("manual", "local codes", "licensed electrician", "carbon monoxide detector", "vent to the outside"):
        assert word in told
    assert " is safe" not in told


def test_no_rating_no_yes() -> None:
    """Elements, brick and insulation limit a kiln (common practice, no source); watts and size do not tell how far."""
    from dataclasses import replace

    from glazecalc.jobs.kiln import check_kiln
    from glazecalc.jobs.setup import Setup
    from glazecalc.values.cones import Cone
    from glazecalc.values.inputs import Interior, Kiln

    inside = Interior(shape="round", width_mm=290, height_mm=270)
    rated = Kiln(name="k", volts=120, amps=15, cone=Cone("8"), interior=inside)
    asked = Setup(kiln=rated, cone=Cone("6"))
    reach = next(v for v in check_kiln(asked).verdicts if v.rule == "kiln_reaches")
    assert reach.answer is Answer.FITS
    unrated = check_kiln(replace(asked, kiln=rated.model_copy(update={"cone": None})))
    verdict = next(v for v in unrated.verdicts if v.rule == "kiln_reaches")
    assert verdict.answer is Answer.CANNOT_SAY and "maker's highest cone" in verdict.message
    assert unrated.ceiling is not None
    assert max(reach.cone for reach in unrated.ceiling.cones) <= Cone("10")
    assert unrated.ceiling.estimate.high < 1330.0
    for report in (check_kiln(asked), unrated):
        peak = max(point.high_degC for point in report.cooling)
        assert peak < 1330.0


def test_wear_is_told_by_the_least_squares_of_another_program() -> None:
    # scipy's linregress is the outside judge of slope and its standard error; a tenth of growth and two standard
    # errors are the limits (judgement of this project).
    from scipy.stats import linregress

    rng = np.random.default_rng(7)
    answers = set()
    for _ in range(200):
        n = int(rng.integers(4, 10))
        hours = 8 * np.exp(rng.uniform(-0.02, 0.06) * np.arange(n) + rng.normal(0, 0.03, n))
        line = linregress(np.arange(n), np.log(hours))
        grown = np.expm1(line.slope * (n - 1)) >= 0.10 and line.slope > 2 * line.stderr
        told = judge_wear(hours.tolist())
        assert told.verdict.answer is (Answer.CANNOT_SAY if grown else Answer.FITS)
        assert told.percent_per_firing == pytest.approx(100 * np.expm1(line.slope))
        answers.add(told.verdict.answer)
    assert len(answers) == 2


@pytest.mark.parametrize(("growth", "answer"), [(0.099, Answer.FITS), (0.101, Answer.CANNOT_SAY)])
def test_wear_is_warned_of_from_a_tenth(growth: float, answer: Answer) -> None:
    assert judge_wear([8 * (1 + growth) ** (i / 5) for i in range(6)]).verdict.answer is answer


@pytest.mark.parametrize(("n", "answer"), [(0, Answer.NOT_ASKED), (3, Answer.NOT_ASKED), (4, Answer.CANNOT_SAY)])
def test_wear_is_told_from_four_firings(n: int, answer: Answer) -> None:
    told = judge_wear([8 * 1.1**i for i in range(n)])
    assert told.verdict.answer is answer
    assert told.hours == tuple(8 * 1.1**i for i in range(n))
