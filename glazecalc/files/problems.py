"""Collects every problem found while one file is read, so that all are shown in one pass."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from glazecalc.values.answers import Problem, error, remark

MOST_SHOWN = 100
"""A file with more findings than this is summed up: nobody reads ten thousand lines of complaint."""


class Findings:
    """The problems of one file, in the order of its lines."""

    def __init__(self, file: str | None) -> None:
        self.file = file
        self._found: list[Problem] = []
        self.error_count = 0
        """How many errors were found so far."""

    def error(self, code: str, message: str, hint: str = "", line: int | None = None) -> None:
        """Note something that stops the job."""
        self._found.append(error(code, message, hint, self.file, line))
        self.error_count += 1

    def remark(self, code: str, message: str, hint: str = "", line: int | None = None) -> None:
        """Note something assumed or odd."""
        self._found.append(remark(code, message, hint, self.file, line))

    def extend(self, problems: tuple[Problem, ...]) -> None:
        """Take over problems found elsewhere."""
        self._found.extend(problems)
        self.error_count += sum(p.is_error for p in problems)

    @property
    def has_errors(self) -> bool:
        """Whether anything found so far stops the job."""
        return self.error_count > 0

    @property
    def flooded(self) -> bool:
        """Whether so many errors were found that looking for more serves nobody."""
        return self.error_count > 2 * MOST_SHOWN

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What was found, by line; findings about the whole file come last. A flood is cut, errors kept first."""
        found = sorted(dict.fromkeys(self._found), key=lambda p: (p.line is None, p.line or 0))
        if len(found) <= MOST_SHOWN:
            return tuple(found)
        kept = sorted(found, key=lambda p: not p.is_error)[:MOST_SHOWN]
        kept.sort(key=lambda p: (p.line is None, p.line or 0))
        rest = remark("more-problems", f"{len(found) - MOST_SHOWN} more problems are not shown", "", self.file)
        return (*kept, rest)


def shown(value: object, longest: int = 60) -> str:
    """A value of a file as its writer knows it, for a message.

    >>> shown({"a": 1}), shown(True), shown("06")
    ('(a table)', "'true'", "'06'")
    """
    if isinstance(value, dict | list | tuple):
        return "(a table)" if isinstance(value, dict) else "(a list)"
    if isinstance(value, bool):
        return "'true'" if value else "'false'"
    return quote(f"{value:g}" if isinstance(value, float) else str(value), longest)


def quote(text: str, longest: int = 60) -> str:
    """What a user typed, between quotes, cut short, with nothing in it that could upset a terminal.

    >>> quote("Whiting\\x1b[31m")
    "'Whiting?[31m'"
    """
    shown = "".join(c if c.isprintable() else "?" for c in text.strip().replace("\t", " ")[: longest + 1])
    if len(shown) > longest:
        shown = shown[: longest - 3] + "..."
    return f"'{shown}'"


# What pydantic says of a value, in a potter's words. The one place where a ValidationError is read.

_UNIT_OF: Final = (
    ("_degC_per_h", "degC/h"), ("_degC", "degC"), ("_mm", "mm"), ("_m3_per_h", "m3/h"), ("_m3", "m3"), ("_m", "m"),
    ("_g", "g"), ("_A", "A"), ("_percent", "%"), ("_cm2", "cm2"), ("_per_kWh", "a kWh"), ("volts", "V"), ("amps", "A"),
    ("watts", "W"), ("expansion", "x 1e-6/K"),
)  # fmt: skip

Made = TypeVar("Made", bound=BaseModel)
LineOf = Callable[[tuple[int | str, ...]], int | None]


def made(
    cls: type[Made], values: Mapping[str, Any], what: str, found: Findings, line: int | LineOf | None = None
) -> Made | None:
    """A value of a class of :mod:`glazecalc.values.inputs`; None with each fault as an error about ``what``. ``line``
    is one for all or finds a field's."""
    try:
        return cls(**values)
    except ValidationError as failure:
        faults = failure.errors(include_url=False)
    for fault in faults:
        place = fault["loc"]
        code, text, hint = _fault(fault, str(place[-1]) if place else "")
        found.error(code, f"{what}: {text}", hint, line(place) if callable(line) else line)
    return None


def _fault(fault: Any, key: str) -> tuple[str, str, str]:
    """Code, message and hint of one fault."""
    kind, context = fault["type"], fault.get("ctx", {})
    value = fault.get("input")
    given = f"{value:g}" if isinstance(value, float) else shown(value, 40)
    unit = next((unit for ending, unit in _UNIT_OF if key.endswith(ending)), "")
    for bound, words in (("gt", "more than"), ("ge", "at least"), ("lt", "less than"), ("le", "at most")):
        if bound in context:
            limit = f"it must be {words} {context[bound]:g}{' ' if unit else ''}{unit}"
            return "out-of-range", f"{key} {given} cannot be right", limit
    expected = context.get("expected", "")
    faults = {
        "missing": ("key-missing", f"`{key}` is missing", f"write a line such as {key} = ..."),
        "extra_forbidden": ("unknown-key", f"there is no `{key}` here", ""),
        "string_too_short": ("key-missing", f"`{key}` is empty", ""),
        "string_too_long": ("text-too-long", f"`{key}` is longer than {context.get('max_length')} characters", ""),
        "literal_error": ("not-a-choice", f"{key} {given} is none of the choices", f"it is {expected}"),
        "value_error": ("does-not-agree", fault["msg"].removeprefix("Value error, "), ""),
        "finite_number": ("not-a-number", f"{key} {given} is not a finite number", ""),
    }
    wanted = fault["msg"].replace("Input should be", "it should be")
    return faults.get(kind, ("wrong-type", f"{key} {given} is not what is wanted here", wanted))
