"""The grammar of one line of a recipe: a material's name and an amount, whichever comes first."""

from __future__ import annotations

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
    goes_on = 2 * sum(tags) == len(tags)  # where each strike ends, it may end lines below
    struck = False
    for number, raw in enumerate(text.split("\n"), start=1):
        if ("<" not in raw and "&" not in raw and not struck) or _OWN_WORDS.match(raw):
            yield number, _plain_spaces(without_comment(raw)), False
            continue
        with_rows, struck = _with_strikes(_ROW_END.sub("\n", _CELL_END.sub("\t", raw)), struck and goes_on)
        bare = _spelt_out(_TAG.sub("", with_rows))
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


def _spelt_out(text: str) -> str:
    import html

    return html.unescape(text)


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


def says_more(name: str) -> bool:
    """Whether what was taken for a name is a sentence: `Sorry, typo! whiting should be`."""
    return re.search(r"\b(?:should be|sorry|typo|instead)\b", name, re.IGNORECASE) is not None


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
