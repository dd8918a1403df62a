"""Changes in a studio's files: figures, rows, stock; every other line and comment stays as its owner wrote it."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from glazecalc.files.materials import column_key, rewrite_materials, with_row
from glazecalc.files.problems import Findings, quote
from glazecalc.files.studio import MATERIALS_FILE, NOT_WEIGHED_G, STOCK_FILE, STUDIO_FILE, read_studio_text
from glazecalc.files.text import delimiter_of, table_rows
from glazecalc.files.writing import keep, one_writer, write_file
from glazecalc.values.answers import Problem, ProblemsError
from glazecalc.values.inputs import Material
from glazecalc.values.names import fold
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
        row["name"] = _free_name(document.get(table, ()), names.get(table, table))
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


def _free_name(rows: Iterable[Mapping[str, Any]], name: str) -> str:
    """The name, or with a number behind it where one has it already."""
    taken = {str(row.get("name", "")).casefold() for row in rows}
    tries = (name, *(f"{name} {number}" for number in range(2, 999)))
    return next((one for one in tries if one.casefold() not in taken), name)


# A studio.toml and a stock.csv written anew: what was there before is kept, and one writer at a time.


def keep_and_write(folder: Path, after: str) -> tuple[Problem, ...]:
    """Write studio.toml anew and keep what it says now, so that it can be put back; what was noticed on reading it.

    Raises ProblemsError where what is to be written could not be read.
    """
    path = folder / STUDIO_FILE
    problems = read_studio_text(after, str(path))
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    if path.is_file():
        keep(path)
    write_file(path, after, force=True)
    return problems


def stock_with(folder: Path, names: Sequence[str]) -> None:
    """Add materials to stock.csv, their grams not known; what stands there already is left as it is."""
    path = folder / STOCK_FILE
    with one_writer(folder):
        keep(path)
        write_file(path, _with_names(path, names), force=True)


def _with_names(path: Path, names: Sequence[str]) -> str:
    from glazecalc.files.text import delimiter_of, read_text

    text = (read_text(path, Findings(str(path))) or "") if path.is_file() else ""
    text = text if not text or text.endswith("\n") else f"{text}\n"
    delimiter = delimiter_of(text) if text.strip() else ","
    there = {row[0].strip().casefold() for row in csv.reader(io.StringIO(text), delimiter=delimiter) if row}
    new = [name for name in dict.fromkeys(names) if name.casefold() not in there]
    out = io.StringIO()
    head = [] if text.strip() else [["name", "grams"]]
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows([*head, *([name, ""] for name in new)])
    return text + out.getvalue()


def changed_stock(folder: Path, grams: Mapping[str, float | None]) -> None:
    """Write what stands on the shelf into stock.csv; None takes a material off it, comments and the rest stay."""
    path = folder / STOCK_FILE
    with one_writer(folder):
        keep(path)
        write_file(path, _with_grams(path, grams), force=True)


def _with_grams(path: Path, grams: Mapping[str, float | None]) -> str:
    from glazecalc.files.text import delimiter_of, read_text

    text = (read_text(path, Findings(str(path))) or "") if path.is_file() else ""
    delimiter = delimiter_of(text) if text.strip() else ","
    comments = [line for line in text.split("\n") if line.lstrip().startswith("#")]
    rows = [r for r in csv.reader(io.StringIO(text), delimiter=delimiter) if r and not r[0].lstrip().startswith("#")]
    head = (
        rows.pop(0)
        if rows and rows[0][0].strip().casefold() in {"name", "material", "materials"}
        else ["name", "grams"]
    )
    asked = {name.casefold(): (name, amount) for name, amount in grams.items()}
    kept = [r for r in rows if r[0].strip().casefold() not in asked]
    there = [(name, amount) for name, amount in asked.values() if amount is not None]
    kept += [[n, "" if g <= NOT_WEIGHED_G else f"{g:g}", *[""] * (len(head) - 2)] for n, g in there]
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows([head, *kept])
    return "".join(f"{c}\n" for c in comments) + out.getvalue()


# A studio's materials.csv with rows added, renamed or taken out: other rows, columns and comments stay.


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
            found.error(
                "not-own", f"{quote(name)} is not in the studio's materials.csv", phrase("see|: glazecalc materials|")
            )
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
