"""A studio's materials.csv with rows added, renamed or taken out: other rows, columns and comments stay as they are."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from pathlib import Path

from glazecalc.files.earlier import keep
from glazecalc.files.materials import column_key, rewrite_materials, with_row
from glazecalc.files.problems import Findings, quote
from glazecalc.files.studio import MATERIALS_FILE
from glazecalc.files.text import delimiter_of, table_rows
from glazecalc.values.answers import Problem
from glazecalc.values.inputs import Material
from glazecalc.values.names import fold


def add_materials(folder: Path, materials: Sequence[Material], force: bool) -> tuple[Problem, ...]:
    """Append materials to the studio's table, all or none; what it said before is kept."""

    def add(text: str, found: Findings) -> str | None:
        for material in materials:
            text = with_row(text, material, force, found) or ""
            if found.has_errors:
                return None
        return text

    return rewrite_materials(folder / MATERIALS_FILE, add, lambda: keep(folder / MATERIALS_FILE))


def remove_material(folder: Path, name: str) -> tuple[Problem, ...]:
    """Take a row out of the studio's table; what it said before is kept."""
    return _edit(folder, name, lambda row, at, aliases: None)


def rename_material(folder: Path, old: str, new: str) -> tuple[Problem, ...]:
    """Give a row of the studio's table another name; the old one becomes an alias, so that cards are still read."""

    def renamed(row: list[str], at: int, aliases: int) -> list[str]:
        kept = [part.strip() for part in row[aliases].split(";") if part.strip() and fold(part) != fold(new)]
        row[aliases] = "; ".join(dict.fromkeys((*kept, row[at])))
        row[at] = new
        return row

    return _edit(folder, old, renamed, new)


Edit = Callable[[list[str], int, int], list[str] | None]


def _edit(folder: Path, name: str, edit: Edit, new: str = "") -> tuple[Problem, ...]:
    def change(text: str, found: Findings) -> str | None:
        comments = [line for line in text.split("\n") if line.lstrip().startswith("#")]
        delimiter = delimiter_of(text) if text.strip() else ","
        rows = [list(row.cells) for row in table_rows(text, found, delimiter)]
        keys = [column_key(cell) or cell for cell in (rows[0] if rows else [])]
        if found.has_errors or "name" not in keys:
            found.error("not-own", f"{quote(name)} is not in the studio's materials.csv", "see: glazecalc materials")
            return None
        if "aliases" not in keys:
            keys.append("aliases")
            rows[0].append("aliases")
        at, aliases = keys.index("name"), keys.index("aliases")
        table = [row + [""] * (len(keys) - len(row)) for row in rows[1:]]
        if new and any(fold(row[at]) == fold(new) for row in table) and fold(new) != fold(name):
            found.error("name-twice", f"{quote(new)} is there already", "choose another name")
            return None
        meant = [row for row in table if fold(row[at]) == fold(name)]
        if not meant:
            hint = "the shipped materials cannot be changed; an own row of the same name beats them"
            found.error("not-own", f"{quote(name)} is not in the studio's materials.csv", hint)
            return None
        edited = [edit(row, at, aliases) if row in meant else row for row in table]
        out = io.StringIO(newline="")
        out.writelines(f"{comment}\n" for comment in comments)
        csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows([rows[0], *(r for r in edited if r)])
        return out.getvalue()

    return rewrite_materials(folder / MATERIALS_FILE, change, lambda: keep(folder / MATERIALS_FILE))
