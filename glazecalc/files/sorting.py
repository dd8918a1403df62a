"""What each line of a card is: a header, a heading, a total, a material, a remark of the writer, or nothing."""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from glazecalc.files import grammar, pasted
from glazecalc.files.card_head import Header, ends_in_cone, firing_of, header_of
from glazecalc.files.grammar import ADD_WORD, ONLY_AMOUNT, RAISED, Beside, Columns, LineSplit, by_first, by_last
from glazecalc.files.numbers import NUMBER, UNIT
from glazecalc.files.pasted import MaterialRead, is_practice
from glazecalc.files.problems import Findings, quote
from glazecalc.files.text import LONGEST_LINE, with_cells_joined
from glazecalc.files.title import Line, batchlike, title_of
from glazecalc.values.oxides import find_oxide

_AMOUNT: Final = rf"{NUMBER}\s*(?:{UNIT})?"
_ADDED_CELL = re.compile(
    rf"(?:\+|add(?:ed)?:?)\s*(?P<after>{_AMOUNT})"
    rf"|(?P<before>{_AMOUNT})\s*[(\[]?\s*(?:add(?:ed|ition)?|extra|over|on top|\+)\s*[)\]]?",
    re.IGNORECASE,
)
_ADDING_ON = re.compile(r"\s*(?:also\s+)?(?:add|plus|additions?|colou?rants?|extras?)\s*:", re.IGNORECASE)
"""The beginning of a list of additions that goes on below the line."""
_EXTRA = re.compile(r"(?<=[\d%g])\s+\(?(?:extra|added?|addition|on top|over(?:\s+100)?)\)?\s*$", re.IGNORECASE)
_EXTRA_LAST = re.compile(r"\s*\((?:extra|add(?:ed|ition)?|on top|over)\)\s*$", re.IGNORECASE)
_ADDED = re.compile(r"\(?\s*(?:add|added|addition|extra|over|on top)\s*\)?", re.IGNORECASE)
_TOTAL = re.compile(
    rf"(?:(?:grand\s+|base\s+|sub\s?-?)?total(?:\s+base|\s+batch)?|sum(?:me|a)?|gesamt|somme|totale|=)\s*[:=;,|\-\u2013]?\s*(?P<after>{NUMBER})\s*(?:{UNIT})?"
    rf"|(?P<before>{NUMBER})\s*(?:{UNIT})?\s*(?:grand\s+|base\s+|sub)?total",
    re.IGNORECASE,
)
_TWO_TOTALS = re.compile(rf"total\s*[:=]?\s*(?P<after>{NUMBER})\s*(?:{UNIT})?(?:[\s|]+{_AMOUNT})+", re.IGNORECASE)
_BARE_TOTAL = re.compile(rf"\s*(?P<after>{NUMBER})\s*(?:{UNIT})?\s*", re.IGNORECASE)
_SUMMED = re.compile(rf"(?P<line>.*\d\s*(?:{UNIT})?)\s*=\s*(?P<after>{NUMBER})\s*(?:{UNIT})?", re.IGNORECASE)
"""The last line of a batch with its total behind it: `Kaolin 10 = 100`."""
_ONLY_AMOUNTS = re.compile(rf"\s*{_AMOUNT}(?:\s+{_AMOUNT})+\s*", re.IGNORECASE)
"""The head of columns of amounts."""
_CHAIN: Final = re.compile(r"\s+\+\s*(?=\S)")
_RULE = re.compile(r"[-=_*~|+:.,;`\s\N{EN DASH}\N{EM DASH}\N{BOX DRAWINGS LIGHT HORIZONTAL}]*")
MOST_LINES: Final = 3_000
"""No recipe card has more lines than this."""


class NamedLine(NamedTuple):
    """A line that names a material. ``amount`` is None until it is decided which end of ``text`` holds it."""

    line: int
    text: str
    addition: bool
    amount: str | None = None


class Total(NamedTuple):
    """A line that states a sum; ``after`` counts the entries before it."""

    line: int
    amount: str
    after: int
    bare: bool = False
    """Whether no word says that it is a total."""


class Further(NamedTuple):
    """A figure of a table in another column than that of the amounts; ``counts`` where its head names amounts."""

    line: int
    head: str
    counts: bool
    amount: str
    figure: str


@dataclass
class SortedCard:
    """The lines of a card, sorted."""

    headers: list[tuple[int, Header]] = field(default_factory=list)
    entries: list[NamedLine] = field(default_factory=list)
    totals: list[Total] = field(default_factory=list)
    free: list[Line] = field(default_factory=list)
    first: Line | None = None
    headings: list[int] = field(default_factory=list)
    blanks: list[int] = field(default_factory=list)
    beside: list[Line] = field(default_factory=list)
    """Words that stood beside an amount, for the notes."""
    further: list[Further] = field(default_factory=list)


def sort_lines(text: str, found: Findings) -> SortedCard:
    """Every line of a card in its place; what cannot be placed is an error with its line number."""
    lines, asides = _readable(pasted.titles_as_names(with_cells_joined(text)), found)
    title = title_of([(number, line) for number, line in lines if not _RULE.fullmatch(line)])
    card = SortedCard(blanks=[number for number, line in lines if not line])
    card.first = _whole_title(title, asides)
    for number, _, left in asides:
        if left.struck:
            found.remark("words-left-out", f"{quote(', '.join(left.struck))} is struck out and left out", "", number)
        card.beside += [(number, ", ".join(left.priced))] if left.priced else []
    places = _Places(card, found)
    calculated = False
    signed = _signature(lines)
    unplaced: list[Line] = []
    for at, (number, line) in enumerate(lines):
        if line and line.strip(" |") == "+":
            places.adding = True
            card.headings.append(number)
            continue
        if _RULE.fullmatch(line) or (card.first and (number, line) == title):
            continue
        if signed is not None and number > signed:
            card.free.append((number, line))
            continue
        calculated = _is_calculated(line, calculated, card)
        if calculated:
            _take_calculated(card, lines, at, found)
        elif (head := grammar.columns_of(line)) is not None:
            places.columns = head
        elif (heading := grammar.heading(line)) is not None:
            places.adding = heading
            card.headings.append(number)
        elif not places.take(number, line):
            unplaced.append((number, line))
        elif _ADDING_ON.match(line) and _base_is_whole(card):
            places.adding = True
    _sort_free(card, _first_recipe(card, unplaced, found), lines, found)
    return card


# The lines as they can be read: without what is struck out, prices and the marks of a page, one subject a line.


class _Aside(NamedTuple):
    """What was left out of a line, and the line with it."""

    line: int
    whole: str
    left: Beside


def _readable(text: str, found: Findings) -> tuple[list[Line], list[_Aside]]:
    """The lines as they can be sorted, and what was left out of them."""
    lines: list[Line] = []
    asides: list[_Aside] = []
    if text.count("\n") > MOST_LINES:
        found.error("too-many-lines", f"the card has more than {MOST_LINES} lines", "is this the file you meant?")
        return lines, asides
    of_a_page = False
    for number, line, left_over in grammar.tidy_lines(text):
        if len(line) > LONGEST_LINE:
            found.error("line-too-long", f"the line is {len(line)} characters long", "one material a line", number)
            continue
        if left_over and not of_a_page:
            found.remark("web-page", "left out what remained of a web page", "look the materials over", number)
            of_a_page = True
        left = Beside(line, (), ()) if _is_own_words(line) else grammar.without_asides(line)
        if left.struck or left.priced:
            asides.append(_Aside(number, grammar.unmarked(pasted.without_emphasis(line)), left))
        if line and not left.line:
            continue
        line = _with_struck_name(left.line, left.struck)
        lines += [(number, part) for part in _parted(grammar.unmarked(pasted.without_emphasis(line)))]
    return _joined(lines), asides


def _is_own_words(line: str) -> bool:
    """Whether a line is of the potter's own words, in which prices and strikes stay; a batch behind `glaze:` is not."""
    header = header_of(grammar.unmarked(line)) if any(c in line for c in "~$\u00a3\u20ac") else None
    if header is None or header.key not in {"name", "source", "notes", "surface"}:
        return False
    return header.key != "name" or not grammar.parts_of_list(grammar.without_asides(header.value).line)


def _with_struck_name(line: str, struck: tuple[str, ...]) -> str:
    """A line on which only an amount is left, with the name beside the amount that is struck out."""
    if len(struck) != 1 or not ONLY_AMOUNT.fullmatch(line.strip(" \t|")):
        return line
    split = _last_or_first(grammar.without_leaders(struck[0]))
    return line if split is None else f"{split.name} {line.strip(' |')}"


def _last_or_first(text: str) -> LineSplit | None:
    return by_last(text) or by_first(text)


_SENTENCE = re.compile(r"(?<=[\d%g)])[.;!]?\s+(?=[A-Z(])")


def _parted(line: str) -> list[str]:
    """A line whose title, batch and directions stand side by side, each as a line of its own."""
    if is_practice(line):
        return [line]
    for end in _SENTENCE.finditer(line):
        before, after = line[: end.start()], line[end.end() :]
        if is_practice(after) and (by_last(before) or grammar.parts_of_list(before)):
            return [*_parted(before), after]
    title, colon, rest = line.partition(":")
    if not colon or grammar.heading(title) is True or ADD_WORD.match(line):
        return [line]
    header = header_of(line)
    batch = None if header and header.key not in (None, "name") else grammar.parts_of_list(rest)
    named = grammar.has_letters(title) and by_last(title) and not ends_in_cone(title)
    return [title, rest.strip()] if batch and len(batch) > 1 and not named else [line]


_TOTAL_WORD = re.compile(r"\s*(?:grand |base |sub)?total\b|\s*sum\b", re.IGNORECASE)


def _joined(lines: list[Line]) -> list[Line]:
    """The lines of a page whose cells came one below the other, each name joined with the amount beneath it."""
    written = [i for i, (_, line) in enumerate(lines) if line]
    pairs = {
        one: two
        for one, two in itertools.pairwise(written)
        if ONLY_AMOUNT.fullmatch(lines[two][1]) and grammar.has_letters(lines[one][1])
        and not any(c.isdigit() for c in lines[one][1]) and grammar.heading(lines[one][1]) is None
        and not _TOTAL_WORD.match(lines[one][1])
    }  # fmt: skip
    alone = [i for i in written if i not in pairs and by_last(lines[i][1]) and not ends_in_cone(lines[i][1])]
    if len(pairs) < 3 or alone:
        return lines
    amounts = set(pairs.values())
    return [
        (number, f"{line} {lines[pairs[i]][1]}" if i in pairs else line)
        for i, (number, line) in enumerate(lines)
        if i not in amounts
    ]


def _whole_title(title: Line | None, asides: list[_Aside]) -> Line | None:
    """A title with the price or the strike that was left out of it; None where it is a material after all."""
    for aside in asides:
        if title is not None and aside.line == title[0] and title[1] in grammar.unmarked(aside.left.line):
            asides.remove(aside)
            return None if batchlike(aside.left.line) or batchlike(aside.whole) else (aside.line, aside.whole)
    return title


# What is no part of the batch: the formula told below it, and what stands below a letter's end.

_CALCULATED = re.compile(
    r"(?:unity(?: molecular)?(?: formula)?|umf|seger(?: formula)?|analysis|calculated|formula)\s*:?", re.IGNORECASE
)
_CALCULATED_LINE = re.compile(
    r"(?P<label>[A-Z][A-Za-z0-9]{1,6}|[A-Za-z0-9]{1,6}\s*[:/]\s*[A-Za-z0-9]{1,6}|exp\w*|coe|cte|loi)\s*[:=]?\s*[\d.,]+",
    re.IGNORECASE,
)
_OF_FORMULA = re.compile(
    r"(?:SiO2|Al2O3)\b|[A-Z][A-Za-z0-9]{0,5}\s*[:/]\s*[A-Z][A-Za-z0-9]{0,5}\s*[:=]?\s*[\d.,]+\s*$", re.IGNORECASE
)
"""What a formula tells and a list of additions does not: silica, alumina, a ratio."""
_AROUND: Final = 15
"""Lines above and below in which the rest of a formula stands."""


def _is_calculated(line: str, before: bool, card: SortedCard) -> bool:
    """Whether a line is of the formula that is told below a batch: its oxides and ratios are no materials."""
    if not before:
        return bool(card.entries) and _CALCULATED.fullmatch(line) is not None
    match = _CALCULATED_LINE.fullmatch(line)
    label = "" if match is None else match["label"]
    figure = ":" in label or label.casefold()[:3] in ("exp", "coe", "cte", "loi")
    return not line or figure or find_oxide(label) is not None


def _take_calculated(card: SortedCard, lines: list[Line], at: int, found: Findings) -> None:
    """Put a line of a formula below a batch among the free ones; ask where it may be of the batch."""
    number, line = lines[at]
    oxide = _CALCULATED_LINE.fullmatch(line)
    around = lines[max(0, at - _AROUND) : at + _AROUND]
    if oxide and find_oxide(oxide["label"]) and not any(_OF_FORMULA.match(other) for _, other in around):
        hint = "write + before it if it is an addition, or put # before a comment"
        found.error("amounts-in-words", f"is {quote(line)} of the batch, or of a formula?", hint, number)
    else:
        card.free.append((number, line))


_CLOSING = re.compile(
    r"(?:cheers|best|thanks|thank you|love|yours|regards|(?:best|kind|warm) (?:wishes|regards)|bye|ciao)[ ,.!]*",
    re.IGNORECASE,
)
_ADDRESS = re.compile(r"\b(?:street|st|road|rd|lane|avenue|ave|drive|close|terrace|square)\b\W*$", re.IGNORECASE)


def _signature(lines: list[Line]) -> int | None:
    """The line that parts a letter from its writer's name and address, below which no material stands."""
    for at, (number, line) in enumerate(lines):
        ends = at > 2 and (line == "--" or _CLOSING.fullmatch(line) is not None)
        if ends and not any(_may_be_of_batch(rest) for _, rest in lines[at:]):
            return number
    return None


def _may_be_of_batch(line: str) -> bool:
    """Whether a line below a letter's end holds a material and an amount, whatever the material is called."""
    if pasted.names_material(line) or pasted.tells_amount(line):
        return True
    body = grammar.without_leaders(line)
    split = by_last(body) or (None if _ADDRESS.search(body) else by_first(body))
    return split is not None and len(split.name.split()) <= 4 and 0 < _number(split.amount) <= 100


def _base_is_whole(card: SortedCard) -> bool:
    splits = [_first_or_last(entry) for entry in card.entries if not entry.addition]
    return abs(sum(_number(split.amount) for split in splits if split) - 100) < 0.6


def _number(amount: str) -> float:
    digits = re.match(r"\s*(\d{1,9}(?:[.,]\d{1,9})?)", amount)
    return float(digits[1].replace(",", ".")) if digits else 0.0


def _first_or_last(entry: NamedLine) -> LineSplit | None:
    if entry.amount is not None:
        return LineSplit(entry.text.strip(), entry.amount)
    body = grammar.without_leaders(entry.text)
    return by_first(body) or by_last(body)


# Each line in its place.


class _Places:
    """Puts lines on a card, below the table's head and the heading that were read last."""

    def __init__(self, card: SortedCard, found: Findings) -> None:
        self.card, self.found = card, found
        self.columns: Columns | None = None
        self.adding = False

    def take(self, number: int, line: str) -> bool:
        """Put a line on the card; False if it has no place there."""
        card = self.card
        if self.columns is not None and self.columns.delimiter in line:
            self._row(number, line, self.columns)
            return True
        body = grammar.without_leaders(line)
        bare = body.strip(" \t,;|")
        summed = _SUMMED.fullmatch(body)
        if self._total(number, _TOTAL.fullmatch(bare)):
            return True
        if self._total(number, _BARE_TOTAL.fullmatch(body) if card.entries else None, bare=True):
            return True
        if self._total(number, _TWO_TOTALS.fullmatch(bare)):
            return True
        if summed and _last_or_first(summed["line"]):
            placed = self.take(number, summed["line"])
            return self._total(number, summed) and placed
        header = header_of(line)
        plus = ADD_WORD.match(body)
        rest = body[plus.end() :] if plus else body
        if header and header.key:
            card.headers.append((number, header))
        elif pasted.is_water(line):
            pasted.say_water(line, number, self.found)
        elif is_practice(line) or (not card.entries and _ONLY_AMOUNTS.fullmatch(line)):
            card.free.append((number, line))
        elif header and header.meant and not card.entries and not plus:
            card.headers.append((number, header))
        elif not ends_in_cone(rest) and self._materials(number, rest, self.adding or plus is not None):
            pass
        elif header and not card.entries:
            card.headers.append((number, header))
        else:
            return False
        return True

    def _total(self, number: int, match: re.Match[str] | None, bare: bool = False) -> bool:
        """Put a total on the card, or a figure alone that may be one; False if the line is none."""
        if match is not None:
            stated = match["after"] or match["before"]
            self.card.totals.append(Total(number, stated, len(self.card.entries), bare))
        return match is not None

    def _materials(self, number: int, text: str, addition: bool) -> bool:
        """Put the material, or the several materials, of a line on the card; False if there is none."""
        text = pasted.about(text)
        extra = _EXTRA.search(text)
        if extra and by_last(text[: extra.start()]):
            text, addition = text[: extra.start()], True
        if self._chain(number, text, addition):
            return True
        text, page = grammar.apart_from_page(text)
        self.card.beside += [(number, page)] if page else []
        extra = _EXTRA_LAST.search(text)
        if extra and by_first(text[: extra.start()]):
            text, addition = text[: extra.start()], True
        parts = grammar.parts_of_list(text)
        if parts is not None:
            self._parts(number, parts, addition)
            return True
        raised = RAISED.search(text)
        if raised and by_last(f"{text[: raised.start()]} {raised[1]}"):
            text, addition = f"{text[: raised.start()]} {raised[1]}", True
        amount = None
        if not _last_or_first(text) and (middle := grammar.by_middle(text)) is not None:
            (text, amount), words = middle
            if _ADDED.fullmatch(words):
                addition = True
            else:
                text = self._with_words(number, text, words)
        elif not _last_or_first(text) and grammar.by_odd_amount(text) is None:
            return False
        self.card.entries.append(NamedLine(number, text, addition, amount))
        return True

    def _with_words(self, number: int, name: str, words: str) -> str:
        """A material's name with the words that say which sort of it is meant; other words beside its amount are kept
        among the notes, and those that leave open what is meant are asked about."""
        bare = words.strip(" ()")
        if grammar.IN_DOUBT.search(words):
            text = f"{quote(words)} beside {quote(name)} leaves open what goes into the batch"
            self.found.error("one-of-two", text, "write what is meant, or put # before a comment", number)
        elif grammar.SORT.fullmatch(bare):
            return f"{name}, {bare}"
        else:
            self.card.beside.append((number, f"{name}: {bare}"))
        return name

    def _parts(self, number: int, parts: list[str], addition: bool) -> None:
        """The materials of a list; from one that says `plus` or `add` on, they are additions."""
        totals = [_TOTAL.fullmatch(part.strip(" \t,;|")) for part in parts]
        last = max((i for i, total in enumerate(totals) if total), default=-1)
        text = f"{totals.count(None)} materials are read from one line"
        self.found.remark("several-on-a-line", text, "write one a line", number)
        for i, (part, total) in enumerate(zip(parts, totals, strict=True)):
            if total is not None:
                over = i == last < len(parts) - 1 and not part.lstrip().casefold().startswith("sub")
                addition = addition or over  # as below a total on a line of its own
                self._total(number, total if i == len(parts) - 1 else None)
                continue
            plus = ADD_WORD.match(part)
            addition = addition or plus is not None
            part = part[plus.end() :] if plus else part
            raised = RAISED.search(part)
            bare = f"{part[: raised.start()]} {raised[1]}" if raised else part
            self.card.entries.append(NamedLine(number, bare, addition or raised is not None))

    def _chain(self, number: int, text: str, addition: bool) -> bool:
        """Materials with + between them: one batch where they add up to 100, else the first and what is added to it."""
        first, *more = _CHAIN.split(text)
        splits = [_last_or_first(part) for part in (first, *more)]
        if not more or not all(splits) or any(grammar.parts_of_list(part) for part in (first, *more)):
            return False
        total = sum(_number(split.amount) for split in splits if split)
        whole = len(more) > 1 and abs(total - 100) < 0.5
        self._parts(number, [first, *(part if whole else f"+ {part}" for part in more)], addition)
        return True

    def _row(self, number: int, line: str, columns: Columns) -> None:
        """Put a row of a table on the card."""
        cells = [cell.strip() for cell in grammar.cells_of(line, columns.delimiter)]
        while len(cells) > columns.width and not cells[-1]:
            cells.pop()
        if len(cells) == columns.width + 1 and cells[0].isdigit():
            del cells[0]  # rows that are numbered, the number's column without a head
        if len(cells) > columns.width:
            hint = 'put an amount with a decimal comma between quotes: "16,5"' if columns.delimiter == "," else ""
            text = f"{len(cells)} cells where the head of the table has {columns.width}"
            self.found.error("too-many-cells", text, hint, number)
            return
        cells += [""] * (columns.width - len(cells))
        name, amount = cells[columns.name], cells[columns.amount]
        if self._total(number, _TOTAL.fullmatch(f"{name} {amount}")) or not any(cells):
            return
        if not name and self._total(number, _BARE_TOTAL.fullmatch(amount), bare=True):
            return
        plus = ADD_WORD.match(name)
        added = _ADDED_CELL.fullmatch(amount)
        if added:
            amount = added["after"] or added["before"]
        others = [i for i in range(len(cells)) if i not in (columns.name, columns.amount, columns.addition)]
        self.card.further += [
            Further(number, columns.heads[i], i in columns.others, amount, cells[i])
            for i in others
            if ONLY_AMOUNT.fullmatch(cells[i])
        ]
        marks = [_ADDED.fullmatch(cells[i]) for i in others]
        for i, mark in zip(others, marks, strict=True):
            if grammar.has_letters(cells[i]) and not mark:
                name = self._with_words(number, name, cells[i])
        marked = columns.addition is not None and cells[columns.addition].casefold() in _MARKED
        addition = self.adding or marked or bool(plus or added or any(marks))
        self.card.entries.append(
            NamedLine(number, name[plus.end() :] if plus else name, addition, pasted.about(amount))
        )


_MARKED: Final = {"yes", "y", "true", "1", "x", "+"}
"""What a cell of the column of additions says of one."""


# Where the recipe ends, and what becomes of lines that have no place in it.


def _first_recipe(card: SortedCard, unplaced: list[Line], found: Findings) -> list[Line]:
    """Say where a second recipe begins, and leave the first on the card; the unplaced lines that belong to it."""
    pieces = [
        MaterialRead(entry.line, split.name, _number(split.amount))
        for entry in card.entries
        if not entry.addition and (split := _first_or_last(entry)) is not None
    ]
    titles = {number: line for number, line in (*unplaced, *card.free) if not is_practice(line)}
    breaks = [*card.blanks, *card.headings, *titles, *(total.line for total in card.totals)]
    at = pasted.second_recipe(pieces, breaks, [*titles, *card.headings])
    if at is None:
        return unplaced
    above, below = [p for p in pieces if p.line < at], [p for p in pieces if p.line > at]
    between = [line for number, line in sorted(titles.items()) if above[-1].line < number <= below[0].line]
    second = quote(between[0]) if between else "another"
    text = f"a second recipe begins here, {second} with {_listed(below)}; above it stands one with {_listed(above)}"
    found.error("several-recipes", text, "keep one recipe in a file: cut the text in two here", below[0].line)
    card.entries = [entry for entry in card.entries if entry.line < at]
    card.totals = [total for total in card.totals if total.line <= at]
    card.free = [(number, line) for number, line in card.free if number < at]
    return [(number, line) for number, line in unplaced if number < at]


def _listed(pieces: list[MaterialRead]) -> str:
    first = ", ".join(f"{piece.name} {piece.amount:g}" for piece in pieces[:3])
    return f"{first}{', ...' if len(pieces) > 3 else ''} (lines {pieces[0].line} to {pieces[-1].line})"


_UNREAD = re.compile(r"(?<![\d:/])\d+(?![\d:/])")


def _sort_free(card: SortedCard, unplaced: list[Line], lines: list[Line], found: Findings) -> None:
    """Lines without an amount: words of the writer are kept, a material whose amount is missing is an error."""
    numbers, written = [number for number, _ in lines], [line for _, line in lines]
    paragraphs = dict(zip(numbers, itertools.accumulate(not line for line in written), strict=True))
    batch = {paragraphs[entry.line] for entry in card.entries}
    double_spaced = len(card.entries) > 1 and len(batch) == len(card.entries)
    batch |= {paragraphs[line] for line in card.headings}
    first, last = (card.entries[0].line, card.entries[-1].line) if card.entries else (0, -1)
    for number, line in unplaced:
        if first < number < last and _UNREAD.search(line) and not ends_in_cone(line):
            hint = "write it as a material and its amount, or put # before a comment"
            found.error("amounts-in-words", f"{quote(line)} stands in the batch and is not understood", hint, number)
            continue
        apart = paragraphs[number] not in batch and not double_spaced and bool(card.entries)
        aside = line.startswith("(") and line.endswith(")") and not any(c.isdigit() for c in line)
        rest = firing_of(line).rest
        named = number <= last + 1 and len(rest.split()) <= 4 and pasted.SOLID.search(rest) and not aside
        if apart or aside or (not named and (ends_in_cone(line) or pasted.is_prose(line))):
            card.free.append((number, line))
            continue
        hint = "write the amount after the material, or put # before a comment"
        found.error("amount-missing", f"no amount beside {quote(line)}", hint, number)
