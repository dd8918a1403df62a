"""The circuit rules on values alone: two things go in, reasons come out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from glazecalc.jobs.circuit import circuit_result, read_plate, voltage_class
from glazecalc.values.answers import Answer
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.mains import CircuitResult, clauses

KILN: dict[str, Any] = {"name": "shed kiln", "volts": 120.0, "amps": 14.4, "plug": "5-20P"}
CIRCUIT: dict[str, Any] = {
    "name": "shed", "volts": 120.0, "breaker_A": 20.0, "receptacle": "5-20R", "wire_awg": 12, "length_m": 9.0,
    "other_load_A": 0.0, "cord": "none", "ground_fault": "no",
}  # fmt: skip


def judge(kiln: dict[str, Any] | None = None, **circuit: Any) -> CircuitResult:
    return circuit_result(Kiln(**{**KILN, **(kiln or {})}), Circuit(**{**CIRCUIT, **circuit}))


def codes(result: CircuitResult, answer: Answer | None = None) -> set[str]:
    return {r.code for r in result.reasons if answer is None or r.answer is answer}


def test_a_good_circuit_fits_and_says_its_numbers() -> None:
    good = judge()
    assert good.answer is Answer.FITS
    assert (good.load_A, good.breaker_A, good.minimum_breaker_A, good.continuous_limit_A) == (
        14.4,
        20,
        20,
        16,
    )
    heater, wire = 120 / 14.4, 2 * 9.0 * 6.50 / 1000  # ohm; 12 AWG: US code, chapter 9, table 8; Ohm's law
    assert good.power_fraction == pytest.approx((heater / (heater + wire)) ** 2, abs=2e-4)


@pytest.mark.parametrize(
    ("key", "code"),
    [
        ("breaker_A", "breaker_unknown"),
        ("receptacle", "receptacle_unknown"),
        ("wire_awg", "wire_unknown"),
        ("other_load_A", "other_load_unknown"),
    ],
)
def test_what_is_not_known_is_never_fine(key: str, code: str) -> None:
    result = judge(**{key: None})
    assert result.answer is Answer.CANNOT_SAY
    assert code in codes(result, Answer.CANNOT_SAY)


@pytest.mark.parametrize(
    ("kiln", "code"),
    [
        ({"amps": None}, "plate_unknown"),
        ({"plug": None}, "plug_unknown"),
        ({"plug": "round pin"}, "plug_not_tabled"),
        ({"volts": None}, "kiln_volts_unknown"),
    ],
)
def test_an_unknown_kiln_is_never_fine(kiln: dict[str, Any], code: str) -> None:
    result = judge(kiln)
    assert result.answer is Answer.CANNOT_SAY
    assert code in codes(result)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"cord": "extension"}, "cord"),
        ({"cord": "power strip"}, "cord"),
        ({"cord": "adapter"}, "adapter"),
        ({"wire_awg": 14}, "wire_too_thin"),
        ({"wire_awg": 18}, "wire_too_thin"),
        ({"breaker_A": 15.0}, "breaker_too_small"),
        ({"other_load_A": 4.0}, "circuit_shared"),
        ({"receptacle": "5-15R"}, "plug_does_not_fit"),
        ({"receptacle": "6-20R"}, "receptacle_voltage"),
        ({"volts": 240.0}, "voltage_class"),
        ({"breaker_A": 30.0, "wire_awg": 10}, "receptacle_breaker_mismatch"),
    ],
)
def test_what_is_wrong_is_said(change: dict[str, Any], code: str) -> None:
    result = judge(**change)
    assert result.answer is Answer.DOES_NOT_FIT
    assert code in codes(result, Answer.DOES_NOT_FIT)


def test_cautions_do_not_decide() -> None:
    result = judge(ground_fault="yes", cord=None)
    assert result.answer is Answer.FITS
    assert {"ground_fault_late_trip", "cord_not_said"} <= codes(result)


def test_other_load_is_at_best_not_known() -> None:
    """Common practice, no source: makers ask for a circuit of the kiln's own."""
    unknown = judge(other_load_A=None)
    assert "what else hangs on this circuit is not known (other_load_A)" in unknown.reasons[0].message
    result = judge(other_load_A=1.0)
    assert result.answer is Answer.CANNOT_SAY
    assert "circuit_shared_within_limit" in codes(result, Answer.CANNOT_SAY)


@pytest.mark.parametrize(("amps", "answer"), [(12.0, Answer.FITS), (12.5, Answer.DOES_NOT_FIT)])
def test_an_outlet_carries_four_fifths_of_its_rating_for_hours(amps: float, answer: Answer) -> None:
    """A 15 A outlet behind a 20 A breaker, three hours and more: 80 % (US code 210.20(A) and 210.23, from memory)."""
    result = judge({"amps": amps, "plug": "5-15P"}, receptacle="5-15R")
    assert (result.answer is Answer.DOES_NOT_FIT) is (answer is Answer.DOES_NOT_FIT)
    assert ("receptacle_over_hours" in codes(result)) is (answer is Answer.DOES_NOT_FIT)


@pytest.mark.parametrize(
    ("amps", "breaker", "large"), [(24.0, 40.0, False), (24.0, 50.0, True), (16.0, 25.0, False), (12.0, 20.0, False)]
)
def test_a_breaker_of_half_again_or_the_next_size_is_the_largest(amps: float, breaker: float, large: bool) -> None:
    """US code 422.11(E), from memory: 150 % of the current, or the next standard size."""
    result = judge(
        {"amps": amps, "plug": None, "volts": 240.0}, volts=240.0, breaker_A=breaker, receptacle="6-50R", wire_awg=6
    )
    assert ("breaker_too_large" in codes(result)) is large


def test_a_plate_that_disagrees_with_itself_is_reported_and_the_larger_load_taken() -> None:
    """A plate of 19 A and 2200 W at 120 V: 2200 / 120 = 18.3 A (a plate seen in practice, facts of the
    trade).
    """
    plate = read_plate(Kiln(name="k", volts=120.0, amps=19.0, watts=2200.0))
    assert plate.load_A == 19.0
    assert plate.amps_from_watts == pytest.approx(18.33, abs=0.01)
    assert plate.mismatch_percent == pytest.approx(3.5, abs=0.05)
    assert "plate_mismatch" in codes(judge({"amps": 19.0, "watts": 2200.0, "plug": None}))


def test_more_volts_in_the_class_draw_more_amps() -> None:
    assert judge({"volts": 115.0, "amps": 15.0}).load_A == pytest.approx(15.0 * 120 / 115)
    assert judge({"volts": 110.0}).answer is Answer.CANNOT_SAY
    low = judge(volts=108.0)
    assert low.load_A == 14.4
    assert "voltage_low" in codes(low)


def test_three_phases() -> None:
    three = Kiln(name="k", volts=208.0, watts=9000.0, phase=3, plug="15-30P")
    assert read_plate(three).load_A == pytest.approx(24.98, abs=0.01)
    circuit = Circuit(**{**CIRCUIT, "volts": 208.0, "breaker_A": 40.0, "receptacle": "6-50R", "wire_awg": 8})
    assert "phase" in codes(circuit_result(three, circuit), Answer.DOES_NOT_FIT)


def test_a_far_too_large_breaker_is_not_fine() -> None:
    result = judge({"amps": 8.0, "plug": None}, breaker_A=50.0, receptacle="6-50R", wire_awg=6)
    assert "breaker_too_large" in codes(result)


def test_voltage_classes() -> None:
    assert [voltage_class(v) for v in (110, 120, 127, 200, 208, 220, 240, 250, 347)] == [
        120, 120, 120, 208, 208, 240, 240, 240, None,
    ]  # fmt: skip


def test_no_answer_ever_suggests_what_hurts() -> None:
    import itertools

    cords = ("none", "extension", "adapter", "power strip", None)
    faults = ("yes", "no", "unknown")
    for cord, fault, breaker in itertools.product(cords, faults, (None, 15.0, 20.0, 50.0)):
        for reason in judge(cord=cord, ground_fault=fault, breaker_A=breaker).reasons:
            words = reason.message.lower()
            assert not any(bad in words for bad in ("bypass", "remove the", "disable", "use an adapter", "wrap"))
            assert "safe" not in words


def test_an_outlet_without_ground_fault_protection_is_said() -> None:
    """Many codes ask for it in garages, sheds, laundries and outdoors (US code, article 210.8; from memory)."""
    none = [r for r in judge(ground_fault="no").reasons if r.code == "ground_fault_none"]
    assert [r.answer for r in none] == [Answer.FITS], "a caution, no verdict"
    assert "Ask an electrician" in none[0].message
    assert not {"ground_fault_none"} & (codes(judge(ground_fault="yes")) | codes(judge(ground_fault="unknown")))


def test_a_kiln_on_208_volts_is_for_its_maker() -> None:
    big = {"volts": 240.0, "amps": 27.0, "plug": "6-50P"}
    found = judge(big, volts=208.0, breaker_A=40.0, receptacle="6-50R", wire_awg=8)
    message = next(r.message for r in found.reasons if r.code == "voltage_208")
    assert "ask the maker for 208 V elements" in message
    assert "sells" not in message


def test_missing_volts_are_those_of_the_outlet_and_said() -> None:
    """NEMA WD 6: series 5 is 125 V, series 6 is 250 V; 240 and 208 V buildings use the same outlets of 250 V (a
    maker's booklet), so that a kiln for 208 V stays open.
    """
    small = judge(volts=None)
    assert small.answer is Answer.FITS
    told = next(r for r in small.reasons if r.code == "volts_from_outlet")
    assert "120 V come from the outlet" in told.message
    big = {"volts": 240.0, "amps": 27.0, "plug": "6-50P"}
    wall = {"volts": None, "breaker_A": 40.0, "receptacle": "6-50R", "wire_awg": 8}
    assert "volts_from_outlet" in codes(judge(big, **wall), Answer.FITS)
    assert "circuit_volts_unknown" in codes(judge({**big, "volts": 208.0}, **wall), Answer.CANNOT_SAY)
    assert "circuit_volts_unknown" in codes(judge(volts=None, receptacle=None), Answer.CANNOT_SAY)
    assert "voltage_class" in codes(judge(big, **{**wall, "receptacle": "5-20R"}), Answer.DOES_NOT_FIT)


@pytest.mark.parametrize("outlet", ["5-30R", "L5-30R", "TT-30R", "L6-30R", "14-30R", "14-50R"])
def test_other_outlets_are_named_and_never_advised(outlet: str) -> None:
    volts = 120.0 if outlet.lstrip("L").startswith(("5", "TT")) else 240.0
    config = outlet.removesuffix("R")
    kiln = {"volts": volts, "amps": 20.0, "plug": config + "P"}
    breaker = float(config[-2:])
    result = judge(kiln, volts=volts, breaker_A=breaker, receptacle=outlet, wire_awg=6)
    told = next(r for r in result.reasons if r.code == "receptacle_unusual")
    assert result.answer is Answer.CANNOT_SAY, "no yes rests on such an outlet"
    assert config in told.message
    assert "ask the maker and an electrician" in told.message
    for plug in ("5-15P", "6-20P"):
        assert "plug_does_not_fit" in codes(
            judge({**kiln, "plug": plug}, volts=volts, breaker_A=breaker, receptacle=outlet, wire_awg=6),
            Answer.DOES_NOT_FIT,
        )


@pytest.mark.parametrize("outlet", ["10-30R", "10-50R"])
def test_old_outlets_without_ground_are_refused(outlet: str) -> None:
    found = judge({"volts": 240.0, "amps": 20.0, "plug": outlet[:-1] + "P"}, volts=240.0, breaker_A=30.0,
                  receptacle=outlet, wire_awg=8)  # fmt: skip
    assert "no_ground" in codes(found, Answer.DOES_NOT_FIT)


def test_an_outlet_in_words_lists_the_choices_with_a_picture() -> None:
    told = next(r for r in judge(receptacle="regular wall").reasons if r.code == "receptacle_not_tabled")
    assert told.answer is Answer.CANNOT_SAY
    assert "5-15R (household outlet: two upright slots" in told.message
    assert "one slot like a T" in told.message
    assert "6-50R" not in told.message, "outlets of other volts are no choice for a 120 V kiln"


@pytest.mark.parametrize(
    ("change", "code", "section", "how"),
    [
        ({"breaker_A": 15.0}, "breaker_too_small", "422.10(A)", "as quoted"),
        ({"wire_awg": 14}, "wire_too_thin", "240.4(D)", "as quoted"),
        ({"cord": "extension"}, "cord", "400.12", "as quoted"),
        ({"cord": "adapter"}, "adapter", "406.4(F)", "from memory"),
        ({"other_load_A": 1.0}, "circuit_shared_within_limit", "110.3(B)", "as quoted"),
        ({"ground_fault": "no"}, "ground_fault_none", "210.8(A)", "as quoted"),
        ({}, "arc_fault", "210.12", "as quoted"),
    ],
)
def test_a_clause_is_named_by_section_edition_and_how_it_is_known(
    change: dict[str, Any], code: str, section: str, how: str
) -> None:
    told = next(r for r in judge(**change).reasons if r.code == code)
    assert section in told.clause
    assert "edition" in told.clause
    assert told.clause.endswith(how)


@pytest.mark.parametrize("room", ["kitchens", "laundries", "garages", "basements", "sink", "outdoors"])
def test_rooms_where_ground_fault_protection_is_asked_for(room: str) -> None:
    """US code 210.8(A), 2023, as summed up by an electrical contractor."""
    assert room in next(r.message for r in judge(ground_fault="no").reasons if r.code == "ground_fault_none")


@pytest.mark.parametrize("room", ["kitchens", "living", "bedrooms", "closets", "hallways", "laundries"])
def test_rooms_where_arc_fault_protection_is_asked_for(room: str) -> None:
    """US code 210.12, 2020 and 2023: 120 V circuits of 15 and 20 A; circuits of 240 V are not covered."""
    assert room in next(r.message for r in judge().reasons if r.code == "arc_fault")
    big = judge({"volts": 240.0, "amps": 27.0, "plug": "6-50P"}, volts=240.0, breaker_A=40.0, receptacle="6-50R")
    assert "arc_fault" not in codes(big)


def test_every_clause_belongs_to_a_reason_that_is_said() -> None:
    source = (Path(__file__).parents[2] / "glazecalc/jobs/circuit.py").read_text(encoding="utf-8")
    for clause in clauses():
        for code in clause.codes:
            assert f'"{code}"' in source, code


def test_every_clause_stands_in_the_docs() -> None:
    page = (Path(__file__).parents[2] / "docs/models/kiln.md").read_text(encoding="utf-8")
    for clause in clauses():
        assert f"| {clause.section} | {clause.edition} | {clause.how} | {clause.says} |" in page


@pytest.mark.parametrize(
    ("plate", "amps", "from_watts"),
    [({"volts": 120.0, "watts": 1800.0}, 15.0, 15.0), ({"volts": 120.0, "amps": 15.0}, 15.0, None), ({"volts": 240.0, "watts": 6000.0, "amps": 25.0}, 25.0, 25.0),
     ({"watts": 1800.0}, None, None), ({"amps": 15.0}, 15.0, None), ({"volts": 400.0, "watts": 6928.2, "phase": 3}, 10.0, 10.0), ({"volts": 240.0}, None, None)],
)  # fmt: skip
def test_a_plate_is_read_by_ohm_and_watt(plate: dict[str, float], amps: float | None, from_watts: float | None) -> None:
    """W = V x A, times the square root of three on three phases."""
    found = read_plate(Kiln(name="k", **plate))
    for read, by_hand in ((found.load_A, amps), (found.amps_from_watts, from_watts)):
        assert read == (None if by_hand is None else pytest.approx(by_hand, abs=1e-3))
