"""The head of a card: `key: value` lines, a title, and what a title says of cone and atmosphere."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final, NamedTuple

from glazecalc.files.materials import label_of
from glazecalc.files.pasted import names_material
from glazecalc.values.answers import closest

KEYS: Final[dict[str, tuple[str, ...]]] = {
    "name": ("title", "glaze", "glaze name", "recipe", "recipe name"),
    "cone": ("cones", "firing cone", "fire to", "fired to", "temperature", "temp"),
    "surface": ("finish", "texture"),
    "atmosphere": ("firing", "atm", "kiln atmosphere"),
    "source": ("from", "origin", "author", "by"),
    "notes": ("note", "comment", "comments", "remark", "remarks", "description", "application"),
    "proven": ("proven on", "used for"),
    "kind": ("type",),
    "basis": ("base on",),
}
"""The keys a card may have, each with other spellings that are understood."""

_CANONICAL: Final = {spelling: key for key, others in KEYS.items() for spelling in (key, *others)}
_HEADER = re.compile(r"\s*([^\W\d_][\w /&'()-]{0,40}?)\s*(?:[:=]|(?<=\w)[\t;,])\s*(.*)")
_WORD: Final = r"(?:cones?|cono|c\u00f4ne|\u043a\u043e\u043d\u0443\u0441|con(?=\s\d{1,2}\s+(?:red|ox)))"
"""Cone, in some tongues."""
_CONE = re.compile(
    rf"(?:\b{_WORD}\s*[:=]?\s*"
    r"|[\^△▵▲\u0394\u2206\u02c6]\s*|\bc(?:/|\.\s?|(?=\d)))"
    r"(?P<cone>\d{1,3}(?:\.5|\s?½|\s1/2)?"
    r"(?:\s*(?:-|/|\N{EN DASH}|to)\s*(?:cone\s*|\^)?\d{1,3}(?:\.5|\s?½|\s1/2)?)?)(?!\d|\.\d)",
    re.IGNORECASE,
)
_NUMBER_WORDS: Final = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_CONE_WORD = re.compile(rf"\bcone\s+({'|'.join(_NUMBER_WORDS)})\b", re.IGNORECASE)
_LOW_CONE = re.compile(r"[^\W\d_][^\d]*\s0\d{1,2}\s*$")
"""A line that ends in a number with a leading 0, which is a cone's name and no amount."""
_NAMED = re.compile(
    rf"{_CONE.pattern}|\b(?:bisqued?|bisque[ -]fired?|biscuit)\s*(?:to|at|:)?\s*(?P<bisque>0\d{{1,2}})\b", re.IGNORECASE
)
_ATMOSPHERES: Final = (
    (re.compile(r"\b(?:oxidation|oxid|ox|oxy|oxydation|oxidierend|oxidaci[o\u00f3]n)\b", re.IGNORECASE), "oxidation"),
    (
        re.compile(
            r"\b(?:redu?c?tion|redn|red\.|reducing|reduzierend|r[e\u00e9]duction|reducci[o\u00f3]n)(?!\w)",
            re.IGNORECASE,
        ),
        "reduction",
    ),
    (re.compile(r"\bneutral\b", re.IGNORECASE), "neutral"),
)
_JUST_BEHIND: Final = re.compile(r"\s*[-,/]?\s*(?:(r|red)|(ox|o))(?=[\s),.;:/-]|$)", re.IGNORECASE)
"""An atmosphere in a letter or two behind the cone: `c10R`, `cone 6 ox`."""
_OF_FIRING: Final = re.compile(
    r"[(\[](?:[\s,;:/+-]|\b(?:electric|gas|wood|kiln|fired?|firing|around|about|approx)\b\.?)*[)\]]",
    re.IGNORECASE,
)
"""Brackets in which nothing is left but how it is fired."""
_SEPARATORS: Final = " \t,;:|/()[]-\N{EN DASH}\N{EM DASH}"


class Header(NamedTuple):
    """One `key: value` line; ``key`` is None if it is none of the card's keys, ``meant`` what it may be a slip for."""

    key: str | None
    typed: str
    value: str
    meant: str = ""


class Firing(NamedTuple):
    """The cone and atmosphere named in a free line, and the words that remain."""

    cone: str
    atmosphere: str
    rest: str


def header_of(text: str) -> Header | None:
    """The header on this line, or None. A comma or tab parts key and value only for a key that is known."""
    match = _HEADER.fullmatch(text)
    if match is None:
        return None
    typed, value = match[1].strip(), match[2].strip()
    folded = " ".join(typed.casefold().split())
    if folded in _CANONICAL:
        return Header(_CANONICAL[folded], typed, value.strip('",; \t') if "," in text[: match.start(2)] else value)
    if text[len(match[1]) :].lstrip()[:1] not in ":=":
        return None
    near = closest(folded, KEYS, n=1)
    return Header(None, typed, value, near[0] if near and abs(len(near[0]) - len(folded)) < 3 else "")


def firing_of(text: str) -> Firing:
    """What a free line says of the firing.

    >>> firing_of("Shoal clear, cone 5-6 oxidation")
    Firing(cone='5-6', atmosphere='oxidation', rest='Shoal clear')
    """
    text = _CONE_WORD.sub(lambda m: f"cone {_NUMBER_WORDS.index(m[1].casefold()) + 1}", text)
    match = _CONE.search(text)
    cone = match["cone"] if match else ""
    behind = _JUST_BEHIND.match(text, match.end()) if match else None
    after = text[(behind or match).end() :] if match else ""
    rest = f"{text[: match.start()]} {after}" if match else text
    atmosphere = "" if behind is None else "reduction" if behind[1] else "oxidation"
    if cone and not atmosphere:
        for pattern, word in _ATMOSPHERES:
            if pattern.search(rest):
                atmosphere, rest = word, pattern.sub(" ", rest)
                break
    rest = _OF_FIRING.sub(" ", rest) if cone else re.sub(r"\(\s*\)", " ", rest)
    rest = re.sub(r"\s*\.(?=\s*(?:\.|$))", " ", rest) if cone and not rest.rstrip().endswith("..") else rest
    return Firing(cone, atmosphere, _bare(" ".join(rest.split())))


def _bare(text: str) -> str:
    """``text`` without separators at its ends; a bracket whose other half is kept stays.

    >>> _bare("- Floating thing (mid range)"), _bare("(Shoal clear)")
    ('Floating thing (mid range)', 'Shoal clear')
    """
    bare = text.strip(_SEPARATORS)
    at = text.find(bare)
    ahead, behind = text[:at], text[at + len(bare) :]
    if bare.count("(") > bare.count(")") and ")" in behind:
        return f"{bare})"
    return f"({bare}" if bare.count(")") > bare.count("(") and "(" in ahead else bare


def ends_in_cone(text: str) -> bool:
    """Whether the number at the end of a line is a cone, so that it is no amount."""
    if _LOW_CONE.match(text) or _CONE_WORD.search(text):
        return True
    ends = [match.end() for match in _CONE.finditer(text)]
    return bool(ends) and not any(c.isdigit() for c in text[ends[-1] :])


def cones_named(text: str) -> tuple[str, ...]:
    """Every cone a free text mentions, as written.

    >>> cones_named("bisque to 06, glaze ^6")
    ('06', '6')
    """
    return tuple(match["cone"] or match["bisque"] for match in _NAMED.finditer(text))


# A supplier's data sheet that lies among the recipe cards, told from a card.

_MOST_READ: Final = 65_536
_SHEET_WORDS: Final = re.compile(
    r"\b(?:chemical analysis|typical analysis|technical data|data sheet|safety data|sds|msds|loss on ignition|l\.?o\.?i"
    r"|particle size|residue on|specific surface|moisture|hazard statements?|cas no|cas number)\b",
    re.IGNORECASE,
)
_FIGURE: Final = re.compile(
    r"^\s*[|*-]*\s*(?P<label>[A-Za-z0-9()., ]{2,40}?)\s*[:=|,;\t .]*\s*<?\d+(?:[.,]\d+)?\s*%?\W*$"
)
_OXIDES_OF_A_SHEET: Final = 4


def is_sheet(path: Path) -> bool:
    """Whether a text file is a supplier's data sheet: it talks as one does, or lists oxides with a loss on ignition,
    and has no head of a card. A file that cannot be read is none."""
    try:
        with path.open("rb") as file:
            text = file.read(_MOST_READ).decode("utf-8", "replace")
    except (OSError, ValueError):
        return False
    return is_sheet_text(text)


def is_sheet_text(text: str) -> bool:
    """Whether a text is a supplier's data sheet.

    >>> is_sheet_text("Typical analysis\\nSiO2 46.5\\nAl2O3 37.8\\nK2O 0.9\\nFe2O3 0.6\\nLOI 13.4\\n")
    True
    >>> is_sheet_text("name: Shoal\\ncone: 6\\n\\nWhiting 20\\nSilica 30\\n")
    False
    """
    lines = text.split("\n")[:400]
    heads = {head.key for line in lines if (head := header_of(line)) is not None}
    if heads & {"cone", "kind", "basis", "surface", "atmosphere"}:
        return False
    words = len(_SHEET_WORDS.findall(text[:_MOST_READ]))
    labels = [label_of(match["label"]).what for line in lines if (match := _FIGURE.match(line[:200]))]
    oxides = sum(what == "oxide" for what in labels)
    if oxides >= _OXIDES_OF_A_SHEET and (words or "loi" in labels):
        return oxides >= len(labels) / 2
    return words >= 3 and not any(names_material(line) for line in lines)
