"""The kiln model against facts of the trade, and a small kiln invented for the purpose."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.jobs.ceiling import ceiling
from glazecalc.jobs.firing_follow import DUTY_USUAL, energy_estimates, plan_legs, run_kiln
from glazecalc.jobs.stacking import stack
from glazecalc.models.kiln import LITRES_PER_CUBIC_FOOT, chamber, temperature_rise_bound_K
from glazecalc.models.kiln_learning import FiringCurve, draws_after, fit_kiln
from glazecalc.models.kiln_reach import DRAWS, draws_from_plate, reach, supply_share, weighted_quantile
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Circuit, Interior, Kiln, Piece
from tests.models.crossing import hours_to

TEST_KILN = Kiln(
    name="test kiln", volts=120.0, amps=15.0, cone=Cone("10"), shelves=0, firings_on_elements=0,
    interior=Interior(shape="square", width_mm=152.0, height_mm=152.0),
)  # fmt: skip
"""A 120 V test kiln as the trade has them: six inches each way, a 15 A plug; its wall is not told."""

SHED = Kiln(
    name="k", volts=120.0, amps=15.0, cone=Cone("8"), shelves=1, firings_on_elements=40, wall_mm=64.0,
    interior=Interior(shape="octagon", width_mm=290.0, height_mm=230.0),
)  # fmt: skip


def test_the_same_test_kiln_on_circuits_seven_volts_apart() -> None:
    """Invented numbers: 2 h 30 min to 1288 degC on one circuit; on the other, seven volts lower, twice as long to
    1277 degC. That a few volts cost a small kiln hours is common practice, no source. The first firing is given to
    the model; the second must lie inside the 90 % interval of what the model then foretells.
    """
    hot, cool = 1288.0, 1277.0
    plate = draws_from_plate(TEST_KILN)
    first = FiringCurve((0.0, 2.5), (20.0, hot), volts=120.0, measured=True, on_elements=0)
    draws = draws_after(plate, 1800.0, fit_kiln(plate, 1800.0, (first,)), 0)
    again = hours_to(reach(draws, supply_share(draws, 120.0, 0.0, measured=True), 24.0).run, hot)
    assert weighted_quantile(np.nan_to_num(again, nan=99.0), draws.weights, 0.5) == pytest.approx(2.5, abs=0.3)
    low_volts = reach(draws, supply_share(draws, 113.0, 0.0, measured=True), 24.0)
    hours = np.nan_to_num(hours_to(low_volts.run, cool), nan=99.0)
    low, middle, high = (weighted_quantile(hours, draws.weights, p) for p in (0.05, 0.5, 0.95))
    assert low < 5.0 < high
    assert middle > 1.3 * 2.5, "seven volts cost far more than their share of the power"


def test_hours_creep_up_before_the_kiln_fails() -> None:
    """Firings grow longer as elements age (common practice, no source). As
    resistance grows the model's hours to the cone rise ever faster, at least twofold, before it no longer
    gets there.
    """
    draws = draws_from_plate(SHED.model_copy(update={"cone": Cone("6")}))
    six = Cone("6").position
    fresh = reach(draws, 1.0, 24.0).cone_hours[:, six]
    one = int(np.nanargmin(np.abs(fresh - np.nanmedian(fresh))))
    hours = []
    for growth in np.arange(0.0, 0.6, 0.02):
        hours.append(float(reach(draws, float(np.sqrt(1.0 / (1.0 + growth))), 24.0).cone_hours[one, six]))
    alive = [h for h in hours if not np.isnan(h)]
    steps = np.diff(alive)
    assert len(alive) < len(hours), "in the end it fails"
    assert np.all(steps > 0)
    assert steps[-1] > 2 * steps[0]
    assert alive[-1] > 2 * alive[0]


@pytest.mark.parametrize(("width", "height"), [(285.0, 245.0), (270.0, 270.0), (290.0, 236.0)])
@pytest.mark.parametrize("shape", ["octagon", "round", "square"])
def test_about_eight_mugs_in_six_tenths_of_a_cubic_foot(shape: str, width: float, height: float) -> None:
    """Common practice, no source: a chamber of about 0.58 cubic feet takes about eight standard mugs."""
    inside = Interior(shape=shape, width_mm=width, height_mm=height)  # type: ignore[arg-type]
    feet = chamber(inside, 64.0).volume_m3 * 1000 / LITRES_PER_CUBIC_FOOT
    scale = (0.58 / feet) ** 0.5
    inside = Interior(shape=shape, width_mm=width * scale, height_mm=height)  # type: ignore[arg-type]
    assert chamber(inside, 64.0).volume_m3 * 1000 / LITRES_PER_CUBIC_FOOT == pytest.approx(0.58, abs=0.001)
    mug = Piece(name="mug", width_mm=82.0, height_mm=90.0, handle_mm=30.0)
    found = stack(Kiln(name="k", interior=inside, shelves=2), mug)
    assert found is not None
    assert 6 <= found.per_firing <= 10


def test_duty_factor_of_a_whole_firing() -> None:
    """Duty factors run from 0.5 to 0.65 of full power (common practice, no source)."""
    draws = draws_from_plate(SHED)
    legs = plan_legs("glaze", Cone("6"), 1.0 / 6.0)
    duty = next(
        e for e in energy_estimates(run_kiln(draws, None, legs), None, "") if e.name == "duty_factor"
    )
    assert DUTY_USUAL[0] <= duty.value <= DUTY_USUAL[1] + 0.02
    assert duty.low <= DUTY_USUAL[0] + 0.05
    assert duty.high >= DUTY_USUAL[1]


def test_a_kiln_rated_two_cones_above_gets_there() -> None:
    """Common practice, no source: buy a kiln rated at least two cones above what you fire. With elements a
    third through their life, on a good circuit, the model gives that firing four chances in five or better;
    and a kiln rated exactly at the cone is less sure.
    """
    outlet = Circuit(name="c", volts=120.0, breaker_A=20.0, wire_awg=12, length_m=10.0, other_load_A=0.0)
    two_above = ceiling(SHED, outlet)
    exactly = ceiling(SHED.model_copy(update={"cone": Cone("6")}), outlet)
    assert two_above is not None
    assert exactly is not None
    sure, less = two_above.chance(Cone("6")), exactly.chance(Cone("6"))
    assert sure is not None
    assert less is not None
    assert sure >= 0.8
    assert less < sure


def test_a_few_volts_are_several_cones() -> None:
    """ANSI C84.1 Range A lets service volts lie 5 % low: 114 V for 120 V, 90.25 % of the power."""
    draws = draws_from_plate(SHED)
    stall = [weighted_quantile(reach(draws, share).stall_degC, draws.weights, 0.5) for share in (1.0, 0.95, 0.90)]
    assert 40 < stall[0] - stall[1] < 120
    assert 40 < stall[1] - stall[2] < 120


def test_heating_of_air() -> None:
    """Air at 20 degC, 1.2 kg/m3 and 1.006 kJ/(kg K) (CRC Handbook): 1 kW into 100 m3/h warms it by 29.8 K."""
    assert temperature_rise_bound_K(1000.0, 100.0) == pytest.approx(1000 / (1.2 * 1006 / 3600 * 100), rel=0.01)


def test_draws_are_always_the_same() -> None:
    first, second = draws_from_plate(SHED), draws_from_plate(SHED)
    np.testing.assert_array_equal(first.loss, second.loss)
    assert len(first.weights) == DRAWS
    assert first.weights.sum() == pytest.approx(1.0)
