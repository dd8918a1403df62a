"""A number that never travels alone: value, 90 % interval, unit, basis, sources, caveats."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final, Literal, NoReturn

from glazecalc.values.texts import joined


class Basis(StrEnum):
    """Where an estimate comes from, best first."""

    MEASURED = "measured"
    LEARNED = "learned"
    SUPPLIER = "supplier"
    STATED = "stated"
    MODEL = "model"
    TYPICAL = "typical"
    EXTRAPOLATED = "extrapolated"


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its 90 % interval.

    ``value``, ``low`` and ``high`` are in ``unit`` and obey ``low <= value <= high``; all finite.

    Raises
    ------
    ValueError
        if a number is not finite or the interval does not hold its value.
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    basis: Basis
    sources: tuple[str, ...] = ()
    caveats: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not all(math.isfinite(x) for x in (self.value, self.low, self.high)):
            raise ValueError(f"estimate {self.name!r} holds a number that is not finite")
        if not self.low <= self.value <= self.high:
            raise ValueError(f"estimate {self.name!r}: {self.value} is outside {self.low} .. {self.high}")

    @property
    def extrapolated(self) -> bool:
        """Whether no verdict may rest on this estimate."""
        return self.basis is Basis.EXTRAPOLATED


def percent_words(probability: float, under: str = "under ", over: str = "over ", unit: str = " %") -> str:
    """A chance as it is told: whole percent, but never a certainty.

    >>> percent_words(0.374), percent_words(0.003), percent_words(1.0)
    ('37 %', 'under 1 %', 'over 99 %')
    """
    percent = round(100.0 * probability)
    return (f"{under}1" if percent < 1 else f"{over}99" if percent > 99 else f"{percent}") + unit


WIDEST_SHARE: Final = 0.5
"""Widest extrapolated interval that is told, as a share of its figure (judgement)."""
_WIDEST: Final = {"degC": 200.0, "degF": 360.0}
"""Widest extrapolated interval of a temperature that is told, in its unit (judgement): 200 degC span ten cones, and a
wider one says nothing of a glaze."""


def too_wide(value: Any, low: Any, high: Any, unit: str) -> Any:
    """Whether an extrapolated interval is wider than is worth telling; of arrays, element by element.

    >>> too_wide(6.0, 4.6, 7.4, "1e-6/K"), too_wide(1350.0, 1200.0, 1500.0, "degC")
    (False, True)
    """
    width = high - low
    return (width > WIDEST_SHARE * abs(value)) | (width > _WIDEST.get(unit, math.inf))


def is_known(estimate: Estimate) -> bool:
    """Whether a figure is worth telling; outside the models' data a chance, a wide interval and a firing range are
    not."""
    if not estimate.extrapolated:
        return True
    wide = too_wide(estimate.value, estimate.low, estimate.high, estimate.unit)
    return not (wide or estimate.unit == "1" or estimate.name in ("firing_range", "mature_cone"))


# The interval of every estimate: central, 90 %.

NINETY: Final = 1.6448536269514722
"""Half width of a central 90 % interval of a normal quantity in standard deviations: the 95 % point of the standard
normal distribution."""


def sigma_of(low: float, high: float) -> float:
    """Standard deviation of a normal quantity whose 90 % interval is ``low`` to ``high``, in their unit."""
    return (high - low) / (2.0 * NINETY)


# The three answers, and a verdict: one plain sentence resting on named evidence.


class Answer(StrEnum):
    """What can be said. ``not_asked`` is used for a rule that had nothing to judge and never decides a report."""

    FITS = "fits"
    CANNOT_SAY = "cannot_say"
    DOES_NOT_FIT = "does_not_fit"
    NOT_ASKED = "not_asked"


_ORDER = {Answer.NOT_ASKED: 0, Answer.FITS: 1, Answer.CANNOT_SAY: 2, Answer.DOES_NOT_FIT: 3}


def badness(answer: Answer) -> int:
    """How bad an answer is beside the others: a no the worst, a rule that had nothing to judge the least.

    >>> sorted([Answer.FITS, Answer.DOES_NOT_FIT, Answer.CANNOT_SAY], key=badness)[-1].value
    'does_not_fit'
    """
    return _ORDER[answer]


Remedy = Literal["", "recipe", "tile", "name", "electrician", "outlet", "never"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer of one rule. ``evidence`` names the estimates it rests on.

    ``because`` is the clause a headline gives for a no, where it is not the rule's usual one; ``remedy`` says
    what would help: another recipe, only a tile, to name what is not known, an electrician, or an outlet to judge;
    ``never`` that it must not be done.
    ``shown`` is the sentence on what tiles or use showed; ``tray`` tells that the message asks for a catch tray.
    """

    rule: str
    answer: Answer
    message: str
    evidence: tuple[str, ...] = ()
    because: str = ""
    remedy: Remedy = ""
    shown: str = ""
    tray: bool = False


def worst(answers: Iterable[Answer]) -> Answer:
    """The answer of a report: its worst verdict; nothing judged is ``cannot_say``, never a silent pass.

    >>> worst([Answer.FITS, Answer.CANNOT_SAY]).value
    'cannot_say'
    >>> worst([]).value
    'cannot_say'
    """
    hardest = max(answers, key=badness, default=Answer.NOT_ASKED)
    return Answer.CANNOT_SAY if hardest is Answer.NOT_ASKED else hardest


# What is wrong with something a user gave: a value, collected, never raised on its own.


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


def refuse(code: str, message: str, hint: str = "", file: str | None = None) -> NoReturn:
    """Raise :class:`ProblemsError` with one error: what was asked cannot be done."""
    raise ProblemsError([error(code, message, hint, file)])


def stop_at_errors(problems: Collection[Problem]) -> None:
    """Raise :class:`ProblemsError` with all the problems where one of them is an error."""
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)


def listed(words: Sequence[str], last: str = "and") -> str:
    """Words in a row, commas between them and ``last`` before the last; empty where there are none.

    >>> listed(["lead"]), listed(["silica", "talc", "whiting"], "or")
    ('lead', 'silica, talc or whiting')
    """
    return joined(f" {last} ", (part for part in (joined(", ", words[:-1]), *words[-1:]) if part))


def closest(name: str, choices: Iterable[str], n: int = 3) -> tuple[str, ...]:
    """The names most like ``name``, best first, for a `did you mean`.

    >>> closest("whitting", ["Whiting", "Talc"])
    ('Whiting',)
    """
    import difflib

    folded: dict[str, str] = {}
    for choice in choices:
        folded.setdefault(choice.casefold(), choice)
    close = difflib.get_close_matches(name.casefold()[:80], list(folded), n=n, cutoff=0.6)
    return tuple(folded[f] for f in close)


def did_you_mean(name: str, choices: Iterable[str]) -> str:
    """A hint naming the closest choices, or an empty text.

    >>> did_you_mean("whitting", ["Whiting", "Talc"])
    'did you mean Whiting?'
    """
    names = closest(name, choices)
    return f"did you mean {' or '.join(names)}?" if names else ""
