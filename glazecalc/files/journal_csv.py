"""The whole journal as one CSV file and back, every revision included, and safe to open in a spreadsheet.

A cell that a spreadsheet could take for a formula is written with an apostrophe before it, which is taken
off on the way back; plain numbers are left alone. What has parts stands in plain words: ``5 down; 6 half``,
``1:00 = 300``; a recipe has a column for each of its parts. Files of an older program, with JSON in such cells, are
read too.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import fields
from typing import Any, Final, TextIO

from glazecalc.files.journal import from_json, number_of, record_from_fields, record_to_fields
from glazecalc.files.journal_cells import RECIPE_COLUMNS, cell_of, recipe_cells, recipe_of, value_of
from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.records import KINDS, RECORD_TYPES, Entry, Kind
from glazecalc.values.spreadsheet import guarded, unguarded

_HEAD: Final = ("kind", "id", "revision", "recorded_at", "withdrawn")
_LONGEST_CELL: Final = 10_000_000
_LONGEST_REVISION: Final = 8
"""Digits of a revision."""


def _columns() -> tuple[str, ...]:
    names = dict.fromkeys(f.name for cls in RECORD_TYPES.values() for f in fields(cls) if f.name != "id")
    del names["recipe"]
    return (*_HEAD, "glaze", *RECIPE_COLUMNS, *(name for name in names if name != "glaze"))


def write_csv(entries: Iterable[Entry], stream: TextIO) -> int:
    """Write rows of the journal; returns how many. ``stream`` must have been opened with ``newline=""``."""
    writer = csv.DictWriter(stream, _columns(), lineterminator="\r\n")
    writer.writeheader()
    count = 0
    for entry in entries:
        count += 1
        row: dict[str, Any] = {
            "kind": entry.kind, "id": entry.id, "revision": entry.revision,
            "recorded_at": entry.recorded_at, "withdrawn": "yes" if entry.withdrawn else "",
        }  # fmt: skip
        values = record_to_fields(entry.record)
        row |= recipe_cells(values.pop("recipe", None))
        row |= {name: cell_of(name, value) for name, value in values.items()}
        writer.writerow({name: guarded(str(value)) for name, value in row.items()})
    return count


def read_csv(stream: TextIO, file: str | None = None) -> tuple[Entry, ...]:
    """The rows :func:`write_csv` wrote. Raises ProblemsError with every row that cannot be read."""
    csv.field_size_limit(_LONGEST_CELL)
    reader = csv.DictReader(stream)
    missing = [name for name in _HEAD if name not in (reader.fieldnames or ())]
    if missing:
        hint = "make one with: glazecalc journal --export FILE.csv"
        raise ProblemsError([error("not-an-export", f"the table has no column {missing[0]!r}", hint, file, 1)])
    entries, problems = [], []
    for row in _rows(reader, file):
        try:
            entries.append(_entry({k: unguarded(v or "") for k, v in row.items() if isinstance(k, str)}))
        except (ValueError, RecursionError) as exc:
            problems.append(
                error("row", f"this row cannot be read: {exc}", "mend it or leave it out", file, reader.line_num)
            )
    if problems:
        raise ProblemsError(problems)
    return tuple(entries)


def _rows(reader: csv.DictReader[str], file: str | None) -> Iterator[dict[str, Any]]:
    try:
        yield from reader
    except csv.Error as exc:
        raise ProblemsError([error("table", f"the table breaks off: {exc}", "", file, reader.line_num)]) from exc


def _entry(row: dict[str, str]) -> Entry:
    kind: Kind = next((k for k in KINDS if k == row["kind"]), "tile")
    if kind != row["kind"]:
        raise ValueError(f"the kind {row['kind'][:20]!r} is not tile, firing or batch")
    if number_of(kind, row["id"]) is None:
        raise ValueError(f"{row['id'][:20]!r} is not an id of a {kind}")
    written = row["revision"]
    if not (written.isascii() and written.isdigit() and len(written) <= _LONGEST_REVISION and int(written)):
        raise ValueError(f"{written[:20]!a} is not a revision; they count from 1")
    record = record_from_fields(kind, row["id"], _fields(kind, row))
    return Entry(kind, row["id"], int(written), row["recorded_at"], record, row["withdrawn"] == "yes")


def _fields(kind: Kind, row: dict[str, str]) -> dict[str, Any]:
    """The cells of one kind's own columns as plain values; a column's default says whether it holds text."""
    values: dict[str, Any] = {}
    for field in fields(RECORD_TYPES[kind]):
        if field.name == "id":
            continue
        cell = row.get(field.name, "")
        if field.name == "recipe":
            values["recipe"] = from_json(cell) if cell else recipe_of(row)
        elif isinstance(field.default, str):
            values[field.name] = cell
        else:
            values[field.name] = value_of(field.name, cell) if cell else field.default
    return values
