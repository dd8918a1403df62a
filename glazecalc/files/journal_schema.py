"""The journal's file: opening it, its tables and their versions, and SQLite's complaints in a potter's words.

Write-ahead logging with full synchronisation: what has been acknowledged is on the disk. Rows are only ever
added; triggers refuse a change or a deletion.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from glazecalc.files.writing import OWNER, whole_file
from glazecalc.values.answers import Problem, ProblemsError, error
from glazecalc.values.texts import phrase, typed

APPLICATION_ID: Final = int.from_bytes(OWNER, "big")
WAIT_S: Final = 20.0
"""How long one terminal waits for another that is writing [s]."""


def _create(db: sqlite3.Connection) -> None:
    db.execute(
        """CREATE TABLE entries (
            seq INTEGER PRIMARY KEY AUTOINCREMENT,
            kind TEXT NOT NULL CHECK (kind IN ('tile', 'firing', 'batch')),
            number INTEGER NOT NULL CHECK (number >= 0),
            revision INTEGER NOT NULL CHECK (revision >= 1),
            recorded_at TEXT NOT NULL,
            withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (withdrawn IN (0, 1)),
            record TEXT NOT NULL,
            UNIQUE (kind, number, revision)
        )"""
    )


def _refuse_changes(db: sqlite3.Connection) -> None:
    for what in ("UPDATE", "DELETE"):
        db.execute(
            f"CREATE TRIGGER no_{what.lower()} BEFORE {what} ON entries "
            "BEGIN SELECT RAISE(ABORT, 'the journal only grows: correct an entry by a new one'); END"
        )


def _number_acts(db: sqlite3.Connection) -> None:
    """What was written in one go bears one number (0: an older row, an act of its own), and what it undid."""
    for column in ("act", "undoes"):
        db.execute(f"ALTER TABLE entries ADD COLUMN {column} INTEGER NOT NULL DEFAULT 0 CHECK ({column} >= 0)")


MIGRATIONS: Final[tuple[Callable[[sqlite3.Connection], None], ...]] = (_create, _refuse_changes, _number_acts)
"""Step i turns a file of version i into version i + 1; a new file takes every step. Steps are never edited."""
VERSION: Final = len(MIGRATIONS)


def open_file(path: Path) -> sqlite3.Connection:
    """The journal's file, made or brought up to date where needed. Raises ProblemsError where it cannot be used."""
    if path.is_symlink() and not path.exists():
        what = "the journal is a link that leads nowhere"
        raise ProblemsError([error("journal-closed", what, "is the disk with the journal there?", str(path))])
    with said_plainly(path):
        db = _connect(path)
        try:
            version = _read_version(db, path)
            if 0 < version < VERSION:
                _save_copy(db, path, version)
            if version < VERSION:
                _migrate(db, path)
            _log_ahead(db)
            db.execute("PRAGMA synchronous = FULL")
        except BaseException:
            db.close()
            raise
        return db


@contextmanager
def said_plainly(path: Path) -> Iterator[None]:
    """Turns SQLite's errors into problems that say what to do."""
    try:
        yield
    except sqlite3.Error as exc:
        raise ProblemsError([_problem(exc, path)]) from exc
    except UnicodeDecodeError as exc:  # SQLite names what is damaged by its own damaged bytes
        raise ProblemsError([error("journal-damaged", "the journal's file is damaged", RESTORE, str(path))]) from exc


def _problem(exc: sqlite3.Error, path: Path) -> Problem:
    text, file, again = str(exc), str(path), "record it again"
    if isinstance(exc, sqlite3.OperationalError) and "locked" not in text and _disk_full(path):
        text = "full"
    kinds = {
        "full": error("disk-full", "the disk is full: nothing was written", f"free some space and {again}", file),
        "disk I/O": error("disk", "the disk refused the entry: it was not written", f"check the disk, {again}", file),
        "locked": error("journal-busy", "another program is writing in the journal", "wait and try again", file),
        "readonly": error("journal-read-only", "the journal may only be read here", "make it writable", file),
        "unable to open": error("journal-closed", "the journal cannot be opened", "may its folder be written?", file),
        "not a database": error("journal-damaged", "this file is not a journal, or it is damaged", RESTORE, file),
        "malformed": error("journal-damaged", "the journal's file is damaged", RESTORE, file),
    }
    other = error("journal", f"the journal's file answers: {text}", RESTORE, file)
    return next((problem for sign, problem in kinds.items() if sign in text), other)


LEAST_FREE: Final = 64 * 1024
"""A disk with less left cannot take the log beside the journal [bytes]."""


def _disk_full(path: Path) -> bool:
    """Whether there is no room beside the journal: SQLite then often says only that it cannot open or write."""
    import shutil

    try:
        return shutil.disk_usage(path.parent).free < LEAST_FREE
    except OSError:
        return False


RESTORE: Final = phrase(
    "copy the file before anything else; save what can be read with|: glazecalc journal --export SAVED.csv, "
    "then take it into a new folder with: glazecalc journal --import SAVED.csv|"
)
"""What to do with a damaged journal."""


def _connect(path: Path) -> sqlite3.Connection:
    try:
        db = sqlite3.connect(path, timeout=WAIT_S, isolation_level=None)
        db.text_factory = _text
        db.execute("PRAGMA schema_version").fetchone()
        return db
    except sqlite3.OperationalError as exc:
        if not path.is_file() or "locked" in str(exc) or "full" in str(exc):
            raise
        _refuse_unread_log(path)
    db = sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True, isolation_level=None)
    db.text_factory = _text
    return db


def _refuse_unread_log(path: Path) -> None:
    """Raises ProblemsError where the write-ahead log beside a journal holds entries that cannot be read from here.

    A journal opened without its log would leave out what was last written down, without a word.
    """
    log = path.with_name(path.name + "-wal")
    try:
        left = log.stat().st_size
    except FileNotFoundError:
        return
    except OSError:
        left = 1
    if left:
        what = "the last entries are in the log beside the journal, which cannot be opened here"
        hint = f"make the folder writable, or copy it whole ({path.name} and {log.name}) to one that is, and look there"
        raise ProblemsError([error("journal-log", what, hint, str(path))])


def _text(stored: bytes) -> str:
    """A text of the file; bytes that are no text are kept apart, so that one damaged row is not the end of all."""
    return stored.decode("utf-8", "surrogateescape")


def _read_version(db: sqlite3.Connection, path: Path) -> int:
    """The file's version; 0 for a new one. Raises ProblemsError for a stranger's or a newer program's file."""
    if not db.in_transaction:  # all is read at one moment: another terminal may be making the file just now
        db.execute("BEGIN")
        try:
            return _read_version(db, path)
        finally:
            db.execute("COMMIT")
    version = int(db.execute("PRAGMA user_version").fetchone()[0])
    owner = int(db.execute("PRAGMA application_id").fetchone()[0])
    tables = int(db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
    if owner != APPLICATION_ID and (version or tables):
        hint = typed("it belongs to another program: move it, or choose another --studio")
        raise ProblemsError([error("not-a-journal", "this file is not a journal of glazecalc", hint, str(path))])
    if version > VERSION:
        message = f"this journal was written by a newer glazecalc (version {version} of the file; {VERSION} is known)"
        raise ProblemsError([error("journal-newer", message, "install the newer glazecalc", str(path))])
    return version


def _migrate(db: sqlite3.Connection, path: Path) -> None:
    """Every missing step and the new version number in one transaction; another terminal may be first."""
    db.execute("BEGIN IMMEDIATE")
    try:
        for step in MIGRATIONS[_read_version(db, path) :]:
            step(db)
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute(f"PRAGMA user_version = {VERSION}")
        db.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):
            db.execute("ROLLBACK")
        raise


def _save_copy(db: sqlite3.Connection, path: Path, version: int) -> None:
    """A copy of an older file beside it, before it is brought up to date."""
    copy = path.with_name(f"{path.stem}-version-{version}{path.suffix}")
    if copy.exists():
        return
    with whole_file(copy) as place:
        target = sqlite3.connect(place)
        try:
            db.backup(target)
        finally:
            target.close()


def _log_ahead(db: sqlite3.Connection) -> None:
    """Write ahead, and try again while another terminal holds the file: SQLite's own wait does not cover a change of
    mode."""
    deadline = time.monotonic() + WAIT_S
    while True:
        try:
            db.execute("PRAGMA journal_mode = WAL").fetchone()
            return
        except sqlite3.OperationalError as exc:
            if "readonly" in str(exc):
                return
            if "locked" not in str(exc) or time.monotonic() > deadline:
                raise
            time.sleep(0.01)
