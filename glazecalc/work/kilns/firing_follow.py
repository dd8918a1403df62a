"""What the kiln makes of a schedule: where it cannot follow, what it then needs, and the energy it takes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.kiln import KilnModel
from glazecalc.models.kiln_draws import KilnDraws, heat_along, weighted_quantile
from glazecalc.models.kiln_follow import Followed, Leg, follow_legs
from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.estimate import Basis, Estimate, percent_words
from glazecalc.values.firing_report import KEEP_CHANCE
from glazecalc.values.inputs import Circuit
from glazecalc.values.kiln_report import CurvePoint
from glazecalc.work.kilns.firing_plan import START_DEGC, Plan, with_peak
from glazecalc.work.kilns.kiln_ceiling import SOURCES, share_on

GAIN: Final = 0.02
"""By so much the chance of hitting the cone must rise to be worth the hours of a slower schedule."""
LOWERED: Final = 0.9
SLOWEST: Final = 30.0
"""A schedule asks for no less than this [degC/h]; below it a kiln has as good as stalled."""
DUTY_PUBLISHED: Final = (0.5, 0.65)
"""Published range of energy over full power times hours, for a whole firing."""
LONGEST_H: Final = 40.0
"""A kiln that lags behind its schedule is followed, left on, for no longer than this [h]."""
_POINTS: Final = 60


@dataclass(frozen=True, slots=True)
class KilnRun:
    """A schedule followed by the likely kilns, and the chance that each leg's rate is kept."""

    followed: Followed
    kept: tuple[float, ...]
    draws: KilnDraws
    model: KilnModel

    def chance(self, cone: Cone) -> float:
        """Chance that ``cone`` is down at the end."""
        done = heat_along(self.followed.run, (cone,))[-1, :, 0]
        return float(self.draws.weights @ (done >= 1.0))

    def down_h(self, cone: Cone) -> NDArray[np.float64]:
        """When ``cone`` is down in each of the likely kilns, shape (n,) [h]; infinite where it never is."""
        down = heat_along(self.followed.run, (cone,))[:, :, 0] >= 1.0
        return np.where(down[-1], self.followed.run.hours[np.argmax(down, axis=0)], np.inf)

    def on_the_cone(self, cone: Cone) -> float:
        """Chance that ``cone`` is down at the end and the next whole one stands."""
        hotter = next_whole(cone)
        if hotter is None:
            return self.chance(cone)
        done = heat_along(self.followed.run, (cone, hotter))[-1]
        return float(self.draws.weights @ ((done[:, 0] >= 1.0) & (done[:, 1] < 1.0)))


def next_whole(cone: Cone) -> Cone | None:
    """The next hotter cone that is not a half one; None after the last."""
    return next((c for c in ALL_CONES if c > cone and "." not in c.name), None)


def run_kiln(draws: KilnDraws, circuit: Circuit | None, legs: tuple[Plan, ...]) -> KilnRun:
    """The likely kilns led through the legs on this circuit."""
    model = draws.model(share_on(draws, circuit))
    found = follow_legs(model, tuple(Leg(p.rate, p.to_degC, p.hold_h) for p in legs), LONGEST_H)
    kept = tuple(min(1.0, float(draws.weights @ row)) for row in found.kept)
    return KilnRun(found, kept, draws, model)


def fit_to_kiln(
    draws: KilnDraws, circuit: Circuit | None, legs: tuple[Plan, ...], cone: Cone
) -> tuple[tuple[Plan, ...], KilnRun, tuple[str, ...]]:
    """The legs with rates the kiln likely keeps where that pays, the peak worked out anew for them, and in words what
    it gains.

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
        slowed = with_peak(slowed, cone)
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
    ends = run.followed.leg_end_h
    begun = np.vstack([np.zeros(ends.shape[1]), ends[:-1]])
    start = [START_DEGC, *(leg.to_degC for leg in legs[:-1])]
    found = []
    for i, leg in enumerate(legs):
        rising = leg.to_degC > start[i]
        if not rising or run.kept[i] >= KEEP_CHANCE:
            found.append(leg)
            continue
        took = np.nan_to_num(ends[i] - begun[i], nan=1e3)
        took = np.maximum(took - leg.hold_h, 1e-3)
        hours = weighted_quantile(took, run.draws.weights, KEEP_CHANCE)
        rate = max(SLOWEST, min(leg.rate, LOWERED * (leg.to_degC - start[i]) / hours))
        rate = float(5 * round(rate / 5)) if rate >= 10 else rate
        found.append(replace(leg, rate=rate, asked=leg.asked or leg.rate) if rate < leg.rate else leg)
    return tuple(found)


def what_it_cannot(legs: tuple[Plan, ...], run: KilnRun, kiln: str) -> tuple[str, ...]:
    """In words, where the kiln is slower than was wanted."""
    found = []
    start = START_DEGC
    for leg, kept in zip(legs, run.kept, strict=True):
        span = f"from {start:.0f} to {leg.to_degC:.0f} degC"
        if leg.asked is not None and leg.rate < leg.asked:
            found.append(
                f"{span} {leg.asked:.0f} degC per hour was wanted; {kiln} is asked for {leg.rate:.0f},"
                " which it keeps"
                f" in about {percent_words(kept)} of the likely cases"
            )
        elif leg.to_degC > start and kept < KEEP_CHANCE:
            found.append(
                f"{span} {kiln} keeps {leg.rate:.0f} degC per hour in only {percent_words(kept)} of the likely cases"
            )
        start = leg.to_degC
    return tuple(found)


def energy_estimates(
    run: KilnRun, basis: Basis, price: float | None, currency: str, what: str = "the firing as planned, to its end"
) -> tuple[Estimate, ...]:
    """Energy [kWh], duty factor and cost of the firing, which ``what`` names."""
    weights = run.draws.weights
    energy = run.followed.run.energy_J[-1] / 3.6e6
    peak = np.argmax(run.followed.run.chamber_degC, axis=0)
    hours = run.followed.run.hours[peak]
    at_peak = run.followed.run.energy_J[peak, np.arange(len(hours))] / 3.6e6
    duty = at_peak / (run.model.power_W / 1000.0 * np.maximum(hours, 0.1))

    def told(name: str, values: np.ndarray, unit: str, *caveats: str) -> Estimate:
        low, middle, high = (weighted_quantile(values, weights, p) for p in (0.05, 0.5, 0.95))
        return Estimate(name, middle, low, high, unit, basis, SOURCES, caveats)

    low, high = DUTY_PUBLISHED
    note = f"published figures for whole firings run from {low:g} to {high:g} of full power"
    found = [
        told("energy_per_firing", energy, "kWh", what),
        told("duty_factor", duty, "1", note),
    ]
    if price is not None:
        found.append(told("cost_per_firing", energy * price, currency or "1", f"at {price:g} per kWh"))
    return tuple(found)


def curve_points(run: KilnRun) -> tuple[CurvePoint, ...]:
    """The kiln's curve under this schedule with its 90 % interval."""
    hours, chamber = run.followed.run.hours, run.followed.run.chamber_degC
    rows = np.unique(np.linspace(0, len(hours) - 1, _POINTS).round().astype(int))
    points = []
    for i in rows:
        low, middle, high = (weighted_quantile(chamber[i], run.draws.weights, p) for p in (0.05, 0.5, 0.95))
        points.append(CurvePoint(float(hours[i]), min(low, middle), middle, max(high, middle)))
    return tuple(points)
