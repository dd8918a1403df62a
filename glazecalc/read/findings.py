"""Collects every problem found while one file is read, so that all are shown in one pass."""

from __future__ import annotations

from glazecalc.values.problem import Problem, error, remark

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
    shown = "".join(c if c.isprintable() else "?" for c in text.strip()[: longest + 1])
    if len(shown) > longest:
        shown = shown[: longest - 3] + "..."
    return f"'{shown}'"
