"""The studio's journal: what was recorded stays recorded. One file, many terminals, corrections as new
rows.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TypeVar

from glazecalc.keep import FILE_NAME
from glazecalc.keep.ids import id_of, number_of
from glazecalc.keep.rows import record_from_text, record_to_text, with_id
from glazecalc.keep.schema import RESTORE, open_file, said_plainly
from glazecalc.values.problem import Problem, ProblemsError, error, remark
from glazecalc.values.records import KINDS, BatchRecord, Entry, FiringRecord, Kind, Record, TileRecord, kind_of

R = TypeVar("R", bound=Record)
_COLUMNS = "kind, number, revision, recorded_at, withdrawn, record"


class Journal:
    """The open journal of one studio folder. Use it in a ``with`` statement.

    A record is acknowledged when the method that writes it returns: it is then on the disk. Every method
    raises ProblemsError, in a potter's words, where the file cannot be read or written."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / FILE_NAME
        self._db = open_file(self.path)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, exc: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()

    def record(self, record: R) -> R:
        """Write one new tile, firing or batch; returns it with its id."""
        return self.record_all([record])[0]

    def record_all(self, records: Sequence[R]) -> tuple[R, ...]:
        """Write several new records, all or none; returns them with their ids, in order."""
        done: list[R] = []
        with self._writing() as db:
            for record in records:
                kind = kind_of(record)
                number = self._next_number(db, kind)
                self._insert(db, kind, number, 1, record)
                done.append(replace(record, id=id_of(kind, number)))
        return tuple(done)

    def correct(self, kind: Kind, id_: str, **changes: Any) -> Record:
        """Write a new revision of an entry with some fields changed; the old one is kept.

        Raises ProblemsError if there is no such entry, ValueError if the changed record cannot be.
        """
        with self._writing() as db:
            latest = self._latest(db, kind, id_)
            changed = replace(latest.record, **changes)
            number = number_of(kind, latest.id)
            assert number is not None
            self._insert(db, kind, number, latest.revision + 1, changed)
        return with_id(changed, latest.id)

    def withdraw(self, kind: Kind, id_: str) -> None:
        """Take an entry back: it is kept, marked, and no longer counted. Its id is not given again."""
        with self._writing() as db:
            latest = self._latest(db, kind, id_)
            number = number_of(kind, latest.id)
            assert number is not None
            self._insert(db, kind, number, latest.revision + 1, latest.record, withdrawn=True)

    def history(self, kind: Kind, id_: str) -> tuple[Entry, ...]:
        """Every revision of one entry, oldest first; empty if there is none."""
        number = number_of(kind, id_)
        query = f"SELECT {_COLUMNS} FROM entries WHERE kind = ? AND number = ? ORDER BY revision"
        return self._entries(query, (kind, number)) if number is not None else ()

    def current(self, kind: Kind | None = None) -> tuple[Entry, ...]:
        """The latest revision of every entry that was not withdrawn, in the order first written."""
        latest: dict[tuple[Kind, str], Entry] = {}
        for entry in self.all_entries(kind):
            latest[entry.kind, entry.id] = entry
        return tuple(e for e in latest.values() if not e.withdrawn)

    def all_entries(self, kind: Kind | None = None) -> tuple[Entry, ...]:
        """Every row as written, corrections and withdrawals included, in the order written."""
        where = "" if kind is None else "WHERE kind = ?"
        return self._entries(f"SELECT {_COLUMNS} FROM entries {where} ORDER BY seq", () if kind is None else (kind,))

    def readable_entries(self) -> tuple[tuple[Entry, ...], tuple[Problem, ...]]:
        """Every row that can be read, for rescue, and a remark where some cannot."""
        entries: list[Entry] = []
        damaged, broken_off = 0, ""
        try:
            for row in self._db.execute(f"SELECT {_COLUMNS} FROM entries ORDER BY seq"):
                try:
                    entries.append(_entry(*row))
                except ValueError:
                    damaged += 1
        except sqlite3.Error as exc:
            broken_off = f"the journal breaks off after {len(entries) + damaged} rows: {exc}"
        what = broken_off or f"{damaged} rows of the journal cannot be read and were left out"
        said = [remark("journal-damaged", what, "keep the damaged file too", str(self.path))]
        return tuple(entries), tuple(said if damaged or broken_off else ())

    def tiles(self) -> tuple[TileRecord, ...]:
        """The tiles as they stand."""
        return tuple(e.record for e in self.current("tile") if isinstance(e.record, TileRecord))

    def firings(self) -> tuple[FiringRecord, ...]:
        """The firings as they stand."""
        return tuple(e.record for e in self.current("firing") if isinstance(e.record, FiringRecord))

    def batches(self) -> tuple[BatchRecord, ...]:
        """The batches as they stand."""
        return tuple(e.record for e in self.current("batch") if isinstance(e.record, BatchRecord))

    def add_entries(self, entries: Iterable[Entry]) -> int:
        """Write rows of another journal with their ids, revisions and times, all or none; returns how many.

        A row that is already here is passed over. Raises ProblemsError if an id stands for something else
        here."""
        added = 0
        with self._writing() as db:
            for entry in entries:
                added += self._add_entry(db, entry)
        return added

    def _add_entry(self, db: sqlite3.Connection, entry: Entry) -> int:
        number = number_of(entry.kind, entry.id)
        if number is None:
            raise ProblemsError([error("journal-id", f"{entry.id!r} is not an id of a {entry.kind}", "")])
        found = db.execute(
            "SELECT record, withdrawn, recorded_at FROM entries WHERE kind = ? AND number = ? AND revision = ?",
            (entry.kind, number, entry.revision),
        ).fetchone()
        text = record_to_text(entry.record)
        if found is None:
            self._insert(db, entry.kind, number, entry.revision, entry.record, entry.withdrawn, entry.recorded_at)
            return 1
        if found != (text, int(entry.withdrawn), entry.recorded_at):
            message = f"{entry.kind} {entry.id} is already in this journal and says something else"
            hint = "import it into an empty studio folder; nothing was written"
            raise ProblemsError([error("journal-clash", message, hint, str(self.path))])
        return 0

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with said_plainly(self.path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield self._db
                self._db.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):
                    self._db.execute("ROLLBACK")
                raise

    def _next_number(self, db: sqlite3.Connection, kind: Kind) -> int:
        return int(
            db.execute("SELECT coalesce(max(number), -1) + 1 FROM entries WHERE kind = ?", (kind,)).fetchone()[0]
        )

    def _insert(
        self, db: sqlite3.Connection, kind: Kind, number: int, revision: int, record: Record,
        withdrawn: bool = False, at: str | None = None,
    ) -> None:  # fmt: skip
        text = record_to_text(record)
        try:
            text.encode("utf-8")
        except UnicodeEncodeError as exc:
            hint = "type it again; the terminal sent bytes that are not UTF-8"
            raise ProblemsError([error("text", "a word holds signs that cannot be kept", hint)]) from exc
        at = at or datetime.now(UTC).isoformat(timespec="milliseconds")
        db.execute(
            f"INSERT INTO entries ({_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?)",
            (kind, number, revision, at, int(withdrawn), text),
        )

    def _latest(self, db: sqlite3.Connection, kind: Kind, id_: str) -> Entry:
        rows = self.history(kind, id_)
        if not rows or rows[-1].withdrawn:
            hint = "list them with: glazecalc journal"
            raise ProblemsError([error(f"no-{kind}", f"there is no {kind} {id_.strip()[:20]!r} in the journal", hint)])
        return rows[-1]

    def _entries(self, query: str, values: tuple[Any, ...]) -> tuple[Entry, ...]:
        with said_plainly(self.path):
            rows = self._db.execute(query, values).fetchall()
        try:
            return tuple(_entry(*row) for row in rows)
        except ValueError as exc:
            message = f"an entry of the journal cannot be read: {exc}"
            raise ProblemsError([error("journal-damaged", message, RESTORE, str(self.path))]) from exc


def _entry(kind: Kind, number: int, revision: int, recorded_at: str, withdrawn: int, text: str) -> Entry:
    """One row of the file as an entry. Raises ValueError where the file is damaged."""
    sorts = (kind, str), (number, int), (revision, int), (recorded_at, str), (withdrawn, int), (text, str)
    if kind not in KINDS or not all(isinstance(value, sort) for value, sort in sorts) or number < 0:
        raise ValueError(f"entry {str(number)[:10]!a} is not what was written")
    id_ = id_of(kind, number)
    if any("\ud800" <= sign <= "\udfff" for sign in recorded_at + text):
        raise ValueError(f"the text of {kind} {id_} is damaged")
    try:
        return Entry(kind, id_, revision, recorded_at, record_from_text(kind, id_, text), bool(withdrawn))
    except RecursionError:
        raise ValueError(f"the text of {kind} {id_} is damaged") from None
