"""May this kiln be plugged in there? The circuit rules of the trade, each a small function.

Every rule looks at the same facts and yields reasons. A plug that fits is no proof that the circuit carries
the load, and what is not known is never taken as fine. The rules are the usual North American ones; the
local code, the maker's manual and a licensed electrician decide.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final, TypeGuard

from glazecalc.jobs.ceiling import wire_loop_ohm
from glazecalc.models.kiln import volts_at_load_V
from glazecalc.values.answers import Answer, Verdict, badness, worst
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.mains import (
    CircuitResult,
    MainsTables,
    Reason,
    Receptacle,
    clause_of,
    config_name,
    mains_tables,
)
from glazecalc.values.texts import begun, phrase

# What a kiln's plate says, and the facts that every circuit rule looks at.

CONTINUOUS_SHARE: Final = 0.8
"""A load of three hours or more may take this share of its breaker (US code, 125 % rule)."""
_CLASSES: Final = ((105.0, 131.0, 120), (190.0, 216.0, 208), (216.0, 256.0, 240))


@dataclass(frozen=True, slots=True)
class Plate:
    """What a kiln's plate says it draws. ``mismatch_percent`` is between stated amps and watts over volts."""

    load_A: float | None
    amps_from_watts: float | None
    mismatch_percent: float | None


@dataclass(frozen=True, slots=True)
class Facts:
    """What every rule looks at. ``load_A`` is the load to reckon with on this circuit [A]."""

    kiln: Kiln
    circuit: Circuit
    tables: MainsTables
    plate: Plate
    load_A: float | None
    minimum_breaker_A: float | None
    limit_A: float | None
    drop_V: float | None
    outlet: Receptacle | None
    volts_assumed: bool


def read_plate(kiln: Kiln) -> Plate:
    """Amps of the plate; where watts are given as well and disagree the larger load is taken, and it is said."""
    from_watts = kiln.watts / (kiln.volts * kiln.per_line) if kiln.watts and kiln.volts else None
    load = max((a for a in (kiln.amps, from_watts) if a is not None), default=None)
    mismatch = None
    if kiln.amps is not None and from_watts is not None:
        mismatch = 100.0 * abs(kiln.amps - from_watts) / max(kiln.amps, from_watts)
    return Plate(load, from_watts, mismatch)


def voltage_class(volts: float) -> int | None:
    """120, 208 or 240 for volts near one of the usual services, else None.

    >>> voltage_class(115), voltage_class(208), voltage_class(230), voltage_class(480)
    (120, 208, 240, None)
    """
    return next((name for low, high, name in _CLASSES if low <= volts < high), None)


def forbids(code: str, message: str) -> Reason:
    """A reason against."""
    return Reason(code, message, Answer.DOES_NOT_FIT)


def leaves_open(code: str, message: str) -> Reason:
    """A reason that nothing can be said."""
    return Reason(code, message, Answer.CANNOT_SAY)


def cautions(code: str, message: str) -> Reason:
    """A caution that does not decide."""
    return Reason(code, message, Answer.FITS)


# Plug and outlet: which plug goes where, and why a plug that fits is not a circuit that carries.


def outlet_rule(f: Facts) -> Iterator[Reason]:
    """The outlet against volts, ground, load and breaker."""
    outlet, load = f.outlet, f.load_A
    if not f.circuit.receptacle:
        text = phrase("the outlet's type is not known| (receptacle)|: its face shows it")
        yield leaves_open("receptacle_unknown", text)
        return
    if outlet is None:
        text = f"outlet {f.circuit.receptacle!r} is none of the known ones; write the one that looks like it:"
        yield leaves_open("receptacle_not_tabled", f"{text} {_choices(f)}; else ask an electrician")
        return
    yield from _unusual_outlet(outlet)
    if not outlet.ground:
        yield forbids("no_ground", f"outlet {outlet.config} has no ground; a kiln's case must be grounded")
    volts, for_120 = f.circuit.volts, outlet.volts < 200
    if volts is not None and ((voltage_class(volts) == 120) != for_120 or volts > outlet.volts * 1.06):
        text = f"outlet {outlet.config} is made for {outlet.volts:g} V, not for {volts:g} V"
        yield forbids("receptacle_voltage", text)
    if _over(load, outlet.amps):
        text = f"outlet {outlet.config} is rated {outlet.amps:g} A; the kiln draws {load:.1f} A"
        yield forbids("receptacle_too_small", text)
    elif _over(load, CONTINUOUS_SHARE * outlet.amps):
        text = f"outlet {outlet.config} may carry {_for_hours(outlet.amps)}; the kiln draws {load:.1f} A"
        yield forbids("receptacle_over_hours", text)
    breaker = f.tables.breaker(f.circuit.breaker_A) if f.circuit.breaker_A is not None else None
    if breaker and breaker.receptacle_amps and outlet.amps not in breaker.receptacle_amps:
        text = f"a {outlet.amps:g} A outlet does not belong on a {breaker.amps:g} A breaker: have an"
        yield forbids("receptacle_breaker_mismatch", f"{text} electrician put it right")


def _over(load_A: float | None, limit_A: float) -> TypeGuard[float]:
    """Whether a load that is known is beyond a limit, the rounding of a plate aside."""
    return load_A is not None and load_A > limit_A + 1e-6


def _for_hours(rated_A: float) -> str:
    return f"{CONTINUOUS_SHARE * rated_A:g} A for hours (80 % of its {rated_A:g} A)"


def _choices(f: Facts) -> str:
    """The outlets of the kiln's volts, each with a picture in words."""
    low = None if f.kiln.volts is None else f.kiln.volts < 150
    fit = [r for r in f.tables.receptacles if r.phase == f.kiln.phase]
    return "; ".join(f"{r.config}R ({r.description})" for r in fit if low is None or low == (r.volts < 200))


USUAL_OUTLETS: Final = frozenset({"5-15", "5-20", "6-15", "6-20", "6-30", "6-50"})
"""Outlets that makers usually mean a kiln for (common practice)."""


def _unusual_outlet(outlet: Receptacle) -> Iterator[Reason]:
    """Outlets that are named but never advised: no yes rests on one."""
    if outlet.config not in USUAL_OUTLETS and outlet.phase == 1 and outlet.ground:
        yield leaves_open(
            "receptacle_unusual",
            f"outlet {outlet.config} ({outlet.description}) is not one that kilns are usually made for: only a kiln"
            f" whose maker fitted a {outlet.config} plug belongs there, never one with an adapter or a plug put on"
            " since; ask the maker and an electrician",
        )


def volts_of_outlet(kiln: Kiln, circuit: Circuit, tables: MainsTables) -> float | None:
    """Volts [V] that a circuit without any has by its outlet; None where it has some, or the outlet does not tell them.

    An outlet of 250 V stands on 240 V as on 208 V: taken as 240 V, but not for a kiln of 208 V.
    """
    if circuit.volts is not None or not circuit.receptacle:
        return None
    outlet = tables.receptacle(circuit.receptacle)
    if outlet is None or outlet.phase == 3:
        return None
    if outlet.volts < 200:
        return 120.0
    return None if kiln.volts is not None and voltage_class(kiln.volts) == 208 else 240.0


def plug_rule(f: Facts) -> Iterator[Reason]:
    """The kiln's plug against the outlet, the breaker and the load."""
    if not f.kiln.plug:
        text = phrase("the kiln's plug is not known| (plug)|: compare it with the chart in its manual")
        yield leaves_open("plug_unknown", text)
        return
    plug, own = config_name(f.kiln.plug), f.tables.receptacle(f.kiln.plug)
    if plug is None or own is None:
        yield leaves_open("plug_not_tabled", f"plug {f.kiln.plug!r} is not in the table: ask an electrician")
        return
    if f.outlet is not None and plug not in f.outlet.takes:
        text = f"a {plug} plug does not go into a {f.outlet.config} outlet (it takes {' and '.join(f.outlet.takes)});"
        hint = "never an adapter, have an electrician set the right outlet on the right breaker"
        yield forbids("plug_does_not_fit", f"{text} {hint}")
    breaker, load = f.circuit.breaker_A, f.load_A
    on_it = f.tables.breaker(breaker) if breaker is not None else None
    allowed = on_it is not None and own.amps in on_it.receptacle_amps  # the code lets 50 A stand on 40 A
    if breaker is not None and breaker < own.amps and not allowed:
        text = f"a {own.amps:g} A plug marks a kiln for a larger circuit than this {breaker:g} A breaker"
        yield forbids("plug_asks_for_more", text)
    if _over(load, own.amps):
        text = f"a {plug} plug is rated {own.amps:g} A and the kiln draws {load:.1f} A: ask the maker"
        yield forbids("plug_overloaded", text)
    elif _over(load, CONTINUOUS_SHARE * own.amps):
        need = f"{f.minimum_breaker_A:g} A" if f.minimum_breaker_A else "larger"
        yield leaves_open(
            "plug_over_hours",
            f"a {plug} plug may carry {_for_hours(own.amps)} and the kiln"
            f" draws {load:.1f} A: ask the maker whether this plug is right. That it fits a smaller circuit proves"
            f" nothing, the circuit must have a {need} breaker",
        )


PLATE_MISMATCH_PERCENT: Final = 3.0
ADVISED_DROP_PERCENT: Final = 3.0
"""Advice of the US code for a branch circuit, not a rule [%]; from memory."""


def circuit_result(kiln: Kiln, circuit: Circuit) -> CircuitResult:
    """Everything that can be said of ``kiln`` on ``circuit``, with the volts its wire takes; the answer is the worst of
    the reasons.
    """
    tables = mains_tables()
    assumed = volts_of_outlet(kiln, circuit, tables)
    if assumed is not None:
        circuit = circuit.model_copy(update={"volts": assumed})
    plate = read_plate(kiln)
    load = _load_here(kiln, circuit, plate)
    minimum = tables.breaker_for(load / CONTINUOUS_SHARE) if load is not None else None
    limit = CONTINUOUS_SHARE * circuit.breaker_A if circuit.breaker_A is not None else None
    drop, volts = _drop_and_volts(kiln, circuit, plate)
    outlet = tables.receptacle(circuit.receptacle) if circuit.receptacle else None
    facts = Facts(kiln, circuit, tables, plate, load, minimum, limit, drop, outlet, assumed is not None)
    reasons = tuple(replace(r, clause=clause_of(r.code)) for rule in RULES for r in rule(facts))
    share = volts / kiln.volts if volts is not None and kiln.volts is not None else 0.0
    return CircuitResult(
        name=circuit.name,
        answer=worst(reason.answer for reason in reasons),
        load_A=load,
        breaker_A=circuit.breaker_A,
        minimum_breaker_A=minimum,
        continuous_limit_A=limit,
        voltage_drop_V=drop,
        volts_at_kiln_V=volts,
        power_fraction=share**2 if 0.7 < share < 1.15 else None,
        reasons=tuple(sorted(reasons, key=lambda r: badness(r.answer), reverse=True)),
    )


def _drop_and_volts(kiln: Kiln, circuit: Circuit, plate: Plate) -> tuple[float | None, float | None]:
    """Volts lost in the wire and left at the kiln under load [V]; None where they are not known."""
    loop, here = wire_loop_ohm(circuit), circuit.volts
    if loop is None or here is None:
        return None, None
    if plate.load_A is None or kiln.volts is None:
        return None, here
    volts = volts_at_load_V(here, loop, kiln.volts, plate.load_A, circuit.other_load_A or 0.0)
    return here - volts, volts


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
        text = "the kiln's amps are not known: read amps or watts, and volts, off its plate"
        yield leaves_open("plate_unknown", text)
    if plate.mismatch_percent is not None and plate.mismatch_percent > PLATE_MISMATCH_PERCENT:
        text = f"the plate says {f.kiln.amps:g} A, but its {f.kiln.watts:g} W at {f.kiln.volts:g} V is"
        larger = f"{plate.amps_from_watts:.1f} A; the larger is used; ask the maker which is right"
        yield cautions("plate_mismatch", f"{text} {larger}")


OVERSIZE: Final = 1.5
"""Largest breaker for one appliance over its current where its maker names none, the next size up allowed: US National
Electrical Code 422.11(E), as recalled in a table from memory."""
LEAST_OVERSIZE_A: Final = 20.0


def largest_breaker_A(tables: MainsTables, load_A: float) -> float:
    """The largest breaker [A] that an appliance drawing ``load_A`` [A] should have."""
    wanted = max(OVERSIZE * load_A, LEAST_OVERSIZE_A)
    return tables.breaker_for(wanted) or wanted


def _breaker_rule(f: Facts) -> Iterator[Reason]:
    breaker, load = f.circuit.breaker_A, f.load_A
    if breaker is None:
        text = phrase("the breaker's rating is not known| (breaker_A)|: read it on its handle")
        yield leaves_open("breaker_unknown", text)
    if load is None:
        return
    if f.minimum_breaker_A is None:
        yield leaves_open("load_beyond_table", f"a load of {load:.1f} A is beyond the table: ask an electrician")
        return
    if breaker is None or f.limit_A is None:
        return
    if _over(load, f.limit_A):
        yield forbids(
            "breaker_too_small",
            f"the kiln draws {load:.1f} A for hours; a {breaker:g} A breaker may carry {f.limit_A:g} A for that long. "
            f"It needs a breaker of at least {f.minimum_breaker_A:g} A, and wire and outlet to match",
        )
    elif breaker > largest_breaker_A(f.tables, load):
        yield leaves_open(
            "breaker_too_large",
            f"the breaker ({breaker:g} A) is larger than this kiln should have ({largest_breaker_A(f.tables, load):g} "
            "A at most) and may not protect its cord: the maker's manual gives the largest breaker",
        )
    else:
        text = f"the kiln draws {load:.1f} A; a {breaker:g} A breaker may carry {f.limit_A:g} A for hours"
        yield cautions("breaker_carries", text)


def _sharing_rule(f: Facts) -> Iterator[Reason]:
    other = f.circuit.other_load_A
    if other is None:
        text = phrase("what else hangs on this circuit is not known| (other_load_A)|")
        yield leaves_open("other_load_unknown", text + ": switch the breaker off, see what goes dead")
    elif other > 0 and f.load_A is not None and f.limit_A is not None and _over(f.load_A + other, f.limit_A):
        text = f"with {other:g} A of other load the circuit would carry {f.load_A + other:.1f} A;"
        yield forbids("circuit_shared", f"{text} its limit over hours is {f.limit_A:g} A")
    elif other > 0:
        text = phrase("{:g} A of other load is on it| (other_load_A)|", other)
        yield leaves_open("circuit_shared_within_limit", text + ", and makers ask for a circuit of the kiln's own")


def _wire_rule(f: Facts) -> Iterator[Reason]:
    awg, breaker = f.circuit.wire_awg, f.circuit.breaker_A
    if awg is None:
        text = phrase("the wire's gauge is not known| (wire_awg)|: an electrician can read it at the panel")
        yield leaves_open("wire_unknown", text)
        return
    wire = f.tables.conductor(awg)
    if wire is None and awg > max(c.awg for c in f.tables.conductors):
        yield forbids("wire_too_thin", f"{awg} AWG is too thin for any branch circuit")
    elif wire is None:
        yield leaves_open("wire_not_tabled", f"{awg} AWG is not in the table: ask an electrician")
    elif breaker is not None and breaker > wire.largest_breaker_A:
        yield forbids(
            "wire_too_thin",
            f"{awg} AWG copper may stand behind at most a {wire.largest_breaker_A:g} A breaker, here it is {breaker:g} "
            "A: the wire can overheat before the breaker trips. Have an electrician look at it before anything is "
            "plugged in",
        )


def _voltage_rule(f: Facts) -> Iterator[Reason]:
    plate, here = f.kiln.volts, f.circuit.volts
    if f.volts_assumed:
        more = "; where it is 208 V a 240 V kiln has three quarters of its power" if here == 240 else ""
        text = "the circuit's volts are not given| (volts)|: {:g} V come from the outlet's type; have them measured{}"
        yield cautions("volts_from_outlet", phrase(text, here, more))
    if plate is None:
        yield leaves_open("kiln_volts_unknown", "the kiln's volts are not known: read its plate")
    if here is None:
        text = phrase("the circuit's volts are not known| (volts)|: have them measured under load")
        yield leaves_open("circuit_volts_unknown", text)
    if plate is None or here is None:
        return
    kinds, percent = (voltage_class(plate), voltage_class(here)), 100 * (here / plate) ** 2
    if None in kinds and abs(here / plate - 1.0) > 0.1:
        yield forbids("voltage_class", f"a {plate:g} V kiln does not belong on {here:g} V")
    elif kinds == (240, 208):
        text = f"a {plate:g} V kiln on {here:g} V gives {percent:.0f} % of its power and will not reach its cone in"
        yield forbids("voltage_208", f"{text} good time; ask the maker for 208 V elements")
    elif kinds[0] != kinds[1]:
        yield forbids("voltage_class", f"a {plate:g} V kiln does not belong on a {here:g} V circuit")
    elif here > 1.06 * plate:
        text = f"{here:g} V on a {plate:g} V kiln is {percent - 100:.0f} % more power than its plate: ask the maker"
        yield leaves_open("voltage_high", text)
    elif here < 0.94 * plate:
        yield cautions("voltage_low", f"{here:g} V on a {plate:g} V kiln leaves {percent:.0f} % of its power")


def _phase_rule(f: Facts) -> Iterator[Reason]:
    if (f.kiln.phase, f.circuit.phase) == (3, 1):
        yield forbids("phase", "a three-phase kiln does not run on a single-phase circuit")
    elif (f.kiln.phase, f.circuit.phase) == (1, 3):
        yield leaves_open("phase", "a single-phase kiln on a three-phase circuit is for an electrician to connect")


def _cord_rule(f: Facts) -> Iterator[Reason]:
    cord = f.circuit.cord
    if cord in ("extension", "power strip"):
        what = "extension cord" if cord == "extension" else cord
        yield forbids("cord", f"no {what} on a kiln: it overheats; plug into the wall")
    elif cord == "adapter":
        yield forbids("adapter", "no adapter on a kiln: it joins a plug to a circuit that was not made for it")
    elif cord is None:
        yield cautions("cord_not_said", "only when plugged straight into the wall: no adapter, no extension cord")


GROUND_FAULT_ROOMS: Final = (
    "in bathrooms, garages, sheds, basements, crawl spaces, kitchens, laundries and damp places, outdoors and within"
    " 6 ft (1.8 m) of a sink"
)
ARC_FAULT_ROOMS: Final = (
    "kitchens, living, dining, family and recreation rooms, dens, bedrooms, sunrooms, closets, hallways and laundries"
)


def _arc_fault_rule(f: Facts) -> Iterator[Reason]:
    volts, breaker = f.circuit.volts, f.circuit.breaker_A
    if volts is not None and voltage_class(volts) == 120 and (breaker is None or breaker <= 20):
        text = "many codes ask for arc-fault protection as well on 120 V circuits of 15 and 20 A in a home. They name"
        yield cautions("arc_fault", f"{text} {ARC_FAULT_ROOMS}. Ask an electrician")


def _ground_fault_rule(f: Facts) -> Iterator[Reason]:
    if f.circuit.ground_fault == "no":
        text = f"no ground-fault protection is known here. Many codes ask for it {GROUND_FAULT_ROOMS}."
        yield cautions("ground_fault_none", f"{text} Ask an electrician")
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
        text = "wire gauge or length is not known, so the volts lost in the wire are not worked out"
        yield cautions("drop_unknown", text)
    elif f.circuit.volts and (share := 100 * f.drop_V / f.circuit.volts) > ADVISED_DROP_PERCENT:
        text = f"the wire takes {f.drop_V:.1f} V, {share:.1f} % (advice is at most {ADVISED_DROP_PERCENT:g} %):"
        lost = 100 - 100 * (1 - share / 100) ** 2
        yield cautions("voltage_drop", f"{text} heating power falls by about {lost:.0f} %")


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
    _arc_fault_rule,
    _drop_rule,
)


# What the circuit has to say in whether a kiln may be fired.


def refusal(kiln: Kiln, circuit: Circuit) -> str | None:
    """Why this circuit must not be used for this kiln, in a clause without a full stop; None where it may be."""
    return _refusal(kiln, circuit_result(kiln, circuit))


def _refusal(kiln: Kiln, found: CircuitResult) -> str | None:
    if found.answer is not Answer.DOES_NOT_FIT:
        return None
    return phrase("this circuit ({}) must not be used for {}: {}", found.name, kiln.name, found.reasons[0].message)


def with_circuit(verdict: Verdict, kiln: Kiln, circuit: Circuit) -> Verdict:
    """``verdict`` on the heat alone, with what the circuit rules say; a refused circuit outweighs the heat.

    What leaves open whether the circuit carries the kiln turns a yes into cannot say.
    """
    found = circuit_result(kiln, circuit)
    no = _refusal(kiln, found)
    if no is not None:
        text = phrase("{}. By the heat alone: {}", begun(no), verdict.message)
        because = f"{kiln.name} must not be plugged in at {circuit.name}"
        return Verdict(verdict.rule, Answer.DOES_NOT_FIT, text, verdict.evidence, because)
    open_ = [r for r in found.reasons if r.answer is Answer.CANNOT_SAY]
    if not open_ or verdict.answer is Answer.DOES_NOT_FIT:
        return verdict
    text = phrase("{} Whether {} carries it is open: {}.", verdict.message, circuit.name, open_[0].message)
    return Verdict(verdict.rule, Answer.CANNOT_SAY, text, verdict.evidence, remedy="electrician")
