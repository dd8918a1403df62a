"""Kilns of ordinary plates: hours to the rating, the answer by the rating, energy."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.jobs.ceiling import ceiling
from glazecalc.jobs.firing_follow import Plan, energy_estimates, plan_legs, run_kiln
from glazecalc.jobs.reach import reach_verdict
from glazecalc.models.kiln_reach import draws_from_plate, reach, weighted_quantile
from glazecalc.values.answers import Answer, Basis, Estimate
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Interior, Kiln, Limits


def kiln(volts: float, watts: float, shape: str, width: float, height: float, wall: float, cone: str) -> Kiln:
    inside = Interior(shape=shape, width_mm=width, height_mm=height)  # type: ignore[arg-type]
    return Kiln(
        name="k", volts=volts, watts=watts, interior=inside, wall_mm=wall, cone=Cone(cone), firings_on_elements=0,
        insulation="brick 23", shelves=2,
    )  # fmt: skip


KILNS = {
    "8 in cube, 12 A at 120 V": (kiln(120, 1440, "square", 203, 203, 64, "6"), "4"),
    "8 in cube, 15 A at 120 V": (kiln(120, 1800, "square", 203, 203, 64, "10"), "8"),
    "14.5 L, 15 A at 120 V": (kiln(120, 1800, "octagon", 290, 230, 64, "8"), "6"),
    "17 in, 30 A circuit": (kiln(240, 5760, "octagon", 445, 455, 64, "8"), "6"),
    "17 in, 27 A": (kiln(240, 6480, "octagon", 445, 455, 76, "10"), "8"),
    "23 in by 27 in, 48 A, 7 cubic feet": (kiln(240, 11520, "decagon", 584, 686, 76, "10"), "8"),
    "28 in by 27 in, 48 A": (kiln(240, 11520, "decagon", 711, 686, 76, "10"), "8"),
    "large top-loader, 80 A at 208 V": (kiln(208, 16640, "round", 711, 1000, 76, "6"), "4"),
}
"""Volts and watts such as plates of US kilns give (1440 and 1800 W are the 80 % limits of their circuits); ratings, measures
and walls are common practice, no source."""


@pytest.mark.parametrize("name", KILNS)
def test_new_elements_reach_the_rating_in_a_day_s_firing(name: str) -> None:
    """Common practice, no source: three to twelve hours at full power, half loaded."""
    rated = KILNS[name][0]
    assert rated.cone is not None
    draws = draws_from_plate(rated)
    hours = np.nan_to_num(reach(draws, 1.0, 16.0).cone_hours[:, rated.cone.position], nan=99.0)
    low, middle, high = (weighted_quantile(hours, draws.weights, p) for p in (0.05, 0.5, 0.95))
    assert low > 2.5
    assert 3.5 < middle < 8.0
    assert high < 12.0


@pytest.mark.parametrize("name", KILNS)
def test_a_rated_kiln_keeps_its_answer(name: str) -> None:
    """Two cones below its rating yes, above it no, and without one never yes (common practice, no source)."""
    rated, cone = KILNS[name]
    bare = rated.model_copy(update={"cone": None})
    assert reach_verdict(rated, None, Cone(cone), ceiling(rated), Limits()).answer is Answer.FITS
    assert reach_verdict(rated, None, Cone("11"), ceiling(rated), Limits()).answer is Answer.DOES_NOT_FIT
    assert reach_verdict(bare, None, Cone(cone), ceiling(bare), Limits()).answer is Answer.CANNOT_SAY


def energy(rated: Kiln, legs: tuple[Plan, ...]) -> Estimate:
    found = energy_estimates(run_kiln(draws_from_plate(rated), None, legs), Basis.MODEL, None, "")
    return next(e for e in found if e.name == "energy_per_firing")


def test_a_slow_bisque_of_a_large_kiln() -> None:
    """About 80 kWh by the meter for a bisque of half a day in some 280 litres (common practice, no source)."""
    told = energy(KILNS["28 in by 27 in, 48 A"][0], plan_legs("bisque", Cone("04"), 1.0 / 6.0))
    assert told.low < 80.0 < told.high
    assert told.value == pytest.approx(80.0, rel=0.15)


def test_a_bisque_after_a_long_preheat() -> None:
    """7 h near 82 degC, then 9 h of bisque, 11.52 kW and 7 cubic feet: 64 kWh by a pottery school's duty cycles."""
    legs = (Plan(60.0, 82.0, 6.0, ""), Plan(100.0, 600.0, 0.0, ""), Plan(130.0, 960.0, 0.0, ""),
            Plan(60.0, 1062.0, 0.0, "", at_peak=True))  # fmt: skip
    told = energy(KILNS["23 in by 27 in, 48 A, 7 cubic feet"][0], legs)
    assert told.low < 64.0 < told.high
