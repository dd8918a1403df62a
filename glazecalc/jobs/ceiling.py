"""How hot this kiln gets on this circuit: the ceiling, with its interval, by the model or by the plate alone."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.cones import cone_reached, cone_temperature, heat_law, rated_cone, rating_words
from glazecalc.models.kiln import loop_resistance_ohm
from glazecalc.models.kiln_reach import (
    REASONABLE_HOURS,
    KilnDraws,
    Reach,
    can_be_modelled,
    draws_from_plate,
    oddity,
    rated_degC,
    reach,
    supply_share,
)
from glazecalc.values.answers import NINETY, Basis, Estimate, Problem, percent_words, remark
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.mains import mains_tables
from glazecalc.values.names import quoted, studio_option
from glazecalc.values.results.kiln import Ceiling, ConeReach
from glazecalc.values.texts import phrase, typed

SOURCES = ("wall_memory", "cone_chart", "ansi_c84", "common_practice")
BORNE_DEGC: Final = 1300.0
"""The wire elements of small kilns are not for a hotter chamber than about this [degC]; from memory."""
MISFIT_TO_TELL: Final = 2.5
"""Firings this many times further from the model than readings usually do are said not to look like this kiln."""
COOLEST_TOLD = Cone("010")
"""Cones below this one are of no interest in a list of what a kiln reaches."""


@lru_cache(maxsize=32)
def plate_draws(kiln: Kiln) -> KilnDraws:
    """The draws of a kiln from its plate; kept, as every circuit and every recipe asks for them again."""
    return draws_from_plate(kiln)


def wire_loop_ohm(circuit: Circuit | None) -> float | None:
    """Resistance of the circuit's wire there and back [ohm], or None where gauge or length is not known."""
    if circuit is None or circuit.wire_awg is None or circuit.length_m is None:
        return None
    wire = mains_tables().conductor(circuit.wire_awg)
    return None if wire is None else loop_resistance_ohm(wire, circuit.length_m, circuit.phase)


@lru_cache(maxsize=64)
def full_power(kiln: Kiln, circuit: Circuit | None, draws: KilnDraws | None = None) -> Reach | None:
    """What the kiln does at full power on this circuit (None: at the volts of its plate); None if not modelled."""
    if draws is None:
        if not can_be_modelled(kiln):
            return None
        draws = plate_draws(kiln)
    return reach(draws, share_on(draws, circuit))


def cone_reading_K() -> float:
    """Half of the 90 % interval of a cone's bending temperature [K]."""
    return NINETY * float(heat_law().spread_K.max())


def share_on(draws: KilnDraws, circuit: Circuit | None) -> NDArray[np.float64]:
    """Volts at the kiln under load on this circuit (None: at those of its plate) as a share of the plate's, (n,)."""
    if circuit is None:
        return supply_share(draws, None, None)
    return supply_share(draws, circuit.volts, wire_loop_ohm(circuit), circuit.other_load_A or 0.0)


def volts_go_together(kiln: Kiln, circuit: Circuit | None) -> bool:
    """False where the circuit is of another kind than the kiln's, so that no reach is worth working out."""
    return circuit is None or circuit.volts is None or volts_suit(kiln, circuit.volts)


def volts_suit(kiln: Kiln, volts: float) -> bool:
    """Whether these volts are of the kind the kiln is made for; True where its plate does not say."""
    return kiln.volts is None or 0.8 < volts / kiln.volts < 1.15


@lru_cache(maxsize=64)
def ceiling(kiln: Kiln, circuit: Circuit | None = None, draws: KilnDraws | None = None) -> Ceiling | None:
    """The kiln's ceiling on this circuit; ``draws`` learned from its firings beat those from the plate.

    Where size or power is not known the plate's cone stands alone (basis ``stated``); with neither, or on a
    circuit of another voltage, None.
    """
    if not volts_go_together(kiln, circuit):
        return None
    found = full_power(kiln, circuit, draws)
    if found is None:
        return _by_plate(kiln)
    draws = draws or plate_draws(kiln)
    hottest = hottest_told(kiln, draws)
    low, middle, high = found.quantiles(np.minimum(found.equivalent_degC, rated_degC(hottest)))
    low = middle - math.hypot(middle - low, cone_reading_K())
    basis, rated = draws.basis, rated_cone(kiln)
    caveats = _caveats(kiln, circuit, draws)
    estimate = Estimate("kiln_ceiling", middle, low, high, "degC", basis, SOURCES, caveats)
    stall, cut = _stall(found, basis, rated)
    return Ceiling(
        estimate=estimate,
        cone=_cone_at(middle),
        cone_low=_cone_at(low),
        cone_high=_cone_at(high),
        stall=stall,
        stall_cut=cut,
        cones=tuple(
            ConeReach(c, min(1.0, found.chance(c)), hours_to_cone(found, c, basis))
            for c in heat_law().cones
            if COOLEST_TOLD <= c <= hottest
        ),
        notes=() if draws.agrees else (_DISAGREES,),
        misfit=draws.misfit,
        proven=draws.proven,
        rated=rated is not None,
    )


def ceiling_remarks(kiln: Kiln, found: Ceiling | None, folder: str = ".") -> tuple[Problem, ...]:
    """What is to be said wherever this ceiling is used: of the plate, and of firings unlike this kiln."""
    odd = oddity(kiln)
    notes = (*((odd,) if odd else ()), *(found.notes if found is not None else ()))
    plate = tuple(remark("kiln-plate", phrase("{}: {}", kiln.name, note), line=kiln.line) for note in notes)
    return (*plate, *misfit_remarks(kiln, found.misfit if found is not None else 0.0, folder))


def misfit_remarks(kiln: Kiln, misfit: float, folder: str | None = None) -> tuple[Problem, ...]:
    """A remark where the firings a kiln was learned from lie far from the model; it names the command that tells the
    firing where a studio's ``folder`` is given, else it stands beside that answer.
    """
    if misfit < MISFIT_TO_TELL:
        return ()
    command = "" if folder is None else f": glazecalc learn --kiln {quoted(kiln.name)}{studio_option(folder)}"
    return (
        remark(
            "kiln-misfit",
            f"{kiln.name}: the records lie {misfit:.1f} times further from the model than readings usually do",
            "check volts, times and whether the elements were on all the time; the firing is named"
            + (" by" + typed(command) if command else ""),
        ),
    )


_DISAGREES = (
    "power, size and rated cone hardly go together: check the plate and the inside measure. The rated cone was set "
    "aside and the estimate rests on power and size"
)


def _cone_at(degC: float) -> Cone | None:
    return cone_reached(degC + 0.01, 60.0)


def _caveats(kiln: Kiln, circuit: Circuit | None, draws: KilnDraws) -> tuple[str, ...]:
    work = "heat-work of {:g} h at full power from cold, given as the peak of a {60 K} per hour ramp"
    found = [phrase(work, REASONABLE_HOURS)]
    if rated_cone(kiln) is not None:
        found.append("never above the maker's rating, " + rating_words(kiln) + "; low end with a cone's reading range")
    if circuit is None:
        found.append("no circuit is named: the volts of its plate are assumed")
    elif wire_loop_ohm(circuit) is None:
        found.append("the wire is not known: a usual loss of 1 to 3 % of the volts is assumed")
    if kiln.wall_mm is None:
        found.append("the wall is not known" + typed(" (wall_mm)") + ": 2 1/2 inches is assumed")
    if kiln.insulation is None:
        made_of = "what the wall is made of is not known" + typed(" (insulation)")
        found.append(made_of + ": brick of group 23 is assumed")
    if kiln.firings_on_elements is None and not draws.learned:
        found.append("the age of the elements is not known")
    if not draws.learned:
        found.append("from the plate, not from this kiln's own firings; record some to narrow it")
    return tuple(found)


def _stall(found: Reach, basis: Basis, rated: Cone | None) -> tuple[Estimate, bool]:
    """Where the climb ends, and whether it is cut off at what such elements bear, or at the rating if that is more."""
    most = max(BORNE_DEGC, cone_temperature(rated).value if rated is not None else 0.0)
    low, middle, high = found.quantiles(found.stall_degC)
    caveats: list[str] = ["where full power only just covers the losses"]
    cut = high > most
    if cut:
        hotter = "beyond {:.0f degC} it is hotter than its elements can stand, and no figure is given"
        caveats.append(phrase(hotter, most))
    low, middle, high = (min(x, most) for x in (low, middle, high))
    return Estimate("stall_temperature", middle, low, high, "degC", basis, SOURCES, tuple(caveats)), cut


UNRATED_MOST: Final = Cone("10")
"""No kiln without its maker's rating is told a hotter cone: small kilns are seldom made for more (common practice)."""


def hottest_told(kiln: Kiln, draws: KilnDraws) -> Cone:
    """The hottest cone told of a kiln: its rated one; unrated, cone 10, or a hotter one that came down in firings."""
    rated = rated_cone(kiln)
    if rated is not None:
        return rated
    return UNRATED_MOST if draws.proven is None else max(UNRATED_MOST, draws.proven)


def hours_to_cone(found: Reach, cone: Cone, basis: Basis) -> Estimate | None:
    """Hours at full power from cold to ``cone`` [h]; None where less than half of the likely kilns get there."""
    hours = found.cone_hours[:, cone.position]
    never = np.isnan(hours)
    low, middle, high = found.quantiles(np.where(never, 10.0 * found.hours, hours))
    if middle > found.hours:
        return None
    caveats = ["full power from cold; a firing with a slow start takes longer"]
    if high > found.hours:
        share = percent_words(float(found.weights @ never))
        caveats.append(f"in {share} of the likely cases it is not down within {found.hours:g} h")
        high = found.hours
    return Estimate("hours_to_cone", middle, low, high, "h", basis, SOURCES, tuple(caveats))


def _by_plate(kiln: Kiln) -> Ceiling | None:
    cone = rated_cone(kiln)
    if cone is None:
        return None
    rated = cone_temperature(cone)
    caveats = (
        rating_words(kiln) + " as rated on the plate, with new elements at full voltage",
        "inside and power cannot be a kiln's, so it was not modelled"
        if oddity(kiln)
        else "inside measure or power is not known, so the kiln was not modelled",
    )
    estimate = Estimate(
        "kiln_ceiling", rated.value, rated.low, rated.high, "degC", Basis.STATED, rated.sources, caveats
    )
    return Ceiling(estimate, cone, cone, cone)
