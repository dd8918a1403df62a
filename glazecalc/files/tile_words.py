"""Reads what a potter says of a tile or a firing: results, how long after, witness cones, looks at the pyrometer."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from typing import Final

from glazecalc.files.numbers import in_studio_degrees, read_cone, read_quantity
from glazecalc.files.problems import Findings, quote
from glazecalc.values.answers import did_you_mean, listed
from glazecalc.values.records import BENDS, Reading, TileResult, WitnessCone
from glazecalc.values.texts import typed

_WORDS: Final[dict[str, TileResult]] = {
    "sound": TileResult.SOUND, "good": TileResult.SOUND, "ok": TileResult.SOUND, "whole": TileResult.SOUND,
    "crazed at once": TileResult.CRAZED_AT_ONCE, "crazed later": TileResult.CRAZED_LATER,
    "shivered": TileResult.SHIVERED, "shivering": TileResult.SHIVERED, "peeled": TileResult.SHIVERED,
    "flaked": TileResult.SHIVERED, "pinholed": TileResult.PINHOLED, "pinholes": TileResult.PINHOLED,
    "crawled": TileResult.CRAWLED, "crawling": TileResult.CRAWLED, "ran": TileResult.RAN, "runny": TileResult.RAN,
    "running": TileResult.RAN, "underfired": TileResult.UNDERFIRED, "unripe": TileResult.UNDERFIRED,
    "dry": TileResult.UNDERFIRED,
}  # fmt: skip
_CRAZED: Final = frozenset({"crazed", "crazing", "crazes", "cracked"})
_DAYS: Final[dict[str, float]] = {"hour": 1 / 24, "day": 1.0, "week": 7.0, "month": 30.44, "year": 365.25}
_SPAN: Final = re.compile(r"(\d{1,6}(?:[.,]\d{1,3})?|an?|one)\s*(hour|day|week|month|year)s?", re.IGNORECASE)
_READING: Final = re.compile(r"\s*(?:(\d{1,3}):([0-5]\d)|(\d{1,3}(?:[.,]\d{1,4})?)\s*h?)\s*=\s*(.{1,30})")
_WITNESS: Final = re.compile(r"\s*(.{1,20}?)\s*[=:\s]\s*([a-z]+)\s*", re.IGNORECASE)
_BEND_WORDS: Final[dict[str, str]] = {
    "down": "down", "flat": "down", "bent": "down", "half": "half", "soft": "soft", "starting": "soft",
    "stands": "stands", "standing": "stands", "up": "stands",
}  # fmt: skip


_NEGATIVE: Final = re.compile(r"\s*[-\N{MINUS SIGN}]\s*\d")


def days_in(text: str) -> float | None:
    """A span of time in days, or None if ``text`` is none.

    >>> days_in("2 weeks"), days_in("a day"), days_in("boiling")
    (14.0, 1.0, None)
    """
    match = _SPAN.fullmatch(text.strip())
    if match is None:
        return None
    number = 1.0 if match[1][0].isalpha() else float(match[1].replace(",", "."))
    return number * _DAYS[match[2].casefold()]


def read_results(
    words: Sequence[str], after: str | None, found: Findings
) -> tuple[tuple[TileResult, ...], float | None, str]:
    """Results, days and test from words such as ``crazed after 3 days``, ``sound``, ``pinholed``.

    ``after`` is a span of time or the name of a test. Crazing without either stays
    ``crazed``, of which the time is not known.
    """
    results: list[TileResult] = []
    for word in ",".join(words).split(",") if words else ():
        name, _, tail = " ".join(word.casefold().split()).partition(" after ")
        name = " ".join(re.split(r"[\s_-]+", name)).strip()
        after = tail or after
        crazed = TileResult.CRAZED_LATER if after else TileResult.CRAZED
        result = crazed if name in _CRAZED else _WORDS.get(name)
        if result is None:
            known = (*_WORDS, *_CRAZED)
            hint = did_you_mean(name, known) or f"choose from: {', '.join(r.value for r in TileResult)}"
            found.error("unknown-result", f"{quote(word)} is no result of a tile", hint)
        elif result not in results:
            results.append(result)
    if after and _NEGATIVE.match(after):
        found.error("not-a-time", f"{quote(after)} is no time after the firing", typed('write --after "3 days"'))
        after = None
    days = days_in(after) if after else None
    return tuple(results), days, (after or "") if days is None else ""


def read_date(text: str | None, found: Findings) -> str:
    """A date as year-month-day; today's where none is given; an error in ``found`` if it is none."""
    if text is None:
        return date.today().isoformat()
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        found.error("not-a-date", f"{quote(text)} is not a date", "write it as 2026-03-31")
        return ""


def read_witness(words: Sequence[str], found: Findings) -> tuple[WitnessCone, ...]:
    """Witness cones as ``6=half`` or ``cone 5 down``: down, half, soft or stands."""
    cones: list[WitnessCone] = []
    for word in words:
        match = _WITNESS.fullmatch(word)
        bend = _BEND_WORDS.get(match[2].casefold()) if match else None
        if match is None or bend is None:
            how = listed(BENDS, "or")
            found.error("not-a-witness", f"{quote(word)} is not a cone and how it bent ({how})", "write it as 6=half")
            continue
        cone = read_cone(match[1], found, None)
        if cone is not None:
            cones.append(WitnessCone(cone.name, bend))
    return tuple(cones)


def read_readings(words: Sequence[str], found: Findings, in_F: bool = False) -> tuple[Reading, ...]:
    """Looks at the pyrometer as ``2:30=600C`` or ``2.5=1112F``: hours since switching on, and temperature; a bare
    figure is in degF where ``in_F``.
    """
    readings: list[Reading] = []
    for word in words:
        match = _READING.fullmatch(word)
        if match is None:
            found.error("not-a-reading", f"{quote(word)} is not hours=temperature", "write it as 2:30=600C")
            continue
        hours = int(match[1]) + int(match[2]) / 60 if match[1] else float(match[3].replace(",", "."))
        degrees = in_studio_degrees(match[4], "the temperature", in_F, found)
        degC = read_quantity(degrees, "temperature", "degC", "the temperature", found)
        if degC is not None:
            readings.append(Reading(hours, degC))
    return tuple(sorted(readings, key=lambda r: r.at_h))
