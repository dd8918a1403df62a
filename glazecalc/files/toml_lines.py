"""studio.toml to a dictionary, with the line on which each key stands."""

from __future__ import annotations

import re
import tomllib
from typing import Any, Final

from glazecalc.files.problems import Findings, quote

Place = tuple[int | str, ...]
STUDIO_CEILING: Final = 300_000
MOST_LINES: Final = 5_000
"""No studio has more lines than this."""
DEEPEST: Final = 20
"""Brackets nested deeper than this are no studio."""
MOST_DOTS: Final = 60
"""More dots than this outside the texts of one line are no studio; the time tomllib takes grows with their square."""

_TABLE = re.compile(r"\s*(\[\[?)\s*([^\[\]#]{1,200}?)\s*\]\]?\s*(?:#.*)?")
_KEY = re.compile(
    r"""\s*("[^"]{1,200}"|'[^']{1,200}'|[A-Za-z0-9_-]{1,200})((?:\s*\.\s*[A-Za-z0-9_"'-]{1,200}){0,5})\s*="""
)
_INNER = re.compile(r"""[{,]\s*(?:"([^"]{1,200})"|'([^']{1,200})'|([A-Za-z0-9_.-]{1,200}))\s*=""")
_BARE_ZERO = re.compile(r"([=,\[]\s*)(0\d{1,2}(?:\.5)?)(?=\s*(?:#.*$|$|[,}\]]))")
_TEXTS = re.compile(r'"[^"]*"|\'[^\']*\'|#.*$')
_AT_LINE = re.compile(r"\(at (?:line (\d+), column \d+|end of document)\)")


def load_toml(text: str, found: Findings) -> tuple[dict[str, Any] | None, dict[Place, int]]:
    """The tables of a TOML text and the line of each key; None with an error if it is not TOML.

    A cone written ``06`` without quotes is an error of its own, and the rest is read on.
    """
    lines = text.count("\n") + 1
    if lines > MOST_LINES:
        found.error("too-many-lines", f"studio.toml has more than {MOST_LINES} lines", "is this the file you meant?")
        return None, {}
    if _too_deep(text):
        found.error("nested-too-deep", "brackets are nested far too deep", "a studio is a flat list of tables")
        return None, {}
    for number, line in enumerate(text.split("\n"), start=1):
        if line.count(".") > MOST_DOTS and _TEXTS.sub("", line).count(".") > MOST_DOTS:
            found.error("nested-too-deep", "a key of far too many parts", "a studio is a flat list of tables", number)
            return None, {}
    mended = _quote_bare_zeros(text, found)
    try:
        return tomllib.loads(mended), key_lines(mended)
    except (ValueError, RecursionError) as failure:
        _say_syntax(str(failure), text, lines, found)
        return None, {}


def _too_deep(text: str) -> bool:
    depth = 0
    for bracket in re.findall(r"[\[{\]}]", text):
        depth = depth + 1 if bracket in "[{" else max(depth - 1, 0)
        if depth > DEEPEST:
            return True
    return False


def _quote_bare_zeros(text: str, found: Findings) -> str:
    """The text with each bare ``06`` in quotes, an error said for each."""
    if not re.search(r"[=,\[]\s*0\d", text):
        return text
    lines = text.split("\n")
    for i, line in enumerate(lines):
        mended = line
        for match in reversed(list(_BARE_ZERO.finditer(line))):
            if line.count('"', 0, match.start()) % 2 == 0 and line.count("'", 0, match.start()) % 2 == 0:
                found.error(
                    "quote-the-cone", f"{match[2]} with a leading 0 is not a number here",
                    f'write it in quotes: "{match[2]}"', i + 1,
                )  # fmt: skip
                mended = f'{mended[: match.start(2)]}"{match[2]}"{mended[match.end(2) :]}'
        lines[i] = mended
    return "\n".join(lines)


def _say_syntax(answer: str, text: str, lines: int, found: Findings) -> None:
    match = _AT_LINE.search(answer)
    line = min(int(match[1]), lines) if match and match[1] else (lines if match else None)
    what = _AT_LINE.sub("", answer).strip().rstrip(".").replace("after a statement", "here")
    typed = text.split("\n")[line - 1].strip() if line else ""
    hint = _syntax_hint(typed, answer)
    shown = f" in {quote(typed)}" if typed else ""
    found.error("toml-syntax", f"this is not TOML{shown}: {what[:1].casefold()}{what[1:160]}", hint, line)


def _syntax_hint(typed: str, answer: str) -> str:
    if re.search(r"=\s*\d+,\d", typed):
        return "write a decimal point, not a comma"
    if any(sign in answer.casefold() for sign in ("overwrite", "twice", "redefine", "cannot declare")):
        return "a key or table is given twice; several kilns are each headed [[kiln]]"
    if re.search(r"=\s*[^\s\"'\[{\d+-]", typed) or re.search(r"=\s*[\d.]+\s*[A-Za-z\"']", typed):
        return 'a text stands in quotes: plug = "5-15P", width_mm = "12 in"'
    return "a line is a comment, a [table] or key = value"


def key_lines(text: str) -> dict[Place, int]:
    """Place of each key, such as ``("kiln", 0, "volts")`` -> its line, counted from 1."""
    places: dict[Place, int] = {}
    counts: dict[str, int] = {}
    table: Place = ()
    for number, line in enumerate(text.split("\n"), start=1):
        head = _TABLE.fullmatch(line[:400])
        if head:
            table = _table_place(head[1], head[2], counts)
            for depth in range(1, len(table) + 1):
                places.setdefault(table[:depth], number)
            continue
        key = _KEY.match(line[:2000])
        if key:
            dotted = (key[1] + key[2]).replace(" ", "").split(".")
            place = (*table, *(part.strip("\"'") for part in dotted))
            places.setdefault(place, number)
            for inner in _INNER.finditer(line[:2000], key.end()):
                places.setdefault((*place, inner[1] or inner[2] or inner[3]), number)
    return places


def _table_place(brackets: str, name: str, counts: dict[str, int]) -> Place:
    parts = [part.strip().strip("\"'") for part in name.split(".")]
    if brackets == "[[":
        counts[name] = counts.get(name, -1) + 1
    place: list[int | str] = []
    for i, part in enumerate(parts, start=1):
        place.append(part)
        dotted = ".".join(parts[:i])
        if dotted in counts:
            place.append(counts[dotted])
    return tuple(place)


def line_of(places: dict[Place, int], place: Place) -> int | None:
    """The line of a key, of the first of its tables, or of the table around it."""
    while place:
        for found in (place, (*place, 0)):
            if found in places:
                return places[found]
        place = place[:-1]
    return None
