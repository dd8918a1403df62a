"""How wide a text will be, so that it is shortened, shrunk or wrapped before it is cut off."""

from __future__ import annotations

from typing import Final

_NARROW: Final = {
    **dict.fromkeys(" !,./:;I[\\]ft|", 0.278), **dict.fromkeys("'`ijl", 0.222), **dict.fromkeys('"', 0.355),
    **dict.fromkeys("()-r{}", 0.334), **dict.fromkeys("*", 0.389), **dict.fromkeys("Jckvxyzs", 0.5),
    **dict.fromkeys("+<=>~", 0.584), **dict.fromkeys("&ABEKPSVXY", 0.667), **dict.fromkeys("CDHNRUw", 0.722),
    **dict.fromkeys("FTZ", 0.611), **dict.fromkeys("GOQ", 0.778), **dict.fromkeys("Mm", 0.833), "%": 0.889, "^": 0.469,
    "W": 0.944, "@": 1.015,
}  # fmt: skip
"""Advance widths of Helvetica [em] by its public metrics; what is not listed is 0.556."""
_MARGIN: Final = 1.05


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of a line set in the page's sans-serif at ``size`` [px or any unit]; a little too much, never too little.

    >>> text_width("iii", 10) < text_width("WWW", 10)
    True
    """
    ems = sum(_NARROW.get(c, 0.556 if c.isascii() else 1.0 if ord(c) > 0x2E80 else 0.65) for c in text)
    return ems * size * _MARGIN * (1.07 if bold else 1.0)


def shortened(text: str, width: float, size: float, bold: bool = False) -> str:
    """``text``, or as much of it as fits in ``width`` with three dots after it.

    >>> shortened("Harbour stoneware with a long name", 60, 10)
    'Harbour st...'
    """
    if text_width(text, size, bold) <= width:
        return text
    while text and text_width(text.rstrip() + "...", size, bold) > width:
        text = text[:-1]
    return text.rstrip() + "..."


def wrapped(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """``text`` in lines no wider than ``width``; a word too long for a line is broken."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        tried = f"{line} {word}" if line else word
        if text_width(tried, size, bold) <= width:
            line = tried
            continue
        if line:
            lines.append(line)
        *whole, line = _broken(word, width, size, bold)
        lines += whole
    return [*lines, line] if line else lines


def _broken(word: str, width: float, size: float, bold: bool) -> list[str]:
    pieces, piece = [], ""
    for c in word:
        if piece and text_width(piece + c, size, bold) > width:
            pieces.append(piece)
            piece = ""
        piece += c
    return [*pieces, piece]
