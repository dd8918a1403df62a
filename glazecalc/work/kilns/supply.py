"""One circuit judged for one kiln, with the volts its wire takes, and its say in whether a kiln may be fired."""

from __future__ import annotations

from glazecalc.judge.circuit import judge_circuit
from glazecalc.judge.plate import read_plate
from glazecalc.models.conductors import volts_at_load_V
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.mains import CircuitResult, mains_tables
from glazecalc.values.verdict import Answer, Verdict
from glazecalc.work.kilns.kiln_ceiling import wire_loop_ohm


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

    What leaves open whether the circuit carries the kiln turns a yes into cannot say.
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
    text = f"{verdict.message} Whether {circuit.name} carries it cannot be said: {open_[0].message}."
    return Verdict(verdict.rule, Answer.CANNOT_SAY, text, verdict.evidence)
