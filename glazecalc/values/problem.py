"""What is wrong with something a user gave: a value, collected, never raised on its own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """An error stops the job; a remark says what was assumed or looks odd."""

    ERROR = "error"
    REMARK = "remark"


@dataclass(frozen=True, slots=True)
class Problem:
    """One finding: what is wrong, where, and what to try next. ``line`` counts from 1."""

    code: str
    severity: Severity
    message: str
    hint: str = ""
    file: str | None = None
    line: int | None = None

    @property
    def is_error(self) -> bool:
        """Whether the job cannot go on."""
        return self.severity is Severity.ERROR


def error(code: str, message: str, hint: str = "", file: str | None = None, line: int | None = None) -> Problem:
    """A problem that stops the job."""
    return Problem(code, Severity.ERROR, message, hint, file, line)


def remark(code: str, message: str, hint: str = "", file: str | None = None, line: int | None = None) -> Problem:
    """Something assumed or odd that the user should know."""
    return Problem(code, Severity.REMARK, message, hint, file, line)


class ProblemsError(Exception):
    """Raised at the edge of a job that cannot go on; carries every problem found in one pass."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(p.message for p in self.problems))


def closest(name: str, choices: Iterable[str], n: int = 3) -> tuple[str, ...]:
    """The names most like ``name``, best first, for a `did you mean`.

    >>> closest("whitting", ["Whiting", "Talc"])
    ('Whiting',)
    """
    import difflib

    folded: dict[str, str] = {}
    for choice in choices:
        folded.setdefault(choice.casefold(), choice)
    found = difflib.get_close_matches(name.casefold()[:80], list(folded), n=n, cutoff=0.6)
    return tuple(folded[f] for f in found)


def did_you_mean(name: str, choices: Iterable[str]) -> str:
    """A hint naming the closest choices, or an empty text.

    >>> did_you_mean("whitting", ["Whiting", "Talc"])
    'did you mean Whiting?'
    """
    found = closest(name, choices)
    return f"did you mean {' or '.join(found)}?" if found else ""
