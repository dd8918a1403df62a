"""How a supplier's sheet is laid out: its text taken apart into materials, each a title and labelled figures.

Across (a material a row, an oxide a column), that turned round (a material a column), down the page (an oxide a line,
one material below another), or in a sentence. Figures stand before or behind their oxides.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from glazecalc.files.grammar import cells_of
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


TEXTS: Final = {
    "name": "name", "material": "name", "product": "name", "product name": "name", "grade": "name", "sample": "name",
    "source": "source", "supplier": "source", "lot": "lot", "lot number": "lot", "lot no": "lot", "batch": "lot",
    "date": "date", "notes": "notes", "formula": "formula", "chemical formula": "formula",
}  # fmt: skip
NUMBERS: Final = {
    "density": "density", "specific gravity": "density", "price per kg": "price_per_kg", "price": "price_per_kg",
    "moisture": "moisture_percent", "spread percent": "spread_percent", "spread": "spread_percent",
}  # fmt: skip
TOTALS: Final = frozenset({"total", "sum", "totals"})
HEADS: Final = frozenset({
    "oxide", "oxides", "component", "constituent", "compound", "analysis", "chemical analysis", "typical analysis",
    "chemical composition", "typical chemical analysis", "composition", "wt %", "weight %", "percent", "%", "value",
    "analyse", "oxid", "oxyde", "teneur", "gehalt", "anteil", "komponente", "result", "method", "tolerance", "wt.-%",
    "mol %", "mole %", "mol%",
})  # fmt: skip
"""Words above the figures that say nothing of the material."""
_HEAD_LINES: Final = frozenset({
    "oxide %", "oxide percent", "oxide wt %", "oxide weight %", "oxide value", "component %", "oxide percent %",
})  # fmt: skip
_BEST: Final = ("typical", "average", "mean", "value", "result", "typ", "typ.")
_STATISTICS: Final = (*_BEST, "min", "max", "min.", "max.", "minimum", "maximum", "spec", "specification", "guaranteed")
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


def key_of(label: str) -> str:
    """The field of a material that a label means, or nothing."""
    bare = folded(label)
    return TEXTS.get(bare) or NUMBERS.get(bare) or ""


def folded(label: str) -> str:
    """A label as it is compared."""
    return " ".join(re.sub(r"[_:()%]", " ", label.casefold()).split()).rstrip(".")


def parts_of(text: str, found: Findings) -> list[SheetPart]:
    """The materials of a sheet's text, with their figures."""
    text = titles_as_names(with_cells_joined(text))
    lines = [(number, _one_cell(line.strip())) for number, line in enumerate(text.split("\n"), start=1)]
    lines = [(n, line) for n, line in lines if line and not line.startswith("#") and not set(line) <= set("|-+=: \t")]
    if len(lines) > MOST_ROWS:
        found.error("too-many-lines", f"the sheet has more than {MOST_ROWS} rows", "is this the file you meant?")
        return []
    for at, (number, line) in enumerate(lines):
        for delimiter, cells in _by_each_delimiter(line):
            if sum(map(is_label, cells)) >= 2 and not any(map(_is_figure, cells)):
                rows = [TableRow(n, _cells_of(below, delimiter)) for n, below in lines[at + 1 :]]
                return _across(TableRow(number, cells), rows, _down(lines[:at], text, found), found)
    return _turned_round(lines) or _down(lines, text, found)


def _one_cell(line: str) -> str:
    """A row of a table that holds one cell only, as that cell: `"Soda spar, lot 7",,`."""
    if '"' not in line and not line.endswith((",", ";")):
        return line
    for delimiter in (",", ";"):
        cells = _cells_of(line, delimiter)
        filled = [cell for cell in cells if cell]
        if len(cells) > 1 and len(filled) == 1:
            return filled[0]
    return line


def _by_each_delimiter(line: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The delimiters that may part a line, each with its cells."""
    for delimiter in ("\t", "|", ";", ",", " "):
        if delimiter == " " or delimiter in line:
            yield delimiter, _cells_of(line, delimiter)


def _cells_of(line: str, delimiter: str) -> tuple[str, ...]:
    if delimiter == " ":
        return tuple(cell.strip() for cell in re.split(r"\t|\s{2,}", line))
    row = cells_of(line.strip().strip("|") if delimiter == "|" else line, delimiter)
    return tuple(cell.strip() for cell in row[: MOST_COLUMNS + 1])


def is_label(cell: str) -> bool:
    """Whether a cell names an oxide or the loss on ignition, rightly or nearly so."""
    return label_of(cell).what in {"oxide", "loi", "misspelt", "several"}


def _is_figure(cell: str) -> bool:
    return re.match(r"[<>~-]?\s*[\d.,]", plain(cell)) is not None


# Oxides as columns: every row below is a material.


def _across(head: TableRow, rows: list[TableRow], before: list[SheetPart], found: Findings) -> list[SheetPart]:
    wide = next((row for row in rows if len(row.cells) > MOST_COLUMNS), None)
    if wide is not None:
        found.error("too-many-cells", f"{len(wide.cells)} cells in one row", "is this the sheet you meant?", wide.line)
        return []
    if not rows and not found.has_errors:
        found.error("no-figures", "the oxides have no row of figures below them", "", head.line)
    above = before[0] if len(before) == 1 else SheetPart()
    named = any(key_of(cell) == "name" for cell in head.cells)
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
            part.figures = [*(f for f in above.figures if key_of(f.label) not in ("name", "lot")), *part.figures]
    return parts


# Oxides as rows, materials as columns.


def _turned_round(lines: Sequence[tuple[int, str]]) -> list[SheetPart]:
    for at, (number, line) in enumerate(lines):
        for delimiter, (first, *titles) in _by_each_delimiter(line):
            if len(titles) < 2 or not all(t and not _is_figure(t) and not is_label(t) for t in titles):
                continue
            if any(t.casefold().strip(" %()") in (*_STATISTICS, *HEADS) for t in titles):
                continue
            if first and first.casefold() not in HEADS and key_of(first) != "name":
                continue
            rows = [TableRow(n, _cells_of(text, delimiter)) for n, text in lines[at + 1 :]]
            if sum(is_label(r.cells[0]) and len(r.cells) > len(titles) for r in rows) < 2:
                continue
            columns = [
                [SheetFigure(r.cells[0], r.cells[i], r.line) for r in rows if i < len(r.cells)]
                for i in range(1, len(titles) + 1)
            ]
            return [SheetPart(title, figures, number) for title, figures in zip(titles, columns, strict=True)]
    return []


# Down the page: one figure a line, or several in a sentence.


def _down(lines: Sequence[tuple[int, str]], text: str, found: Findings) -> list[SheetPart]:
    """The materials of lines one below the other."""
    page = _Page(text, found)
    for number, line in lines:
        page.take(number, line)
    page.leave_out(page.waiting)
    if len(page.several) > 2:
        text = "more than one column of figures, and nothing says which is meant or whose each is"
        hint = "keep one column, or head each with its material's name and the first with `oxide`"
        found.error("several-amounts", text, hint, page.several[0])
    return [part for part in page.parts if part.title or part.figures]


class _Page:
    """What has been read down a page so far."""

    def __init__(self, text: str, found: Findings) -> None:
        self.found = found
        self.by_name = not re.search(r"\b(?:SiO2|Al2O3|CaO|Na2O|B2O3|MgO|K2O)\b", plain(text))
        self.parts = [SheetPart()]
        self.waiting: list[tuple[int, str]] = []
        """Lines of which it is not known yet whether they are a title."""
        self.column: int | None = None
        self.several: list[int] = []
        """Lines with more than one figure, of which nothing tells which counts."""

    def take(self, number: int, line: str) -> None:
        """Read the next line."""
        part = self.parts[-1]
        moles = _MOLES.search(line)
        if moles and not self._figures(line[: moles.start()], number):
            part.moles = True
            line = line[: moles.start()].strip(" ,;:(")
            if not line:
                return
        column = _statistics(line)
        if column is not None:
            self.column = column
        elif _is_head(line):
            return
        elif _CHEMISTRY.fullmatch(line) and _names_oxides(line):
            self._entitle(part)
            part.figures.append(SheetFigure("formula", line, number))
        elif figures := self._figures(line, number):
            if _begins_anew(part, figures, bool(self.waiting)):
                part = SheetPart()
                self.parts.append(part)
            self._entitle(part, figures)
            part.line = part.line or number
            part.figures += figures
        else:
            self.waiting.append((number, line))

    def _entitle(self, part: SheetPart, figures: Sequence[SheetFigure] = ()) -> None:
        """Give a part its title from the lines before its first figure; the other lines are said to be left out."""
        named = any(key_of(f.label) == "name" for f in (*part.figures, *figures))
        chosen: list[tuple[int, str]] = []
        if not (part.title or named or any(is_label(f.label) for f in part.figures)):
            titles = [(n, about[1]) for n, line in self.waiting if (about := _ABOUT.search(line))]
            chosen = (titles or [(n, line) for n, line in self.waiting if not _GREETING.match(line)])[:1]
        for n, line in chosen:
            part.title, part.line = _SHEET.sub("", line.strip(" :,;*")), n
        self.leave_out([(n, line) for n, line in self.waiting if not chosen or n != chosen[0][0]])
        self.waiting = []

    def leave_out(self, lines: Sequence[tuple[int, str]]) -> None:
        """Say that lines are not used."""
        hint = "oxides are written by symbol, such as SiO2"
        for number, line in lines:
            self.found.remark("row-not-read", f"{quote(line)} is not used", hint, number)

    def _figures(self, line: str, number: int) -> list[SheetFigure]:
        """The labelled figures of one line; none of a line that is a title or a note."""
        if self.by_name and len(_OXIDE_NAMES.findall(line)) > 1:
            return _in_a_sentence(_by_symbol(line), number)
        cells = self._cells(line, number)
        label = self._symbol(cells[0]) if cells else ""
        if len(cells) > 1 and (_known(label) or key_of(cells[0])):
            figures = [cell for cell in cells[1:] if _PLAIN_FIGURE.fullmatch(plain(cell))]
            if is_label(label) and len(figures) > 1 and self.column is None:
                self.several.append(number)
            return [SheetFigure(label, _chosen(cells[1:], self.column, key_of(cells[0])), number)]
        first = _VALUE_FIRST.fullmatch(line.strip())
        if first and _known(self._symbol(first[2])):
            return [SheetFigure(self._symbol(first[2]), first[1], number, True)]
        return _in_a_sentence(_by_symbol(line) if self.by_name else line, number)

    def _symbol(self, label: str) -> str:
        return NAMES_OF_OXIDES.get(label.casefold().strip(" :"), label) if self.by_name else label

    def _cells(self, line: str, number: int) -> list[str]:
        """The cells of one line of a column: by its delimiter where its first cell is a label, else at gaps."""
        for delimiter in (d for d in "\t|;," if d in line):
            cells = list(_cells_of(line, delimiter))
            labelled = bool(cells) and (_known(cells[0]) or bool(key_of(cells[0])))
            if labelled and delimiter == "," and len(cells) == 3 and all(cell.isdecimal() for cell in cells[1:]):
                joined = f"{cells[1]}.{cells[2]}"  # `SiO2,48,5`: its decimal comma was taken for a delimiter
                text = f"{cells[1]},{cells[2]} is read as {joined}"
                self.found.remark("comma-ambiguous", text, "put a number with a decimal comma between quotes", number)
                cells[1:] = [joined]
            if labelled or delimiter != ",":
                return [cell for cell in cells if cell]
        return [cell.strip() for cell in _GAP.split(line[:2000]) if cell and cell.strip()]


_SHEET: Final = re.compile(r"\s*[-\N{EN DASH}:,]\s*(?:technical\s+)?(?:data\s?sheet|typical analysis)$", re.IGNORECASE)
_PLAIN_FIGURE: Final = re.compile(r"[<>~]?\s*\d+(?:[.,]\d+)?\s*(?:%|ppm)?")


def _is_head(line: str) -> bool:
    """Whether a line is the head of a column of figures: words such as `Component`, `Result, wt.-%`."""
    bare = line.casefold()
    if bare.strip(" :%()") in HEADS or re.sub(r"[,;:\t ]+", " ", bare).strip() in _HEAD_LINES:
        return True
    cells = [cell.strip(" :()") for cell in re.split(r"\t|;|\||\s{2,}|,(?!\s)", bare) if cell.strip(" |")]
    return len(cells) > 1 and all(cell in HEADS or cell.split(",")[0].strip() in HEADS for cell in cells)


def _names_oxides(line: str) -> bool:
    pieces = re.split(r"\s*[.*\N{MIDDLE DOT}\N{BULLET}]\s*", line)
    bare = [re.sub(r"^[\d.\s]+", "", piece) for piece in pieces]
    return all(find_oxide(b) or b in ("H2O", "CO2", "SO3") for b in bare if b)


def _statistics(line: str) -> int | None:
    """Which figure of a line counts, told by a head such as `typical  min  max`; None for another line."""
    words = [word.strip() for word in re.split(r"\t|;|\||,|\s{2,}", line.casefold())]
    by_weight = [not w.startswith("mol") for w in words if re.fullmatch(r"(?:mole?|wt\.?|weight)[ -]?%", w)]
    if len(by_weight) > 1 and any(by_weight):
        return by_weight.index(True)
    known = [word in _BEST for word in words if word in _STATISTICS]
    return None if len(known) < 2 else known.index(True) if any(known) else 0


def _begins_anew(part: SheetPart, figures: list[SheetFigure], titled: bool) -> bool:
    """Whether a title and an oxide that was told already mean that another material begins."""
    both = part.figures, figures
    there, more = ({label_of(f.label) for f in those if label_of(f.label).what == "oxide"} for those in both)
    named = all(any(key_of(f.label) == "name" for f in those) for those in both)
    return named or (len(there) >= 2 and titled and bool(there & more))


_OXIDE_NAMES: Final = re.compile(
    rf"\b(?:{'|'.join(sorted(map(re.escape, NAMES_OF_OXIDES), key=len, reverse=True))})(?=\s*[:=]?\s*\d)", re.IGNORECASE
)


def _by_symbol(line: str) -> str:
    """A sentence in which the oxides that stand before a figure have their symbols.

    >>> _by_symbol("Silica 47.3, alumina 37.0")
    'SiO2 47.3, Al2O3 37.0'
    """
    return _OXIDE_NAMES.sub(lambda match: NAMES_OF_OXIDES[match[0].casefold()], line)


def _known(label: str) -> bool:
    return label_of(label).what != "other" or label.casefold().strip(" :") in TOTALS


def _chosen(cells: Sequence[str], column: int | None, key: str) -> str:
    if key in ("name", "source", "notes"):
        return ", ".join(cells)
    figures = [c for c in cells if any(map(str.isdigit, c)) and c[:1] not in "+\N{PLUS-MINUS SIGN}"] or list(cells)
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
