"""A quantity of studio.toml: a bare number in the unit of its key, or a text with a unit: "6 in", "40 ft", "2232 F"."""

from __future__ import annotations

import math
import re
from typing import Final

from glazecalc.read.findings import Findings, quote, shown
from glazecalc.read.numbers import LARGEST, NUMBER, parse_number, plain
from glazecalc.values.units import convert, dimensions_of, find_unit, units_of

_QUANTITY: Final = re.compile(rf"(?P<sign>[-+])?\s*(?P<number>{NUMBER})\s*(?P<unit>[^\d\s].{{0,20}})?", re.IGNORECASE)
_FEET_INCHES: Final = re.compile(
    r"(\d{1,4})\s*(?:'|ft|feet)\s*(\d{1,2}(?:\.\d+)?)\s*(?:\"|in|inches|'')", re.IGNORECASE
)
_POWER_OF_TEN: Final = re.compile(
    r"(\d{1,4}(?:[.,]\d{1,6})?)\s*(?:[eE]|(?:x|\*|\N{MULTIPLICATION SIGN})\s*10\s*\^?)\s*(-[67])"
    r"\s*(?:/|per)?\s*(?:K|C|degC|\N{DEGREE SIGN}C)?",
    re.IGNORECASE,
)


def read_quantity(
    value: object, dimension: str, own_unit: str, what: str, found: Findings, line: int | None = None
) -> float | None:
    """``value`` in ``own_unit``; None with an error in ``found`` if it is no quantity of ``dimension``.

    A bare number is taken in ``own_unit``; so is a text without a unit, with a remark.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        found.error("wrong-type", f"{what} {shown(value)} is not a quantity", _example(own_unit), line)
        return None
    if isinstance(value, str):
        return _from_text(value, dimension, own_unit, what, found, line)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number) or abs(number) > LARGEST:
        found.error("number-too-large", f"{what} {shown(value, 30)} is far too large", "check the digits", line)
        return None
    return number


def _from_text(text: str, dimension: str, own_unit: str, what: str, found: Findings, line: int | None) -> float | None:
    typed = plain(text)
    if dimension == "length" and (match := _FEET_INCHES.fullmatch(typed)):
        inches = 12 * float(match[1]) + float(match[2])
        return convert(inches, "in", own_unit, dimension)
    if dimension == "expansion" and (match := _POWER_OF_TEN.fullmatch(typed)):
        return float(match[1].replace(",", ".")) * 10.0 ** (int(match[2]) + 6)
    match = _QUANTITY.fullmatch(typed)
    if match is None:
        found.error("not-a-quantity", f"{what} {quote(text)} is not a quantity", _example(own_unit), line)
        return None
    number = parse_number(match["number"], found, line)
    if number is None:
        return None
    number = -number if match["sign"] == "-" else number
    unit = (match["unit"] or "").strip()
    if not unit:
        found.remark("unit-assumed", f"{what} {quote(text)} has no unit; read in {own_unit}", _example(own_unit), line)
        return number
    if find_unit(unit, dimension) is None:
        _refuse_unit(unit, dimension, what, found, line)
        return None
    return convert(number, unit, own_unit, dimension)


def _refuse_unit(unit: str, dimension: str, what: str, found: Findings, line: int | None) -> None:
    others = [d for d in dimensions_of(unit) if d != dimension]
    text = f"{quote(unit)} is a unit of {others[0]}" if others else f"{quote(unit)} is not a unit"
    hint = f"{what} is a {dimension}; its units are {', '.join(units_of(dimension))}"
    found.error("wrong-unit", f"{what}: {text}", hint, line)


def _example(own_unit: str) -> str:
    return f'write a number in {own_unit}, or a text with its unit such as "12 {own_unit}"'
