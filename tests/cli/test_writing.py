"""Where outputs may be written: whole files, nothing replaced unasked, links never followed unasked."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from glazecalc.files.writing import write_by, write_file
from glazecalc.values.answers import ProblemsError


def code_of(raised: pytest.ExceptionInfo[ProblemsError]) -> str:
    return raised.value.problems[0].code


def test_a_file_is_written_with_its_folder_and_never_replaced_unasked(tmp_path: Path) -> None:
    place = tmp_path / "new folder" / "page \N{GREEK SMALL LETTER ALPHA}.html"
    write_file(place, "one", False)
    with pytest.raises(ProblemsError) as raised:
        write_file(place, "two", False)
    assert (code_of(raised), place.read_text()) == ("exists", "one")
    place.chmod(0o640)
    write_file(place, "two", True)
    assert (place.read_text(), place.stat().st_mode & 0o777) == ("two", 0o640)
    assert os.listdir(place.parent) == [place.name]


def test_a_link_is_something_that_stands_there(tmp_path: Path) -> None:
    link, target = tmp_path / "link.html", tmp_path / "target.html"
    link.symlink_to(target)
    with pytest.raises(ProblemsError) as raised:
        write_file(link, "one", False)
    assert code_of(raised) == "exists"
    assert "leads nowhere" in raised.value.problems[0].message
    assert not target.exists()
    write_file(link, "one", True)
    assert (link.is_symlink(), target.read_text()) == (True, "one")


def test_a_write_that_fails_leaves_what_was_there(tmp_path: Path) -> None:
    def fail(place: Path) -> None:
        place.write_text("half")
        raise OSError(28, "No space left on device")

    (tmp_path / "a").write_text("old")
    with pytest.raises(ProblemsError) as raised:
        write_by(tmp_path / "a", fail, True)
    assert (code_of(raised), (tmp_path / "a").read_text(), os.listdir(tmp_path)) == ("disk-full", "old", ["a"])


@pytest.mark.parametrize(
    ("place", "code"),
    [("file/below", "not-a-folder"), ("x" * 300, "cannot-write"), ("nul\0byte", "cannot-write"), (".", "is-a-folder")],
)
def test_places_that_cannot_be(tmp_path: Path, place: str, code: str) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(ProblemsError) as raised:
        write_file(tmp_path / place, "x", False)
    assert code_of(raised) == code


def test_what_an_earlier_run_left_half_written_is_in_nobodys_way(tmp_path: Path) -> None:
    victim, left = tmp_path / "victim", tmp_path / f".glazecalc-{os.getpid()}.part"
    victim.write_text("mine")
    left.symlink_to(victim)
    write_file(tmp_path / "page.html", "new", False)
    assert (victim.read_text(), (tmp_path / "page.html").read_text()) == ("mine", "new")
    assert sorted(os.listdir(tmp_path)) == [left.name, "page.html", "victim"], "a link of another name is left alone"
    assert not (tmp_path / "page.html").is_symlink()


def test_a_device_is_written_as_it_is() -> None:
    write_file(Path(os.devnull), "x", True)
    assert not Path(os.devnull).is_file()
