"""An analysis as a supplier's sheet prints it: `oxide, percent` down the page or across it, to a Material."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from glazecalc.files.materials import check_sum, element_hint, label_of, read_percent
from glazecalc.files.numbers import plain, read_amount
from glazecalc.files.problems import Findings, quote, say_invalid
from glazecalc.files.text import CARD_CEILING, TableRow, read_text, table_rows
from glazecalc.values.answers import Problem
from glazecalc.values.inputs import Material, OxideAmount
from glazecalc.values.oxides import SYMBOLS

_TEXTS: Final = {
    "name": "name", "material": "name", "product": "name", "grade": "name", "source": "source", "supplier": "source",
    "lot": "lot", "lot number": "lot", "lot no": "lot", "batch": "lot", "date": "date", "notes": "notes",
    "formula": "formula", "chemical formula": "formula",
}  # fmt: skip
_NUMBERS: Final = {
    "density": "density", "specific gravity": "density", "price per kg": "price_per_kg", "price": "price_per_kg",
    "moisture": "moisture_percent", "spread percent": "spread_percent", "spread": "spread_percent",
}  # fmt: skip
_HEADS: Final = {
    "oxide",
    "oxides",
    "component",
    "constituent",
    "compound",
    "analysis",
    "chemical analysis",
    "typical analysis",
}
_MILLIONTHS: Final = re.compile(r"\s*(?:ppm|mg/kg)\s*$", re.IGNORECASE)
_GAP: Final = re.compile(r"\t|\s{2,}|(?<=[\w)%])\s+(?=[<>~]?\s*\d)|\s*[:=]\s*")
LONGEST_TEXT: Final = 200
"""Characters of a name, a lot, a source: as in materials.csv, which could not be read again with a longer one."""


@dataclass
class _Sheet:
    """What has been read of a sheet so far."""

    fields: dict[str, Any] = field(default_factory=dict)
    oxides: dict[str, float] = field(default_factory=dict)
    total: tuple[float, int] | None = None


def read_supplier_sheet(path: str | Path) -> tuple[Material | None, tuple[Problem, ...]]:
    """The material a sheet describes, checked: oxides, sum, loss on ignition; None if an error stops it."""
    file = "stdin" if str(path) == "-" else str(path)
    found = Findings(file)
    text = read_text(path, found, CARD_CEILING)
    if text is None:
        return None, found.problems
    if not text.strip():
        found.error("empty-file", "there is nothing in it", "write lines such as: SiO2, 65.2")
        return None, found.problems
    return _material(_sheet(text, found), Path(file).stem, found), found.problems


def _sheet(text: str, found: Findings) -> _Sheet:
    rows = _rows(text, found)
    sheet = _Sheet()
    head = next((row for row in rows if _oxide_labels(row) >= 2), None)
    if head is not None:
        _read_across(head, rows, sheet, found)
    else:
        widest = len(rows[0].cells) if rows else 0
        for row in rows:
            _read_down(_with_comma(row, widest, found), sheet, found)
    return sheet


def _with_comma(row: TableRow, columns: int, found: Findings) -> TableRow:
    """A row `SiO2,48,5` of a two-column table as `SiO2,48.5`: its decimal comma was taken for a delimiter."""
    if columns != 2 or len(row.cells) != 3 or not all(cell.isdecimal() for cell in row.cells[1:]):
        return row
    joined = f"{row.cells[1]}.{row.cells[2]}"
    text = f"{row.cells[1]},{row.cells[2]} is read as {joined}"
    found.remark("comma-ambiguous", text, "put a number with a decimal comma between quotes", row.line)
    return TableRow(row.line, (row.cells[0], joined))


def _parted_by_comma(line: str) -> bool:
    """Whether a comma follows a word: then it parts cells and is no decimal comma."""
    head, comma, _ = line.partition(",")
    return bool(comma) and any(not (sign.isdigit() or sign.isspace()) for sign in head)


def _rows(text: str, found: Findings) -> tuple[TableRow, ...]:
    """The rows of a sheet; one without a delimiter is parted at wide gaps and before numbers."""
    if re.search(r"[;\t]", text) or any(_parted_by_comma(line) for line in text.split("\n")):
        return table_rows(text, found)
    rows = []
    for line, typed in enumerate(text.split("\n"), start=1):
        cells = tuple(cell.strip() for cell in _GAP.split(typed.strip()[:2000]) if cell and cell.strip())
        if cells and not cells[0].startswith("#"):
            rows.append(TableRow(line, cells))
    return tuple(rows)


def _oxide_labels(row: TableRow) -> int:
    return sum(label_of(cell).what in {"oxide", "loi", "misspelt", "several"} for cell in row.cells)


def _read_across(head: TableRow, rows: tuple[TableRow, ...], sheet: _Sheet, found: Findings) -> None:
    """Oxides as columns: the first row below the head holds the figures."""
    below = [row for row in rows if row.line > head.line]
    for row in rows:
        if row.line < head.line:
            _read_down(row, sheet, found)
    if not below:
        found.error("no-figures", "the oxides have no row of figures below them", "", head.line)
        return
    for i, label in enumerate(head.cells):
        cell = below[0].cells[i] if i < len(below[0].cells) else ""
        if label or cell:
            _take(label or "name", cell, below[0].line, sheet, found)
    for row in below[1:]:
        shown = quote(" ".join(row.cells))
        found.remark(
            "row-not-read", f"one material is read from a sheet; left out: {shown}", "give it a sheet", row.line
        )


def _read_down(row: TableRow, sheet: _Sheet, found: Findings) -> None:
    filled = [cell for cell in row.cells if cell]
    if len(filled) == 1 and "name" not in sheet.fields and not sheet.oxides and label_of(filled[0]).what == "other":
        _take("name", filled[0], row.line, sheet, found)
    elif filled:
        value = next(
            (cell for cell in filled[1:] if any(c.isdigit() for c in cell)), filled[1] if len(filled) > 1 else ""
        )
        _take(filled[0], value, row.line, sheet, found)


def _take(label: str, cell: str, line: int, sheet: _Sheet, found: Findings) -> None:
    """One labelled figure of the sheet into its place."""
    folded = " ".join(re.sub(r"[_:()%]", " ", label.casefold()).split()).rstrip(".")
    kind = label_of(label)
    if folded in _TEXTS:
        _take_text(_TEXTS[folded], cell, line, sheet, found)
    elif folded in _NUMBERS:
        amount = read_amount(re.sub(r"\s*[a-zA-Z/]+\d?$", "", cell), found, line, True) if cell else None
        sheet.fields |= {} if amount is None else {_NUMBERS[folded]: amount.value}
    elif folded in {"total", "sum", "totals"}:
        percent = read_percent(cell, "the total", found, line)
        sheet.total = None if percent is None else (percent, line)
    elif kind.what == "oxide":
        _take_oxide(kind.symbol, label, cell, line, sheet, found)
    elif kind.what == "loi":
        percent = _loi(cell, found, line)
        sheet.fields |= {} if percent is None else {"loi": percent}
    elif folded not in _HEADS:
        _refuse_label(kind.what, kind.symbol, label, cell, line, found)


def _take_text(key: str, cell: str, line: int, sheet: _Sheet, found: Findings) -> None:
    if cell[:1] in {"=", "@"}:
        found.error(
            "spreadsheet-formula", f"{key} {quote(cell)} is a spreadsheet's formula", "write the value itself", line
        )
    elif len(cell) > LONGEST_TEXT:
        what = f"{key} {quote(cell)} is longer than {LONGEST_TEXT} characters"
        found.error("text-too-long", what, "shorten it", line)
    elif cell:
        sheet.fields.setdefault(key, cell)


def _loi(cell: str, found: Findings, line: int) -> float | None:
    if plain(cell).startswith("-") and any(c.isdigit() for c in cell):
        gain = read_percent(plain(cell)[1:], "loi", found, line)
        return None if gain is None else -gain
    return read_percent(cell, "loi", found, line)


def _take_oxide(symbol: str, label: str, cell: str, line: int, sheet: _Sheet, found: Findings) -> None:
    millionths = bool(_MILLIONTHS.search(cell)) or "ppm" in label.casefold()
    percent = read_percent(_MILLIONTHS.sub("", cell), symbol, found, line)
    if percent is None:
        return
    if millionths:
        percent /= 10_000
        found.remark("unit-converted", f"{symbol} in parts per million is read as {percent:g} %", "", line)
    if symbol in sheet.oxides:
        found.error("named-twice", f"{symbol} is given twice", "keep one", line)
    sheet.oxides.setdefault(symbol, percent)


def _refuse_label(what: str, symbol: str, label: str, cell: str, line: int, found: Findings) -> None:
    shown = quote(label)
    if what == "misspelt":
        found.error("unknown-oxide", f"{shown} is not an oxide", f"did you mean {symbol}?", line)
    elif what == "element":
        quiet = Findings(None)
        percent = read_percent(cell, symbol, quiet, None)
        found.error("element-not-oxide", f"{shown} is an element, not an oxide", element_hint(symbol, percent), line)
    elif what == "several":
        hint = "ask the supplier for each; if only the sum is known, enter it as the one that prevails"
        found.error("oxides-together", f"{shown} is a sum of several oxides", hint, line)
    else:
        found.remark("row-not-read", f"{shown} is not used", "oxides are written by symbol, such as SiO2", line)


def _material(sheet: _Sheet, stem: str, found: Findings) -> Material | None:
    fields = dict(sheet.fields)
    if "name" not in fields and stem:
        fields["name"] = stem.replace("_", " ").replace("-", " ")
        found.remark(
            "name-assumed", f"the sheet has no name; called {quote(fields['name'])}", "write a line: name, ..."
        )
    analysis = tuple(OxideAmount(oxide=s, amount=sheet.oxides[s]) for s in SYMBOLS if sheet.oxides.get(s))
    if not analysis and "formula" not in fields and not found.has_errors:
        found.error("no-oxides", "no line holds an oxide and a percent", "write lines such as: SiO2, 65.2")
    if analysis and not found.has_errors:
        _check_total(sheet, fields, found)
    if found.has_errors:
        return None
    try:
        return Material(**fields, analysis=analysis, kind="supplier", own=True, file=found.file)
    except ValidationError as failure:
        say_invalid(failure, "the sheet", found)
        return None


def _check_total(sheet: _Sheet, fields: dict[str, Any], found: Findings) -> None:
    loi = fields.get("loi")
    total = sum(sheet.oxides.values()) + (loi or 0.0)
    check_sum(fields["name"], total, loi, found, None)
    if sheet.total is not None and abs(sheet.total[0] - total) > 0.3:
        text = f"the sheet's total says {sheet.total[0]:g}, its figures add up to {total:.4g}"
        found.remark("total-disagrees", text, "a figure may be missing or mistyped", sheet.total[1])
