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


def test_from_nothing_to_a_first_answer_without_a_line_of_toml(monkeypatch, tmp_path, capsys) -> None:
    """A new potter answers the questions, gets a glaze to begin with, keeps it, checks it, weighs it, writes a tile
    down: no file is opened by hand, and every command says what to do next."""
    mine = str(tmp_path / "mine")
    typed = ["Grey rock", "3", "5-6", "6", "My kiln", "120", "15", "1800", "8", "2", "20", "1", "0.1", "500",
             "silica, kaolin, whiting, talc, dolomite, potash feldspar, Frit, high-calcium borosilicate"]  # fmt: skip
    code, told = run(monkeypatch, ["start", mine], "\n".join(typed) + "\n")
    assert code == 0 and f"glazecalc first --studio {mine}" in " ".join(told.split())
    monkeypatch.undo()
    card = f"{mine}/first-glaze.txt"
    assert main(["first", "--studio", mine, "-o", card]) in (0, 3), "a bag's word alone may leave the fit open"
    first = capsys.readouterr().out
    assert "Grey rock" in first and "My kiln" in first and "Four tiles of it" in first
    assert "Not on the shelf" not in first
    for words in (["check", card], ["weigh", card, "--dry", "100g"], ["kiln", "--studio", mine]):
        assert main(words) in (0, 3), words
    assert main(["record", "tile", card, "--cone", "6", "--result", "sound"]) == 0
    assert "demo" not in capsys.readouterr().err


def test_one_thing_is_changed_by_asking_again(monkeypatch, tmp_path) -> None:
    mine = tmp_path / "mine"
    run(monkeypatch, ["start", str(mine)], "Grey rock\n3\n5-6\n6\n" + "\n" * 11)
    before = tomllib.loads((mine / "studio.toml").read_text())
    code, told = run(monkeypatch, ["start", str(mine)], "1\nWhite rock\n4\n\n\n")
    after = tomllib.loads((mine / "studio.toml").read_text())
    assert code == 0 and "What is to change?" in told
    assert (after["body"][0]["name"], after["body"][0]["class"]) == ("White rock", "porcelain")
    assert after["body"][0]["cone_low"] == before["body"][0]["cone_low"], "what is not known now stays as it was"
    assert main(["start", str(mine), "--undo"]) == 0
    assert tomllib.loads((mine / "studio.toml").read_text()) == before
