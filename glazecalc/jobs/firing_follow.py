"""What the kiln makes of a schedule: where it cannot follow, what it then needs, and the energy it takes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.jobs.ceiling import SOURCES, plate_draws, share_on, volts_go_together
from glazecalc.jobs.setup import Setup
from glazecalc.models.cones import cumulative_heat, heat_law, softening_rate, temperature_degC
from glazecalc.models.kiln import (
    Drive,
    HeatingRun,
    KilnModel,
    longest_step_h,
    stall_degC,
)
from glazecalc.models.kiln_reach import (
    KilnDraws,
    Leg,
    can_be_modelled,
    estimate_of,
    follow_legs,
    heat_along,
    leg_hours,
    ninety,
    weighted_quantile,
)
from glazecalc.values.answers import Estimate, percent_words
from glazecalc.values.arrays import Array
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.inputs import Circuit
from glazecalc.values.results.firing import KEEP_CHANCE, Dampness, FiringKind, TurnUp
from glazecalc.values.results.kiln import CurvePoint
from glazecalc.values.texts import phrase

# The shape of a schedule: drying, burn-out, quartz, the last hundred degrees, the hold, the cooling.

RAW_KINDS: Final = frozenset({"bisque", "once-fired"})
START_DEGC: Final = 20.0
THIN_MM: Final = 6.0
"""A wall of this thickness may be fired at the usual rates."""
LAST_RATE: Final = 60.0
LAST_SPAN_K: Final = 100.0
MOST_DRYING_H: Final = 12.0
COOL_RATE: Final = 300.0
"""Entered where the kiln may cool by itself: faster than any small kiln falls above red heat [degC/h]."""
SLOW_COOL: Final = (1040.0, 760.0, 60.0)
"""Slow cooling for mattes and crystals: from, to [degC] and rate [degC/h] (common practice)."""
FALL_FIRST_K: Final = 60.0
"""The kiln falls this far before slow cooling begins, so that the cooling adds no heat-work of note [K]."""
_DOWN: Final = 1.02


@dataclass(frozen=True, slots=True)
class Plan(Leg):
    """One planned leg, and why; ``at_peak`` marks the leg that ends at the peak, ``dropped`` the one behind it that was
    asked for; ``asked`` is the rate first wanted where the kiln's limits lowered it [degC/h].
    """

    why: str = ""
    at_peak: bool = False
    asked: float | None = None
    dropped: bool = False


@dataclass(frozen=True, slots=True)
class DropHold:
    """Whether to drop and hold behind the peak, and why; ``leg`` is the segment where it is asked for."""

    why: str
    leg: Plan | None = None


AskDrop = Callable[[float], DropHold]
"""Whether to drop and hold behind a peak [degC]."""


def plan_legs(
    kind: FiringKind,
    cone: Cone,
    hold_h: float,
    wall_mm: float = THIN_MM,
    dampness: Dampness = "dry",
    slow_cristobalite: bool = False,
) -> tuple[Plan, ...]:
    """The legs of a firing to ``cone``, heating and cooling, with the peak that brings the cone down at its end."""
    top = temperature_degC(cone, LAST_RATE)
    thick = max(1.0, wall_mm / THIN_MM)
    legs = [*_first_heat(kind, thick, dampness), *_last_heat(kind, top, hold_h)]
    return with_peak((*legs, *_cooling(kind, top, thick, slow_cristobalite)), cone)


def _first_heat(kind: FiringKind, thick: float, dampness: Dampness) -> list[Plan]:
    if kind not in RAW_KINDS:
        return [
            Plan(100.0 / thick, 120.0, 0.25 * thick, "the water of the glaze coat leaves"),
            Plan(120.0 / thick, 600.0, 0.0, phrase("through the quartz step at {573 degC} without haste")),
        ]
    drying = min(MOST_DRYING_H, (2.0 if dampness == "damp" else 0.5) * thick**2)
    why = "the last water leaves below boiling; a thick wall takes the square of its thickness in time"
    then = phrase("bound water and plant matter leave, then the quartz step at {573 degC}")
    return [Plan(80.0 / thick, 95.0, drying, why), Plan(80.0 / thick, 600.0, 0.0, then)]


def _last_heat(kind: FiringKind, top: float, hold_h: float) -> list[Plan]:
    before = top - LAST_SPAN_K
    legs = [
        Plan(120.0 if kind in RAW_KINDS else 150.0, before, 0.0, "a steady climb"),
        Plan(LAST_RATE, top, hold_h, "slow to the cone, so that all shelves follow", at_peak=True),
    ]
    if kind == "once-fired":
        why = "carbon, sulphur and carbonates leave before the glaze seals"
        return [Plan(100.0, min(850.0, before - 20.0), 0.5, why), *legs]
    if kind == "bisque" and before > 880.0:
        return [Plan(110.0, 850.0, 0.25, "carbon and sulphur burn out with air in the kiln"), *legs]
    return legs


def _cooling(kind: FiringKind, top: float, thick: float, cristobalite: bool) -> list[Plan]:
    legs = []
    start, end, rate = min(SLOW_COOL[0], top - FALL_FIRST_K), *SLOW_COOL[1:]
    if kind == "slow-cooled" and start > end:
        legs.append(Plan(COOL_RATE, start, 0.0, "falls by itself until the glaze stiffens"))
        legs.append(Plan(rate, end, 0.0, "slow, so that crystals grow: mattes and breaking glazes"))
    if thick >= 2.0:
        legs.append(Plan(COOL_RATE, 650.0, 0.0, "falls by itself, the kiln shut"))
        quartz = phrase("through the quartz step at {573 degC}, large or thick ware")
        legs.append(Plan(50.0, 500.0, 0.0, quartz))
    if cristobalite:
        legs.append(Plan(COOL_RATE, 280.0, 0.0, "falls by itself, the kiln shut"))
        legs.append(Plan(50.0, 180.0, 0.0, phrase("through the cristobalite step near {220 degC}")))
    return legs


def corners(legs: tuple[Plan, ...], to_peak: bool = False) -> tuple[np.ndarray, np.ndarray]:
    """Times [h] and temperatures [degC] of a schedule's corners; ``to_peak`` stops at the end of the peak's hold."""
    times, degC = [0.0], [START_DEGC]
    for leg in legs:
        times.append(times[-1] + abs(leg.to_degC - degC[-1]) / leg.rate_degC_per_h)
        degC.append(leg.to_degC)
        if leg.hold_h > 0:
            times.append(times[-1] + leg.hold_h)
            degC.append(leg.to_degC)
        if to_peak and leg.at_peak:
            break
    return np.array(times), np.array(degC)


def with_peak(legs: tuple[Plan, ...], cone: Cone) -> tuple[Plan, ...]:
    """The same legs with the peak at which ``cone`` is just down at the end of the hold; bisection, to 0.05 K.

    The leg before the peak stays 100 degC below it.
    """
    law = heat_law().take((cone,))
    low, high = START_DEGC + 200.0, 1500.0
    while high - low > 0.05:
        middle = (low + high) / 2
        done = float(cumulative_heat(law, *corners(_moved(legs, middle), to_peak=True))[-1, 0])
        low, high = (middle, high) if done < _DOWN else (low, middle)
    return _moved(legs, round(high, 1))


def with_drop(legs: tuple[Plan, ...], ask: AskDrop | None) -> tuple[Plan, ...]:
    """The legs with the drop that is asked for behind their peak, in place of one behind another peak."""
    kept = tuple(plan for plan in legs if not plan.dropped)
    at = next(i for i, plan in enumerate(kept) if plan.at_peak)
    leg = None if ask is None else ask(kept[at].to_degC).leg
    return kept if leg is None else (*kept[: at + 1], replace(leg, dropped=True), *kept[at + 1 :])


def drop_notes(legs: tuple[Plan, ...], ask: AskDrop | None, cone: Cone) -> tuple[str, ...]:
    """In words, why there is a drop behind the peak or none, and the heat-work that it adds to the next cone."""
    if ask is None:
        return ()
    why = ask(next(plan.to_degC for plan in legs if plan.at_peak)).why
    if not any(plan.dropped for plan in legs):
        return (why,)
    next_one = next_whole(cone) or cone
    law = heat_law().take((next_one,))
    before, after = (100.0 * cumulative_heat(law, *corners(legs, to))[-1, 0] for to in (True, False))
    too = ": it comes down too" if after >= 100.0 else ""
    return why, f"the drop and hold takes cone {next_one} from {before:.0f} % to {after:.0f} % of its heat-work{too}"


def _moved(legs: tuple[Plan, ...], peak: float) -> tuple[Plan, ...]:
    """The legs with the peak at ``peak``; no earlier leg comes closer to it than the last span, none is empty."""
    moved: list[Plan] = []
    rising = True
    for i, leg in enumerate(legs):
        if leg.at_peak:
            leg, rising = replace(leg, to_degC=peak), False
        elif rising:
            last = i + 1 < len(legs) and legs[i + 1].at_peak
            end = peak - LAST_SPAN_K if last else min(leg.to_degC, peak - LAST_SPAN_K)
            leg = replace(leg, to_degC=end)
            if end < (moved[-1].to_degC if moved else START_DEGC) + 1.0:
                continue
        moved.append(leg)
    return tuple(moved)


GAIN: Final = 0.02
"""By so much the chance of hitting the cone must rise to be worth the hours of a slower schedule."""
LOWERED: Final = 0.9
SLOWEST: Final = 30.0
"""A schedule asks for no less than this [degC/h]; below it a kiln has as good as stalled."""
DUTY_USUAL: Final = (0.5, 0.65)
"""Published range of energy over full power times hours, for a whole firing."""
LONGEST_H: Final = 40.0
"""A kiln that lags behind its schedule is followed, left on, for no longer than this [h]."""
RAW_HEAT_J_PER_KG: Final = 0.35e6
"""Heat that raw ware takes beyond its warming, for each kg of it fired: bound water is driven from about 45 % of clay
minerals at 0.6 MJ/kg (kaolinite, from memory: 0.55 to 0.68), 2 % of moisture at 2.5 MJ/kg, and 8 % leaves in firing."""


@dataclass(frozen=True, slots=True, eq=False)
class KilnRun:
    """A schedule followed by the likely kilns, the chance that each leg's rate is kept, and how long each leg took,
    shape (legs, n) [h]; ``raw_J`` is what raw ware takes beyond its warming, shape (n,) [J].
    """

    run: HeatingRun
    draws: KilnDraws
    model: KilnModel
    kept: tuple[float, ...] = ()
    leg_h: Sequence[Array] = ()
    raw_J: NDArray[np.float64] | float = 0.0

    def of_raw_ware(self) -> KilnRun:
        """The same run with the heat that raw ware takes."""
        return replace(self, raw_J=RAW_HEAT_J_PER_KG * self.draws.inside.full_load_kg * self.draws.load)

    def chance(self, cone: Cone) -> float:
        """Chance that ``cone`` is down at the end."""
        return float(self.draws.weights @ np.isfinite(self.down_h(cone)))

    def down_h(self, cone: Cone) -> NDArray[np.float64]:
        """When ``cone`` is down in each of the likely kilns, shape (n,) [h]; infinite where it never is."""
        down = heat_along(self.run, (cone,))[:, :, 0] >= 1.0
        return np.where(down[-1], self.run.hours[np.argmax(down, axis=0)], np.inf)

    def on_the_cone(self, cone: Cone) -> float:
        """Chance that ``cone`` is down at the end and the next whole one stands."""
        hotter = next_whole(cone)
        stands = hotter is None or np.isinf(self.down_h(hotter))
        return float(self.draws.weights @ (np.isfinite(self.down_h(cone)) & stands))


def next_whole(cone: Cone) -> Cone | None:
    """The next hotter cone that is not a half one; None after the last."""
    return next((c for c in ALL_CONES if c > cone and "." not in c.name), None)


def run_kiln(draws: KilnDraws, circuit: Circuit | None, legs: tuple[Plan, ...]) -> KilnRun:
    """The likely kilns led through the legs on this circuit."""
    model = draws.model(share_on(draws, circuit))
    found = follow_legs(model, legs, LONGEST_H)
    kept = tuple(min(1.0, float(draws.weights @ row)) for row in found.kept)
    return KilnRun(found.run, draws, model, kept, list(leg_hours(found.leg_end_h)))


def fit_to_kiln(
    draws: KilnDraws, circuit: Circuit | None, legs: tuple[Plan, ...], cone: Cone, ask: AskDrop | None = None
) -> tuple[tuple[Plan, ...], KilnRun, tuple[str, ...]]:
    """The legs with rates the kiln likely keeps where that pays, the peak and the drop that is asked for behind it
    worked out anew for them, and in words what it gains.

    A leg that is kept too seldom is asked for at the speed that most of the likely kilns manage, up to its peak; in two
    rounds. A slower schedule is offered only where it hits the cone more surely: a kiln that lags behind the usual
    rates gives more heat-work than was planned, and its ware may be overfired.
    """
    plain = best = legs, run_kiln(draws, circuit, legs)
    slower = plain
    for _ in range(2):
        slowed = _slowed(*slower)
        if slowed == slower[0]:
            break
        slowed = with_drop(with_peak(slowed, cone), ask)
        slower = slowed, run_kiln(draws, circuit, slowed)
        if slower[1].on_the_cone(cone) > best[1].on_the_cone(cone) + GAIN:
            best = slower
    if slower is plain:
        return (*plain, ())
    usual, found = (100.0 * w[1].on_the_cone(cone) for w in (plain, slower if best is plain else best))
    above = next_whole(cone)
    hits = f"cone {cone} comes down" + (f" and cone {above} stands" if above else "")
    odds = f"{hits} in about {found:.0f} % of the likely cases, {usual:.0f} %"
    if best is plain:
        return (*best, (f"a slower schedule gains nothing: {odds} with this",))
    return (*best, (f"slower than usual, and better so: {odds} at the usual rates",))


def _slowed(legs: tuple[Plan, ...], run: KilnRun) -> tuple[Plan, ...]:
    found = []
    for leg, start, kept, took in zip(legs, _starts(legs), run.kept, run.leg_h, strict=True):
        if leg.to_degC > start and kept < KEEP_CHANCE:
            climb = np.maximum(np.nan_to_num(took, nan=1e3) - leg.hold_h, 1e-3)
            hours = weighted_quantile(climb, run.draws.weights, KEEP_CHANCE)
            rate = max(SLOWEST, min(leg.rate_degC_per_h, LOWERED * (leg.to_degC - start) / hours))
            rate = float(5 * round(rate / 5)) if rate >= 10 else rate
            if rate < leg.rate_degC_per_h:
                leg = replace(leg, rate_degC_per_h=rate, asked=leg.asked or leg.rate_degC_per_h)
        found.append(leg)
    return tuple(found)


def _starts(legs: tuple[Plan, ...]) -> list[float]:
    """Where each leg begins [degC]."""
    return [START_DEGC, *(leg.to_degC for leg in legs)][:-1]


def what_it_cannot(legs: tuple[Plan, ...], run: KilnRun, kiln: str) -> tuple[str, ...]:
    """In words, where the kiln is slower than was wanted."""
    found = []
    for leg, start, kept in zip(legs, _starts(legs), run.kept, strict=True):
        span, rate, share = (start, leg.to_degC), leg.rate_degC_per_h, percent_words(kept)
        if leg.asked is not None and rate < leg.asked:
            slowed = "from {:.0f degC}: slowed from {:.0f K} per hour, which {} keeps in about {} of the likely cases"
            found.append(phrase(slowed, span, (leg.asked, rate), kiln, share))
        elif leg.to_degC > start and kept < KEEP_CHANCE:
            seldom = "from {:.0f degC} {} keeps {:.0f K} per hour in only {} of the likely cases"
            found.append(phrase(seldom, span, kiln, rate, share))
    return tuple(found)


def energy_estimates(
    run: KilnRun, price: float | None, currency: str, what: str = "the firing as planned, to its end"
) -> tuple[Estimate, ...]:
    """Energy [kWh], duty factor and cost of the firing, which ``what`` names."""
    weights, basis = run.draws.weights, run.draws.basis
    raw = run.raw_J / 3.6e6
    energy = run.run.energy_J[-1] / 3.6e6 + raw
    peak = np.argmax(run.run.chamber_degC, axis=0)
    hours = run.run.hours[peak]
    at_peak = run.run.energy_J[peak, np.arange(len(hours))] / 3.6e6 + raw
    duty = np.minimum(at_peak / (run.model.power_W / 1000.0 * np.maximum(hours, 0.1)), 1.0)
    low, high = DUTY_USUAL
    note = f"usual for a whole firing: {low:g} to {high:g} of full power"
    found = [
        estimate_of("energy_per_firing", energy, weights, "kWh", basis, SOURCES, what),
        estimate_of("duty_factor", duty, weights, "1", basis, SOURCES, note),
    ]
    if price is not None:
        unit, at = currency or "1", f"at {price:g} per kWh"
        found.append(estimate_of("cost_per_firing", energy * price, weights, unit, basis, SOURCES, at))
    return tuple(found)


def curve_points(run: HeatingRun, weights: Array, count: int) -> tuple[CurvePoint, ...]:
    """At most ``count`` points of the curve of a kiln, of which ``weights`` (n,) are those of its draws, with its 90 %
    interval."""
    chamber, points = run.chamber_degC, []
    for i in np.unique(np.linspace(0, len(run.hours) - 1, count).round().astype(int)):
        low, middle, high = ninety(chamber[i], weights)
        points.append(CurvePoint(float(run.hours[i]), min(low, middle), middle, max(high, middle)))
    return tuple(points)


# A kiln with a manual switch: how its likely kilns fire, when to turn it up, and when to look at the cones.

LOW_POWER: Final = 1.0 / 3.0
MEDIUM_POWER: Final = 2.0 / 3.0
"""Three-position switches give about a third, two thirds and all of the power (common practice)."""
SWITCH_LONGEST_H: Final = 24.0
"""A firing that is still going a day after the switch was turned to high has failed [h]."""
LOOK_BEFORE_H: Final = 0.75
RAW_RATE: Final = 100.0
"""Raw ware is heated no faster than this while it dries (common practice) [degC/h]."""
LONGEST_COOL_H: Final = 12.0
"""A slow cooling is followed no longer than this [h]."""


def fire_by_switch(
    draws: KilnDraws, circuit: Circuit | None, kind: FiringKind, cone: Cone, wall_mm: float, dampness: Dampness
) -> Way:
    """Low, medium and high, then off when the cone is down; a slow cooling is kept up by hand with all three. Hours and
    temperatures are those of the middle of the likely kilns."""
    model = draws.model(share_on(draws, circuit))
    low_h, medium_h = _stages(kind, wall_mm, dampness)
    slowly = kind == "slow-cooled"
    found, down_h = _fired(model, low_h, low_h + medium_h, cone, slowly)
    at_most = np.minimum(down_h, 1e3)
    middle = int(np.argmin(np.abs(at_most - _middle(draws, at_most))))
    hours, degC, end = found.hours, found.chamber_degC[:, middle], float(at_most[middle])
    acts = [*_turn_ups(draws, found, kind, low_h, medium_h), *_looking(draws, found, down_h, low_h + medium_h, cone)]
    if slowly and np.isfinite(down_h[middle]):
        hangs = _middle(draws, stall_degC(model.with_power(LOW_POWER * model.power_W)))
        acts += _held_back(hours, degC, end, hangs)
        end = acts[-1].at_h
    rows = hours <= end + hours[1] + 1e-9
    return Way((), hours[rows], degC[rows], KilnRun(found, draws, model), tuple(acts))


def _stages(kind: FiringKind, wall_mm: float, dampness: Dampness) -> tuple[float, float]:
    """Hours on low and on medium."""
    raw = kind in RAW_KINDS
    thick = max(1.0, wall_mm / THIN_MM)
    low_h = min(10.0, ((4.0 if dampness == "damp" else 2.0) if raw else 1.0) * thick)
    return low_h, min(10.0, 2.0 * thick) if raw else 1.5


def _fired(
    model: KilnModel, medium_at_h: float, high_at_h: float, cone: Cone, slowly: bool
) -> tuple[HeatingRun, Array]:
    """The run of each draw, and the hour at which its cone is down (n,), infinite where it never is."""
    drive = Drive(model, min(1.0 / 30.0, longest_step_h(model)))
    law, n = heat_law().take((cone,)), len(model.power_W)
    heat, down_h, off = np.zeros(n), np.full(n, np.inf), np.zeros(n, dtype=bool)
    start_degC, falling_K_per_s = np.full(n, SLOW_COOL[0]), -SLOW_COOL[2] / 3600.0
    while not off.all() and drive.hours[-1] < high_at_h + SWITCH_LONGEST_H + (LONGEST_COOL_H if slowly else 0.0):
        at, before = drive.hours[-1], drive.places[-1][0]
        share = LOW_POWER if at < medium_at_h else MEDIUM_POWER if at < high_at_h else 1.0
        down = np.isfinite(down_h)
        held = down & (before <= start_degC) & ~off
        off |= down & (before <= SLOW_COOL[1]) if slowly else down
        drive.flows.most_W = model.power_W * np.select([off | (down & ~held), held], [0.0, MEDIUM_POWER], share)
        drive.step(np.where(held, falling_K_per_s, np.inf))
        now = drive.places[-1][0]
        rates = [softening_rate(law, np.minimum(degC, 1600.0))[:, 0] for degC in (before, now)]
        heat += 0.5 * (rates[0] + rates[1]) * drive.step_h
        just = ~down & (heat >= 1.0)
        down_h[just] = drive.hours[-1]
        start_degC = np.where(just, np.minimum(SLOW_COOL[0], now - FALL_FIRST_K), start_degC)
    return drive.run(), down_h


def _middle(draws: KilnDraws, values: Array) -> float:
    return weighted_quantile(values, draws.weights, 0.5)


def _chamber_at(run: HeatingRun, hour: float) -> Array:
    """Chamber of the likely kilns at an hour, shape (n,) [degC]."""
    return np.asarray(run.chamber_degC[min(int(np.searchsorted(run.hours, hour)), len(run.hours) - 1)])


def _turn_ups(draws: KilnDraws, run: HeatingRun, kind: FiringKind, low_h: float, medium_h: float) -> list[TurnUp]:
    warm, hot = (_middle(draws, _chamber_at(run, h)) for h in (low_h, low_h + medium_h))
    begin = _LOW
    if kind in RAW_KINDS:
        begin = _LOW_RAW + (_TOO_FAST if (warm - 20.0) / low_h > RAW_RATE else "")
    return [TurnUp(0.0, 20.0, begin), TurnUp(low_h, warm, _MEDIUM), TurnUp(low_h + medium_h, hot, _HIGH)]


_LOW_RAW = (
    "Switch on low, the lid a finger open or the peephole plug out, until no damp shows on a cold mirror held to it."
)
_TOO_FAST = (
    " With the lid shut, low heats this kiln faster than raw ware likes: keep the lid well open, or switch off for a "
    "while now and then, until it is dry."
)
_LOW = "Switch on low, the top peephole plug out."
_MEDIUM = "Turn to medium. Close the lid if it was open; leave the top peephole plug out."
_HIGH = "Turn to high. Put the plug in when nothing smells any more."


def _looking(draws: KilnDraws, run: HeatingRun, down_h: Array, high_h: float, cone: Cone) -> list[TurnUp]:
    """When to begin to look at the cones, and when the cone is likely down."""
    hours = np.minimum(down_h, high_h + 99.0)
    early, middle = (weighted_quantile(hours, draws.weights, p) for p in (0.05, 0.5))
    if early >= high_h + SWITCH_LONGEST_H:
        return [TurnUp(high_h, None, f"Cone {cone} is not likely to come down in this kiln; see the reach.")]
    look = max(high_h, early - LOOK_BEFORE_H)
    text = (
        "From now look at the cones every quarter of an hour, through dark glasses made for it, and stay. Switch off "
        f"when the tip of cone {cone} is level with its base."
    )
    found = [TurnUp(look, _middle(draws, _chamber_at(run, look)), text)]
    if middle < high_h + SWITCH_LONGEST_H:
        nearest = int(np.argmin(np.abs(hours - middle)))
        likely = f"Cone {cone} is likely down about now. The cone decides, not the clock."
        found.append(TurnUp(middle, float(_chamber_at(run, hours[nearest])[nearest]), likely))
    return found


def _held_back(hours: Array, degC: Array, down_h: float, hangs_degC: float) -> list[TurnUp]:
    """When to begin to hold the cooling back by hand, and when to switch off; what low alone would do."""
    start, end, rate = SLOW_COOL
    fallen = (hours >= down_h) & (degC <= min(start, float(np.interp(down_h, hours, degC)) - FALL_FIRST_K))
    begin = float(hours[np.argmax(fallen)]) if fallen.any() else down_h
    cold_enough = (hours >= begin) & (degC <= end)
    stop = float(hours[np.argmax(cold_enough)] if cold_enough.any() else hours[-1])
    text = phrase(
        "A switch cannot cool slowly by itself. From now turn to low (medium if it still falls too fast) and off again "
        "by hand, so that the pyrometer falls by about {:.0f K} per hour; left on low this kiln would hang near "
        "{:.0f degC}.", rate, hangs_degC,
    )  # fmt: skip
    return [
        TurnUp(begin, float(np.interp(begin, hours, degC)), text),
        TurnUp(stop, float(np.interp(stop, hours, degC)), "Switch off, and see that it is off."),
    ]


# How a firing goes in this kiln: one plan, for whoever asks what it takes, and whether the kiln follows.

USUAL_HOLD_H = 1.0 / 6.0


@dataclass(frozen=True, slots=True)
class FiringWish:
    """What is asked for: kind of firing, cone, hold at the peak [h], thickness [mm] and dampness of the
    ware; ``after_peak`` tells of a peak whether to drop and hold behind it.
    """

    kind: FiringKind
    cone: Cone
    hold_h: float = USUAL_HOLD_H
    wall_mm: float | None = None
    dampness: Dampness = "dry"
    after_peak: AskDrop | None = None


def draws_of(setup: Setup) -> KilnDraws | None:
    """Draws of the kiln, as its firings teach it or by its plate; None where it cannot be modelled on this circuit."""
    kiln = setup.kiln
    if kiln is None or not volts_go_together(kiln, setup.circuit):
        return None
    return setup.draws or (plate_draws(kiln) if can_be_modelled(kiln) else None)


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """A firing as it goes: legs for a controller or acts at a switch, hours and temperatures [degC] of the plan, what
    the likely kilns make of it (None where the kiln is not modelled), and notes.
    """

    legs: tuple[Plan, ...]
    hours: NDArray[np.float64]
    degC: NDArray[np.float64]
    run: KilnRun | None = None
    acts: tuple[TurnUp, ...] = ()
    notes: tuple[str, ...] = ()


def find_way(wish: FiringWish, setup: Setup) -> Way:
    """The firing wished for, by the switch where the kiln has one, else shaped by what the kiln can follow."""
    kiln, body, draws = setup.kiln, setup.body, draws_of(setup)
    wall = wish.wall_mm or (body.wall_mm if body else None) or THIN_MM
    ware = phrase("wall of {:g mm}, {} ware", wall, wish.dampness)
    known = body is not None or wish.wall_mm is not None
    thin = () if known else ("no clay is named: thin, bone-dry ware is assumed",)
    if kiln is not None and kiln.control == "switch" and draws is not None:
        way = fire_by_switch(draws, setup.circuit, wish.kind, wish.cone, wall, wish.dampness)
        by_hand = f"{kiln.name} has a switch: hours and heat are those of the middle of the likely kilns on it"
        no_drop = () if wish.after_peak is None else (f"no drop and hold is planned: {kiln.name} has a switch",)
        return replace(way, run=_of_ware(way.run, wish.kind), notes=(ware + f"; {by_hand}", *thin, *no_drop))
    stoneware = body is not None and body.ware in ("stoneware", "porcelain")
    legs = plan_legs(
        wish.kind,
        wish.cone,
        wish.hold_h,
        wall,
        wish.dampness,
        slow_cristobalite=bool(stoneware and wall >= 2 * THIN_MM and wish.kind != "bisque"),
    )
    legs = with_drop(legs, wish.after_peak)
    notes = (ware + f"; peak worked out so that cone {wish.cone} bends at its end", *thin)
    run = None
    if draws is not None:
        legs, run, compared = fit_to_kiln(draws, setup.circuit, legs, wish.cone, wish.after_peak)
        notes = (*notes, *compared)
    notes = (*notes, *drop_notes(legs, wish.after_peak, wish.cone))
    return Way(legs, *corners(legs), _of_ware(run, wish.kind), (), notes)


def _of_ware(run: KilnRun | None, kind: FiringKind) -> KilnRun | None:
    return run.of_raw_ware() if run is not None and kind in RAW_KINDS else run
