"""What comes with a recipe that is pasted from a page, a mail or a table: its marks, its manners, its second recipe."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Final, NamedTuple

# Marks of a page that is written in plain text: bold, italics, code, a rule beneath the head of a table.

_EMPHASIS: Final = re.compile(
    r"\*\*(?=\S)(.{1,300}?)(?<=\S)\*\*|(?<!\w)__(?=\S)(.{1,300}?)(?<=\S)__(?!\w)|`([^`]{1,300})`"
)
_SLANTED: Final = re.compile(r"(?<![\w*])\*(?=[^\s*])([^*]{1,300}?)(?<=[^\s*])\*(?![\w*])")
_LONE_STARS: Final = re.compile(r"\*{2,}")
_TITLE: Final = re.compile(r"^\s{0,3}#{1,6}\s+(\S.{0,200}?)\s*#*\s*$")
_TABLE_RULE: Final = re.compile(r"^[\s|]*:?-{2,}[-:|\s]*$", re.MULTILINE)
_BARE_RULE: Final = re.compile(r"^\s*-{2,}\s*$")
_APPROXIMATE: Final = re.compile(
    r"(?<![\w.])(?:~|\N{ALMOST EQUAL TO}|\bca\.|\bapprox\.?|\babout|\baround)\s*(?=\d)", re.IGNORECASE
)

_OR_SO: Final = re.compile(r"(?<=[\d%g])\s+(?:or so|or thereabouts|roughly|approx\.?|about)\s*$", re.IGNORECASE)


def without_emphasis(text: str) -> str:
    """A line without the stars, bars and ticks that make a word bold.

    >>> without_emphasis("| **Add:** | |"), without_emphasis("**+** `Tin oxide` 5")
    ('| Add: | |', '+ Tin oxide 5')
    """
    if "*" not in text and "_" not in text and "`" not in text:
        return text
    bare = _SLANTED.sub(lambda m: m[1], _EMPHASIS.sub(lambda m: m[1] or m[2] or m[3], text))
    return _LONE_STARS.sub("", bare) if "**" in bare and bare.strip("* ") else bare


def titles_as_names(text: str) -> str:
    """A page's text with its first heading as the name of the card; elsewhere a ``#`` begins a comment.

    Only a text that holds a table or a deeper heading is a page; a card's own comments stay comments.
    """
    if "#" not in text:
        return text
    lines = text.split("\n")
    deeper = any(line.startswith("##") and _TITLE.match(line) for line in lines[:200])
    if not deeper and not any("|" in rule[0] for rule in _TABLE_RULE.finditer(text)):
        return text
    for index, line in enumerate(lines):
        match = _TITLE.match(line)
        if match is not None:
            lines[index] = match[1]
    return "\n".join(lines)


def about(text: str) -> str:
    """An amount without the sign that it is approximate: ``~40`` is 40."""
    return _OR_SO.sub("", _APPROXIMATE.sub("", text))


# What is no material: how to sieve, mix, put on and fire it, and the head of a letter.

_PRACTICE: Final = re.compile(
    r"(?:(?:re)?sieved?|screen(?:ed)?|mix(?:ed)?|stir(?:red)?|blend(?:ed)? (?:well|for|until)|appl(?:y|ied)"
    r"|dip(?:ped)?|pour(?:ed)?|spray(?:ed)? (?:on|thin|thick|to|at|with|coats?|\d)"
    r"|brush(?:ed)? (?:on|\d|two|three|thin|thick)"
    r"|fired? (?:to|at|in|slow|fast|with|on|\d)|firing|bisqued?|hold|soak(?:ed)?|ramp|slow[- ]cool"
    r"|cool(?:ed)?|drop to|let it"
    r"|s\.?\s?g\.?|sp\.? ?gr?\.?|specific gravity|hydrometer|adjust|thin(?:ned)? (?:to|with|it|coat)"
    r"|thick(?:ness)?|coats?"
    r"|works? (?:on|best|well|at|with)|makes|yields?|ball[- ]mill(?:ed)?|mill(?:ed)? for"
    r"|test(?:ed)? (?:on|at|in|tile)|shelf life"
    r"|mesh|photo|page|posted|updated|copyright|cost|price|viscosity|deflocculate|flocculate|tested|notes?|instructions"
    r"|directions|do not|don't|warning|caution|wear)\b",
    re.IGNORECASE,
)
_WATER: Final = re.compile(r"(?:hot |warm |cold |distilled |tap |add )*water\b(?!\s*glass)", re.IGNORECASE)
_LETTERHEAD: Final = re.compile(
    r"(?:subject|re|fwd?|to|cc|bcc|date|sent|reply-to|x-[\w-]+|message-id|on .{6,60} wrote)\s*:", re.IGNORECASE
)
_SIGNED: Final = re.compile(r"--\s*$|sent from my\b|\bwrote:\s*$", re.IGNORECASE)
_WEB_ADDRESS: Final = re.compile(r"\bhttps?://|\bwww\.|[\w.]+@[\w.]+\.\w")


def is_practice(line: str) -> bool:
    """Whether a line tells what to do with a glaze, or is a letter's: no material, whatever its numbers.

    >>> is_practice("Sieve 80 mesh! SG 1.45"), is_practice("Fire clay 20"), is_practice("Date: 3 March 2024")
    (True, False, True)
    """
    bare = line.strip("*_ \t(>|")
    if names_material(bare):
        return False
    return any(p.match(bare) for p in (_PRACTICE, _LETTERHEAD)) or bool(
        _SIGNED.search(bare) or _WEB_ADDRESS.search(bare)
    )


# Words that make a name a material's: the safeguard against a line of the batch being kept as a note.

_MATTER: Final = (
    r"(?:ash|kaolin|(?:[kc]-?|na-?)?spar|(?:[kc]-?|na-?)?fel(?:d)?spar|syenite|neph(?:eline)?|sy|silica|flint|quartz"
    r"|whiting|chalk|calcite|limestone|dolomite|talc|wollastonite|frit|stain|oxide|ox|carbonate|carb|dioxide|diox"
    r"|sul(?:ph|f)ate|zirc(?:on(?:ium|ia)?)?|opacifier|rutile|ilmenite|titani(?:a|um)|tin|zinc|cobalt|copper|chrome"
    r"|manganese|nickel|bentonite|bent|colemanite|ulexite|borax|spod(?:umene)?|petalite|lepidolite|alumina"
    r"|magnesi(?:a|te)|rio|cmc|gum|epsom|granite|basalt|pumice|cullet|grog|ochre|umber)"
)
_PLAIN_MATTER: Final = (
    rf"(?:{_MATTER}|clay|fireclay|glass|sand|iron|lime|stone|salt|soda|powder|dust|mica|slip|ore|mullite|earth)"
)
_FIGURE: Final = r"(?:\d{1,5}(?:[.,]\d{1,4})?|[.,]\d{1,4})"
_MEASURE: Final = r"(?:%|percent|parts?|g|gm|grams?|kg|oz|lb)"
_NO_AMOUNT: Final = (
    r"(?!\s*[-\N{EN DASH}]?\s*(?:mesh|min|sec|h\b|hours?|hrs?|days?|weeks?|coats?|times|x\b|mm|cm|inch|in\b|deg|cone"
    r"|\N{DEGREE SIGN}|[CF]\b|:|/\d|tiles?|pieces?|pots?|years?|layers?))"
)
_ONE_LINE: Final = re.compile(
    rf"[^\d]{{0,60}}\b{_PLAIN_MATTER}s?[\s:=.,\-]*[(+]*\s*{_FIGURE}\s*{_MEASURE}?\)?"
    rf"|{_FIGURE}\s*{_MEASURE}?\s+[^\d]{{0,60}}\b{_PLAIN_MATTER}s?",
    re.IGNORECASE,
)
_AMOUNT_NEAR: Final = re.compile(
    rf"\b{_MATTER}s?[\s:=.\-(+]{{1,6}}{_FIGURE}(?![\d.]*\d){_NO_AMOUNT}"
    rf"|(?<![\w./:\-])(?<!cone ){_FIGURE}\s*{_MEASURE}?\s+(?:of\s+)?(?:[a-z]+\s+)?{_MATTER}\b"
    rf"|{_FIGURE}\s*{_MEASURE}\s+(?:of\s+)?(?:[a-z]+\s+)?{_PLAIN_MATTER}\b",
    re.IGNORECASE,
)


def names_material(line: str) -> bool:
    """Whether a whole line is a material with its amount, whatever word it begins with.

    >>> names_material("Mixed wood ash 40"), names_material("Mix well 10"), names_material("10 milled zircon")
    (True, False, True)
    """
    return _ONE_LINE.fullmatch(line.strip(" *_|>")) is not None


def tells_amount(line: str) -> bool:
    """Whether somewhere in a line an amount stands beside a material, so that it may be of the batch.

    >>> tells_amount("there is also 5 tin oxide in it"), tells_amount("silica 325 mesh"), tells_amount("2 coats on tin")
    (True, False, False)
    """
    return _AMOUNT_NEAR.search(line[:_LONGEST_SHARES]) is not None


def is_water(name: str) -> bool:
    """Whether a line's name is the water it is mixed with, which is no part of the dry batch."""
    return bool(_WATER.match(name.strip()))


# Amounts in the midst of words.

_LONGEST_SHARES: Final = 400
_NO_MATERIAL: Final = (
    r"(?!(?:of )?(?:water|batch|dry|glaze|recipe|powder|total|test|the|a|each|more|less|solution|per|in|on|at|or"
    r"|and|for|to|so"
    r"|was|is|too|surface|coverage|time|relative|humidity|over|more|shrinkage|absorption|sure|better|darker|oxidation"
    r"|reduction)\b)"
)
_SHARE_OF: Final = re.compile(
    rf"(?<![\w.])(\d{{1,3}}(?:\.\d{{1,4}})?) ?(?:%|percent|g\b|gm\b|grams?\b) ?{_NO_MATERIAL}"
    r"(?:of )?([A-Za-z][A-Za-z ]{2,30})",
    re.IGNORECASE,
)
_SHARE_AFTER: Final = re.compile(
    r"\b([A-Za-z][A-Za-z]{2,20}(?: [A-Za-z]{2,20})?) ?\(?(\d{1,3}(?:\.\d{1,4})?) ?%", re.IGNORECASE
)
_LEAD_IN: Final = re.compile(
    r"(?:use|add|adds|added|with|plus|and|of|for|the|some|try|using|white|blue|green|red|black|about|to)\s+",
    re.IGNORECASE,
)


def shares_in_words(line: str) -> list[tuple[str, str]]:
    """Every (material, amount) that a sentence holds, as in `and 2% cobalt oxide, tin 5%`.

    >>> shares_in_words("for blue I use 2% cobalt oxide"), shares_in_words("then tin oxide 5%, very nice")
    ([('cobalt oxide', '2')], [('tin oxide', '5')])
    """
    text = line[:_LONGEST_SHARES]
    before = [(name.strip(), amount) for amount, name in _SHARE_OF.findall(text)]
    if before:
        return before
    after = [(_LEAD_IN.sub("", name).strip(), amount) for name, amount in _SHARE_AFTER.findall(text)]
    return [(name, amount) for name, amount in after if len(name) > 2]


# Several materials on one line.

_SEPARATORS: Final = (
    re.compile(r"\s*[;,]\s+(?:and\s+|plus\s+|with\s+)?(?=\S)|\s+(?:and|plus)\s+(?=[\d.~]|\w[\w ]*\s\d)", re.IGNORECASE),
    re.compile(r"\s+[/|&\N{BULLET}\N{MIDDLE DOT}]\s+"),
    re.compile(r"\s*[;,/|&]\s*(?=[A-Za-z+])"),
    re.compile(r"\s*[;,]\s*"),
)
_RUN_LAST: Final = re.compile(r"\s*([^\W\d_][^\d]{1,60}?)[\s:=-]+(\d{1,4}(?:\.\d{1,3})?)\s?(?:%|g\b)?(?=\s|$)")
_RUN_FIRST: Final = re.compile(r"\s*(\d{1,4}(?:\.\d{1,3})?)\s?(?:%|g\b)?\s+([^\W\d_][^\d]{1,60}?)(?=\s+\d|$)")


def lists_in(text: str) -> list[list[str]]:
    """The ways a line can be a list of materials, the likeliest first."""
    body = text.strip(" .,;/|")
    found = []
    for separator in _SEPARATORS:
        parts = [part.strip() for part in separator.split(body) if part and part.strip()]
        if len(parts) > 1 and parts not in found:
            found.append(parts)
    return found


def run_together(text: str) -> list[str] | None:
    """The materials of a line that has nothing between them but their amounts; None for fewer than three.

    >>> run_together("Potash feldspar 40 Silica 30 Whiting 30")
    ['Potash feldspar 40', 'Silica 30', 'Whiting 30']
    """
    for pattern, order in ((_RUN_LAST, (1, 2)), (_RUN_FIRST, (2, 1))):
        place, parts = 0, []
        while (match := pattern.match(text, place)) is not None:
            parts.append(f"{match[order[0]].strip()} {match[order[1]]}")
            place = match.end()
        if len(parts) >= 3 and not text[place:].strip(" .,"):
            return parts
    return None


# Two recipes in one paste.


class Piece(NamedTuple):
    """A material of the base as it was read: its line and the paragraph or the table it is in."""

    line: int
    name: str
    amount: float


def second_recipe(base: Sequence[Piece], breaks: Sequence[int], titled: Sequence[int]) -> int | None:
    """The line on which a second recipe begins, or None.

    ``breaks`` are lines that part the batch (blank, a heading, a total, a title); ``titled`` those of them that could
    be a name or a cone.
    """
    for at in sorted(set(breaks)):
        above = [piece for piece in base if piece.line < at]
        below = [piece for piece in base if piece.line > at]
        if len(above) < 3 or len(below) < 3:
            continue
        shared = {p.name.casefold() for p in above} & {p.name.casefold() for p in below}
        whole = all(_near_hundred(sum(p.amount for p in part)) for part in (above, below))
        named = any(above[-1].line < t <= below[0].line for t in titled)
        if len(shared) >= 2 or whole or (named and shared):
            return at
    return None


def _near_hundred(total: float) -> bool:
    return math.isclose(total, 100, abs_tol=2.5) or math.isclose(total, 1000, abs_tol=25)


# Two columns of amounts.


def columns_agree(columns: Sequence[tuple[float, float]]) -> bool:
    """Whether two columns say the same batch in two measures: one is a multiple of the other."""
    ratios = [second / first for first, second in columns if first > 0 and second > 0]
    return bool(ratios) and max(ratios) <= 1.03 * min(ratios)
