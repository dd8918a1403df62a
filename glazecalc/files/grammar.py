"""The grammar of one line of a recipe: a material's name and an amount, whichever comes first."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from typing import Final, NamedTuple

from glazecalc.files.numbers import NUMBER, UNIT, plain
from glazecalc.files.pasted import lists_in, run_together, unglued

_TAG = re.compile(r"</?[a-zA-Z][^<>]{0,300}>")
_CELL_END = re.compile(r"</t[dh]\s*>", re.IGNORECASE)
_STRIKE = re.compile(r"<(?P<end>/?)(?:s|del|strike)(?:\s[^<>]{0,300})?>", re.IGNORECASE)
_ROW_END = re.compile(r"<br\s*/?>|</(?:p|tr|li|div|h\d)\s*>", re.IGNORECASE)
_ENTITY = re.compile(r"&(?:#\d{1,6}|#x[0-9a-f]{1,5}|[a-z]{2,10}\d{0,2});", re.IGNORECASE)
_COMMENT = re.compile(r"(?:^|(?<=\s))#.*$")
_NUMBER_SIGN = re.compile(r"[^\d#]*[^\W\d_][^\d#]*\s#\d")
_LEADERS = re.compile(
    r"(?:\.[ \t]?){3,}|(?<!\d)\.\.|\.\.(?!\d)|\N{HORIZONTAL ELLIPSIS}+|\N{MIDDLE DOT}{2,}"
    r"|_{2,}|[-\N{EN DASH}\N{EM DASH}]{2,}(?![\d.,])|[-\N{EN DASH}\N{EM DASH}]{3,}|={2,}"
)
_QUOTED_MAIL = re.compile(r"^\s*(?:>\s*)+")
_BULLET = re.compile(
    r"^\s*(?:\*(?=[^\W\d])|[-*\N{BULLET}\N{MIDDLE DOT}\N{EN DASH}\N{EM DASH}◦▪▸►●○■□✓]\s+"
    r"|[\N{BULLET}◦▪▸►●○■□✓]|\[[ xX]?\]\s)"
)
_PICTURES = re.compile(r"(?<=[\w%*)])[\s\u2600-\u27bf\U0001f300-\U0001faff\ufe0f]+$")
"""Small pictures at the end of a line."""
_IN_BRACKETS = re.compile(r"\(\s*\+[^()]*\d[^()]*\)")
_OWN_WORDS = re.compile(r"\s*(?:name|surface|source|notes?)\s*:", re.IGNORECASE)
"""Headers whose text is a potter's own, brackets and all."""
_NUMBERED = re.compile(r"^\s*(?:\d{1,2}[.)]|[a-h]\))\s+(?=\D)")
_NUMBERED_FIRST = re.compile(r"^\s*\d{1,2}\)\s+(?=\d)")
_PICTURE = re.compile(r"[\U0001f000-\U0001faff\u2690-\u26bf\u2728\u2734\u2764\ufe0f\u200d]+")
_TWO_UNITS: Final = rf"{NUMBER}\s*(?:lbs?|pounds?|kgs?|kilos?)\.?,?\s+{NUMBER}\s*(?:oz|ounces?|g|grams?)\.?"
_AMOUNT_TEXT: Final = rf"(?:{_TWO_UNITS}|{NUMBER}\s*(?:{UNIT})?)"
_LAST = re.compile(rf"(?:(?<=[\s;:=|])|(?<=[^\d.,],))(?P<amount>[-+]?{_AMOUNT_TEXT})\s*$", re.IGNORECASE)
_LAST_IN_BRACKETS = re.compile(rf"(?<=\s)[(\[]\s*(?P<amount>{_AMOUNT_TEXT})\s*[)\]]\s*$", re.IGNORECASE)
_FIRST = re.compile(
    rf"^(?P<amount>[-+]?{NUMBER}\s*(?:%|{UNIT}(?![\w.]))?)(?:[x\u00d7](?=\s))?"
    r"(?=[\s,;:=|]|-\s|(?<=%)[^\W\d_])",
    re.IGNORECASE,
)
ONLY_AMOUNT = re.compile(rf"\s*{_AMOUNT_TEXT}\s*", re.IGNORECASE)
_ANY_LAST_WORD = re.compile(r"(?:[\s;:=|]|(?<=[^\d,]),)([^\s;:=|]{1,60})\s*$")
_MORE_WORDS = re.compile(
    r"\s*(?:\([^()]{1,120}\)|(?:,\s|;\s|\s[-\N{EN DASH}\N{EM DASH}]\s|\s{2,}(?=[^\W\d]))[^\d]{1,120})\s*$"
)
ADD_WORD = re.compile(
    r"(?:also\s+|then\s+|and\s+)?(?:add|plus|\+|additions?|colou?rants?|opacifiers?|extras?|with|and|then|also)\s*[:\s]\s*"
    r"(?=\S)|colou?rs?\s*:\s*(?=\S)|\+\s*|(?:\u5916\u5272|\u0441\u0432\u0435\u0440\u0445 100\s?%?)\s*:?\s*(?=\S)",
    re.IGNORECASE,
)
RAISED = re.compile(r"\s\(?\+\s*([\d.][^+()]*)\)?$")
_EDGES: Final = ' \t,;:=|-\N{EN DASH}\N{EM DASH}~>"'


class LineSplit(NamedTuple):
    """A line taken apart: the material's name and the text of its amount."""

    name: str
    amount: str


def tidy_lines(text: str) -> Iterator[tuple[int, str, bool]]:
    """Every line as (number from 1, text without comment and web page left-overs, whether there were any)."""
    tags = [not tag["end"] for tag in _STRIKE.finditer(text)]
    closed = 2 * sum(tags) == len(tags)  # where each strike ends, it may end lines below
    struck = False
    for number, raw in enumerate(text.split("\n"), start=1):
        if ("<" not in raw and "&" not in raw and not struck) or _OWN_WORDS.match(raw):
            yield number, _plain_spaces(without_comment(raw)), False
            continue
        from html import unescape  # its table of names takes 2 ms to load, and few cards come from a page

        with_rows, struck = _with_strikes(_ROW_END.sub("\n", _CELL_END.sub("\t", raw)), struck and closed)
        bare = unescape(_TAG.sub("", with_rows))
        left_over = bare != raw and bool(_TAG.search(raw) or _ENTITY.search(raw))
        for part in bare.split("\n"):
            yield number, _plain_spaces(without_comment(part)), left_over


def _with_strikes(text: str, struck: bool) -> tuple[str, bool]:
    """The rows of a page with ~~ about what its tags strike out, and whether the strike goes on below."""
    rows = []
    for row in text.split("\n"):
        line, place = "~~" if struck and row.strip() else "", 0
        for tag in _STRIKE.finditer(row):
            line += row[place : tag.start()] + ("~~" if struck == bool(tag["end"]) else "")
            place, struck = tag.end(), not tag["end"]
        line += row[place:]
        rows.append(f"{line}~~" if struck and row.strip() else line)
    return "\n".join(rows), struck


def without_comment(text: str) -> str:
    """A line without its comment; the `#4` of `Shoal blue #4` is a number, not a comment.

    >>> without_comment("Whiting 20 # local"), without_comment("name: Shoal blue #4")
    ('Whiting 20 ', 'name: Shoal blue #4')
    """
    if "#" not in text:
        return text
    numbered = _NUMBER_SIGN.match(text)
    start = numbered.end() if numbered else 0
    return text[:start] + _COMMENT.sub("", text[start:])


def _plain_spaces(text: str) -> str:
    return re.sub(r" {60,}", " " * 60, re.sub(r"[^\S\t\n]", " ", text).rstrip())


def unmarked(text: str) -> str:
    """A line without the mark of a quoted mail, a bullet, small pictures, or the bars of a table."""
    text = _PICTURE.sub(" ", _QUOTED_MAIL.sub("", text))
    text = text.strip().strip("|").strip() if text.count("|") >= 2 else text
    text = _PICTURES.sub("", _BULLET.sub("", _BULLET.sub("", text)))
    text = text[1:-1] if _IN_BRACKETS.fullmatch(text) else text
    text = re.sub(r"(?<=[\d%g])\s+[.,;]$|^[~_]\s+(?=[^\W\d_])", "", text)
    if _NUMBERED.match(text) and by_last(_NUMBERED.sub("", text)):
        text = _NUMBERED.sub("", text)
    elif _NUMBERED_FIRST.match(text) and by_first(_NUMBERED_FIRST.sub("", text)):
        text = _NUMBERED_FIRST.sub("", text)
    return unglued(text.strip())


def without_leaders(text: str) -> str:
    """A line whose dot leaders and rules are spaces."""
    return plain(_LEADERS.sub("  ", text))


def by_last(text: str) -> LineSplit | None:
    """The line taken as `name amount`, or None. ``text`` has been through :func:`without_leaders`."""
    match = _LAST.search(text) or _LAST_IN_BRACKETS.search(text)
    if match is None:
        return None
    name = _bare(text[: match.start()])
    return LineSplit(name, match["amount"].strip()) if has_letters(name) else None


def by_first(text: str) -> LineSplit | None:
    """The line taken as `amount name`, or None."""
    match = _FIRST.match(text)
    if match is None:
        return None
    name = re.sub(r"^of\s+", "", text[match.end() :].strip(_EDGES + "*_`"))
    return LineSplit(name, match["amount"].strip()) if has_letters(name) and not ONLY_AMOUNT.fullmatch(name) else None


def by_middle(text: str) -> tuple[LineSplit, str] | None:
    """The line taken as `name amount, more words`: the words in brackets or set off by a comma or a dash."""
    match = _MORE_WORDS.search(text)
    split = by_last(text[: match.start()]) if match else None
    return (split, match[0].strip(_EDGES)) if split and match else None


def parts_of_list(text: str) -> list[str] | None:
    """The parts of a line that lists several materials, each with its amount, or None."""
    for parts in lists_in(text):
        bare = [RAISED.sub(r" \1", ADD_WORD.sub("", part, count=1)) for part in parts]
        if all(_can_be_listed(by_last(part) or by_first(part)) for part in bare):
            return parts
    run = run_together(text)
    return run if run is not None and all(_can_be_listed(by_last(part)) for part in run) else None


_NO_PART: Final = re.compile(
    r"[!?]|^(?:or|see|page|p|pp|mesh|g|kg|lb|oz)\b\.?(?:\s|$)|\b(?:should|sorry|typo|instead|see p|page)\b",
    re.IGNORECASE,
)
"""What tells that a part of a line is no material of a list: `should be 22`, `or talc 5`, `see p. 4`, `325 mesh`."""


def _can_be_listed(split: LineSplit | None) -> bool:
    return split is not None and _NO_PART.search(split.name) is None


SAYS_MORE: Final = re.compile(r"\b(?:should be|sorry|typo|instead)\b", re.IGNORECASE)
"""What tells that what was taken for a name is a sentence: `Sorry, typo! whiting should be`."""


def by_odd_amount(text: str) -> LineSplit | None:
    """The line taken as `name word` where the word stands for an amount that cannot be read: `1e999`, `-5`, `=A2`."""
    match = _ANY_LAST_WORD.search(text)
    if match is None or not re.search(r"\d|^[-+=@]\w|^(?:nan|-?inf|infinity|null|none|#\S+)$", match[1], re.IGNORECASE):
        return None
    name = _bare(text[: match.start()])
    return LineSplit(name, match[1]) if has_letters(name) else None


def _bare(text: str) -> str:
    """A name without the marks around it; a leading = stays, for it is a spreadsheet's formula."""
    return text.rstrip(_EDGES + "*_`").lstrip(_EDGES.replace("=", "") + "*_`")


def has_letters(text: str) -> bool:
    """Whether a name can be a material's: it has a letter."""
    return any(c.isalpha() for c in text)


# What stands beside a material and its amount: what is struck out, what it costs, words to keep, words that ask.

_STRUCK: Final = re.compile(r"~~(.{1,300}?)~~")
_PRICE: Final = re.compile(
    r"(?:(?:[\u00a3$] ?|\u20ac|(?<!\d )\u20ac )\d[\d.,]{0,12}"
    r"|(?<![\d.,])\d[\d.,]{0,12}(?:\u20ac(?!\d)| \u20ac(?! ?\d))"
    r"|(?<![\d.,])\d{1,5}[.,]\d\d \u20ac(?= \d)(?! \d{1,5}[.,]\d\d(?!\d))"
    r"|(?<=\d )(?<![.,]\d\d )\u20ac \d{1,5}[.,]\d\d(?!\d))"
    r"(?: ?(?:/|per) ?(?:kg|lb|g|100 ?g|bag))?",
    re.IGNORECASE,
)
"""A price, never over a tab. Of `10 \u20ac 4,50` the side with cents is the price; of `4 \u20ac 40` neither is."""
_EMPTY: Final = re.compile(r"[(\[] {0,4}[)\]]")
_BEHIND: Final = re.compile(
    r"(?<=[\w%)])\s*[,;(-]\s*(?P<mesh>\d{2,3}\s*(?:mesh|#))\)?\s*$"
    r"|(?<=[\w%)])\s*[,;(-]?\s*(?P<page>\bsee\s[^()]{1,60}|\bpp?\.\s?\d{1,4}(?:-\d{1,4})?)\)?\s*$",
    re.IGNORECASE,
)
"""A mesh or a page behind a line: its number is no amount."""
IN_DOUBT: Final = re.compile(
    r"\d|\?|\b(?:or|either|instead|alternatively|optional(?:ly)?|maybe|perhaps|up to|more|less|each|half|double"
    r"|if (?:you|liked|wanted|desired|needed|wished))\b",
    re.IGNORECASE,
)
"""What leaves open which material, or how much of it, is meant: `or chalk`, `or 22`, `optional`; not `not chalk!`."""
SORT: Final = re.compile(
    r"(?:(?:calcined|light|heavy|red|black|yellow|burnt|raw|synthetic|anhydrous|hydrated|potash|soda|sodium|potassium"
    r"|lithium|calcium|plastic|hard|soft)\s*){1,3}",
    re.IGNORECASE,
)
"""Words that say which sort of a material is meant: they belong to its name."""
OPTIONAL: Final = re.compile(r"\boptional(?:ly)?\b|\bif (?:you|liked|wanted|desired|needed|wished)\b", re.IGNORECASE)
"""What tells that a material may be left out: `Tin oxide (optional)`."""
EITHER: Final = re.compile(r"\w\s+or\s+\w", re.IGNORECASE)
"""What tells that one material or another is meant: `Whiting or chalk`; not `Ochre`."""


class Beside(NamedTuple):
    """A line without what is no part of it: what was struck out of it, and what it costs."""

    line: str
    struck: tuple[str, ...]
    priced: tuple[str, ...]


def without_asides(line: str) -> Beside:
    """A line without words that are struck out, and without prices.

    >>> without_asides("~~Silica 26~~ Silica 22")
    Beside(line='Silica 22', struck=('Silica 26',), priced=())
    >>> without_asides("Silica 24  $0.80/kg  $0.19").priced
    ('$0.80/kg', '$0.19')
    """
    struck = tuple(_STRUCK.findall(line)) if "~~" in line else ()
    kept = _STRUCK.sub(" ", line) if struck else line
    priced = tuple(m[0] for m in _PRICE.finditer(kept))
    kept = _EMPTY.sub(" ", _PRICE.sub(" ", kept)) if priced else kept
    return Beside(kept.strip() if struck or priced else line, struck, priced)


def apart_from_page(text: str) -> tuple[str, str]:
    """A line apart from the mesh or the page that stands behind it.

    >>> apart_from_page("10 Whiting, see p. 4"), apart_from_page("Silica 20, 325 mesh"), apart_from_page("Silica 325")
    (('10 Whiting', 'see p. 4'), ('Silica 20', '325 mesh'), ('Silica 325', ''))
    """
    match = _BEHIND.search(text)
    return (text, "") if match is None else (text[: match.start()].rstrip(" ,;(-"), match["mesh"] or match["page"])


# The head of a table on a card: which column holds the materials, which their amounts.

_NAME_COLUMNS: Final = {"material", "materials", "ingredient", "ingredients", "name", "oxide", "raw material", "item"}
_AMOUNT_COLUMNS: Final = {
    "amount", "amt", "%", "percent", "percentage", "parts", "grams", "gram", "g", "weight", "quantity", "qty", "mass",
    "parts by weight", "weight %", "batch", "amount (g)", "amount (%)", "weight (g)", "moles", "mole", "mol", "value",
}  # fmt: skip
_ADDITION_COLUMNS: Final = {"addition", "add", "additional", "is addition"}


class Columns(NamedTuple):
    """The places of a table's columns, counted from 0, and what parts its cells (\\0 where only blanks do)."""

    delimiter: str
    name: int
    amount: int
    addition: int | None
    heads: tuple[str, ...]
    others: frozenset[int] = frozenset()
    """Further columns of amounts."""

    @property
    def width(self) -> int:
        """Cells of a row."""
        return len(self.heads)


def columns_of(line: str) -> Columns | None:
    """The columns that a line heads, or None where it heads no table.

    >>> columns_of("material,A,B").others, columns_of("Whiting, silica, talc") is None
    (frozenset({2}), True)
    """
    for delimiter in ("\t", ";", ",", "|"):
        cells = [cell.casefold().strip() for cell in cells_of(line, delimiter)]
        names = [i for i, cell in enumerate(cells) if cell in _NAME_COLUMNS]
        amounts = [i for i, cell in enumerate(cells) if cell in _AMOUNT_COLUMNS]
        if names and amounts:
            extra = [i for i, cell in enumerate(cells) if cell in _ADDITION_COLUMNS]
            added = extra[0] if extra else None
            return Columns(delimiter, names[0], amounts[0], added, tuple(cells), frozenset(amounts[1:]))
        if len(cells) > 2 and names == [0] and cells[0] != "name" and all(_HEAD.fullmatch(cell) for cell in cells):
            return Columns(delimiter, 0, 1, None, tuple(cells), frozenset(range(2, len(cells))))
    spaced = [cell.casefold().strip() for cell in re.split(r"\s{2,}", line) if cell.strip()]
    others = spaced[1:]
    headed = bool(set(others) & _AMOUNT_COLUMNS) or all(ONLY_AMOUNT.fullmatch(cell) for cell in others)
    if others and spaced[0] in _NAME_COLUMNS and headed:
        return Columns("\0", 0, 1, None, tuple(spaced))
    words = [w.casefold() for w in re.split(r"\s{2,}|\s", line) if w]
    if len(words) == 2 and words[0] in _NAME_COLUMNS and words[1] in _AMOUNT_COLUMNS:
        return Columns("\0", 0, 1, None, tuple(words))
    return None


_HEAD = re.compile(r"[^\W\d_][^,.:]{0,11}")
"""The head of a column, a word or two."""


def cells_of(line: str, delimiter: str) -> list[str]:
    """The cells of a row; quotes hold a cell together.

    >>> cells_of('Whiting,"16,5"', ",")
    ['Whiting', '16,5']
    """
    try:
        return next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        return line.split(delimiter)


# A heading parts the batch: before its additions, or before its base.

_ADDITIONS: Final = re.compile(
    r"(?:also\s+)?(?:ajout(?:er|s)?|dazu|zugabe|zus[a\u00e4]tze?|a[n\u00f1]adir|agregar|aggiungere|\u5916\u5272|add|adds|added|addition|additions|additives?|plus|with|colou?rants?|opacifiers?|colou?rs?"
    r"|in addition|extras?)(?:\s+(?:over|to|on)\s+(?:the\s+)?(?:base|100\s?%?))?\s*[:.\-]*",
    re.IGNORECASE,
)
_BASES: Final = re.compile(
    r"(?:base|base (?:recipe|glaze|batch)|recipe|batch|ingredients?|materials?|glaze|formula|oxides?|composition)\s*:?",
    re.IGNORECASE,
)


def heading(line: str) -> bool | None:
    """True for a heading before additions, False for one before the base, None for any other line.

    >>> heading("**Add:**"), heading("Recipe"), heading("Whiting 20")
    (True, False, None)
    """
    bare = line.strip(" \t,;*#_|")
    if _ADDITIONS.fullmatch(bare):
        return True
    return False if _BASES.fullmatch(bare) else None
