"""The three answers, and a verdict: one plain sentence resting on named evidence."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


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


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer of one rule. ``evidence`` names the estimates it rests on.

    ``because`` is the clause a headline gives for a no, where it is not the rule's usual one.
    """

    rule: str
    answer: Answer
    message: str
    evidence: tuple[str, ...] = ()
    because: str = ""


def worst(answers: Iterable[Answer]) -> Answer:
    """The answer of a report: its worst verdict; nothing judged is ``cannot_say``, never a silent pass.

    >>> worst([Answer.FITS, Answer.CANNOT_SAY]).value
    'cannot_say'
    >>> worst([]).value
    'cannot_say'
    """
    found = max(answers, key=badness, default=Answer.NOT_ASKED)
    return Answer.CANNOT_SAY if found is Answer.NOT_ASKED else found
