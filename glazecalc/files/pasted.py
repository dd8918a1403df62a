"""What comes with a recipe that is pasted from a page, a mail or a table: its marks, its manners, its second recipe."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, NamedTuple

from glazecalc.files.problems import Findings, quote

# Marks of a page that is written in plain text: bold, italics, code, a rule beneath the head of a table.

_EMPHASIS: Final = re.compile(
    r"\*\*(?=\S)(.{1,300}?)(?<=\S)\*\*|(?<!\w)__(?=\S)(.{1,300}?)(?<=\S)__(?!\w)|`([^`]{1,300})`"
)
_SLANTED: Final = re.compile(r"(?<![\w*])\*(?=[^\s*])([^*]{1,300}?)(?<=[^\s*])\*(?![\w*])")
_LONE_STARS: Final = re.compile(r"\*{2,}")
_TITLE: Final = re.compile(r"^\s{0,3}#{1,6}\s+(\S.{0,200}?)\s*#*\s*$")
_TABLE_RULE: Final = re.compile(r"^[\s|]*:?-{2,}[-:|\s]*$", re.MULTILINE)
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
    r"(?:then |and |now |next )?"
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
    r"|directions|(?:firing )?schedule|unity|analysis|seger|umf|do not|don't|warning|caution|wear)\b",
    re.IGNORECASE,
)
_WATER: Final = re.compile(r"(?:hot |warm |cold |distilled |tap |add )*water\b(?!\s*glass)", re.IGNORECASE)
_NUMBERS: Final = re.compile(r"\d+(?:[.,]\d+)?")
LETTERHEAD: Final = re.compile(
    r"(?:subject|re|fwd?|to|cc|bcc|date|sent|reply-to|x-[\w-]+|message-id|on .{6,60} wrote)\s*:", re.IGNORECASE
)
_SIGNED: Final = re.compile(r"--\s*$|sent from my\b|\bwrote:\s*$", re.IGNORECASE)
_RATIO: Final = re.compile(
    r"(?:SiO2|Al2O3|B2O3|R2O|RO|Si|KNaO)\s*[:/]\s*(?:SiO2|Al2O3|B2O3|R2O|RO|Al)\b", re.IGNORECASE
)
_RAMP: Final = re.compile(r"\d\s*(?:\N{DEGREE SIGN}|deg)?\s*[CF]?\s*(?:/|per|an)\s*(?:h|hr|hour)\b", re.IGNORECASE)
_DATE: Final = re.compile(r"(?<![\d/.])\d{1,2}([/.-])\d{1,2}\1(?:\d{2}|\d{4})(?![\d/.])")
_PAGE: Final = re.compile(r"\bpage \d{1,4}(?: of \d{1,4})?$|^p\. ?\d{1,4}\b", re.IGNORECASE)
_WEB_ADDRESS: Final = re.compile(r"\bhttps?://|\bwww\.|[\w.]+@[\w.]+\.\w")


def is_practice(line: str) -> bool:
    """Whether a line tells what to do with a glaze, or is a letter's: no material, whatever its numbers.

    >>> is_practice("Sieve 80 mesh! SG 1.45"), is_practice("Fire clay 20"), is_practice("Date: 3 March 2024")
    (True, False, True)
    """
    bare = line.strip("*_ \t(>|")
    if names_material(bare):
        return False
    return any(p.match(bare) for p in (_PRACTICE, LETTERHEAD, _RATIO)) or any(
        p.search(bare) for p in (_SIGNED, _WEB_ADDRESS, _DATE, _PAGE, _RAMP)
    )


# Words that make a name a material's: the safeguard against a line of the batch being kept as a note.

_MATTER: Final = (
    r"(?:ash|kaolin|(?:[kc]-?|na-?)?spar|(?:[kc]-?|na-?)?fel(?:d)?spar|syenite|neph(?:eline)?|sy|silica|flint|quartz"
    r"|whiting|chalk|calcite|limestone|dolomite|talc|wollastonite|frit|stain|oxide|ox|carbonate|carb|dioxide|diox"
    r"|sul(?:ph|f)ate|zirc(?:on(?:ium|ia)?)?|opacifier|rutile|ilmenite|titani(?:a|um)|tin|zinc|cobalt|copper|chrome"
    r"|manganese|nickel|bentonite|bent|colemanite|ulexite|borax|spod(?:umene)?|petalite|lepidolite|alumina"
    r"|magnesi(?:a|te|um)|rio|cmc|gum|epsom|granite|basalt|pumice|cullet|grog|ochre|umber|iron|lithium|strontium|barium)"
)
_PLAIN_MATTER: Final = (
    rf"(?:{_MATTER}|clay|fireclay|glass|sand|lime|stone|salt|soda|powder|dust|mica|slip|ore|mullite|earth)"
)
SOLID: Final = re.compile(rf"\b{_PLAIN_MATTER}s?\b", re.IGNORECASE)
_SPELT: Final = (
    r"(?:a|an|one|two|three|four|five|six|seven|eight|nine|ten|twelve|fifteen|twenty|thirty|forty|fifty|half)\s+"
    r"(?:percent|per cent|parts?|grams?|tea ?spoons?|table ?spoons?|spoons?|cups?|scoops?|pinch|dash|bit|touch)"
)
_FIGURE: Final = r"(?:\d{1,5}(?:[.,]\d{1,4})?|[.,]\d{1,4})"
_MEASURE: Final = r"(?:%|percent|parts?|g|gm|grams?|kg|oz|lb)"
_NO_AMOUNT: Final = (
    r"(?!\s*[-\N{EN DASH}]?\s*(?:mesh|min|sec|h\b|hours?|hrs?|days?|weeks?|coats?|times|mm|cm|inch|in\b|deg"
    r"|\N{DEGREE SIGN}|[CF]\b|:\d\d\b|tiles?|pieces?|pots?|years?|layers?))"
)
_ONE_LINE: Final = (
    rf"[^\d]{{0,60}}\b{_PLAIN_MATTER}s?[\s:=.,\-]*[(+]*\s*{_FIGURE}\s*{_MEASURE}?\)?"
    rf"|{_FIGURE}\s*{_MEASURE}?\s+[^\d]{{0,60}}\b{_PLAIN_MATTER}s?"
)
_COUNTS: Final = r"(?:one|two|three|four|five|six|seven|eight|nine|ten|twelve|fifteen|twenty|thirty|forty|fifty|half)\b"
_BETWEEN: Final = r"(?:\s*\([^()\d]{1,20}\d?\))?[\s:=.,;@|\"'<>\-(+]{1,8}(?:(?:at|about|up to|to)\s+)?"
_AMOUNT_NEAR: Final = (
    rf"\b(?!frits? \d{{3}}|stains? \d{{3}}){_MATTER}s?{_BETWEEN}(?:{_FIGURE}(?!\d)|{_COUNTS}){_NO_AMOUNT}"
    rf"|(?<![\w./:\-])(?<!cone ){_FIGURE}\s*{_MEASURE}?\s+(?:of\s+)?(?:[a-z]+\s+)?{_MATTER}\b"
    rf"|(?:{_FIGURE}\s*{_MEASURE}|\b{_SPELT})\s+(?:of\s+)?(?:[a-z]+\s+)?{_PLAIN_MATTER}\b"
)
_MESHES: Final = "60|80|100|120|150|200|230|250|270|300|325|350|400|500|600"
TWO_AMOUNTS: Final = re.compile(
    rf"\b(?!frits?\b|stains?\b){_PLAIN_MATTER}s?[\s:=\-(]{{1,6}}(?!(?:{_MESHES})\s?m?(?:esh)?\b){_FIGURE}(?![\d.]*\d)(?!\s*\(){_NO_AMOUNT}"
    rf"|[<>\u2264\u2265]",
    re.IGNORECASE,
)
"""What was taken for a name holds an amount itself: `Kaolin 10`, `Rutile <`; not `Silica 325`, `Frit 2`."""


_GLUED: Final = re.compile(r"([^\W\d_][^\d]*[^\W\d_])[-_]?(\d{1,4}(?:\.\d{1,3})?\s?(?:%|g)?)")


def unglued(line: str) -> str:
    """A line whose material and amount have nothing between them, apart; as it was where it is no such line.

    >>> unglued("neph_sy_40"), unglued("silica30"), unglued("SiO2"), unglued("Frit90")
    ('neph sy 40', 'silica 30', 'SiO2', 'Frit90')
    """
    spaced = line.replace("_", " ") if "_" in line and " " not in line else line
    match = _GLUED.fullmatch(spaced)
    if match is None or re.search(r"(?:frit|stain)$", match[1], re.IGNORECASE) or not names_material(f"{match[1]} 1"):
        return spaced if names_material(spaced) else line
    return f"{match[1]} {match[2]}"


def names_material(line: str) -> bool:
    """Whether a whole line is a material with its amount, whatever word it begins with.

    >>> names_material("Mixed wood ash 40"), names_material("Mix well 10"), names_material("10 milled zircon")
    (True, False, True)
    """
    return re.fullmatch(_ONE_LINE, line.strip(" *_|>"), re.IGNORECASE) is not None


def tells_amount(line: str) -> bool:
    """Whether somewhere in a line an amount stands beside a material, so that it may be of the batch.

    >>> tells_amount("there is also 5 tin oxide in it"), tells_amount("silica 325 mesh"), tells_amount("2 coats on tin")
    (True, False, False)
    """
    return re.search(_AMOUNT_NEAR, line[:_LONGEST_SHARES], re.IGNORECASE) is not None


_SHORT: Final = 8
_UNEXPLAINED: Final = (
    rf"(?<![\w./:^\-])(?<!cone )(?<!sg )(?<!to )(?<!at )(?!(?:19|20)\d\d\b){_FIGURE}(?![\d.,]*\d)(?!\w){_NO_AMOUNT}"
)


def may_tell_amount(line: str) -> bool:
    """Whether a line of few words names a material and a figure that nothing in it explains.

    >>> may_tell_amount("Tin oxide makes it white, 5 is enough."), may_tell_amount("Best over tin, 2 coats")
    (True, False)
    """
    few = len(line.split()) <= _SHORT and re.search(rf"\b{_MATTER}\b", line, re.IGNORECASE) is not None
    return tells_amount(line) or (few and re.search(_UNEXPLAINED, line, re.IGNORECASE) is not None)


def is_water(text: str) -> bool:
    """Whether a name or a line is the water a batch is mixed with, and nothing else: no part of the dry batch.

    >>> is_water("water about 800 ml"), is_water("Water 60, gum 1"), is_water("water glass 2")
    (True, False, False)
    """
    match = _WATER.match(text.strip())
    rest = "" if match is None else text.strip()[match.end() :]
    return match is not None and len(_NUMBERS.findall(rest)) < 2 and SOLID.search(rest) is None


def say_water(text: str, line: int, found: Findings) -> None:
    """A remark that water is left out of the batch."""
    what = f"{quote(text)} is no part of the dry batch and is left out of it"
    found.remark("water-left-out", what, "weigh says how much water to mix with", line)


# What is prose: a greeting, a sentence.

GREETING: Final = re.compile(
    r"(?:hi|hello|hey|hiya|dear|good (?:morning|afternoon|evening|day)|thanks|thank you|cheers|greetings|regards"
    r"|(?:best|kind|warm) (?:wishes|regards))\b(?![^,!.]*\d)",
    re.IGNORECASE,
)
_FACE: Final = re.compile(r"(?:^|\s)[:;=]-?[()DP]$")


def is_prose(line: str) -> bool:
    """Whether a line without an amount is words of its writer rather than the name of a material."""
    bare = line.strip("() ")
    words = bare.split()
    firing = 0 < len(words) <= 3 and words[0].casefold() in {"oxidation", "reduction"}
    sentence = len(words) >= 6 or bare.endswith((".", "!", "?")) or "://" in bare
    letter = GREETING.match(bare) is not None or _FACE.search(line) is not None
    return letter or (bool(words) and (sentence or firing))


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


_TRAIL: Final = re.compile(
    r"\s(?:and|or|over|with|for|in|to|if|is|as|gives?|makes?|on|at|it|per|by|then|plus)\b.*$", re.IGNORECASE
)


def shares_in_words(line: str) -> list[tuple[str, str]]:
    """Every (material, amount) that a sentence holds, as in `and 2% cobalt oxide, tin 5%`.

    >>> shares_in_words("for blue I use 2% cobalt oxide"), shares_in_words("then tin oxide 5%, very nice")
    ([('cobalt oxide', '2')], [('tin oxide', '5')])
    """
    text = line[:_LONGEST_SHARES]
    before = [(_TRAIL.sub("", name).strip(), amount) for amount, name in _SHARE_OF.findall(text)]
    if before:
        return before
    after = [(_LEAD_IN.sub("", name).strip(), amount) for name, amount in _SHARE_AFTER.findall(text)]
    return [(name, amount) for name, amount in after if len(name) > 2]


# Several materials on one line.

_SEPARATORS: Final = (
    re.compile(
        r"\s*[;,]\s+(?:and\s+)?(?=\S)|\s+and\s+(?=[\d.~]|\w[\w ]*\s\d)|\s+(?=(?:plus|with)\s+(?:[\d.~]|\w[\w ]*\s\d))",
        re.IGNORECASE,
    ),
    re.compile(r"\s+[/|&\N{BULLET}\N{MIDDLE DOT}]\s+"),
    re.compile(r"\s*[;,/|&]\s*(?=[A-Za-z+])"),
    re.compile(r"\s*;\s*|\s*(?<!\d),\s*|\s*,(?!\d)\s*"),
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
        enough = len(parts) >= 3 or (len(parts) == 2 and all(names_material(part) for part in parts))
        if enough and not text[place:].strip(" .,"):
            return parts
    return None


# Two recipes in one paste.


class MaterialRead(NamedTuple):
    """A material of the base as it was read: its line and the paragraph or the table it is in."""

    line: int
    name: str
    amount: float


def second_recipe(base: Sequence[MaterialRead], breaks: Sequence[int], titled: Sequence[int]) -> int | None:
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
        sums = [sum(piece.amount for piece in part) for part in (above, below)]
        whole = all(any(abs(total - hundred) <= hundred / 40 for hundred in (100, 1000)) for total in sums)
        named = any(above[-1].line < t <= below[0].line for t in titled)
        if len(shared) >= 2 or whole or (named and shared):
            return at
    return None
