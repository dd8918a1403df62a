"""The same broken inputs through the whole command: a clear error and exit 2, or a remark; never a trace or a hang."""

from __future__ import annotations

import json
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO, Ran
from tests.files.broken_inputs import CORPUS, Broken, place

LONGEST_WORK_S = 2.0
"""Processor time, so that a busy machine does not fail the test."""


def words_for(broken: Broken, path: Path) -> list[str]:
    if broken.kind == "card":
        return ["check", str(path), "--json"]
    if broken.kind == "sheet":
        return ["materials", "--add", str(path), "--studio", str(path.parent), "--json"]
    card = path.parent / "card.txt"
    if not card.exists():
        shutil.copy(DEMO / "rock-pool.txt", card)
    return ["check", str(card), "--json"]


@pytest.mark.parametrize("broken", CORPUS, ids=[broken.name for broken in CORPUS])
def test_broken_input_ends_well(run: Callable[..., Ran], broken: Broken, tmp_path: Path) -> None:
    path = place(broken, tmp_path)
    started = time.process_time()
    got = run(*words_for(broken, path))
    assert time.process_time() - started < LONGEST_WORK_S
    document = json.loads(got.out)
    assert got.err == ""
    assert "Traceback" not in got.out
    assert document["problems"], "nothing was said"
    if broken.remark_only:
        assert got.code in (0, 1, 2, 3)
    else:
        assert got.code == 2, document
        assert document["answer"] == "error"
