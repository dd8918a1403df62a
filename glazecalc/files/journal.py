"""The studio's journal: what was recorded stays recorded. One file, many terminals, corrections as new rows."""

from __future__ import annotations

import itertools
import json
import os
import sqlite3
import time
import types
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import asdict, fields, is_dataclass, replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from types import TracebackType
from typing import Any, Final, NamedTuple, Self, TypeVar, Union, get_args, get_origin, get_type_hints

from glazecalc.files.journal_schema import RESTORE, open_file, said_plainly
from glazecalc.files.writing import FILE_NAME
from glazecalc.values.answers import Problem, ProblemsError, error, remark
from glazecalc.values.oxides import INDEX
from glazecalc.values.records import (
    KINDS,
    RECORD_TYPES,
    Act,
    Entry,
    FiringRecord,
    FrozenRecipe,
    Kind,
    Record,
    Step,
    TileRecord,
    TileResult,
    kind_of,
)
from glazecalc.values.texts import phrase, typed

# Short ids that can be scratched into wet clay and read again, whichever way up the tile lies.

SIGNS: Final = "ACEFHJKMNPRTXY47"
_WIDTH: Final = 3
_LETTER: Final[dict[Kind, str]] = {"firing": "F", "batch": "B"}


def id_of(kind: Kind, number: int) -> str:
    """The id of the ``number``-th tile, firing or batch, counting from 0.

    >>> id_of("tile", 0), id_of("tile", 17), id_of("tile", 4096), id_of("firing", 0)
    ('AAA', 'ACC', 'CAAA', 'F1')
    """
    if kind != "tile":
        return f"{_LETTER[kind]}{number + 1}"
    signs = ""
    while number or len(signs) < _WIDTH:
        number, place = divmod(number, len(SIGNS))
        signs = SIGNS[place] + signs
    return signs


def number_of(kind: Kind, text: str) -> int | None:
    """The number behind an id as a potter types it, or None if it cannot be an id of that kind.

    >>> number_of("tile", " aac "), number_of("tile", "OOO"), number_of("batch", "b2")
    (1, None, 1)
    """
    typed = text.strip().upper()
    if kind != "tile":
        digits = typed.removeprefix(_LETTER[kind])
        return int(digits) - 1 if digits.isascii() and digits.isdigit() and len(digits) < 10 and int(digits) else None
    if not _WIDTH <= len(typed) <= 8 or any(sign not in SIGNS for sign in typed):
        return None
    number = 0
    for sign in typed:
        number = number * len(SIGNS) + SIGNS.index(sign)
    return number if id_of("tile", number) == typed else None


# Records as JSON text and back, the form in which the journal's file and its CSV export keep them.

MOST: Final = 1e12
"""No number of a record is larger."""
_DIGITS: Final = 9
"""Digits of a number that are kept: what a conversion of units leaves behind them means nothing."""


def record_to_fields(record: Record) -> dict[str, Any]:
    """The record's fields without its id, as plain JSON values."""
    values: dict[str, Any] = _rounded(asdict(record))
    del values["id"]
    return values


def _rounded(value: Any) -> Any:
    """The same with every number in as many digits as are kept: 20 instead of 19.999999999999996."""
    if isinstance(value, float):
        return float(f"{value:.{_DIGITS}g}")
    if isinstance(value, dict):
        return {key: _rounded(part) for key, part in value.items()}
    return type(value)(map(_rounded, value)) if isinstance(value, (list, tuple)) else value


def record_to_text(record: Record) -> str:
    """The record without its id as one JSON text: sorted keys, no NaN, any script kept as written."""
    return json.dumps(record_to_fields(record), ensure_ascii=False, sort_keys=True, allow_nan=False)


def record_from_text(kind: Kind, id_: str, text: str) -> Record:
    """The record that :func:`record_to_text` wrote. Raises ValueError if it is none."""
    written = from_json(text)
    if not isinstance(written, dict):
        raise ValueError(f"it is no {kind} as the journal keeps them")
    return record_from_fields(kind, id_, written)


def from_json(text: str) -> Any:
    """What a JSON text says. Raises ValueError, in a potter's words, if it is none."""
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        raise ValueError(f"{text[:30]!a} is not as it was saved") from None


def record_from_fields(kind: Kind, id_: str, values: Mapping[str, Any]) -> Record:
    """The record of plain JSON values. Raises ValueError for a field or value that cannot be."""
    try:
        record: Record = _built(RECORD_TYPES[kind], {**values, "id": id_})
    except (TypeError, KeyError, IndexError, AttributeError, OverflowError) as exc:
        raise ValueError(f"it is no {kind} as the journal keeps them") from exc
    _check_sorts(record)
    return record


def _built(hint: Any, value: Any) -> Any:
    """What a type hint of the records names, of plain JSON values: objects become parts, lists tuples."""
    choices = get_args(hint)
    if get_origin(hint) in (Union, types.UnionType):
        return None if value is None else _built(choices[0], value)
    if get_origin(hint) is tuple:
        inner = itertools.repeat(choices[0], len(value)) if choices[-1] is ... else choices
        return tuple(_built(part, one) for part, one in zip(inner, value, strict=True))
    if hint is TileResult or (hint is float and type(value) is int):
        return hint(value)
    if not is_dataclass(hint):
        return value
    cls: Any = hint
    hints = _hints(cls)
    parts = {name for name, h in hints.items() if get_origin(h) is tuple or any(map(is_dataclass, get_args(h)))}
    if not parts <= value.keys():
        raise KeyError(hint)
    return cls(**{name: _built(hints.get(name), one) for name, one in value.items()})


def _check_sorts(thing: Any) -> None:
    """Raises ValueError where a field of a record, or of a part of it, holds another sort of value than it should."""
    cls: Any = type(thing)
    hints = _hints(cls)
    for field in fields(thing):
        value = getattr(thing, field.name)
        if not _is(value, hints[field.name]):
            raise ValueError(f"{field.name} cannot be {str(value)[:40]!a}")
    if isinstance(thing, FrozenRecipe):
        _check_amounts(thing)


def _check_amounts(recipe: FrozenRecipe) -> None:
    """Raises ValueError where a recipe could not be mixed, or its formula is none."""
    amounts = [line.amount for line in recipe.lines]
    if amounts and not (min(amounts) >= 0 and sum(amounts) > 0):
        raise ValueError("the amounts of the recipe are below zero, or nothing but zeros")
    shares = [share for oxide, share in recipe.moles if oxide in INDEX]
    if len(shares) < len(recipe.moles) or any(not 0 <= share <= 1.001 for share in shares):
        raise ValueError("the formula of the recipe is not one")
    if shares and not sum(shares) > 0:
        raise ValueError("the formula of the recipe is nothing but zeros")


_hints = cache(get_type_hints)


def _is(value: Any, hint: Any) -> bool:
    """Whether ``value`` is what a type hint of the records says; a number must be finite and of a size that can be."""
    choices, origin = get_args(hint), get_origin(hint)
    if origin in (Union, types.UnionType):
        return any(_is(value, choice) for choice in choices)
    if origin is tuple:
        inner = choices[:1] * len(value) if choices[-1] is ... else choices
        return isinstance(value, tuple) and len(value) == len(inner) and all(map(_is, value, inner))
    if hint in (float, int):
        sorts = (int, float) if hint is float else (int,)
        return isinstance(value, sorts) and not isinstance(value, bool) and abs(value) < MOST
    if not isinstance(value, hint):
        return False
    if is_dataclass(hint):
        _check_sorts(value)
    return True


R = TypeVar("R", bound=Record)
_WRITTEN = "kind, number, revision, recorded_at, withdrawn, record, act, undoes"
_READ = _WRITTEN.replace("act", "CASE act WHEN 0 THEN seq ELSE act END")

SETTLES_S: Final = 2.0
"""How long a writer asks for its turn to empty the log [s]."""


class Journal:
    """The open journal of one studio folder. Use it in a ``with`` statement.

    A record is acknowledged when the method that writes it returns: it is then on the disk. Every method
    raises ProblemsError, in a potter's words, where the file cannot be read or written."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / FILE_NAME
        self._db = open_file(self.path)
        self._act = self._undoes = 0

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
                query = "SELECT coalesce(max(number), -1) + 1 FROM entries WHERE kind = ?"
                id_ = id_of(kind, int(db.execute(query, (kind,)).fetchone()[0]))
                self._insert(Entry(kind, id_, 1, "", record))
                done.append(replace(record, id=id_))
        return tuple(done)

    def correct(self, kind: Kind, id_: str, **changes: Any) -> Record:
        """Write a new revision of an entry with some fields changed; the old one is kept.

        Raises ProblemsError if there is no such entry, ValueError if the changed record cannot be.
        """
        return self.amend(kind, id_, lambda _: changes)

    def amend(self, kind: Kind, id_: str, change: Callable[[Record], Mapping[str, Any]]) -> Record:
        """The same with fields worked out from the latest revision, so that two who add at once lose nothing."""
        with self._writing():
            latest = self._latest(kind, id_)
            changed = replace(latest.record, **change(latest.record))
            self._insert(replace(latest, revision=latest.revision + 1, record=changed, recorded_at=""))
        return replace(changed, id=latest.id)

    def withdraw(self, kind: Kind, id_: str) -> None:
        """Take an entry back: it is kept, marked, and no longer counted. Its id is not given again."""
        with self._writing():
            self._put(self._latest(kind, id_), withdrawn=True)

    def restore(self, kind: Kind, id_: str) -> None:
        """Bring back an entry that was taken back, as it stood then. Raises ProblemsError if it was not."""
        with self._writing():
            self._put(self._latest(kind, id_, withdrawn=True), withdrawn=False)

    def acts(self) -> tuple[Act, ...]:
        """All that was done to the journal, in the order it was done."""
        return acts_of(self.all_entries())

    def undo(self, seen: int | None = None) -> Act:
        """Take back the last act that holds, whatever it was; returns what that did. The next call takes back the one
        before. Raises ProblemsError where there is nothing to undo, or where that act is not number ``seen``.
        """
        nothing = error("nothing-to-undo", "nothing in the journal is left to undo", "")
        what, hint = "something else was written into the journal meanwhile", "look again, then undo"
        with self._writing():
            acts = self.acts()
            done = [(number, number) for number in standing(acts).done]
            return self._revert(acts, done, seen, nothing, error("changed-meanwhile", what, hint))

    def redo(self, seen: int | None = None) -> Act:
        """Do again what was undone last. Raises ProblemsError where nothing was, something was written since, or that
        act is not number ``seen``.
        """
        nothing = error("nothing-to-redo", "nothing that was undone can be done again", "")
        what, hint = "something else was undone or done meanwhile", "look again, then do it again"
        with self._writing():
            acts = self.acts()
            return self._revert(acts, standing(acts).again, seen, nothing, error("changed-meanwhile", what, hint))

    def _revert(
        self, acts: Sequence[Act], last: Sequence[tuple[int, int]], seen: int | None, nothing: Problem, changed: Problem
    ) -> Act:
        """Write every entry of an act as it stood before it. The act is the second of the last pair of ``last``, of
        which ``seen`` is to be the first."""
        if not last:
            raise ProblemsError([nothing])
        if seen not in (None, last[-1][0]):
            raise ProblemsError([changed])
        act = next(act for act in acts if act.number == last[-1][1])
        self._undoes = act.number
        first: dict[tuple[Kind, str], Entry | None] = {}
        for step in act.steps:
            first.setdefault((step.entry.kind, step.entry.id), step.before)
        for (kind, id_), before in first.items():
            latest = self.history(kind, id_)[-1]
            kept = latest if before is None else replace(before, revision=latest.revision)
            self._put(kept, withdrawn=before is None or before.withdrawn)
        return self.acts()[-1]

    def _put(self, entry: Entry, withdrawn: bool) -> None:
        """Write the next revision of an entry, with what it says."""
        self._insert(replace(entry, revision=entry.revision + 1, withdrawn=withdrawn, recorded_at=""))

    def history(self, kind: Kind, id_: str) -> tuple[Entry, ...]:
        """Every revision of one entry, oldest first; empty if there is none."""
        number = number_of(kind, id_)
        return () if number is None else self._entries("WHERE kind = ? AND number = ? ORDER BY revision", kind, number)

    def current(self, kind: Kind | None = None, withdrawn: bool = False) -> tuple[Entry, ...]:
        """The latest revision of every entry that was not taken back, or of those that were, in the order first
        written."""
        latest = {(entry.kind, entry.id): entry for entry in self.all_entries(kind)}
        return tuple(entry for entry in latest.values() if entry.withdrawn is withdrawn)

    def all_entries(self, kind: Kind | None = None) -> tuple[Entry, ...]:
        """Every row as written, corrections and withdrawals included, in the order written."""
        return self._entries("ORDER BY seq") if kind is None else self._entries("WHERE kind = ? ORDER BY seq", kind)

    def readable_entries(self) -> tuple[tuple[Entry, ...], tuple[Problem, ...]]:
        """Every row that can be read, for rescue, and a remark where some cannot."""
        entries: list[Entry] = []
        damaged, broken_off, missing = 0, "", 0
        try:
            missing = self._missing()
            for row in self._db.execute(f"SELECT {_READ} FROM entries ORDER BY seq"):
                try:
                    entries.append(_entry(*row))
                except ValueError:
                    damaged += 1
        except sqlite3.Error as exc:
            broken_off = f"the journal breaks off after {len(entries) + damaged} rows: {exc}"
        whats = [broken_off] if broken_off else []
        whats += [f"{damaged} rows of the journal cannot be read and were left out"] if damaged else []
        whats += [f"{missing} entries that were written down are missing from the journal"] if missing > 0 else []
        hint = "keep the damaged file too"
        return tuple(entries), tuple(remark("journal-damaged", what, hint, str(self.path)) for what in whats)

    def tiles(self) -> tuple[TileRecord, ...]:
        """The tiles as they stand."""
        return tuple(e.record for e in self.current("tile") if isinstance(e.record, TileRecord))

    def firings(self) -> tuple[FiringRecord, ...]:
        """The firings as they stand."""
        return tuple(e.record for e in self.current("firing") if isinstance(e.record, FiringRecord))

    def add_entries(self, entries: Iterable[Entry]) -> int:
        """Write rows of another journal with their ids, revisions and times, all or none; returns how many.

        A row that is already here is passed over. Raises ProblemsError if an id stands for something else
        here."""
        with self._writing() as db:
            return sum(self._add_entry(db, entry) for entry in entries)

    def _add_entry(self, db: sqlite3.Connection, entry: Entry) -> bool:
        """Write a row of another journal, if it is not here; whether it was written."""
        number = number_of(entry.kind, entry.id)
        if number is None:
            raise ProblemsError([error("journal-id", f"{entry.id!r} is not an id of a {entry.kind}", "")])
        row = db.execute(
            "SELECT record, withdrawn, recorded_at FROM entries WHERE kind = ? AND number = ? AND revision = ?",
            (entry.kind, number, entry.revision),
        ).fetchone()
        if row is None:
            self._insert(entry)
            return True
        there = record_to_text(record_from_text(entry.kind, entry.id, row[0]))
        if (there, *row[1:]) != (record_to_text(entry.record), int(entry.withdrawn), entry.recorded_at):
            message = f"{entry.kind} {entry.id} is already in this journal and says something else"
            hint = "import it into an empty studio folder; nothing was written"
            raise ProblemsError([error("journal-clash", message, hint, str(self.path))])
        return False

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with said_plainly(self.path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                last = self._db.execute("SELECT coalesce(max(seq), 0) FROM entries").fetchone()[0]
                self._act, self._undoes = int(last) + 1, 0
                yield self._db
                self._db.execute("COMMIT")
                self._settle()
            except BaseException:
                with suppress(sqlite3.Error):
                    self._db.execute("ROLLBACK")
                raise

    def _settle(self) -> None:
        """Bring what was written from the log into the file and empty the log, before it is acknowledged: whoever
        removes, cuts or locks the log afterwards takes nothing away. Another terminal that empties it just then makes
        SQLite give up at once, so it is asked again for ``SETTLES_S``; where a reader stays all that time, the entry
        stays in the log, where it is as safe as the log."""
        until = time.monotonic() + SETTLES_S
        with suppress(sqlite3.OperationalError):
            while self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0] and time.monotonic() < until:
                time.sleep(0.002 + 0.001 * (os.getpid() % 5))

    def _missing(self) -> int:
        """How many rows that were once written are not there: rows are only added, and counted as they are."""
        there, last, counted = self._db.execute(  # in one statement: another program may be writing
            "SELECT count(*), coalesce(max(seq), 0),"
            " (SELECT coalesce(max(seq), 0) FROM sqlite_sequence WHERE name = 'entries') FROM entries"
        ).fetchone()
        return int(max(last, counted) - there)

    def _insert(self, entry: Entry) -> None:
        """Write a row as part of the act that is being written, with the time of now where it has none."""
        text = record_to_text(entry.record)
        try:
            text.encode("utf-8")
        except UnicodeEncodeError as exc:
            hint = "type it again; the terminal sent bytes that are not UTF-8"
            raise ProblemsError([error("text", "a word holds signs that cannot be kept", hint)]) from exc
        number = number_of(entry.kind, entry.id)
        at = entry.recorded_at or datetime.now(UTC).isoformat(timespec="milliseconds")
        self._db.execute(
            f"INSERT INTO entries ({_WRITTEN}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (entry.kind, number, entry.revision, at, int(entry.withdrawn), text, self._act, self._undoes),
        )

    def _latest(self, kind: Kind, id_: str, withdrawn: bool = False) -> Entry:
        """The latest revision of an entry that is there, or of one that was taken back."""
        rows = self.history(kind, id_)
        if not rows:
            hint = phrase("list them with|: glazecalc journal|")
            if kind == "tile":
                hint += typed("; a plan's tiles are in it after: glazecalc tiles ... --record")
            raise ProblemsError([error(f"no-{kind}", f"there is no {kind} {id_.strip()[:20]!r} in the journal", hint)])
        if rows[-1].withdrawn and not withdrawn:
            raise ProblemsError([taken_back(rows[-1])])
        if withdrawn and not rows[-1].withdrawn:
            raise ProblemsError([error("not-withdrawn", f"{kind} {rows[-1].id} was not taken back", "")])
        return rows[-1]

    def _entries(self, which: str, *values: str | int) -> tuple[Entry, ...]:
        with said_plainly(self.path):
            missing = self._missing()
            rows = self._db.execute(f"SELECT {_READ} FROM entries {which}", values).fetchall()
        if missing > 0:
            what = f"{missing} entries that were written down are missing from the journal"
            raise ProblemsError([error("journal-damaged", what, RESTORE, str(self.path))])
        try:
            return tuple(_entry(*row) for row in rows)
        except ValueError as exc:
            message = f"an entry of the journal cannot be read: {exc}"
            raise ProblemsError([error("journal-damaged", message, RESTORE, str(self.path))]) from exc


def taken_back(entry: Entry) -> Problem:
    """What is said of an entry that its owner took back, wherever it is asked for."""
    text = f"{entry.kind} {entry.id} was taken back on {entry.recorded_at[:10]}"
    hint = phrase("bring it back with|: glazecalc record {} --id {} --restore|", entry.kind, entry.id)
    return error("withdrawn", text, hint)


def _entry(
    kind: Kind, number: int, revision: int, recorded_at: str, withdrawn: int, text: str, act: int, undoes: int
) -> Entry:
    """One row of the file as an entry. Raises ValueError where the file is damaged."""
    sorts = (kind, str), (number, int), (revision, int), (recorded_at, str), (withdrawn, int), (text, str), (act, int)
    if kind not in KINDS or not all(isinstance(value, sort) for value, sort in sorts) or number < 0:
        raise ValueError(f"entry {str(number)[:10]!a} is not what was written")
    id_ = id_of(kind, number)
    if any("\ud800" <= sign <= "\udfff" for sign in recorded_at + text):
        raise ValueError(f"the text of {kind} {id_} is damaged")
    try:
        return Entry(kind, id_, revision, recorded_at, record_from_text(kind, id_, text), bool(withdrawn), act, undoes)
    except RecursionError:
        raise ValueError(f"the text of {kind} {id_} is damaged") from None


# What was done to a journal, act by act, and which acts still hold: the order in which they can be undone.
#
# An act is all that was written in one go: one tile, a plan of tiles, an import. Undoing writes a new act, so nothing
# is lost; undoing an undoing does the first act again.


class Standing(NamedTuple):
    """Which acts hold: ``done`` are the numbers of acts that can be undone, the last one first in turn.

    ``again`` are pairs of an act that was undone and the act that undid it, which can be done again from the end;
    ``undone`` is every act that no longer holds.
    """

    done: tuple[int, ...]
    again: tuple[tuple[int, int], ...]
    undone: frozenset[int]


def acts_of(entries: Iterable[Entry]) -> tuple[Act, ...]:
    """The rows of a journal, in the order written, as acts; each row with the form before it."""
    before: dict[tuple[Kind, str], Entry] = {}
    steps: dict[int, list[Step]] = {}
    for entry in entries:
        key = entry.kind, entry.id
        steps.setdefault(entry.act, []).append(Step(entry, before.get(key)))
        before[key] = entry
    acts = [Act(number, of[0].entry.recorded_at, tuple(of), of[0].entry.undoes) for number, of in steps.items()]
    undone = standing(acts).undone
    undoing: set[int] = set()
    for act in acts:
        if act.undoes and act.undoes not in undoing:
            undoing.add(act.number)
    return tuple(
        replace(act, undone=act.number in undone, again=act.undoes != 0 and act.number not in undoing) for act in acts
    )


def standing(acts: Sequence[Act]) -> Standing:
    """Which of the acts hold. Something new written after an undoing puts an end to doing again what was undone."""
    done: list[int] = []
    again: list[tuple[int, int]] = []
    gone: set[int] = set()
    for act in acts:
        first = next((pair for pair in again if pair[1] == act.undoes), None)
        if not act.undoes:
            done.append(act.number)
            again = []
        elif act.undoes in done:
            done.remove(act.undoes)
            gone.add(act.undoes)
            again.append((act.undoes, act.number))
        elif first is not None:
            again.remove(first)
            gone.remove(first[0])
            done.append(first[0])
    return Standing(tuple(done), tuple(again), frozenset(gone))
