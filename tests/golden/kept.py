"""How an output is compared with what is kept: words exactly, numbers within a stated tolerance."""

from __future__ import annotations

import json
import math
import os
import re
from pathlib import Path
from typing import Any, Final

import pytest

from glazecalc.cli.main import main
from glazecalc.render.words import encodable

ROOT: Final = Path(__file__).resolve().parents[2]
WRITE: Final = os.environ.get("GOLDEN") == "write"
"""Whether what is kept is written anew."""
NUMBER: Final = re.compile(r"-?\d+(?:\.\d+)?")
WIDTH: Final = 80
RELATIVE: Final = 1e-6
"""Tolerance of numbers in JSON: what different builds of numpy may differ by, with room."""
SHOWN_RELATIVE, SHOWN_ABSOLUTE = 0.02, 0.011
"""Tolerance of rounded numbers in text."""


def run(words: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> tuple[int, str]:
    """Exit code and stdout of a command, run from the repository's root without colour."""
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("NO_COLOR", "1")
    code = main(words)
    return int(code), capsys.readouterr().out


def compare_text(code: int, out: str, path: Path) -> None:
    """Asserts that a text is what ``path`` keeps, can be told in ASCII and fits the page; a word longer than a line may stand out."""
    got = f"exit {code}\n{out}"
    if WRITE:
        path.write_text(got, encoding="utf-8")
    kept = path.read_text(encoding="utf-8")
    assert NUMBER.sub("#", got) == NUMBER.sub("#", kept)
    for a, b in zip(NUMBER.findall(got), NUMBER.findall(kept), strict=True):
        assert math.isclose(float(a), float(b), rel_tol=SHOWN_RELATIVE, abs_tol=SHOWN_ABSOLUTE), f"{a} is not {b}"
    assert encodable(out, "ascii").count("\\") == out.count("\\"), "every sign has a spelling where only ASCII is"
    assert not [line for line in out.splitlines() if len(line) > WIDTH and " " in line.strip()], "text fits 80 columns"


def compare_json(out: str, path: Path) -> None:
    """Asserts that a JSON document is what ``path`` keeps."""
    if WRITE:
        path.write_text(out, encoding="utf-8")
    _compare(json.loads(out), json.loads(path.read_text(encoding="utf-8")), path.stem)


def _compare(got: Any, kept: Any, where: str) -> None:
    if isinstance(kept, dict):
        assert list(got) == list(kept), where
        for key in kept:
            _compare(got[key], kept[key], f"{where}.{key}")
    elif isinstance(kept, list):
        assert len(got) == len(kept), where
        for i, (a, b) in enumerate(zip(got, kept, strict=True)):
            _compare(a, b, f"{where}[{i}]")
    elif isinstance(kept, float):
        assert math.isclose(got, kept, rel_tol=RELATIVE, abs_tol=1e-9), f"{where}: {got} is not {kept}"
    else:
        assert got == kept, where
