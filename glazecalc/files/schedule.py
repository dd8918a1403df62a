"""A firing schedule from a table: `rate,to,hold`, a row for each segment."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final, Literal

from glazecalc.files.numbers import plain, read_quantity
from glazecalc.files.problems import Findings, quote
from glazecalc.files.text import TableRow, fits_head, open_text, table_rows
from glazecalc.values.answers import Problem
from glazecalc.values.results.firing import ScheduleLeg
from glazecalc.values.units import convert

MOST_SEGMENTS: Final = 60
RATES_DEGC_PER_H: Final = (1.0, 1500.0)
HOTTEST_DEGC: Final = 1450.0
LONGEST_HOLD_H: Final = 100.0
MINUTES_FROM: Final = 5.0
"""A bare hold of this and more is taken in minutes, less in hours; either is said."""

_COLUMNS: Final = {"rate": "rate", "ramp": "rate", "speed": "rate", "to": "to", "target": "to", "temperature": "to",
                   "temp": "to", "hold": "hold", "soak": "hold", "dwell": "hold"}  # fmt: skip
_NO_UNIT: Final = {"rate": "degC/h as usual", "to": "degC as usual"}
_FAHRENHEIT: Final = {_NO_UNIT["rate"]: "degF/h", _NO_UNIT["to"]: "degF"}
_UNITS: Final = {
    "rate": {"": _NO_UNIT["rate"], "degc_per_h": "degC/h", "degc_h": "degC/h", "c_per_h": "degC/h", "c_h": "degC/h",
             "degc": "degC/h", "c": "degC/h", "degf_per_h": "degF/h", "degf_h": "degF/h", "f_per_h": "degF/h",
             "f_h": "degF/h", "degf": "degF/h", "f": "degF/h"},
    "to": {"": _NO_UNIT["to"], "degc": "degC", "c": "degC", "degf": "degF", "f": "degF"},
    "hold": {"": "", "h": "h", "hours": "h", "hour": "h", "min": "min", "minutes": "min", "mins": "min"},
}  # fmt: skip
_DIMENSIONS: Final = {"rate": "rate", "to": "temperature", "hold": "time"}
_CLOCK: Final = re.compile(r"(\d{1,2}):([0-5]\d)")
_BARE: Final = re.compile(r"[-+]?\d+(?:\.\d+)?")
_HINT: Final = 'the first row names the columns: rate,to,hold - then such as: 150,600,0 or "270 F/h",1112 F,10min'


def read_schedule(
    path: str | Path, scale: Literal["C", "F"] = "C"
) -> tuple[tuple[ScheduleLeg, ...], tuple[Problem, ...]]:
    """The segments of a schedule, and every problem found; no segments if one is an error.

    Bare numbers are in the unit its column's name ends in (``to_degF``, ``hold_min``), else in degC per hour and degC;
    where the studio's ``scale`` is F in degF, and it is said.
    """
    text, found = open_text(path)
    if text is None:
        return (), found.problems
    columns, rows = _head(table_rows(text, found), found)
    if scale == "F":
        columns = _in_fahrenheit(columns, rows, found)
    if len(rows) > MOST_SEGMENTS:
        found.error("too-many-lines", f"{len(rows)} segments; no firing has more than {MOST_SEGMENTS}", _HINT)
        rows = ()
    legs = [leg for row in rows if (leg := _leg(row, columns, found)) is not None]
    if not legs and not found.has_errors:
        found.error("empty-file", "there are no segments in the file", _HINT)
    return (() if found.has_errors else tuple(legs)), found.problems


def _in_fahrenheit(
    columns: dict[str, tuple[int, str]], rows: tuple[TableRow, ...], found: Findings
) -> dict[str, tuple[int, str]]:
    """The columns without a unit of their own in degF, as the studio reads; said where a cell is bare."""
    taken = {name: _FAHRENHEIT[unit] for name, (_, unit) in columns.items() if unit in _FAHRENHEIT}
    places = [columns[name][0] for name in taken]
    if any(_BARE.fullmatch(plain(row.cells[i])) for row in rows for i in places if i < len(row.cells)):
        what = "rates and temperatures have no unit; read in degF, as this studio reads"
        found.remark("unit-assumed", what, "name the columns rate_degC_per_h,to_degC or rate_degF_per_h,to_degF")
    return {name: (place, taken.get(name, unit)) for name, (place, unit) in columns.items()}


def _head(rows: tuple[TableRow, ...], found: Findings) -> tuple[dict[str, tuple[int, str]], tuple[TableRow, ...]]:
    """Column -> place and unit; the rows below the head. A table without a head is read in the usual
    order.
    """
    usual = {"rate": (0, _NO_UNIT["rate"]), "to": (1, _NO_UNIT["to"]), "hold": (2, "")}
    if not rows:
        return usual, ()
    if any(char.isdigit() for char in rows[0].cells[0]):
        found.remark("unit-assumed", "no names of columns; read as rate, to, hold", _HINT, rows[0].line)
        return usual, rows
    columns: dict[str, tuple[int, str]] = {}
    for i, cell in enumerate(rows[0].cells):
        name = re.sub(r"[^a-z]+", "_", cell.casefold().replace("\N{DEGREE SIGN}", "deg")).strip("_")
        word, _, unit = name.partition("_")
        column = _COLUMNS.get(word)
        if column is None or unit not in _UNITS[column]:
            if cell:
                found.remark("unknown-column", f"column {quote(cell)} is not used", _HINT, rows[0].line)
        elif column in columns:
            found.error("column-twice", f"there are two columns for {column}", _HINT, rows[0].line)
        else:
            columns[column] = (i, _UNITS[column][unit])
    for needed in ("rate", "to"):
        if needed not in columns:
            found.error("column-missing", f"there is no column {needed!r}", _HINT, rows[0].line)
    return columns, rows[1:] if not found.has_errors else ()


def _leg(row: TableRow, columns: dict[str, tuple[int, str]], found: Findings) -> ScheduleLeg | None:
    if not fits_head(row, 1 + max(place for place, _ in columns.values()), found):
        return None
    values = {name: _cell(row, name, place, unit, found) for name, (place, unit) in columns.items()}
    rate, to, hold = values.get("rate"), values.get("to"), values.get("hold", 0.0)
    if rate is None or to is None or hold is None:
        return None
    rate = abs(rate)
    low, high = RATES_DEGC_PER_H
    hotter = "are these degF? Name the column to_degF" if to > HOTTEST_DEGC else "write the end temperature in degC"
    for fits, what, hint in (
        (low <= rate <= high, f"a rate of {rate:g} degC per hour is not possible", "write how fast, up or down"),
        (0 < to <= HOTTEST_DEGC, f"{to:g} degC is hotter than this program follows", hotter),
        (0 <= hold <= LONGEST_HOLD_H, f"a hold of {hold:g} h is not possible", "write a hold such as 10min"),
    ):
        if not fits:
            found.error("out-of-range", what, hint, row.line)
            return None
    return ScheduleLeg(rate, to, hold, row.line)


def _cell(row: TableRow, name: str, place: int, unit: str, found: Findings) -> float | None:
    """The value of one cell in degC/h, degC or h; an empty hold is none."""
    text = plain(row.cells[place]) if place < len(row.cells) else ""
    if not text:
        if name == "hold":
            return 0.0
        found.error("not-a-number", f"the {name} is missing", _HINT, row.line)
        return None
    clock = _CLOCK.fullmatch(text)
    if name == "hold" and clock:
        return int(clock[1]) + int(clock[2]) / 60
    own = {"rate": "degC/h", "to": "degC", "hold": "h"}[name]
    if not _BARE.fullmatch(text):
        return read_quantity(text, _DIMENSIONS[name], own, name, found, row.line)
    number = float(text)
    if name == "hold" and not unit:
        unit = "min" if number >= MINUTES_FROM else "h"
        if number:
            found.remark("unit-assumed", f"hold {text} read as {text} {unit}", "write 10min or 0.5h", row.line)
    return convert(number, own if unit == _NO_UNIT.get(name) else unit, own, _DIMENSIONS[name])
