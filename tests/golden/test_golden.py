"""Every demo recipe is run and compared with what is kept.

``GOLDEN=write pytest tests/golden`` rewrites what is kept; read the diff before committing it.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.golden.commands import CARDS, COMMANDS
from tests.golden.kept import compare_json, compare_text, run

EXPECTED = Path(__file__).parent / "expected"


@pytest.mark.parametrize("name", COMMANDS)
def test_text(name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    compare_text(*run(COMMANDS[name], capsys, monkeypatch), EXPECTED / f"{name}.txt")


@pytest.mark.parametrize("name", [f"check-{card}" for card in CARDS])
def test_json(name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    _, out = run([*COMMANDS[name], "--json"], capsys, monkeypatch)
    compare_json(out, EXPECTED / f"{name}.json")


def test_the_demo_exercises_every_answer() -> None:
    answers = {json.loads((EXPECTED / f"check-{card}.json").read_text(encoding="utf-8"))["answer"] for card in CARDS}
    assert answers == {"fits", "does_not_fit", "cannot_say"}
