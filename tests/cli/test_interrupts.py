"""Ctrl-C at any moment of a command, from the first: no traceback, exit code 130."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

import pytest

from tests.cli.conftest import DEMO

if not hasattr(signal, "SIGINT") or os.name != "posix":
    pytest.skip("signals are sent as POSIX has them", allow_module_level=True)

PROGRAM = """
import sys
import glazecalc.__main__ as program
sys.argv = ["glazecalc", "adjust", sys.argv[1], "--body", "Harbour stoneware"]
print("up", flush=True)
program.run()
"""


@pytest.mark.parametrize("after_s", [0.0, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, 0.8])
def test_an_interrupt_says_nothing(after_s: float) -> None:
    child = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, str(DEMO / "brine-crackle.txt")],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )  # fmt: skip
    assert child.stdout is not None
    assert child.stdout.readline() == "up\n"
    time.sleep(after_s)
    child.send_signal(signal.SIGINT)
    out, err = child.communicate(timeout=30)
    assert "Traceback" not in err + out
    assert "fault of glazecalc" not in err + out
    assert child.returncode == 130 or (after_s >= 0.3 and child.returncode in (0, 1, 3))


def test_an_ignored_interrupt_stays_ignored() -> None:
    # A shell starts background jobs with SIGINT ignored (POSIX.1-2017, XCU 2.11).
    child = subprocess.Popen(
        [sys.executable, "-m", "glazecalc", "formula", str(DEMO / "shoal-clear.txt")],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_IGN),
    )  # fmt: skip
    time.sleep(0.2)
    child.send_signal(signal.SIGINT)
    child.communicate(timeout=30)
    assert child.returncode == 0
