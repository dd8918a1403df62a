"""Every broken input ends in a problem that is said: no exception, no silence, no wait."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from glazecalc.files.card import read_recipe
from glazecalc.files.studio import read_studio
from glazecalc.values.answers import Problem
from tests.files.broken_inputs import CORPUS, Broken, place
from tests.files.supplier_sheets import read_supplier_sheet
from tests.files.told_codes import CODES

LONGEST_WAIT_S = 2.0


def problems_of(broken: Broken, path: Path) -> tuple[Problem, ...]:
    if broken.kind == "card":
        return read_recipe(path)[1]
    if broken.kind == "sheet":
        return read_supplier_sheet(path)[1]
    problems = read_studio(path.parent)[1]
    return tuple(p for p in problems if p.code != "no-studio")


@pytest.mark.parametrize("broken", CORPUS, ids=[broken.name for broken in CORPUS])
def test_broken_input_is_said_and_not_raised(broken: Broken, tmp_path: Path) -> None:
    path = place(broken, tmp_path)
    started = time.perf_counter()
    problems = problems_of(broken, path)
    waited = time.perf_counter() - started
    assert problems, "nothing was said"
    assert broken.remark_only or any(p.is_error for p in problems), problems
    assert not (broken.remark_only and any(p.is_error for p in problems)), problems
    assert waited < LONGEST_WAIT_S
    for problem in problems:
        assert problem.code in CODES
        assert problem.message.isprintable() and problem.hint.isprintable()
        assert len(problem.message) < 400 and "pydantic" not in problem.message
        assert problem.line is None or problem.line >= 1


def test_corpus_holds_at_least_200_distinct_inputs() -> None:
    assert len({(b.kind, b.data, b.special) for b in CORPUS}) >= 200
    assert len({b.name for b in CORPUS}) == len(CORPUS)
