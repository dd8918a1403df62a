"""The journal: nothing acknowledged is lost, nothing written is changed, ids are given once."""

from __future__ import annotations

import csv
import io
import os
import random
import signal
import sqlite3
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glazecalc.keep import FILE_NAME
from glazecalc.keep.csv_form import guarded, read_csv, unguarded, write_csv
from glazecalc.keep.ids import SIGNS, id_of, number_of
from glazecalc.keep.journal import Journal
from glazecalc.keep.schema import APPLICATION_ID, MIGRATIONS, VERSION
from glazecalc.values.problem import ProblemsError
from glazecalc.values.records import (
    BatchRecord,
    FiringRecord,
    FrozenLine,
    FrozenRecipe,
    Reading,
    TileRecord,
    TileResult,
    WitnessCone,
)

RECIPE = FrozenRecipe(
    "Shoal clear", "glaze", "6", (FrozenLine("Whiting", 16.0), FrozenLine("Red iron oxide", 2.0, True)),
    (("SiO2", 0.7), ("CaO", 0.3)),
)  # fmt: skip
TILE = TileRecord(recipe=RECIPE, body="Pale", results=(TileResult.SOUND, TileResult.PINHOLED), thickness_mm=0.3)
FIRING = FiringRecord(
    kiln="Shed", cones=(WitnessCone("5", "down"), WitnessCone("6", "half")), readings=(Reading(1.0, 300.0),), hours=7.5
)
BATCH = BatchRecord(recipe=RECIPE, dry_g=500.0, weighed=(("Whiting", 80.0),), lots=(("Whiting", "A-7"),))


def code_of(raised: pytest.ExceptionInfo[ProblemsError]) -> str:
    return raised.value.problems[0].code


def test_a_record_comes_back_as_written(tmp_path):
    with Journal(tmp_path) as journal:
        written = journal.record(TILE), journal.record(FIRING), journal.record(BATCH)
    with Journal(tmp_path) as journal:
        assert (journal.tiles(), journal.firings(), journal.batches()) == tuple((w,) for w in written)
    assert [w.id for w in written] == ["AAA", "F1", "B1"]


def test_file_is_in_wal_mode_with_its_version(tmp_path):
    Journal(tmp_path).close()
    db = sqlite3.connect(tmp_path / FILE_NAME)
    pragmas = [db.execute(f"PRAGMA {p}").fetchone()[0] for p in ("journal_mode", "user_version", "application_id")]
    assert pragmas == ["wal", VERSION, APPLICATION_ID]


def test_corrections_keep_the_old_row(tmp_path):
    with Journal(tmp_path) as journal:
        tile = journal.record(TILE)
        changed = journal.correct("tile", tile.id.lower(), results=(TileResult.CRAZED_LATER,), after_days=12.0)
        assert journal.tiles() == (changed,)
        history = journal.history("tile", tile.id)
        assert [e.revision for e in history] == [1, 2]
        assert history[0].record == tile
        journal.withdraw("tile", tile.id)
        assert journal.tiles() == ()
        assert len(journal.history("tile", tile.id)) == 3
        assert journal.record(TILE).id == "AAC"
        with pytest.raises(ProblemsError) as raised:
            journal.correct("tile", tile.id, note="late")
        assert code_of(raised) == "no-tile"


def test_rows_cannot_be_changed_or_deleted(tmp_path):
    with Journal(tmp_path) as journal:
        journal.record(TILE)
    db = sqlite3.connect(tmp_path / FILE_NAME)
    for statement in ("UPDATE entries SET record = '{}'", "DELETE FROM entries"):
        with pytest.raises(sqlite3.IntegrityError, match="only grows"):
            db.execute(statement)


def test_a_correction_that_cannot_be_leaves_no_trace(tmp_path):
    with Journal(tmp_path) as journal:
        tile = journal.record(TILE)
        with pytest.raises(ValueError, match="not between"):
            journal.correct("tile", tile.id, thickness_mm=900.0)
        assert len(journal.all_entries()) == 1


def test_all_or_none(tmp_path):
    with Journal(tmp_path) as journal:
        with pytest.raises(ProblemsError) as raised:
            journal.record_all([TILE, TileRecord(note="\udcff")])
        assert code_of(raised) == "text"
        assert journal.tiles() == ()


def test_two_terminals_share_one_file(tmp_path):
    with Journal(tmp_path) as one, Journal(tmp_path) as two:
        ids = [(one if i % 2 else two).record(TILE).id for i in range(20)]
        assert len(set(ids)) == 20
        assert [t.id for t in one.tiles()] == ids == [t.id for t in two.tiles()]


# --- ids


def test_ids_are_sequential_unique_and_unambiguous():
    ids = [id_of("tile", n) for n in range(5000)]
    assert len(set(ids)) == 5000
    assert [number_of("tile", i) for i in ids] == list(range(5000))
    # Signs that look alike, or alike when the tile is turned round, never stand together (common practice,
    # no source).
    for alike in ("0OQD", "1IL", "2Z", "5S", "6G", "8B", "UV", "MW", "69", "AV", "7L", "NZ", "E3"):
        assert sum(sign in SIGNS for sign in alike) <= 1


# --- CSV


def test_export_and_import_round_trip(tmp_path):
    with Journal(tmp_path) as journal:
        tile = journal.record(TileRecord(note='=cmd|" /C calc"!A0', glaze="-5", lot="line\r\ntwo", after_days=3.0))
        journal.record(FIRING), journal.record(BATCH), journal.record(TILE)
        journal.correct("tile", tile.id, coats=2)
        journal.withdraw("firing", "F1")
        before = journal.all_entries()
    out = io.StringIO(newline="")
    assert write_csv(before, out) == len(before)
    (tmp_path / "new").mkdir()
    with Journal(tmp_path / "new") as copy:
        assert copy.add_entries(read_csv(io.StringIO(out.getvalue(), newline=""))) == len(before)
        assert copy.all_entries() == before
        assert copy.add_entries(before) == 0
        assert copy.record(TILE).id == "AAE"


def test_no_cell_acts_as_a_formula(tmp_path):
    out = io.StringIO(newline="")
    with Journal(tmp_path) as journal:
        for start in ("=1+1", "+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1"):
            journal.record(TileRecord(note=start, glaze=start, lot=start))
        write_csv(journal.all_entries(), out)
    for row in csv.reader(io.StringIO(out.getvalue(), newline="")):
        assert not any(cell[:1] in "=+@\t\r" and cell for cell in row)
        assert all(cell.lstrip("-").replace(".", "").isdigit() for cell in row if cell.startswith("-"))


@given(st.text(max_size=12))
def test_guard_there_and_back(text):
    assert unguarded(guarded(text)) == text


@settings(max_examples=40)
@given(st.lists(st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=20), min_size=3, max_size=3))
def test_any_text_survives_export(texts):
    from glazecalc.values.records import Entry

    entry = Entry(
        "tile",
        "AAA",
        1,
        "2026-01-02T03:04:05.000+00:00",
        TileRecord("AAA", glaze=texts[0], note=texts[1], lot=texts[2]),
    )
    out = io.StringIO(newline="")
    write_csv([entry], out)
    assert read_csv(io.StringIO(out.getvalue(), newline="")) == (entry,)


def test_import_of_a_clash_or_rubbish_writes_nothing(tmp_path):
    (tmp_path / "a").mkdir(), (tmp_path / "b").mkdir()
    with Journal(tmp_path / "a") as a, Journal(tmp_path / "b") as b:
        a.record(FIRING), a.record(TILE)
        b.record(TileRecord(glaze="another"))
        with pytest.raises(ProblemsError) as raised:
            b.add_entries(a.all_entries())
        assert code_of(raised) == "journal-clash"
        assert len(b.all_entries()) == 1
    with pytest.raises(ProblemsError) as raised:
        read_csv(io.StringIO("a,b\n1,2\n"))
    assert code_of(raised) == "not-an-export"
    head = "kind,id,revision,recorded_at,withdrawn,results\n"
    with pytest.raises(ProblemsError) as raised:
        read_csv(io.StringIO(head + 'tile,AAA,1,now,,["melted"]\nspoon,AAA,1,now,,\n'), "x.csv")
    assert [(p.code, p.line) for p in raised.value.problems] == [("row", 2), ("row", 3)]


# --- files older, newer, strange, read-only, full


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


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write anywhere")
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
from glazecalc.keep.journal import Journal
from glazecalc.values.problem import ProblemsError
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


# --- killed at any moment


def _record_until_killed(folder: Path, say: int, seed: int) -> None:
    """The life of one terminal: opens the journal, writes, and says each id only when it was acknowledged."""
    rng = random.Random(seed)
    with Journal(folder) as journal:
        while True:
            word = f"{seed}-{rng.random()}"
            tile = journal.record(TileRecord(note=word))
            os.write(say, f"{tile.id} {word}\n".encode())
            if rng.random() < 0.2:
                journal.correct("tile", tile.id, coats=1)


def _start(folder: Path, say: int, seed: int) -> int:
    child = os.fork()
    if child == 0:
        try:
            _record_until_killed(folder, say, seed)
        finally:
            os._exit(1)
    return child


def test_five_hundred_kills_from_two_processes(tmp_path):
    rng = random.Random(20)
    heard = tmp_path / "heard.txt"
    say = os.open(heard, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    seeds = iter(range(1_000_000))
    children = [_start(tmp_path, say, next(seeds)) for _ in range(2)]
    for _ in range(500):
        time.sleep(rng.uniform(0.0, 0.012))
        victim = rng.randrange(2)
        os.kill(children[victim], signal.SIGKILL)
        _, status = os.waitpid(children[victim], 0)
        assert os.WIFSIGNALED(status), "a child ended by itself"
        children[victim] = _start(tmp_path, say, next(seeds))
    for child in children:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    os.close(say)
    acknowledged = [line.split(" ", 1) for line in heard.read_text().splitlines()]
    assert len(acknowledged) > 200
    with Journal(tmp_path) as journal:
        kept = {t.id: t.note for t in journal.tiles()}
        rows = journal.all_entries()
        assert journal._db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert len({id_ for id_, _ in acknowledged}) == len(acknowledged), "an id was given twice"
    assert all(kept.get(id_) == word for id_, word in acknowledged), "an acknowledged record is missing"
    assert len({(r.id, r.revision) for r in rows}) == len(rows)
