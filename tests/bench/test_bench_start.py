"""What each command costs beside the bare imports, and where its time goes. Run: pytest tests/bench -o addopts= -s

Time of the processor and wall time are the least of several turns, each command beside the bare imports. The ratio of processor
times is what other work on the machine changes least. Goals in seconds are of wall time on two idle cores, and only printed.
"""

from __future__ import annotations

import compileall
import os
import shutil
from pathlib import Path

import pytest

from glazecalc.cli.main import main
from tests.bench.spent import ROOT, YARDSTICK, Spent, command, spent, where

TURNS = int(os.environ.get("BENCH_TURNS", "7"))
JOBS: dict[str, tuple[list[str], str]] = {
    "--help": (["--help"], "1.5 x"),
    "check": (["check", "recipes/shoal-clear.txt"], "2.0 x"),
    "kiln": (["kiln", "--studio", "recipes"], "0.8 s"),
    "firing": (["firing", "--cone", "6", "--studio", "recipes"], "0.8 s"),
    "report": (["report", "recipes/shoal-clear.txt", "-o", "{tmp}/r.html", "--force"], "1.2 s"),
    "adjust": (["adjust", "recipes/old-pier.txt"], "1.5 s"),
    "swap": (["swap", "recipes/shoal-clear.txt", "Potash feldspar", "Soda feldspar"], "1 s"),
}
"""The words of each command, and the goal."""
MOST = {"--help": 1.5, "check": 2.0}
"""How many times the bare imports a command may take before this fails."""


def least(words: list[str], folder: Path = ROOT) -> tuple[Spent, Spent]:
    """The command's least processor and wall time, and those of the bare imports, taken in turns."""
    pairs = [(spent(words, folder), spent(YARDSTICK)) for _ in range(TURNS)]
    ours, bare = zip(*pairs, strict=True)
    return Spent(*map(min, zip(*ours, strict=True))), Spent(*map(min, zip(*bare, strict=True)))


def told(name: str, ours: Spent, bare: Spent, goal: str) -> float:
    """Print a command's cost; the ratio of its processor time to that of the bare imports."""
    ratio = ours.cpu / bare.cpu
    print(f"\n{name}: {ratio:.2f} x the bare imports ({ours.cpu:.2f} s of one core beside {bare.cpu:.2f}; ", end="")
    print(f"{ours.wall:.2f} s in all beside {bare.wall:.2f}; goal {goal})", end="")
    return ratio


@pytest.mark.parametrize("name", JOBS)
def test_ratios(name: str, tmp_path: Path) -> None:
    compileall.compile_dir(ROOT / "glazecalc", quiet=1)
    words = [word.replace("{tmp}", str(tmp_path)) for word in JOBS[name][0]]
    ratio = told(name, *least(command(*words)), JOBS[name][1])
    if name != "--help":
        print(f"\n  in ms: {where(words)}", end="")
    assert ratio <= MOST.get(name, float("inf"))


def test_a_check_with_a_hundred_tiles(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Invented tiles of three glazes."""
    studio = tmp_path / "studio"
    shutil.copytree(ROOT / "recipes", studio)
    for at in range(100):
        name = ("shoal-clear", "brine-crackle", "glasswort")[at % 3]
        result = ("sound", "crazed", "sound")[at % 3]
        assert main(["record", "tile", name, "--result", result, "--studio", str(studio)]) == 0
    capsys.readouterr()
    ours, bare = least(command("check", studio / "shoal-clear.txt"), studio)
    with capsys.disabled():
        told("check with 100 tiles", ours, bare, "1.2 s")
        print(f"\n  in ms: {where(['check', str(studio / 'shoal-clear.txt')])}", end="")
