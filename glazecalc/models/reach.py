"""How hot a kiln gets: stall, hours to each cone, and the hottest cone within a day's firing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.bending import equivalent_degC
from glazecalc.models.kiln import HeatingRun, run_full_power, stall_degC
from glazecalc.models.kiln_draws import KilnDraws, heat_along, rated_degC, weighted_quantile
from glazecalc.values.ceiling import FULL_POWER_H
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Kiln

Array = NDArray[np.float64]

REASONABLE_HOURS: Final = FULL_POWER_H
NOMINAL_SPREAD: Final = 0.025
"""Standard deviation of service volts about a nominal figure: ANSI C84.1 Range A, 5 % either way, taken as 2
sd."""
MEASURED_SPREAD: Final = 0.01
UNKNOWN_DROP: Final = (0.015, 0.01)
"""Share of volts lost in a wire of unknown gauge or length: mean and standard deviation."""
_NOMINAL_VOLTS: Final = frozenset({100.0, 110.0, 115.0, 120.0, 125.0, 200.0, 208.0, 220.0, 230.0, 240.0, 250.0})


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """What n draws of a kiln do at full power on one supply.

    ``equivalent_degC`` is the heat-work within ``hours`` as the temperature of a steady 60 degC/h ramp, not
    cut at the rated cone; ``stall_degC`` where it stops climbing; shape (n,). ``cone_hours`` until each cone
    bends, shape (n, cones), NaN where it never does in this time. ``run`` is the heating curve.
    """

    hours: float
    equivalent_degC: Array
    stall_degC: Array
    cone_hours: Array
    run: HeatingRun
    weights: Array

    def quantiles(self, values: Array) -> tuple[float, float, float]:
        """5, 50 and 95 % points of a figure of the draws."""
        low, middle, high = (weighted_quantile(values, self.weights, p) for p in (0.05, 0.5, 0.95))
        return low, middle, high

    def chance(self, cone: Cone) -> float:
        """Share of the draws that bring ``cone`` down in the time given, 0 to 1."""
        return float(self.weights @ ~np.isnan(self.cone_hours[:, cone.position]))


def supply_share(
    draws: KilnDraws,
    volts: float | None,
    loop_ohm: float | None,
    other_A: float = 0.0,
    measured: bool | None = None,
) -> Array:
    """Volts at the kiln under load as a share of the plate's, shape (n,).

    ``volts`` are those of the circuit, None for the plate's own; ``loop_ohm`` the wire's resistance there
    and back, None if not known; ``other_A`` is drawn through the same wire; ``measured`` as for
    :func:`volts_spread`.
    """
    plate = draws.kiln.volts or volts or 120.0
    given = volts or plate
    here = given * (1.0 + volts_spread(given, measured) * draws.supply_z)
    if loop_ohm is None:
        lost = UNKNOWN_DROP[0] + UNKNOWN_DROP[1] * np.roll(draws.supply_z, 11)
        return np.asarray(here / plate * (1.0 - np.clip(lost, 0.0, 0.05)))
    heater_ohm = element_ohm(draws.kiln, plate, draws.power_W, draws.wear)
    return np.asarray((here - other_A * loop_ohm) / plate * heater_ohm / (heater_ohm + loop_ohm))


def volts_spread(volts: float, measured: bool | None = None) -> float:
    """Standard deviation of the mains about the ``volts`` written down, as a share.

    Where ``measured`` is None, a figure that is not one of the nominal ones is taken as measured.
    """
    return MEASURED_SPREAD if (volts not in _NOMINAL_VOLTS if measured is None else measured) else NOMINAL_SPREAD


def element_ohm(kiln: Kiln, plate_V: float, power_W: Array, wear: Array) -> Array:
    """Resistance of elements that gave ``power_W`` at ``plate_V`` when new, worn since [ohm].

    For three phases it is the volts between two lines over the current in one, as
    :func:`glazecalc.models.conductors.loop_resistance_ohm` tells the wire.
    """
    root = 3.0**0.5 if kiln.phase == 3 else 1.0
    return np.asarray(root * plate_V**2 / power_W * (1.0 + wear))


def reach(draws: KilnDraws, volts_share: Array | float, hours: float = REASONABLE_HOURS) -> Reach:
    """Full power from cold for ``hours`` on this supply."""
    model = draws.model(volts_share)
    run = run_full_power(model, hours)
    heat = heat_along(run)
    return Reach(
        hours=hours,
        equivalent_degC=equivalent_degC(heat[-1]),
        stall_degC=stall_degC(model),
        cone_hours=_cone_hours(run.hours, heat),
        run=run,
        weights=draws.weights,
    )


def _cone_hours(hours: Array, heat: Array) -> Array:
    """Hours at which each share passes one, interpolated in its logarithm, (n, cones); NaN where it never
    does."""
    down = heat >= 1.0
    after = np.maximum(np.argmax(down, axis=0), 1)
    high = np.log(np.take_along_axis(heat, after[None], axis=0)[0] + 1e-300)
    low = np.log(np.take_along_axis(heat, after[None] - 1, axis=0)[0] + 1e-300)
    part = np.clip(-low / np.where(high > low, high - low, 1.0), 0.0, 1.0)
    found = hours[after - 1] + part * (hours[after] - hours[after - 1])
    return np.asarray(np.where(down.any(axis=0), found, np.nan))


def ceiling_degC(found: Reach, rated: Cone | None) -> tuple[float, float, float]:
    """Low, middle and high of the kiln's ceiling [degC], never above the maker's rated cone."""
    values = found.equivalent_degC
    if rated is not None:
        values = np.minimum(values, rated_degC(rated))
    return found.quantiles(values)
