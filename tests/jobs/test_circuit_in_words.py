"""Every reason for or against a circuit, with its figures from a hand calculation and whom it sends the potter to.

Figures: a breaker bears 80 % of its rating for hours (US code 210.19/210.20); W = V x A; a heater's power goes with the square of the
volts; a branch circuit of copper: 14 AWG behind 15 A, 12 behind 20 A, 10 behind 30 A, 6 behind 50 A (US code 240.4(D), from memory).
"""

from __future__ import annotations

from typing import Any

import pytest

from glazecalc.jobs.circuit import circuit_result, refusal, volts_of_outlet, with_circuit
from glazecalc.values.answers import Answer, Verdict
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.mains import mains_tables

NO, OPEN, MIND = Answer.DOES_NOT_FIT, Answer.CANNOT_SAY, Answer.FITS
SMALL: dict[str, Any] = {"volts": 120.0, "amps": 15.0, "plug": "5-20P"}
LARGE: dict[str, Any] = {"volts": 240.0, "amps": 30.0, "plug": "6-50P"}
GOOD: dict[str, Any] = {"volts": 120.0, "breaker_A": 20.0, "receptacle": "5-20R", "wire_awg": 12, "length_m": 5.0, "other_load_A": 0.0, "cord": "none", "ground_fault": "yes"}
STRONG: dict[str, Any] = GOOD | {"volts": 240.0, "breaker_A": 50.0, "receptacle": "6-50R", "wire_awg": 6}
CASES: list[tuple[str, dict[str, Any], dict[str, Any], Answer, tuple[str, ...]]] = [
    ("plate_unknown", {"amps": None}, {}, OPEN, ("amps are not known", "off its plate")),
    ("plate_mismatch", {"watts": 2400.0}, {"breaker_A": 30.0, "receptacle": "5-30R"}, MIND, ("says 15 A", "2400 W at 120 V is 20.0 A", "the larger is used", "ask the maker")),
    ("breaker_unknown", {}, {"breaker_A": None}, OPEN, ("breaker's rating is not known", "on its handle")),
    ("breaker_too_small", {}, {"breaker_A": 15.0}, NO, ("draws 15.0 A for hours", "15 A breaker may carry 12 A", "at least 20 A", "wire and outlet to match")),
    ("breaker_too_large", {}, {"breaker_A": 60.0, "wire_awg": 4}, OPEN, ("breaker (60 A) is larger", "25 A at most", "may not protect its cord", "maker's manual")),
    ("breaker_carries", {}, {}, MIND, ("draws 15.0 A", "20 A breaker may carry 16 A for hours")),
    ("load_beyond_table", LARGE | {"amps": 300.0}, STRONG, OPEN, ("load of 300.0 A is beyond the table", "ask an electrician")),
    ("other_load_unknown", {}, {"other_load_A": None}, OPEN, ("what else hangs on this circuit is not known", "switch the breaker off")),
    ("circuit_shared", {}, {"other_load_A": 3.0}, NO, ("with 3 A of other load", "would carry 18.0 A", "its limit over hours is 16 A")),
    ("circuit_shared_within_limit", {"amps": 10.0}, {"other_load_A": 2.0}, OPEN, ("2 A of other load is on it", "a circuit of the kiln's own")),
    ("wire_unknown", {}, {"wire_awg": None}, OPEN, ("gauge is not known", "an electrician can read it at the panel")),
    ("wire_too_thin", {}, {"wire_awg": 14}, NO, ("14 AWG copper may stand behind at most a 15 A breaker, here it is 20 A", "overheat before the breaker trips", "electrician", "before anything is plugged in")),
    ("wire_too_thin", {}, {"wire_awg": 18}, NO, ("18 AWG is too thin for any branch circuit",)),
    ("wire_not_tabled", {}, {"wire_awg": 5}, OPEN, ("5 AWG is not in the table", "ask an electrician")),
    ("volts_from_outlet", {}, {"volts": None}, MIND, ("volts are not given", "120 V come from the outlet's type", "have them measured")),
    ("volts_from_outlet", LARGE, STRONG | {"volts": None}, MIND, ("240 V come from the outlet's type", "where it is 208 V a 240 V kiln has three quarters of its power")),
    ("kiln_volts_unknown", {"volts": None}, {}, OPEN, ("the kiln's volts are not known", "read its plate")),
    ("circuit_volts_unknown", {}, {"volts": None, "receptacle": None}, OPEN, ("the circuit's volts are not known", "measured under load")),
    ("voltage_class", LARGE, {}, NO, ("240 V kiln does not belong on a 120 V circuit",)),
    ("voltage_class", {}, STRONG, NO, ("120 V kiln does not belong on a 240 V circuit",)),
    ("voltage_class", LARGE | {"volts": 400.0}, STRONG, NO, ("400 V kiln does not belong on 240 V",)),
    ("voltage_208", LARGE, STRONG | {"volts": 208.0}, NO, ("on 208 V gives 75 % of its power", "ask the maker for 208 V elements")),
    ("voltage_high", {"volts": 110.0}, {}, OPEN, ("120 V on a 110 V kiln is 19 % more power than its plate", "ask the maker")),
    ("voltage_low", {}, {"volts": 110.0}, MIND, ("110 V on a 120 V kiln leaves 84 % of its power",)),
    ("phase", {"phase": 3}, {}, NO, ("a three-phase kiln does not run on a single-phase circuit",)),
    ("phase", {}, {"phase": 3}, OPEN, ("a single-phase kiln on a three-phase circuit is for an electrician to connect",)),
    ("cord", {}, {"cord": "extension"}, NO, ("no extension cord on a kiln: it overheats; plug into the wall",)),
    ("cord", {}, {"cord": "power strip"}, NO, ("no power strip on a kiln: it overheats; plug into the wall",)),
    ("adapter", {}, {"cord": "adapter"}, NO, ("no adapter on a kiln", "a circuit that was not made for it")),
    ("cord_not_said", {}, {"cord": None}, MIND, ("only when plugged straight into the wall: no adapter, no extension cord",)),
    ("ground_fault_none", {}, {"ground_fault": "no"}, MIND, ("no ground-fault protection is known here", "bathrooms, garages, sheds", "6 ft (1.8 m) of a sink", "Ask an electrician")),
    ("ground_fault_late_trip", {}, {}, MIND, ("this circuit has ground-fault protection", "It stays in place; if it trips, stop, let cool, and ask the maker and an electrician")),
    ("ground_fault_unknown", {}, {"ground_fault": "unknown"}, MIND, ("ask whether this circuit has ground-fault protection", "may trip late in a firing", "It stays in place")),
    ("arc_fault", {}, {}, MIND, ("arc-fault protection as well on 120 V circuits of 15 and 20 A", "bedrooms", "Ask an electrician")),
    ("drop_unknown", {}, {"length_m": None}, MIND, ("the volts lost in the wire are not worked out",)),
    ("receptacle_unknown", {}, {"receptacle": None}, OPEN, ("the outlet's type is not known", "its face shows it")),
    ("receptacle_not_tabled", {}, {"receptacle": "9-99R"}, OPEN, ("'9-99R' is none of the known ones", "5-20R", "else ask an electrician")),
    ("receptacle_unusual", LARGE | {"plug": "14-50P"}, STRONG | {"receptacle": "14-50R"}, OPEN, ("not one that kilns are usually made for", "whose maker fitted a 14-50 plug", "ask the maker and an electrician")),
    ("no_ground", LARGE | {"plug": "10-50P"}, STRONG | {"receptacle": "10-50R"}, NO, ("outlet 10-50 has no ground", "a kiln's case must be grounded")),
    ("receptacle_voltage", {}, {"receptacle": "6-20R"}, NO, ("outlet 6-20 is made for 250 V, not for 120 V",)),
    ("receptacle_too_small", LARGE, STRONG | {"receptacle": "6-20R"}, NO, ("outlet 6-20 is rated 20 A; the kiln draws 30.0 A",)),
    ("receptacle_over_hours", {}, {"receptacle": "5-15R"}, NO, ("outlet 5-15 may carry 12 A for hours (80 % of its 15 A)", "draws 15.0 A")),
    ("receptacle_breaker_mismatch", {"amps": 10.0}, {"receptacle": "5-15R", "breaker_A": 30.0, "wire_awg": 10}, NO, ("a 15 A outlet does not belong on a 30 A breaker", "have an electrician put it right")),
    ("plug_unknown", {"plug": None}, {}, OPEN, ("the kiln's plug is not known", "chart in its manual")),
]  # fmt: skip


@pytest.mark.parametrize(("code", "kiln", "circuit", "answer", "told"), CASES, ids=[f"{c[0]}-{i}" for i, c in enumerate(CASES)])
def test_each_reason_says_what_and_who(code: str, kiln: dict[str, Any], circuit: dict[str, Any], answer: Answer, told: tuple[str, ...]) -> None:
    result = circuit_result(Kiln(name="k", **(SMALL | kiln)), Circuit(name="c", **(GOOD | circuit)))
    reason = next((r for r in result.reasons if r.code == code), None)
    assert reason is not None, [r.code for r in result.reasons]
    assert reason.answer is answer and all(words in reason.message for words in told), reason.message
    ranks = [(NO, OPEN, MIND).index(r.answer) for r in result.reasons]
    assert ranks == sorted(ranks) and result.answer is result.reasons[0].answer, "the worst leads"


def test_the_volts_the_wire_takes_are_worked_out() -> None:
    """12 AWG is 6.50 ohm/km (NEC chapter 9 table 8): 2 x 40 m are 0.52 ohm; beside 120/15 = 8 ohm they take 0.52/8.52 of 120 V."""
    result = circuit_result(Kiln(name="k", **SMALL), Circuit(name="c", **(GOOD | {"length_m": 40.0})))
    taken = 120 * 0.52 / 8.52
    assert result.voltage_drop_V == pytest.approx(taken, rel=0.02) and result.volts_at_kiln_V == pytest.approx(120 - taken, rel=0.002)
    assert result.power_fraction == pytest.approx((8 / 8.52) ** 2, rel=0.003)
    reason = next(r for r in result.reasons if r.code == "voltage_drop")
    assert "the wire takes 7.3 V, 6.1 % (advice is at most 3 %)" in reason.message and "falls by about 12 %" in reason.message
    near = circuit_result(Kiln(name="k", **SMALL), Circuit(name="c", **(GOOD | {"length_m": 10.0})))
    assert "voltage_drop" not in {r.code for r in near.reasons}


@pytest.mark.parametrize(("outlet", "kiln_volts", "volts"), [("5-15R", 120.0, 120.0), ("6-50R", 240.0, 240.0), ("6-50R", 208.0, None), ("6-50R", None, 240.0), ("9-99R", 240.0, None)])
def test_an_outlet_tells_its_volts_where_it_can(outlet: str, kiln_volts: float | None, volts: float | None) -> None:
    tables, kiln = mains_tables(), Kiln(name="k", volts=kiln_volts)
    assert volts_of_outlet(kiln, Circuit(name="c", receptacle=outlet), tables) == volts
    assert volts_of_outlet(kiln, Circuit(name="c", receptacle=outlet, volts=117.0), tables) is None


def test_a_refused_circuit_says_so_for_the_kiln_and_outweighs_its_heat() -> None:
    kiln, good, bad = Kiln(name="Small", **SMALL), Circuit(name="Wall", **GOOD), Circuit(name="Cord", **(GOOD | {"cord": "extension"}))
    assert refusal(kiln, good) is None
    assert refusal(kiln, bad) == "this circuit (Cord) must not be used for Small: no extension cord on a kiln: it overheats; plug into the wall"
    heat = Verdict("kiln_reaches", MIND, "It gets there.")
    assert with_circuit(heat, kiln, bad).answer is NO and "no extension cord" in with_circuit(heat, kiln, bad).message
    assert with_circuit(heat, kiln, good).answer is MIND
