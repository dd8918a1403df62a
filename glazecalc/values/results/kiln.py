"""What a job found of a kiln: its circuits, its reach, its place, what it holds and costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from glazecalc.values.answers import Answer, Estimate, Problem, Verdict
from glazecalc.values.cones import Cone
from glazecalc.values.mains import CircuitResult, Reason

# How hot a kiln gets on its circuit, cone by cone.

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

    ``estimate`` is ``kiln_ceiling`` [degC]: heat-work told as the peak of a steady 60 degC/h ramp, never above the
    maker's rated cone. ``cone`` is the hottest cone at or below its value, ``cone_low`` and ``cone_high`` at the ends
    of its interval. ``stall`` is where the temperature stops climbing, ``stall_cut`` that it is cut off at what its
    elements bear. ``cones`` is empty where the kiln could not be modelled and its plate's cone stands alone. ``misfit``
    tells how far the firings it was learned from lie from the model, in the spread of readings; ``proven`` is the
    hottest cone that came down in them. ``rated`` is False where the maker's highest cone or temperature is not known:
    the figures are then by heat alone.
    """

    estimate: Estimate
    cone: Cone | None
    cone_low: Cone | None
    cone_high: Cone | None
    stall: Estimate | None = None
    stall_cut: bool = False
    cones: tuple[ConeReach, ...] = ()
    notes: tuple[str, ...] = ()
    misfit: float = 0.0
    proven: Cone | None = None
    rated: bool = True

    def chance(self, cone: Cone) -> float | None:
        """Chance of bringing ``cone`` down, or None where it is not known."""
        return next((c.chance for c in self.cones if c.cone == cone), None)


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One moment of a heating or cooling curve with its 90 % interval [h, degC]."""

    hours: float
    low_degC: float
    degC: float
    high_degC: float


@dataclass(frozen=True, slots=True)
class StackCount:
    """How many of one piece a kiln takes; ``levels_by_height`` is what more shelves would allow."""

    piece: str
    per_level: int
    levels: int
    levels_by_height: int

    @property
    def per_firing(self) -> int:
        """Pieces in one firing."""
        return self.per_level * self.levels


@dataclass(frozen=True, slots=True)
class Release:
    """What one firing gives to the air: a gas, its mass with a range [g], the span in which it comes off [degC].

    ``of`` says what it comes from.
    """

    gas: str
    grams: float
    low_g: float
    high_g: float
    of: str
    from_degC: float
    to_degC: float
    caution: str
    source: str


@dataclass(frozen=True, slots=True)
class PlaceResult:
    """What can be said of a kiln in a room: reasons, estimates (heat, temperature rise), gases, standing cautions;
    ``hazards`` are the cautions that are never left out."""

    room: str | None
    answer: Answer
    reasons: tuple[Reason, ...]
    estimates: tuple[Estimate, ...]
    releases: tuple[Release, ...]
    hazards: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WearTrend:
    """Hours per firing from the journal: a verdict on whether they creep up, and by how much per firing."""

    verdict: Verdict
    hours: tuple[float, ...]
    percent_per_firing: float | None


@dataclass(frozen=True, slots=True)
class KilnReport:
    """Everything `kiln` has to say of one kiln; ``cone`` is the one that hours and energy are told for."""

    kiln: str
    circuit: str | None
    cone: Cone | None
    answer: Answer
    sentence: str
    circuits: tuple[CircuitResult, ...]
    verdicts: tuple[Verdict, ...]
    ceiling: Ceiling | None
    estimates: tuple[Estimate, ...]
    heating: tuple[CurvePoint, ...]
    cooling: tuple[CurvePoint, ...]
    place: PlaceResult | None
    stacks: tuple[StackCount, ...]
    wear: WearTrend | None
    cautions: tuple[str, ...]
    next_steps: tuple[str, ...]
    sources: tuple[str, ...]
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class KilnLearned:
    """What recorded firings say of a kiln.

    ``estimates`` are the fitted parameters, ``before`` the same from the plate alone. ``used`` and
    ``left_out`` name the firings with what they told or why they told nothing.
    """

    kiln: str
    estimates: tuple[Estimate, ...]
    before: tuple[Estimate, ...]
    ceiling_before: Ceiling | None
    ceiling: Ceiling | None
    used: tuple[tuple[str, str], ...]
    left_out: tuple[tuple[str, str], ...]
    wear: WearTrend | None
    sentence: str
    next_steps: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
