"""A way to run the command line in this process."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from glazecalc.cli.main import main
from glazecalc.values.data import data_root

DEMO = data_root() / "recipes"


@dataclass(frozen=True)
class Ran:
    """How a command ended."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> dict[str, Any]:
        document: dict[str, Any] = json.loads(self.out)
        return document


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    def run_words(*words: str | Path) -> Ran:
        code = main([str(w) for w in words])
        captured = capsys.readouterr()
        return Ran(int(code), captured.out, captured.err)

    return run_words
