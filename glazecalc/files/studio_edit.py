"""Changes single figures of a studio.toml and leaves every other line, comment and space as its owner wrote it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

Figure = str | float | int | bool
Changes = Mapping[tuple[str, str], Figure]
"""What to set: ``("body", "cone_low")`` in the usual clay, ``("defaults", "cone")`` in a table of its own."""

_LISTS: Final = ("body", "kiln", "circuit", "room")
"""Tables of which a studio may have several; the one that `[defaults]` names is changed, else the first."""

BLANK: Final = """# Your studio. Every line that begins with # is a blank: take the # away and fill it in.
# Figures may carry a unit in quotes: "6 in", "0.75 cuft", "40 ft". Cones stand in quotes: "06" is not "6".
# What is left blank is never guessed: an answer that needs it says so.

# ---- the scale: its smallest step, and the most it bears ----
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

# ---- what is meant when a command names nothing ----
# [defaults]
# cone = ""
"""


def set_figures(before: str, changes: Changes, names: Mapping[str, str]) -> str:
    """The text of a studio.toml with ``changes`` made; an empty ``before`` begins a new one.

    A clay, kiln or outlet that is new takes its name from ``names`` where the changes give none, and becomes the usual.

    Raises
    ------
    ValueError
        if ``before`` is not TOML, or a table of it is no table.
    """
    import tomlkit

    document: Any = tomlkit.parse(before)
    usual: dict[str, str] = {}
    for (table, key), figure in changes.items():
        row = _row(document, table, names)
        if key == "name" and table in _LISTS:
            usual[table] = str(row.get("name", ""))
        row[key] = figure
    for table in dict.fromkeys(table for table, _ in changes if table in _LISTS):
        defaults = _row(document, "defaults", names)
        meant, name = str(defaults.get(table, "")), str(_row(document, table, names, usual.get(table)).get("name", ""))
        if name and meant.casefold() in ("", usual.get(table, meant).casefold()):
            defaults[table] = name
    return tomlkit.dumps(document)


def _row(document: Any, table: str, names: Mapping[str, str], renamed: str | None = None) -> Any:
    """The table that is changed: of several the usual one, else the first; made where there is none."""
    import tomlkit

    if table not in document:
        row = tomlkit.table()
        if table in _LISTS:
            row["name"] = names.get(table, table)
            several = tomlkit.aot()
            several.append(row)
            document[table] = several
        else:
            document[table] = row
    rows = document[table]
    if not isinstance(rows, list):
        if isinstance(rows, dict):
            return rows
        raise ValueError(f"{table} is written as something else than a table")
    meant = str(document.get("defaults", {}).get(table, "")).casefold()
    return next((row for row in rows if renamed is None and str(row.get("name", "")).casefold() == meant), rows[0])
