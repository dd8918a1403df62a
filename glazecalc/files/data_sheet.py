"""Tells a supplier's data sheet that lies among the recipe cards from a card."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from glazecalc.files.card_head import header_of
from glazecalc.files.materials import label_of
from glazecalc.files.pasted import names_material

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
