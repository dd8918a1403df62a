"""Heat-work: how temperature and time together bring a cone down.

Each cone is one Arrhenius process. Its softening rate is ``k0 exp(-E / (R T))`` and it bends when the
integral of that rate over the firing reaches one. Physically: a cone sags under its own weight at a speed
set by one over the viscosity of the glass in it, and the glass both thins and grows in amount as the heat
rises; ``E`` is the apparent activation energy of the two together, which is why it is larger than that of
glass alone and why cones with a high ``E`` care about temperature and hardly about time.

The parameters are fitted to the published chart by :mod:`glazecalc.training.fit_cones` and kept in
``coefficients/cones.csv`` as ``E`` and the temperature at which the cone bends when heated steadily at 60
degC/h.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glazecalc.values.cones import ALL_CONES, Cone

Array = NDArray[np.float64]

GAS_CONSTANT_KJ: Final = 8.314462618e-3
"""Molar gas constant [kJ/(mol K)], CODATA 2018."""
KELVIN: Final = 273.15
REFERENCE_RATE_DEGC_PER_H: Final = 60.0
READING_RANGE_K: Final = 22.0
"""Nominal reading range of a cone, printed on the chart: under 40 degF [K]."""


@dataclass(frozen=True, slots=True, eq=False)
class HeatLaw:
    """Parameters of the law for n cones: ``energy_kJ_per_mol``, ``log_k0`` [ln(1/h)], ``spread_K``; each
    shape (n,).

    ``spread_K`` is the standard deviation of a cone about the law [K].
    """

    cones: tuple[Cone, ...]
    energy_kJ_per_mol: Array
    log_k0: Array
    spread_K: Array

    def take(self, cones: tuple[Cone, ...]) -> HeatLaw:
        """The law of the named cones only. Raises ValueError for a cone it does not hold."""
        rows = [self.cones.index(cone) for cone in cones]
        return HeatLaw(cones, self.energy_kJ_per_mol[rows], self.log_k0[rows], self.spread_K[rows])


def log_ramp_integral(kelvin: ArrayLike, energy_kJ_per_mol: ArrayLike) -> Array:
    """ln of the integral of exp(-E/(R T)) dT from absolute zero to ``kelvin`` [ln K]; the two broadcast.

    Fourth-degree rational form of Senum and Yang, J. Thermal Anal. 11 (1977) 445-447; relative error below
    1e-7 for E/(R T) above 20, which every cone meets.
    """
    temperature = np.asarray(kelvin, dtype=float)
    x = np.asarray(energy_kJ_per_mol, dtype=float) / (GAS_CONSTANT_KJ * temperature)
    top = ((x + 18.0) * x + 86.0) * x + 96.0
    bottom = (((x + 20.0) * x + 120.0) * x + 240.0) * x + 120.0
    return np.asarray(np.log(temperature * top / bottom) - x)


@cache
def heat_law() -> HeatLaw:
    """The shipped law for every cone of the series, coolest first."""
    path = Path(__file__).parent / "coefficients" / "cones.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        rows = {row["cone"]: row for row in csv.DictReader(stream)}
    energy = np.array([float(rows[c.name]["energy_kJ_per_mol"]) for c in ALL_CONES])
    at_reference = np.array([float(rows[c.name]["degC_at_60"]) for c in ALL_CONES]) + KELVIN
    spread = np.array([float(rows[c.name]["spread_K"]) for c in ALL_CONES])
    log_k0 = np.log(REFERENCE_RATE_DEGC_PER_H) - log_ramp_integral(at_reference, energy)
    return HeatLaw(ALL_CONES, energy, log_k0, spread)


def softening_rate(law: HeatLaw, temperature_degC: ArrayLike) -> Array:
    """Share of a bend done in an hour at a held temperature [1/h], shape (..., n)."""
    kelvin = np.asarray(temperature_degC, dtype=float) + KELVIN
    rate = np.multiply.outer(-1.0 / kelvin, law.energy_kJ_per_mol / GAS_CONSTANT_KJ)
    rate += law.log_k0
    return np.exp(rate, out=rate)


def bending_temperature(law: HeatLaw, rate_degC_per_h: float) -> Array:
    """Temperature at which each cone bends when heated steadily at ``rate_degC_per_h`` [degC], shape (n,).

    Newton's method on the closed form of the ramp integral.

    Raises
    ------
    ValueError
        if the rate is not positive.
    """
    if not rate_degC_per_h > 0:
        raise ValueError("a heating rate must be above zero")
    target = np.log(rate_degC_per_h) - law.log_k0
    return invert_ramp(law, target)


def invert_ramp(law: HeatLaw, target: Array, start: float = 1300.0) -> Array:
    """Temperature [degC] at which ln of the ramp integral equals ``target``, element by element, shape
    (n,).
    """
    energy_over_R = law.energy_kJ_per_mol / GAS_CONSTANT_KJ
    inverse = np.full(len(law.cones), 1.0 / start)
    for _ in range(60):
        kelvin = 1.0 / inverse
        value = log_ramp_integral(kelvin, law.energy_kJ_per_mol)
        slope_in_inverse = -np.exp(-energy_over_R * inverse - value) * kelvin**2
        step = (target - value) / slope_in_inverse
        inverse = np.clip(inverse + step, 1.0 / 3000.0, 1.0 / 300.0)
        if float(np.max(np.abs(step) * kelvin)) < 1e-13:
            break
    return np.asarray(1.0 / inverse - KELVIN)
