"""Adds a material to the studio's materials.csv: nothing in the file is lost, and a half-written file never appears."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Final

from glazecalc.read.findings import Findings, quote
from glazecalc.read.materials import COLUMNS, LIST_COLUMNS, column_key
from glazecalc.read.tables import delimiter_of, table_rows
from glazecalc.read.text import TABLE_CEILING, read_text
from glazecalc.values.inputs import Material
from glazecalc.values.oxides import INDEX
from glazecalc.values.problem import Problem
from glazecalc.values.whole_file import whole_file

_USUAL_HEAD: Final = (
    "name", "aliases", "formula", "SiO2", "Al2O3", "B2O3", "Na2O", "K2O", "MgO", "CaO", "TiO2", "Fe2O3", "loi",
    "density",
    "spread_percent", "hazards", "lot", "date", "price_per_kg", "source",
)  # fmt: skip
_LEFT_OUT: Final = {"own", "file", "line", "analysis", "plastic", "kind", "moisture_percent"}


def write_materials_row(path: str | Path, material: Material, force: bool = False) -> tuple[Problem, ...]:
    """Append ``material`` to the table at ``path``, making the file and missing columns; problems if it was not done.

    A row of the same name is only replaced with ``force``. Other rows, their order and their extra columns stay.
    """
    target = Path(path)
    found = Findings(str(path))
    try:
        if target.is_symlink() and not target.exists():
            found.error("no-such-file", f"{quote(str(path), 120)} is a link that leads nowhere", "mend or remove it")
            return found.problems
        target = target.resolve()
        before = target.read_bytes() if target.exists() else None
    except (OSError, RuntimeError) as failure:
        found.error("cannot-read", f"{quote(str(path), 120)} cannot be read: {failure}")
        return found.problems
    text = "" if before is None else read_text(target, found, TABLE_CEILING)
    if text is None:
        return found.problems
    after = with_row(text, material, force, found)
    if after is not None and not found.has_errors:
        _replace(target, before, after, found)
    return found.problems


def with_row(text: str, material: Material, force: bool, found: Findings) -> str | None:
    """The text of a table with the row of ``material`` in it, or None with an error."""
    comments = [line for line in text.split("\n") if line.lstrip().startswith("#")]
    delimiter = delimiter_of(text) if text.strip() else ","
    rows = [list(row.cells) for row in table_rows(text, found, delimiter)]
    if found.has_errors:
        return None
    head = rows.pop(0) if rows else list(_USUAL_HEAD)
    keys = [column_key(cell) or cell for cell in head]
    if "name" not in keys:
        found.error("column-missing", "the table has no column `name`", "its first line names the columns", 1)
        return None
    values = _values(material)
    for key in (key for key in values if key not in keys):
        head.append(key)
        keys.append(key)
    at = keys.index("name")
    same = [row for row in rows if len(row) > at and row[at].casefold() == material.name.casefold()]
    if same and not force:
        found.error("name-twice", f"{quote(material.name)} is there already", "replace it with --force, or rename it")
        return None
    fresh = [values.get(key, "") for key in keys]
    kept = [row + [""] * (len(head) - len(row)) for row in rows if row not in same]
    return _written(comments, [head, *kept, fresh], delimiter)


def _values(material: Material) -> dict[str, str]:
    """Column -> cell, for what the material states."""
    cells: dict[str, str] = {}
    for key in COLUMNS:
        value = getattr(material, key)
        if key in _LEFT_OUT or value in (None, "", ()):
            continue
        if key in LIST_COLUMNS:
            cells[key] = "; ".join(value)
        else:
            cells[key] = f"{value:.10g}" if isinstance(value, float) else " ".join(str(value).split())
    if material.moisture_percent:
        cells["moisture_percent"] = f"{material.moisture_percent:.10g}"
    oxides = sorted(material.analysis, key=lambda a: INDEX.get(a.oxide, len(INDEX)))
    return cells | {a.oxide: f"{a.amount:.10g}" for a in oxides}


def _written(comments: list[str], rows: list[list[str]], delimiter: str) -> str:
    stream = io.StringIO(newline="")
    stream.writelines(f"{comment}\n" for comment in comments)
    csv.writer(stream, delimiter=delimiter, lineterminator="\n").writerows(rows)
    return stream.getvalue()


class _ChangedMeanwhileError(Exception):
    """Another program wrote the file between reading and writing."""


def _replace(target: Path, before: bytes | None, text: str, found: Findings) -> None:
    """Write the whole file, unless somebody changed it meanwhile."""
    try:
        with whole_file(target) as place:
            place.write_bytes(text.encode("utf-8"))
            if (target.read_bytes() if target.exists() else None) != before:
                raise _ChangedMeanwhileError
    except _ChangedMeanwhileError:
        found.error("changed-meanwhile", f"{quote(target.name)} was changed by another program", "try again")
    except OSError as failure:
        found.error("cannot-write", f"{quote(str(target), 120)} cannot be written: {failure.strerror or failure}")
