"""What pydantic says of a value, in a potter's words. The one place where a ValidationError is read."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, Final

from pydantic import ValidationError

from glazecalc.read.findings import Findings, shown

_UNIT_OF: Final = (
    ("_degC_per_h", "degC/h"), ("_degC", "degC"), ("_mm", "mm"), ("_m3_per_h", "m3/h"), ("_m3", "m3"), ("_m", "m"),
    ("_g", "g"), ("_A", "A"), ("_percent", "%"), ("_cm2", "cm2"), ("_per_kWh", "a kWh"), ("volts", "V"), ("amps", "A"),
    ("watts", "W"), ("expansion", "x 1e-6/K"),
)  # fmt: skip

LineOf = Callable[[tuple[int | str, ...]], int | None]


def say_invalid(failure: ValidationError, what: str, found: Findings, line: int | LineOf | None = None) -> None:
    """Each fault of ``failure`` as an error about ``what``; ``line`` is one for all or finds a field's."""
    for fault in failure.errors(include_url=False):
        place = fault["loc"]
        at = line(place) if callable(line) else line
        code, text, hint = _said(fault, str(place[-1]) if place else "")
        found.error(code, f"{what}: {text}" if what else text, hint, at)


def _said(fault: Any, key: str) -> tuple[str, str, str]:
    """Code, message and hint of one fault."""
    kind, context = fault["type"], fault.get("ctx", {})
    value = fault.get("input")
    given = f"{value:g}" if isinstance(value, float) else shown(value, 40)
    unit = unit_of(key)
    for bound, words in (("gt", "more than"), ("ge", "at least"), ("lt", "less than"), ("le", "at most")):
        if bound in context:
            limit = f"it must be {words} {context[bound]:g}{' ' if unit else ''}{unit}"
            return "out-of-range", f"{key} {given} cannot be right", limit
    if kind == "missing":
        return "key-missing", f"`{key}` is missing", f"write a line such as {key} = ..."
    if kind == "extra_forbidden":
        return "unknown-key", f"there is no `{key}` here", ""
    if kind == "string_too_short":
        return "key-missing", f"`{key}` is empty", ""
    if kind == "string_too_long":
        return "text-too-long", f"`{key}` is longer than {context.get('max_length')} characters", ""
    if kind == "literal_error":
        return "not-a-choice", f"{key} {given} is none of the choices", f"it is {context.get('expected', '')}"
    if kind == "value_error":
        return "does-not-agree", re.sub(r"^Value error, ", "", fault["msg"]), ""
    if kind == "finite_number":
        return "not-a-number", f"{key} {given} is not a finite number", ""
    return (
        "wrong-type",
        f"{key} {given} is not what is wanted here",
        str(fault["msg"]).replace("Input should be", "it should be"),
    )


def unit_of(key: str) -> str:
    """The unit in the name of a key: ``wall_mm`` -> ``mm``; empty if it has none."""
    for ending, unit in _UNIT_OF:
        if key.endswith(ending):
            return unit
    return ""
