"""One circuit judged for one kiln, with the volts its wire takes, and its say in whether a kiln may be fired."""

from __future__ import annotations

from typing import Final

from glazecalc.judge.circuit import judge_circuit
from glazecalc.judge.plate import read_plate
from glazecalc.models.conductors import volts_at_load_V
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.mains import CircuitResult, mains_tables
from glazecalc.values.verdict import Answer, Verdict
from glazecalc.work.kilns.kiln_ceiling import wire_loop_ohm

WEIGHTY: Final = frozenset(
    {"plate_unknown", "load_beyond_table", "breaker_unknown", "receptacle_unknown", "receptacle_not_tabled",
     "plug_unknown", "plug_not_tabled", "kiln_volts_unknown", "circuit_volts_unknown"}
)  # fmt: skip
"""Unknowns without which nobody can say that a circuit carries a kiln; others are told as a caution."""


def circuit_result(kiln: Kiln, circuit: Circuit) -> CircuitResult:
    """One circuit judged, with the volts its wire takes."""
    plate = read_plate(kiln)
    loop = wire_loop_ohm(circuit)
    drop = volts = None
    if circuit.volts is not None:
        volts = circuit.volts
        if loop is not None and plate.load_A is not None and kiln.volts is not None:
            volts = volts_at_load_V(circuit.volts, loop, kiln.volts, plate.load_A, circuit.other_load_A or 0.0)
            drop = circuit.volts - volts
    return judge_circuit(kiln, circuit, mains_tables(), drop, volts if loop is not None else None)


def refusal(kiln: Kiln, circuit: Circuit | None) -> str | None:
    """Why this circuit must not be used for this kiln, in a clause without a full stop; None where it may be."""
    if circuit is None:
        return None
    found = circuit_result(kiln, circuit)
    if found.answer is not Answer.DOES_NOT_FIT:
        return None
    return f"this circuit ({circuit.name}) must not be used for {kiln.name}: {found.reasons[0].message}"


def with_circuit(verdict: Verdict, kiln: Kiln, circuit: Circuit | None) -> Verdict:
    """``verdict`` on the heat alone, with what the circuit rules say; a refused circuit outweighs the heat.

    An unknown in ``WEIGHTY`` turns a yes into cannot say; any other is told behind the answer.
    """
    if circuit is None:
        return verdict
    no = refusal(kiln, circuit)
    if no is not None:
        text = f"{no[:1].upper()}{no[1:]}. By the heat alone: {verdict.message}"
        because = f"{kiln.name} must not be plugged in at {circuit.name}"
        return Verdict(verdict.rule, Answer.DOES_NOT_FIT, text, verdict.evidence, because)
    found = circuit_result(kiln, circuit)
    open_ = [r for r in found.reasons if r.answer is Answer.CANNOT_SAY]
    if not open_ or verdict.answer is Answer.DOES_NOT_FIT:
        return verdict
    weighty = next((r for r in open_ if r.code in WEIGHTY), None)
    answer = Answer.CANNOT_SAY if weighty else verdict.answer
    text = f"{verdict.message} Whether {circuit.name} carries it cannot be said: {(weighty or open_[0]).message}."
    return Verdict(verdict.rule, answer, text, verdict.evidence)
