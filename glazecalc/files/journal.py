"""The studio's journal: what was recorded stays recorded. One file, many terminals, corrections as new
rows.
"""

from __future__ import annotations

import json
import sqlite3
import types
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import asdict, fields, is_dataclass, replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self, TypeVar, Union, get_args, get_origin, get_type_hints

from glazecalc.files.journal_place import FILE_NAME
from glazecalc.files.journal_schema import RESTORE, open_file, said_plainly
from glazecalc.values.answers import Problem, ProblemsError, error, remark
from glazecalc.values.oxides import INDEX
from glazecalc.values.records import (
    KINDS,
    BatchRecord,
    Entry,
    FiringRecord,
    FrozenLine,
    FrozenRecipe,
    Kind,
    Reading,
    Record,
    TileRecord,
    TileResult,
    WitnessCone,
    kind_of,
)

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


def record_to_fields(record: Record) -> dict[str, Any]:
    """The record's fields without its id, as plain JSON values."""
    values = asdict(record)
    del values["id"]
    return values


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
        record = _BUILDERS[kind](id_, dict(values))
    except (TypeError, KeyError, IndexError, AttributeError, OverflowError) as exc:
        raise ValueError(f"it is no {kind} as the journal keeps them") from exc
    _check_sorts(record)
    return record


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


@cache
def _hints(cls: type) -> dict[str, Any]:
    return get_type_hints(cls)


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


def with_id(record: Record, id_: str) -> Record:
    """The same record under the id the journal gave it."""
    return replace(record, id=id_)


def _recipe(written: Any) -> FrozenRecipe | None:
    if written is None:
        return None
    values = dict(written)
    lines = tuple(FrozenLine(**line) for line in values.pop("lines"))
    moles = tuple((str(oxide), float(share)) for oxide, share in values.pop("moles"))
    return FrozenRecipe(lines=lines, moles=moles, **values)


def _tile(id_: str, values: dict[str, Any]) -> TileRecord:
    recipe, results = _recipe(values.pop("recipe")), tuple(TileResult(r) for r in values.pop("results"))
    return TileRecord(id=id_, recipe=recipe, results=results, **values)


def _firing(id_: str, values: dict[str, Any]) -> FiringRecord:
    cones = tuple(WitnessCone(**c) for c in values.pop("cones"))
    readings = tuple(Reading(**r) for r in values.pop("readings"))
    return FiringRecord(id=id_, cones=cones, readings=readings, **values)


def _batch(id_: str, values: dict[str, Any]) -> BatchRecord:
    recipe = _recipe(values.pop("recipe"))
    weighed = tuple((str(m), float(g)) for m, g in values.pop("weighed"))
    lots = tuple((str(m), str(lot)) for m, lot in values.pop("lots"))
    return BatchRecord(id=id_, recipe=recipe, weighed=weighed, lots=lots, **values)


_BUILDERS: Final[dict[Kind, Callable[[str, dict[str, Any]], Record]]] = {
    "tile": _tile,
    "firing": _firing,
    "batch": _batch,
}


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
        return self.amend(kind, id_, lambda _: changes)

    def amend(self, kind: Kind, id_: str, change: Callable[[Record], Mapping[str, Any]]) -> Record:
        """The same with fields worked out from the latest revision, so that two who add at once lose nothing."""
        with self._writing() as db:
            latest = self._latest(db, kind, id_)
            changed = replace(latest.record, **change(latest.record))
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
