"""The journal: nothing acknowledged is lost, nothing written is changed, ids are given once."""

from __future__ import annotations

import sqlite3

import pytest

from glazecalc.files.journal import SIGNS, Journal, id_of, number_of
from glazecalc.files.journal_schema import APPLICATION_ID, VERSION
from glazecalc.files.writing import FILE_NAME
from glazecalc.values.answers import ProblemsError
from glazecalc.values.records import TileRecord, TileResult
from tests.files.samples import BATCH, FIRING, TILE, code_of


def test_a_record_comes_back_as_written(tmp_path):
    with Journal(tmp_path) as journal:
        written = journal.record(TILE), journal.record(FIRING), journal.record(BATCH)
    with Journal(tmp_path) as journal:
        assert (journal.tiles(), journal.firings(), tuple(e.record for e in journal.current("batch"))) == tuple((w,) for w in written)
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
        assert code_of(raised) == "withdrawn"
        with pytest.raises(ProblemsError) as raised:
            journal.correct("tile", "AAE", note="late")
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


def test_ids_are_sequential_unique_and_unambiguous():
    ids = [id_of("tile", n) for n in range(5000)]
    assert len(set(ids)) == 5000
    assert [number_of("tile", i) for i in ids] == list(range(5000))
    # Signs that look alike, or alike when the tile is turned round, never stand together (common practice,
    # no source).
    for alike in ("0OQD", "1IL", "2Z", "5S", "6G", "8B", "UV", "MW", "69", "AV", "7L", "NZ", "E3"):
        assert sum(sign in SIGNS for sign in alike) <= 1
