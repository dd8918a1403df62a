"""Every demo recipe is run and compared with what is kept: words exactly, numbers within a stated tolerance.

``GOLDEN=write pytest tests/golden`` rewrites what is kept; read the diff before committing it.
"""

from __future__ import annotations

import json
import math
import os
import re
from pathlib import Path
from typing import Any

import pytest

from glazecalc.cli.main import main
from tests.golden.commands import CARDS, COMMANDS

ROOT = Path(__file__).resolve().parents[2]
EXPECTED = Path(__file__).parent / "expected"
WRITE = os.environ.get("GOLDEN") == "write"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
RELATIVE = 1e-6
"""Tolerance of numbers in JSON: what different builds of numpy may differ by, with room."""


def run(words: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> tuple[int, str]:
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("NO_COLOR", "1")
    code = main(words)
    return int(code), capsys.readouterr().out


@pytest.mark.parametrize("name", COMMANDS)
def test_text(name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    code, out = run(COMMANDS[name], capsys, monkeypatch)
    got = f"exit {code}\n{out}"
    path = EXPECTED / f"{name}.txt"
    if WRITE:
        path.write_text(got, encoding="utf-8")
    kept = path.read_text(encoding="utf-8")
    assert NUMBER.sub("#", got) == NUMBER.sub("#", kept)
    for a, b in zip(NUMBER.findall(got), NUMBER.findall(kept), strict=True):
        assert math.isclose(float(a), float(b), rel_tol=0.02, abs_tol=0.011), f"{a} is not {b}"
    assert out.isascii(), "text is legible where only ASCII is"
    too_long = [line for line in out.splitlines() if len(line) > 80 and " " in line.strip()]
    assert not too_long, "text fits 80 columns"


@pytest.mark.parametrize("name", [f"check-{card}" for card in CARDS])
def test_json(name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    _, out = run([*COMMANDS[name], "--json"], capsys, monkeypatch)
    got = json.loads(out)
    path = EXPECTED / f"{name}.json"
    if WRITE:
        path.write_text(out, encoding="utf-8")
    compare(got, json.loads(path.read_text(encoding="utf-8")), name)


def compare(got: Any, kept: Any, where: str) -> None:
    if isinstance(kept, dict):
        assert list(got) == list(kept), where
        for key in kept:
            compare(got[key], kept[key], f"{where}.{key}")
    elif isinstance(kept, list):
        assert len(got) == len(kept), where
        for i, (a, b) in enumerate(zip(got, kept, strict=True)):
            compare(a, b, f"{where}[{i}]")
    elif isinstance(kept, float):
        assert math.isclose(got, kept, rel_tol=RELATIVE, abs_tol=1e-9), f"{where}: {got} is not {kept}"
    else:
        assert got == kept, where


def test_the_demo_exercises_every_answer() -> None:
    answers = {json.loads((EXPECTED / f"check-{card}.json").read_text(encoding="utf-8"))["answer"] for card in CARDS}
    assert answers == {"fits", "does_not_fit", "cannot_say"}
