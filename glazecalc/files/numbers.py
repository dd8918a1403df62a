"""Reads a number strictly: what a potter writes as an amount is understood, anything else is refused with a reason.

``30``  ``30.5``  ``30,5``  ``1/2``  ``1 1/2``  ``1,250`` (with a remark)  ``30 g``  ``30 %``  ``2 oz`` (converted).
"""

from __future__ import annotations

import math
import re
from typing import Final, NamedTuple

from glazecalc.files.problems import Findings, quote, shown
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import ConeRange
from glazecalc.values.units import convert, dimensions_of, find_unit, units_of

LARGEST: Final = 1e9
SMALLEST: Final = 1e-9

_FRACTIONS: Final[dict[str, str]] = {
    "\N{VULGAR FRACTION ONE HALF}": "1/2", "\N{VULGAR FRACTION ONE QUARTER}": "1/4",
    "\N{VULGAR FRACTION THREE QUARTERS}": "3/4", "\N{VULGAR FRACTION ONE THIRD}": "1/3",
    "\N{VULGAR FRACTION TWO THIRDS}": "2/3", "\N{VULGAR FRACTION ONE FIFTH}": "1/5",
    "\N{VULGAR FRACTION ONE EIGHTH}": "1/8", "\N{VULGAR FRACTION THREE EIGHTHS}": "3/8",
    "\N{VULGAR FRACTION FIVE EIGHTHS}": "5/8", "\N{VULGAR FRACTION SEVEN EIGHTHS}": "7/8",
}  # fmt: skip
_FRACTION_SIGN = re.compile(f"([{''.join(_FRACTIONS)}])")
_PLAIN_DIGITS: Final = str.maketrans("０１２３４５６７８９．，％＋\N{MINUS SIGN}\N{FRACTION SLASH}", "0123456789.,%+-/")

NUMBER: Final = (
    r"(?:\d{1,9}[ \t]+\d{1,4}[ \t]*/[ \t]*\d{1,4}"  # 1 1/2
    r"|\d{1,9}[ \t]*/[ \t]*\d{1,9}"  # 1/2
    r"|\d{1,400}(?:[.,]\d{1,400}){0,8}[.,]?(?:[eE][+-]?\d{1,9})?"  # 30  30.5  30,5  1,250.5  1e3
    r"|\.\d{1,400})"  # .5
)
"""A number as it may stand in a line; :func:`parse_number` decides what it means."""

UNIT: Final = (
    r"(?:%|percent|per\s?cent|pct|parts?|pbw|g(?:ra?ms?|rammes?|ms?|rm?s?)?|kgs?|kilos?|mg|oz|ounces?|lbs?|pounds?)\.?"
)

_AMOUNT = re.compile(rf"(?P<sign>[-+])?\s*(?P<number>{NUMBER})\s*(?P<unit>{UNIT})?", re.IGNORECASE)
_TWO_MASSES = re.compile(
    rf"({NUMBER}\s*(?:lbs?|pounds?|kgs?|kilos?)\.?),?\s+({NUMBER}\s*(?:oz|ounces?|g|grams?)\.?)", re.IGNORECASE
)
"""`2 lb 8 oz`: one mass in two units."""
_THOUSANDS = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d*)?")
_CONTINENTAL = re.compile(r"\d{1,3}(?:\.\d{3})+,\d*")
_COMMA_DECIMAL = re.compile(r"\d+,\d*")


class Amount(NamedTuple):
    """A number with the unit written beside it: ``""``, ``"%"``, ``"part"``, or a mass [g] when ``unit`` is ``"g"``."""

    value: float
    unit: str = ""


def plain(text: str) -> str:
    """``text`` with wide digits, fraction signs and long minus signs in plain characters.

    >>> plain("1½")
    '1 1/2'
    """
    text = _FRACTION_SIGN.sub(lambda match: f" {_FRACTIONS[match[1]]}", text.translate(_PLAIN_DIGITS))
    return text.strip()


def decimal_commas(texts: list[str]) -> bool:
    """Whether the commas among these numbers are decimal points: one is followed by other than three digits.

    >>> decimal_commas(["1,5", "2,250"]), decimal_commas(["1,250"])
    (True, False)
    """
    return any(_COMMA_DECIMAL.fullmatch(t) and not _THOUSANDS.fullmatch(t) for t in map(str.strip, texts))


def read_amount(text: str, found: Findings, line: int | None, comma_is_decimal: bool = False) -> Amount | None:
    """The amount written in ``text``; None with an error in ``found`` if it is none.

    Masses in other units become grams. A negative amount, an infinity or a spreadsheet formula is refused.
    """
    typed = plain(text)
    match = _AMOUNT.fullmatch(typed)
    two = _TWO_MASSES.fullmatch(typed) if match is None else None
    if two is not None:
        parts = [read_amount(part, found, line, comma_is_decimal) for part in two.groups()]
        return None if None in parts else Amount(sum(part.value for part in parts if part is not None), "g")
    if match is None:
        _refuse(typed, found, line)
        return None
    value = parse_number(match["number"], found, line, comma_is_decimal)
    if value is None:
        return None
    if value >= 1 and re.fullmatch(r"\d+\s*/\s*\d+", match["number"]):
        found.error("several-amounts", f"{quote(text)}: is it one amount or two?", "write one", line)
        return None
    if match["sign"] == "-" and value != 0:
        hint = "an amount is written without a minus sign"
        found.error("amount-negative", f"{quote(text)} is below zero", hint, line)
        return None
    return _in_grams(value, match["unit"], found, line)


def parse_number(text: str, found: Findings, line: int | None, comma_is_decimal: bool = False) -> float | None:
    """The value of unsigned digits, a decimal or a fraction; None with an error if out of bounds."""
    value = _fraction(text) if "/" in text else _decimal(text, found, line, comma_is_decimal)
    if value is None:
        found.error("not-a-number", f"{quote(text)} is not a number", "write it as 12.5 or 1/2", line)
    elif value > LARGEST:
        found.error("number-too-large", f"{quote(text)} is far too large", "check the digits", line)
        value = None
    elif 0 < value < SMALLEST:
        found.error("number-too-small", f"{quote(text)} is too small to mean anything", "check the digits", line)
        value = None
    return value


def _fraction(text: str) -> float | None:
    top, bottom = text.split("/")
    whole, _, top = top.strip().rpartition(" ") if len(top.split()) > 1 else ("", "", top)
    if float(bottom) == 0:
        return None
    return float(whole or 0) + float(top) / float(bottom)


def _decimal(text: str, found: Findings, line: int | None, comma_is_decimal: bool) -> float | None:
    if _CONTINENTAL.fullmatch(text):
        text = text.replace(".", "").replace(",", ".")
    elif _THOUSANDS.fullmatch(text) and not text.startswith("0") and not comma_is_decimal:
        plain_text = text.replace(",", "")
        if "." not in text and text.count(",") == 1:
            found.remark(
                "comma-ambiguous", f"{quote(text)} is read as {plain_text}, the comma parting thousands",
                f"write {plain_text}, or {text.replace(',', '.')} if the comma is a decimal point", line,
            )  # fmt: skip
        text = plain_text
    elif _COMMA_DECIMAL.fullmatch(text):
        text = text.replace(",", ".")
    try:
        return float(text)
    except ValueError:
        return None


def _in_grams(value: float, unit: str | None, found: Findings, line: int | None) -> Amount | None:
    folded = (unit or "").casefold().rstrip(".")
    if folded in {"%", "percent", "per cent", "pct"}:
        return Amount(value, "%")
    if folded in {"part", "parts", "pbw"}:
        return Amount(value, "part")
    mass = find_unit(folded, "mass") if folded else None
    if mass is None:
        return Amount(value)
    grams = convert(value, mass.symbol, "g", "mass")
    if grams > LARGEST:
        found.error("number-too-large", f"{value:g} {mass.symbol} is far too much", "check the digits", line)
        return None
    if mass.symbol != "g":
        found.remark("unit-converted", f"{value:g} {mass.symbol} is read as {grams:.6g} g", "", line)
    return Amount(grams, "g")


def _refuse(typed: str, found: Findings, line: int | None) -> None:
    """An error that says why a text is no amount."""
    folded, called = typed.casefold().strip("+- "), quote(typed)
    if not typed:
        found.error("amount-missing", "there is no amount here", "write a number", line)
    elif typed[0] in "=@":
        hint = "write the number itself"
        found.error("spreadsheet-formula", f"{called} is a spreadsheet's formula, not a value", hint, line)
    elif folded in {"nan", "inf", "infinity", "#n/a", "#div/0!", "#value!", "#ref!", "none", "null"}:
        found.error("not-a-number", f"{called} is not a number", "write the amount in digits", line)
    elif re.fullmatch(r"[\d.,]{1,20}\s*(?:-|to|\N{EN DASH})\s*[\d.,]{1,20}\s*%?", folded):
        found.error("amount-range", f"{called} is a range", "write one amount; a row of tiles tries several", line)
    else:
        found.error("not-a-number", f"{called} is not a number", "write it as 12.5 or 1/2, with g or % at most", line)


# A quantity of studio.toml: a bare number in the unit of its key, or a text with a unit: "6 in", "40 ft", "2232 F".

_QUANTITY: Final = re.compile(rf"(?P<sign>[-+])?\s*(?P<number>{NUMBER})\s*(?P<unit>[^\d\s].{{0,20}})?", re.IGNORECASE)
_FEET_INCHES: Final = re.compile(
    r"(\d{1,4})\s*(?:'|ft|feet)\s*(\d{1,2}(?:\.\d+)?)\s*(?:\"|in|inches|'')", re.IGNORECASE
)
_CLOCK: Final = re.compile(r"(\d{1,4}):([0-5]\d)(?:\s*(?:h|hours?))?", re.IGNORECASE)
_BARE: Final = re.compile(rf"\s*[-+]?{NUMBER}\s*")
_POWER_OF_TEN: Final = re.compile(
    r"(\d{1,4}(?:[.,]\d{1,6})?)\s*(?:e|(?<=\s)1e|(?:x|\*|\N{MULTIPLICATION SIGN})\s*(?:10\s*\^?|1e))\s*(-[67])"
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
    if abs(value) > LARGEST or not math.isfinite(value):  # compared first: a whole number may be too large for a float
        found.error("number-too-large", f"{what} {shown(value, 30)} is far too large", "check the digits", line)
        return None
    return float(value)


def read_hours(text: str | None, what: str, found: Findings) -> float | None:
    """Hours [h] as ``7.5``, ``7:30``, ``7.5 h`` or ``30min``; a bare number is hours. None where nothing was given."""
    if text is None:
        return None
    bare = _BARE.fullmatch(plain(text)) is not None
    hours = read_quantity(f"{text} h" if bare else text, "time", "h", what, found)
    if hours is not None and hours < 0:
        found.error("not-a-quantity", f"{what} {quote(text)} is below zero", "write it as 7.5 or 7:30")
        return None
    return hours


def in_studio_degrees(text: str | None, what: str, in_F: bool, found: Findings) -> str | None:
    """A temperature as typed; where the studio reads in degF, a bare figure is one in degF, and it is said."""
    if text is None or not in_F or _BARE.fullmatch(plain(text)) is None:
        return text
    assumed = f"{what} {quote(text)} has no unit; read in degF, as this studio reads"
    found.remark("unit-assumed", assumed, f'write "{text.strip()} F" or "{text.strip()} C"')
    return f"{text} F"


def _from_text(text: str, dimension: str, own_unit: str, what: str, found: Findings, line: int | None) -> float | None:
    typed = plain(text)
    if dimension == "length" and (match := _FEET_INCHES.fullmatch(typed)):
        return convert(12 * float(match[1]) + float(match[2]), "in", own_unit, dimension)
    if dimension == "time" and (match := _CLOCK.fullmatch(typed)):
        return convert(int(match[1]) + int(match[2]) / 60.0, "h", own_unit, dimension)
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
    if find_unit(unit, dimension) is not None:
        return convert(number, unit, own_unit, dimension)
    others = [d for d in dimensions_of(unit) if d != dimension]
    wrong = f"{quote(unit)} is a unit of {others[0]}" if others else f"{quote(unit)} is not a unit"
    article, units = "an" if dimension[0] in "ae" else "a", ", ".join(units_of(dimension))
    hint = f"{what} is {article} {dimension}; its units are {units}"
    found.error("wrong-unit", f"{what}: {wrong}", hint, line)
    return None


def _example(own_unit: str) -> str:
    return f'write a number in {own_unit}, or a text with its unit such as "12 {own_unit}"'


# Reads the cone on a card or in studio.toml: a name, a range of names, and never a number.

_WORDS = re.compile(
    r"\bcones?(?![a-z])\.?|\b(?:c|\N{GREEK CAPITAL LETTER DELTA})[./]?(?=\s*\d)"
    r"|[\^△▵▲\N{INCREMENT}\N{GREEK CAPITAL LETTER DELTA}\N{MODIFIER LETTER CIRCUMFLEX ACCENT}]",
    re.IGNORECASE,
)
_HALF = re.compile(r"(?<=\d)\s*(?:½|\s1/2|-1/2)|(?<=\d)\.50?(?!\d)")
_RANGE = re.compile(
    r"(\d{1,3}h?)\s*(?:-|\N{EN DASH}|\N{EM DASH}|/|\bto\b|\bthrough\b|\bor\b|&|\band\b|,)\s*(\d{1,3}h?)", re.IGNORECASE
)
_SINGLE = re.compile(r"\d{1,3}h?", re.IGNORECASE)
_LETTER_O = re.compile(r"(?<![a-z])o(?=\s*\d)", re.IGNORECASE)
_DEGREES = re.compile(r"\d{3,4}\s*(?:\N{DEGREE SIGN}|deg|[cf]\b)|^\d{3,4}$", re.IGNORECASE)
WIDE_RANGE: Final = 6
"""A range of more steps than this is asked about."""


def read_cone(value: object, found: Findings, line: int | None) -> Cone | None:
    """One cone, from text or from a whole number of a TOML file; None with an error in ``found``."""
    cones = read_cone_range(value, found, line)
    if cones is None:
        return None
    if cones.low != cones.high:
        found.error("cone-range", f"{shown(value)} is a range; one cone is wanted here", "write one cone", line)
        return None
    return cones.low


def read_cone_range(value: object, found: Findings, line: int | None) -> ConeRange | None:
    """A cone or a range of cones: ``6``, ``06``, ``^6``, ``cone 5-6``, ``5/6``, ``5 1/2``."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        found.error("cone-not-read", f"{shown(value)} is not a cone", 'write it in quotes: "06" or "6"', line)
        return None
    typed = f"{value:g}" if isinstance(value, float) else str(value)[:80]
    text = " ".join(_WORDS.sub(" ", typed).split()).rstrip(".")
    halved = _HALF.sub("h", text)
    match = _RANGE.fullmatch(halved)
    if match is None and not _SINGLE.fullmatch(halved):
        found.error("cone-not-read", f"{quote(typed)} is not a cone", _cone_hint(text), line)
        return None
    try:
        ends = sorted(Cone(name.casefold().replace("h", ".5")) for name in (match.groups() if match else [halved]))
    except ValueError:
        hint = "cones run from 022 (coolest) over 01 and 1 to 14"
        found.error("no-such-cone", f"there is no cone {quote(typed)}", hint, line)
        return None
    if ends[-1].position - ends[0].position > WIDE_RANGE:
        asked = f"cone {ends[0]} to {ends[-1]} is a very wide range; is that meant?"
        found.remark("cone-suspicious", asked, "cones with a leading 0 are far cooler: 06 is not 6", line)
    return ConeRange(low=ends[0], high=ends[-1])


def _cone_hint(text: str) -> str:
    if _LETTER_O.search(text):
        return f"did you mean {_LETTER_O.sub('0', text).replace(' ', '')}? It is written with a zero"
    if _DEGREES.search(text):
        return "this looks like a temperature: give the cone that is meant, such as 06 or 6"
    return "write it as 06, 6 or 5-6"
