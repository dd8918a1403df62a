"""Start-up budgets, measured side by side with the imports they need. Run: pytest tests/bench -o addopts= -s"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
YARDSTICK = [sys.executable, "-c", "import typer, pydantic, numpy"]


def best_of(words: list[str], times: int = 9) -> float:
    """Shortest wall time of a command [s]: the least disturbed run."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        subprocess.run(words, cwd=ROOT, capture_output=True, check=False)
        found.append(time.perf_counter() - start)
    return min(found)


def test_start_up_ratios() -> None:
    """`--help` within 1.5 times and `check` within 2.5 times the bare imports."""
    bare = best_of(YARDSTICK)
    helps = best_of([sys.executable, "-m", "glazecalc", "--help"])
    checks = best_of([sys.executable, "-m", "glazecalc", "check", "recipes/shoal-clear.txt"])
    print(f"\nimports {bare * 1000:.0f} ms; --help {helps / bare:.2f} x; check {checks / bare:.2f} x")
    assert helps <= 1.5 * bare
    assert checks <= 2.5 * bare
