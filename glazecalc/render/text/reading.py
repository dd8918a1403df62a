"""How the lines of a card were read: each amount and material, and the word that stood there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from glazecalc.values.names import fold


class LineRead(NamedTuple):
    """A line as read: the word on the card, the material it means, its amount in words, and whether it is known."""

    written: str
    material: str
    amount: str
    addition: bool
    known: bool = True

    @property
    def plain(self) -> bool:
        """Whether the word on the card is the material's own name."""
        return self.known and fold(self.written) == fold(self.material)

    def words(self) -> str:
        """The line in words: `36 Nepheline syenite (neph sy)`."""
        what = f"{self.amount} {self.material}".strip()
        return f"{what} (NOT KNOWN)" if not self.known else what if self.plain else f"{what} ({self.written})"


def read_words(lines: Sequence[LineRead], always: bool = False) -> str:
    """The lines as read, where a word is not the material's own name; nothing where all are, unless ``always``.

    >>> read_words([LineRead("neph sy", "Nepheline syenite", "40", False), LineRead("tin", "Tin oxide", "5", True)])
    'Read as: 40 Nepheline syenite (neph sy); over the base 5 Tin oxide (tin).'
    """
    if all(line.plain for line in lines) and not always:
        return ""
    base = ", ".join(line.words() for line in lines if not line.addition)
    added = ", ".join(line.words() for line in lines if line.addition)
    return f"Read as: {base}{'; over the base ' if base and added else ''}{added}." if base or added else ""
