"""Changes in a studio's files: figures, rows, stock; every other line and comment stays as its owner wrote it."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from glazecalc.files import studio
from glazecalc.files.materials import COLUMNS, FLAG_COLUMNS, LIST_COLUMNS, column_key
from glazecalc.files.problems import Findings, quote
from glazecalc.files.studio import MATERIALS_FILE, NOT_WEIGHED_G, STOCK_FILE, STUDIO_FILE
from glazecalc.files.text import TABLE_CEILING, comments_of, delimiter_of, read_text, table_rows, table_text
from glazecalc.files.writing import keep, one_writer, whole_file, write_file
from glazecalc.values.answers import Problem, ProblemsError, error
from glazecalc.values.inputs import Material
from glazecalc.values.names import fold
from glazecalc.values.oxides import INDEX
from glazecalc.values.texts import phrase

Figure = str | float | int | bool
Changes = Mapping[tuple[str, str], Figure | None]
"""What to set: ``("body", "cone_low")`` in the usual clay, ``("defaults", "cone")`` in a table of its own; a point
leads into a table within: ``("kiln", "interior.shape")``. A None takes the figure away."""
ANOTHER: Final = ""
"""In place of a name: not one that is there, but another."""

LISTS: Final = ("body", "kiln", "circuit", "room")
"""Tables of which a studio may have several; the one that `[defaults]` names is changed, else the first."""

BLANK: Final = """# Your studio. Every line that begins with # is a blank: take the # away and fill it in.
# Figures may carry a unit in quotes: "6 in", "0.75 cuft", "40 ft". Cones stand in quotes: "06" is not "6".
# What is left blank is never guessed: an answer that needs it says so.

# ---- the scale: its smallest step, and the most it weighs ----
# [scale]
# resolution_g =
# capacity_g =

# ---- the clay, as its bag says ----
# [[body]]
# name = ""
# class = ""            # earthenware, terracotta, stoneware, porcelain, bone china, raku
# cone_low = ""
# cone_high = ""

# ---- the kiln: copy its plate ----
# [[kiln]]
# name = ""
# volts =
# amps =
# watts =
# plug = ""
# cone = ""

# ---- the outlet the kiln is plugged into, and its breaker ----
# [[circuit]]
# name = ""
# volts =
# breaker_A =
# receptacle = ""
# cord = ""             # none, extension, adapter, power strip

# ---- what to use when a command names nothing ----
# [defaults]
# cone = ""
"""


def set_figures(before: str, changes: Changes, names: Mapping[str, str], which: Mapping[str, str] | None = None) -> str:
    """The text of a studio.toml with ``changes`` made; an empty ``before`` begins a new one.

    ``which`` is, by table, the name of the one that is changed, or :data:`ANOTHER`; without it the usual one is. A
    clay, kiln or outlet that is new takes its name from ``names`` where the changes give none; the first becomes the
    usual.

    Raises
    ------
    ValueError
        if ``before`` is not TOML, a table of it is no table, or none has the name.
    """
    import tomlkit

    document: Any = tomlkit.parse(before)
    rows: dict[str, Any] = {}
    before_that: dict[str, str] = {}
    for (table, key), figure in changes.items():
        if table not in rows:
            rows[table] = _row(document, table, names, (which or {}).get(table))
            before_that[table] = str(rows[table].get("name", ""))
        _set(rows[table], key, figure)
    for table in (table for table in rows if table in LISTS):
        defaults = _row(document, "defaults", names) if document.get("defaults") or table != "room" else {}
        meant, name = str(defaults.get(table, "")), str(rows[table].get("name", ""))
        if name and (meant.casefold() == before_that[table].casefold() or (not meant and table != "room")):
            defaults[table] = name
    return tomlkit.dumps(document)


def _set(row: Any, key: str, figure: Figure | None) -> None:
    """Set a figure of a row, or take it away, and the inner table that is empty without it."""
    import tomlkit

    outer, _, inner = key.rpartition(".")
    within = row
    if outer:
        if not isinstance(row.get(outer), dict):
            row[outer] = tomlkit.inline_table()
        within = row[outer]
    if figure is None:
        within.pop(inner, None)
    else:
        within[inner] = figure
    if outer and not within:
        row.pop(outer)


def _row(document: Any, table: str, names: Mapping[str, str], which: str | None = None) -> Any:
    """The table that is changed: the one named, else of several the usual one, else the first; made if missing."""
    there = document.get(table)
    if there is None or (which == ANOTHER and isinstance(there, list)):
        return _added(document, table, names)
    rows = there if isinstance(there, list) else [there]
    if not all(isinstance(row, dict) for row in rows):
        raise ValueError(f"{table} is written as something else than a table")
    if which == ANOTHER:
        raise ValueError(f"[{table}] is written as one table; write it as [[{table}]]")
    if which is not None:
        found = next((row for row in rows if name_in(table, row).casefold() == which.casefold()), None)
        if found is None:
            raise ValueError(f"there is no {table} {which!r}")
        return found
    meant = str(document.get("defaults", {}).get(table, "")).casefold()
    return next((row for row in rows if str(row.get("name", "")).casefold() == meant), rows[0])


def name_in(table: str, row: Mapping[str, Any]) -> str:
    """The name by which one of several is known; a scale needs none."""
    return str(row.get("name", "scale" if table == "scale" else ""))


def _added(document: Any, table: str, names: Mapping[str, str]) -> Any:
    import tomlkit

    row = tomlkit.table()
    if table in LISTS:
        name = names.get(table, table)
        taken = {str(other.get("name", "")).casefold() for other in document.get(table, ())}
        free = (one for one in (name, *(f"{name} {n}" for n in range(2, 999))) if one.casefold() not in taken)
        row["name"] = next(free, name)
    if isinstance(document.get(table), list):
        document[table].append(row)
        return document[table][-1]
    if table not in LISTS:
        document[table] = row
        return document[table]
    several = tomlkit.aot()
    several.append(row)
    document[table] = several
    return document[table][0]


# A studio.toml and a stock.csv written anew: what was there before is kept, and one writer at a time.


def keep_and_write(folder: Path, after: str) -> tuple[Problem, ...]:
    """Write studio.toml anew and keep what it says now, so that it can be put back; what was noticed on reading it.

    Raises ProblemsError where what is to be written could not be read.
    """
    path = folder / STUDIO_FILE
    problems = studio.read_studio_text(after, str(path))
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    if path.is_file():
        keep(path)
    write_file(path, after, force=True)
    return problems


def stock_with(folder: Path, names: Sequence[str]) -> None:
    """Add materials to stock.csv, their grams not known; what stands there already is left as it is."""

    def change(text: str) -> str:
        text = text if not text or text.endswith("\n") else f"{text}\n"
        delimiter = delimiter_of(text)
        there = {row[0].strip().casefold() for row in csv.reader(io.StringIO(text), delimiter=delimiter) if row}
        head = [] if text.strip() else [["name", "grams"]]
        new = [[name, ""] for name in dict.fromkeys(names) if name.casefold() not in there]
        return text + table_text((), [*head, *new], delimiter)

    _change_stock(folder, change)


def changed_stock(folder: Path, grams: Mapping[str, float | None]) -> None:
    """Write what stands on the shelf into stock.csv; None takes a material off it, comments and the rest stay."""
    asked = {name.casefold(): (name, amount) for name, amount in grams.items()}

    def change(text: str) -> str:
        delimiter = delimiter_of(text)
        read = csv.reader(io.StringIO(text), delimiter=delimiter)
        rows = [row for row in read if row and not row[0].lstrip().startswith("#")]
        headed = bool(rows) and rows[0][0].strip().casefold() in studio.STOCK_HEADS
        head = rows.pop(0) if headed else ["name", "grams"]
        kept = [row for row in rows if row[0].strip().casefold() not in asked]
        there = [(name, amount) for name, amount in asked.values() if amount is not None]
        new = [[n, "" if g <= NOT_WEIGHED_G else f"{g:g}", *[""] * (len(head) - 2)] for n, g in there]
        return table_text(comments_of(text), [head, *kept, *new], delimiter)

    _change_stock(folder, change)


def _change_stock(folder: Path, change: Callable[[str], str]) -> None:
    path = folder / STOCK_FILE
    with one_writer(folder):
        keep(path)
        before = (read_text(path, Findings(str(path))) or "") if path.is_file() else ""
        write_file(path, change(before), force=True)


# A studio's materials.csv with rows added, renamed or taken out: other rows, columns and comments stay, and a
# half-written file never appears.

_USUAL_HEAD: Final = (
    "name", "aliases", "formula", "SiO2", "Al2O3", "B2O3", "Na2O", "K2O", "MgO", "CaO", "TiO2", "Fe2O3", "loi",
    "density", "spread_percent", "hazards", "lot", "date", "price_per_kg", "source",
)  # fmt: skip
_IF_SAID: Final = {*FLAG_COLUMNS, "kind", "solubility", "moisture_percent"}
"""Columns that are not written where they say what is usual, or nothing."""
Rows = list[list[str]]
Change = Callable[[Rows, list[str], Findings], Rows | None]
"""What becomes of the rows of a table, the head first, by them and the keys of its columns; None with an error."""


def write_materials_rows(
    path: Path, materials: Sequence[Material], force: bool = False, first: Callable[[Path], None] | None = None
) -> tuple[Problem, ...]:
    """Append materials to the table at ``path``, all or none, making the file and missing columns; problems if it was
    not done. ``first`` is called with ``path`` just before.

    A row of the same name is only replaced with ``force``. Other rows, their order and their extra columns stay.
    """

    def change(rows: Rows, keys: list[str], found: Findings) -> Rows | None:
        if not rows:
            rows, keys = [list(_USUAL_HEAD)], list(_USUAL_HEAD)
        for material in materials:
            if not found.has_errors:
                rows = with_row(rows, keys, material, force, found)
        return rows

    return _rewrite(path, change, first)


def with_row(rows: Rows, keys: list[str], material: Material, force: bool, found: Findings) -> Rows:
    """The rows of a table and that of ``material``; as they are with an error. ``keys`` gets its missing columns."""
    if "name" not in keys:
        found.error("column-missing", "the table has no column `name`", "its first line names the columns", 1)
        return rows
    values = _values(material)
    missing = [key for key in values if key not in keys]
    keys += missing
    at = keys.index("name")
    same = [row for row in rows[1:] if len(row) > at and row[at].casefold() == material.name.casefold()]
    if same and not force:
        hint = phrase("replace it| with --force|, or rename it")
        found.error("name-twice", f"{quote(material.name)} is there already", hint)
    kept = [row + [""] * (len(keys) - len(row)) for row in rows[1:] if row not in same]
    return [rows[0] + missing, *kept, [values.get(key, "") for key in keys]]


def _values(material: Material) -> dict[str, str]:
    """Column -> cell, for what the material states."""
    cells: dict[str, str] = {}
    for key in COLUMNS:
        value = getattr(material, key)
        if key in _IF_SAID or value in (None, "", ()):
            continue
        if key in LIST_COLUMNS:
            cells[key] = "; ".join(value)
        else:
            cells[key] = f"{value:.10g}" if isinstance(value, float) else " ".join(str(value).split())
    if material.moisture_percent:
        cells["moisture_percent"] = f"{material.moisture_percent:.10g}"
    if material.solubility != "no":
        cells["solubility"] = material.solubility
    cells |= {key: "yes" for key in FLAG_COLUMNS if getattr(material, key)}
    oxides = sorted(material.analysis, key=lambda a: INDEX.get(a.oxide, len(INDEX)))
    return cells | {a.oxide: f"{a.amount:.10g}" for a in oxides}


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


def _edit(
    folder: Path, name: str, edit: Callable[[list[str], int, int], list[str] | None], new: str = ""
) -> tuple[Problem, ...]:
    """Change the row of a material by ``edit``, which is told where its name and its aliases stand."""

    def change(rows: Rows, keys: list[str], found: Findings) -> Rows | None:
        if found.has_errors or "name" not in keys:
            hint = phrase("see|: glazecalc materials|")
            found.error("not-own", f"{quote(name)} is not in the studio's materials.csv", hint)
            return None
        missing = [] if "aliases" in keys else ["aliases"]
        keys += missing
        at, aliases = keys.index("name"), keys.index("aliases")
        table = [row + [""] * (len(keys) - len(row)) for row in rows[1:]]
        if new and any(fold(row[at]) == fold(new) for row in table) and fold(new) != fold(name):
            found.error("name-twice", f"{quote(new)} is there already", "choose another name")
            return None
        meant = [row for row in table if fold(row[at]) == fold(name)]
        if not meant:
            hint = "the shipped materials cannot be changed; an own row of the same name beats them"
            found.error("not-own", f"{quote(name)} is not in the studio's materials.csv", hint)
        edited = [edit(row, at, aliases) if row in meant else row for row in table]
        return [rows[0] + missing, *(row for row in edited if row)]

    return _rewrite(folder / MATERIALS_FILE, change, keep)


def _rewrite(path: Path, change: Change, first: Callable[[Path], None] | None) -> tuple[Problem, ...]:
    """Change the table at ``path`` whole or not at all; problems if it was not done."""
    found = Findings(str(path))
    try:
        if path.is_symlink() and not path.exists():
            found.error("no-such-file", f"{quote(str(path), 120)} is a link that leads nowhere", "mend or remove it")
            return found.problems
        target = path.resolve()
        before = target.read_bytes() if target.exists() else None
    except (OSError, RuntimeError) as failure:
        found.error("cannot-read", f"{quote(str(path), 120)} cannot be read: {failure}")
        return found.problems
    text = "" if before is None else read_text(target, found, TABLE_CEILING)
    if text is None:
        return found.problems
    delimiter = delimiter_of(text)
    rows = [list(row.cells) for row in table_rows(text, found, delimiter)]
    after = change(rows, [column_key(cell) or cell for cell in (rows[0] if rows else ())], found)
    if after is not None and not found.has_errors:
        if first is not None:
            first(path)
        _replace(target, before, table_text(comments_of(text), after, delimiter), found)
    return found.problems


def _replace(target: Path, before: bytes | None, text: str, found: Findings) -> None:
    """Write the whole file, unless another program wrote it since it was read."""
    try:
        with whole_file(target) as place:
            place.write_bytes(text.encode("utf-8"))
            if (target.read_bytes() if target.exists() else None) != before:
                what = f"{quote(target.name)} was changed by another program"
                raise ProblemsError([error("changed-meanwhile", what, "try again", found.file)])
    except ProblemsError as refused:
        found.extend(refused.problems)
    except OSError as failure:
        found.error("cannot-write", f"{quote(str(target), 120)} cannot be written: {failure.strerror or failure}")
