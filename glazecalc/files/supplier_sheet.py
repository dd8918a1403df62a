"""An analysis as a supplier's sheet prints it, down the page or across it, in weight % or in moles, to materials."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from glazecalc.files.materials import check_sum, element_hint, label_of, read_percent
from glazecalc.files.numbers import plain, read_amount
from glazecalc.files.problems import Findings, made, quote
from glazecalc.files.sheet_layout import HEADS, SheetFigure, SheetPart, parts_of
from glazecalc.files.text import CARD_CEILING, read_text
from glazecalc.values.answers import Problem
from glazecalc.values.inputs import Material, OxideAmount
from glazecalc.values.names import fold
from glazecalc.values.oxides import SYMBOLS

_TEXTS: Final = {
    "name": "name", "material": "name", "product": "name", "product name": "name", "grade": "name", "sample": "name",
    "source": "source", "supplier": "source", "lot": "lot", "lot number": "lot", "lot no": "lot", "batch": "lot",
    "date": "date", "notes": "notes", "formula": "formula", "chemical formula": "formula",
}  # fmt: skip
_NUMBERS: Final = {
    "density": "density", "specific gravity": "density", "price per kg": "price_per_kg", "price": "price_per_kg",
    "moisture": "moisture_percent", "spread percent": "spread_percent", "spread": "spread_percent",
}  # fmt: skip
_MILLIONTHS: Final = re.compile(r"\s*(?:ppm|mg/kg)\s*$", re.IGNORECASE)
_MOST_MOLES: Final = 25.0
"""Figures written before their oxides that add up to less are moles: no analysis in weight % does."""
LONGEST_TEXT: Final = 200
"""Characters of a name, a lot, a source: as in materials.csv, which could not be read again with a longer one."""
DIFFERENCE: Final = 1.0
"""From how far the stated loss on ignition lies from what the oxides leave of 100 it is said [weight %]."""


def key_of(label: str) -> str:
    """The field of a material that a label means, or nothing."""
    folded = _folded(label)
    return _TEXTS.get(folded) or _NUMBERS.get(folded) or ""


def _folded(label: str) -> str:
    return " ".join(re.sub(r"[_:()%]", " ", label.casefold()).split()).rstrip(".")


@dataclass
class _Sheet:
    """What has been read of one material so far."""

    fields: dict[str, Any] = field(default_factory=dict)
    oxides: dict[str, float] = field(default_factory=dict)
    total: tuple[float, int] | None = None


LONGEST_LINE: Final = 5_000
"""Signs of a line of a sheet: a hundred materials side by side, and short for every pattern that is to read it."""


def read_supplier_sheets(path: str | Path) -> tuple[tuple[Material, ...], tuple[Problem, ...]]:
    """The materials a sheet describes, checked: oxides, sum, loss on ignition; none if an error stops one of them."""
    file = "stdin" if str(path) == "-" else str(path)
    found = Findings(file)
    text = read_text(path, found, CARD_CEILING)
    if text is None:
        return (), found.problems
    if not text.strip():
        found.error("empty-file", "there is nothing in it", "write lines such as: SiO2, 65.2")
        return (), found.problems
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            hint = "one material, or one oxide, a line"
            found.error("line-too-long", f"the line is {len(line)} characters long", hint, number)
            return (), found.problems
    parts = parts_of(text, found)
    stem = Path(file).stem if len(parts) == 1 else ""
    made = [_material(part, stem, found) for part in parts] if not found.has_errors else []
    if not parts and not found.has_errors:
        found.error("no-oxides", "no line holds an oxide and a percent", "write lines such as: SiO2, 65.2")
    _refuse_twice([m for m in made if m is not None], found)
    return (tuple(m for m in made if m is not None) if not found.has_errors else ()), found.problems


def read_supplier_sheet(path: str | Path) -> tuple[Material | None, tuple[Problem, ...]]:
    """The only material of a sheet; None if an error stops it, or there are several."""
    materials, problems = read_supplier_sheets(path)
    return materials[0] if len(materials) == 1 else None, problems


def _refuse_twice(materials: list[Material], found: Findings) -> None:
    seen: set[str] = set()
    for material in materials:
        if fold(material.name) in seen:
            found.error("name-twice", f"{quote(material.name)} is on the sheet twice", "name each row", material.line)
        seen.add(fold(material.name))


def _material(part: SheetPart, stem: str, found: Findings) -> Material | None:
    sheet = _Sheet()
    if part.title:
        _take_text("name", part.title, part.line or 1, sheet, found)
    moles = part.moles or _are_moles(part.figures)
    for figure in part.figures:
        _take(figure, sheet, found, moles)
    fields = dict(sheet.fields)
    if "name" not in fields and stem:
        fields["name"] = stem.replace("_", " ").replace("-", " ")
        hint = "write a line: name, ..."
        found.remark("name-assumed", f"the sheet has no name; called {quote(fields['name'])}", hint)
    elif "name" not in fields:
        found.error("name-missing", "a material of the sheet has no name", "write it in the first column", part.line)
        return None
    if moles and sheet.oxides and "formula" not in fields and not found.has_errors:
        fields["formula"] = ".".join(f"{amount:g} {symbol}" for symbol, amount in sheet.oxides.items())
        text = f"the figures of {quote(fields['name'])} are read as moles: {fields['formula']}"
        found.remark("mole-formula", text, "write % beside them if they are weight percents", part.line)
        sheet.oxides.clear()
    analysis = tuple(OxideAmount(oxide=s, amount=sheet.oxides[s]) for s in SYMBOLS if sheet.oxides.get(s))
    return _checked(fields, analysis, sheet, part, found)


def _checked(
    fields: dict[str, Any], analysis: tuple[OxideAmount, ...], sheet: _Sheet, part: SheetPart, found: Findings
) -> Material | None:
    if not analysis and "formula" not in fields and not found.has_errors:
        text = f"{quote(fields['name'])} has no oxide with a percent"
        found.error("no-oxides", text, "write lines such as: SiO2, 65.2", part.line)
    if analysis and not found.has_errors:
        _check_total(sheet, fields, found, part.line)
    if found.has_errors:
        return None
    fields |= {"analysis": analysis, "kind": "supplier", "own": True, "file": found.file, "line": part.line}
    return made(Material, fields, "the sheet", found)


def _are_moles(figures: list[SheetFigure]) -> bool:
    """Whether figures written before their oxides, without a percent sign, are moles of a formula."""
    oxides = [f for f in figures if label_of(f.label).what in ("oxide", "loi")]
    if len(oxides) < 2 or any(not f.first or "%" in f.cell or label_of(f.label).what == "loi" for f in oxides):
        return False
    amounts = [read_amount(f.cell, Findings(None), None, True) for f in oxides]
    return all(a is not None for a in amounts) and sum(a.value for a in amounts if a is not None) < _MOST_MOLES


def _take(figure: SheetFigure, sheet: _Sheet, found: Findings, moles: bool) -> None:
    """One labelled figure of the sheet into its place."""
    label, cell, line = figure.label, figure.cell, figure.line
    folded, kind = _folded(label), label_of(label)
    if folded in _TEXTS:
        _take_text(_TEXTS[folded], cell, line, sheet, found)
    elif folded in _NUMBERS:
        amount = read_amount(re.sub(r"\s*[a-zA-Z/%]+\d?$", "", cell), found, line, True) if cell else None
        sheet.fields |= {} if amount is None else {_NUMBERS[folded]: amount.value}
    elif folded in {"total", "sum", "totals"}:
        percent = read_percent(cell, "the total", found, line)
        sheet.total = None if percent is None else (percent, line)
    elif kind.what == "oxide":
        _take_oxide(kind.symbol, label, cell, line, sheet, found)
    elif kind.what == "loi":
        percent = _loi(cell, found, line) if cell else None
        sheet.fields |= {} if percent is None else {"loi": percent}
    elif folded not in HEADS:
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
    elif cell:
        found.remark("row-not-read", f"{shown} is not used", "oxides are written by symbol, such as SiO2", line)


def _check_total(sheet: _Sheet, fields: dict[str, Any], found: Findings, line: int | None) -> None:
    loi = fields.get("loi")
    oxides = sum(sheet.oxides.values())
    total = oxides + (loi or 0.0)
    check_sum(fields["name"], total, loi, found, None)
    if loi is not None and abs(100.0 - total) > DIFFERENCE and not found.has_errors:
        text = f"{quote(fields['name'])}: the loss on ignition is kept as stated, {loi:g} %; its oxides leave "
        found.remark("loi-differs", f"{text}{100 - oxides:.4g} %", "a figure may be missing or mistyped", line)
    if sheet.total is not None and abs(sheet.total[0] - total) > 0.3:
        text = f"the sheet's total says {sheet.total[0]:g}, its figures add up to {total:.4g}"
        found.remark("total-disagrees", text, "a figure may be missing or mistyped", sheet.total[1])
