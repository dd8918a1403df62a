"""A screened table goes out as the stream can take it, and a journal that cannot be opened stops every command."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO

TABLE = "id,SiO2,CaO\n\u00e9,60,20\n"


def screened(folder: Path, **more: object) -> subprocess.CompletedProcess[bytes]:
    (folder / "t.csv").write_text(TABLE, encoding="utf-8")
    env = os.environ | {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "LC_ALL": "C"}
    command = [sys.executable, "-m", "glazecalc", "screen", "t.csv"]
    return subprocess.run(command, cwd=folder, env=env, stderr=subprocess.PIPE, check=False, **more)  # type: ignore[call-overload,no-any-return]


def test_an_ascii_stream_gets_the_table(tmp_path: Path) -> None:
    found = screened(tmp_path, stdout=subprocess.PIPE)
    assert found.returncode == 0, found.stderr
    assert found.stdout.decode("ascii").count("\n") == 2


@pytest.mark.skipif(os.name == "nt", reason="closed streams are another matter there")
def test_a_closed_stream_takes_nothing(tmp_path: Path) -> None:
    found = screened(tmp_path, preexec_fn=lambda: os.close(1))
    assert found.returncode == 0, found.stderr


@pytest.mark.parametrize("sort", ["folder", "link"])
@pytest.mark.parametrize("words", [("check", "shoal-clear"), ("learn",), ("kiln",), ("journal",)])
def test_a_journal_that_cannot_be_opened_is_said_by_every_command(run, tmp_path: Path, sort: str, words) -> None:
    studio = tmp_path / "studio"
    assert run("start", studio).code == 0
    if sort == "folder":
        (studio / "journal.sqlite").mkdir()
    else:
        (studio / "journal.sqlite").symlink_to(tmp_path / "gone" / "journal.sqlite")
    found = run(*words, "--studio", studio, "--json")
    assert found.code == 2
    assert [p["code"] for p in found.json["problems"]] == ["journal-closed"]


def test_an_amount_beyond_all_weighing_is_no_amount(run, tmp_path: Path) -> None:
    (tmp_path / "h.csv").write_text("id,Silica,Whiting\na,1e308,1e308\n", encoding="utf-8")
    found = run("screen", tmp_path / "h.csv", "--basis", "recipe", "--studio", DEMO)
    assert found.code == 2, "no row could be read"
    assert found.out.splitlines()[1].startswith("a,,,")
