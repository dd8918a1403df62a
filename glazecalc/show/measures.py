"""Masses, volumes and lengths in the units a potter chose to read, with the digits their scale can show."""

from __future__ import annotations

import math

from glazecalc.show.numbers import rounded
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.units import convert


def decimals_of_step(step: float) -> int:
    """Decimals that show a step: 0.1 needs one, 1 none, 0.25 two.

    >>> [decimals_of_step(s) for s in (1.0, 0.1, 0.05, 5.0)]
    [0, 1, 2, 0]
    """
    return max(0, next((d for d in range(7) if abs(round(step, d) - step) < 1e-9 * max(step, 1)), 6))


def mass_text(grams: float, units: UnitChoice, step_g: float = 0.1, extra: int = 0) -> str:
    """A mass in the chosen unit without its name, to the step of the scale and ``extra`` decimals more."""
    step = convert(step_g, "g", units.mass, "mass")
    places = decimals_of_step(float(f"{step:.6g}"))
    if places > 4:
        places = max(0, math.ceil(-math.log10(step)))
    return rounded(convert(grams, "g", units.mass, "mass"), places + extra)


def with_unit(grams: float, units: UnitChoice, step_g: float = 0.1, extra: int = 0) -> str:
    """A mass in the chosen unit with its name.

    >>> with_unit(453.59237, UnitChoice(mass="lb")), with_unit(120.0, UnitChoice(), 1.0)
    ('1.0000 lb', '120 g')
    """
    return f"{mass_text(grams, units, step_g, extra)} {units.mass}"


def amount(grams: float, units: UnitChoice) -> str:
    """A mass to read rather than to weigh: three digits or whole grams, whichever is more."""
    value = convert(grams, "g", units.mass, "mass")
    places = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2
    return f"{rounded(value, places)} {units.mass}"


def volume_text(mL: float, units: UnitChoice) -> str:
    """A volume in the chosen unit with its name; millilitres become litres from one litre on.

    >>> volume_text(1500.0, UnitChoice()), volume_text(3785.411784, UnitChoice(volume="gallon"))
    ('1.50 L', '1.00 gallon')
    """
    unit = "L" if units.volume == "mL" and mL >= 1000 else units.volume
    value = convert(mL, "mL", unit, "volume")
    places = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2
    return f"{rounded(value, places)} {unit}"


def length_text(mm: float, units: UnitChoice) -> str:
    """A length in the chosen unit with its name."""
    value = convert(mm, "mm", units.length, "length")
    return f"{rounded(value, 0 if units.length == 'mm' else 1)} {units.length}"
