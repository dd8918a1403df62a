"""An analysis as a supplier's sheet prints it, down the page or across it, in weight % or in moles, to materials."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, Final

from glazecalc.files.materials import SheetLabel, check_sum, label_of, read_loi, read_percent, say_slip
from glazecalc.files.numbers import read_amount
from glazecalc.files.problems import Findings, made, quote
from glazecalc.files.sheet_layout import HEADS, NUMBERS, TEXTS, TOTALS, SheetFigure, SheetPart, folded, parts_of
from glazecalc.files.text import open_text
from glazecalc.values.answers import Problem
from glazecalc.values.inputs import Material, OxideAmount
from glazecalc.values.names import fold
from glazecalc.values.oxides import SYMBOLS

_MILLIONTHS: Final = re.compile(r"\s*(?:ppm|mg/kg)\s*$", re.IGNORECASE)
_MOST_MOLES: Final = 25.0
"""Figures written before their oxides that add up to less are moles: no analysis in weight % does."""
LONGEST_TEXT: Final = 200
"""Characters of a name, a lot, a source: as in materials.csv, which could not be read again with a longer one."""
DIFFERENCE: Final = 1.0
"""From how far the stated loss on ignition lies from what the oxides leave of 100 it is said [weight %]."""


LONGEST_LINE: Final = 5_000
"""Signs of a line of a sheet: a hundred materials side by side, and short for every pattern that is to read it."""


def read_supplier_sheets(path: str | Path) -> tuple[tuple[Material, ...], tuple[Problem, ...]]:
    """The materials a sheet describes, checked: oxides, sum, loss on ignition; none if an error stops one of them."""
    text, found = open_text(path)
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
    stem = Path(str(path)).stem if len(parts) == 1 else ""
    made = [_material(part, stem, found) for part in parts] if not found.has_errors else []
    if not parts and not found.has_errors:
        found.error("no-oxides", "no line holds an oxide and a percent", "write lines such as: SiO2, 65.2")
    _refuse_twice([m for m in made if m is not None], found)
    return (tuple(m for m in made if m is not None) if not found.has_errors else ()), found.problems


def _refuse_twice(materials: list[Material], found: Findings) -> None:
    seen: set[str] = set()
    for material in materials:
        if fold(material.name) in seen:
            found.error("name-twice", f"{quote(material.name)} is on the sheet twice", "name each row", material.line)
        seen.add(fold(material.name))


def _material(part: SheetPart, stem: str, found: Findings) -> Material | None:
    sheet = _Sheet(found)
    if part.title:
        sheet.take_text("name", part.title, part.line or 1)
    for figure in part.figures:
        sheet.take(figure)
    fields = sheet.fields
    if "name" not in fields and stem:
        fields["name"] = stem.replace("_", " ").replace("-", " ")
        hint = "write a line: name, ..."
        found.remark("name-assumed", f"the sheet has no name; called {quote(fields['name'])}", hint)
    elif "name" not in fields:
        found.error("name-missing", "a material of the sheet has no name", "write it in the first column", part.line)
        return None
    name = quote(fields["name"])
    moles = part.moles or _are_moles(part.figures)
    if moles and sheet.oxides and "formula" not in fields and not found.has_errors:
        fields["formula"] = ".".join(f"{amount:g} {symbol}" for symbol, amount in sheet.oxides.items())
        text = f"the figures of {name} are read as moles: {fields['formula']}"
        found.remark("mole-formula", text, "write % beside them if they are weight percents", part.line)
        sheet.oxides.clear()
    analysis = tuple(OxideAmount(oxide=s, amount=sheet.oxides[s]) for s in SYMBOLS if sheet.oxides.get(s))
    if not analysis and "formula" not in fields and not found.has_errors:
        found.error("no-oxides", f"{name} has no oxide with a percent", "write lines such as: SiO2, 65.2", part.line)
    if analysis and not found.has_errors:
        sheet.check_total(part.line)
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
    return all(amounts) and sum(amount.value for amount in amounts if amount) < _MOST_MOLES


class _Sheet:
    """What has been read of one material so far."""

    def __init__(self, found: Findings) -> None:
        self.found = found
        self.fields: dict[str, Any] = {}
        self.oxides: dict[str, float] = {}
        self.total: tuple[float, int] | None = None

    def take(self, figure: SheetFigure) -> None:
        """One labelled figure of the sheet into its place."""
        typed, cell, line, _ = figure
        bare, label = folded(typed), label_of(typed)
        if bare in TEXTS:
            self.take_text(TEXTS[bare], cell, line)
        elif bare in NUMBERS:
            figures = re.sub(r"\s*[a-zA-Z/%]+\d?$", "", cell)
            amount = read_amount(figures, self.found, line, True) if cell else None
            self.fields |= {} if amount is None else {NUMBERS[bare]: amount.value}
        elif bare in TOTALS:
            percent = read_percent(cell, "the total", self.found, line)
            self.total = None if percent is None else (percent, line)
        elif label.what == "oxide":
            self._take_oxide(label.symbol, figure)
        elif label.what == "loi":
            percent = read_loi(cell, self.found, line) if cell else None
            self.fields |= {} if percent is None else {"loi": percent}
        elif bare not in HEADS:
            self._refuse(label, figure)

    def take_text(self, key: str, cell: str, line: int) -> None:
        """A name, a lot, a source into its place."""
        if cell[:1] in {"=", "@"}:
            text = f"{key} {quote(cell)} is a spreadsheet's formula"
            self.found.error("spreadsheet-formula", text, "write the value itself", line)
        elif len(cell) > LONGEST_TEXT:
            text = f"{key} {quote(cell)} is longer than {LONGEST_TEXT} characters"
            self.found.error("text-too-long", text, "shorten it", line)
        elif cell:
            self.fields.setdefault(key, cell)

    def _take_oxide(self, symbol: str, figure: SheetFigure) -> None:
        millionths = bool(_MILLIONTHS.search(figure.cell)) or "ppm" in figure.label.casefold()
        percent = read_percent(_MILLIONTHS.sub("", figure.cell), symbol, self.found, figure.line)
        if percent is None:
            return
        if millionths:
            percent /= 10_000
            text = f"{symbol} in parts per million is read as {percent:g} %"
            self.found.remark("unit-converted", text, "", figure.line)
        if symbol in self.oxides:
            self.found.error("named-twice", f"{symbol} is given twice", "keep one", figure.line)
        self.oxides.setdefault(symbol, percent)

    def _refuse(self, label: SheetLabel, figure: SheetFigure) -> None:
        typed = quote(figure.label)
        if label.what == "several":
            hint = "ask the supplier for each; if only the sum is known, enter it as the one that prevails"
            self.found.error("oxides-together", f"{typed} is a sum of several oxides", hint, figure.line)
        elif not say_slip(label, typed, self.found, figure.line, figure.cell) and figure.cell:
            hint = "oxides are written by symbol, such as SiO2"
            self.found.remark("row-not-read", f"{typed} is not used", hint, figure.line)

    def check_total(self, line: int | None) -> None:
        """Say how the figures add up, and whether they agree with the sheet's own total."""
        loi = self.fields.get("loi")
        oxides = sum(self.oxides.values())
        total = oxides + (loi or 0.0)
        check_sum(self.fields["name"], total, loi, self.found, None)
        hint = "a figure may be missing or mistyped"
        if loi is not None and abs(100.0 - total) > DIFFERENCE and not self.found.has_errors:
            kept = f"{quote(self.fields['name'])}: the loss on ignition is kept as stated, {loi:g} %"
            self.found.remark("loi-differs", f"{kept}; its oxides leave {100 - oxides:.4g} %", hint, line)
        if self.total is not None and abs(self.total[0] - total) > 0.3:
            text = f"the sheet's total says {self.total[0]:g}, its figures add up to {total:.4g}"
            self.found.remark("total-disagrees", text, hint, self.total[1])
