"""Which texts a spreadsheet could take for a formula: one list for every table the program writes.

Practice: OWASP, CSV Injection (from memory): a cell that begins with = + - @, a tab or a line end; and the wide and
mathematical forms of the signs, the starts of some programs' commands, and signs nobody sees before them.
"""

from __future__ import annotations

import unicodedata
from typing import Final

_STARTS: Final = frozenset("=+-@|%\N{FULLWIDTH EQUALS SIGN}\N{FULLWIDTH PLUS SIGN}\N{FULLWIDTH HYPHEN-MINUS}"
                           "\N{FULLWIDTH COMMERCIAL AT}\N{MINUS SIGN}")  # fmt: skip
_UNSEEN: Final = frozenset(("Cc", "Cf", "Zs", "Zl", "Zp"))
"""Unicode categories: control, format and the three sorts of separators."""


def acts_as_formula(text: str) -> bool:
    """Whether a spreadsheet could take ``text`` for a formula; what it sees first decides.

    >>> acts_as_formula(" =1+1"), acts_as_formula("-3.5"), acts_as_formula("3 - 1"), acts_as_formula("")
    (True, True, False, False)
    >>> acts_as_formula("a;=cmd|calc"), acts_as_formula("a; b")
    (True, False)
    """
    if ";" in text and any(acts_as_formula(part) for part in text.split(";")[1:]):
        return True  # where a semicolon parts the cells, the rest of the text is a cell of its own
    if text[:1].isalnum():
        return False
    if text[:1] in ("\t", "\r", "\n"):
        return True
    return next((sign for sign in text if unicodedata.category(sign) not in _UNSEEN), "") in _STARTS
