"""Text for a stream that cannot write every sign: ASCII spellings instead of a crash."""

from __future__ import annotations

import re
from typing import Final

_STEERING: Final = re.compile(
    r"\x1b(?!\[(?:0|3[123])m)|[\x00-\x08\x0b-\x1a\x1c-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]"
)
SPELLINGS: Final[dict[str, str]] = {
    "\N{DEGREE SIGN}": " deg ", "\N{MULTIPLICATION SIGN}": "x", "\N{PLUS-MINUS SIGN}": "+/-", "\N{MICRO SIGN}": "u",
    "\N{RIGHTWARDS ARROW}": "->", "\N{EN DASH}": "-", "\N{EM DASH}": "-", "\N{MINUS SIGN}": "-",
    "\N{LESS-THAN OR EQUAL TO}": "<=", "\N{GREATER-THAN OR EQUAL TO}": ">=", "\N{VULGAR FRACTION ONE HALF}": " 1/2",
    "\N{BULLET}": "*", "\N{MIDDLE DOT}": ".", "\N{HORIZONTAL ELLIPSIS}": "...", "\N{NO-BREAK SPACE}": " ",
    "\N{LEFT SINGLE QUOTATION MARK}": "'", "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{LEFT DOUBLE QUOTATION MARK}": '"', "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
}  # fmt: skip


def harmless(text: str, coloured: bool = False) -> str:
    """``text`` without the signs that steer a terminal or turn its direction; ``coloured`` keeps the answers' colours.

    >>> harmless("a\x1b]0;x\x07b\u202ec")
    'a]0;xbc'
    """
    kept = _STEERING.sub("", text)
    return kept if coloured else kept.replace("\x1b", "")


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
