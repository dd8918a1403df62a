"""Do the witness cones of a firing and its hottest reading go together?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from glazecalc.models.cones import cone_temperature
from glazecalc.values.cones import Cone
from glazecalc.values.problem import Problem, error, remark
from glazecalc.values.records import Reading, WitnessCone

REFUSED_K: Final = 80.0
"""Further apart than any pyrometer and any hold explain [K]; common practice, no source."""
ODD_K: Final = 40.0
"""Far enough apart to be said [K]; common practice, no source."""

NEAR_THE_END: Final = 0.9
"""Share of a firing's hours from which a reading is taken for its peak."""


def witness_against_peak(
    cones: Sequence[WitnessCone], readings: Sequence[Reading], peak_degC: float | None, hours: float | None = None
) -> tuple[Problem, ...]:
    """A problem where the hottest cone down is far from the hottest temperature written down [degC].

    A stated peak beats the readings. Readings speak of the peak only if the last was taken near the end of a firing of
    ``hours`` [h]; where the length is not known, the last is taken for the end.
    """
    down = [Cone(c.cone) for c in cones if c.bend == "down"]
    last = max((r.at_h for r in readings), default=0.0)
    near_the_end = hours is None or last >= NEAR_THE_END * hours
    from_readings = max((r.degC for r in readings), default=None) if near_the_end else None
    hottest = peak_degC if peak_degC is not None else from_readings
    if not down or hottest is None:
        return ()
    cone = max(down, key=lambda c: c.position)
    bends = cone_temperature(cone).value
    apart = abs(hottest - bends)
    if apart < ODD_K:
        return ()
    text = (
        f"cone {cone} down at {hottest:.0f} C ({hottest * 1.8 + 32:.0f} F) at the most:"
        f" it bends near {bends:.0f} C ({bends * 1.8 + 32:.0f} F), {apart:.0f} K away"
    )
    if apart > REFUSED_K:
        hint = "F for C, or the reading of another hour? leave the temperature out where it is not known"
        return (error("witness-peak", text, hint),)
    return (remark("witness-peak", text, "the pyrometer may read wrong; the cone decides"),)
