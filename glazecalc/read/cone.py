"""Reads the cone on a card or in studio.toml: a name, a range of names, and never a number."""

from __future__ import annotations

import re
from typing import Final

from glazecalc.read.findings import Findings, quote, shown
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import ConeRange

_WORDS = re.compile(
    r"\bcones?(?![a-z])\.?|\b(?:c|\N{GREEK CAPITAL LETTER DELTA})[./]?(?=\s*\d)"
    r"|[\^△▵\N{MODIFIER LETTER CIRCUMFLEX ACCENT}]",
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
    names = _names(text)
    if names is None:
        found.error("cone-not-read", f"{quote(typed)} is not a cone", _cone_hint(text), line)
        return None
    try:
        ends = sorted(Cone(name) for name in names)
    except ValueError:
        hint = "cones run from 022 (coolest) over 01 and 1 to 14"
        found.error("no-such-cone", f"there is no cone {quote(typed)}", hint, line)
        return None
    _ask_about_range(ends, found, line)
    return ConeRange(low=ends[0], high=ends[-1])


def _names(text: str) -> tuple[str, ...] | None:
    halved = _HALF.sub("h", text)
    match = _RANGE.fullmatch(halved)
    if match:
        return _full(match[1]), _full(match[2])
    return (_full(halved),) if _SINGLE.fullmatch(halved) else None


def _full(name: str) -> str:
    return name.casefold().replace("h", ".5")


def _cone_hint(text: str) -> str:
    if _LETTER_O.search(text):
        return f"did you mean {_LETTER_O.sub('0', text).replace(' ', '')}? It is written with a zero"
    if _DEGREES.search(text):
        return "this looks like a temperature: give the cone that is meant, such as 06 or 6"
    return "write it as 06, 6 or 5-6"


def _ask_about_range(ends: list[Cone], found: Findings, line: int | None) -> None:
    if ends[-1].position - ends[0].position > WIDE_RANGE:
        hint = "cones with a leading 0 are far cooler: 06 is not 6"
        found.remark(
            "cone-suspicious", f"cone {ends[0]} to {ends[-1]} is a very wide range; is that meant?", hint, line
        )
