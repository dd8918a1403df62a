"""A recipe card, or a recipe pasted from a page or a mail, to a Recipe with every problem found in one pass."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Final, Literal, NamedTuple, cast

from glazecalc.files.additions import first_over_the_whole
from glazecalc.files.asides import is_either
from glazecalc.files.card_head import KEYS, cones_named, firing_of
from glazecalc.files.lines import Split, by_first, by_last, by_odd_amount, says_more, without_leaders
from glazecalc.files.numbers import LARGEST, Amount, decimal_commas, plain, read_amount, read_cone_range
from glazecalc.files.pasted import columns_agree, holds_amount, is_water, may_tell_amount, shares_in_words, tells_amount
from glazecalc.files.problems import Findings, quote
from glazecalc.files.sorting import Card, Entry, Total, sort_lines
from glazecalc.files.text import read_text
from glazecalc.values.answers import Problem, did_you_mean
from glazecalc.values.cones import CONE_NAMES, Cone
from glazecalc.values.inputs import ConeRange, OxideAmount, Recipe, RecipeLine
from glazecalc.values.oxides import ALKALINE_EARTHS, ALKALIS, find_oxide, suggest_oxide

# The amounts of a card: which end of a line holds them, their unit, over the base or in it, what they add up to.

CLOSE_TO_HUNDRED: Final = 0.05
"""A base that adds up to 100 within this is said to be 100 [parts]."""
CLOSE_TO_TOTAL: Final = 0.005
"""A stated total that differs by more than this share is remarked on."""
_SPOONS: Final = re.compile(r"(?:tea|table)?spoons?\b|(?:tsp|tbsp?|tbs|cups?|scoops?|pinch)\b", re.IGNORECASE)


class _Row(NamedTuple):
    line: int
    name: str
    amount: Amount
    addition: bool


def split_entry(entry: Entry, amounts_first: bool = False) -> Split | None:
    """Name and amount of an entry; where both ends hold a number, ``amounts_first`` decides."""
    if entry.amount is not None:
        return Split(entry.text.strip(), entry.amount)
    body = without_leaders(entry.text)
    tabbed = _by_cells(entry.text)
    if tabbed is not None:
        return tabbed
    first, last = by_first(body), by_last(body)
    return _chosen(first, last, amounts_first) or by_odd_amount(body)


def _chosen(first: Split | None, last: Split | None, amounts_first: bool) -> Split | None:
    """Of two readings of a line: the one whose amount has a unit, else the one the other lines speak for."""
    if first is None or last is None:
        return first or last
    units = [not split.amount[-1:].isdigit() for split in (first, last)]
    if units[0] != units[1]:
        return first if units[0] else last
    return first if amounts_first else last


_CELLS: Final = re.compile(r"\t| *\| *| {2,}")


class _Cells(NamedTuple):
    """A line with more than one amount: the material and its amounts from left to right."""

    name: str
    amounts: tuple[str, ...]
    parted: bool
    """Whether cells part them, or only a space."""


def _cells_of(text: str) -> _Cells | None:
    cells = [cell.strip() for cell in _CELLS.split(text) if cell.strip()]
    if len(cells) >= 3:
        amounts = [cell for cell in cells if by_last(f"x {plain(cell)}") == Split("x", plain(cell))]
        names = [cell for cell in cells if cell not in amounts]
        return _Cells(names[0], tuple(amounts), True) if amounts and names else None
    outer = by_last(without_leaders(text))
    inner = by_last(outer.name) if outer else None
    bracketed = text.rstrip()[-1:] in ")]"
    numbered = outer is not None and _NUMBERED_NAME.match(outer.name) is not None
    long = inner is not None and inner.amount.isdigit() and len(inner.amount) > 2
    numbered = numbered and (not bracketed or long)
    if outer is None or inner is None or (numbered and inner.amount[-1:].isdigit()):
        return None
    return _Cells(inner.name, (inner.amount, outer.amount), bracketed)


_NUMBERED_NAME: Final = re.compile(r"\s*(?:frit|stain|borax|silica|flint|quartz|mesh|no\.?|number)\b", re.IGNORECASE)


def _by_cells(text: str) -> Split | None:
    cells = _cells_of(text)
    return Split(cells.name, cells.amounts[0]) if cells is not None and cells.parted else None


def _two_columns(card: Card, found: Findings) -> dict[int, Split]:
    """The entries (by their place) of a card with two columns of amounts, each with the amount of the right column."""
    rows = {
        i: cells for i, entry in enumerate(card.entries)
        if entry.amount is None and (cells := _cells_of(entry.text)) is not None and len(cells.amounts) > 1
    }  # fmt: skip
    if len(rows) < 2 or 2 * len(rows) < len(card.entries):
        return {}
    quiet = Findings(None)
    columns = [[read_amount(amount, quiet, None) for amount in cells.amounts[:2]] for cells in rows.values()]
    pairs = [(one.value, two.value) for one, two in columns if one is not None and two is not None]
    line = card.entries[min(rows)].line
    if not columns_agree(pairs):
        text = "two columns of amounts that are not one batch in two measures: which is meant?"
        found.error("several-amounts", text, "keep one column; two recipes side by side need a file each", line)
        return {}
    sums = [sum(column) for column in zip(*pairs, strict=True)]
    taken = min((0, 1), key=lambda i: abs(sums[i] - 100))
    found.remark(
        "several-amounts", f"of two columns of amounts the one that adds up to {sums[taken]:g} is read", "", line
    )
    return {i: Split(cells.name, cells.amounts[taken]) for i, cells in rows.items()}


def read_batch(card: Card, found: Findings) -> tuple[RecipeLine, ...]:
    """The lines of a batch, base and additions, as written; every assumption a remark."""
    rows = _rows(card, found)
    if not rows:
        if not found.has_errors:
            found.error("no-materials", "no line holds a material and an amount", "write lines such as: Whiting 20")
        return ()
    rows = _additions(card, rows, found)
    rows = _one_unit(rows, found)
    if not found.has_errors:
        _say_sums(card, rows, found)
    _say_twice(rows, found)
    return tuple(
        RecipeLine(material=row.name, amount=row.amount.value, addition=row.addition, line=row.line) for row in rows
    )


def read_oxides(card: Card, basis: str | None, found: Findings) -> tuple[tuple[OxideAmount, ...], str | None]:
    """The oxides of a composition card and the basis they are in."""
    amounts: dict[str, float] = {}
    for row in _rows(card, found, zero_counts=True):
        symbol = find_oxide(row.name)
        if symbol is None:
            meant = suggest_oxide(row.name)
            hint = f"did you mean {meant}?" if meant else "write oxides by symbol, such as SiO2"
            found.error("unknown-oxide", f"{quote(row.name)} is not an oxide", hint, row.line)
            continue
        if amounts.get(symbol, 0.0) + row.amount.value > LARGEST:
            found.error("number-too-large", f"{symbol} is far too much", "check the digits", row.line)
            continue
        if symbol in amounts:
            found.remark("named-twice", f"{symbol} is given twice; the two are added together", "", row.line)
        amounts[symbol] = amounts.get(symbol, 0.0) + row.amount.value
    if not any(amounts.values()) and not found.has_errors:
        found.error("no-oxides", "no line holds an oxide and an amount", "write lines such as: SiO2 3.2")
    return tuple(OxideAmount(oxide=s, amount=a) for s, a in amounts.items()), _basis(amounts, basis, found)


def _basis(amounts: dict[str, float], basis: str | None, found: Findings) -> str | None:
    if basis is not None or not amounts:
        return basis
    fluxes = sum(amounts.get(symbol, 0.0) for symbol in (*ALKALIS, *ALKALINE_EARTHS, "ZnO", "PbO"))
    if abs(fluxes - 1) < 0.02:
        found.remark("basis-assumed", "the fluxes add up to 1: read as a unity formula", "write `basis: unity`")
        return "unity"
    if not found.has_errors:
        found.error(
            "basis-missing", "the card does not say what its amounts are", "write `basis: unity`, `mole` or `weight`"
        )
    return None


def _rows(card: Card, found: Findings, zero_counts: bool = False) -> list[_Row]:
    first = _amounts_come_first(card)
    columns = _two_columns(card, found)
    splits = [(entry, columns.get(i) or split_entry(entry, first)) for i, entry in enumerate(card.entries)]
    bare = [plain(split.amount).rstrip("%g ") for _, split in splits if split]
    commas = decimal_commas(bare)
    _ask_about_points(splits, bare, found)
    rows = []
    for entry, split in splits:
        if found.flooded:
            break
        row = _row(entry, split, commas, found)
        if row is not None and row.amount.value == 0 and not zero_counts:
            found.remark("amount-zero", f"{quote(row.name)} has the amount 0; the line is left out", "", row.line)
        elif row is not None:
            rows.append(row)
    if not columns:
        _say_both_ends(card, first, found)
    return rows


_APART: Final = re.compile(r"(?:\s{2,}|\t|[:=]\s+|\.\.\s*)[\d.,/]+\s*[%\w]{0,8}\s*$")
"""An amount that stands apart from the name, which may then end in a number: `Kaolin 2   20`."""
_POINT_OF_THOUSANDS: Final = re.compile(r"\d{1,3}\.\d{3}")
_WHOLE_HUNDREDS: Final = 100.0
"""From which whole amounts on the other lines a point with three digits behind it may part thousands."""


def _ask_about_points(splits: list[tuple[Entry, Split | None]], amounts: list[str], found: Findings) -> None:
    """An error for `1.200` among whole amounts of hundreds: in some countries that is twelve hundred."""
    others = sorted(float(a) for a in amounts if a.isdigit() and len(a) < 7)
    if not others or any(not a.isdigit() and not _POINT_OF_THOUSANDS.fullmatch(a) for a in amounts):
        return
    if others[len(others) // 2] < _WHOLE_HUNDREDS:
        return
    for entry, split in splits:
        typed = "" if split is None else plain(split.amount).rstrip("%g ")
        if _POINT_OF_THOUSANDS.fullmatch(typed) and float(typed) < 10 <= others[0]:
            text = f"{quote(typed)} may be {float(typed):g} or {typed.replace('.', '')}"
            found.error("comma-ambiguous", text, "write the one that is meant", entry.line)


def _row(entry: Entry, split: Split | None, commas: bool, found: Findings) -> _Row | None:
    if split is None or not split.name.strip():
        found.error("name-missing", f"no material beside {quote(entry.amount or entry.text)}", "name it", entry.line)
        return None
    if is_either(split.name):
        text = f"{quote(split.name)} names one material or another: which is it?"
        found.error("one-of-two", text, "write the one that is meant", entry.line)
        return None
    if says_more(split.name):
        text = f"{quote(f'{split.name} {split.amount}')} is a sentence that holds an amount"
        found.error("amounts-in-words", text, "write a material and its amount, or put # before it", entry.line)
        return None
    if split.name[0] in "=@":
        hint = "write the material's name"
        found.error(
            "spreadsheet-formula", f"{quote(split.name)} is a spreadsheet's formula, not a name", hint, entry.line
        )
        return None
    spoon = _SPOONS.match(split.name)
    if spoon:
        text = f"{quote(spoon[0])} is no weight: a spoonful of one powder weighs other than one of another"
        found.error("volume-unit", text, "weigh it and write grams", entry.line)
        return None
    if len(split.name) > 200:
        found.error(
            "name-too-long", f"the name {quote(split.name)} is {len(split.name)} characters long", "", entry.line
        )
        return None
    if is_water(split.name):
        text = f"{quote(split.name)} is no part of the dry batch and is left out of it"
        found.remark("water-left-out", text, "weigh says how much water to mix with", entry.line)
        return None
    if entry.amount is None and not _APART.search(entry.text) and holds_amount(split.name):
        text = f"{quote(f'{split.name} {split.amount}')} holds more than one amount, or says less than one"
        found.error("several-amounts", text, "write the material and one amount", entry.line)
        return None
    if split.amount.startswith(".") and re.search(r"\s\d+$", split.name):
        text = f"{quote(f'{split.name} {split.amount}')} holds a point that stands apart"
        found.error("not-a-number", text, "write the amount as 38.5", entry.line)
        return None
    amount = read_amount(split.amount, found, entry.line, commas)
    return None if amount is None else _Row(entry.line, " ".join(split.name.split()), amount, entry.addition)


def _amounts_come_first(card: Card) -> bool:
    votes = 0
    for entry in card.entries:
        if entry.amount is None:
            body = without_leaders(entry.text)
            votes += (by_first(body) is not None) - (by_last(body) is not None)
    return votes > 0


def _say_both_ends(card: Card, first: bool, found: Findings) -> None:
    for entry in card.entries:
        body = without_leaders(entry.text)
        front, back = by_first(body), by_last(body)
        if entry.amount is not None or front is None or back is None:
            if entry.amount is None and (cells := _by_cells(entry.text)) is not None:
                used = f"{quote(cells.name)} and {quote(cells.amount)} count"
                found.remark(
                    "several-amounts", f"of several cells {used}", "keep the material and one amount", entry.line
                )
            continue
        chosen = _chosen(front, back, first) or back
        text = f"a number at both ends: read as {chosen.amount} of {quote(chosen.name)}"
        found.remark("amount-either-end", text, "write the amount last on every line", entry.line)


def _additions(card: Card, rows: list[_Row], found: Findings) -> list[_Row]:
    """Lines below a total of the lines above it are additions over the base; so are, where none is marked as one, lines
    below a base that is whole."""
    for total in card.totals:
        above = {entry.line for entry in card.entries[: total.after]}
        below = {entry.line for entry in card.entries[total.after :] if not entry.addition}
        base = sum(row.amount.value for row in rows if row.line in above and not row.addition)
        stated = _stated(total, found)
        whole = base + sum(row.amount.value for row in rows if row.line in below)
        if below and above and stated is not None and not _near(stated, whole):
            text = "lines below the total are read as additions over the base"
            found.remark("after-total", text, "begin such a line with +", min(below))
            return [row._replace(addition=row.addition or row.line in below) for row in rows]
    whole = sum(row.amount.value for row in rows)
    if any(row.addition for row in rows) or any(_near(_stated(total, None) or 0.0, whole) for total in card.totals):
        return rows
    first = first_over_the_whole([(row.line, row.amount.value, row.amount.unit) for row in rows], card.blanks)
    if first is None:
        return rows
    base = sum(row.amount.value for row in rows[:first])
    text = f"the lines above add up to {base:.6g}: {quote(rows[first].name)} and what follows are read as additions"
    found.remark(
        "after-total", text, "begin such a line with +; or write a total below the whole base", rows[first].line
    )
    return [row._replace(addition=i >= first) for i, row in enumerate(rows)]


def _stated(total: Total, found: Findings | None) -> float | None:
    quiet = Findings(None)
    amount = read_amount(total.amount, quiet, total.line)
    if amount is None and found is not None:
        found.extend(tuple(replace(p, file=found.file) for p in quiet.problems))
    return None if amount is None else amount.value


def _near(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=CLOSE_TO_TOTAL, abs_tol=1e-9)


def _one_unit(rows: list[_Row], found: Findings) -> list[_Row]:
    """Amounts in one unit: an addition in % of a base in grams becomes grams; a mixed base is refused."""
    base_units = {row.amount.unit for row in rows if not row.addition}
    if {"%", "g"} <= base_units:
        odd = next(row for row in rows if not row.addition and row.amount.unit == "%")
        found.error("mixed-units", "some lines of the base are in % and some in grams", "use one unit", odd.line)
        return rows
    if "" in base_units and "g" in base_units:
        bare = next(row for row in rows if not row.addition and row.amount.unit == "")
        found.remark("unit-assumed", "lines without a unit are read as grams, like the others", "", bare.line)
    weighed = next((row for row in rows if row.addition and row.amount.unit == "g"), None)
    if base_units == {"%"} and weighed is not None:
        text = f"the base is in % and {quote(weighed.name)} in grams: grams to how much of the base?"
        found.error("mixed-units", text, "use one unit", weighed.line)
    base = sum(row.amount.value for row in rows if not row.addition)
    if "%" in base_units or not base:
        return rows
    return [_percent_of(base, row, found) for row in rows]


def _percent_of(base: float, row: _Row, found: Findings) -> _Row:
    if not row.addition or row.amount.unit != "%":
        return row
    value = row.amount.value * base / 100
    if value > LARGEST:
        found.error("number-too-large", f"{row.amount.value:g} % over a base of {base:g} is far too much", "", row.line)
        return row
    if not math.isclose(value, row.amount.value, rel_tol=1e-6):
        text = f"{row.amount.value:g} % over a base of {base:g} is read as {value:.6g}"
        found.remark("percent-of-base", text, "", row.line)
    return row._replace(amount=Amount(value)) if value > 0 else row


MOST_BATCH: Final = 1e8
LEAST_BATCH: Final = 1e-3
"""A batch of more or less than this is a slip of the digits [g or parts]."""


def _say_sums(card: Card, rows: list[_Row], found: Findings) -> None:
    base = sum(row.amount.value for row in rows if not row.addition)
    added = sum(row.amount.value for row in rows if row.addition)
    if not base:
        hint = "take the + away, or write the base above the additions"
        found.error("no-base", "every line is an addition: there is no base", hint, rows[0].line)
        return
    if not LEAST_BATCH <= base <= base + added <= MOST_BATCH:
        size = "large" if base > 1 else "small"
        text = f"the batch adds up to {base + added:.6g}: far too {size}"
        found.error(f"number-too-{size}", text, "check the digits")
        return
    for total in card.totals:
        _say_total(card, rows, total, base, added, found)
    if abs(base - 100) <= CLOSE_TO_HUNDRED:
        return
    if added and abs(base + added - 100) <= CLOSE_TO_HUNDRED:
        text = f"the base adds up to {base:.6g} and only with the additions to 100"
        found.remark("addition-in-hundred", text, "are the additions meant over the base or within the 100?")
    else:
        found.remark("sum-not-100", f"the base adds up to {base:.6g}, not 100", "shown as written and as 100 %")


def _say_total(card: Card, rows: list[_Row], total: Total, base: float, added: float, found: Findings) -> None:
    stated = _stated(total, None)
    above = {entry.line for entry in card.entries[: total.after]}
    here = sum(row.amount.value for row in rows if row.line in above)
    if stated is not None and not any(_near(stated, s) for s in (here, base, base + added)):
        hint = "a line may be missing, or an amount mistyped"
        found.remark("total-disagrees", f"the total says {stated:g}, the lines add up to {here:.6g}", hint, total.line)


def _say_twice(rows: list[_Row], found: Findings) -> None:
    seen: dict[str, int] = {}
    for row in rows:
        folded = row.name.casefold()
        if folded in seen:
            text = f"{quote(row.name)} is also on line {seen[folded]}; both are kept"
            found.remark("named-twice", text, "", row.line)
        seen.setdefault(folded, row.line)


# Asks about a cone that does not go with the rest of a card: 06 and 6 are two firings more than 200 degC apart.

_LOW_WORDS: Final = re.compile(
    r"\b(?:earthenware|low[ -]?fire|lowfire|majolica|maiolica|faience|raku|terra[ -]?cotta)\b", re.IGNORECASE
)
_HIGH_WORDS: Final = re.compile(
    r"\b(?:stoneware|porcelain|mid[ -]?(?:range|fire)|high[ -]?fire|celadon|tenmoku|temmoku|shino)\b", re.IGNORECASE
)
_LAST_NUMBER: Final = re.compile(r"(?<![#.\d])(?<!no )(?<!no\. )(?<!nr )(?<!nr\. )\b(0?\d{1,2})\s*$", re.IGNORECASE)
_HINT: Final = "cones with a leading 0 are far cooler: 06 is bisque heat, 6 is stoneware heat"


def twin(cone: Cone) -> Cone | None:
    """The cone of the same digits with or without the leading zero, or None.

    >>> twin(Cone("06")).name, twin(Cone("6")).name, twin(Cone("14")) is None
    ('6', '06', False)
    """
    other = cone.name[1:] if cone.name.startswith("0") else f"0{cone.name}"
    return Cone(other) if other in CONE_NAMES else None


def ask_about_cone(recipe: Recipe, text: str, line: int | None, found: Findings) -> None:
    """A remark where the card's words or another cone on it speak for the twin of the cone it names."""
    if recipe.cone is None:
        return
    cone = recipe.cone.high
    other = twin(cone)
    if other is None:
        return
    said = " ".join((recipe.name, recipe.surface, recipe.atmosphere, recipe.source, recipe.notes))
    words = (_HIGH_WORDS if cone.name.startswith("0") else _LOW_WORDS).search(said)
    if words:
        question = f"cone {cone} on a card that says {words[0].casefold()}: is cone {other} meant?"
        found.remark("cone-suspicious", question, _HINT, line)
    elif _names_twin(text, other):
        found.remark("cone-suspicious", f"the card names cone {other} too; it is read as cone {cone}", _HINT, line)


def ask_about_number_in_name(recipe: Recipe, found: Findings) -> None:
    """A remark where a card without a cone has a name that ends in a number that could be one."""
    match = _LAST_NUMBER.search(recipe.name)
    if recipe.cone is None and match is not None and match[1] in CONE_NAMES:
        found.remark(
            "cone-suspicious", f"no cone is stated: is {match[1]} in the name the cone?", f"write cone: {match[1]}"
        )


def _names_twin(text: str, other: Cone) -> bool:
    for named in cones_named(text):
        cones = read_cone_range(named, Findings(None), None)
        if cones is not None and other in (cones.low, cones.high):
            return True
    return False


Kind = Literal["glaze", "body", "composition", "bought"]
Basis = Literal["unity", "mole", "weight"]

_KINDS: Final[dict[str, Kind]] = {
    "glaze": "glaze", "recipe": "glaze", "slip": "glaze", "engobe": "glaze", "body": "body", "clay": "body",
    "clay body": "body", "composition": "composition", "analysis": "composition", "oxides": "composition",
    "bought": "bought", "jar": "bought", "commercial": "bought", "shop": "bought",
}  # fmt: skip
_BASES: Final[dict[str, Basis]] = {
    "unity": "unity", "unity formula": "unity", "formula": "unity", "seger": "unity", "umf": "unity", "mole": "mole",
    "moles": "mole", "mol": "mole", "mole %": "mole", "mol%": "mole", "mol %": "mole", "mole percent": "mole",
    "weight": "weight", "weight %": "weight", "wt": "weight", "wt%": "weight", "wt %": "weight",
    "weight percent": "weight", "mass": "weight", "mass %": "weight",
}  # fmt: skip


def read_recipe(path: str | Path) -> tuple[Recipe | None, tuple[Problem, ...]]:
    """The recipe in a file, or on standard input for ``-``; None if an error stops it. Never raises."""
    file = "stdin" if str(path) == "-" else str(path)
    found = Findings(file)
    text = read_text(path, found)
    return (None, found.problems) if text is None else _recipe(text, found)


def read_recipe_text(text: str, file: str = "recipe") -> tuple[Recipe | None, tuple[Problem, ...]]:
    """The recipe in a text; ``file`` is where its problems are said to be."""
    return _recipe(text, Findings(file))


def _recipe(text: str, found: Findings) -> tuple[Recipe | None, tuple[Problem, ...]]:
    text = text.lstrip("\ufeff")
    if not text.strip():
        found.error("empty-file", "there is nothing in it", "a card has lines such as: Whiting 20")
        return None, found.problems
    card = sort_lines(text, found)
    head = _head(card, found)
    kind, basis = _kind(card, head, found)
    lines: tuple[RecipeLine, ...] = ()
    oxides: tuple[OxideAmount, ...] = ()
    if kind == "composition":
        oxides, named = read_oxides(card, basis, found)
        basis = cast("Basis | None", named)
    elif kind == "bought":
        _no_batch(card, head, found)
    else:
        lines = read_batch(card, found)
    cone = _cone(head, found)
    if found.has_errors:
        return None, found.problems
    recipe = Recipe(
        name=_cut(_name(card, head, found), 200), kind=kind, cone=cone, lines=lines, composition=oxides, basis=basis,
        surface=_said(head, "surface"), atmosphere=_said(head, "atmosphere"), source=_said(head, "source"),
        notes=_said(head, "notes"), proven=_said(head, "proven"), file=found.file,
    )  # fmt: skip
    ask_about_number_in_name(recipe, found)
    ask_about_cone(recipe, text, head.get("cone", ("", None))[1], found)
    return recipe, found.problems


_IN_QUOTES: Final = re.compile(
    r'[\u00ab"\u201c\u201e]\s*([^\u00ab\u00bb"\u201c\u201d\u201e]{2,60}?)\s*[\u00bb"\u201d\u201c]'
)
_NOT_OF_NAME: Final = re.compile(
    r"^(?:glasur|esmalte|[e\u00e9]mail|smalto|\u0433\u043b\u0430\u0437\u0443\u0440\u044c)\s+(?=\S)"
    r"|[\s,;(-]+\d{3,4}\s?(?:\N{DEGREE SIGN}|deg)\s?[CF]\b.*$",
    re.IGNORECASE,
)
"""The word for a glaze in other tongues, and the heat it is fired to: no part of a title's name."""
_NO_NAME: Final = re.compile(
    r"(?:here|this|that|these|it|i|we|my|you)\b(?=\s+(?:is|was|are|it|got|have|fires?)\b)", re.IGNORECASE
)
"""How a sentence begins that is no name."""
_LONGEST_NAME = 6
"""Words; a longer first line is a sentence that begins with the name."""
Head = dict[str, tuple[str, int | None]]
"""Key of the card -> (value, line)."""


def _head(card: Card, found: Findings) -> Head:
    head: Head = {}
    for number, header in card.headers:
        if header.key is None:
            _unknown_key(header.typed, header.value, header.meant, number, head, found)
        elif header.key == "notes":
            if tells_amount(header.value):
                text = f"the notes speak of an amount that is not in the batch: {quote(header.value)}"
                found.remark("amounts-in-words", text, "if it belongs in, write it as a line of the batch", number)
            _add_note(head, header.value, number)
        elif header.key == "name" and "name" in head:
            found.error("several-recipes", "a second name begins here", "keep one recipe in a file", number)
        elif header.key in head:
            found.remark("header-twice", f"{header.typed!r} is given twice; the first is kept", "", number)
        elif not header.value:
            found.remark("key-empty", f"`{header.key}` says nothing", "", number)
        else:
            head[header.key] = (header.value, number)
    _take_title(card, head, found)
    said, at = head.get("atmosphere", ("", None))
    if at is not None and "cone" not in head and (firing := firing_of(said)).cone:
        _take_firing(firing.cone, "", at, head, found)
        head["atmosphere"] = (firing.atmosphere or said, at)
    for number, words in card.beside:
        found.remark("kept-as-note", f"{quote(words)} beside an amount is kept among the notes", "", number)
        _add_note(head, words, number)
    first = card.entries[0].line if card.entries else 0
    for number, line in sorted(card.free):
        _take_free_line(line, number, head, found, above=number < first)
    return head


def _unknown_key(typed: str, value: str, meant: str, number: int, head: Head, found: Findings) -> None:
    firing = firing_of(typed)
    if firing.cone and not value:  # a heading such as `Glaze - cone 6:`
        _take_firing(firing.cone, firing.atmosphere, number, head, found)
        return
    if meant:
        found.error("unknown-key", f"a card has no {quote(typed)}", f"did you mean {meant}?", number)
        return
    keys = ", ".join(KEYS)
    found.remark("unknown-key", f"a card has no {quote(typed)}; kept among the notes", f"its keys are {keys}", number)
    _add_note(head, f"{typed}: {value}", number)


def _add_note(head: Head, text: str, number: int) -> None:
    before, line = head.get("notes", ("", number))
    head["notes"] = (f"{before}\n{text}".strip(), line)


def _take_title(card: Card, head: Head, found: Findings) -> None:
    if card.first is None:
        return
    number, line = card.first
    firing = firing_of(line)
    _take_firing(firing.cone, firing.atmosphere, number, head, found)
    name = re.sub(r"(?<![\s.])[\s.]{3,}$", "", firing.rest) or line
    called = _IN_QUOTES.search(name)
    shorter = called[1] if called is not None else _NOT_OF_NAME.sub("", name)
    if shorter.strip() and shorter.strip() != name:
        name = shorter.strip()
        _add_note(head, line, number)
    elif len(name.split()) > _LONGEST_NAME:
        name = re.split(r"[,.;:!?]", name)[0].strip() or name
        _add_note(head, line, number)
    if firing.rest and not _NO_NAME.match(name):
        head["name"] = (name, number)
        found.remark("title-taken", f"{quote(name)} serves as the name", "write `name:` before it", number)


_FIGURES: Final = re.compile(r"\W*\d[\d.,/]*(?:\s*[%g])?(?:[\s|;:]+\d[\d.,/]*(?:\s*[%g])?)+\W*")
"""Two figures and more, and no word beside them."""


def _take_free_line(line: str, number: int, head: Head, found: Findings, above: bool = False) -> None:
    firing = firing_of(line)
    short = len(firing.rest.split()) <= 2
    if firing.cone and (short or above or _FIRED_TO.search(line)) and "bisq" not in line.casefold():
        _take_firing(firing.cone, firing.atmosphere, number, head, found)
        if not firing.rest:
            return
    if _FIGURES.fullmatch(line):
        text = f"{quote(line)} has figures and no name, and nothing may be left out of a batch"
        found.error("name-missing", text, "write the material's name, such as `Whiting 20`; or put # before it", number)
        return
    shares = shares_in_words(line)
    if shares or may_tell_amount(firing.rest if firing.cone else line):
        lines = ", ".join(f"`+ {name} {amount}`" for name, amount in shares[:3]) or "such as `Whiting 20`"
        text = f"{quote(line)} holds amounts in the midst of words, and nothing may be left out of a batch"
        found.error(
            "amounts-in-words", text, f"write each on a line of its own: {lines}; or put # before a comment", number
        )
        return
    found.remark("kept-as-note", f"{quote(line)} is kept among the notes", "put # before a comment", number)
    _add_note(head, line, number)


_FIRED_TO: Final = re.compile(r"\b(?:fired?|firing)\b[^.\d]{0,20}(?:\bcone\b|\^|\bc/?(?=\d))", re.IGNORECASE)


def _take_firing(cone: str, atmosphere: str, number: int, head: Head, found: Findings) -> None:
    if cone and "cone" not in head:
        head["cone"] = (cone, number)
        found.remark("cone-taken", f"cone {cone} comes from this line", "write `cone:` to be sure", number)
    if atmosphere and "atmosphere" not in head:
        head["atmosphere"] = (atmosphere, number)


def _kind(card: Card, head: Head, found: Findings) -> tuple[Kind, Basis | None]:
    basis = _choice(head, "basis", _BASES, found)
    kind = _choice(head, "kind", _KINDS, found)
    if kind is None and card.entries and "kind" not in head and (basis or _all_oxides(card)):
        found.remark(
            "composition-assumed", "every line is an oxide: read as a composition", "write `kind: composition`"
        )
        kind = "composition"
    if basis and kind not in (None, "composition"):
        found.remark("basis-not-used", f"`basis` says nothing on a {kind} card", "", head["basis"][1])
        basis = None
    return cast(Kind, kind or "glaze"), cast("Basis | None", basis)


def _all_oxides(card: Card) -> bool:

    parts = [split_entry(entry) for entry in card.entries]
    return all(part is not None and find_oxide(part.name) is not None for part in parts)


def _choice(head: Head, key: str, choices: dict[str, Kind] | dict[str, Basis], found: Findings) -> str | None:
    if key not in head:
        return None
    value, number = head[key]
    folded = " ".join(value.casefold().split()).rstrip(".")
    if folded not in choices:
        allowed = ", ".join(dict.fromkeys(choices.values()))
        hint = did_you_mean(folded, choices) or f"it is one of {allowed}"
        found.error("not-a-choice", f"{quote(value)} is no {key} of a card", hint, number)
        return None
    return choices[folded]


def _no_batch(card: Card, head: Head, found: Findings) -> None:
    for entry in card.entries[:1]:
        found.error(
            "bought-with-batch",
            "a bought glaze has no materials",
            "leave out `kind: bought` if this is a recipe, or put # before the line",
            entry.line,
        )
    if "cone" not in head:
        found.remark("cone-missing", "a bought glaze is known by its label's cone", "write `cone:` as on the label")


def _cone(head: Head, found: Findings) -> ConeRange | None:
    value, number = head.get("cone", ("", None))
    if not value.strip():
        return None
    firing = firing_of(value if value[:1] in "cC^" else f"cone {value}")
    if firing.cone and firing.atmosphere and not firing.rest:
        value = firing.cone
        head.setdefault("atmosphere", (firing.atmosphere, number))
    return read_cone_range(value, found, number)


def _name(card: Card, head: Head, found: Findings) -> str:
    name = head.get("name", ("", None))[0].strip()
    if name:
        return name
    stem = "" if found.file in (None, "stdin") else Path(str(found.file)).stem
    name = stem or "unnamed recipe"
    found.remark(
        "name-assumed", f"the card has no name; called {quote(name)}", "write a line such as: name: Shoal clear"
    )
    return name


def _said(head: Head, key: str) -> str:
    return _cut(head.get(key, ("", None))[0], 20_000)


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else text[: longest - 3] + "..."
