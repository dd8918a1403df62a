"""How the lines of a card were read: each amount and material, beside the word that stood there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from glazecalc.render.words import heading
from glazecalc.values.names import fold


class LineRead(NamedTuple):
    """A line as read: the word on the card, the material it means, its amount in words, and whether it is known."""

    written: str
    material: str
    amount: str
    addition: bool
    known: bool = True


def read_text(lines: Sequence[LineRead], always: bool = False) -> str:
    """The lines as read, where a word is not the material's own name; nothing where all are, unless ``always``."""
    plain = all(line.known and fold(line.written) == fold(line.material) for line in lines)
    if not lines or (plain and not always):
        return ""
    wide = max(len(line.amount) for line in lines)
    rows = [heading("How the card was read")]
    for line in lines:
        same = fold(line.written) == fold(line.material)
        told = "   NOT KNOWN" if not line.known else "" if same else f'   from "{line.written}"'
        rows.append(f"  {'+' if line.addition else ' '} {line.amount:>{wide}}  {line.material}{told}")
    return "\n".join(rows)
