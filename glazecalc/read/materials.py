"""Tables of raw materials: the built-in one, and the studio's own materials.csv."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from glazecalc.read.analysis import check_sum, element_hint, label_of, read_percent
from glazecalc.read.findings import Findings, quote
from glazecalc.read.numbers import plain, read_amount
from glazecalc.read.tables import TableRow, fits_head, table_rows
from glazecalc.read.text import TABLE_CEILING, read_text
from glazecalc.read.translate import say_invalid
from glazecalc.values.data import read_table
from glazecalc.values.inputs import Material, OxideAmount
from glazecalc.values.oxides import SYMBOLS
from glazecalc.values.problem import Problem, did_you_mean

TEXT_COLUMNS: Final = ("name", "formula", "kind", "family", "lot", "date", "source", "notes")
LIST_COLUMNS: Final = ("aliases", "hazards", "volatile")
NUMBER_COLUMNS: Final = (
    "loi", "density", "spread_percent", "usual_low", "usual_high", "moisture_percent", "price_per_kg",
)  # fmt: skip
FLAG_COLUMNS: Final = ("plastic",)
COLUMNS: Final = (*TEXT_COLUMNS, *LIST_COLUMNS, *NUMBER_COLUMNS, *FLAG_COLUMNS)
_OTHER_SPELLINGS: Final = {
    "material": "name", "alias": "aliases", "also called": "aliases", "spread": "spread_percent", "hazard": "hazards",
    "moisture": "moisture_percent", "price": "price_per_kg", "price per kg": "price_per_kg",
    "specific gravity": "density",
    "note": "notes", "lot number": "lot", "batch": "lot",
}  # fmt: skip
_KINDS: Final = ("ideal", "certified", "published", "typical", "supplier")
_FORMULA: Final = re.compile(r"[A-Za-z0-9().,\[\]{}*+/ \N{MIDDLE DOT}\N{BULLET}₀-₉]+")
NOT_ENTERED: Final = ("not_entered",)
"""What is cautioned against in an own material of which no hazards were written; ``none`` says that it has none."""
_YES: Final = {"yes", "y", "true", "1", "x"}


@cache
def built_in_materials() -> tuple[Material, ...]:
    """Every material of the shipped table ``materials/materials.csv``, its figures as the data tests checked them.

    Raises
    ------
    ValueError
        if the shipped table is damaged: the installation is broken.
    """
    return tuple(_shipped(row, line) for line, row in enumerate(read_table("materials"), start=2))


def _shipped(row: dict[str, str], line: int) -> Material:
    fields: dict[str, Any] = {key: row[key] for key in TEXT_COLUMNS if row.get(key)}
    fields |= {key: _parts(row[key]) for key in LIST_COLUMNS if row.get(key)}
    fields |= {key: float(row[key]) for key in NUMBER_COLUMNS if row.get(key)}
    fields["plastic"] = row.get("plastic", "").casefold() in _YES
    fields["analysis"] = tuple(OxideAmount(oxide=s, amount=float(row[s])) for s in SYMBOLS if row.get(s))
    return Material(**fields, line=line)


def read_materials(path: str | Path, own: bool = True) -> tuple[tuple[Material, ...], tuple[Problem, ...]]:
    """The materials of a studio's materials.csv; a row with an error is left out, the others are read."""
    found = Findings(str(path))
    text = read_text(path, found, TABLE_CEILING)
    if text is None:
        return (), found.problems
    return materials_of(text, found, own), found.problems


def materials_of(text: str, found: Findings, own: bool = True) -> tuple[Material, ...]:
    """The materials of a table's text."""
    rows = table_rows(text, found)
    if not rows:
        found.remark("empty-file", "there are no materials in it")
        return ()
    head = _head(rows[0], rows[1:], found)
    if "name" not in head.values():
        found.error(
            "column-missing", "the table has no column `name`", "its first line names the columns", rows[0].line
        )
        return ()
    materials: list[Material] = []
    for row in rows[1:]:
        if found.flooded:
            break
        if fits_head(row, len(rows[0].cells), found):
            material = _material(row, head, own, found)
            if material is not None:
                materials.append(material)
    _refuse_twice(materials, found)
    return tuple(materials)


def _head(first: TableRow, rows: Sequence[TableRow], found: Findings) -> dict[int, str]:
    """Column number -> its key: one of COLUMNS or an oxide's symbol. Other columns are said and left out."""
    head: dict[int, str] = {}
    for i, typed in enumerate(first.cells):
        key = column_key(typed)
        if key and key in head.values():
            found.error("column-twice", f"the column {quote(typed)} is there twice", "keep one", first.line)
        elif key:
            head[i] = key
        elif any(i < len(row.cells) and row.cells[i] for row in rows):
            _say_column(typed, first.line, found)
    return head


def column_key(typed: str) -> str | None:
    """The key a column's head stands for: one of COLUMNS, an oxide's symbol, or None."""
    folded = " ".join(re.sub(r"[_\s]+", " ", typed.casefold()).split())
    for key in COLUMNS:
        if folded == key.replace("_", " "):
            return key
    if folded in _OTHER_SPELLINGS:
        return _OTHER_SPELLINGS[folded]
    label = label_of(typed)
    return label.symbol if label.what == "oxide" else ("loi" if label.what == "loi" else None)


def _say_column(typed: str, line: int, found: Findings) -> None:
    label = label_of(typed)
    shown = f"the column {quote(typed)}" if typed else "a column without a name"
    if label.what == "misspelt":
        found.error("unknown-oxide", f"{shown} is not an oxide", f"did you mean {label.symbol}?", line)
    elif label.what == "element":
        found.error("element-not-oxide", f"{shown} is an element, not an oxide", element_hint(label.symbol), line)
    elif label.what == "several":
        found.error("oxides-together", f"{shown} holds several oxides", "give each oxide a column of its own", line)
    else:
        hint = did_you_mean(typed, COLUMNS)
        found.remark("unknown-column", f"{shown} is not used", hint, line)


def _material(row: TableRow, head: dict[int, str], own: bool, found: Findings) -> Material | None:
    """The material of a row, or None with an error."""
    cells = {key: row.cells[i] if i < len(row.cells) else "" for i, key in head.items()}
    quiet = Findings(found.file)
    fields = _texts(cells, quiet, row.line)
    fields |= {key: _parts(cells[key]) for key in LIST_COLUMNS if cells.get(key)}
    fields |= _numbers(cells, quiet, row.line)
    if own:
        fields["hazards"] = tuple(h for h in fields.get("hazards", NOT_ENTERED) if h.casefold() != "none")
    fields["plastic"] = cells.get("plastic", "").casefold() in _YES
    analysis = _analysis(cells, quiet, row.line)
    name = str(fields.get("name", ""))
    if not name:
        quiet.error("name-missing", "a material without a name", "", row.line)
    elif bool(analysis) == bool(fields.get("formula")):
        what = "both a formula and an analysis" if analysis else "neither a formula nor an analysis"
        quiet.error("one-description", f"{quote(name)} has {what}", "give one of the two", row.line)
    elif analysis and not quiet.has_errors:
        loi = fields.get("loi")
        check_sum(name, sum(a.amount for a in analysis) + (loi or 0.0), loi, quiet, row.line)
    found.extend(quiet.problems)
    if quiet.has_errors:
        return None
    try:
        return Material(**fields, analysis=analysis, own=own, file=found.file, line=row.line)
    except ValidationError as failure:
        say_invalid(failure, f"the material {quote(name)}", found, row.line)
        return None


def _texts(cells: dict[str, str], found: Findings, line: int) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    for key in TEXT_COLUMNS:
        text = cells.get(key, "")
        if not text:
            continue
        if text[0] in "=@":
            hint = "write the value itself"
            found.error("spreadsheet-formula", f"{key} {quote(text)} is a spreadsheet's formula", hint, line)
        elif key == "formula" and not _FORMULA.fullmatch(text):
            found.error("formula", f"{quote(text)} is not a chemical formula", "write it as K2O.Al2O3.6SiO2", line)
        elif key == "kind" and text.casefold() not in _KINDS:
            hint = did_you_mean(text, _KINDS) or f"it is one of {', '.join(_KINDS)}"
            found.error("not-a-choice", f"{quote(text)} is no kind of material", hint, line)
        else:
            fields[key] = text.casefold() if key == "kind" else text
    return fields


def _numbers(cells: dict[str, str], found: Findings, line: int) -> dict[str, float]:
    fields: dict[str, float] = {}
    for key in NUMBER_COLUMNS:
        text = cells.get(key, "")
        if key == "loi" and plain(text).startswith("-"):  # a gain of weight on ignition
            gain = read_amount(plain(text)[1:], found, line, True)
            fields |= {} if gain is None else {key: -gain.value}
        elif text and key == "loi":
            percent = read_percent(text, key, found, line)
            fields |= {} if percent is None else {key: percent}
        elif text:
            amount = read_amount(text, found, line, True)
            fields |= {} if amount is None else {key: amount.value}
    return fields


def _analysis(cells: dict[str, str], found: Findings, line: int) -> tuple[OxideAmount, ...]:
    oxides = []
    for symbol in SYMBOLS:
        text = cells.get(symbol, "")
        percent = read_percent(text, symbol, found, line) if text else None
        if percent:
            oxides.append(OxideAmount(oxide=symbol, amount=percent))
    return tuple(oxides)


def _parts(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(";") if part.strip())


def _refuse_twice(materials: list[Material], found: Findings) -> None:
    seen: dict[str, Material] = {}
    for material in materials:
        for i, name in enumerate((material.name, *material.aliases)):
            other = seen.setdefault(name.casefold(), material)
            if other is material:
                continue
            text = f"{quote(name)} is also on line {other.line}"
            if i == 0 and name.casefold() == other.name.casefold():
                found.error("name-twice", text, "give each row a name of its own", material.line)
            else:
                found.remark("name-twice", f"{text}; that row is meant by it", "", material.line)
