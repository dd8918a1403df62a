"""How hot a kiln gets on its circuit, cone by cone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Estimate

FULL_POWER_H: Final = 12.0
"""Full power longer than this is no firing to plan on [h]."""


@dataclass(frozen=True, slots=True)
class ConeReach:
    """One cone at full power from cold: the chance of bringing it down within ``FULL_POWER_H``, and the hours it takes.

    ``hours`` is None where fewer than half of the likely kilns get there.
    """

    cone: Cone
    chance: float
    hours: Estimate | None


@dataclass(frozen=True, slots=True)
class Ceiling:
    """The hottest a kiln gets on one circuit.

    ``estimate`` is ``kiln_ceiling`` [degC]: heat-work told as the peak of a steady 60 degC/h ramp, never
    above the maker's rated cone. ``cone`` is the hottest cone at or below its value, ``cone_low`` and
    ``cone_high`` at the ends of its interval. ``stall`` is where the temperature stops climbing. ``cones``
    is empty where the kiln could not be modelled and its plate's cone stands alone. ``misfit`` tells how far the
    firings it was learned from lie from the model, in the spread of readings.
    """

    estimate: Estimate
    cone: Cone | None
    cone_low: Cone | None
    cone_high: Cone | None
    stall: Estimate | None = None
    cones: tuple[ConeReach, ...] = ()
    notes: tuple[str, ...] = ()
    misfit: float = 0.0

    def chance(self, cone: Cone) -> float | None:
        """Chance of bringing ``cone`` down, or None where it is not known."""
        return next((c.chance for c in self.cones if c.cone == cone), None)
