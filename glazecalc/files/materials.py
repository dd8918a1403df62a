"""Tables of raw materials: the built-in one, and the studio's own materials.csv."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final, NamedTuple

from glazecalc.files.grammar import tidy_lines
from glazecalc.files.numbers import plain, read_amount
from glazecalc.files.problems import Findings, made, quote
from glazecalc.files.text import TABLE_CEILING, TableRow, fits_head, read_text, table_rows
from glazecalc.values.answers import Problem, did_you_mean
from glazecalc.values.data import read_table
from glazecalc.values.inputs import Material, OxideAmount
from glazecalc.values.names import fold
from glazecalc.values.oxides import OXIDE_TABLE, SYMBOLS, find_oxide, suggest_oxide

# One cell of an analysis: a percent, a trace, a `less than`, and the slips a sheet makes in naming its oxides.

TO_OXIDE: Final[dict[str, tuple[str, float]]] = {
    "Si": ("SiO2", 2.1393), "Al": ("Al2O3", 1.8895), "B": ("B2O3", 3.2199), "Li": ("Li2O", 2.1525),
    "Na": ("Na2O", 1.3480), "K": ("K2O", 1.2046), "Mg": ("MgO", 1.6583), "Ca": ("CaO", 1.3992),
    "Sr": ("SrO", 1.1826), "Ba": ("BaO", 1.1165), "Zn": ("ZnO", 1.2447), "Ti": ("TiO2", 1.6685),
    "Zr": ("ZrO2", 1.3508), "Fe": ("Fe2O3", 1.4297), "Mn": ("MnO", 1.2912), "P": ("P2O5", 2.2914),
    "Pb": ("PbO", 1.0772), "Co": ("CoO", 1.2715), "Ni": ("NiO", 1.2726), "Cu": ("CuO", 1.2518),
    "Cr": ("Cr2O3", 1.4616), "Sn": ("SnO2", 1.2696), "V": ("V2O5", 1.7852), "S": ("SO3", 2.4969),
}  # fmt: skip
"""Grams of oxide that hold one gram of the element; the tests recompute each with another library's atomic masses."""

_ELEMENTS: Final = frozenset(oxide.atoms[0][0] for oxide in OXIDE_TABLE if len(oxide.atoms) > 1)
_NOTHING: Final = frozenset({
    "", "-", "--", "\N{EN DASH}", "\N{EM DASH}", "n.d.", "n.b.", "nd", "n/d", "n.a.", "na", "n/a", "nil", "none", "bdl",
    "b.d.l.",
})  # fmt: skip
_TRACES: Final = frozenset({"trace", "traces", "tr", "tr.", "t"})
_BELOW: Final = re.compile(r"(?:<|\N{LESS-THAN OR EQUAL TO}|less than|max\.?|under)\s*(.+)", re.IGNORECASE)
_ABOVE: Final = re.compile(r"(?:>|\N{GREATER-THAN OR EQUAL TO}|more than|min\.?|over)\s*(.+)", re.IGNORECASE)
_ABOUT: Final = re.compile(r"(?:~|\N{ALMOST EQUAL TO}|about|approx\.?|ca\.?|c\.)\s*(?=[\d.,])", re.IGNORECASE)
_SPREAD: Final = re.compile(r"\s*(?:\N{PLUS-MINUS SIGN}|\+/-|\+-).*$")
_LOI: Final = re.compile(
    r"l\.?\s?o\.?\s?i\.?|loss on ignition|ignition loss|loss|gl[uü]hverlust|g\.?v\.?|perte au feu|p\.?a\.?f\.?",
    re.IGNORECASE,
)
_LABEL_NOISE: Final = re.compile(r"\(.*?\)|\[.*?\]|\b(?:wt|mass|weight|percent|content|as)\b\.?|%|:|\*", re.IGNORECASE)


class SheetLabel(NamedTuple):
    """What a row or column of an analysis is about: ``what`` is oxide, loi, element, several, misspelt or other."""

    what: str
    symbol: str = ""


LONGEST_LABEL: Final = 200
"""Signs of a label that are read; no column is headed by more."""


def label_of(text: str) -> SheetLabel:
    """The oxide, or the slip, that a label of an analysis stands for.

    >>> [label_of(text).what for text in ("SiO2 (%)", "L.O.I.", "K20", "Fe", "K2O+Na2O")]
    ['oxide', 'loi', 'misspelt', 'element', 'several']
    >>> label_of("K20").symbol
    'K2O'
    """
    text = text[:LONGEST_LABEL]
    bare = _LABEL_NOISE.sub(" ", text).strip(" .,=_-")[:80]
    symbol = find_oxide(bare)
    if symbol:
        return SheetLabel("oxide", symbol)
    if _LOI.fullmatch(bare) or _LOI.fullmatch(text.strip(" :%")) or re.match(r"l\.?o\.?i\b", bare, re.IGNORECASE):
        return SheetLabel("loi")
    if bare in _ELEMENTS:
        return SheetLabel("element", bare)
    parts = [find_oxide(part) for part in re.split(r"\s*(?:\+|/|&|\band\b)\s*", bare)]
    if len(parts) > 1 and all(parts):
        return SheetLabel("several", "+".join(part for part in parts if part))
    if bare.casefold() in {"kna2o", "knao", "k2o.na2o", "r2o", "ro", "r2o3", "alkalis", "alkalies", "total alkalis"}:
        return SheetLabel("several", bare)
    meant = suggest_oxide(bare) if any(c.isdigit() for c in bare) and re.fullmatch(r"[A-Za-z0-9]{2,6}", bare) else None
    return SheetLabel("misspelt", meant) if meant else SheetLabel("other", bare)


def read_percent(text: str, what: str, found: Findings, line: int | None) -> float | None:
    """The percent in a cell [weight %]: 0 for a trace, half the limit for `<0.1`; None with an error."""
    typed = plain(text).strip().strip('"').strip()
    folded = typed.casefold()
    if folded in _NOTHING:
        return 0.0
    if folded in _TRACES:
        found.remark("trace", f"{what} is given as a trace and counted as 0", "", line)
        return 0.0
    below, above = _BELOW.fullmatch(typed), _ABOVE.fullmatch(typed)
    typed = _SPREAD.sub("", _ABOUT.sub("", (below or above)[1] if below or above else typed))  # type: ignore[index]
    amount = read_amount(typed, found, line, comma_is_decimal=True)
    if amount is None:
        return None
    if above:
        found.remark("limit-given", f"{what} is given only as a lower limit; {amount.value:g} is used", "", line)
    if below:
        found.remark("limit-given", f"{what} is given as less than {amount.value:g}; half of it is used", "", line)
        return amount.value / 2
    if amount.unit not in {"", "%"}:
        found.error("not-a-percent", f"{what} {quote(text)} is not a percent", "an analysis is in weight %", line)
        return None
    return amount.value


def read_loi(text: str, found: Findings, line: int | None) -> float | None:
    """The loss on ignition in a cell [weight %]; below zero for a material that gains weight."""
    if plain(text).startswith("-") and any(c.isdigit() for c in text):
        gain = read_percent(plain(text)[1:], "loi", found, line)
        return None if gain is None else -gain
    return read_percent(text, "loi", found, line)


def say_slip(label: SheetLabel, named: str, found: Findings, line: int, cell: str = "") -> bool:
    """An error for a label that is nearly an oxide's, or an element's; whether it is one."""
    if label.what == "misspelt":
        found.error("unknown-oxide", f"{named} is not an oxide", f"did you mean {label.symbol}?", line)
    elif label.what == "element":
        percent = read_percent(cell, label.symbol, Findings(None), None)
        hint = _as_oxide(label.symbol, percent)
        found.error("element-not-oxide", f"{named} is an element, not an oxide", hint, line)
    return label.what in ("misspelt", "element")


def _as_oxide(symbol: str, percent: float | None) -> str:
    """How an element's percent becomes its oxide's."""
    if symbol not in TO_OXIDE:
        return "give it as its oxide"
    oxide, factor = TO_OXIDE[symbol]
    made = f": {percent:g} % {symbol} is {percent * factor:.4g} % {oxide}" if percent else ""
    return f"{oxide} is {symbol} times {factor:g}{made}"


def check_sum(name: str, total: float, loi: float | None, found: Findings, line: int | None) -> None:
    """Say how an analysis adds up: near 100 is silent, off is a remark, far off an error.

    ``total`` is the sum with the loss on ignition [weight %].
    """
    known = "with its loss on ignition " if loi is not None else ""
    text = f"the analysis of {quote(name)} {known}adds up to {total:.4g} %"
    if total > 110 or (loi is not None and total < 85) or total < 30:
        found.error("sum-far-off", text, "an analysis is in weight % and adds up to about 100", line)
    elif loi is None and total < 98:
        found.remark("loi-missing", f"{text}, and no loss on ignition is given", "give `loi` if the sheet has it", line)
    elif not 98 <= total <= 102:
        found.remark("sum-off", text, "about 100 is usual; a figure may be missing or mistyped", line)


TEXT_COLUMNS: Final = ("name", "formula", "kind", "family", "lot", "date", "source", "notes", "solubility")
LIST_COLUMNS: Final = ("aliases", "hazards", "volatile")
NUMBER_COLUMNS: Final = (
    "loi", "density", "spread_percent", "usual_low", "usual_high", "moisture_percent", "price_per_kg",
)  # fmt: skip
FLAG_COLUMNS: Final = ("plastic", "slow_melting")
COLUMNS: Final = (*TEXT_COLUMNS, *LIST_COLUMNS, *NUMBER_COLUMNS, *FLAG_COLUMNS)
_SPELLINGS: Final = {key.replace("_", " "): key for key in COLUMNS} | {
    "material": "name", "alias": "aliases", "also called": "aliases", "spread": "spread_percent", "hazard": "hazards",
    "moisture": "moisture_percent", "price": "price_per_kg", "price per kg": "price_per_kg",
    "specific gravity": "density",
    "note": "notes", "lot number": "lot", "batch": "lot",
}  # fmt: skip
_CHOICES: Final = {
    "kind": ("ideal", "certified", "published", "typical", "supplier"), "solubility": ("soluble", "partly", "no"),
}  # fmt: skip
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
    fields |= {key: row[key].casefold() in _YES for key in FLAG_COLUMNS}
    fields["analysis"] = tuple(OxideAmount(oxide=s, amount=float(row[s])) for s in SYMBOLS if row.get(s))
    return Material(**fields, line=line)


def read_materials(path: str | Path) -> tuple[tuple[Material, ...], tuple[Problem, ...]]:
    """The materials of a studio's materials.csv; a row with an error is left out, the others are read."""
    found = Findings(str(path))
    text = read_text(path, found, TABLE_CEILING)
    if text is None:
        return (), found.problems
    rows = table_rows(text, found)
    if not rows:
        found.remark("empty-file", "there are no materials in it")
        return (), found.problems
    head = _head(rows[0], rows[1:], found)
    if "name" not in head.values():
        hint = "its first line names the columns"
        found.error("column-missing", "the table has no column `name`", hint, rows[0].line)
        return (), found.problems
    materials: list[Material] = []
    for row in rows[1:]:
        if found.flooded:
            break
        if fits_head(row, len(rows[0].cells), found):
            material = _material(row, head, found)
            materials += [material] if material is not None else []
    _refuse_twice(materials, found)
    return tuple(materials), found.problems


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
    if folded in _SPELLINGS:
        return _SPELLINGS[folded]
    label = label_of(typed)
    return label.symbol if label.what == "oxide" else ("loi" if label.what == "loi" else None)


def _say_column(typed: str, line: int, found: Findings) -> None:
    label = label_of(typed)
    named = f"the column {quote(typed)}" if typed else "a column without a name"
    if label.what == "several":
        found.error("oxides-together", f"{named} holds several oxides", "give each oxide a column of its own", line)
    elif not say_slip(label, named, found, line):
        found.remark("unknown-column", f"{named} is not used", did_you_mean(typed, COLUMNS), line)


def _material(row: TableRow, head: dict[int, str], found: Findings) -> Material | None:
    """The material of a row, or None with an error."""
    cells = {key: row.cells[i] if i < len(row.cells) else "" for i, key in head.items()}
    quiet = Findings(found.file)
    fields = _texts(cells, quiet, row.line)
    fields |= {key: _parts(cells[key]) for key in LIST_COLUMNS if cells.get(key)}
    fields |= _numbers(cells, quiet, row.line)
    name = str(fields.get("name", ""))
    if "<" in name or "&" in name:
        fields["aliases"] = (*fields.get("aliases", ()), *(as_read for _, as_read, _ in tidy_lines(name) if as_read))
    fields["hazards"] = tuple(h for h in fields.get("hazards", NOT_ENTERED) if h.casefold() != "none")
    fields |= {key: cells.get(key, "").casefold() in _YES for key in FLAG_COLUMNS}
    analysis = _analysis(cells, quiet, row.line)
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
    fields |= {"analysis": analysis, "own": True, "file": found.file, "line": row.line}
    return made(Material, fields, f"the material {quote(name)}", found, row.line)


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
        elif key in _CHOICES and text.casefold() not in _CHOICES[key]:
            hint = did_you_mean(text, _CHOICES[key]) or f"it is one of {', '.join(_CHOICES[key])}"
            found.error("not-a-choice", f"{quote(text)} is no {key} of material", hint, line)
        else:
            fields[key] = text.casefold() if key in _CHOICES else text
    return fields


def _numbers(cells: dict[str, str], found: Findings, line: int) -> dict[str, float]:
    fields: dict[str, float | None] = {}
    for key in (key for key in NUMBER_COLUMNS if cells.get(key)):
        if key == "loi":
            fields[key] = read_loi(cells[key], found, line)
        else:
            amount = read_amount(cells[key], found, line, comma_is_decimal=True)
            fields[key] = None if amount is None else amount.value
    return {key: value for key, value in fields.items() if value is not None}


def _analysis(cells: dict[str, str], found: Findings, line: int) -> tuple[OxideAmount, ...]:
    percents = ((s, read_percent(cells[s], s, found, line)) for s in SYMBOLS if cells.get(s))
    return tuple(OxideAmount(oxide=symbol, amount=percent) for symbol, percent in percents if percent)


def _parts(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(";") if part.strip())


def _refuse_twice(materials: list[Material], found: Findings) -> None:
    seen: dict[str, Material] = {}
    for material in materials:
        for i, name in enumerate((material.name, *material.aliases)):
            other = seen.setdefault(fold(name), material)
            if other is material:
                continue
            text = f"{quote(name)} is also on line {other.line}"
            if i == 0 and fold(name) == fold(other.name):
                found.error("name-twice", text, "give each row a name of its own", material.line)
            else:
                found.remark("name-twice", f"{text}; that row is meant by it", "", material.line)
