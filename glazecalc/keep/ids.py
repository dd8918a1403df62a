"""Short ids that can be scratched into wet clay and read again, whichever way up the tile lies.

A tile's id is three signs from sixteen. Left out are signs that look like another (0 O Q D, 1 I L, 2 Z, 5
S, 6 G, 8 B, U V) and one of each pair that turn into each other upside down (M W, 6 9, A V, 7 L, N Z, E 3).
Firings and batches, which are only written on paper, are F1, F2, ... and B1, B2, ..."""

from __future__ import annotations

from typing import Final

from glazecalc.values.records import Kind

SIGNS: Final = "ACEFHJKMNPRTXY47"
_WIDTH: Final = 3
_LETTER: Final[dict[Kind, str]] = {"firing": "F", "batch": "B"}


def id_of(kind: Kind, number: int) -> str:
    """The id of the ``number``-th tile, firing or batch, counting from 0.

    >>> id_of("tile", 0), id_of("tile", 17), id_of("tile", 4096), id_of("firing", 0)
    ('AAA', 'ACC', 'CAAA', 'F1')
    """
    if kind != "tile":
        return f"{_LETTER[kind]}{number + 1}"
    signs = ""
    while number or len(signs) < _WIDTH:
        number, place = divmod(number, len(SIGNS))
        signs = SIGNS[place] + signs
    return signs


def number_of(kind: Kind, text: str) -> int | None:
    """The number behind an id as a potter types it, or None if it cannot be an id of that kind.

    >>> number_of("tile", " aac "), number_of("tile", "OOO"), number_of("batch", "b2")
    (1, None, 1)
    """
    typed = text.strip().upper()
    if kind != "tile":
        digits = typed.removeprefix(_LETTER[kind])
        return int(digits) - 1 if digits.isascii() and digits.isdigit() and len(digits) < 10 and int(digits) else None
    if not _WIDTH <= len(typed) <= 8 or any(sign not in SIGNS for sign in typed):
        return None
    number = 0
    for sign in typed:
        number = number * len(SIGNS) + SIGNS.index(sign)
    return number if id_of("tile", number) == typed else None
