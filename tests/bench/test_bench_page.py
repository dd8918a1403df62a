"""How quickly the page answers a check, as it is really served. Run: pytest tests/bench/test_bench_page.py -o addopts= -s"""

from __future__ import annotations

import os
import shutil
import statistics
import time
from pathlib import Path

from tests.page.bench import enter, start

ROOT = Path(__file__).resolve().parents[2]
TURNS = 31
BUDGET_S = 0.3


def test_check_answers_within_its_budget(tmp_path: Path) -> None:
    """The median of checks of a changed recipe, after the first one, is under 300 ms by the clock of the one who waits;
    the whole room comes with it: lines as read, verdict, pictures, batch sheet. On a shared machine that clock counts
    the work of others too, so it is also held to the processor time of the server (proc(5)), with as much again to
    spare for the way there and back."""
    shutil.copytree(ROOT / "recipes", tmp_path / "studio")
    text = (tmp_path / "studio" / "shoal-clear.txt").read_text()
    running, address = start(tmp_path / "studio")
    try:
        with enter(address) as client:
            times, worked = [], []
            for turn in range(TURNS + 1):
                sent = {"text": text.replace("33", f"{33 + turn / 10:g}"), "do": "look"}
                begun, before = time.perf_counter(), processor_s(running.pid)
                answer = client.post("/", data=sent)
                times.append(time.perf_counter() - begun)
                worked.append(processor_s(running.pid) - before)
                assert answer.status_code == 200 and "Batch sheet" in answer.text
    finally:
        running.terminate()
        running.wait(20)
    for clock, first, rest in (("wall", times[0], times[1:]), ("processor", worked[0], worked[1:])):
        print(f"\n{clock}: first {1000 * first:.0f} ms; median {1000 * statistics.median(rest):.0f} ms; "
              f"slowest {1000 * max(rest):.0f} ms")  # fmt: skip
    assert statistics.median(worked[1:]) < BUDGET_S / 2
    if os.getloadavg()[0] < (os.cpu_count() or 1):
        assert statistics.median(times[1:]) < BUDGET_S


def processor_s(pid: int) -> float:
    """Processor time that a process has used [s]."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
