"""A recipe card, or a recipe pasted from a page or a mail, to a Recipe with every problem found in one pass."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final, Literal, cast

from glazecalc.read.batch import read_batch, read_oxides
from glazecalc.read.cone import read_cone_range
from glazecalc.read.findings import Findings, quote
from glazecalc.read.headers import KEYS, firing_of
from glazecalc.read.sorting import Card, sort_lines
from glazecalc.read.suspicions import ask_about_cone, ask_about_number_in_name
from glazecalc.read.text import read_text
from glazecalc.values.inputs import ConeRange, OxideAmount, Recipe, RecipeLine
from glazecalc.values.oxides import find_oxide
from glazecalc.values.problem import Problem, did_you_mean

Kind = Literal["glaze", "body", "composition", "bought"]
Basis = Literal["unity", "mole", "weight"]

_KINDS: Final[dict[str, Kind]] = {
    "glaze": "glaze", "recipe": "glaze", "slip": "glaze", "engobe": "glaze", "body": "body", "clay": "body",
    "clay body": "body", "composition": "composition", "analysis": "composition", "oxides": "composition",
    "bought": "bought", "jar": "bought", "commercial": "bought", "shop": "bought",
}  # fmt: skip
_BASES: Final[dict[str, Basis]] = {
    "unity": "unity", "unity formula": "unity", "formula": "unity", "seger": "unity", "umf": "unity", "mole": "mole",
    "moles": "mole", "mol": "mole", "mole %": "mole", "mol%": "mole", "mol %": "mole", "mole percent": "mole",
    "weight": "weight", "weight %": "weight", "wt": "weight", "wt%": "weight", "wt %": "weight",
    "weight percent": "weight", "mass": "weight", "mass %": "weight",
}  # fmt: skip


def read_recipe(path: str | Path) -> tuple[Recipe | None, tuple[Problem, ...]]:
    """The recipe in a file, or on standard input for ``-``; None if an error stops it. Never raises."""
    file = "stdin" if str(path) == "-" else str(path)
    found = Findings(file)
    text = read_text(path, found)
    return (None, found.problems) if text is None else _recipe(text, found)


def read_recipe_text(text: str, file: str = "recipe") -> tuple[Recipe | None, tuple[Problem, ...]]:
    """The recipe in a text; ``file`` is where its problems are said to be."""
    return _recipe(text, Findings(file))


def _recipe(text: str, found: Findings) -> tuple[Recipe | None, tuple[Problem, ...]]:
    if not text.strip():
        found.error("empty-file", "there is nothing in it", "a card has lines such as: Whiting 20")
        return None, found.problems
    card = sort_lines(text, found)
    head = _head(card, found)
    kind, basis = _kind(card, head, found)
    lines: tuple[RecipeLine, ...] = ()
    oxides: tuple[OxideAmount, ...] = ()
    if kind == "composition":
        oxides, named = read_oxides(card, basis, found)
        basis = cast("Basis | None", named)
    elif kind == "bought":
        _no_batch(card, head, found)
    else:
        lines = read_batch(card, found)
    cone = _cone(head, found)
    if found.has_errors:
        return None, found.problems
    recipe = Recipe(
        name=_cut(_name(card, head, found), 200), kind=kind, cone=cone, lines=lines, composition=oxides, basis=basis,
        surface=_said(head, "surface"), atmosphere=_said(head, "atmosphere"), source=_said(head, "source"),
        notes=_said(head, "notes"), file=found.file,
    )  # fmt: skip
    ask_about_number_in_name(recipe, found)
    ask_about_cone(recipe, text, head.get("cone", ("", None))[1], found)
    return recipe, found.problems


_LONGEST_NAME = 6
"""Words; a longer first line is a sentence that begins with the name."""
Head = dict[str, tuple[str, int | None]]
"""Key of the card -> (value, line)."""


def _head(card: Card, found: Findings) -> Head:
    head: Head = {}
    for number, header in card.headers:
        if header.key is None:
            _unknown_key(header.typed, header.value, header.meant, number, head, found)
        elif header.key == "notes":
            _add_note(head, header.value, number)
        elif header.key == "name" and "name" in head:
            found.error("several-recipes", "a second name begins here", "keep one recipe in a file", number)
        elif header.key in head:
            found.remark("header-twice", f"{header.typed!r} is given twice; the first is kept", "", number)
        elif not header.value:
            found.remark("key-empty", f"`{header.key}` says nothing", "", number)
        else:
            head[header.key] = (header.value, number)
    _take_title(card, head, found)
    for number, line in card.free:
        _take_free_line(line, number, head, found)
    return head


def _unknown_key(typed: str, value: str, meant: str, number: int, head: Head, found: Findings) -> None:
    firing = firing_of(typed)
    if firing.cone and not value:  # a heading such as `Glaze - cone 6:`
        _take_firing(firing.cone, firing.atmosphere, number, head, found)
        return
    if meant:
        found.error("unknown-key", f"a card has no {quote(typed)}", f"did you mean {meant}?", number)
        return
    keys = ", ".join(KEYS)
    found.remark("unknown-key", f"a card has no {quote(typed)}; kept among the notes", f"its keys are {keys}", number)
    _add_note(head, f"{typed}: {value}", number)


def _add_note(head: Head, text: str, number: int) -> None:
    before, line = head.get("notes", ("", number))
    head["notes"] = (f"{before}\n{text}".strip(), line)


def _take_title(card: Card, head: Head, found: Findings) -> None:
    if card.first is None:
        return
    number, line = card.first
    firing = firing_of(line)
    _take_firing(firing.cone, firing.atmosphere, number, head, found)
    name = firing.rest or line
    if len(name.split()) > _LONGEST_NAME:
        name = re.split(r"[,.;:!?]", name)[0].strip() or name
        _add_note(head, line, number)
    if firing.rest:
        head["name"] = (name, number)
        found.remark("title-taken", f"{quote(name)} is taken as the name", "write `name:` before it", number)


def _take_free_line(line: str, number: int, head: Head, found: Findings) -> None:
    firing = firing_of(line)
    if firing.cone and len(firing.rest.split()) <= 2:
        _take_firing(firing.cone, firing.atmosphere, number, head, found)
        if not firing.rest:
            return
    found.remark("kept-as-note", f"{quote(line)} is kept among the notes", "put # before a comment", number)
    _add_note(head, line, number)


def _take_firing(cone: str, atmosphere: str, number: int, head: Head, found: Findings) -> None:
    if cone and "cone" not in head:
        head["cone"] = (cone, number)
        found.remark("cone-taken", f"cone {cone} is taken from this line", "write `cone:` to be sure", number)
    if atmosphere and "atmosphere" not in head:
        head["atmosphere"] = (atmosphere, number)


def _kind(card: Card, head: Head, found: Findings) -> tuple[Kind, Basis | None]:
    basis = _choice(head, "basis", _BASES, found)
    kind = _choice(head, "kind", _KINDS, found)
    if kind is None and card.entries and "kind" not in head and (basis or _all_oxides(card)):
        found.remark(
            "composition-assumed", "every line is an oxide: read as a composition", "write `kind: composition`"
        )
        kind = "composition"
    if basis and kind not in (None, "composition"):
        found.remark("basis-not-used", f"`basis` says nothing on a {kind} card", "", head["basis"][1])
        basis = None
    return cast(Kind, kind or "glaze"), cast("Basis | None", basis)


def _all_oxides(card: Card) -> bool:
    from glazecalc.read.batch import split_entry

    parts = [split_entry(entry) for entry in card.entries]
    return all(part is not None and find_oxide(part.name) is not None for part in parts)


def _choice(head: Head, key: str, choices: dict[str, Kind] | dict[str, Basis], found: Findings) -> str | None:
    if key not in head:
        return None
    value, number = head[key]
    folded = " ".join(value.casefold().split()).rstrip(".")
    if folded not in choices:
        allowed = ", ".join(dict.fromkeys(choices.values()))
        hint = did_you_mean(folded, choices) or f"it is one of {allowed}"
        found.error("not-a-choice", f"{quote(value)} is no {key} of a card", hint, number)
        return None
    return choices[folded]


def _no_batch(card: Card, head: Head, found: Findings) -> None:
    for entry in card.entries[:1]:
        found.error(
            "bought-with-batch",
            "a bought glaze has no materials",
            "leave out `kind: bought` if this is a recipe, or put # before the line",
            entry.line,
        )
    if "cone" not in head:
        found.remark("cone-missing", "a bought glaze is known by its label's cone", "write `cone:` as on the label")


def _cone(head: Head, found: Findings) -> ConeRange | None:
    value, number = head.get("cone", ("", None))
    if not value.strip():
        return None
    firing = firing_of(value if value[:1] in "cC^" else f"cone {value}")
    if firing.cone and firing.atmosphere and not firing.rest:
        value = firing.cone
        head.setdefault("atmosphere", (firing.atmosphere, number))
    return read_cone_range(value, found, number)


def _name(card: Card, head: Head, found: Findings) -> str:
    name = head.get("name", ("", None))[0].strip()
    if name:
        return name
    stem = "" if found.file in (None, "stdin") else Path(str(found.file)).stem
    name = stem or "unnamed recipe"
    found.remark(
        "name-assumed", f"the card has no name; called {quote(name)}", "write a line such as: name: Shoal clear"
    )
    return name


def _said(head: Head, key: str) -> str:
    return _cut(head.get(key, ("", None))[0], 20_000)


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else text[: longest - 3] + "..."
