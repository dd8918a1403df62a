"""Start-up budgets, measured side by side with the imports they need. Run: pytest tests/bench -o addopts= -s"""

from __future__ import annotations

import compileall
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
YARDSTICK = [sys.executable, "-c", "import typer, pydantic, numpy"]


ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
TURNS = 15


def seconds(words: list[str]) -> float:
    """Wall time of a command [s]."""
    start = time.perf_counter()
    subprocess.run(words, cwd=ROOT, env=ENVIRONMENT, capture_output=True, check=False)
    return time.perf_counter() - start


def test_start_up_ratios() -> None:
    """`--help` within 1.5 times and `check` within 2.5 times the bare imports; medians of turns side by side."""
    compileall.compile_dir(ROOT / "glazecalc", quiet=1)
    helps, checks, bare = [], [], []
    for _ in range(TURNS):
        bare.append(seconds(YARDSTICK))
        helps.append(seconds([sys.executable, "-m", "glazecalc", "--help"]) / bare[-1])
        checks.append(seconds([sys.executable, "-m", "glazecalc", "check", "recipes/shoal-clear.txt"]) / bare[-1])
    middle = statistics.median
    print(f"\nimports {middle(bare) * 1000:.0f} ms; --help {middle(helps):.2f} x; check {middle(checks):.2f} x")
    assert middle(helps) <= 1.5
    assert middle(checks) <= 2.5
