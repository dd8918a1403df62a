"""Text for a stream that cannot write every sign: ASCII spellings instead of a crash."""

from __future__ import annotations

from typing import Final

SPELLINGS: Final[dict[str, str]] = {
    "\N{DEGREE SIGN}": " deg ", "\N{MULTIPLICATION SIGN}": "x", "\N{PLUS-MINUS SIGN}": "+/-", "\N{MICRO SIGN}": "u",
    "\N{RIGHTWARDS ARROW}": "->", "\N{EN DASH}": "-", "\N{EM DASH}": "-", "\N{MINUS SIGN}": "-",
    "\N{LESS-THAN OR EQUAL TO}": "<=", "\N{GREATER-THAN OR EQUAL TO}": ">=", "\N{VULGAR FRACTION ONE HALF}": " 1/2",
    "\N{BULLET}": "*", "\N{MIDDLE DOT}": ".", "\N{HORIZONTAL ELLIPSIS}": "...", "\N{NO-BREAK SPACE}": " ",
    "\N{LEFT SINGLE QUOTATION MARK}": "'", "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{LEFT DOUBLE QUOTATION MARK}": '"', "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
}  # fmt: skip


def encodable(text: str, encoding: str | None) -> str:
    """``text`` with every sign that ``encoding`` lacks spelt in ASCII, or shown as its code.

    >>> encodable("20 \N{DEGREE SIGN}C \N{RIGHTWARDS ARROW} 30", "ascii")
    '20  deg C -> 30'
    """
    encoding = encoding or "ascii"
    try:
        text.encode(encoding)
        return text
    except (UnicodeEncodeError, LookupError):
        spelt = "".join(SPELLINGS.get(c, c) for c in text)
        return spelt.encode(encoding if encoding.isascii() else "ascii", "backslashreplace").decode(encoding)
