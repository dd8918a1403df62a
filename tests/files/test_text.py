"""Bytes become text whatever their encoding, and what is no text is refused at once."""

from __future__ import annotations

import io
import os
from pathlib import Path

import pytest

from glazecalc.files.card import read_recipe
from glazecalc.files.problems import MOST_SHOWN, Findings, quote
from glazecalc.files.text import read_text

TEXT = "name: \N{LATIN SMALL LETTER E WITH ACUTE}mail\nWhiting 100\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-32"])
def test_marked_encodings_are_read_without_a_remark(encoding: str, tmp_path: Path) -> None:
    path = tmp_path / "card.txt"
    path.write_bytes(TEXT.encode(encoding))
    found = Findings(str(path))
    assert read_text(path, found) == TEXT
    assert found.problems == ()


@pytest.mark.parametrize("encoding", ["cp1252", "latin-1", "utf-16-le", "utf-16-be"])
def test_other_encodings_are_guessed_with_a_remark(encoding: str, tmp_path: Path) -> None:
    path = tmp_path / "card.txt"
    path.write_bytes(TEXT.encode(encoding))
    found = Findings(str(path))
    assert read_text(path, found) == TEXT
    assert [p.code for p in found.problems] == ["encoding-assumed"]


def test_line_of_the_first_odd_byte_is_named(tmp_path: Path) -> None:
    path = tmp_path / "card.txt"
    path.write_bytes(b"name: x\nWhiting 50\nK\xe9 50\n")
    found = Findings(str(path))
    read_text(path, found)
    assert found.problems[0].line == 3


def test_missing_file_is_answered_with_its_neighbour(tmp_path: Path) -> None:
    (tmp_path / "shoal-clear.txt").write_text("x")
    for typed in ("shoal-claer.txt", "shoal-clear"):
        found = Findings(None)
        assert read_text(tmp_path / typed, found) is None
        assert (found.problems[0].code, found.problems[0].hint) == ("no-such-file", "did you mean shoal-clear.txt?")


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root, and a system without one, may read everything"
)
def test_file_that_may_not_be_read(tmp_path: Path) -> None:
    path = tmp_path / "card.txt"
    path.write_text("x")
    path.chmod(0)
    found = Findings(None)
    assert read_text(path, found) is None
    assert found.problems[0].code == "not-allowed"


def test_dash_reads_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"name: x\nWhiting 100\n")))
    recipe, problems = read_recipe("-")
    assert recipe is not None and recipe.file == "stdin" and problems == ()


def test_ceiling_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "card.txt"
    path.write_bytes(b"x" * 101)
    found = Findings(None)
    assert read_text(path, found, ceiling=100) is None
    assert found.problems[0].code == "file-too-large"
    assert read_text(path, Findings(None), ceiling=101) == "x" * 101


def test_a_flood_of_problems_is_cut_and_errors_are_kept() -> None:
    found = Findings("card")
    for line in range(1, 400):
        found.remark("trace", f"remark {line}", "", line)
    found.error("not-text", "the error", "", 400)
    problems = found.problems
    assert len(problems) == MOST_SHOWN + 1
    assert "the error" in [p.message for p in problems]
    assert problems[-1].code == "more-problems" and "300" in problems[-1].message


def test_quoted_text_cannot_upset_a_terminal() -> None:
    assert quote("\x1b[31mred\n") == "'?[31mred'"
    assert len(quote("x" * 500)) == 62


@pytest.mark.parametrize(("signs", "read"), [(999_000, True), (1_050_000, False), (1_900_000, False)])
def test_a_card_has_a_megabyte_at_most(signs: int, read: bool, tmp_path: Path) -> None:
    line = "# a remark\n"
    (tmp_path / "x.txt").write_text(line * (signs // len(line)), encoding="utf-8")
    found = Findings("x.txt")
    assert (read_text(tmp_path / "x.txt", found) is not None) == read == (not found.has_errors)
