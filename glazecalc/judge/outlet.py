"""Plug and outlet: which plug goes where, and why a plug that fits is not a circuit that carries."""

from __future__ import annotations

from collections.abc import Iterator

from glazecalc.judge.plate import CONTINUOUS_SHARE, Facts, cautions, forbids, leaves_open, voltage_class
from glazecalc.values.mains import Reason, Receptacle, config_name


def outlet_rule(f: Facts) -> Iterator[Reason]:
    """The outlet against volts, ground, load and breaker."""
    if not f.circuit.receptacle:
        yield leaves_open("receptacle_unknown", "the outlet's configuration is not known: its face shows it")
        return
    if f.outlet is None:
        yield leaves_open(
            "receptacle_not_tabled",
            f"outlet {f.circuit.receptacle!r} is not in the table: ask an electrician",
        )
        return
    outlet, breaker = f.outlet, f.circuit.breaker_A
    if not outlet.grounded:
        yield forbids("no_ground", f"outlet {outlet.config} has no ground; a kiln's case must be grounded")
    if f.circuit.volts is not None and not _outlet_takes_volts(outlet, f.circuit.volts):
        yield forbids(
            "receptacle_voltage",
            f"outlet {outlet.config} is made for {outlet.volts:g} V, not for {f.circuit.volts:g} V",
        )
    if f.load_A is not None and f.load_A > outlet.amps + 1e-6:
        yield forbids(
            "receptacle_too_small",
            f"outlet {outlet.config} is rated {outlet.amps:g} A; the kiln draws {f.load_A:.1f} A",
        )
    known = f.tables.breaker(breaker) if breaker is not None else None
    if known and known.receptacle_amps and outlet.amps not in known.receptacle_amps:
        yield forbids(
            "receptacle_breaker_mismatch",
            f"a {outlet.amps:g} A outlet does not belong on a {known.amps:g} A breaker: have an"
            " electrician put it right",
        )


def _outlet_takes_volts(outlet: Receptacle, volts: float) -> bool:
    return (voltage_class(volts) == 120) == (outlet.volts < 200) and volts <= outlet.volts * 1.06


def plug_rule(f: Facts) -> Iterator[Reason]:
    """The kiln's plug against the outlet, the breaker and the load."""
    if not f.kiln.plug:
        yield leaves_open("plug_unknown", "the kiln's plug is not known: compare it with the chart in its manual")
        return
    plug = config_name(f.kiln.plug)
    own = f.tables.receptacle(f.kiln.plug)
    if plug is None or own is None:
        yield leaves_open("plug_not_tabled", f"plug {f.kiln.plug!r} is not in the table: ask an electrician")
        return
    if f.outlet is not None and plug not in f.outlet.takes:
        takes = " and ".join(f.outlet.takes)
        yield forbids(
            "plug_does_not_fit",
            f"a {plug} plug does not go into a {f.outlet.config} outlet (it takes {takes}); never an adapter,"
            " have an electrician set the right outlet on the right breaker",
        )
    breaker = f.circuit.breaker_A
    if breaker is not None and breaker < own.amps and not _outlet_allowed(f, breaker, own.amps):
        yield forbids(
            "plug_asks_for_more",
            f"a {own.amps:g} A plug marks a kiln for a larger circuit than this {breaker:g} A breaker",
        )
    yield from _plug_load(f, plug, own.amps)


def _outlet_allowed(f: Facts, breaker_A: float, outlet_A: float) -> bool:
    """Whether the code lets an outlet of this rating stand on a smaller breaker, as 50 A on 40 A."""
    known = f.tables.breaker(breaker_A)
    return known is not None and outlet_A in known.receptacle_amps


def _plug_load(f: Facts, plug: str, plug_A: float) -> Iterator[Reason]:
    load = f.load_A
    if load is None:
        return
    if load > plug_A + 1e-6:
        yield forbids(
            "plug_overloaded",
            f"a {plug} plug is rated {plug_A:g} A and the kiln draws {load:.1f} A: ask the maker",
        )
    elif load > CONTINUOUS_SHARE * plug_A + 1e-6:
        need = f"{f.minimum_breaker_A:g} A" if f.minimum_breaker_A else "larger"
        yield cautions(
            "plug_fits_is_not_enough",
            f"the {plug} plug also goes into smaller circuits than this kiln needs: that it fits proves"
            " nothing,"
            f" the circuit must have a {need} breaker. Feel the plug in the first firing; a hot plug"
            " means stop",
        )
