"""Every demo kiln on every demo circuit, and the demo's firings, against what is kept.

``GOLDEN=write pytest tests/golden/test_kilns.py`` rewrites what is kept; read the diff before committing it.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from glazecalc.files.studio import read_studio
from tests.golden.kept import ROOT, compare_json, compare_text, run

KEPT = Path(__file__).parent / "kilns"
STUDIO, _ = read_studio(ROOT / "recipes")
SCHEDULE = "tests/golden/kilns/schedule.csv"


def _file(*names: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", " ".join(names).lower()).strip("-")


ON = ["--studio", "recipes"]
COMMANDS: dict[str, list[str]] = {
    **{
        _file("kiln", k.name, c.name): ["kiln", k.name, "--circuit", c.name, "--cone", "6", *ON]
        for k in STUDIO.kilns
        for c in STUDIO.circuits
    },
    "kiln-shed-in-its-room": ["kiln", "--room", "Shed", *ON],
    "kiln-shed-in-full": ["kiln", "--room", "Shed", "--full", *ON],
    "kiln-guild-with-a-glaze": ["kiln", "Guild kiln", "--recipe", "recipes/kelp-celadon.txt", *ON],
    "firing-glaze": ["firing", "--cone", "6", "--hold", "10min", *ON],
    "firing-glaze-in-full": ["firing", "--cone", "6", "--hold", "10min", "--full", *ON],
    "firing-bisque-by-switch": ["firing", "--kind", "bisque", "--cone", "06", "--kiln", "Guild kiln", *ON],
    "firing-slow-cooled-thick": ["firing", "--kind", "slow-cooled", "--wall", "12mm", "--units", "us", *ON],
    "firing-once-damp": ["firing", "--kind", "once-fired", "--damp", *ON],
    "firing-of-a-schedule": ["firing", "--schedule", SCHEDULE, "--cone", "6", *ON],
}
WITH_JSON = ("kiln-shed-kiln-shed-outlet", "firing-glaze", "firing-of-a-schedule")


@pytest.mark.parametrize("name", COMMANDS)
def test_text(name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    compare_text(*run(COMMANDS[name], capsys, monkeypatch), KEPT / f"{name}.txt")


@pytest.mark.parametrize("name", WITH_JSON)
def test_json(name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    _, out = run([*COMMANDS[name], "--json"], capsys, monkeypatch)
    compare_json(out, KEPT / f"{name}.json")


def test_the_demo_shows_every_answer_of_a_circuit() -> None:
    kept = {(KEPT / f"{name}.txt").read_text(encoding="utf-8").split("\n")[0] for name in COMMANDS}
    assert {"exit 0", "exit 1", "exit 3"} <= kept
