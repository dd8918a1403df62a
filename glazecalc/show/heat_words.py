"""Temperatures, rates and hours of a firing in words, in both scales where a potter needs both."""

from __future__ import annotations

from glazecalc.show.units import fahrenheit
from glazecalc.values.inputs import UnitChoice


def both(degC: float, units: UnitChoice | None = None) -> str:
    """A temperature in both scales, the chosen one first.

    >>> both(1222.0), both(1222.0, UnitChoice(temperature="F"))
    ('1222 C (2232 F)', '2232 F (1222 C)')
    """
    celsius, other = f"{degC:.0f} C", f"{fahrenheit(degC):.0f} F"
    return f"{other} ({celsius})" if units is not None and units.temperature == "F" else f"{celsius} ({other})"


def rate_words(degC_per_h: float, units: UnitChoice | None = None) -> str:
    """A rate in both scales, the chosen one first.

    >>> rate_words(60.0)
    '60 C/h (108 F/h)'
    """
    celsius, other = f"{degC_per_h:.0f} C/h", f"{degC_per_h * 9 / 5:.0f} F/h"
    return f"{other} ({celsius})" if units is not None and units.temperature == "F" else f"{celsius} ({other})"


def hours_words(hours: float) -> str:
    """Hours and minutes.

    >>> hours_words(1.5), hours_words(0.1667), hours_words(12.0)
    ('1 h 30 min', '10 min', '12 h')
    """
    whole, minutes = divmod(round(hours * 60), 60)
    if whole and minutes:
        return f"{whole} h {minutes:02d} min"
    return f"{whole} h" if whole else f"{minutes} min"


def clock(hours: float) -> str:
    """Hours since switching on as a clock shows them.

    >>> clock(9.25)
    '9:15'
    """
    whole, minutes = divmod(round(hours * 60), 60)
    return f"{whole}:{minutes:02d}"
