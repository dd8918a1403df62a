"""Firings of kilns whose losses and power are known, read from records as a potter writes them.

The kiln fires by :func:`run_full_power`, the volts behind a wire are worked out by Ohm's law beside each test, and the
witness cones by the heat-work of the true curve. What is learned must hold the truth.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from glazecalc.jobs.ceiling import ceiling
from glazecalc.jobs.learn_kiln import curve_of, element_counts, learn_kiln, learned_draws, oldest_first
from glazecalc.models.cones import cumulative_heat, heat_law
from glazecalc.models.kiln import Flows, KilnModel, run_full_power
from glazecalc.models.kiln_learning import FiringCurve, along_records, fit_kiln, log_heat_of, model_of
from glazecalc.models.kiln_reach import KilnDraws, draws_from_plate, supply_share, weighted_quantile
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.inputs import Circuit, Interior, Kiln
from glazecalc.values.records import FiringRecord, Reading, WitnessCone
from glazecalc.values.results.kiln import KilnLearned

KILN = Kiln(
    name="Big kiln", volts=240.0, amps=12.5, shelves=1, firings_on_elements=0, wall_mm=64.0,
    interior=Interior(shape="octagon", width_mm=400.0, height_mm=350.0),
)  # fmt: skip
PLATE_W = 3000.0
PLATE_OHM = 240.0**2 / PLATE_W
WALL = Circuit(name="Wall", volts=240.0, wire_awg=10, length_m=40.0, other_load_A=0.0)
LOW = Circuit(name="Low", volts=208.0, wire_awg=10, length_m=40.0, other_load_A=0.0)
WIRE_OHM = 2 * 40.0 * 4.07 / 1000.0
"""10 AWG stranded copper: 1.24 ohm per 1000 ft, NEC chapter 9, table 8; there and back."""
SIX = Cone("6").position
NEAR = 0.15
"""In ln of heat-work: about 5 K."""
LOSS = 1.15
"""The true kiln loses this much more than geometry and brick say."""


def true_model(power_W: float, loss: float = LOSS) -> KilnModel:
    """One kiln of the geometry above, a full load, new elements, that gives ``power_W``."""
    one = draws_from_plate(KILN.model_copy(update={"cone": None}), 1)
    ones = np.ones(1)
    plain = KilnDraws(
        kiln=KILN, weights=ones, power_W=power_W * ones, wear=0 * ones, loss=loss * ones, store=ones, load=ones,
        supply_z=0 * ones, spread_m=one.spread_m, wall_J_per_K=one.wall_J_per_K, outer_W_per_K=one.outer_W_per_K,
        inside=one.inside,
    )  # fmt: skip
    return plain.model(new=True)


def fired(model: KilnModel, hours: float, hold_h: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Hours and temperatures [degC] of the true kiln at full power, then held where it is."""
    run = run_full_power(model, hours)
    times, degC = list(run.hours), list(run.chamber_degC[:, 0])
    places, flows = run.places_degC[-1], Flows(model)
    for _ in range(round(hold_h * 60)):
        places, _ = flows.step(places, 60.0, np.zeros(1))
        times.append(times[-1] + 1.0 / 60.0)
        degC.append(float(places[0, 0]))
    return np.array(times), np.array(degC)


def record(times: np.ndarray, degC: np.ndarray, read_to: float, noise_K: float = 0.0, **fields: Any) -> FiringRecord:
    """A look at the pyrometer every hour, with scatter; always the same."""
    scatter = np.random.default_rng(3)
    at = np.arange(1.0, read_to + 1e-6, 1.0)
    seen = tuple(Reading(float(h), float(np.interp(h, times, degC) + noise_K * scatter.standard_normal())) for h in at)
    given: dict[str, Any] = {"id": "F1", "kiln": KILN.name, "on_elements": 0, "note": "full power", "readings": seen}
    return FiringRecord(**{**given, **fields})


def cones_after(times: np.ndarray, degC: np.ndarray) -> tuple[WitnessCone, ...]:
    """The hottest cone down and the next but one standing, by the heat-work of the true curve."""
    done = cumulative_heat(heat_law(), times, degC)[-1]
    down = int(np.flatnonzero(done >= 1.0)[-1])
    return WitnessCone(ALL_CONES[down].name, "down"), WitnessCone(ALL_CONES[down + 2].name, "stands")


def heat(times: np.ndarray, degC: np.ndarray) -> float:
    """ln of cone 6's share of bend at the end of the true curve."""
    return float(np.log(cumulative_heat(heat_law(), times, degC)[-1, SIX]))


def holds(found: KilnLearned, name: str, truth: float) -> bool:
    estimate = next(e for e in found.estimates if e.name == name)
    return estimate.low < truth < estimate.high


def factor(found: KilnLearned, name: str) -> float:
    return next(e for e in found.estimates if e.name == name).value


def of_truth(seen: FiringRecord) -> tuple[float, float]:
    """Power [W] of the true kiln in this record as the fit sees it, and ln of cone 6's share of bend at its end."""
    curve, why = curve_of(KILN, seen, (WALL, LOW), 0)
    assert curve is not None, why
    true = np.array([[0.0, np.log(LOSS), 0.0, 0.0, 0.0]])
    model = model_of(draws_from_plate(KILN), PLATE_W, curve, true, np.zeros((1, 2)))
    ((hours, chamber),) = along_records([model], [curve])
    return float(model.power_W[0]), float(log_heat_of(hours, chamber, (Cone("6"),))[0, 0])


@pytest.mark.parametrize("circuit", [WALL, LOW])
def test_a_firing_is_reckoned_on_its_own_circuit(circuit: Circuit) -> None:
    """The same true kiln behind 40 m of wire on 240 V and on 208 V teaches the same power and losses (Ohm's law)."""
    assert circuit.volts is not None
    at_kiln = circuit.volts * PLATE_OHM / (PLATE_OHM + WIRE_OHM)
    times, degC = fired(true_model(PLATE_W * (at_kiln / 240.0) ** 2), 8.0)
    seen = record(times, degC, 8.0, 5.0, circuit=circuit.name)
    assert of_truth(seen)[0] == pytest.approx(PLATE_W * (at_kiln / 240.0) ** 2, rel=1e-3)
    found = learn_kiln(KILN, [seen], WALL, (WALL, LOW))
    assert holds(found, "power_factor", 1.0)
    assert holds(found, "loss_factor", LOSS)
    assert factor(found, "loss_factor") == pytest.approx(LOSS, rel=0.08)
    assert not found.problems
    measured = learn_kiln(KILN, [record(times, degC, 8.0, 5.0, volts=at_kiln)], WALL, (WALL, LOW))
    assert factor(measured, "loss_factor") == pytest.approx(factor(found, "loss_factor"), rel=0.04)


def test_the_circuit_asked_about_does_not_change_what_was_learned() -> None:
    times, degC = fired(true_model(PLATE_W * (PLATE_OHM / (PLATE_OHM + WIRE_OHM)) ** 2), 8.0)
    seen = [record(times, degC, 8.0, circuit="wall")]
    asked = [learn_kiln(KILN, seen, on, (WALL, LOW)) for on in (WALL, LOW, None)]
    assert asked[0].estimates == asked[1].estimates == asked[2].estimates
    hot = [a.ceiling.estimate.value for a in asked if a.ceiling is not None]
    assert hot[0] - hot[1] > 80.0, "208 V is 75 % of the power"
    draws = learned_draws(KILN, seen, (WALL, LOW))
    again = ceiling(KILN, WALL, draws)
    assert again is not None
    assert asked[0].ceiling is not None
    assert again.estimate == asked[0].ceiling.estimate


def test_volts_of_three_phases_by_ohms_law() -> None:
    """A star of three equal heaters at 208 V between the lines, 30 A in each: the wire of r ohm takes 30 r from the
    120 V of each branch.
    """
    three = KILN.model_copy(update={"volts": 208.0, "amps": 30.0, "phase": 3})
    draws = draws_from_plate(three)
    r = 0.2
    branch_ohm = 208.0**2 / draws.power_W * (1.0 + draws.wear)
    by_hand = branch_ohm / (branch_ohm + r)
    flat = supply_share(draws, 208.0, 3.0**0.5 * r, measured=True) / (1.0 + 0.01 * draws.supply_z)
    np.testing.assert_allclose(flat, by_hand, rtol=1e-9)
    seen = FiringRecord(kiln="k", volts=208.0, amps=30.0, note="full power", readings=(Reading(2.0, 700.0),))
    curve, _ = curve_of(three, seen)
    assert curve is not None
    assert curve.watts == pytest.approx(3.0 * 120.1 * 30.0, rel=1e-3)


def test_witness_cones_are_held_against_the_end() -> None:
    """Readings to the sixth hour of nine: the cones saw all nine."""
    times, degC = fired(true_model(PLATE_W), 9.0)
    cones = cones_after(times, degC)
    for read_to in (9.0, 6.0):
        seen = record(times, degC, read_to, volts=240.0, hours=9.0, cones=cones)
        assert of_truth(seen)[1] == pytest.approx(heat(times, degC), abs=NEAR)
        found = learn_kiln(KILN, [seen])
        assert holds(found, "loss_factor", LOSS), read_to
        assert factor(found, "loss_factor") == pytest.approx(LOSS, rel=0.06), read_to
        assert not found.problems, read_to


def test_cones_are_left_out_where_the_readings_stop_early_and_the_end_is_not_known() -> None:
    times, degC = fired(true_model(PLATE_W), 9.0)
    seen = record(times, degC, 6.0, volts=241.0, hours=9.0, cones=cones_after(times, degC), note="")
    curve, why = curve_of(KILN, seen)
    assert curve is not None
    assert curve.down == curve.standing == ()
    assert "readings stop before its end" in why
    near, _ = curve_of(KILN, record(times, degC, 9.0, volts=241.0, hours=9.2, cones=seen.cones, note=""))
    assert near is not None
    assert near.end_h == 9.2
    assert near.down


def test_a_hold_at_the_peak_counts_for_the_cones() -> None:
    """An hour's hold brings down another cone or so; it is no stall, and no lower loss."""
    times, degC = fired(true_model(PLATE_W), 7.0, hold_h=1.5)
    cones = cones_after(times, degC)
    before = cones_after(*fired(true_model(PLATE_W), 7.0))
    assert cones != before, "else the test would see nothing"
    to_peak = record(times, degC, 7.0, volts=240.0, hold_h=1.5, hours=8.5, cones=cones)
    through = record(times, degC, 8.0, volts=240.0, hold_h=1.5, hours=8.5, cones=cones, note="")
    drifting = record(times, degC + np.where(times > 7.0, 2.0 * (times - 7.0), 0.0), 8.0, volts=240.0, hold_h=1.5,
                      hours=8.5, cones=cones, note="")  # fmt: skip
    for seen in (to_peak, through, drifting):
        assert of_truth(seen)[1] == pytest.approx(heat(times, degC), abs=NEAR)
        found = learn_kiln(KILN, [seen])
        assert holds(found, "loss_factor", LOSS)
        assert factor(found, "loss_factor") == pytest.approx(LOSS, rel=0.06)
        assert not found.problems


def test_readings_of_the_cooling_do_not_pass_for_full_power() -> None:
    times, degC = fired(true_model(PLATE_W), 8.0)
    times, degC = np.append(times, [9.0, 10.0]), np.append(degC, [degC[-1] - 130.0, degC[-1] - 230.0])
    for note in ("full power", ""):
        found = learn_kiln(KILN, [record(times, degC, 10.0, volts=241.0, hours=8.0, note=note)])
        assert holds(found, "loss_factor", LOSS)
        assert not found.problems


def test_volts_of_another_kind_teach_nothing_and_overthrow_nothing() -> None:
    times, degC = fired(true_model(PLATE_W), 8.0)
    found = learn_kiln(KILN, [record(times, degC, 8.0, volts=480.0)], WALL, (WALL,))
    assert not found.used
    assert "480 V" in found.left_out[0][1]
    assert found.ceiling == found.ceiling_before


def test_the_fit_stays_finite_whatever_the_volts() -> None:
    """Sixteen times the power: the true curve is out of reach, but nothing overflows."""
    times, degC = fired(true_model(PLATE_W), 6.0)
    at = np.arange(1.0, 6.1)
    curve = FiringCurve((0.0, *at), (20.0, *np.interp(at, times, degC)), volts=960.0)
    with np.errstate(over="raise", invalid="raise"):
        fit = fit_kiln(draws_from_plate(KILN), PLATE_W, (curve,))
    assert np.all(np.isfinite(fit.mean))
    assert np.all(np.isfinite(fit.covariance))
    assert fit.misfit > 5.0


def test_a_hold_longer_than_the_firing_is_not_counted() -> None:
    times, degC = fired(true_model(PLATE_W), 8.0)
    for note in ("full power", ""):
        plain, odd = (curve_of(KILN, record(times, degC, 8.0, hours=8.0, hold_h=h, note=note)) for h in (None, 9.0))
        assert odd == plain


@pytest.mark.parametrize(
    ("readings", "why"),
    [
        (((1e-310, 900.0), (1.0, 1000.0), (2.0, 1060.0), (3.0, 1090.0)), "forward in time"),
        (((2.0, 900.0), (1.0, 1000.0)), "forward in time"),
        (((1.0, 5.0), (2.0, 8.0)), "no reading at full power"),
    ],
)
def test_readings_that_tell_nothing_are_left_out(readings: tuple[tuple[float, float], ...], why: str) -> None:
    seen = FiringRecord(id="F1", note="full power", readings=tuple(Reading(h, t) for h, t in readings))
    found = learn_kiln(KILN, [seen])
    assert [id_ for id_, _ in found.left_out] == ["F1"]
    assert why in found.left_out[0][1]


def test_doubtful_records_are_trusted_less() -> None:
    """Records five times as scattered as readings are: the truth still lies in the 90 % intervals of most kilns, and
    these are wider than those of records without scatter.
    """
    held, widths = 0, []
    draws = draws_from_plate(KILN)
    for seed in range(30):
        rng = np.random.default_rng(seed)
        loss = float(np.exp(0.2 * rng.standard_normal()))
        times, degC = fired(true_model(PLATE_W, loss), 8.0)
        at = np.arange(1.0, 8.1, 0.5)
        fits = []
        for scatter in (40.0, 0.0):
            said = np.interp(at, times, degC) + scatter * rng.standard_normal(len(at))
            curve = FiringCurve((0.0, *at), (20.0, *said), 240.0, True, on_elements=0, load=1.0)
            fits.append(fit_kiln(draws, PLATE_W, (curve,)))
        widths.append(float(np.sqrt(fits[0].covariance[1, 1] / fits[1].covariance[1, 1])))
        held += bool(abs(fits[0].mean[1] - np.log(loss)) < 1.645 * np.sqrt(fits[0].covariance[1, 1]))
    assert held >= 24
    assert np.median(widths) > 1.25


@pytest.mark.parametrize(
    ("said", "today", "counts", "now"),
    [
        ([], 35, [], 35),
        ([None, None], None, [None, None], None),
        ([None, None], 35, [33, 34], 35),
        ([None, None, None], 2, [None, 0, 1], 2),
        ([150, 1], 2, [150, 1], 2),
        ([150, None, 1], 2, [150, 0, 1], 2),
        ([150, None, None, 0], 90, [150, 151, 152, 0], 1),
        ([None, 40, None], 10, [39, 40, 41], 42),
        ([30, None, 90], None, [30, 31, 90], 91),
    ],
)
def test_firings_on_the_elements(
    said: list[int | None], today: int | None, counts: list[int | None], now: int | None
) -> None:
    """The latest figure written down counts; a count that falls means new elements."""
    assert element_counts([FiringRecord(on_elements=n) for n in said], today) == (counts, now)


def test_new_elements_do_not_inherit_the_wear_of_the_old() -> None:
    times, degC = fired(true_model(PLATE_W), 8.0)
    new = record(times, degC, 8.0, volts=241.0, on_elements=1, date="2026-11-01")
    old = record(times, degC, 8.0, volts=241.0, on_elements=150, date="2026-05-01", id="F2")
    kiln = KILN.model_copy(update={"firings_on_elements": 2})
    alone, after = learn_kiln(kiln, [new]), learn_kiln(kiln, [new, old])
    assert factor(alone, "element_wear") < 0.01
    assert factor(after, "element_wear") < 0.01
    assert oldest_first([new, old]) == (old, new)


def test_an_old_record_without_a_count_is_not_given_that_of_today() -> None:
    """Of two firings with today's elements at 1, the first was on the old ones: how old is not known."""
    times, degC = fired(true_model(PLATE_W), 8.0)
    seen = [record(times, degC, 8.0, volts=241.0, on_elements=None, id=f"F{i}", date=f"2026-0{i}-01") for i in (1, 2)]
    kiln = KILN.model_copy(update={"firings_on_elements": 1})
    counts, now = element_counts(oldest_first(seen), kiln.firings_on_elements)
    assert (counts, now) == ([None, 0], 1)
    draws = learned_draws(kiln, seen)
    assert draws is not None
    assert weighted_quantile(draws.wear, draws.weights, 0.5) < 0.005
