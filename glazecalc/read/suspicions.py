"""Asks about a cone that does not go with the rest of a card: 06 and 6 are two firings more than 200 degC apart."""

from __future__ import annotations

import re
from typing import Final

from glazecalc.read.cone import read_cone_range
from glazecalc.read.findings import Findings
from glazecalc.read.headers import cones_named
from glazecalc.values.cones import CONE_NAMES, Cone
from glazecalc.values.inputs import Recipe

_LOW_WORDS: Final = re.compile(
    r"\b(?:earthenware|low[ -]?fire|lowfire|majolica|maiolica|faience|raku|terra[ -]?cotta)\b", re.IGNORECASE
)
_HIGH_WORDS: Final = re.compile(
    r"\b(?:stoneware|porcelain|mid[ -]?(?:range|fire)|high[ -]?fire|celadon|tenmoku|temmoku|shino)\b", re.IGNORECASE
)
_LAST_NUMBER: Final = re.compile(r"(?<![#.\d])(?<!no )(?<!no\. )(?<!nr )(?<!nr\. )\b(0?\d{1,2})\s*$", re.IGNORECASE)
_HINT: Final = "cones with a leading 0 are far cooler: 06 is bisque heat, 6 is stoneware heat"


def twin(cone: Cone) -> Cone | None:
    """The cone of the same digits with or without the leading zero, or None.

    >>> twin(Cone("06")).name, twin(Cone("6")).name, twin(Cone("14")) is None
    ('6', '06', False)
    """
    other = cone.name[1:] if cone.name.startswith("0") else f"0{cone.name}"
    return Cone(other) if other in CONE_NAMES else None


def ask_about_cone(recipe: Recipe, text: str, line: int | None, found: Findings) -> None:
    """A remark where the card's words or another cone on it speak for the twin of the cone it names."""
    if recipe.cone is None:
        return
    cone = recipe.cone.high
    other = twin(cone)
    if other is None:
        return
    said = " ".join((recipe.name, recipe.surface, recipe.atmosphere, recipe.source, recipe.notes))
    words = (_HIGH_WORDS if cone.name.startswith("0") else _LOW_WORDS).search(said)
    if words:
        question = f"cone {cone} on a card that says {words[0].casefold()}: is cone {other} meant?"
        found.remark("cone-suspicious", question, _HINT, line)
    elif _names_twin(text, other):
        found.remark("cone-suspicious", f"the card names cone {other} too; it is read as cone {cone}", _HINT, line)


def ask_about_number_in_name(recipe: Recipe, found: Findings) -> None:
    """A remark where a card without a cone has a name that ends in a number that could be one."""
    match = _LAST_NUMBER.search(recipe.name)
    if recipe.cone is None and match is not None and match[1] in CONE_NAMES:
        found.remark(
            "cone-suspicious", f"no cone is stated: is {match[1]} in the name the cone?", f"write cone: {match[1]}"
        )


def _names_twin(text: str, other: Cone) -> bool:
    for named in cones_named(text):
        cones = read_cone_range(named, Findings(None), None)
        if cones is not None and other in (cones.low, cones.high):
            return True
    return False
