"""What a job found of a firing: its segments, which cone bends when, what the kiln makes of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from glazecalc.values.answers import Answer, Estimate, Problem, Verdict
from glazecalc.values.cones import Cone
from glazecalc.values.results.kiln import CurvePoint

FiringKind = Literal["bisque", "glaze", "slow-cooled", "once-fired"]
FIRING_KINDS: Final[tuple[FiringKind, ...]] = ("bisque", "glaze", "slow-cooled", "once-fired")
Dampness = Literal["dry", "damp"]
KEEP_CHANCE: Final = 0.65
"""A rate is asked of a kiln if it keeps it at least this likely."""


@dataclass(frozen=True, slots=True)
class ScheduleLeg:
    """One row of a schedule as a user gives it: rate [degC/h] up or down, end [degC], hold [h]."""

    rate_degC_per_h: float
    to_degC: float
    hold_h: float
    line: int | None = None


@dataclass(frozen=True, slots=True)
class Segment:
    """One segment to enter in a controller, why it is there, and whether the kiln keeps its rate.

    ``kept`` is the chance (0 to 1) that the kiln keeps the rate, None where it was not modelled; ``asked``
    is the rate first wanted where the kiln's limits lowered it [degC/h].
    """

    rate_degC_per_h: float
    to_degC: float
    hold_h: float
    why: str
    ends_at_h: float
    kept: float | None = None
    asked_degC_per_h: float | None = None


@dataclass(frozen=True, slots=True)
class ConeBend:
    """One cone in a firing: when and how hot it bends, None while it stands; ``done`` is its share of a bend."""

    cone: Cone
    bends_at_h: float | None
    bends_at_degC: float | None
    done: float


class HeatPoint(NamedTuple):
    """A moment of a firing: hours from the start [h], temperature [degC]."""

    hours: float
    degC: float


@dataclass(frozen=True, slots=True)
class TurnUp:
    """One act at a kiln with a switch: when [h], at about what temperature [degC], what to do."""

    at_h: float
    degC: float | None
    text: str


@dataclass(frozen=True, slots=True)
class SafetyNote:
    """A caution for one stage of a firing; ``first`` marks those told however short the answer is."""

    stage: str
    text: str
    first: bool = False


@dataclass(frozen=True, slots=True)
class FiringReport:
    """Everything `firing` has to say. ``answer`` is None where nothing was to be judged.

    ``cone_low`` and ``reached_cone`` and ``cone_high`` are the hottest cone down at the ends and the middle
    of the reading range. ``hold_worth_K`` is what the hold at the peak is worth in degrees of a ramp.
    """

    title: str
    kind: str
    cone: Cone | None
    kiln: str | None
    circuit: str | None
    answer: Answer | None
    sentence: str
    segments: tuple[Segment, ...] = ()
    total_h: float = 0.0
    cones: tuple[ConeBend, ...] = ()
    reached_cone: Cone | None = None
    cone_low: Cone | None = None
    cone_high: Cone | None = None
    witness_cones: tuple[Cone, ...] = ()
    hold_worth_K: float | None = None
    verdicts: tuple[Verdict, ...] = ()
    cannot_follow: tuple[str, ...] = ()
    turn_ups: tuple[TurnUp, ...] = ()
    safety: tuple[SafetyNote, ...] = ()
    estimates: tuple[Estimate, ...] = ()
    planned: tuple[HeatPoint, ...] = ()
    predicted: tuple[CurvePoint, ...] = ()
    notes: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
