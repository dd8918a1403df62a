"""The batch of a card: which end of a line holds the amount, its unit, over the base or in it, what they add up to."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from glazecalc.files import grammar
from glazecalc.files.grammar import EITHER, SAYS_MORE, LineSplit, by_first, by_last, without_leaders
from glazecalc.files.numbers import LARGEST, Amount, decimal_commas, plain, read_amount
from glazecalc.files.pasted import TWO_AMOUNTS, is_water, say_water
from glazecalc.files.problems import Findings, quote
from glazecalc.files.sorting import Further, NamedLine, SortedCard, Total
from glazecalc.values.inputs import OxideAmount, RecipeLine
from glazecalc.values.oxides import ALKALINE_EARTHS, ALKALIS, find_oxide, suggest_oxide

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

    def as_line(self) -> RecipeLine:
        return RecipeLine(material=self.name, amount=self.amount.value, addition=self.addition, line=self.line)


def _sum(rows: Iterable[_Row], addition: bool | None = None) -> float:
    """What the rows add up to; only the base or only the additions where ``addition`` says which."""
    return sum(row.amount.value for row in rows if addition in (None, row.addition))


# Name and amount of an entry.


def split_entry(entry: NamedLine, amounts_first: bool = False) -> LineSplit | None:
    """Name and amount of an entry; where both ends hold a number, ``amounts_first`` decides."""
    if entry.amount is not None:
        return LineSplit(entry.text.strip(), entry.amount)
    cells = _cells_of(entry.text)
    if cells is not None and cells.parted:
        return LineSplit(cells.name, cells.amounts[0])
    return _chosen(*_ends(entry), amounts_first) or grammar.by_odd_amount(without_leaders(entry.text))


def _ends(entry: NamedLine) -> tuple[LineSplit | None, LineSplit | None]:
    """A line read as `amount name` and as `name amount`; neither where its amount is known."""
    body = without_leaders(entry.text)
    return (by_first(body), by_last(body)) if entry.amount is None else (None, None)


def _chosen(first: LineSplit | None, last: LineSplit | None, amounts_first: bool) -> LineSplit | None:
    """Of two readings of a line: the one whose amount has a unit, else the one the other lines speak for."""
    if first is None or last is None:
        return first or last
    units = [not split.amount[-1:].isdigit() for split in (first, last)]
    if units[0] != units[1]:
        return first if units[0] else last
    return first if amounts_first else last


_CELLS: Final = re.compile(r"\t| *\| *| {2,}")
_NUMBERED_NAME: Final = re.compile(r"\s*(?:frit|stain|borax|silica|flint|quartz|mesh|no\.?|number)\b", re.IGNORECASE)


class _Cells(NamedTuple):
    """A line with more than one amount: the material and its amounts from left to right."""

    name: str
    amounts: tuple[str, ...]
    parted: bool
    """Whether cells part them, or only a space."""


def _cells_of(text: str) -> _Cells | None:
    cells = [cell.strip() for cell in _CELLS.split(text) if cell.strip()]
    if len(cells) >= 3:
        amounts = [cell for cell in cells if by_last(f"x {plain(cell)}") == LineSplit("x", plain(cell))]
        names = [cell for cell in cells if cell not in amounts]
        return _Cells(names[0], tuple(amounts), True) if amounts and names else None
    outer = by_last(without_leaders(text))
    inner = by_last(outer.name) if outer else None
    if outer is None or inner is None:
        return None
    bracketed = text.rstrip()[-1:] in ")]"
    long = inner.amount.isdigit() and len(inner.amount) > 2
    if _NUMBERED_NAME.match(outer.name) and (not bracketed or long) and inner.amount[-1:].isdigit():
        return None
    return _Cells(inner.name, (inner.amount, outer.amount), bracketed)


# Columns of amounts: one batch in two measures, or two recipes side by side.


def _pairs(columns: Iterable[Sequence[str]]) -> list[tuple[float, float]]:
    """The two figures of each row, as far as both can be read."""
    quiet = Findings(None)
    read = [[read_amount(text, quiet, None) for text in pair] for pair in columns]
    return [(one.value, two.value) for one, two in read if one is not None and two is not None]


def _agree(pairs: Sequence[tuple[float, float]]) -> bool:
    """Whether two columns say the same batch in two measures: one is a multiple of the other."""
    ratios = [second / first for first, second in pairs if first > 0 and second > 0]
    return bool(ratios) and max(ratios) <= 1.03 * min(ratios)


def _refuse_columns(line: int, found: Findings) -> None:
    text = "two columns of amounts that are not one batch in two measures: which is meant?"
    found.error("several-amounts", text, "keep one column; two recipes side by side need a file each", line)


def _two_columns(card: SortedCard, found: Findings) -> dict[int, LineSplit]:
    """The entries (by their place) of a card with two columns of amounts, each with the amount of the right column."""
    rows = {
        i: cells for i, entry in enumerate(card.entries)
        if entry.amount is None and (cells := _cells_of(entry.text)) is not None and len(cells.amounts) > 1
    }  # fmt: skip
    if len(rows) < 2 or 2 * len(rows) < len(card.entries):
        return {}
    if all(not cells.parted and len(cells.amounts[0]) == 1 for cells in rows.values()):
        return {}  # names with a number: single digits are the amounts of no batch
    pairs = _pairs(cells.amounts[:2] for cells in rows.values())
    if not _agree(pairs):
        _refuse_columns(card.entries[min(rows)].line, found)
        return {}
    sums = [sum(column) for column in zip(*pairs, strict=True)]
    taken = min((0, 1), key=lambda i: abs(sums[i] - 100))
    return {i: LineSplit(cells.name, cells.amounts[taken]) for i, cells in rows.items()}


def _ask_about_columns(card: SortedCard, found: Findings) -> None:
    """Say which column of a table is read; an error where two of them are not one batch in two measures."""
    for head, counts in dict.fromkeys((f.head, f.counts) for f in card.further):
        column = [f for f in card.further if (f.head, f.counts) == (head, counts)]
        line = column[0].line
        if counts and _is_one_batch(column):
            found.remark("several-amounts", "of several columns of amounts the first is read", "", line)
        elif counts:
            _refuse_columns(line, found)
        elif [f.figure for f in column] != [str(i + 1) for i in range(len(column))]:
            named = f"of the column {quote(head)}" if head else "of a column without a head"
            found.remark("several-amounts", f"the figures {named} are left out", "", line)


def _is_one_batch(column: list[Further]) -> bool:
    """Whether a column of figures says the same batch as the amounts, as far as its figures are rounded."""
    pairs = _pairs((f.amount, f.figure) for f in column)
    if len(pairs) < len(column) or _agree(pairs):
        return len(pairs) == len(column)
    scale = sum(two for _, two in pairs) / (sum(one for one, _ in pairs) or 1.0)
    places = [len(re.split("[.,]", re.sub(r"[^\d.,]", "", f.figure) + ".")[1]) for f in column]
    rounded = [(one * scale, two, 0.51 * 10.0**-n) for (one, two), n in zip(pairs, places, strict=True)]
    fits = all(abs(one - two) <= max(half, 0.015 * one) for one, two, half in rounded)
    return fits and sum(two for _, two in pairs) > 20 * max(half for _, _, half in rounded)


# The batch and the composition.


def read_batch(card: SortedCard, found: Findings) -> tuple[RecipeLine, ...]:
    """The lines of a batch, base and additions, as written; every assumption a remark."""
    rows = _rows(card, found)
    if not rows:
        if not found.has_errors:
            found.error("no-materials", "no line holds a material and an amount", "write lines such as: Whiting 20")
        return ()
    _ask_about_figures(card, rows, found)
    _ask_about_columns(card, found)
    rows = _one_unit(_additions(card, rows, found), found)
    if not found.has_errors:
        _say_sums(card, rows, found)
    _say_twice(rows, found)
    return tuple(row.as_line() for row in rows)


def lines_read(card: SortedCard) -> tuple[RecipeLine, ...]:
    """The lines of a batch that can be read; of the others the name, with a hundredth of the batch for its amount."""
    rows = _rows(card, Findings(None))
    read = {row.line for row in rows}
    share = (_sum(rows) or 1.0) / 100
    first = _amounts_come_first(card)
    splits = [(entry, split_entry(entry, first)) for entry in card.entries if entry.line not in read]
    named = [_Row(e.line, s.name, Amount(share), e.addition) for e, s in splits if s and _can_be_a_name(s.name)]
    return tuple(row.as_line() for row in (*rows, *named))


def _can_be_a_name(name: str) -> bool:
    """Whether the name of a line that is not understood is one to be asked about: some words without a figure."""
    odd = EITHER.search(name) or SAYS_MORE.search(name) or is_water(name) or _SPOONS.match(name)
    short = len(name) <= 80 and len(name.split()) <= 4
    return not odd and short and not any(c.isdigit() for c in name) and name[:1] not in "=@"


def read_oxides(card: SortedCard, basis: str | None, found: Findings) -> tuple[tuple[OxideAmount, ...], str | None]:
    """The oxides of a composition card and the basis they are in."""
    amounts: dict[str, float] = {}
    rows = _rows(card, found, zero_counts=True)
    _ask_about_figures(card, rows, found)
    _ask_about_columns(card, found)
    for row in rows:
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
    if basis is None and amounts:
        fluxes = sum(amounts.get(symbol, 0.0) for symbol in (*ALKALIS, *ALKALINE_EARTHS, "ZnO", "PbO"))
        if abs(fluxes - 1) < 0.02:
            found.remark("basis-assumed", "the fluxes add up to 1: read as a unity formula", "write `basis: unity`")
            basis = "unity"
        elif not found.has_errors:
            hint = "write `basis: unity`, `mole` or `weight`"
            found.error("basis-missing", "the card does not say what its amounts are", hint)
    return tuple(OxideAmount(oxide=s, amount=a) for s, a in amounts.items()), basis


def _rows(card: SortedCard, found: Findings, zero_counts: bool = False) -> list[_Row]:
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
    elif not found.has_errors:
        text = f"of two columns of amounts the one that adds up to {_sum(rows):g} is read"
        found.remark("several-amounts", text, "", card.entries[min(columns)].line)
    return rows


_POINT_OF_THOUSANDS: Final = re.compile(r"\d{1,3}\.\d{3}")
_WHOLE_HUNDREDS: Final = 100.0
"""From which whole amounts on the other lines a point with three digits behind it may part thousands."""


def _ask_about_points(splits: list[tuple[NamedLine, LineSplit | None]], amounts: list[str], found: Findings) -> None:
    """An error for `1.200` among whole amounts of hundreds: in some countries that is twelve hundred."""
    others = sorted(float(a) for a in amounts if a.isdigit() and len(a) < 7)
    if not others or any(not a.isdigit() and not _POINT_OF_THOUSANDS.fullmatch(a) for a in amounts):
        return
    if others[len(others) // 2] < _WHOLE_HUNDREDS:
        return
    for (entry, _), typed in zip([pair for pair in splits if pair[1]], amounts, strict=True):
        if _POINT_OF_THOUSANDS.fullmatch(typed) and float(typed) < 10 <= others[0]:
            text = f"{quote(typed)} may be {float(typed):g} or {typed.replace('.', '')}"
            found.error("comma-ambiguous", text, "write the one that is meant", entry.line)


def _row(entry: NamedLine, split: LineSplit | None, commas: bool, found: Findings) -> _Row | None:
    if split is None or not split.name.strip():
        found.error("name-missing", f"no material beside {quote(entry.amount or entry.text)}", "name it", entry.line)
        return None
    fault = _fault(entry, *split)
    if fault is not None:
        found.error(*fault, entry.line)
        return None
    if is_water(split.name):
        say_water(split.name, entry.line, found)
        return None
    amount = read_amount(split.amount, found, entry.line, commas)
    return None if amount is None else _Row(entry.line, " ".join(split.name.split()), amount, entry.addition)


_APART: Final = re.compile(r"(?:\s{2,}|\t|[:=]\s+|\.\.\s*)[\d.,/]+\s*[%\w]{0,8}\s*$")
"""An amount that stands apart from the name, which may then end in a number: `Kaolin 2   20`."""


def _fault(entry: NamedLine, name: str, amount: str) -> tuple[str, str, str] | None:
    """Why a name and an amount are no line of a batch: code, message and hint."""
    named, both = quote(name), quote(f"{name} {amount}")
    if EITHER.search(name):
        return "one-of-two", f"{named} names one material or another: which is it?", "write the one that is meant"
    if grammar.OPTIONAL.search(name):
        hint = "write what is meant, or put # before a comment"
        return "one-of-two", f"{named} leaves open what goes into the batch", hint
    if SAYS_MORE.search(name):
        hint = "write a material and its amount, or put # before it"
        return "amounts-in-words", f"{both} is a sentence that holds an amount", hint
    if name[0] in "=@":
        return "spreadsheet-formula", f"{named} is a spreadsheet's formula, not a name", "write the material's name"
    if spoon := _SPOONS.match(name):
        text = f"{quote(spoon[0])} is no weight: a spoonful of one powder weighs other than one of another"
        return "volume-unit", text, "weigh it and write grams"
    if len(name) > 200:
        return "name-too-long", f"the name {named} is {len(name)} characters long", ""
    if is_water(name):
        return None
    if entry.amount is None and not _APART.search(entry.text) and TWO_AMOUNTS.search(name):
        text = f"{both} holds more than one amount, or says less than one"
        return "several-amounts", text, "write the material and one amount"
    if amount.startswith(".") and re.search(r"\s\d+$", name):
        return "not-a-number", f"{both} holds a point that stands apart", "write the amount as 38.5"
    return None


def _amounts_come_first(card: SortedCard) -> bool:
    ends = map(_ends, card.entries)
    return sum((first is not None) - (last is not None) for first, last in ends) > 0


def _say_both_ends(card: SortedCard, amounts_first: bool, found: Findings) -> None:
    for entry in card.entries:
        first, last = _ends(entry)
        chosen = _chosen(first, last, amounts_first)
        if first and last and chosen:
            text = f"a number at both ends: read as {chosen.amount} of {quote(chosen.name)}"
            found.remark("amount-either-end", text, "write the amount last on every line", entry.line)
        elif entry.amount is None and (cells := _cells_of(entry.text)) is not None and cells.parted:
            text = f"of several cells {quote(cells.name)} and {quote(cells.amounts[0])} count"
            found.remark("several-amounts", text, "keep the material and one amount", entry.line)


# Totals, and additions.


def _additions(card: SortedCard, rows: list[_Row], found: Findings) -> list[_Row]:
    """Lines below a total of the lines above it are additions over the base; so are, where none is marked as one, lines
    below a base that is whole."""
    for total in card.totals:
        above = _above(card, total)
        below = {entry.line for entry in card.entries[total.after :] if not entry.addition}
        base = _sum((row for row in rows if row.line in above), addition=False)
        stated = _stated(total, found)
        whole = base + _sum(row for row in rows if row.line in below)
        part = _is_part(card, rows, base)
        if below and above and stated is not None and not part and not _near(stated, whole):
            text = "lines below the total are read as additions over the base"
            found.remark("after-total", text, "begin such a line with +", min(below))
            return [row._replace(addition=row.addition or row.line in below) for row in rows]
    if any(row.addition for row in rows) or any(_near(_stated(total) or 0.0, _sum(rows)) for total in card.totals):
        return rows
    first = first_over_the_whole([(row.line, row.amount.value, row.amount.unit) for row in rows], card.blanks)
    if first is None:
        return rows
    over = f"{quote(rows[first].name)} and what follows are read as additions"
    text = f"the lines above add up to {_sum(rows[:first]):.6g}: {over}"
    hint = "begin such a line with +; or write a total below the whole base"
    found.remark("after-total", text, hint, rows[first].line)
    return [row._replace(addition=i >= first) for i, row in enumerate(rows)]


_NEAR_ENOUGH: Final = 0.05
"""A figure alone that differs by more than this share from the sum above it is no total."""


def _ask_about_figures(card: SortedCard, rows: list[_Row], found: Findings) -> None:
    """An error for a figure alone that is no total of what stands above it: its material may be missing."""
    if found.has_errors:  # the sums are not known
        return
    since = 0
    for total in tuple(card.totals):
        lines = _above(card, total)
        above = [row for row in rows if row.line in lines]
        stated = _stated(total)
        if total.bare and stated:
            parts = (above, [r for r in above if not r.addition], [r for r in above if r.addition], above[since:])
            close = any(math.isclose(stated, _sum(p), rel_tol=_NEAR_ENOUGH) for p in parts if len(p) > 1)
            if not close or (len(above) < len(rows) and abs(_sum(rows) + stated - 100) <= CLOSE_TO_HUNDRED):
                why = "an amount or a sum?" if close else "it is not the sum of the lines above"
                text = f"no material beside {quote(total.amount)}: {why}"
                found.error("name-missing", text, "name it; or write `Total` before a sum", total.line)
                card.totals.remove(total)
        since = len(above)


def _is_part(card: SortedCard, rows: list[_Row], base: float) -> bool:
    """Whether a total is of one part of the base, for the total at the end of the card agrees with the whole."""
    whole = _sum(rows)
    ends = [_stated(total) for total in card.totals if total.after == len(card.entries)]
    if any(row.addition for row in rows) or not any(_near(end or 0.0, whole) for end in ends):
        return False
    hundred = abs(whole - 100) <= CLOSE_TO_HUNDRED or whole - base > MOST_ADDED * base
    return hundred and abs(base - 100) > CLOSE_TO_HUNDRED


def _above(card: SortedCard, total: Total) -> set[int]:
    return {entry.line for entry in card.entries[: total.after]}


def _stated(total: Total, found: Findings | None = None) -> float | None:
    """What a total says; where that cannot be read, ``found`` says why."""
    quiet = Findings(found.file if found else None)
    amount = read_amount(total.amount, quiet, total.line)
    if amount is None and found is not None:
        found.extend(quiet.problems)
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
    base = _sum(rows, addition=False)
    if "%" in base_units or not base:
        return rows
    return [_percent_of(base, row, found) if row.addition and row.amount.unit == "%" else row for row in rows]


def _percent_of(base: float, row: _Row, found: Findings) -> _Row:
    """A row in % of the base as an amount."""
    percent, value = row.amount.value, row.amount.value * base / 100
    if value > LARGEST:
        found.error("number-too-large", f"{percent:g} % over a base of {base:g} is far too much", "", row.line)
        return row
    if not math.isclose(value, percent, rel_tol=1e-6):
        text = f"{percent:g} % over a base of {base:g} is read as {value:.6g}"
        found.remark("percent-of-base", text, "", row.line)
    return row._replace(amount=Amount(value)) if value > 0 else row


MOST_BATCH: Final = 1e8
LEAST_BATCH: Final = 1e-3
"""A batch of more or less than this is a slip of the digits [g or parts]."""


def _say_sums(card: SortedCard, rows: list[_Row], found: Findings) -> None:
    base, added = _sum(rows, addition=False), _sum(rows, addition=True)
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
        lines, stated = _above(card, total), _stated(total)
        here = _sum(row for row in rows if row.line in lines)
        if stated is not None and not any(_near(stated, s) for s in (here, base, base + added)):
            text = f"the total says {stated:g}, the lines add up to {here:.6g}"
            found.remark("total-disagrees", text, "a line may be missing, or an amount mistyped", total.line)
    if abs(base - 100) <= CLOSE_TO_HUNDRED:
        return
    if added and abs(base + added - 100) <= CLOSE_TO_HUNDRED:
        text = f"the base adds up to {base:.6g} and only with the additions to 100"
        found.remark("addition-in-hundred", text, "are the additions meant over the base or within the 100?")
    else:
        found.remark("sum-not-100", f"the base adds up to {base:.6g}, not 100", "shown as written and as 100 %")


def _say_twice(rows: list[_Row], found: Findings) -> None:
    seen: dict[str, int] = {}
    for row in rows:
        folded = row.name.casefold()
        if folded in seen:
            text = f"{quote(row.name)} is also on line {seen[folded]}; both are kept"
            found.remark("named-twice", text, "", row.line)
        seen.setdefault(folded, row.line)


# Which lines of a batch are additions where nothing marks them: those below a base that is whole.

CLOSE: Final = 0.05
"""A base that adds up to 100 within this is whole [parts]."""
MOST_ADDED: Final = 0.35
"""Most of the base that what follows it may be to pass for additions (common practice, no source)."""
FEWEST: Final = 3
"""Materials that a base has at least."""
_UNITS_G: Final = (1.0, 28.349523125, 453.59237)
"""Grams, ounces, pounds [g]: a base is written to a round number of one of them."""


def first_over_the_whole(rows: Sequence[tuple[int, float, str]], blanks: Sequence[int]) -> int | None:
    """The place of the first line over a base that is whole, or None.

    ``rows`` are (line, amount, unit) in their order. A base is whole at 100; below a blank line also at tens of grams,
    ounces or pounds, for a batch of a kilogram or a bucket.

    >>> first_over_the_whole([(1, 40, ""), (2, 35, ""), (3, 25, ""), (4, 5, "")], [])
    3
    >>> first_over_the_whole([(1, 40, ""), (2, 35, ""), (3, 20, ""), (5, 5, "")], [4]) is None
    True
    """
    total = sum(amount for _, amount, _ in rows)
    for first in range(FEWEST, len(rows)):
        units = {unit for _, _, unit in rows[:first]}
        base = sum(amount for _, amount, _ in rows[:first])
        apart = any(rows[first - 1][0] < blank < rows[first][0] for blank in blanks)
        alike = {unit for _, _, unit in rows[first:]} <= units | {"", "%"}
        tens = (base / (10 * unit_g) for unit_g in _UNITS_G)
        is_round = any(math.isclose(ten, round(ten), rel_tol=1e-4) for ten in tens if ten >= 1)
        whole = abs(base - 100) <= CLOSE or (apart and units == {"g"} and is_round)
        if whole and alike and len(units) == 1 and total - base <= MOST_ADDED * base:
            return first
    return None
