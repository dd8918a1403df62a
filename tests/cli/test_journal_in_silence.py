"""The journal takes nothing in silence: a note is cleared, an import is judged as what is typed, a full disk is said."""

from __future__ import annotations

import csv
import errno
import json
import os
import sqlite3
import threading
from pathlib import Path
from typing import Any

import pytest

from glazecalc.api import start_studio
from glazecalc.cli.main import main
from glazecalc.files.journal import Journal
from glazecalc.files.journal_schema import _problem, _read_version
from glazecalc.values.answers import ProblemsError
from glazecalc.values.records import TileRecord


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    start_studio(tmp_path / "studio")
    return tmp_path / "studio"


def said(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str]:
    code = main([str(word) for word in words])
    told = capsys.readouterr()
    return int(code), told.out + told.err


def entries(capsys: pytest.CaptureFixture[str], folder: Path) -> list[dict[str, Any]]:
    return list(json.loads(said(capsys, "journal", "--studio", folder, "--json")[1])["results"][0]["entries"])


@pytest.mark.parametrize("field", ["note", "lot", "place", "bend", "photo"])
def test_an_empty_text_clears_what_stood_there(field: str, studio: Path, capsys: pytest.CaptureFixture[str]) -> None:
    there = ("--studio", studio)
    assert said(capsys, "record", "tile", "--glaze", "Jar", f"--{field}", "old words", "--coats", 2, *there)[0] == 0
    assert said(capsys, "record", "tile", "--id", "AAA", f"--{field}", "", *there)[0] == 0
    with Journal(studio) as journal:
        (tile,) = journal.tiles()
        assert (getattr(tile, field), tile.coats, tile.glaze) == ("", 2, "Jar")
        assert getattr(journal.history("tile", "AAA")[0].record, field) == "old words"


def test_an_empty_note_of_a_firing_and_a_batch_is_cleared(studio: Path, capsys: pytest.CaptureFixture[str]) -> None:
    there = ("--studio", studio)
    said(capsys, "record", "firing", "--kiln", "Shed kiln", "--hours", 8, "--note", "rain", *there)
    said(
        capsys, "record", "batch", "--glaze", "Jar", "--dry", "500g", "--note", "thick", "--container", "bucket", *there
    )
    assert said(capsys, "record", "firing", "--id", "F1", "--note", "", *there)[0] == 0
    assert said(capsys, "record", "batch", "--id", "B1", "--note", "", "--container", "", *there)[0] == 0
    with Journal(studio) as journal:
        assert journal.firings()[0].note == "" and journal.firings()[0].hours == 8
        batch = journal.current("batch")[0].record
        assert (batch.note, batch.container, batch.dry_g) == ("", "", 500)


def test_a_firing_of_which_only_emptiness_is_told_is_not_recorded(
    studio: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said(capsys, "record", "firing", "--kiln", "Shed kiln", "--note", "", "--studio", studio)[0] == 2


def test_a_correction_is_judged_with_what_it_leaves(studio: Path, capsys: pytest.CaptureFixture[str]) -> None:
    there = ("--studio", studio)
    said(capsys, "record", "batch", "--glaze", "Jar", "--dry", "500g", *there)
    code, told = said(capsys, "record", "batch", "--id", "B1", "--weighed", "Silica=9000g", *there)
    assert code == 2 and "more than the whole batch" in told
    with Journal(studio) as journal:
        assert len(journal.history("batch", "B1")) == 1


HOSTILE = [
    ("firing", {"cones": '[{"cone":"6","bend":"down"},{"cone":"6","bend":"stands"}]'}, "cannot be both"),
    ("firing", {"date": "2999-01-01"}, "in the future"),
    ("firing", {"date": "2026-13-99"}, "not a date"),
    ("firing", {"cones": '[{"cone":"6","bend":"down"}]', "peak_degC": "300.0"}, "300 \N{DEGREE SIGN}C"),
    ("firing", {"hours": "-3"}, "hours"),
    ("batch", {"dry_g": "500.0", "weighed": '[["Silica", 9000.0]]'}, "more than the whole batch"),
    ("tile", {"after_days": "-3"}, "days"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "cells", "why"), HOSTILE)
def test_an_import_is_judged_as_what_is_typed(
    kind: str, cells: dict[str, str], why: str, studio: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    there = ("--studio", studio)
    said(capsys, "record", "tile", "--glaze", "Jar", *there)
    said(capsys, "record", "firing", "--kiln", "Shed kiln", "--note", "x", *there)
    said(capsys, "record", "batch", "--glaze", "Jar", "--note", "x", *there)
    saved, new = tmp_path / "saved.csv", tmp_path / "new"
    assert said(capsys, "journal", "--export", saved, *there)[0] == 0
    with saved.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    for row in rows:
        row.update(cells if row["kind"] == kind else {})
    with saved.open("w", encoding="utf-8", newline="") as stream:
        table = csv.DictWriter(stream, list(rows[0]))
        table.writeheader()
        table.writerows(rows)
    new.mkdir()
    code, told = said(capsys, "journal", "--import", saved, "--studio", new)
    assert code == 2 and why in told, told
    assert entries(capsys, new) == []


def test_a_form_since_corrected_may_be_taken_in(
    studio: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An export of a journal that once held a contradiction, and holds it no more, goes back in."""
    with Journal(studio) as journal:
        journal.record(TileRecord(glaze="Jar", date="2999-01-01"))
        journal.record(TileRecord(glaze="Other", date="2999-01-01"))
        journal.correct("tile", "AAA", date="2026-01-01")
        journal.withdraw("tile", "AAC")
    saved = tmp_path / "saved.csv"
    said(capsys, "journal", "--export", saved, "--studio", studio)
    (tmp_path / "new").mkdir()
    code, told = said(capsys, "journal", "--import", saved, "--studio", tmp_path / "new")
    assert code == 0 and "Took in 4 rows" in told


FULL = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_full_disk_is_said_where_a_file_is_written(
    studio: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(fd: int) -> None:
        raise FULL

    monkeypatch.setattr(os, "fsync", refuse)
    out = tmp_path / "page.html"
    code, told = said(capsys, "report", studio / "shoal-clear.txt", "-o", out)
    assert code == 2 and "the disk is full" in told and "free some space" in told
    assert not out.exists() and list(tmp_path.glob(".glazecalc-*")) == []


def test_a_full_disk_is_said_where_an_entry_is_written(studio: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """SQLite's own answer, here by a file that may not grow (sqlite.org, PRAGMA max_page_count)."""
    with Journal(studio) as journal:
        journal._db.execute("PRAGMA max_page_count = 1")
        with pytest.raises(ProblemsError) as stop:
            for _ in range(200):
                journal.record(TileRecord(glaze="Jar", note="x" * 1000))
    assert stop.value.problems[0].code == "disk-full"


@pytest.mark.parametrize(
    "answer", ["unable to open database file", "disk I/O error", "attempt to write a readonly database"]
)
def test_a_full_disk_is_said_whatever_the_journal_answers(
    answer: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import shutil

    assert _problem(sqlite3.OperationalError(answer), tmp_path / "journal.sqlite").code != "disk-full"
    monkeypatch.setattr(shutil, "disk_usage", lambda place: type("Usage", (), {"free": 0}))
    assert _problem(sqlite3.OperationalError(answer), tmp_path / "journal.sqlite").code == "disk-full"


def test_what_is_acknowledged_hangs_on_no_log(studio: Path) -> None:
    """SQLite's write-ahead log (sqlite.org, Write-Ahead Logging, 3.1): what is in it alone is lost with it."""
    with Journal(studio) as journal:
        for _ in range(3):
            journal.record(TileRecord(glaze="Jar"))
            log = studio / "journal.sqlite-wal"
            assert not log.exists() or log.stat().st_size == 0
        (studio / "copy").mkdir()
        (studio / "copy" / "journal.sqlite").write_bytes((studio / "journal.sqlite").read_bytes())
    with Journal(studio / "copy") as copy:
        assert len(copy.tiles()) == 3


@pytest.mark.parametrize("which", ["SELECT min(seq) FROM entries", "SELECT max(seq) FROM entries"])
def test_a_row_that_is_gone_is_told(which: str, studio: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Journal(studio) as journal:
        for _ in range(3):
            journal.record(TileRecord(glaze="Jar"))
    db = sqlite3.connect(studio / "journal.sqlite")
    db.executescript(f"DROP TRIGGER no_delete; DELETE FROM entries WHERE seq = ({which})")
    db.close()
    code, told = said(capsys, "journal", "--studio", studio)
    assert code == 2 and "1 entries that were written down are missing" in told
    code, told = said(capsys, "journal", "--export", studio / "saved.csv", "--studio", studio)
    assert code == 0 and "missing from the journal" in told and "Saved 2 rows" in told


class Interrupted:
    """A connection in the middle of whose look at a new file another terminal makes the journal."""

    def __init__(self, db: sqlite3.Connection, other: threading.Thread) -> None:
        self._db, self._other = db, other

    @property
    def in_transaction(self) -> bool:
        return self._db.in_transaction

    def execute(self, words: str) -> sqlite3.Cursor:
        if words == "PRAGMA application_id" and not self._other.ident:
            found = self._db.execute(words)
            self._other.start()
            self._other.join(0.5)
            return found
        return self._db.execute(words)


def test_two_terminals_may_make_the_journal_at_once(tmp_path: Path) -> None:
    def make() -> None:
        with Journal(tmp_path) as journal:
            journal.record(TileRecord(glaze="Jar"))

    path, other = tmp_path / "journal.sqlite", threading.Thread(target=make)
    db = sqlite3.connect(path, isolation_level=None)
    try:
        assert _read_version(Interrupted(db, other), path) == 0  # type: ignore[arg-type]
        other.join(20)
        assert _read_version(db, path) > 0
    finally:
        db.close()
    with Journal(tmp_path) as journal:
        assert len(journal.tiles()) == 1
