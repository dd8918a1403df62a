"""How each kind of value in studio.toml is read: texts, counts, choices, cones, quantities and their window."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, Final, NamedTuple

from glazecalc.read.cone import read_cone
from glazecalc.read.findings import Findings, shown
from glazecalc.read.quantity import read_quantity
from glazecalc.values.problem import did_you_mean
from glazecalc.values.units import convert, find_unit


class At(NamedTuple):
    """Where a value stands: what it is called in messages, its line, and where problems go."""

    what: str
    line: int | None
    found: Findings


FieldReader = Callable[[Any, At], Any]
"""Turns what TOML gave into what the value class wants; None, with an error said, if it cannot."""


def text(value: Any, at: At) -> str | None:
    """A text; a number is taken as it is written."""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
        return str(value)
    at.found.error("wrong-type", f"{at.what} {shown(value)} is not a text", "put a text in quotes", at.line)
    return None


def flag(value: Any, at: At) -> bool | None:
    """True or false; yes and no are understood."""
    if isinstance(value, bool):
        return value
    folded = value.strip().casefold() if isinstance(value, str) else ""
    if folded in {"yes", "true"}:
        return True
    if folded in {"no", "false"}:
        return False
    if folded not in {"unknown", "?"}:
        at.found.error("wrong-type", f"{at.what} {shown(value)} is neither true nor false", "", at.line)
    return None


def count(value: Any, at: At) -> int | None:
    """A whole number; a text such as "12 AWG" or "#12" gives its digits."""
    if isinstance(value, str):
        digits = value.casefold().replace("awg", "").replace("gauge", "").strip(" #")
        value = int(digits) if digits.isdecimal() and len(digits) < 7 else value
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e9:
        value = int(value)
    if isinstance(value, bool) or not isinstance(value, int):
        at.found.error("wrong-type", f"{at.what} {shown(value)} is not a whole number", "", at.line)
        return None
    return value


def cone(value: Any, at: At) -> Any:
    """A cone; a TOML whole number 1 to 14 is one too."""
    return read_cone(value, at.found, at.line)


def choice(options: Mapping[str, Any]) -> FieldReader:
    """One of the options, each spelling with what it means."""

    def read(value: Any, at: At) -> Any:
        folded = "" if isinstance(value, dict | list) else " ".join(str(value).casefold().split())
        if folded in options:
            return options[folded]
        allowed = ", ".join(dict.fromkeys(str(v) for v in options.values()))
        hint = did_you_mean(folded, options) or f"it is one of {allowed}"
        at.found.error("not-a-choice", f"{at.what} {shown(value)} is none of the choices", hint, at.line)
        return None

    return read


def quantity(
    dimension: str, own_unit: str, low: float | None = None, high: float | None = None, hint: str = ""
) -> FieldReader:
    """A quantity; a bare number outside ``low`` .. ``high`` [own unit] is asked about with ``hint``."""

    def read(value: Any, at: At) -> float | None:
        number = read_quantity(value, dimension, own_unit, at.what, at.found, at.line)
        if number is None:
            return None
        if (low is not None and number < low) or (high is not None and number > high):
            asked = f"{at.what} {number:g} {own_unit} is unusual"
            at.found.remark("unusual-value", asked, hint or "check the unit", at.line)
        return number

    return read


def number(value: Any, at: At) -> float | None:
    """A plain number; a percent sign in a text is understood."""
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        at.found.error("wrong-type", f"{at.what} {shown(value)} is not a number", "write a number", at.line)
        return None
    return read_quantity(value, "percent", "%", at.what, at.found, at.line)


def length(low: float = 5.0, high: float = 3000.0) -> FieldReader:
    """A length [mm] with a window that catches inches and centimetres."""
    return quantity("length", "mm", low, high, 'a length is in mm; write "12 in" or "30 cm" if that is meant')


_SUFFIXES: Final[dict[str, tuple[str, str]]] = {
    "_mm": ("length", "mm"), "_m": ("length", "m"), "_g": ("mass", "g"), "_degC": ("temperature", "degC"),
    "_m3": ("volume", "m3"), "_m3_per_h": ("flow", "m3/h"), "_A": ("current", "A"), "_cm2": ("area", "cm2"),
}  # fmt: skip


def with_unit_of_key(key: str, known: Mapping[str, Any]) -> tuple[str, Callable[[Any], Any]] | None:
    """The key meant by one that names another unit or none (``width_in``, ``width``), and how its value is put.

    None if no key is meant.
    """
    for wanted in known:
        for suffix, (dimension, own) in _SUFFIXES.items():
            stem = wanted.removesuffix(suffix)
            if stem == wanted or not key.startswith(stem):
                continue
            rest = key[len(stem) :]
            if not rest:
                return wanted, _as_text
            unit = find_unit(rest.lstrip("_").replace("_per_", "/"), dimension) if rest[0] == "_" else None
            if unit is not None:
                return wanted, partial(_converted, unit=unit.symbol, own=own, dimension=dimension)
    return None


def _as_text(value: Any) -> Any:
    return str(value) if isinstance(value, int | float) and not isinstance(value, bool) else value


def _converted(value: Any, unit: str, own: str, dimension: str) -> Any:
    if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e9:
        return convert(float(value), unit, own, dimension)
    return value
