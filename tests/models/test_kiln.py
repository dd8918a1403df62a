"""The lumped kiln: energy, an independent integrator, closed forms, and what must grow or fall."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from glazecalc.models.kiln import (
    BOUNDS_DEGC,
    LAYERS,
    LITRES_PER_CUBIC_FOOT,
    OUTER_FILM_W_PER_M2K,
    USUAL_BRICK,
    Flows,
    KilnModel,
    bricks,
    chamber,
    cold,
    contents_J_per_K,
    cool_down,
    fastest_per_s,
    longest_step_h,
    loss_for_stall,
    outer_loss_W,
    run_full_power,
    stall_degC,
)
from glazecalc.values.inputs import Interior
from tests.models.crossing import hours_to
from tests.models.heat import stored_J

ROOM = chamber(Interior(shape="octagon", width_mm=280.0, height_mm=280.0), 64.0)
BRICK = bricks()[USUAL_BRICK]


def kiln(power_W: float = 1800.0, n: int = 3, load: float = 1.0) -> KilnModel:
    ones = np.ones(n)
    return KilnModel(
        power_W=power_W * ones,
        spread_m=ROOM.mean_m2 / ROOM.wall_m * np.linspace(0.8, 1.2, n),
        wall_J_per_K=ROOM.brick_m3 * BRICK.density * BRICK.heat_capacity * ones,
        chamber_J_per_K=contents_J_per_K(ROOM, 1, load) * ones,
        outer_W_per_K=ROOM.outer_m2 * OUTER_FILM_W_PER_M2K * ones,
        room_degC=20.0 * ones,
        k0=BRICK.k0,
        k1=BRICK.k1,
    )


def test_energy_balance_closes() -> None:
    """Given = stored + lost to 0.1 %, the loss summed afresh from the outer layer's curve by Simpson's
    rule."""
    model = kiln()
    run = run_full_power(model, 12.0)
    loss = outer_loss_W(model, run.places_degC[:, -1])
    seconds = (run.hours[1] - run.hours[0]) * 3600.0
    lost = np.trapezoid(loss, dx=seconds, axis=0)
    given = model.power_W * 12.0 * 3600.0
    stored = stored_J(model, run.places_degC[-1])
    np.testing.assert_allclose(stored + lost, given, rtol=1e-3)
    np.testing.assert_allclose(run.energy_J[-1], given, rtol=1e-12)


def _by_scipy(model: KilnModel, i: int, hours: float) -> object:
    """The same physics written afresh for one draw, with the conductivity taken in the middle of each
    link."""
    k = lambda t: model.k0 + model.k1 * t  # noqa: E731
    a, layer = float(model.spread_m[i]), float(model.wall_J_per_K[i]) / LAYERS

    def slope(_: float, t: np.ndarray) -> list[float]:
        into = [2 * LAYERS * a * k((t[0] + t[1]) / 2) * (t[0] - t[1])]
        into += [LAYERS * a * k((t[j] + t[j + 1]) / 2) * (t[j] - t[j + 1]) for j in (1, 2)]
        skin = t[3]
        for _ in range(60):  # the outside settles where the half layer brings what the film takes
            bring = 2 * LAYERS * a * k((t[3] + skin) / 2)
            skin = (bring * t[3] + float(model.outer_W_per_K[i]) * 20.0) / (bring + float(model.outer_W_per_K[i]))
        out = float(model.outer_W_per_K[i]) * (skin - 20.0)
        return [
            (float(model.power_W[i]) - into[0]) / float(model.chamber_J_per_K[i]),
            (into[0] - into[1]) / layer,
            (into[1] - into[2]) / layer,
            (into[2] - out) / layer,
        ]

    return solve_ivp(slope, (0.0, hours * 3600.0), [20.0] * 4, method="LSODA", rtol=1e-9, atol=1e-7, dense_output=True)


@pytest.mark.parametrize("draw", [0, 1, 2])
@pytest.mark.parametrize("load", [0.2, 1.0])
def test_against_scipy(draw: int, load: float) -> None:
    model = kiln(load=load)
    run = run_full_power(model, 12.0)
    exact = _by_scipy(model, draw, 12.0).sol(run.hours * 3600.0)  # type: ignore[attr-defined]
    gap = np.abs(run.places_degC[:, :, draw].T - exact)
    assert np.max(gap) < 0.8  # the first minutes after switching on
    assert np.max(gap[:, run.hours > 1.0]) < 0.05


def likely_kilns() -> Iterator[KilnModel]:
    """The likely kilns of three plates, one of them a test kiln that swings fast."""
    from glazecalc.models.kiln_reach import draws_from_plate
    from glazecalc.values.cones import Cone
    from glazecalc.values.inputs import Interior, Kiln

    sizes = ((290.0, 230.0, 64.0, 1800.0), (152.0, 152.0, 50.0, 1800.0), (445.0, 455.0, 30.0, 6480.0))
    for width, height, wall, watts in sizes:
        inside = Interior(shape="octagon", width_mm=width, height_mm=height)
        plate = Kiln(name="k", volts=120.0, watts=watts, cone=Cone("8"), interior=inside, wall_mm=wall)
        yield draws_from_plate(plate).model()


def test_every_moment_of_a_coarse_run_and_of_a_cooling_is_good_to_a_few_degrees() -> None:
    """Against steps of at most 18 seconds between the same moments, for every likely kiln: the climb within a degree
    once the first swing is over, that swing within eight."""
    for model in likely_kilns():
        climb = run_full_power(model, 6.0, coarse=True)
        fall = cool_down(model, 4.0, climb.places_degC[-1])
        for run, used, most, later in ((climb, model, 8.0, 1.0), (fall, model.with_power(0.0), 8.0, 1.0)):
            places, flows = run.places_degC[0], Flows(used)
            for i, seconds in enumerate(3600.0 * np.diff(run.hours), 1):
                for _ in range(parts := math.ceil(seconds / 18.0)):
                    places, _ = flows.step(places, seconds / parts)
                off = np.max(np.abs(run.chamber_degC[i] - places[0]))
                assert off < (later if run.hours[i] > 0.5 else most), (run.hours[i], off)


def test_stall_is_where_a_long_run_ends() -> None:
    model = kiln(1300.0)
    np.testing.assert_allclose(run_full_power(model, 80.0).chamber_degC[-1], stall_degC(model), atol=0.5)
    np.testing.assert_allclose(loss_for_stall(model, stall_degC(model)), model.spread_m, rtol=1e-9)


def test_power_goes_with_the_square_of_the_volts() -> None:
    """A few volts are many degrees: 95 % of the volts is 90.25 % of the power."""
    full, low = kiln(), kiln(1800.0 * 0.95**2)
    assert np.all(stall_degC(full) - stall_degC(low) > 40.0)
    assert np.all(hours_to(run_full_power(low, 12.0), 1000.0) > hours_to(run_full_power(full, 12.0), 1000.0))


def test_losses_grow_faster_than_the_temperature() -> None:
    """Brick conducts better when hot, so twice the rise needs more than twice the power."""
    model = kiln(n=1)
    power = [
        float(model.power_W[0] * model.spread_m[0] / loss_for_stall(model, np.array([t]))[0]) for t in (520.0, 1020.0)
    ]
    assert power[1] > 2.2 * power[0]


def test_a_more_heavily_loaded_kiln_is_slower_and_stalls_no_lower() -> None:
    light, heavy = kiln(load=0.2), kiln(load=2.0)
    assert np.all(hours_to(run_full_power(heavy, 12.0), 900.0) > hours_to(run_full_power(light, 12.0), 900.0))
    np.testing.assert_allclose(stall_degC(light), stall_degC(heavy))


def test_cooling_falls_ever_more_slowly_to_the_room() -> None:
    model = kiln()
    hot = run_full_power(model, 6.0).places_degC[-1]
    run = cool_down(model, 40.0, hot)
    chamber_degC = run.chamber_degC[:, 0]
    assert np.all(np.diff(chamber_degC) < 0)
    assert np.all(np.diff(np.diff(chamber_degC)[5:]) > -1e-6)
    assert chamber_degC[-1] < 60.0
    assert np.all(run.energy_J == 0.0)


def test_a_cold_kiln_without_power_stays_cold_and_a_followed_rate_is_kept() -> None:
    model = kiln()
    still, given = Flows(model.with_power(0.0)).step(cold(model), 300.0)
    np.testing.assert_allclose(still, 20.0)
    np.testing.assert_allclose(given, 0.0, atol=1e-6)
    rate = np.full(3, 100.0 / 3600.0)
    moved, given = Flows(model).step(cold(model), 360.0, rate)
    np.testing.assert_allclose(moved[0], 30.0, atol=1e-9)
    assert np.all(given < model.power_W * 360.0)


@pytest.mark.parametrize("power_W", [1.0, 3e4, 1e6])
def test_no_plate_is_too_absurd_to_be_reckoned_with(power_W: float) -> None:
    """A slip in the watts (ten times, and far more) gives figures, not an overflow, and never one of a cold kiln."""
    for coarse in (False, True):
        run = run_full_power(kiln(power_W, load=0.1), 12.0, coarse=coarse)
        assert np.all(np.isfinite(run.places_degC))
        assert np.all((run.places_degC >= BOUNDS_DEGC[0]) & (run.places_degC <= BOUNDS_DEGC[1]))
        assert np.all(run.chamber_degC[-1] >= np.minimum(stall_degC(kiln(power_W, load=0.1)) - 5.0, 1490.0))


def test_chamber_sizes() -> None:
    cube = chamber(Interior(shape="square", width_mm=300.0, height_mm=300.0), 60.0)
    assert cube.volume_m3 == pytest.approx(0.027)
    assert cube.inner_m2 == pytest.approx(0.54)
    assert cube.outer_m2 == pytest.approx(6 * 0.42**2)
    assert cube.brick_m3 == pytest.approx(0.42**3 - 0.027)
    drum = chamber(Interior(shape="round", width_mm=300.0, height_mm=300.0), 60.0)
    eight = chamber(Interior(shape="octagon", width_mm=300.0, height_mm=300.0), 60.0)
    assert drum.volume_m3 < eight.volume_m3 < cube.volume_m3
    deep = chamber(Interior(shape="square", width_mm=300.0, depth_mm=600.0, height_mm=300.0), 60.0)
    assert deep.volume_m3 == pytest.approx(0.054)
    assert abs(LITRES_PER_CUBIC_FOOT - 0.3048**3 * 1000) < 1e-6


def test_conductivity_lines_pass_by_their_table() -> None:
    assert BRICK.k0 + 400 * BRICK.k1 == pytest.approx(0.135, abs=0.01)
    assert BRICK.k0 + 1000 * BRICK.k1 == pytest.approx(0.22, abs=0.01)


def test_room_temperature_shifts_everything() -> None:
    cool = kiln(1400.0)
    warm = replace(cool, room_degC=np.full(3, 40.0))
    assert np.all(stall_degC(warm) > stall_degC(cool))


def test_no_draw_of_a_kiln_is_stepped_past_where_the_method_is_stable() -> None:
    """Fine and coarse runs of every likely kiln agree with one in steps of 18 seconds; Runge-Kutta of fourth order is
    stable to 2.785 over the largest eigenvalue (Hairer, Norsett, Wanner, Solving ODE I; from memory)."""
    for model in likely_kilns():
        assert longest_step_h(model, 2.5) * 3600.0 * fastest_per_s(model) <= 2.5 + 1e-9
        places, flows = cold(model), Flows(model)
        for _ in range(round(6.0 * 3600.0 / 18.0)):
            places, _ = flows.step(places, 18.0)
        for coarse in (False, True):
            got = run_full_power(model, 6.0, coarse=coarse).places_degC[-1]
            np.testing.assert_allclose(got, places, atol=0.2)
