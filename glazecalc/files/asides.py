"""What stands beside a material and its amount: what is struck out, what it costs, words to keep, words that ask."""

from __future__ import annotations

import re
from typing import Final, NamedTuple

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
_IN_DOUBT: Final = re.compile(
    r"\d|\?|\b(?:or|either|instead|alternatively|optional(?:ly)?|maybe|perhaps|up to|more|less|each|half|double"
    r"|if (?:you|liked|wanted|desired|needed|wished))\b",
    re.IGNORECASE,
)
"""What leaves open which material, or how much of it, is meant."""
_SORT: Final = re.compile(
    r"(?:(?:calcined|light|heavy|red|black|yellow|burnt|raw|synthetic|anhydrous|hydrated|potash|soda|sodium|potassium"
    r"|lithium|calcium|plastic|hard|soft)\s*){1,3}",
    re.IGNORECASE,
)
"""Words that say which sort of a material is meant: they belong to its name."""
_OPTIONAL: Final = re.compile(r"\boptional(?:ly)?\b|\bif (?:you|liked|wanted|desired|needed|wished)\b", re.IGNORECASE)
_EITHER: Final = re.compile(r"\w\s+or\s+\w", re.IGNORECASE)


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


def leaves_open(words: str) -> bool:
    """Whether words beside an amount leave open what, or how much, is meant.

    >>> [leaves_open(w) for w in ("or chalk", "or 22", "sieve first", "not chalk!", "optional")]
    [True, True, False, False, True]
    """
    return _IN_DOUBT.search(words) is not None


def is_sort(words: str) -> bool:
    """Whether words beside an amount say which sort of the material is meant.

    >>> is_sort("calcined"), is_sort("sieve first")
    (True, False)
    """
    return _SORT.fullmatch(words.strip(" ()")) is not None


def is_optional(name: str) -> bool:
    """Whether what was taken for a name says that the material may be left out.

    >>> is_optional("Tin oxide (optional)"), is_optional("Tin oxide")
    (True, False)
    """
    return _OPTIONAL.search(name) is not None


def is_either(name: str) -> bool:
    """Whether what was taken for a name says one material or another.

    >>> is_either("Whiting or chalk"), is_either("Ochre")
    (True, False)
    """
    return _EITHER.search(name) is not None
