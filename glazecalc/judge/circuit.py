"""May this kiln be plugged in there? The circuit rules of the trade, each a small function.

Every rule looks at the same facts and yields reasons. A plug that fits is no proof that the circuit carries
the load, and what is not known is never taken as fine. The rules are the usual North American ones; the
local code, the maker's manual and a licensed electrician decide.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from glazecalc.judge.outlet import outlet_rule, plug_rule
from glazecalc.judge.plate import (
    CONTINUOUS_SHARE,
    Facts,
    Plate,
    cautions,
    forbids,
    leaves_open,
    read_plate,
    voltage_class,
)
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.mains import CircuitResult, MainsTables, Reason
from glazecalc.values.verdict import badness, worst

PLATE_MISMATCH_PERCENT: Final = 3.0
ADVISED_DROP_PERCENT: Final = 3.0
"""Advice of the US code for a branch circuit, not a rule [%]; from memory."""


def judge_circuit(
    kiln: Kiln,
    circuit: Circuit,
    tables: MainsTables,
    drop_V: float | None = None,
    volts_at_kiln_V: float | None = None,
) -> CircuitResult:
    """Everything that can be said of ``kiln`` on ``circuit``; the answer is the worst of the reasons.

    ``drop_V`` and ``volts_at_kiln_V`` are worked out from the wire beforehand [V]; None where the wire is
    not known.
    """
    plate = read_plate(kiln)
    load = _load_here(kiln, circuit, plate)
    minimum = tables.breaker_for(load / CONTINUOUS_SHARE) if load is not None else None
    limit = CONTINUOUS_SHARE * circuit.breaker_A if circuit.breaker_A is not None else None
    outlet = tables.receptacle(circuit.receptacle) if circuit.receptacle else None
    facts = Facts(kiln, circuit, tables, plate, load, minimum, limit, drop_V, outlet)
    reasons = tuple(reason for rule in RULES for reason in rule(facts))
    power = None
    if volts_at_kiln_V is not None and kiln.volts is not None and 0.7 < volts_at_kiln_V / kiln.volts < 1.15:
        power = (volts_at_kiln_V / kiln.volts) ** 2
    return CircuitResult(
        name=circuit.name,
        answer=worst(reason.answer for reason in reasons),
        load_A=load,
        breaker_A=circuit.breaker_A,
        minimum_breaker_A=minimum,
        continuous_limit_A=limit,
        voltage_drop_V=drop_V,
        volts_at_kiln_V=volts_at_kiln_V,
        power_fraction=power,
        reasons=tuple(sorted(reasons, key=lambda r: badness(r.answer), reverse=True)),
    )


def _load_here(kiln: Kiln, circuit: Circuit, plate: Plate) -> float | None:
    """Amps to reckon with: the plate's, and more where the circuit's volts of the same class are higher."""
    if plate.load_A is None:
        return None
    if kiln.volts and circuit.volts and voltage_class(kiln.volts) == voltage_class(circuit.volts):
        return plate.load_A * max(1.0, circuit.volts / kiln.volts)
    return plate.load_A


def _plate_rule(f: Facts) -> Iterator[Reason]:
    plate = f.plate
    if plate.load_A is None:
        yield leaves_open(
            "plate_unknown", "the kiln's amps are not known: read amps or watts, and volts, off its plate"
        )
    if plate.mismatch_percent is not None and plate.mismatch_percent > PLATE_MISMATCH_PERCENT:
        yield cautions(
            "plate_mismatch",
            f"the plate says {f.kiln.amps:g} A, but its {f.kiln.watts:g} W at {f.kiln.volts:g} V is"
            f" {plate.amps_from_watts:.1f} A; the larger is reckoned with, ask the maker which holds",
        )


def _breaker_rule(f: Facts) -> Iterator[Reason]:
    breaker, load = f.circuit.breaker_A, f.load_A
    if breaker is None:
        yield leaves_open("breaker_unknown", "the breaker's rating is not known: read it on its handle")
    if load is None:
        return
    if f.minimum_breaker_A is None:
        yield leaves_open("load_beyond_table", f"a load of {load:.1f} A is beyond the table: ask an electrician")
        return
    if breaker is None or f.limit_A is None:
        return
    if load > f.limit_A + 1e-6:
        yield forbids(
            "breaker_too_small",
            f"the kiln draws {load:.1f} A for hours; a {breaker:g} A breaker may carry {f.limit_A:g} A"
            " for that long."
            f" It needs a breaker of at least {f.minimum_breaker_A:g} A, and wire and outlet to match",
        )
    elif breaker >= 2 * f.minimum_breaker_A:
        yield leaves_open(
            "breaker_too_large",
            f"the breaker ({breaker:g} A) is far larger than this kiln needs ({f.minimum_breaker_A:g} A)"
            " and may not"
            " protect its cord: the maker's manual gives the largest breaker",
        )
    else:
        yield cautions(
            "breaker_carries",
            f"the kiln draws {load:.1f} A; a {breaker:g} A breaker may carry {f.limit_A:g} A for hours",
        )


def _sharing_rule(f: Facts) -> Iterator[Reason]:
    other = f.circuit.other_load_A
    if other is None:
        yield leaves_open(
            "other_load_unknown",
            "it is not known what else hangs on this circuit: switch the breaker off and see what goes dead",
        )
        return
    if other == 0:
        return
    if f.load_A is not None and f.limit_A is not None and f.load_A + other > f.limit_A + 1e-6:
        yield forbids(
            "circuit_shared",
            f"with {other:g} A of other load the circuit would carry {f.load_A + other:.1f} A;"
            f" its limit over hours is {f.limit_A:g} A",
        )
    else:
        yield cautions(
            "circuit_shared_within_limit",
            f"{other:g} A of other load is on it; a kiln wants a circuit of its own",
        )


def _wire_rule(f: Facts) -> Iterator[Reason]:
    awg, breaker = f.circuit.wire_awg, f.circuit.breaker_A
    if awg is None:
        yield leaves_open("wire_unknown", "the wire's gauge is not known: an electrician can read it at the panel")
        return
    wire = f.tables.conductor(awg)
    if wire is None:
        thin = awg > max(c.awg for c in f.tables.conductors)
        if thin:
            yield forbids("wire_too_thin", f"{awg} AWG is too thin for any branch circuit")
        else:
            yield leaves_open("wire_not_tabled", f"{awg} AWG is not in the table: ask an electrician")
    elif breaker is not None and breaker > wire.largest_breaker_A:
        yield forbids(
            "wire_too_thin",
            f"{awg} AWG copper may stand behind at most a {wire.largest_breaker_A:g} A breaker, here it"
            f" is {breaker:g} A:"
            " the wire can overheat before the breaker trips. Have an electrician look at it before"
            " anything is plugged in",
        )


def _voltage_rule(f: Facts) -> Iterator[Reason]:
    plate, here = f.kiln.volts, f.circuit.volts
    if plate is None:
        yield leaves_open("kiln_volts_unknown", "the kiln's volts are not known: read its plate")
    if here is None:
        yield leaves_open("circuit_volts_unknown", "the circuit's volts are not known: have them measured under load")
    if plate is None or here is None:
        return
    kinds = voltage_class(plate), voltage_class(here)
    if None in kinds and abs(here / plate - 1.0) > 0.1:
        yield forbids("voltage_class", f"a {plate:g} V kiln does not belong on {here:g} V")
    elif kinds == (240, 208):
        yield forbids(
            "voltage_208",
            f"a {plate:g} V kiln on {here:g} V gives {100 * (here / plate) ** 2:.0f} % of its power and"
            " will not reach"
            " its cone in good time; ask the maker for 208 V elements",
        )
    elif kinds[0] != kinds[1]:
        yield forbids("voltage_class", f"a {plate:g} V kiln does not belong on a {here:g} V circuit")
    elif here > 1.06 * plate:
        yield leaves_open(
            "voltage_high",
            f"{here:g} V on a {plate:g} V kiln is {100 * (here / plate) ** 2 - 100:.0f} % more power than"
            " its plate: ask the maker",
        )
    elif here < 0.94 * plate:
        yield cautions(
            "voltage_low",
            f"{here:g} V on a {plate:g} V kiln leaves {100 * (here / plate) ** 2:.0f} % of its power",
        )


def _phase_rule(f: Facts) -> Iterator[Reason]:
    if f.kiln.phase == f.circuit.phase:
        return
    if f.kiln.phase == 3:
        yield forbids("phase", "a three-phase kiln does not run on a single-phase circuit")
    else:
        yield leaves_open("phase", "a single-phase kiln on a three-phase circuit is for an electrician to connect")


def _cord_rule(f: Facts) -> Iterator[Reason]:
    cord = f.circuit.cord
    if cord in ("extension", "power strip"):
        yield forbids(
            "cord",
            f"no {cord} {'cord ' if cord == 'extension' else ''}on a kiln: it overheats; plug into the wall",
        )
    elif cord == "adapter":
        yield forbids("adapter", "no adapter on a kiln: it joins a plug to a circuit that was not made for it")
    elif cord is None:
        yield cautions("cord_not_said", "only when plugged straight into the wall: no adapter, no extension cord")


def _ground_fault_rule(f: Facts) -> Iterator[Reason]:
    if f.circuit.ground_fault == "no":
        yield cautions(
            "ground_fault_none",
            "no ground-fault protection here is known; in sheds, garages, laundries and outdoors many codes ask for it:"
            " ask an electrician",
        )
        return
    sure = f.circuit.ground_fault == "yes"
    lead = "this circuit has" if sure else "ask whether this circuit has"
    yield cautions(
        "ground_fault_late_trip" if sure else "ground_fault_unknown",
        f"{lead} ground-fault protection: hot brick leaks a little current, so it may trip late in a firing."
        " It stays in place; if it trips, stop, let cool, and ask the maker and an electrician",
    )


def _drop_rule(f: Facts) -> Iterator[Reason]:
    if f.drop_V is None:
        yield cautions(
            "drop_unknown",
            "wire gauge or length is not known, so the volts lost in the wire are not worked out",
        )
    elif f.circuit.volts and 100 * f.drop_V / f.circuit.volts > ADVISED_DROP_PERCENT:
        share = 100 * f.drop_V / f.circuit.volts
        yield cautions(
            "voltage_drop",
            f"the wire takes {f.drop_V:.1f} V, {share:.1f} % (advice is at most {ADVISED_DROP_PERCENT:g} %):"
            f" heating power falls by about {100 - 100 * (1 - share / 100) ** 2:.0f} %",
        )


RULES: Final[tuple[Callable[[Facts], Iterator[Reason]], ...]] = (
    _plate_rule,
    _voltage_rule,
    _phase_rule,
    _breaker_rule,
    _wire_rule,
    outlet_rule,
    plug_rule,
    _sharing_rule,
    _cord_rule,
    _ground_fault_rule,
    _drop_rule,
)
