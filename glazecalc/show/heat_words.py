"""Temperatures, rates and hours of a firing in words, in both scales where a potter needs both."""

from __future__ import annotations

import re

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


def difference(K: float, units: UnitChoice | None = None) -> str:
    """A difference of temperatures in both scales, the chosen one first.

    >>> difference(20.0), difference(20.0, UnitChoice(temperature="F"))
    ('20 C (36 F)', '36 F (20 C)')
    """
    celsius, other = f"{K:.0f} C", f"{K * 9 / 5:.0f} F"
    return f"{other} ({celsius})" if units is not None and units.temperature == "F" else f"{celsius} ({other})"


def span(low_degC: float, high_degC: float, units: UnitChoice | None = None) -> str:
    """From one temperature to another in both scales, the chosen one first.

    >>> span(450.0, 650.0)
    '450 to 650 C (842 to 1202 F)'
    """
    celsius = f"{low_degC:.0f} to {high_degC:.0f} C"
    other = f"{fahrenheit(low_degC):.0f} to {fahrenheit(high_degC):.0f} F"
    return f"{other} ({celsius})" if units is not None and units.temperature == "F" else f"{celsius} ({other})"


_MM = re.compile(r"(\d+(?:\.\d+)?) mm\b")
_DEGC = re.compile(r"(by about )?(?:(\d+) to )?(\d+) degC( per hour)?")


def retold(text: str, units: UnitChoice) -> str:
    """A sentence with its ``degC`` told in both scales where the reader chose degF, its ``mm`` where inches.

    >>> retold("6 mm, below 650 degC, 60 degC per hour", UnitChoice(temperature="F", length="in"))
    '0.24 in (6 mm), below 1202 F (650 C), 108 F (60 C) per hour'
    >>> retold("unsure by about 20 degC", UnitChoice(temperature="F"))
    'unsure by about 36 F (20 C)'
    """
    if units.length == "in":
        text = _MM.sub(lambda match: f"{float(match[1]) / 25.4:.2g} in ({match[0]})", text)
    if units.temperature != "F":
        return text

    def told(match: re.Match[str]) -> str:
        before, low, high, per = match.groups(default="")
        if before or per:
            return before + difference(float(high), units) + per
        return span(float(low), float(high), units) if low else both(float(high), units)

    return _DEGC.sub(told, text)


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
