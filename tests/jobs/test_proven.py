"""A cone that came down proves how hot a kiln gets at least, though nothing else of its firing can be followed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from glazecalc.jobs.ceiling import ceiling, plate_draws
from glazecalc.jobs.learn_kiln import learn_kiln, learned_draws
from glazecalc.models.kiln import run_full_power
from glazecalc.models.kiln_reach import heat_along, supply_share
from glazecalc.values.answers import Basis
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Circuit, Interior, Kiln
from glazecalc.values.records import FiringRecord, Reading, WitnessCone

KILN = Kiln(
    name="Shed kiln", volts=120.0, amps=15.0, cone=Cone("8"), shelves=1, firings_on_elements=35, wall_mm=64.0,
    interior=Interior(shape="octagon", width_mm=290.0, height_mm=230.0),
)  # fmt: skip
FAR = Circuit(name="Far", volts=120.0, wire_awg=12, length_m=35.0, other_load_A=0.0)


def fired(*cones: tuple[str, str], **fields: Any) -> FiringRecord:
    """A firing of which nothing but its cones is known; invented for the demo."""
    given: dict[str, Any] = {"id": "F1", "kiln": "Shed kiln", "circuit": "Far", "hours": 10.0}
    return FiringRecord(**{**given, "cones": tuple(WitnessCone(c, b) for c, b in cones), **fields})


def chance(cone: str, *firings: FiringRecord) -> float:
    found = ceiling(KILN, FAR, learned_draws(KILN, firings, (FAR,)) if firings else None)
    assert found is not None
    odds = found.chance(Cone(cone))
    assert odds is not None
    return odds


def test_a_cone_that_came_down_raises_the_odds_of_it_and_never_lowers_any() -> None:
    seen = fired(("5", "down"), ("6", "half"))
    for cone in ("4", "5", "6", "7", "8"):
        assert chance(cone, seen) >= chance(cone) - 1e-9
    assert chance("6", seen) > chance("6") + 0.05
    assert chance("6", fired(("7", "down"))) > chance("6", seen)


def test_the_firing_counts_as_used_and_says_what_it_proved() -> None:
    found = learn_kiln(KILN, [fired(("6", "down"))], FAR, (FAR,))
    assert [id_ for id_, _ in found.used] == ["F1"]
    assert "cone 6 came down, so the kiln gets at least there" in found.used[0][1]
    assert "no readings" in found.used[0][1]
    assert found.ceiling is not None and found.ceiling.estimate.basis is Basis.LEARNED
    assert found.ceiling_before is not None
    assert found.ceiling.estimate.low > found.ceiling_before.estimate.low


def test_the_likely_kilns_left_are_those_that_can_do_it() -> None:
    """By the forward model: of those that full power for ten hours leaves well short of the cone hardly any weight is
    left, the others stand to each other as before."""
    before, after = plate_draws(KILN), learned_draws(KILN, (fired(("6", "down"), volts=111.0),), ())
    assert after is not None
    run = run_full_power(before.model(supply_share(before, 111.0, 0.0)), 10.0)
    done = heat_along(run, (Cone("6"),))[-1, :, 0]
    short, well = done < 0.4, done > 3.0
    assert short.any() and well.any()
    assert after.weights[short].sum() < 0.05 * before.weights[short].sum()
    ratio = after.weights[well] / before.weights[well]
    assert float(np.ptp(ratio)) < 0.05 * float(ratio.mean())


@pytest.mark.parametrize(
    ("record", "words"),
    [
        (fired(("06", "down")), "which is no news"),
        (fired(("8", "down"), hours=1.0), "written down rightly?"),
        (fired(("6", "down"), volts=240.0), "240 V"),
        (fired(("8", "stands")), "no readings"),
    ],
)
def test_what_proves_nothing_changes_nothing(record: FiringRecord, words: str) -> None:
    readings = (Reading(1.0, 300.0), Reading(2.0, 500.0)) if record.volts == 240.0 else ()
    record = FiringRecord(**{f: getattr(record, f) for f in record.__slots__} | {"readings": readings})
    found = learn_kiln(KILN, [record], FAR, (FAR,))
    assert not found.used
    assert found.ceiling == found.ceiling_before
    if not readings:
        assert words in found.left_out[0][1]


def test_many_proofs_are_no_more_than_the_strongest() -> None:
    many = tuple(fired(("6", "down"), id=f"F{i}") for i in range(12))
    assert chance("8", *many) == pytest.approx(chance("8", many[0]), abs=0.02)


def test_cones_left_out_of_a_followed_firing_prove_reach_too() -> None:
    """Readings that stop before the end: the climb is followed, the cone is a lower bound."""
    degC = (20, 120, 400, 680, 900, 1010, 1085)
    looks = tuple(Reading(float(h), float(t)) for h, t in enumerate(degC))
    plain, proven = (
        learn_kiln(KILN, [fired(*cones, hours=11.0, readings=looks)], FAR, (FAR,)) for cones in ((), (("6", "down"),))
    )
    assert "cones are left out" in proven.used[0][1]
    assert "cone 6 came down" in proven.used[0][1]
    assert plain.ceiling is not None and proven.ceiling is not None
    odds = [found.ceiling.chance(Cone("6")) or 0.0 for found in (plain, proven) if found.ceiling]
    assert odds[1] > odds[0]
