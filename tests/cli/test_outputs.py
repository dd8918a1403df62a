"""What commands write: nothing replaced unasked, no link followed unasked, no two pages in one file, limits said."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from glazecalc import __version__
from glazecalc.cli.main import IN_SHORT
from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
CARD = DEMO / "shoal-clear.txt"


@pytest.fixture
def table(tmp_path: Path) -> Path:
    path = tmp_path / "glasses.csv"
    path.write_text("id,SiO2,CaO,Na2O\na,70,15,15\n")
    return path


def writers(table: Path, out: Path) -> dict[str, tuple[str | Path, ...]]:
    return {
        "report": ("report", CARD, "-o", out),
        "labels": ("labels", CARD, "-o", out),
        "screen": ("screen", table, "-o", out),
        "swap": ("swap", CARD, "Whiting", "Wollastonite", "-o", out),
        "journal": ("journal", "--studio", table.parent, "--export", out),
    }


@pytest.mark.parametrize("command", ["report", "labels", "screen", "swap", "journal"])
def test_a_link_that_leads_nowhere_is_not_written_through_unasked(run: Run, table: Path, command: str) -> None:
    shutil.copy(DEMO / "studio.toml", table.parent)
    assert run("record", "tile", "--glaze", "jar", "--studio", table.parent).code == 0
    link, target = table.parent / "out", table.parent / "target"
    link.symlink_to(target)
    words = writers(table, link)[command]
    got = run(*words)
    assert (got.code, "[exists]" in got.err, "leads nowhere" in got.err) == (2, True, True)
    assert not target.exists()
    assert run(*words, "--force").code == 0
    assert link.is_symlink() and target.stat().st_size > 0
    assert "[exists]" in run(*words).err
    assert not [name for name in os.listdir(table.parent) if name.endswith(".part")]


@pytest.mark.parametrize("command", ["report", "labels", "screen", "swap", "journal"])
@pytest.mark.parametrize("way", ["by name", "by link", "by a second name", "its log", "before there is one"])
def test_the_journal_is_never_replaced(run: Run, table: Path, command: str, way: str) -> None:
    shutil.copy(DEMO / "studio.toml", table.parent)
    journal = table.parent / "journal.sqlite"
    assert run("record", "tile", "--glaze", "jar", "--studio", table.parent).code == 0
    out = journal
    if way == "by link":
        out = table.parent / "out.csv"
        out.symlink_to(journal)
    elif way == "by a second name":
        out = table.parent / "out.csv"
        os.link(journal, out)
    elif way == "its log":
        out = table.parent / "journal.sqlite-wal"
    elif way == "before there is one":
        (table.parent / "new").mkdir()
        out = table.parent / "new" / "journal.sqlite"
    before = journal.read_bytes()
    got = run(*writers(table, out)[command], "--force")
    assert (got.code, "[journal-kept]" in got.err) == (2, True)
    assert journal.read_bytes() == before
    assert "jar" in run("journal", "--studio", table.parent).out
    assert not (table.parent / "new" / "journal.sqlite").exists()


def test_a_studio_is_not_started_over_links(run: Run, tmp_path: Path) -> None:
    (tmp_path / "studio.toml").symlink_to(tmp_path / "elsewhere.toml")
    got = run("start", tmp_path)
    assert (got.code, "[exists]" in got.err) == (2, True)
    (tmp_path / "folder").symlink_to(tmp_path / "nowhere")
    got = run("start", tmp_path / "folder")
    assert (got.code, "leads nowhere" in got.err) == (2, True)
    assert not (tmp_path / "elsewhere.toml").exists() and not (tmp_path / "nowhere").exists()


def test_materials_are_not_added_through_a_link_that_leads_nowhere(run: Run, tmp_path: Path) -> None:
    (tmp_path / "materials.csv").symlink_to(tmp_path / "elsewhere.csv")
    sheet = tmp_path / "sheet.csv"
    sheet.write_text("name,Pit clay\nSiO2,55\nAl2O3,30\nFe2O3,2\nLOI,13\n")
    got = run("materials", "--add", sheet, "--studio", tmp_path)
    assert (got.code, "leads nowhere" in got.err) == (2, True)
    assert not (tmp_path / "elsewhere.csv").exists()


def test_cards_of_one_name_get_pages_of_their_own(run: Run, tmp_path: Path) -> None:
    words: list[Path] = []
    for folder, name in (("a", "Shoal clear"), ("b", "Shoal clear-3"), ("c", "Shoal clear"), ("d", "Index")):
        (tmp_path / folder).mkdir()
        card = tmp_path / folder / "glaze.txt"
        card.write_text(CARD.read_text().replace("Shoal clear", name, 1))
        words.append(card)
    got = run("report", *words, "--studio", DEMO, "-o", tmp_path / "pages", "--force", "--json")
    files = [Path(file) for result in got.json["results"] for file in result["files"]]
    assert len(set(files)) == 4 and all(file.is_file() for file in files)
    assert "index.html" not in {file.name for file in files}


def test_labels_have_a_limit(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "labels.html"
    for ids in (",".join(f"A{i}" for i in range(5000)), "A" * 100_000):
        got = run("labels", CARD, "--kind", "tile", "--ids", ids, "-o", out)
        assert (got.code, "[label-count]" in got.err, len(got.err) < 400) == (2, True, True)
    got = run("labels", *[CARD] * 3, "--copies", "1000", "-o", out)
    assert (got.code, "[label-count]" in got.err) == (2, True)
    assert not out.exists()


def test_one_label_is_no_labels(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "labels.html"
    assert run("labels", CARD, "-o", out).out == f"Wrote {out} with 1 label\n"
    assert run("labels", CARD, "--copies", "2", "-o", out, "--force").out == f"Wrote {out} with 2 labels\n"


@pytest.mark.parametrize("words", [("--version", "--json"), ("--json", "--version")])
def test_the_version_as_json(run: Run, words: tuple[str, str]) -> None:
    got = run(*words)
    assert got.code == 0
    assert (got.json["command"], got.json["answer"]) == ("version", "done")
    assert got.json["results"] == [{"name": "glazecalc", "version": __version__}]


@pytest.mark.parametrize("place", ["/dev/zero", "/dev/null", "pipe", "huge", "folder", "missing", "latin"])
def test_a_journal_is_taken_in_from_ordinary_files_only(run: Run, tmp_path: Path, place: str) -> None:
    path = Path(place) if place.startswith("/") else tmp_path / place
    if place == "pipe":
        os.mkfifo(path)
    elif place == "huge":
        path.touch()
        os.truncate(path, 10**11)
    elif place == "folder":
        path.mkdir()
    elif place == "latin":
        path.write_bytes(b"kind,id,revision,recorded_at,withdrawn\n\xe9")
    got = run("journal", "--import", path, "--studio", tmp_path, "--json")
    code = {"huge": "file-too-large", "folder": "is-a-folder", "missing": "no-such-file", "latin": "damaged-text"}
    assert (got.code, got.json["problems"][0]["code"]) == (2, code.get(place, "not-a-file"))
    assert not (tmp_path / "journal.sqlite").exists()


def test_a_damaged_journal_is_said_and_what_can_be_read_is_saved(run: Run, tmp_path: Path) -> None:
    import sqlite3

    shutil.copy(DEMO / "studio.toml", tmp_path)
    for glaze in ("first", "second"):
        run("record", "tile", "--glaze", glaze, "--studio", tmp_path)
    db = sqlite3.connect(tmp_path / "journal.sqlite")
    db.execute("DROP TRIGGER no_update")
    db.execute("UPDATE entries SET record = cast(x'7bff7d' as text) WHERE seq = 1")
    db.commit(), db.close()
    got = run("journal", "--studio", tmp_path)
    assert (got.code, "[journal-damaged]" in got.err, "--export" in got.err) == (2, True, True)
    got = run("journal", "--studio", tmp_path, "--export", tmp_path / "saved.csv", "--json")
    assert (got.code, [p["code"] for p in got.json["problems"]]) == (0, ["journal-damaged"])
    (tmp_path / "new").mkdir()
    assert run("journal", "--import", tmp_path / "saved.csv", "--studio", tmp_path / "new").code == 0
    assert "second" in run("journal", "--studio", tmp_path / "new").out


NAMED = [[name] for name in IN_SHORT] + [["record", kind] for kind in ("tile", "firing", "batch", "reading")]


@pytest.mark.parametrize("words", NAMED, ids=" ".join)
def test_help_names_arguments_as_they_are_typed(run: Run, words: list[str]) -> None:
    """No type of Python's beside a name, no brace around it and no default said twice: a potter reads this."""
    told = run(*words, "--help").out
    assert told.startswith("Usage: ") and "{" not in told.split("\n\n")[0]
    assert not re.search(r"<(list\[)?(str|int|float|path)\b|\[default: [^]]*\]\s+\[default", told)
