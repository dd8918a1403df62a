"""``start`` at a terminal asks; elsewhere it says what it made."""

from __future__ import annotations

import io
import sys
import tomllib

import pytest

from glazecalc.cli.main import main


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def run(monkeypatch: pytest.MonkeyPatch, words: list[str], typed: str) -> tuple[int, str]:
    out = Terminal()
    monkeypatch.setattr(sys, "stdin", Terminal(typed))
    monkeypatch.setattr(sys, "stdout", out)
    return main(words), out.getvalue()


def test_a_new_potter_answers_and_one_answer_is_asked_again(monkeypatch, tmp_path) -> None:
    typed = ["Grey rock", "3", "hot", "5-6", "6", "", "120", "15", "1800", "8", "2", "20", "1", "0.1", "", "silica"]
    code, told = run(monkeypatch, ["start", str(tmp_path / "mine")], "\n".join(typed) + "\n")
    assert code == 0 and "'hot' is not a cone" in told and "Not known yet" in told
    studio = tomllib.loads((tmp_path / "mine" / "studio.toml").read_text())
    assert studio["body"][0]["name"] == "Grey rock" and studio["circuit"][0]["receptacle"] == "5-20R"
    code, told = run(monkeypatch, ["start", str(tmp_path / "mine")], "4\n0.01\n200\n")
    assert code == 0 and tomllib.loads((tmp_path / "mine" / "studio.toml").read_text())["scale"]["resolution_g"] == 0.01


def test_without_a_terminal_the_demo_is_made_and_said(capsys, tmp_path) -> None:
    assert main(["start", str(tmp_path / "s")]) == 0
    assert "not-asked" in capsys.readouterr().err
    assert main(["start", str(tmp_path / "d"), "--demo"]) == 0
    assert not capsys.readouterr().err
    assert main(["start", str(tmp_path / "b"), "--bare"]) == 0
    assert not tomllib.loads((tmp_path / "b" / "studio.toml").read_text())
