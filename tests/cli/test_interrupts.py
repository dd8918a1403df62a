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
import signal, sys
import glazecalc.__main__ as program
sys.argv = ["glazecalc", "adjust", sys.argv[1], "--body", "Harbour stoneware"]
getsignal = signal.getsignal
def begun(number):
    print("up", flush=True)
    return getsignal(number)
signal.getsignal = begun
program.run()
"""


def interrupted(after_s: float) -> tuple[int, str]:
    """Exit code and all output of a command that is interrupted so long after it began."""
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
    return child.returncode, out + err


@pytest.mark.parametrize("after_s", [0.0, 0.005, 0.01, 0.02, 0.03, 0.04])
def test_an_interrupt_while_loading_says_nothing(after_s: float) -> None:
    code, said = interrupted(after_s)
    assert code == 130
    assert said == "" or "Traceback" not in said


@pytest.mark.parametrize("after_s", [0.3, 0.5, 0.8])
def test_an_interrupt_at_work_is_no_fault(after_s: float) -> None:
    """Python itself may write of an interrupt in the midst of its own clearing up; the program does not."""
    code, said = interrupted(after_s)
    assert code in (130, 0, 1, 3)
    assert "fault of glazecalc" not in said


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
