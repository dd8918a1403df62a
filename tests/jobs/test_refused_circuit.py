"""A refused circuit, a room that will not do and a cone above the rating are said wherever a firing is planned.

A 15 A load for hours wants a breaker of 20 A: continuous load at most 80 % (NEC 210.19, 210.20).
"""

from __future__ import annotations

from typing import Any

import pytest

from glazecalc.jobs.circuit import with_circuit
from glazecalc.jobs.firing import FiringWish, plan_firing
from glazecalc.jobs.kiln import check_kiln
from glazecalc.jobs.setup import Setup
from glazecalc.values.answers import Answer, Verdict
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Circuit, Interior, Kiln, Room

KILN = Kiln(
    name="K", volts=120.0, amps=15.0, plug="5-15P", cone=Cone("8"),
    interior=Interior(shape="square", width_mm=200.0, height_mm=200.0),
)  # fmt: skip
HEAT = Verdict("kiln_reaches", Answer.FITS, "K gets to cone 6.")


def wired(**changes: Any) -> Circuit:
    given = {
        "name": "wall", "volts": 120.0, "breaker_A": 20.0, "receptacle": "5-20R", "wire_awg": 12, "length_m": 5.0,
        "other_load_A": 0.0, "cord": "none", "ground_fault": "no",
    }  # fmt: skip
    return Circuit(**{**given, **changes})


SMALL = wired(breaker_A=15.0, receptacle="5-15R", wire_awg=14)


def test_a_refused_circuit_outweighs_the_heat() -> None:
    told = with_circuit(HEAT, KILN, SMALL)
    assert told.answer is Answer.DOES_NOT_FIT
    assert told.message.startswith("This circuit (wall) must not be used for K: the kiln draws 15.0 A")
    report = plan_firing(FiringWish("glaze", Cone("6")), Setup(kiln=KILN, circuit=SMALL))
    assert report.answer is Answer.DOES_NOT_FIT
    assert report.sentence.startswith("Do not: this circuit (wall) must not be used")


@pytest.mark.parametrize(
    ("changes", "answer"),
    [
        ({"breaker_A": None}, Answer.CANNOT_SAY),
        ({"receptacle": ""}, Answer.CANNOT_SAY),
        ({"wire_awg": None}, Answer.CANNOT_SAY),
        ({"other_load_A": None}, Answer.CANNOT_SAY),
    ],
)
def test_an_unknown_is_never_silent(changes: dict[str, Any], answer: Answer) -> None:
    told = with_circuit(HEAT, KILN.model_copy(update={"plug": "5-20P"}), wired(**changes))
    assert told.answer is answer
    assert "is open" in told.message


def test_no_schedule_above_the_rating() -> None:
    report = plan_firing(FiringWish("glaze", Cone("10")), Setup(kiln=KILN))
    assert report.answer is Answer.DOES_NOT_FIT
    assert report.segments == ()
    assert report.sentence.startswith("Do not: cone 10 is above the maker's rating")
    unrated = plan_firing(FiringWish("glaze", Cone("10")), Setup(kiln=KILN.model_copy(update={"cone": None})))
    assert unrated.segments


def test_the_no_of_a_usual_room_leads() -> None:
    """Eighteen inches, 457 mm, all round: common practice, no source."""
    room = Room(name="Shed", exhaust_m3_per_h=150.0, floor="concrete", separate=True, clearance_mm=450.0)
    report = check_kiln(Setup(kiln=KILN, cone=Cone("6"), room=room))
    assert report.answer is Answer.DOES_NOT_FIT
    assert report.sentence.startswith("Not in Shed as it is: 450 mm free")
    assert "457 mm" in report.sentence
