"""Exit codes: a script can tell `does not fit` from `could not run`."""

from __future__ import annotations

from enum import IntEnum

from glazecalc.values.verdict import Answer


class ExitCode(IntEnum):
    """What the process returns."""

    DONE = 0
    DOES_NOT_FIT = 1
    USAGE = 2
    CANNOT_SAY = 3
    BUG = 70
    INTERRUPTED = 130


def exit_code(answer: Answer | None) -> ExitCode:
    """The code for a job's answer; None means the job judged nothing and is done."""
    if answer is Answer.DOES_NOT_FIT:
        return ExitCode.DOES_NOT_FIT
    if answer is Answer.CANNOT_SAY:
        return ExitCode.CANNOT_SAY
    return ExitCode.DONE
