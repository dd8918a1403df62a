"""The whole journal as one CSV file and back, every revision included, and safe to open in a spreadsheet.

A cell that a spreadsheet could take for a formula is written with an apostrophe before it, which is taken
off on the way back; plain numbers are left alone. What has parts stands in plain words: ``5 down; 6 half``,
``1:00 = 300``; a recipe has a column for each of its parts. Files of an older program, with JSON in such cells, are
read too.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from typing import Any, Final, TextIO

from glazecalc.files.journal import from_json, number_of, record_from_fields, record_to_fields
from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.data import guarded, unguarded
from glazecalc.values.records import KINDS, RECORD_TYPES, Entry, Kind
from glazecalc.values.texts import phrase
from glazecalc.values.units import clock

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
        hint = phrase("make one with|: glazecalc journal --export FILE.csv|")
        raise ProblemsError([error("not-an-export", f"the table has no column {missing[0]!r}", hint, file, 1)])
    entries, problems = [], []
    try:
        for row in reader:
            try:
                entries.append(_entry({k: unguarded(v or "") for k, v in row.items() if isinstance(k, str)}))
            except (ValueError, RecursionError) as exc:
                what, hint = f"this row cannot be read: {exc}", "mend it or leave it out"
                problems.append(error("row", what, hint, file, reader.line_num))
    except csv.Error as exc:
        raise ProblemsError([error("table", f"the table breaks off: {exc}", "", file, reader.line_num)]) from exc
    if problems:
        raise ProblemsError(problems)
    return tuple(entries)


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


# The cells of a saved journal that hold more than one thing: in plain words, and back without a loss.
#
# Parts stand side by side with ``; `` between; a backslash goes before a semicolon or a backslash of a name.

RECIPE_COLUMNS: Final = ("recipe_name", "recipe_kind", "recipe_cone", "recipe_lines", "recipe_moles")
_NUMBER: Final = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?", re.ASCII)
_WHOLE: Final = frozenset({"coats", "on_elements"})
_ADDED: Final = " added"
_PART: Final = re.compile(r"((?:[^;\\]|\\.)*)(?:; |\Z)", re.DOTALL)


def cell_of(name: str, value: Any) -> str:
    """A field's plain value as its cell; nothing is an empty cell."""
    if value is None or isinstance(value, str):
        return value or ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return _figure(value)
    write, _ = _FORMS[name]
    return _joined(map(write, value))


def value_of(name: str, cell: str) -> Any:
    """The field that :func:`cell_of` wrote, or an older program as JSON. Raises ValueError for a cell that is none."""
    if cell[:1] in "[{" or cell in ("true", "false"):
        return from_json(cell)
    if name in _FORMS:
        _, read = _FORMS[name]
        return [read(part) for part in _parted(cell)]
    if name == "reached":
        if cell not in ("yes", "no"):
            raise ValueError(f"{cell[:20]!a} is neither yes nor no")
        return cell == "yes"
    return int(cell) if name in _WHOLE and cell.isascii() and cell.isdigit() else _number(cell)


def recipe_cells(recipe: Mapping[str, Any] | None) -> dict[str, str]:
    """The cells of a recipe as it was mixed; all empty where there is none."""
    if recipe is None:
        return dict.fromkeys(RECIPE_COLUMNS, "")
    mixed = [(_pair((line["material"], line["amount"])), line["addition"]) for line in recipe["lines"]]
    return {
        "recipe_name": recipe["name"], "recipe_kind": recipe["kind"], "recipe_cone": recipe["cone"],
        "recipe_lines": _joined(f"{line}{_ADDED if added else ''}" for line, added in mixed),
        "recipe_moles": _joined(map(_pair, recipe["moles"])),
    }  # fmt: skip


def recipe_of(row: Mapping[str, str]) -> dict[str, Any] | None:
    """The recipe that :func:`recipe_cells` wrote. Raises ValueError for cells that are none."""
    name, kind, cone, lines, moles = (row.get(column, "") for column in RECIPE_COLUMNS)
    if not any((name, kind, cone, lines, moles)):
        return None
    return {
        "name": name, "kind": kind, "cone": cone,
        "lines": [_line_of(part) for part in _parted(lines)], "moles": [_pair_of(part) for part in _parted(moles)],
    }  # fmt: skip


def _line_of(part: str) -> dict[str, Any]:
    added = part.endswith(_ADDED)
    name, amount = _pair_of(part.removesuffix(_ADDED) if added else part)
    return {"material": name, "amount": amount, "addition": added}


def _pair(pair: Any) -> str:
    return f"{_guarded(pair[0])} {_figure(pair[1])}"


def _pair_of(part: str) -> tuple[str, float]:
    name, _, figure = part.rpartition(" ")
    return _plain(name), _number(figure)


def _words_of(part: str) -> tuple[str, str]:
    name, parted, value = part.partition(" = ")
    if not parted:
        raise ValueError(f"{part[:30]!a} is not NAME = BAG")
    return _plain(name), _plain(value)


def _witness_of(part: str) -> dict[str, str]:
    cone, _, bend = part.partition(" ")
    return {"cone": _plain(cone), "bend": _plain(bend)}


def _reading(reading: Mapping[str, Any]) -> str:
    hours = reading["at_h"]
    return f"{clock(hours) if _hours(clock(hours)) == hours else _figure(hours)} = {_figure(reading['degC'])}"


def _reading_of(part: str) -> dict[str, float]:
    at, _, heat = part.partition(" = ")
    return {"at_h": _hours(at), "degC": _number(heat)}


def _hours(text: str) -> float:
    """Hours from ``2:30`` or ``2.5`` [h], in as many digits as the journal keeps."""
    whole, colon, minutes = text.partition(":")
    return float(f"{_number(whole) + (_number(minutes) / 60 if colon else 0.0):.9g}")


_FORMS: Final[dict[str, tuple[Callable[[Any], str], Callable[[str], Any]]]] = {
    "results": (lambda result: _guarded(str(result)), lambda part: _plain(part)),
    "cones": (lambda cone: f"{_guarded(cone['cone'])} {_guarded(cone['bend'])}", _witness_of),
    "readings": (_reading, _reading_of),
    "weighed": (_pair, _pair_of),
    "lots": (lambda pair: f"{_guarded(pair[0])} = {_guarded(pair[1])}", _words_of),
}
"""How a part of each field is written, and read again."""


def _figure(value: float) -> str:
    """A number as a person writes it, and the same number when it is read again."""
    return str(int(value)) if float(value).is_integer() and abs(value) < 1e15 else repr(value)


def _number(text: str) -> float:
    if not _NUMBER.fullmatch(text):
        raise ValueError(f"{text[:20]!a} is not a number")
    return float(text)


def _joined(parts: Iterable[str]) -> str:
    text = "; ".join(parts)
    return f"\\{text}" if text[:1] in ("[", "{") else text


def _parted(cell: str) -> list[str]:
    parts, at = [], 0
    while at < len(cell):
        match = _PART.match(cell, at)
        if match is None or match.end() == at:
            raise ValueError(f"{cell[at : at + 20]!a} is not parted by '; '")
        parts.append(match[1])
        at = match.end()
    return parts


def _guarded(text: str) -> str:
    return re.sub(r"([\\;])", r"\\\1", text)


def _plain(text: str) -> str:
    return re.sub(r"\\(.)", r"\1", text, flags=re.DOTALL)
