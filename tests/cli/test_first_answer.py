"""From an empty folder to the first answer at a real terminal, by a potter who knows little: counted and timed."""

from __future__ import annotations

import os
import re
import select
import sys
import time
from pathlib import Path

import pytest

pty = pytest.importorskip("pty", reason="a pseudo-terminal is of Unix")

SECONDS_A_QUESTION = 25
"""What a new potter takes to read a question, look and answer (judgement); `I don't know` takes less."""
MOST_MINUTES = 10
KNOWN = {"called": "Grey rock", "What sort of clay": "3"}
"""All that this potter knows: the name on the bag, and that it is stoneware. To all else: I don't know."""
PROMPT = re.compile(rb"> $")


class Terminal:
    """A program at a pseudo-terminal: what it shows, and what is typed."""

    def __init__(self, words: list[str], folder: Path) -> None:
        self.shown = b""
        self.prompts = 0
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            os.chdir(folder)
            os.environ["TERM"] = "dumb"
            os.execv(sys.executable, [sys.executable, "-m", "glazecalc", *words])

    def run(self, answer: dict[str, str]) -> int:
        """Answer every prompt; returns the exit code."""
        asked = b""
        while True:
            ready, _, _ = select.select([self.fd], [], [], 60)
            assert ready, f"nothing for a minute: {self.shown[-300:]!r}"
            try:
                part = os.read(self.fd, 4096)
            except OSError:
                part = b""
            if not part:
                return os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])
            self.shown += part
            asked += part
            if PROMPT.search(asked):
                self.prompts += 1
                told = next((said for word, said in answer.items() if word.encode() in asked), "I don't know")
                os.write(self.fd, told.encode() + b"\n")
                asked = b""


def test_a_potter_who_knows_little_has_a_first_answer_in_ten_minutes(tmp_path: Path) -> None:
    began, prompts, seen = time.monotonic(), 0, b""
    for words in (["start", "mine"], ["first", "--studio", "mine", "-o", "mine/first-glaze.txt"],
                  ["check", "mine/first-glaze.txt"]):  # fmt: skip
        terminal = Terminal(words, tmp_path)
        code = terminal.run(KNOWN)
        assert code in (0, 1, 3), terminal.shown.decode()
        prompts += terminal.prompts
        seen += terminal.shown
    seconds = time.monotonic() - began
    told = " ".join(seen.decode().split())
    assert "Grey rock" in told and "Begin with" in told
    assert re.search(r"First \w[\w ]* on Grey rock", told), "the check answers about the potter's own clay"
    assert "toml" not in told.replace("Wrote mine/studio.toml.", "").replace("mine/studio.toml: note:", "")
    assert 10 <= prompts <= 16
    print(f"{prompts} prompts, {seconds:.1f} s of the machine")
    assert (prompts * SECONDS_A_QUESTION + seconds) / 60 < MOST_MINUTES


def test_what_was_answered_before_ctrl_d_is_kept(tmp_path: Path) -> None:
    terminal = Terminal(["start", "mine"], tmp_path)
    answers = iter([b"Grey rock\n", b"3\n", b"\x04"])
    shown = b""
    while True:
        try:
            part = os.read(terminal.fd, 4096)
        except OSError:
            break
        if not part:
            break
        shown += part
        if PROMPT.search(shown):
            os.write(terminal.fd, next(answers))
            shown = b""
    os.waitpid(terminal.pid, 0)
    assert 'name = "Grey rock"' in (tmp_path / "mine" / "studio.toml").read_text(encoding="utf-8")
