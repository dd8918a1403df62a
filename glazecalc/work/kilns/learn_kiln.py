"""What a kiln's recorded firings say of it: losses, heat store, wear, and the ceiling that follows."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from glazecalc.judge.wear import judge_wear
from glazecalc.models.chamber import WARE_KG_PER_LITRE
from glazecalc.models.kiln_draws import KilnDraws, can_be_modelled, plate_power_W, weighted_quantile
from glazecalc.models.kiln_fit import FiringCurve, KilnFit, draws_after, fit_kiln
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.kiln_report import KilnLearned, WearTrend
from glazecalc.values.problem import Problem, ProblemsError, error, remark
from glazecalc.values.records import FiringRecord
from glazecalc.work.kilns.kiln_ceiling import ceiling, plate_draws

FALLING = 0.97
"""A climb counts as slowing where each rate is at most this share of the one before."""
FEWEST_FALLING = 3
MISFIT_TO_TELL = 2.5
_NAMES = (
    ("power_factor", "heating power over the plate's, new elements"),
    ("loss_factor", "losses over those of geometry and brick"),
    ("heat_store_factor", "heat stored in the brick over that of a middling brick"),
)


def learn_kiln(kiln: Kiln, firings: Sequence[FiringRecord], circuit: Circuit | None = None) -> KilnLearned:
    """Fit the kiln to those of its firings that tell of full power.

    Raises
    ------
    ProblemsError
        if the kiln's plate says too little to model it.
    """
    if not can_be_modelled(kiln):
        hint = "give watts (or volts and amps) and the inside in studio.toml"
        raise ProblemsError([error("kiln-not-described", f"{kiln.name}: its power or inside is not known", hint)])
    own = own_firings(kiln, firings)
    curves: list[FiringCurve] = []
    used: list[tuple[str, str]] = []
    left: list[tuple[str, str]] = []
    for record in own:
        curve, why = curve_of(kiln, record, circuit)
        (used if curve else left).append((record.id or f"firing {len(used) + len(left) + 1}", why))
        if curve:
            curves.append(curve)
    before = plate_draws(kiln)
    wear = wear_trend(own)
    if not curves:
        return _nothing_learned(kiln, circuit, before, left, wear)
    plate_W = plate_power_W(kiln)
    fit = fit_kiln(before, plate_W, tuple(curves))
    after = draws_after(before, plate_W, fit, _firings_now(kiln, own))
    hot = ceiling(kiln, circuit, after)
    cone = f" It gets to about cone {hot.cone}" if hot and hot.cone else " Its ceiling stays open"
    return KilnLearned(
        kiln=kiln.name,
        estimates=parameters(after, plate_W, Basis.LEARNED),
        before=parameters(before, plate_W, Basis.MODEL),
        ceiling_before=ceiling(kiln, circuit),
        ceiling=hot,
        used=tuple(used),
        left_out=tuple(left),
        wear=wear,
        sentence=f"{kiln.name}: learned from {len(curves)} firing{'s' if len(curves) > 1 else ''}.{cone}.",
        problems=_misfit(kiln, fit),
    )


def learned_draws(kiln: Kiln, firings: Sequence[FiringRecord], circuit: Circuit | None = None) -> KilnDraws | None:
    """Draws of the kiln as its firings tell, or None where they tell nothing."""
    return _learned_draws(kiln, tuple(firings), circuit)


@lru_cache(maxsize=16)
def _learned_draws(kiln: Kiln, firings: tuple[FiringRecord, ...], circuit: Circuit | None) -> KilnDraws | None:
    if not can_be_modelled(kiln):
        return None
    own = own_firings(kiln, firings)
    curves = [c for c in (curve_of(kiln, f, circuit)[0] for f in own) if c is not None]
    if not curves:
        return None
    plate_W = plate_power_W(kiln)
    fit = fit_kiln(plate_draws(kiln), plate_W, tuple(curves))
    return draws_after(plate_draws(kiln), plate_W, fit, _firings_now(kiln, own))


def own_firings(kiln: Kiln, firings: Sequence[FiringRecord]) -> list[FiringRecord]:
    """The firings of this kiln; one that names no kiln is taken as its."""
    return [f for f in firings if f.kiln.casefold() in ("", kiln.name.casefold())]


def curve_of(kiln: Kiln, record: FiringRecord, circuit: Circuit | None) -> tuple[FiringCurve | None, str]:
    """A record as a curve for the fit, or None; and in words what it told or why it told nothing."""
    hours = [0.0, *(r.at_h for r in record.readings if r.at_h > 0)]
    degC = [20.0, *(r.degC for r in record.readings if r.at_h > 0)]
    if any(b <= a for a, b in pairwise(hours)):
        return None, "its readings do not run forward in time"
    whole = "full power" in f"{record.schedule} {record.note}".lower()
    if whole and len(hours) == 1 and record.hours and record.peak_degC:
        hours, degC = [0.0, record.hours], [20.0, record.peak_degC]
    start = 0.0 if whole else flat_out_from(hours, degC)
    if len(hours) < 2:
        return None, "it has no readings of time and temperature"
    if start is None:
        return None, "no stretch in which the climb kept slowing, so nothing of full power"
    volts = record.volts or (circuit.volts if circuit else None) or kiln.volts or 120.0
    room_L = plate_draws(kiln).inside.volume_m3 * 1000.0
    curve = FiringCurve(
        hours=tuple(hours),
        degC=tuple(degC),
        volts=volts,
        measured=record.volts is not None,
        flat_out_h=start,
        on_elements=record.on_elements if record.on_elements is not None else kiln.firings_on_elements,
        load=record.load_kg / (WARE_KG_PER_LITRE * room_L) if record.load_kg is not None else None,
        down=tuple(Cone(w.cone) for w in record.cones if w.bend == "down"),
        standing=tuple(Cone(w.cone) for w in record.cones if w.bend == "stands"),
        watts=record.amps * record.volts if record.amps and record.volts else None,
    )
    told = len([h for h in hours if h > start])
    return curve, f"{told} reading{'s' if told > 1 else ''} at full power from {start:.1f} h on"


def flat_out_from(hours: Sequence[float], degC: Sequence[float]) -> float | None:
    """Hour from which the climb only slowed down, as it does at full power; None where it never does.

    At least three rates must fall one after the other, to the hottest reading.
    """
    top = int(np.argmax(degC))
    rates = [(degC[i + 1] - degC[i]) / (hours[i + 1] - hours[i]) for i in range(top)]
    first = len(rates) - 1
    while first > 0 and 0 < rates[first] <= FALLING * rates[first - 1]:
        first -= 1
    return hours[first] if len(rates) - first >= FEWEST_FALLING else None


def wear_trend(firings: Sequence[FiringRecord]) -> WearTrend | None:
    """Trend of the hours of the commonest kind of firing, oldest first; None where none has hours."""
    kinds: dict[tuple[str, str], list[float]] = {}
    for record in firings:
        if record.hours is not None:
            kinds.setdefault((record.purpose, record.target_cone), []).append(record.hours)
    return judge_wear(max(kinds.values(), key=len)) if kinds else None


def parameters(draws: KilnDraws, plate_W: float, basis: Basis) -> tuple[Estimate, ...]:
    """The parameters of a kiln's draws as estimates."""
    values: dict[str, NDArray[np.float64]] = {
        "power_factor": draws.power_W / plate_W,
        "loss_factor": draws.loss,
        "heat_store_factor": draws.store,
    }
    found = [_estimate(name, values[name], draws, basis, note) for name, note in _NAMES]
    found.append(_estimate("element_wear", draws.wear, draws, basis, "growth of the elements' resistance since new"))
    return tuple(found)


def _estimate(name: str, values: NDArray[np.float64], draws: KilnDraws, basis: Basis, note: str) -> Estimate:
    low, middle, high = (weighted_quantile(values, draws.weights, p) for p in (0.05, 0.5, 0.95))
    return Estimate(name, middle, low, high, "1", basis, ("wall_memory", "common_practice"), (note,))


def _firings_now(kiln: Kiln, own: Sequence[FiringRecord]) -> int | None:
    last = max((f.on_elements for f in own if f.on_elements is not None), default=None)
    known = [n for n in (kiln.firings_on_elements, last) if n is not None]
    return max(known) if known else None


def _misfit(kiln: Kiln, fit: KilnFit) -> tuple[Problem, ...]:
    if fit.misfit < MISFIT_TO_TELL:
        return ()
    return (
        remark(
            "kiln-misfit",
            f"{kiln.name}: the records lie {fit.misfit:.1f} times further from the model than readings usually do",
            "check volts, times and whether the elements were on all the time",
        ),
    )


def _nothing_learned(
    kiln: Kiln, circuit: Circuit | None, draws: KilnDraws, left: list[tuple[str, str]], wear: WearTrend | None
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
        left_out=tuple(left),
        wear=wear,
        sentence=f"{kiln.name}: no recorded firing tells of full power yet, so only the plate is known.",
        next_steps=(
            "Write down time and temperature every half hour in the last stretch of a firing, when the"
            " kiln works"
            " without a pause, with the volts at the outlet and the cones that bent.",
        ),
    )
