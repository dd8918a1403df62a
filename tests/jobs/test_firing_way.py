"""One plan for whoever asks: a slower schedule only where it pays, a switch with one clock, one energy told by all."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from glazecalc.jobs.ceiling import plate_draws
from glazecalc.jobs.firing import FiringWish, plan_firing, weigh_schedule
from glazecalc.jobs.firing_follow import find_way, fit_to_kiln, next_whole, plan_legs, run_kiln
from glazecalc.jobs.kiln import check_kiln
from glazecalc.jobs.setup import Setup
from glazecalc.models.cones import bends
from glazecalc.models.kiln_reach import heat_along
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, Circuit, Interior, Kiln, Limits
from glazecalc.values.results.firing import FIRING_KINDS, FiringKind

SHED = Kiln(
    name="Shed kiln", volts=120.0, amps=15.0, cone=Cone("8"), shelves=1, firings_on_elements=35, wall_mm=64.0,
    interior=Interior(shape="octagon", width_mm=290.0, height_mm=230.0),
)  # fmt: skip
GUILD = Kiln(
    name="Guild kiln", volts=240.0, amps=27.0, cone=Cone("10"), shelves=3, firings_on_elements=80, wall_mm=76.0,
    interior=Interior(shape="octagon", width_mm=445.0, height_mm=455.0), control="switch",
)  # fmt: skip
OUTLET = Circuit(name="Shed outlet", volts=120.0, breaker_A=20.0, wire_awg=12, length_m=12.0, other_load_A=0.0)
FAR = OUTLET.model_copy(update={"name": "far", "length_m": 45.0})


@pytest.mark.parametrize("kiln", [SHED, GUILD])
@pytest.mark.parametrize("cone", ["06", "6", "8"])
def test_kiln_and_firing_tell_the_same_energy_and_cost(kiln: Kiln, cone: str) -> None:
    circuit = OUTLET if kiln is SHED else None
    body, limits = Body(name="b", ware="stoneware", wall_mm=14.0), Limits(electricity_price_per_kWh=0.17)
    fired = plan_firing(FiringWish("glaze", Cone(cone)), Setup(kiln=kiln, circuit=circuit, body=body, limits=limits))
    looked = check_kiln(Setup(kiln=kiln, circuit=circuit, body=body, cone=Cone(cone), limits=limits))
    by_name = {e.name: (e.low, e.value, e.high) for e in looked.estimates}
    told = {e.name: (e.low, e.value, e.high) for e in fired.estimates}
    assert set(told) == {"energy_per_firing", "duty_factor", "cost_per_firing"}
    assert {name: by_name[name] for name in told} == told


@pytest.mark.parametrize("circuit", [OUTLET, FAR])
@pytest.mark.parametrize("cone", ["04", "4", "6", "7", "8"])
def test_a_slower_schedule_is_offered_only_where_it_hits_the_cone_more_surely(circuit: Circuit, cone: str) -> None:
    draws, aim = plate_draws(SHED), Cone(cone)
    usual = plan_legs("glaze", aim, 1.0 / 6.0)
    legs, run, told = fit_to_kiln(draws, circuit, usual, aim)
    chances = []
    for plan in (usual, legs):
        done = heat_along(run_kiln(draws, circuit, plan).run, (aim, next_whole(aim) or aim))[-1]
        chances.append(float(draws.weights @ ((done[:, 0] >= 1.0) & (done[:, 1] < 1.0))))
    assert run.on_the_cone(aim) == pytest.approx(chances[1])
    if legs == usual:
        assert not told or "gains nothing" in told[0]
    else:
        assert chances[1] > chances[0] + 0.02
        assert f"{100 * chances[1]:.0f} %" in told[0]
        assert f"{100 * chances[0]:.0f} % at the usual rates" in told[0]


def test_the_next_cone_that_is_not_a_half() -> None:
    assert [str(next_whole(Cone(c))) for c in ("5", "5.5", "6", "06", "01", "14")] == ["6", "6", "7", "05", "1", "None"]


@pytest.mark.parametrize("kind", FIRING_KINDS)
@pytest.mark.parametrize("cone", ["06", "6", "10"])
def test_a_switch_has_one_clock(kind: FiringKind, cone: str) -> None:
    """No segments to enter; acts, cones and energy are of one firing, in which the cone is down at the hour told."""
    report = plan_firing(FiringWish(kind, Cone(cone)), Setup(kiln=GUILD))
    assert not report.segments
    hours = [act.at_h for act in report.turn_ups]
    assert hours == sorted(hours)
    likely = next(act for act in report.turn_ups if "likely down about now" in act.text)
    bend = next(c for c in report.cones if c.cone == Cone(cone))
    assert bend.bends_at_h == pytest.approx(likely.at_h, abs=0.1)
    assert bend.bends_at_degC == pytest.approx(likely.degC, abs=15.0)
    spare = (next_whole(Cone(cone)),) if kind == "slow-cooled" else ()
    assert report.reached_cone in (Cone(cone), *spare), "a slow fall from the peak adds heat-work"
    assert report.total_h == pytest.approx(max(likely.at_h, hours[-1]), abs=0.1)
    assert [t for t, _ in report.planned] == sorted(t for t, _ in report.planned)
    energy = next(e for e in report.estimates if e.name == "energy_per_firing")
    assert 1.0 < energy.value < 6.48 * report.total_h, "no more than the plate's power all the time"


def test_energy_of_a_switch_is_its_power_times_its_hours() -> None:
    """A third, two thirds and all of the power, summed by hand up to the hour of the cone in each likely kiln."""
    found = find_way(FiringWish("glaze", Cone("6")), Setup(kiln=GUILD)).run
    assert found is not None
    run = found.run
    watts = np.diff(run.energy_J, axis=0) / (np.diff(run.hours)[:, None] * 3600.0) / found.model.power_W
    steps = {round(float(w), 3) for w in np.unique(watts.round(3))}
    assert steps <= {0.0, 0.333, 0.667, 1.0}
    for one, after in itertools.pairwise(watts[:, 0]):
        assert after >= one - 1e-9 or after == 0.0, "once off it stays off"


def test_a_switch_does_not_cool_slowly_by_itself() -> None:
    """Left on low, a kiln hangs where a third of its power covers the loss: the cone would be overfired."""
    report = plan_firing(FiringWish("slow-cooled", Cone("6")), Setup(kiln=GUILD))
    by_hand = next(act for act in report.turn_ups if "cannot cool slowly by itself" in act.text)
    assert by_hand.degC == pytest.approx(1040.0, abs=15.0)
    assert report.turn_ups[-1].text.startswith("Switch off")
    assert report.turn_ups[-1].degC == pytest.approx(760.0, abs=5.0)
    assert report.turn_ups[-1].at_h - by_hand.at_h == pytest.approx(280.0 / 60.0, abs=0.5)
    times, degC = np.array(report.planned).T
    assert bends(times, degC).reached() == Cone("6")
    plain = plan_firing(FiringWish("glaze", Cone("6")), Setup(kiln=GUILD))
    cost = {r.title: next(e.value for e in r.estimates if e.name == "energy_per_firing") for r in (report, plain)}
    assert cost[report.title] > cost[plain.title]


def test_a_given_schedule_on_a_switch_is_said_to_need_a_controller() -> None:
    from glazecalc.values.results.firing import ScheduleLeg

    report = weigh_schedule((ScheduleLeg(150.0, 1200.0, 0.0),), Cone("5"), Setup(kiln=GUILD))
    assert any("has a switch" in note for note in report.notes)
