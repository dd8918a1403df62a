"""Reads a number strictly: what a potter writes as an amount is understood, anything else is refused with a reason.

``30``  ``30.5``  ``30,5``  ``1/2``  ``1 1/2``  ``1,250`` (with a remark)  ``30 g``  ``30 %``  ``2 oz`` (converted).
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from glazecalc.read.findings import Findings, quote
from glazecalc.values.units import convert, find_unit

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
    if match is None:
        _refuse(typed, found, line)
        return None
    value = parse_number(match["number"], found, line, comma_is_decimal)
    if value is None:
        return None
    if match["sign"] == "-" and value != 0:
        found.error(
            "amount-negative", f"{quote(text)} is below zero", "an amount is written without a minus sign", line
        )
        return None
    return _in_grams(value, match["unit"], found, line)


def parse_number(text: str, found: Findings, line: int | None, comma_is_decimal: bool = False) -> float | None:
    """The value of unsigned digits, a decimal or a fraction; None with an error if out of bounds."""
    if "/" in text:
        value = _fraction(text)
    else:
        value = _decimal(text, found, line, comma_is_decimal)
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
    folded = typed.casefold().strip("+- ")
    if not typed:
        found.error("amount-missing", "there is no amount here", "write a number", line)
    elif typed[0] in "=@":
        found.error(
            "spreadsheet-formula",
            f"{quote(typed)} is a spreadsheet's formula, not a value",
            "write the number itself",
            line,
        )
    elif folded in {"nan", "inf", "infinity", "#n/a", "#div/0!", "#value!", "#ref!", "none", "null"}:
        found.error("not-a-number", f"{quote(typed)} is not a number", "write the amount in digits", line)
    elif re.fullmatch(r"[\d.,]{1,20}\s*(?:-|to|\N{EN DASH})\s*[\d.,]{1,20}\s*%?", folded):
        found.error(
            "amount-range", f"{quote(typed)} is a range", "write one amount; a row of tiles tries several", line
        )
    else:
        found.error(
            "not-a-number", f"{quote(typed)} is not a number", "write it as 12.5 or 1/2, with g or % at most", line
        )
