"""What a kiln's plate says, and the facts that every circuit rule looks at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.mains import MainsTables, Reason, Receptacle
from glazecalc.values.verdict import Answer

CONTINUOUS_SHARE: Final = 0.8
"""A load of three hours or more may take this share of its breaker (US code, 125 % rule)."""
_CLASSES: Final = ((105.0, 131.0, 120), (190.0, 216.0, 208), (216.0, 256.0, 240))


@dataclass(frozen=True, slots=True)
class Plate:
    """What a kiln's plate says it draws. ``mismatch_percent`` is between stated amps and watts over volts."""

    load_A: float | None
    watts: float | None
    amps_from_watts: float | None
    mismatch_percent: float | None


@dataclass(frozen=True, slots=True)
class Facts:
    """What every rule looks at. ``load_A`` is the load to reckon with on this circuit [A]."""

    kiln: Kiln
    circuit: Circuit
    tables: MainsTables
    plate: Plate
    load_A: float | None
    minimum_breaker_A: float | None
    limit_A: float | None
    drop_V: float | None
    outlet: Receptacle | None


def read_plate(kiln: Kiln) -> Plate:
    """Amps and watts of the plate; where both are given and disagree the larger load is taken, and it is
    said.
    """
    root = 3**0.5 if kiln.phase == 3 else 1.0
    from_watts = kiln.watts / (kiln.volts * root) if kiln.watts and kiln.volts else None
    watts = kiln.watts or (kiln.amps * kiln.volts * root if kiln.amps and kiln.volts else None)
    known = [a for a in (kiln.amps, from_watts) if a is not None]
    mismatch = None
    if kiln.amps is not None and from_watts is not None:
        mismatch = 100.0 * abs(kiln.amps - from_watts) / max(known)
    return Plate(max(known, default=None), watts, from_watts, mismatch)


def voltage_class(volts: float) -> int | None:
    """120, 208 or 240 for volts near one of the usual services, else None.

    >>> voltage_class(115), voltage_class(208), voltage_class(230), voltage_class(480)
    (120, 208, 240, None)
    """
    return next((name for low, high, name in _CLASSES if low <= volts < high), None)


def forbids(code: str, message: str) -> Reason:
    """A reason against."""
    return Reason(code, message, Answer.DOES_NOT_FIT)


def leaves_open(code: str, message: str) -> Reason:
    """A reason that nothing can be said."""
    return Reason(code, message, Answer.CANNOT_SAY)


def cautions(code: str, message: str) -> Reason:
    """A caution that does not decide."""
    return Reason(code, message, Answer.FITS)
