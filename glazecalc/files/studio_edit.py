"""Changes single figures of a studio.toml and leaves every other line, comment and space as its owner wrote it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

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
