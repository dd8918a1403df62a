"""What each line of a card is: a header, a heading, a total, a material, a remark of the writer, or nothing."""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from glazecalc.files.card_head import Header, ends_in_cone, firing_of, header_of
from glazecalc.files.lines import (
    ADD_WORD,
    ONLY_AMOUNT,
    RAISED,
    Beside,
    Columns,
    LineSplit,
    apart_from_page,
    by_first,
    by_last,
    by_middle,
    by_odd_amount,
    cells_of,
    columns_of,
    has_letters,
    is_sort,
    leaves_open,
    parts_of_list,
    tidy_lines,
    unmarked,
    without_asides,
    without_leaders,
)
from glazecalc.files.numbers import NUMBER, UNIT
from glazecalc.files.pasted import (
    MaterialRead,
    about,
    is_practice,
    is_water,
    names_a_material,
    names_material,
    second_recipe,
    tells_amount,
    titles_as_names,
    without_emphasis,
)
from glazecalc.files.problems import Findings, quote
from glazecalc.files.text import LONGEST_LINE, with_cells_joined
from glazecalc.values.oxides import find_oxide

_ADDITIONS = re.compile(
    r"(?:also\s+)?(?:ajout(?:er|s)?|dazu|zugabe|zus[a\u00e4]tze?|a[n\u00f1]adir|agregar|aggiungere|\u5916\u5272|add|adds|added|addition|additions|additives?|plus|with|colou?rants?|opacifiers?|colou?rs?"
    r"|in addition|extras?)(?:\s+(?:over|to|on)\s+(?:the\s+)?(?:base|100\s?%?))?\s*[:.\-]*",
    re.IGNORECASE,
)
_BASES = re.compile(
    r"(?:base|base (?:recipe|glaze|batch)|recipe|batch|ingredients?|materials?|glaze|formula|oxides?|composition)\s*:?",
    re.IGNORECASE,
)
_ADDED_CELL = re.compile(
    rf"(?:\+|add(?:ed)?:?)\s*(?P<after>{NUMBER}\s*(?:{UNIT})?)"
    rf"|(?P<before>{NUMBER}\s*(?:{UNIT})?)\s*[(\[]?\s*(?:add(?:ed|ition)?|extra|over|on top|\+)\s*[)\]]?",
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
_BARE_TOTAL = re.compile(rf"\s*(?P<after>{NUMBER})\s*(?:{UNIT})?\s*", re.IGNORECASE)
_GREETING = re.compile(
    r"(?:hi|hello|hey|hiya|dear|good (?:morning|afternoon|evening|day)|thanks|thank you|cheers|greetings|regards"
    r"|(?:best|kind|warm) (?:wishes|regards))\b(?![^,!.]*\d)",
    re.IGNORECASE,
)
_LETTERHEAD = re.compile(r"(?:subject|re|fwd?|from|to|cc|bcc|date|sent|reply-to)\s*:", re.IGNORECASE)
_FACE = re.compile(r"(?:^|\s)[:;=]-?[()DP]$")
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
    free: list[tuple[int, str]] = field(default_factory=list)
    first: tuple[int, str] | None = None
    headings: list[int] = field(default_factory=list)
    blanks: list[int] = field(default_factory=list)
    beside: list[tuple[int, str]] = field(default_factory=list)
    """Words that stood beside an amount, for the notes."""
    further: list[Further] = field(default_factory=list)


def sort_lines(text: str, found: Findings) -> SortedCard:
    """Every line of a card in its place; what cannot be placed is an error with its line number."""
    asides: list[_Aside] = []
    lines = _readable(titles_as_names(with_cells_joined(text)), found, asides)
    title = _title(lines)
    card = SortedCard(first=_whole_title(title, asides), blanks=[number for number, line in lines if not line])
    _say_asides(card, asides, found)
    adding = calculated = False
    signed = _signature(lines)
    columns: Columns | None = None
    unplaced: list[tuple[int, str]] = []
    for at, (number, line) in enumerate(lines):
        if line and line.strip(" |") == "+":
            adding = True
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
            continue
        head = columns_of(line)
        if head is not None:
            columns = head
            continue
        heading = _heading(line)
        if heading is not None:
            adding = heading
            card.headings.append(number)
        elif not _placed(card, number, line, adding, columns, found):
            unplaced.append((number, line))
        elif _ADDING_ON.match(line) and _base_is_whole(card):
            adding = True
    _sort_free(card, _first_recipe(card, unplaced, found), lines, found)
    return card


_CALCULATED = re.compile(
    r"(?:unity(?: molecular)?(?: formula)?|umf|seger(?: formula)?|analysis|calculated|formula)\s*:?", re.IGNORECASE
)
_CALCULATED_LINE = re.compile(
    r"(?P<label>[A-Z][A-Za-z0-9]{1,6}|[A-Za-z0-9]{1,6}\s*[:/]\s*[A-Za-z0-9]{1,6}|exp\w*|coe|cte|loi)\s*[:=]?\s*[\d.,]+",
    re.IGNORECASE,
)


def _is_calculated(line: str, before: bool, card: SortedCard) -> bool:
    """Whether a line is of the formula that is told below a batch: its oxides and ratios are no materials."""
    if not before:
        return bool(card.entries) and _CALCULATED.fullmatch(line) is not None
    match = _CALCULATED_LINE.fullmatch(line)
    label = "" if match is None else match["label"]
    return (
        not line
        or ":" in label
        or label.casefold()[:3] in ("exp", "coe", "cte", "loi")
        or find_oxide(label) is not None
    )


_OF_FORMULA = re.compile(
    r"(?:SiO2|Al2O3)\b|[A-Z][A-Za-z0-9]{0,5}\s*[:/]\s*[A-Z][A-Za-z0-9]{0,5}\s*[:=]?\s*[\d.,]+\s*$", re.IGNORECASE
)
"""What a formula tells and a list of additions does not: silica, alumina, a ratio."""
_AROUND: Final = 15
"""Lines above and below in which the rest of a formula stands."""


def _take_calculated(card: SortedCard, lines: list[tuple[int, str]], at: int, found: Findings) -> None:
    """Put a line of a formula below a batch among the free ones; ask where it may be of the batch."""
    number, line = lines[at]
    oxide = _CALCULATED_LINE.fullmatch(line)
    around = lines[max(0, at - _AROUND) : at + _AROUND]
    if oxide and find_oxide(oxide["label"]) and not any(_OF_FORMULA.match(other) for _, other in around):
        hint = "write + before it if it is an addition, or put # before a comment"
        found.error("amounts-in-words", f"is {quote(line)} of the batch, or of a formula?", hint, number)
        return
    card.free.append((number, line))


_CLOSING = re.compile(
    r"(?:cheers|best|thanks|thank you|love|yours|regards|(?:best|kind|warm) (?:wishes|regards)|bye|ciao)[ ,.!]*",
    re.IGNORECASE,
)


def _signature(lines: list[tuple[int, str]]) -> int | None:
    """The line that parts a letter from its writer's name and address, below which no material stands."""
    for at, (number, line) in enumerate(lines):
        ends = at > 2 and (line == "--" or _CLOSING.fullmatch(line) is not None)
        if ends and not any(map(_may_be_of_batch, (rest for _, rest in lines[at:]))):
            return number
    return None


_ADDRESS = re.compile(r"\b(?:street|st|road|rd|lane|avenue|ave|drive|close|terrace|square)\b\W*$", re.IGNORECASE)


def _may_be_of_batch(line: str) -> bool:
    """Whether a line below a letter's end holds a material and an amount, whatever the material is called."""
    if names_material(line) or tells_amount(line):
        return True
    body = without_leaders(line)
    split = by_last(body) or (None if _ADDRESS.search(body) else by_first(body))
    return split is not None and len(split.name.split()) <= 4 and 0 < _number(split.amount) <= 100


def _base_is_whole(card: SortedCard) -> bool:
    splits = [_split_simply(entry) for entry in card.entries if not entry.addition]
    return abs(sum(_number(split.amount) for split in splits if split) - 100) < 0.6


class _Aside(NamedTuple):
    """What was left out of a line, and the line with it."""

    line: int
    whole: str
    left: Beside


_OWN_WORDS: Final = {"name", "source", "notes", "surface"}


def _is_own_words(line: str) -> bool:
    """Whether a line is of the potter's own words, in which prices and strikes stay; a batch behind `glaze:` is not."""
    header = header_of(unmarked(line)) if "~" in line or any(c in line for c in "$\u00a3\u20ac") else None
    if header is None or header.key not in _OWN_WORDS:
        return False
    return header.key != "name" or not parts_of_list(without_asides(header.value).line)


def _whole_title(title: tuple[int, str] | None, asides: list[_Aside]) -> tuple[int, str] | None:
    """A title with the price or the strike that was left out of it; None where it is a material after all."""
    for aside in asides:
        if title is not None and aside.line == title[0] and title[1] in unmarked(aside.left.line):
            asides.remove(aside)
            return None if _batchlike(aside.left.line) or _batchlike(aside.whole) else (aside.line, aside.whole)
    return title


def _say_asides(card: SortedCard, asides: list[_Aside], found: Findings) -> None:
    """Say what is struck out; what stood beside the amounts goes to the notes."""
    for number, _, left in asides:
        if left.struck:
            text = f"{quote(', '.join(left.struck))} is struck out and left out"
            found.remark("words-left-out", text, "", number)
        card.beside += [(number, ", ".join(left.priced))] if left.priced else []


def _with_struck_name(line: str, struck: tuple[str, ...]) -> str:
    """A line on which only an amount is left, with the name beside the amount that is struck out."""
    if len(struck) != 1 or not ONLY_AMOUNT.fullmatch(line.strip(" \t|")):
        return line
    split = by_last(without_leaders(struck[0])) or by_first(without_leaders(struck[0]))
    return line if split is None else f"{split.name} {line.strip(' |')}"


def _readable(text: str, found: Findings, asides: list[_Aside]) -> list[tuple[int, str]]:
    """The lines that hold something, as they can be sorted; what was left out of a line is put to the ``asides``."""
    lines: list[tuple[int, str]] = []
    said = False
    if text.count("\n") > MOST_LINES:
        found.error("too-many-lines", f"the card has more than {MOST_LINES} lines", "is this the file you meant?")
        return []
    for number, line, left_over in tidy_lines(text):
        if len(line) > LONGEST_LINE:
            found.error("line-too-long", f"the line is {len(line)} characters long", "one material a line", number)
            continue
        if left_over and not said:
            found.remark("web-page", "left out what remained of a web page", "look the materials over", number)
            said = True
        left = Beside(line, (), ()) if _is_own_words(line) else without_asides(line)
        asides += [_Aside(number, unmarked(without_emphasis(line)), left)] if left.struck or left.priced else []
        if line and not left.line:
            continue
        line = _with_struck_name(left.line, left.struck)
        lines += [(number, part) for part in _parted(unmarked(without_emphasis(line)))]
    return _joined(lines)


def _joined(lines: list[tuple[int, str]]) -> list[tuple[int, str]]:
    """The lines of a page whose cells came one below the other, each name joined with the amount beneath it."""
    written = [i for i, (_, line) in enumerate(lines) if line]
    pairs = {
        one: two
        for one, two in itertools.pairwise(written)
        if ONLY_AMOUNT.fullmatch(lines[two][1]) and has_letters(lines[one][1])
        and not any(c.isdigit() for c in lines[one][1]) and _heading(lines[one][1]) is None
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


_TOTAL_WORD = re.compile(r"\s*(?:grand |base |sub)?total\b|\s*sum\b", re.IGNORECASE)


_SENTENCE = re.compile(r"(?<=[\d%g)])[.;!]?\s+(?=[A-Z(])")


def _parted(line: str) -> list[str]:
    """A line whose title, batch and directions stand side by side, each as a line of its own."""
    if is_practice(line):
        return [line]
    for end in _SENTENCE.finditer(line):
        if is_practice(line[end.end() :]) and (by_last(line[: end.start()]) or parts_of_list(line[: end.start()])):
            return [*_parted(line[: end.start()]), line[end.end() :]]
    title, colon, rest = line.partition(":")
    if not colon or _heading(title) is True or ADD_WORD.match(line):
        return [line]
    header = header_of(line)
    own = header is not None and header.key not in (None, "name")
    batch = (parts_of_list(rest) or []) if not own else []
    if len(batch) < 2 or (has_letters(title) and by_last(title) and not ends_in_cone(title)):
        return [line]
    return [title, rest.strip()]


def _title(lines: list[tuple[int, str]]) -> tuple[int, str] | None:
    """The first line of a pasted recipe if it is its name: nothing a batch could hold, or set apart by a blank line."""
    written = [(number, line) for number, line in lines if not _RULE.fullmatch(line)]
    heads = [head.key for _, line in written if (head := header_of(line)) and head.key]
    if "name" in heads:
        return None
    above = 0
    while above < len(written) and (head := header_of(written[above][1])) and head.key:
        above += 1
    written = _below_letterhead(written[above:])
    if len(written) < 2 or (above and written[1][0] == written[0][0] + 1):
        return None
    later = _title_after_a_greeting(written)
    if later is not None:
        return None if _batchlike(later[1]) else later
    number, line = written[0]
    if columns_of(line) or _heading(line) is not None or not has_letters(line):
        return None
    bare = re.sub(r"\s*\([^()]*\)\s*$", "", line)
    line = bare if ends_in_cone(bare) else line
    body = without_leaders(line)
    if _batchlike(line):
        return None
    if ends_in_cone(line):
        return number, line
    if by_first(body) is None and (by_last(body) is None or ends_in_cone(line)):
        odd = by_odd_amount(body)
        marked = odd is not None and _MARK.fullmatch(odd.amount) and not names_material(f"{odd.name} 1")
        return None if odd and not marked and not ends_in_cone(line) else (number, line)
    apart = written[1][0] > number + 1 and len(written) > 2 and written[2][0] == written[1][0] + 1
    return (number, line) if apart and not line.startswith("+") else None


def _batchlike(line: str) -> bool:
    """Whether a line that could be a title holds a material and an amount."""
    bare = firing_of(line).rest or line
    return names_material(bare) or tells_amount(bare)


_MARK = re.compile(r"#?\d{1,4}[A-Za-z]")
"""What parts one test from the next in its name: `Test 23B`."""


def _below_letterhead(written: list[tuple[int, str]]) -> list[tuple[int, str]]:
    """The lines of a letter below its head and its greeting, which name no glaze."""
    first = next((i for i, (_, line) in enumerate(written) if not _LETTERHEAD.match(line)), len(written))
    if first < len(written) and _GREETING.match(written[first][1]) and len(written[first][1].split()) <= 4:
        first += 1
    return written[first:]


def _title_after_a_greeting(written: list[tuple[int, str]]) -> tuple[int, str] | None:
    """The name of a recipe pasted with the letter it came in: where prose comes first, the last line before the batch
    that names a cone, else the last that is short and no sentence."""
    above = next((i for i, (_, line) in enumerate(written) if not _above_batch(line)), len(written))
    if above < 2 or not (_is_prose(written[0][1]) or written[0][1].endswith((",", ":"))):
        return None
    short = [(n, line) for n, line in written[1:above] if not _is_prose(line) and not line.endswith((",", ":"))]
    with_cone = [(n, line) for n, line in short if ends_in_cone(line) and firing_of(line).rest]
    return next(iter(with_cone[-1:] or short[-1:]), None)


def _above_batch(line: str) -> bool:
    """Whether a line can stand above the batch: no heading, no header, no material with its amount."""
    if columns_of(line) or _heading(line) is not None or not has_letters(line):
        return False
    header = header_of(line)
    if header and header.key:
        return False
    body = without_leaders(line)
    return ends_in_cone(line) or _is_prose(line) or not (by_first(body) or by_last(body) or by_odd_amount(body))


def _heading(line: str) -> bool | None:
    """True for a heading before additions, False for one before the base, None for any other line."""
    bare = line.strip(" \t,;*#_|")
    if _ADDITIONS.fullmatch(bare):
        return True
    return False if _BASES.fullmatch(bare) else None


def _placed(card: SortedCard, number: int, line: str, adding: bool, columns: Columns | None, found: Findings) -> bool:
    if columns is not None and columns.delimiter in line:
        return _table_row(card, number, line, adding, columns, found)
    body = without_leaders(line)
    total = _TOTAL.fullmatch(body.strip(" \t,;|"))
    if _took_total(card, number, total, _BARE_TOTAL.fullmatch(body) if card.entries else None):
        return True
    twice = _TWO_TOTALS.fullmatch(body.strip(" \t,;|"))
    if twice:
        card.totals.append(Total(number, twice[1], len(card.entries)))
        return True
    summed = _SUMMED.fullmatch(body)
    if summed and (by_last(summed["line"]) or by_first(summed["line"])):
        placed = _placed(card, number, summed["line"], adding, columns, found)
        card.totals.append(Total(number, summed["total"], len(card.entries)))
        return placed
    header = header_of(line)
    if header and header.key:
        card.headers.append((number, header))
        return True
    if is_water(line):
        text = f"{quote(line)} is no part of the dry batch and is left out of it"
        found.remark("water-left-out", text, "weigh says how much water to mix with", number)
        return True
    if is_practice(line) or (not card.entries and _ONLY_AMOUNTS.fullmatch(line)):
        card.free.append((number, line))
        return True
    plus = ADD_WORD.match(body)
    rest = body[plus.end() :] if plus else body
    if header and header.meant and not card.entries and not plus:
        card.headers.append((number, header))
        return True
    if not ends_in_cone(rest) and _add_entries(card, number, rest, adding or plus is not None, found):
        return True
    if header and not card.entries:
        card.headers.append((number, header))
        return True
    return False


def _took_total(card: SortedCard, number: int, total: re.Match[str] | None, bare: re.Match[str] | None) -> bool:
    """Put a total, or a figure alone that may be one, on the card."""
    match = total or bare
    if match is not None:
        stated = match["after"] or match.groupdict().get("before") or ""
        card.totals.append(Total(number, stated, len(card.entries), total is None))
    return match is not None


_SUMMED = re.compile(rf"(?P<line>.*\d\s*(?:{UNIT})?)\s*=\s*(?P<total>{NUMBER})\s*(?:{UNIT})?", re.IGNORECASE)
"""The last line of a batch with its total behind it: `Kaolin 10 = 100`."""
_TWO_TOTALS = re.compile(rf"total\s*[:=]?\s*({NUMBER})\s*(?:{UNIT})?(?:[\s|]+{NUMBER}\s*(?:{UNIT})?)+", re.IGNORECASE)
_ONLY_AMOUNTS = re.compile(rf"\s*{NUMBER}\s*(?:{UNIT})?(?:\s+{NUMBER}\s*(?:{UNIT})?)+\s*", re.IGNORECASE)
"""The head of columns of amounts."""


def _add_entries(card: SortedCard, number: int, text: str, addition: bool, found: Findings) -> bool:
    """Put the material, or the several materials, of a line on the card; False if there is none."""
    text = about(text)
    extra = _EXTRA.search(text)
    if extra and by_last(text[: extra.start()]):
        text, addition = text[: extra.start()], True
    if _add_chain(card, number, text, addition, found):
        return True
    text, page = apart_from_page(text)
    card.beside += [(number, page)] if page else []
    extra = _EXTRA_LAST.search(text)
    if extra and by_first(text[: extra.start()]):
        text, addition = text[: extra.start()], True
    parts = parts_of_list(text)
    if parts is not None:
        _add_parts(card, number, parts, addition, found)
        return True
    raised = RAISED.search(text)
    if raised and by_last(text[: raised.start()] + " " + raised[1]):
        text, addition = text[: raised.start()] + " " + raised[1], True
    if by_last(text) or by_first(text):
        card.entries.append(NamedLine(number, text, addition))
        return True
    middle = by_middle(text)
    if middle is not None:
        split, words = middle
        if _ADDED.fullmatch(words):
            card.entries.append(NamedLine(number, split.name, True, split.amount))
            return True
        name = _with_words(card, number, split.name, words, found)
        card.entries.append(NamedLine(number, name, addition, split.amount))
        return True
    if by_odd_amount(text):
        card.entries.append(NamedLine(number, text, addition))
        return True
    return False


def _with_words(card: SortedCard, number: int, name: str, words: str, found: Findings) -> str:
    """A material's name with the words that say which sort of it is meant; other words beside its amount are kept
    among the notes, and those that leave open what is meant are asked about."""
    if leaves_open(words):
        text = f"{quote(words)} beside {quote(name)} leaves open what goes into the batch"
        found.error("one-of-two", text, "write what is meant, or put # before a comment", number)
    elif is_sort(words):
        return f"{name}, {words.strip(' ()')}"
    else:
        card.beside.append((number, f"{name}: {words.strip(' ()')}"))
    return name


def _add_parts(card: SortedCard, number: int, parts: list[str], addition: bool, found: Findings) -> None:
    """The materials of a list; from one that says `plus` or `add` on, they are additions."""
    totals = [_TOTAL.fullmatch(part.strip(" \t,;|")) for part in parts]
    count = len(parts) - sum(total is not None for total in totals)
    found.remark("several-on-a-line", f"{count} materials are read from one line", "write one a line", number)
    last = max((i for i, total in enumerate(totals) if total), default=-1)
    for i, (part, total) in enumerate(zip(parts, totals, strict=True)):
        if total is not None:
            over = i == last < len(parts) - 1 and not part.lstrip().casefold().startswith("sub")
            addition = addition or over  # as below a total on a line of its own
            if i == len(parts) - 1:
                _took_total(card, number, total, None)
            continue
        plus = ADD_WORD.match(part)
        addition = addition or plus is not None
        part = part[plus.end() :] if plus else part
        raised = RAISED.search(part)
        bare = f"{part[: raised.start()]} {raised[1]}" if raised else part
        card.entries.append(NamedLine(number, bare, addition or raised is not None))


_CHAIN: Final = re.compile(r"\s+\+\s*(?=\S)")


def _add_chain(card: SortedCard, number: int, text: str, addition: bool, found: Findings) -> bool:
    """Materials with + between them: one batch where they add up to 100, else the first and what is added to it."""
    parts = _CHAIN.split(text)
    splits = [by_last(part) or by_first(part) for part in parts]
    if len(parts) < 2 or not all(splits) or any(parts_of_list(part) for part in parts):
        return False
    total = sum(_number(split.amount) for split in splits if split)
    whole = len(parts) > 2 and abs(total - 100) < 0.5
    _add_parts(
        card, number, [parts[0], *parts[1:]] if whole else [parts[0], *(f"+ {p}" for p in parts[1:])], addition, found
    )
    return True


def _number(amount: str) -> float:
    digits = re.match(r"\s*(\d{1,9}(?:[.,]\d{1,9})?)", amount)
    return float(digits[1].replace(",", ".")) if digits else 0.0


def _first_recipe(card: SortedCard, unplaced: list[tuple[int, str]], found: Findings) -> list[tuple[int, str]]:
    """Say where a second recipe begins, and leave the first on the card; the unplaced lines that belong to it."""
    pieces = [
        MaterialRead(entry.line, split.name, _number(split.amount))
        for entry in card.entries
        if not entry.addition and (split := _split_simply(entry)) is not None
    ]
    titles = {number: line for number, line in (*unplaced, *card.free) if not is_practice(line)}
    breaks = [*card.blanks, *card.headings, *titles, *(total.line for total in card.totals)]
    at = second_recipe(pieces, breaks, [*titles, *card.headings])
    if at is None:
        return unplaced
    above, below = [p for p in pieces if p.line < at], [p for p in pieces if p.line > at]
    between = [line for number, line in sorted(titles.items()) if above[-1].line < number <= below[0].line]
    second = quote(between[0]) if between else "another"
    text = f"a second recipe begins here, {second} with {_told(below)}; above it stands one with {_told(above)}"
    found.error("several-recipes", text, "keep one recipe in a file: cut the text in two here", below[0].line)
    card.entries = [entry for entry in card.entries if entry.line < at]
    card.totals = [total for total in card.totals if total.line <= at]
    card.free = [(number, line) for number, line in card.free if number < at]
    return [(number, line) for number, line in unplaced if number < at]


def _told(pieces: list[MaterialRead]) -> str:
    first = ", ".join(f"{piece.name} {piece.amount:g}" for piece in pieces[:3])
    return f"{first}{', ...' if len(pieces) > 3 else ''} (lines {pieces[0].line} to {pieces[-1].line})"


def _split_simply(entry: NamedLine) -> LineSplit | None:
    if entry.amount is not None:
        return LineSplit(entry.text.strip(), entry.amount)
    body = without_leaders(entry.text)
    return by_first(body) or by_last(body)


def _table_row(card: SortedCard, number: int, line: str, adding: bool, columns: Columns, found: Findings) -> bool:
    cells = [cell.strip() for cell in cells_of(line, columns.delimiter)]
    while len(cells) > columns.width and not cells[-1]:
        cells.pop()
    if len(cells) == columns.width + 1 and cells[0].isdigit():
        del cells[0]  # rows that are numbered, the number's column without a head
    if len(cells) > columns.width:
        hint = 'put an amount with a decimal comma between quotes: "16,5"' if columns.delimiter == "," else ""
        found.error(
            "too-many-cells", f"{len(cells)} cells where the head of the table has {columns.width}", hint, number
        )
        return True
    cells += [""] * (columns.width - len(cells))
    name, amount = cells[columns.name], cells[columns.amount]
    bare = None if name else _BARE_TOTAL.fullmatch(amount)
    if _took_total(card, number, _TOTAL.fullmatch(f"{name} {amount}"), bare):
        return True
    if not any(cells):
        return True
    plus = ADD_WORD.match(name)
    added = _ADDED_CELL.fullmatch(amount)
    if added:
        amount = added["after"] or added["before"]
    noted = [cell for i, cell in enumerate(cells) if cell and i not in (columns.name, columns.amount, columns.addition)]
    added = added or next((m for cell in noted if (m := _ADDED.fullmatch(cell))), None)
    card.further += [
        Further(number, columns.heads[i], i in columns.others, amount, cell)
        for i, cell in enumerate(cells)
        if i not in (columns.name, columns.amount, columns.addition) and ONLY_AMOUNT.fullmatch(cell)
    ]
    words = [cell for cell in noted if has_letters(cell) and not _ADDED.fullmatch(cell)]
    for word in words:
        name = _with_words(card, number, name, word, found)
    marked = columns.addition is not None and cells[columns.addition].casefold() in {"yes", "y", "true", "1", "x", "+"}
    card.entries.append(
        NamedLine(number, name[plus.end() :] if plus else name, adding or marked or bool(plus or added), about(amount))
    )
    return True


def _sort_free(
    card: SortedCard, unplaced: list[tuple[int, str]], lines: list[tuple[int, str]], found: Findings
) -> None:
    """Lines without an amount: words of the writer are kept, a material whose amount is missing is an error."""
    paragraphs = _paragraphs(lines)
    batch = {paragraphs[entry.line] for entry in card.entries}
    double_spaced = len(card.entries) > 1 and len(batch) == len(card.entries)
    batch |= {paragraphs[line] for line in card.headings}
    batched = [entry.line for entry in card.entries]
    for number, line in unplaced:
        if batched and batched[0] < number < batched[-1] and _UNREAD.search(line) and not ends_in_cone(line):
            hint = "write it as a material and its amount, or put # before a comment"
            found.error("amounts-in-words", f"{quote(line)} stands in the batch and is not understood", hint, number)
            continue
        apart = paragraphs[number] not in batch and not double_spaced and bool(card.entries)
        aside = line.startswith("(") and line.endswith(")") and not any(c.isdigit() for c in line)
        named = batched and number <= batched[-1] + 1 and names_a_material(firing_of(line).rest) and not aside
        if apart or aside or (not named and (ends_in_cone(line) or _is_prose(line))):
            card.free.append((number, line))
            continue
        hint = "write the amount after the material, or put # before a comment"
        found.error("amount-missing", f"no amount beside {quote(line)}", hint, number)


_UNREAD = re.compile(r"(?<![\d:/])\d+(?![\d:/])")


def _paragraphs(lines: list[tuple[int, str]]) -> dict[int, int]:
    """Line number -> the paragraph it is in; a blank line parts them."""
    paragraph = 0
    numbers: dict[int, int] = {}
    for number, line in lines:
        paragraph += not line
        numbers[number] = paragraph
    return numbers


def _is_prose(line: str) -> bool:
    if _FACE.search(line):
        return True
    line = line.strip("() ")
    words = line.split()
    if not words or _GREETING.match(line):
        return bool(words)
    firing = len(words) <= 3 and words[0].casefold() in {"oxidation", "reduction"}
    return len(words) >= 6 or line.endswith((".", "!", "?")) or "://" in line or firing
