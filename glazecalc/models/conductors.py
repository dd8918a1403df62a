"""What the wire takes: voltage drop of a branch circuit, and the volts left at the kiln.

Ohm's law on the resistances of NEC chapter 9, table 8 (copper, direct current, 75 degC); at the mains
frequency and these gauges the difference to alternating current is below the table's rounding.
"""

from __future__ import annotations

import math

from glazecalc.values.mains import Conductor


def loop_resistance_ohm(conductor: Conductor, length_m: float, phase: int = 1) -> float:
    """Resistance that the load current sees, there and back [ohm]; stranded wire, the higher of the two
    columns.

    ``length_m`` is one way [m]. For three phases the factor is the square root of three instead of two.
    """
    factor = math.sqrt(3.0) if phase == 3 else 2.0
    return factor * length_m / 1000.0 * conductor.stranded_ohm_per_km


def volts_at_load_V(supply_V: float, loop_ohm: float, plate_V: float, plate_A: float, other_A: float = 0.0) -> float:
    """Volts left at a heater that draws ``plate_A`` at ``plate_V``, behind a wire of ``loop_ohm`` [V].

    The heater is a fixed resistance, so it draws less when the volts sag; ``other_A`` is a steady load on
    the same wire.
    """
    heater_ohm = plate_V / plate_A
    return max(0.0, (supply_V - other_A * loop_ohm) * heater_ohm / (heater_ohm + loop_ohm))
