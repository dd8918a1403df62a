"""How a supplier's sheet is laid out: its text taken apart into materials, each a title and labelled figures.

Across (a material a row, an oxide a column), that turned round (a material a column), down the page (an oxide a line,
one material below another), or in a sentence. Figures stand before or behind their oxides.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from glazecalc.files.materials import label_of
from glazecalc.files.numbers import plain
from glazecalc.files.pasted import titles_as_names
from glazecalc.files.problems import Findings, quote
from glazecalc.files.text import MOST_COLUMNS, MOST_ROWS, TableRow, with_cells_joined
from glazecalc.values.oxides import find_oxide


class SheetFigure(NamedTuple):
    """One labelled cell of a sheet, as typed; ``first`` says that the figure stood before its label."""

    label: str
    cell: str
    line: int
    first: bool = False


@dataclass
class SheetPart:
    """What a sheet says of one material: its title if it has one, and its figures in order."""

    title: str = ""
    figures: list[SheetFigure] = field(default_factory=list)
    line: int | None = None
    moles: bool = False


HEADS: Final = frozenset({
    "oxide", "oxides", "component", "constituent", "compound", "analysis", "chemical analysis", "typical analysis",
    "chemical composition", "typical chemical analysis", "composition", "wt %", "weight %", "percent", "%", "value",
    "analyse", "oxid", "oxyde", "teneur", "gehalt", "anteil", "komponente", "result", "method", "tolerance", "wt.-%",
    "mol %", "mole %", "mol%",
})  # fmt: skip
"""Words above the figures that say nothing of the material."""
_BEST: Final = ("typical", "average", "mean", "value", "result", "typ", "typ.")
_OTHER_STATISTICS: Final = ("min", "max", "min.", "max.", "minimum", "maximum", "spec", "specification", "guaranteed")
_MOLES: Final = re.compile(
    r"[\s,;:(]*\b(?:unity(?: molecular)?(?: formula)?|umf|molar formula|mole formula|molecular formula|seger formula"
    r"|mole?s?\s*%|mol(?:e|ar)?[ -]?percent|moles)\)?\s*$",
    re.IGNORECASE,
)
_NUMBER: Final = r"(?:[<>~]\s*|less than\s+)?\d+(?:[.,]\d+)?(?:\s*(?:%|ppm|wt\.?\s*%))?"
_LABEL: Final = r"[A-Z][a-z]?[0-9]*O[0-9]*|[Ll]\.?[Oo]\.?[Ii]\.?|[Ll]oss on ignition"
_TOKEN: Final = re.compile(
    rf"(?P<label>\b(?:{_LABEL})(?![A-Za-z0-9]))|(?P<number>(?<![A-Za-z0-9.,]){_NUMBER}(?![0-9]))"
)
_VALUE_FIRST: Final = re.compile(rf"({_NUMBER})\s*[:=]?\s*([A-Za-z][A-Za-z0-9. ()]*)")
_GAP: Final = re.compile(r"\t|\s{2,}|(?<=[\w)%])\s+(?=[<>~]?\s*\d)|\s*[:=]\s*")
_CHEMISTRY: Final = re.compile(
    r"(?:\d+(?:\.\d+)?\s*)?[A-Z][A-Za-z0-9()]*(?:\s*[.*\N{MIDDLE DOT}\N{BULLET}]\s*\d*\s*[A-Z][A-Za-z0-9()]*)+"
)
_ABOUT: Final = re.compile(
    r"\b(?:analysis|composition|figures)\s+(?:of|for)\s+(?:our\s+|the\s+|your\s+)?(.+?)(?:\s+(?:is|are)\s+as follows)?"
    r"\s*:?\s*$",
    re.IGNORECASE,
)
_GREETING: Final = re.compile(
    r"\s*(?:dear|hi|hello|hey|thank|subject|from|to|date|best|kind|regards|yours)\b", re.IGNORECASE
)
NAMES_OF_OXIDES: Final = {
    "silica": "SiO2", "silicon dioxide": "SiO2", "silicon oxide": "SiO2", "alumina": "Al2O3",
    "aluminium oxide": "Al2O3", "aluminum oxide": "Al2O3", "calcium oxide": "CaO", "lime": "CaO",
    "magnesium oxide": "MgO", "magnesia": "MgO", "potassium oxide": "K2O", "potash": "K2O", "sodium oxide": "Na2O",
    "soda": "Na2O", "iron oxide": "Fe2O3", "ferric oxide": "Fe2O3", "titania": "TiO2", "titanium dioxide": "TiO2",
    "titanium oxide": "TiO2", "boric oxide": "B2O3", "boron oxide": "B2O3", "boron trioxide": "B2O3",
    "zinc oxide": "ZnO", "lithium oxide": "Li2O", "lithia": "Li2O", "strontium oxide": "SrO", "barium oxide": "BaO",
    "zirconium oxide": "ZrO2", "zirconia": "ZrO2", "phosphorus pentoxide": "P2O5", "manganese oxide": "MnO",
    "lead oxide": "PbO",
}  # fmt: skip
"""Oxides by their names, read where a sheet has no symbols: beside symbols a name is part of a title."""


def parts_of(text: str, found: Findings) -> list[SheetPart]:
    """The materials of a sheet's text, with their figures."""
    text = titles_as_names(with_cells_joined(text))
    lines = [(number, _one_cell(line.strip())) for number, line in enumerate(text.split("\n"), start=1)]
    lines = [(n, line) for n, line in lines if line and not line.startswith("#") and not set(line) <= set("|-+=: \t")]
    if len(lines) > MOST_ROWS:
        found.error("too-many-lines", f"the sheet has more than {MOST_ROWS} rows", "is this the file you meant?")
        return []
    for at, (number, line) in enumerate(lines):
        delimiter = _head_delimiter(line)
        if delimiter is not None:
            before = _down(lines[:at], text, found)
            return _across(_row(number, line, delimiter), _rows(lines[at + 1 :], delimiter, found), before, found)
    turned = _turned_round(lines, found)
    return turned or _down(lines, text, found)


def _one_cell(line: str) -> str:
    """A row of a table that holds one cell only, as that cell: `"Soda spar, lot 7",,`."""
    if '"' not in line and not line.endswith((",", ";")):
        return line
    for delimiter in (",", ";"):
        cells = cells_of(line, delimiter)
        if len(cells) > 1 and len([cell for cell in cells if cell]) == 1:
            return next(cell for cell in cells if cell)
    return line


def cells_of(line: str, delimiter: str) -> tuple[str, ...]:
    """The cells of one line."""
    if delimiter == " ":
        return tuple(cell.strip() for cell in re.split(r"\t|\s{2,}", line))
    if delimiter == "|":
        line = line.strip().strip("|")
    try:
        row = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        row = line.split(delimiter)
    return tuple(cell.strip() for cell in row[: MOST_COLUMNS + 1])


def _row(number: int, line: str, delimiter: str) -> TableRow:
    return TableRow(number, cells_of(line, delimiter))


def _rows(lines: Sequence[tuple[int, str]], delimiter: str, found: Findings) -> list[TableRow]:
    rows = [_row(number, line, delimiter) for number, line in lines]
    wide = next((row for row in rows if len(row.cells) > MOST_COLUMNS), None)
    if wide is not None:
        found.error("too-many-cells", f"{len(wide.cells)} cells in one row", "is this the sheet you meant?", wide.line)
        return []
    return rows


def is_label(cell: str) -> bool:
    """Whether a cell names an oxide or the loss on ignition, rightly or nearly so."""
    return label_of(cell).what in {"oxide", "loi", "misspelt", "several"}


def _has_digit(cell: str) -> bool:
    return any(c.isdigit() for c in cell)


def _is_figure(cell: str) -> bool:
    return re.match(r"[<>~-]?\s*[\d.,]", plain(cell)) is not None


def _head_delimiter(line: str) -> str | None:
    """The delimiter by which a line is a head of oxide columns, or None."""
    for delimiter in ("\t", "|", ";", ",", " "):
        if delimiter != " " and delimiter not in line:
            continue
        cells = cells_of(line, delimiter)
        if sum(map(is_label, cells)) >= 2 and not any(_is_figure(cell) for cell in cells):
            return delimiter
    return None


# Oxides as columns: every row below is a material.


def _across(head: TableRow, rows: list[TableRow], before: list[SheetPart], found: Findings) -> list[SheetPart]:
    if not rows:
        if not found.has_errors:
            found.error("no-figures", "the oxides have no row of figures below them", "", head.line)
        return []
    above = before[0] if len(before) == 1 else SheetPart()
    named = any(_key_of(cell) == "name" for cell in head.cells)
    parts = []
    for row in rows:
        part = SheetPart(line=row.line, moles=above.moles)
        for i, cell in enumerate(row.cells):
            label = head.cells[i] if i < len(head.cells) else ""
            if not label and not cell:
                continue
            if not named and not part.title and not _is_figure(cell) and (not label or not is_label(label)):
                part.title = cell
            elif label:
                part.figures.append(SheetFigure(label, cell, row.line))
        parts.append(part)
    if len(parts) == 1:
        parts[0].title = parts[0].title or above.title
        parts[0].figures = [*above.figures, *parts[0].figures]
    elif above.figures:
        for part in parts:
            part.figures = [*(f for f in above.figures if _key_of(f.label) not in ("name", "lot")), *part.figures]
    return parts


def _key_of(label: str) -> str:
    from glazecalc.files.supplier_sheet import key_of

    return key_of(label)


# Oxides as rows, materials as columns.


def _turned_round(lines: Sequence[tuple[int, str]], found: Findings) -> list[SheetPart]:
    for at, (number, line) in enumerate(lines):
        for delimiter in ("\t", "|", ";", ",", " "):
            if delimiter != " " and delimiter not in line:
                continue
            head = cells_of(line, delimiter)
            titles = head[1:]
            if len(titles) < 2 or not all(t and not _is_figure(t) and not is_label(t) for t in titles):
                continue
            if any(t.casefold().strip(" %()") in (*_BEST, *_OTHER_STATISTICS, *HEADS) for t in titles):
                continue
            if head[0] and head[0].casefold() not in HEADS and _key_of(head[0]) != "name":
                continue
            rows = [_row(n, text, delimiter) for n, text in lines[at + 1 :]]
            if sum(is_label(r.cells[0]) and len(r.cells) >= len(head) for r in rows) < 2:
                continue
            return [
                SheetPart(
                    title, [SheetFigure(r.cells[0], r.cells[i], r.line) for r in rows if i < len(r.cells)], number
                )
                for i, title in enumerate(titles, start=1)
            ]
    return []


# Down the page: one figure a line, or several in a sentence.


@dataclass
class _Reading:
    """What has been read down the page so far."""

    parts: list[SheetPart] = field(default_factory=lambda: [SheetPart()])
    waiting: list[tuple[int, str]] = field(default_factory=list)
    column: int | None = None
    by_name: bool = False
    several: list[int] = field(default_factory=list)
    """Lines with more than one figure, of which nothing tells which counts."""


def _down(lines: Sequence[tuple[int, str]], text: str, found: Findings) -> list[SheetPart]:
    """The materials of lines one below the other."""
    state = _Reading(by_name=not re.search(r"\b(?:SiO2|Al2O3|CaO|Na2O|B2O3|MgO|K2O)\b", plain(text)))
    for number, line in lines:
        _take_line(number, line, state, found)
    _leave_out(state.waiting, found)
    if len(state.several) > 2:
        text = "more than one column of figures, and nothing says which is meant or whose each is"
        hint = "keep one column, or head each with its material's name and the first with `oxide`"
        found.error("several-amounts", text, hint, state.several[0])
    return [part for part in state.parts if part.title or part.figures]


def _take_line(number: int, line: str, state: _Reading, found: Findings) -> None:
    part = state.parts[-1]
    moles = _MOLES.search(line)
    if moles and not _pairs(line[: moles.start()], number, state, found):
        part.moles = True
        line = line[: moles.start()].strip(" ,;:(")
        if not line:
            return
    column = _statistics(line)
    if column is not None:
        state.column = column
        return
    if _is_head(line) or re.sub(r"[,;:\t ]+", " ", line.casefold()).strip() in _HEAD_LINES:
        return
    if _CHEMISTRY.fullmatch(line) and _names_oxides(line):
        state.waiting = _entitle(part, state.waiting, found)
        part.figures.append(SheetFigure("formula", line, number))
        return
    figures = _pairs(line, number, state, found)
    if not figures:
        state.waiting.append((number, line))
        return
    if _begins_anew(part, figures, state.waiting):
        part = SheetPart()
        state.parts.append(part)
    state.waiting = _entitle(part, state.waiting, found, figures)
    part.line = part.line or number
    part.figures += figures


def _is_head(line: str) -> bool:
    """Whether a line is the head of a column of figures: words such as `Component`, `Result, wt.-%`."""
    if line.casefold().strip(" :%()") in HEADS:
        return True
    cells = [cell.casefold().strip(" :()") for cell in re.split(r"\t|;|\||\s{2,}|,(?!\s)", line) if cell.strip(" |")]
    return len(cells) > 1 and all(cell in HEADS or cell.split(",")[0].strip() in HEADS for cell in cells)


_HEAD_LINES: Final = frozenset({
    "oxide %", "oxide percent", "oxide wt %", "oxide weight %", "oxide value", "component %", "oxide percent %",
})  # fmt: skip


def _names_oxides(line: str) -> bool:
    pieces = re.split(r"\s*[.*\N{MIDDLE DOT}\N{BULLET}]\s*", line)
    bare = [re.sub(r"^[\d.\s]+", "", piece) for piece in pieces]
    return all(find_oxide(b) or b in ("H2O", "CO2", "SO3") for b in bare if b)


def _statistics(line: str) -> int | None:
    """Which figure of a line counts, told by a head such as `typical  min  max`; None for another line."""
    words = re.split(r"\t|;|\||,|\s{2,}", line.casefold())
    words = [w.strip() for w in words]
    moles_and_weight = [w for w in words if re.fullmatch(r"(?:mole?|wt\.?|weight)[ -]?%", w)]
    if len(moles_and_weight) > 1 and any(not w.startswith("mol") for w in moles_and_weight):
        return next(i for i, w in enumerate(moles_and_weight) if not w.startswith("mol"))
    known = [w for w in words if w in (*_BEST, *_OTHER_STATISTICS)]
    if len(known) < 2:
        return None
    figures = [w for w in words if w in (*_BEST, *_OTHER_STATISTICS)]
    return next((i for i, w in enumerate(figures) if w in _BEST), 0)


def _begins_anew(part: SheetPart, figures: list[SheetFigure], waiting: list[tuple[int, str]]) -> bool:
    """Whether a title and an oxide that was told already mean that another material begins."""
    oxides = {label_of(f.label).symbol for f in part.figures if label_of(f.label).what == "oxide"}
    more = {label_of(f.label).symbol for f in figures if label_of(f.label).what == "oxide"}
    named = any(_key_of(f.label) == "name" for f in figures) and any(_key_of(f.label) == "name" for f in part.figures)
    return named or (len(oxides) >= 2 and bool(waiting) and bool(oxides & more))


def _entitle(
    part: SheetPart, waiting: list[tuple[int, str]], found: Findings, figures: Sequence[SheetFigure] = ()
) -> list[tuple[int, str]]:
    """Give a part its title from the lines before its first figure; the other lines are said to be left out."""
    named = any(_key_of(f.label) == "name" for f in (*part.figures, *figures))
    if part.title or named or (part.figures and any(is_label(f.label) for f in part.figures)):
        _leave_out(waiting, found)
        return []
    titles = [(n, about[1]) for n, line in waiting if (about := _ABOUT.search(line))]
    plainly = [(n, line) for n, line in waiting if not _GREETING.match(line)]
    chosen = titles[:1] or plainly[:1]
    if chosen:
        part.title, part.line = _SHEET.sub("", chosen[0][1].strip(" :,;*")), chosen[0][0]
    _leave_out([(n, line) for n, line in waiting if not chosen or n != chosen[0][0]], found)
    return []


_SHEET: Final = re.compile(r"\s*[-\N{EN DASH}:,]\s*(?:technical\s+)?(?:data\s?sheet|typical analysis)$", re.IGNORECASE)


def _leave_out(lines: Sequence[tuple[int, str]], found: Findings) -> None:
    for number, line in lines:
        found.remark("row-not-read", f"{quote(line)} is not used", "oxides are written by symbol, such as SiO2", number)


def _pairs(line: str, number: int, state: _Reading, found: Findings) -> list[SheetFigure]:
    """The labelled figures of one line; none of a line that is a title or a note."""
    if state.by_name and len(_OXIDE_NAMES.findall(line)) > 1:
        return _in_a_sentence(_by_symbol(line), number)
    cells = _cells(line, number, found)
    label = _symbol(cells[0], state) if cells else ""
    if len(cells) > 1 and (_known(label) or _key_of(cells[0])):
        figures = [cell for cell in cells[1:] if _PLAIN_FIGURE.fullmatch(plain(cell))]
        if is_label(label) and len(figures) > 1 and state.column is None:
            state.several.append(number)
        return [SheetFigure(label, _chosen(cells[1:], state.column, _key_of(cells[0])), number)]
    first = _VALUE_FIRST.fullmatch(line.strip())
    if first and _known(_symbol(first[2], state)):
        return [SheetFigure(_symbol(first[2], state), first[1], number, True)]
    return _in_a_sentence(_by_symbol(line) if state.by_name else line, number)


_OXIDE_NAMES: Final = re.compile(
    rf"\b(?:{'|'.join(sorted(map(re.escape, NAMES_OF_OXIDES), key=len, reverse=True))})(?=\s*[:=]?\s*\d)", re.IGNORECASE
)


def _by_symbol(line: str) -> str:
    """A sentence in which the oxides that stand before a figure have their symbols.

    >>> _by_symbol("Silica 47.3, alumina 37.0")
    'SiO2 47.3, Al2O3 37.0'
    """
    return _OXIDE_NAMES.sub(lambda match: NAMES_OF_OXIDES[match[0].casefold()], line)


_PLAIN_FIGURE: Final = re.compile(r"[<>~]?\s*\d+(?:[.,]\d+)?\s*(?:%|ppm)?")


def _known(label: str) -> bool:
    return label_of(label).what != "other" or label.casefold().strip(" :") in {"total", "sum", "totals"}


def _symbol(label: str, state: _Reading) -> str:
    return NAMES_OF_OXIDES.get(label.casefold().strip(" :"), label) if state.by_name else label


def _cells(line: str, number: int, found: Findings) -> tuple[str, ...]:
    """The cells of one line of a column: by its delimiter where its first cell is a label, else at gaps."""
    for delimiter in ("\t", "|", ";", ","):
        if delimiter not in line:
            continue
        cells = cells_of(line, delimiter)
        if cells and (_known(cells[0]) or _key_of(cells[0])):
            return tuple(c for c in _with_comma(cells, delimiter, number, found) if c)
        if delimiter != ",":
            return tuple(c for c in cells if c)
    return tuple(cell.strip() for cell in _GAP.split(line[:2000]) if cell and cell.strip())


def _with_comma(cells: tuple[str, ...], delimiter: str, line: int, found: Findings) -> tuple[str, ...]:
    """A row `SiO2,48,5` as `SiO2,48.5`: its decimal comma was taken for a delimiter."""
    if delimiter != "," or len(cells) != 3 or not all(cell.isdecimal() for cell in cells[1:]):
        return cells
    joined = f"{cells[1]}.{cells[2]}"
    text = f"{cells[1]},{cells[2]} is read as {joined}"
    found.remark("comma-ambiguous", text, "put a number with a decimal comma between quotes", line)
    return cells[0], joined


def _chosen(cells: Sequence[str], column: int | None, key: str) -> str:
    if key in ("name", "source", "notes"):
        return ", ".join(cells)
    figures = [cell for cell in cells if _has_digit(cell) and cell[:1] not in "+\N{PLUS-MINUS SIGN}"] or list(cells)
    return figures[column] if column is not None and column < len(figures) else figures[0]


def _in_a_sentence(line: str, number: int) -> list[SheetFigure]:
    """Oxides and figures by turns in one line: `CaO 55.2 %, MgO 0.4 %`, or the figures before the oxides."""
    if line[:1] in "{[<":
        return []
    tokens = list(_TOKEN.finditer(plain(line)))
    labels = [t for t in tokens if t["label"]]
    if not labels or len([t for t in tokens if t["number"]]) < len(labels):
        return []
    first = tokens[0]["number"] is not None and tokens[-1]["label"] is not None
    figures = []
    for i, token in enumerate(tokens):
        beside = i - 1 if first else i + 1
        if token["label"] and 0 <= beside < len(tokens) and tokens[beside]["number"]:
            figures.append(SheetFigure(token["label"], tokens[beside]["number"], number, first))
    if len(figures) != len(labels) or (len(labels) < 2 and len(line.split()) > 4):
        return []
    before = line[: min(t.start() for t in tokens)].strip(" :,;-")
    return [SheetFigure("name", before, number), *figures] if before and len(labels) > 1 else figures
