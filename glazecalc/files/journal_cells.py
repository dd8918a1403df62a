"""The cells of a saved journal that hold more than one thing: in plain words, and back without a loss.

Parts stand side by side with ``; `` between; a backslash goes before a semicolon or a backslash that belongs to a name.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final

from glazecalc.files.journal import from_json
from glazecalc.values.units import clock

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
    return _joined(_WRITERS[name](part) for part in value)


def value_of(name: str, cell: str) -> Any:
    """The field that :func:`cell_of` wrote, or an older program as JSON. Raises ValueError for a cell that is none."""
    if cell[:1] in "[{" or cell in ("true", "false"):
        return from_json(cell)
    if name in _READERS:
        return [_READERS[name](part) for part in _parted(cell)]
    if name == "reached":
        if cell not in ("yes", "no"):
            raise ValueError(f"{cell[:20]!a} is neither yes nor no")
        return cell == "yes"
    return int(cell) if name in _WHOLE and cell.isascii() and cell.isdigit() else _number(cell)


def recipe_cells(recipe: Mapping[str, Any] | None) -> dict[str, str]:
    """The cells of a recipe as it was mixed; all empty where there is none."""
    if recipe is None:
        return dict.fromkeys(RECIPE_COLUMNS, "")
    return {
        "recipe_name": recipe["name"], "recipe_kind": recipe["kind"], "recipe_cone": recipe["cone"],
        "recipe_lines": _joined(_line(line) for line in recipe["lines"]),
        "recipe_moles": _joined(_pair(pair) for pair in recipe["moles"]),
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


def _line(line: Mapping[str, Any]) -> str:
    return f"{_pair((line['material'], line['amount']))}{_ADDED if line['addition'] else ''}"


def _line_of(part: str) -> dict[str, Any]:
    added = part.endswith(_ADDED)
    name, amount = _pair_of(part.removesuffix(_ADDED) if added else part)
    return {"material": name, "amount": amount, "addition": added}


def _pair(pair: Any) -> str:
    return f"{_guarded(pair[0])} {_figure(pair[1])}"


def _pair_of(part: str) -> tuple[str, float]:
    name, _, figure = part.rpartition(" ")
    return _plain(name), _number(figure)


def _words(pair: Any) -> str:
    return f"{_guarded(pair[0])} = {_guarded(pair[1])}"


def _words_of(part: str) -> tuple[str, str]:
    name, parted, value = part.partition(" = ")
    if not parted:
        raise ValueError(f"{part[:30]!a} is not NAME = BAG")
    return _plain(name), _plain(value)


def _witness(cone: Mapping[str, Any]) -> str:
    return f"{_guarded(cone['cone'])} {_guarded(cone['bend'])}"


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


_WRITERS: Final[dict[str, Callable[[Any], str]]] = {
    "results": lambda result: _guarded(str(result)), "cones": _witness, "readings": _reading, "weighed": _pair,
    "lots": _words,
}  # fmt: skip
_READERS: Final[dict[str, Callable[[str], Any]]] = {
    "results": lambda part: _plain(part), "cones": _witness_of, "readings": _reading_of, "weighed": _pair_of,
    "lots": _words_of,
}  # fmt: skip


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
