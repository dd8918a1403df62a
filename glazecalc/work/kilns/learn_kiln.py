"""What a kiln's recorded firings say of it: losses, heat store, wear, and the ceiling that follows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.judge.wear import judge_wear
from glazecalc.models.kiln_along import end_of, longest_followed_h
from glazecalc.models.kiln_draws import (
    UNKNOWN_FIRINGS,
    KilnDraws,
    can_be_modelled,
    oddity,
    plate_power_W,
    weighted_quantile,
)
from glazecalc.models.kiln_fit import FiringCurve, draws_after, fit_kiln
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.kiln_report import KilnLearned, WearTrend
from glazecalc.values.problem import ProblemsError, error
from glazecalc.values.records import FiringRecord
from glazecalc.work.kilns.firing_curve import curve_of, element_counts, oldest_first
from glazecalc.work.kilns.kiln_ceiling import MISFIT_TO_TELL, ceiling, misfit_remarks, plate_draws
from glazecalc.work.kilns.proven import Proof, held_to, proof_of

_NAMES: Final = (
    ("power_factor", "heating power over the plate's, new elements"),
    ("loss_factor", "losses over those of geometry and brick"),
    ("heat_store_factor", "heat stored in the brick over that of a middling brick"),
)


MOST_FIRINGS: Final = 40
"""So many firings, the newest, are fitted; older ones tell of elements that are gone."""
LONGEST_FIRING_H: Final = 48.0
"""No small kiln needs two days to its peak; a record that runs on is one of its cooling (common practice) [h]."""


@dataclass(frozen=True, slots=True, eq=False)
class Lesson:
    """What the firings of a kiln teach: draws (None where they teach nothing), the firings used and left out, each
    with a reason, and how many firings the elements have had now.
    """

    draws: KilnDraws | None
    used: tuple[tuple[str, str], ...]
    left_out: tuple[tuple[str, str], ...]
    on_elements: int | None


def learn_kiln(
    kiln: Kiln, firings: Sequence[FiringRecord], circuit: Circuit | None = None, circuits: Sequence[Circuit] = ()
) -> KilnLearned:
    """Fit the kiln to those of its ``firings`` that tell of full power, and say how hot it gets on ``circuit``.

    ``circuits`` are the studio's: each firing is reckoned on the one it was plugged into.

    Raises
    ------
    ProblemsError
        if the kiln's plate says too little to model it.
    """
    if not can_be_modelled(kiln):
        hint = "give watts (or volts and amps) and the inside in studio.toml"
        text = oddity(kiln) or "its power or inside is not known"
        raise ProblemsError([error("kiln-not-described", f"{kiln.name}: {text}", hint)])
    lesson = _lesson(kiln, tuple(firings), tuple(circuits))
    before, after = plate_draws(kiln), lesson.draws
    wear = wear_trend(firings)
    if after is None:
        return _nothing_learned(kiln, circuit, before, lesson, wear)
    plate_W = plate_power_W(kiln)
    hot = ceiling(kiln, circuit, after)
    cone = f" It gets to about cone {hot.cone}" if hot and hot.cone else " Its ceiling stays open"
    many = len(lesson.used)
    return KilnLearned(
        kiln=kiln.name,
        estimates=parameters(after, plate_W, Basis.LEARNED, _age(lesson.on_elements)),
        before=parameters(before, plate_W, Basis.MODEL),
        ceiling_before=ceiling(kiln, circuit),
        ceiling=hot,
        used=lesson.used,
        left_out=lesson.left_out,
        wear=wear,
        sentence=f"{kiln.name}: learned from {many} firing{'s' if many > 1 else ''}.{cone}.",
        problems=misfit_remarks(kiln, after.misfit),
    )


def learned_draws(kiln: Kiln, firings: Sequence[FiringRecord], circuits: Sequence[Circuit] = ()) -> KilnDraws | None:
    """Draws of the kiln as its ``firings`` on the studio's ``circuits`` tell, or None where they tell nothing."""
    return _lesson(kiln, tuple(firings), tuple(circuits)).draws


@lru_cache(maxsize=16)
def _lesson(kiln: Kiln, firings: tuple[FiringRecord, ...], circuits: tuple[Circuit, ...]) -> Lesson:
    own = oldest_first(firings)
    counts, now = element_counts(own, kiln.firings_on_elements)
    if not can_be_modelled(kiln):
        return Lesson(None, (), (), now)
    before, plate_W = plate_draws(kiln), plate_power_W(kiln)
    longest_h = min(LONGEST_FIRING_H, longest_followed_h(before.model()))
    curves: list[FiringCurve] = []
    proofs: list[Proof] = []
    used: list[tuple[str, str]] = []
    left: list[tuple[str, str]] = []
    for number, (record, count) in enumerate(zip(own, counts, strict=True), 1):
        curve, why = curve_of(kiln, record, circuits, count)
        curve, why = _bounded(curve, why, longest_h, len(own) - number)
        id_ = record.id or f"firing {number}"
        (used if curve else left).append((id_, why))
        if curve:
            curves.append(curve)
        if len(own) - number < MOST_FIRINGS and (curve is None or not curve.down):
            proofs += [p for p in (proof_of(kiln, id_, record, circuits, count),) if p]
    draws = before
    if curves:
        fit = fit_kiln(before, plate_W, tuple(curves))
        used = [(id_, why + _strange(off)) for (id_, why), off in zip(used, fit.misfits, strict=True)]
        draws = draws_after(before, plate_W, fit, now)
    draws, words, taught = held_to(kiln, draws, proofs, circuits, now)
    told = [(id_, f"{words[id_]}; {why}" if id_ in words else why) for id_, why in (*used, *left)]
    by_climb = {id_ for id_, _ in used}
    return Lesson(
        draws if draws.learned else None,
        tuple(t for t in told if t[0] in by_climb | taught),
        tuple(t for t in told if t[0] not in by_climb | taught),
        now,
    )


def _bounded(curve: FiringCurve | None, why: str, longest_h: float, newer: int) -> tuple[FiringCurve | None, str]:
    """The curve, or None with a reason where it is longer than is followed or many ``newer`` ones tell more."""
    if curve is None:
        return curve, why
    if newer >= MOST_FIRINGS:
        return None, f"older than the newest {MOST_FIRINGS} firings, which are enough"
    if end_of(curve) > longest_h:
        return None, f"{end_of(curve):.0f} h are more than the {longest_h:.0f} h over which this kiln is followed"
    return curve, why


def _strange(misfit: float) -> str:
    return f"; lies {misfit:.1f} times further from the model than readings do" if misfit >= MISFIT_TO_TELL else ""


def _age(firings: int | None) -> str:
    return f"{UNKNOWN_FIRINGS:g} firings, as they were not counted" if firings is None else f"{firings} firings"


def wear_trend(firings: Sequence[FiringRecord]) -> WearTrend | None:
    """Trend of the hours of the commonest kind of firing, oldest first; None where none has hours."""
    kinds: dict[tuple[str, str], list[float]] = {}
    for record in firings:
        if record.hours is not None:
            kinds.setdefault((record.purpose, record.target_cone), []).append(record.hours)
    return judge_wear(max(kinds.values(), key=len)) if kinds else None


def parameters(draws: KilnDraws, plate_W: float, basis: Basis, age: str = "") -> tuple[Estimate, ...]:
    """The parameters of a kiln's draws as estimates; ``age`` tells the elements' firings where they were counted."""
    values: dict[str, NDArray[np.float64]] = {
        "power_factor": draws.power_W / plate_W,
        "loss_factor": draws.loss,
        "heat_store_factor": draws.store,
    }
    found = [_estimate(name, values[name], draws, basis, note) for name, note in _NAMES]
    wear = "growth of the elements' resistance since new" + (f", after {age}" if age else "")
    found.append(_estimate("element_wear", draws.wear, draws, basis, wear))
    return tuple(found)


def _estimate(name: str, values: NDArray[np.float64], draws: KilnDraws, basis: Basis, note: str) -> Estimate:
    low, middle, high = (weighted_quantile(values, draws.weights, p) for p in (0.05, 0.5, 0.95))
    return Estimate(name, middle, low, high, "1", basis, ("wall_memory", "common_practice"), (note,))


def _nothing_learned(
    kiln: Kiln, circuit: Circuit | None, draws: KilnDraws, lesson: Lesson, wear: WearTrend | None
) -> KilnLearned:
    told = parameters(draws, plate_power_W(kiln), Basis.MODEL)
    hot = ceiling(kiln, circuit)
    return KilnLearned(
        kiln=kiln.name,
        estimates=told,
        before=told,
        ceiling_before=hot,
        ceiling=hot,
        used=(),
        left_out=lesson.left_out,
        wear=wear,
        sentence=f"{kiln.name}: no recorded firing tells of full power yet, so only the plate is known.",
        next_steps=(
            "Write down time and temperature every half hour in the last stretch of a firing, when the"
            " kiln works"
            " without a pause, with the volts at the outlet and the cones that bent.",
        ),
    )
