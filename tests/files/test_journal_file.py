"""The journal's file: older, newer, strange, read-only, on a full disk, empty, damaged."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys

import pytest

from glazecalc.files.journal import Journal, id_of
from glazecalc.files.journal_schema import APPLICATION_ID, MIGRATIONS, VERSION
from glazecalc.files.writing import FILE_NAME, journal_exists
from glazecalc.values.answers import ProblemsError
from glazecalc.values.records import TileRecord
from tests.files.samples import FIRING, TILE, code_of


def test_an_older_file_is_brought_up_to_date_and_saved_first(tmp_path):
    path = tmp_path / FILE_NAME
    db = sqlite3.connect(path)
    MIGRATIONS[0](db)
    db.execute(
        "INSERT INTO entries (kind, number, revision, recorded_at, record) VALUES ('firing', 0, 1, 'x', ?)",
        ('{"amps": null, "circuit": "", "cones": [], "date": "", "energy_kWh": null, "hold_h": null, "hours": 8.0, '
         '"kiln": "Shed", "load_kg": null, "note": "", "on_elements": null, "peak_degC": null, "purpose": "", '
         '"reached": null, "readings": [], "schedule": "", "target_cone": "6", "volts": null}',),
    )  # fmt: skip
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.execute("PRAGMA user_version = 1")
    db.commit(), db.close()
    with Journal(tmp_path) as journal:
        assert journal.firings()[0].hours == 8.0
        journal.record(TILE)
    assert (tmp_path / "journal-version-1.sqlite").is_file()
    db = sqlite3.connect(path)
    assert db.execute("PRAGMA user_version").fetchone()[0] == VERSION


def test_a_newer_file_is_refused_untouched(tmp_path):
    Journal(tmp_path).close()
    db = sqlite3.connect(tmp_path / FILE_NAME)
    db.execute(f"PRAGMA user_version = {VERSION + 1}")
    db.commit(), db.close()
    with pytest.raises(ProblemsError) as raised:
        Journal(tmp_path)
    assert code_of(raised) == "journal-newer"


@pytest.mark.parametrize("content", [b"not a database at all" * 200, None])
def test_a_strange_file_is_refused_untouched(tmp_path, content):
    path = tmp_path / FILE_NAME
    if content is None:
        db = sqlite3.connect(path)
        db.execute("CREATE TABLE stamps (x)")
        db.commit(), db.close()
    else:
        path.write_bytes(content)
    before = path.read_bytes()
    with pytest.raises(ProblemsError) as raised:
        Journal(tmp_path)
    assert code_of(raised) in ("not-a-journal", "journal-damaged")
    assert path.read_bytes() == before


def test_a_file_copied_without_its_log_opens(tmp_path):
    (tmp_path / "a").mkdir(), (tmp_path / "b").mkdir()
    with Journal(tmp_path / "a") as journal:
        journal.record(TILE)
    (tmp_path / "b" / FILE_NAME).write_bytes((tmp_path / "a" / FILE_NAME).read_bytes())
    with Journal(tmp_path / "b") as journal:
        assert len(journal.tiles()) == 1
        assert journal.record(TILE).id == "AAC"


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0,
    reason="the superuser, and a system without one, may write anywhere",
)
def test_a_read_only_folder_can_be_read(tmp_path):
    with Journal(tmp_path) as journal:
        journal.record(TILE)
    tmp_path.chmod(stat.S_IRUSR | stat.S_IXUSR)
    (tmp_path / FILE_NAME).chmod(stat.S_IRUSR)
    try:
        with Journal(tmp_path) as journal:
            assert len(journal.tiles()) == 1
            with pytest.raises(ProblemsError) as raised:
                journal.record(TILE)
        assert code_of(raised) == "journal-read-only"
    finally:
        tmp_path.chmod(stat.S_IRWXU)


def test_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(ProblemsError) as raised:
        Journal(tmp_path / "nowhere")
    assert code_of(raised) == "journal-closed"


FILL = """
import resource, signal, sys
from pathlib import Path
from glazecalc.files.journal import Journal
from glazecalc.values.answers import ProblemsError
from glazecalc.values.records import TileRecord
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
journal = Journal(Path(sys.argv[1]))
resource.setrlimit(resource.RLIMIT_FSIZE, (600_000, 600_000))
try:
    while True:
        print(journal.record(TileRecord(note="x" * 2000)).id, flush=True)
except ProblemsError as stop:
    print("stopped", stop.problems[0].code, flush=True)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="this system has no limit on the size of a file")
def test_a_full_disk_loses_nothing_acknowledged(tmp_path):
    # The limit on the size of a file makes the kernel refuse a write as a full disk does.
    script = tmp_path / "fill.py"
    script.write_text(FILL)
    out = subprocess.run([sys.executable, script, tmp_path], capture_output=True, text=True, check=True, timeout=60)
    *ids, last = out.stdout.split("\n")[:-1]
    assert last.split()[1] in ("disk-full", "disk")
    with Journal(tmp_path) as journal:
        assert [t.id for t in journal.tiles()] == ids
        assert len(ids) > 10
        assert journal.record(TILE).id == id_of("tile", len(ids))


def test_a_full_file_is_said_plainly(tmp_path):
    with Journal(tmp_path) as journal:
        pages = journal._db.execute("PRAGMA page_count").fetchone()[0]
        journal._db.execute(f"PRAGMA max_page_count = {pages + 3}")
        ids = []
        with pytest.raises(ProblemsError) as raised:
            while True:
                ids.append(journal.record(TileRecord(note="y" * 1500)).id)
        assert code_of(raised) == "disk-full"
        assert [t.id for t in journal.tiles()] == ids


def test_an_empty_file_is_a_new_journal(tmp_path):
    # A full disk at the very first record leaves a file of no length behind.
    (tmp_path / FILE_NAME).touch()
    assert not journal_exists(tmp_path)
    with Journal(tmp_path) as journal:
        assert journal.record(TILE).id == "AAA"
    assert journal_exists(tmp_path)


DAMAGE = {
    "text that is not UTF-8": "record = cast(x'7bff7d' as text)",
    "half a record": "record = substr(record, 1, 40)",
    "no text at all": "record = x'0001'",
    "a date that is not UTF-8": "recorded_at = cast(x'fffe' as text)",
    "a kind there is not": "kind = 'spoon'",
    "a number that is a word": "number = 'many'",
    "a record that is a number": "record = '7'",
    "brackets nested for ever": "record = replace(hex(zeroblob(50000)), '0', '[')",
}


@pytest.mark.parametrize("what", DAMAGE)
def test_a_damaged_row_is_said_and_the_others_are_saved(tmp_path, what):
    with Journal(tmp_path) as journal:
        journal.record(TILE), journal.record(FIRING), journal.record(TileRecord(glaze="third"))
    db = sqlite3.connect(tmp_path / FILE_NAME)
    db.execute("DROP TRIGGER no_update")
    db.execute("PRAGMA ignore_check_constraints = 1")
    db.execute(f"UPDATE entries SET {DAMAGE[what]} WHERE seq = 2")
    db.commit(), db.close()
    with Journal(tmp_path) as journal:
        with pytest.raises(ProblemsError) as raised:
            journal.all_entries()
        assert code_of(raised) == "journal-damaged"
        assert "--export" in raised.value.problems[0].hint
        entries, problems = journal.readable_entries()
    assert [e.id for e in entries] == ["AAA", "AAC"]
    assert [(p.code, p.is_error) for p in problems] == [("journal-damaged", False)]


def test_a_link_that_leads_nowhere_is_not_written_through(tmp_path):
    (tmp_path / FILE_NAME).symlink_to(tmp_path / "elsewhere.sqlite")
    with pytest.raises(ProblemsError) as raised:
        Journal(tmp_path)
    assert code_of(raised) == "journal-closed"
    assert not (tmp_path / "elsewhere.sqlite").exists()


def test_a_damaged_list_of_tables_is_said(tmp_path):
    with Journal(tmp_path) as journal:
        journal.record(TILE)
        journal._db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    path = tmp_path / FILE_NAME
    path.write_bytes(path.read_bytes().replace(b"sqlite_sequence", b"sqli\x80e_sequence", 1))
    with pytest.raises(ProblemsError) as raised:
        Journal(tmp_path)
    assert code_of(raised) == "journal-damaged"
