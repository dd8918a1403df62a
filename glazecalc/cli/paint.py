"""Colour for a terminal: an answer's words, never colour alone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from glazecalc.values.verdict import Answer

_CODES: Final = {Answer.FITS: "32", Answer.DOES_NOT_FIT: "31", Answer.CANNOT_SAY: "33"}


def painter(colour: bool) -> Callable[[str, Answer], str]:
    """A function that colours a text by its answer, or leaves it as it is."""

    def paint(text: str, answer: Answer) -> str:
        code = _CODES.get(answer)
        return f"\033[{code}m{text}\033[0m" if colour and code else text

    return paint
