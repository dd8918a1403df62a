"""What firings teach of a kiln: parameters recovered from invented firings, and records read rightly."""

from __future__ import annotations

import numpy as np
import pytest

from glazecalc.jobs.learn_kiln import curve_of, flat_out_from, learn_kiln, learned_draws
from glazecalc.models.kiln_learning import (
    FiringCurve,
    along_records,
    draws_after,
    fit_kiln,
    model_of,
    prior_of,
    read_at,
)
from glazecalc.models.kiln_reach import draws_from_plate, weighted_quantile
from glazecalc.values.answers import Answer, Basis, ProblemsError
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Interior, Kiln
from glazecalc.values.records import FiringRecord, Reading, WitnessCone

KILN = Kiln(
    name="Shed kiln", volts=120.0, amps=15.0, cone=Cone("8"), shelves=1, firings_on_elements=20, wall_mm=64.0,
    interior=Interior(shape="octagon", width_mm=290.0, height_mm=230.0),
)  # fmt: skip
PLATE_W = 1800.0
DRAWS = draws_from_plate(KILN)
HOURS = tuple(np.arange(0.0, 7.01, 1.0))


def invented(theta: np.ndarray, own: np.ndarray, rng: np.random.Generator, on_elements: int) -> FiringCurve:
    """A firing of a kiln with these true parameters, read with the scatter the fit reckons with."""
    blank = FiringCurve(HOURS, (20.0,) * len(HOURS), 118.0, True, 0.0, on_elements)
    ((hours, chamber),) = along_records([model_of(DRAWS, PLATE_W, blank, theta[None], own[None])], [blank])
    degC = read_at(np.array(HOURS[1:]), hours, chamber)
    read = degC[0] + 8.0 * rng.standard_normal(degC.shape[1])
    return FiringCurve(HOURS, (20.0, *read.tolist()), 118.0, True, 0.0, on_elements)


def test_true_values_lie_inside_their_intervals_as_often_as_said() -> None:
    """Sixty invented kilns with two firings each: the 90 % intervals hold the truth 86 to 95 % of the
    time."""
    mean, covariance = prior_of(DRAWS, PLATE_W)
    root = np.linalg.cholesky(covariance)
    rng = np.random.default_rng(20240611)
    held = np.zeros(5)
    kilns = 60
    for _ in range(kilns):
        theta = mean + root @ rng.standard_normal(5)
        firings = tuple(invented(theta, rng.standard_normal(2), rng, n) for n in (20, 60))
        fit = fit_kiln(DRAWS, PLATE_W, firings)
        held += np.abs(fit.mean - theta) < 1.645 * np.sqrt(np.diag(fit.covariance))
    assert 0.86 <= held.sum() / (5 * kilns) <= 0.95
    assert np.all(held / kilns > 0.78)


def test_firings_narrow_what_is_known() -> None:
    rng = np.random.default_rng(7)
    mean, covariance = prior_of(DRAWS, PLATE_W)
    firing = invented(mean, np.zeros(2), rng, 20)
    fit = fit_kiln(DRAWS, PLATE_W, (firing,))
    assert fit.covariance[1, 1] < 0.25 * covariance[1, 1]
    after = draws_after(DRAWS, PLATE_W, fit, 20)
    assert after.learned
    low, high = (weighted_quantile(after.loss, after.weights, p) for p in (0.05, 0.95))
    assert low < np.exp(fit.mean[1]) < high
    assert fit.misfit < 2.0


def record(**changes: object) -> FiringRecord:
    """A firing written down in a notebook: a ramp by the controller, then flat out; invented for the test."""
    degC = (20, 120, 400, 680, 900, 1010, 1085, 1135, 1170)
    fields: dict[str, object] = {
        "id": "F1", "kiln": "Shed kiln", "target_cone": "6", "hours": 8.0, "volts": 118.0, "on_elements": 22,
        "readings": tuple(Reading(float(h), float(t)) for h, t in enumerate(degC)),
        "cones": (WitnessCone("3", "down"), WitnessCone("8", "stands")),
    }  # fmt: skip
    return FiringRecord(**{**fields, **changes})  # type: ignore[arg-type]


def test_the_flat_out_stretch_is_found_from_the_climb() -> None:
    assert flat_out_from([0, 1, 2, 3, 4, 5], [20, 120, 400, 600, 750, 850]) == 1
    assert flat_out_from([0, 1, 2, 3, 4], [20, 120, 220, 320, 420]) is None
    assert flat_out_from([0, 1, 2], [20, 400, 700]) is None
    curve, told = curve_of(KILN, record())
    assert curve is not None
    assert 1.0 <= curve.flat_out_h <= 3.0
    assert curve.down == (Cone("3"),)
    assert curve.standing == (Cone("8"),)
    assert "full power" in told


def test_learning_gives_estimates_and_a_ceiling() -> None:
    found = learn_kiln(KILN, [record()])
    assert [name for name, _ in found.used] == ["F1"]
    assert {e.name for e in found.estimates} == {"power_factor", "loss_factor", "heat_store_factor", "element_wear"}
    assert all(e.basis is Basis.LEARNED for e in found.estimates)
    before = {e.name: e for e in found.before}
    after = {e.name: e for e in found.estimates}
    width = [e["loss_factor"].high - e["loss_factor"].low for e in (after, before)]
    assert width[0] < width[1]
    assert found.ceiling is not None
    assert found.ceiling.estimate.basis is Basis.LEARNED
    assert found.ceiling.cone is not None
    assert Cone("3") <= found.ceiling.cone <= Cone("8")


def test_a_firing_that_tells_nothing_is_left_out_with_its_reason() -> None:
    by_controller = record(readings=tuple(Reading(float(h), 20.0 + 100 * h) for h in range(9)), cones=())
    found = learn_kiln(KILN, [by_controller, record(id="F3", readings=(), cones=())])
    assert not found.used
    assert len(found.left_out) == 2
    assert "plate" in found.sentence
    assert learned_draws(KILN, [by_controller]) is None
    whole = record(readings=(), peak_degC=1180.0, schedule="full power from cold")
    curve, _ = curve_of(KILN, whole)
    assert curve is not None
    assert curve.hours == (0.0, 8.0)


def test_records_that_do_not_fit_the_kiln_are_said() -> None:
    degC = (900.0, 901.0, 901.5, 901.7, 901.8)
    strange = record(readings=tuple(Reading(h + 1.0, t) for h, t in enumerate(degC)), cones=())
    found = learn_kiln(KILN, [strange])
    assert [p.code for p in found.problems] == ["kiln-misfit"]
    assert any("times further from the model than readings do" in why for _, why in (*found.used, *found.left_out))


def test_a_kiln_that_is_not_described_cannot_learn() -> None:
    with pytest.raises(ProblemsError, match="not known"):
        learn_kiln(Kiln(name="k", volts=120.0, amps=15.0), [record()])


def test_hours_that_creep_up_are_a_warning() -> None:
    firings = [record(id=f"F{i}", hours=h, readings=()) for i, h in enumerate((6.0, 6.2, 6.5, 7.1, 7.6, 8.4))]
    wear = learn_kiln(KILN, firings).wear
    assert wear is not None
    assert wear.verdict.answer is Answer.CANNOT_SAY
    assert wear.percent_per_firing is not None
    assert 4 < wear.percent_per_firing < 10


@pytest.mark.parametrize(
    ("changes", "why"),
    [({"readings": tuple(Reading(float(h), 20.0 + 100 * h) for h in range(9))}, "no stretch in which the climb kept slowing"),
     ({"readings": ()}, "no readings of time and temperature")],
)  # fmt: skip
def test_each_firing_that_is_left_out_says_what_it_lacks(changes: dict, why: str) -> None:
    found = learn_kiln(KILN, [record(cones=(), **changes)])
    assert [why in reason for _, reason in found.left_out] == [True]

