"""A problem as a person reads it."""

from __future__ import annotations

from glazecalc.values.problem import Problem


def problem_text(problem: Problem) -> str:
    """``file:line: error: what is wrong [code]``, the hint on a line of its own; ``note:`` where it stops nothing."""
    place = ""
    if problem.file:
        place = f"{problem.file}:{problem.line}: " if problem.line else f"{problem.file}: "
    lead = "error: " if problem.is_error else "note: "
    hint = f"\n    {problem.hint}" if problem.hint else ""
    return f"{place}{lead}{problem.message} [{problem.code}]{hint}"
