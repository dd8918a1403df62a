"""A recipe card, or a recipe pasted from a page or a mail, to a Recipe with every problem found in one pass."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final, Literal, cast

from glazecalc.files.card_batch import lines_read, read_batch, read_oxides, split_entry
from glazecalc.files.card_head import KEYS, cones_named, firing_of
from glazecalc.files.numbers import read_cone_range
from glazecalc.files.pasted import may_tell_amount, shares_in_words, tells_amount
from glazecalc.files.problems import Findings, quote
from glazecalc.files.sorting import SortedCard, sort_lines
from glazecalc.files.text import read_text
from glazecalc.values.answers import Problem, did_you_mean
from glazecalc.values.cones import CONE_NAMES, Cone
from glazecalc.values.inputs import ConeRange, OxideAmount, Recipe, RecipeLine
from glazecalc.values.oxides import find_oxide

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


def names_on(path: str | Path) -> Recipe | None:
    """The materials of a card that cannot be used as it stands, as far as its lines can be read, so that what is to be
    asked of their names is asked in one pass with its faults. A line without an amount counts as a hundredth."""
    quiet = Findings(str(path))
    text = None if str(path) == "-" else read_text(path, quiet)
    if text is None or not text.strip():
        return None
    card = sort_lines(text, quiet)
    if {p.code for p in quiet.problems} & _NO_BATCH or _all_oxides(card):
        return None
    lines = list(lines_read(card))
    base = sum(line.amount for line in lines) or 1.0
    written = text.split("\n")
    for problem in quiet.problems:
        if problem.code != "amount-missing" or problem.line is None:
            continue
        name = written[problem.line - 1].strip(" \t*+-|,;:")
        if 0 < len(name) <= 80 and len(name.split()) <= _NAME_WORDS and not any(c.isdigit() for c in name):
            lines.append(RecipeLine(material=name, amount=base / 100, line=problem.line))
    return Recipe(name="card", lines=tuple(lines), file=quiet.file) if lines else None


_NO_BATCH: Final = frozenset({"several-recipes", "too-many-lines", "line-too-long", "more-problems"})
_NAME_WORDS: Final = 3
"""Words of a line that may be a material's name without its amount."""


def _recipe(text: str, found: Findings) -> tuple[Recipe | None, tuple[Problem, ...]]:
    text = text.lstrip("\ufeff")
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
        notes=_said(head, "notes"), proven=_said(head, "proven"), file=found.file,
    )  # fmt: skip
    ask_about_number_in_name(recipe, found)
    ask_about_cone(recipe, text, head.get("cone", ("", None))[1], found)
    return recipe, found.problems


_IN_QUOTES: Final = re.compile(
    r'[\u00ab"\u201c\u201e]\s*([^\u00ab\u00bb"\u201c\u201d\u201e]{2,60}?)\s*[\u00bb"\u201d\u201c]'
)
_NOT_OF_NAME: Final = re.compile(
    r"^(?:glasur|esmalte|[e\u00e9]mail|smalto|\u0433\u043b\u0430\u0437\u0443\u0440\u044c)\s+(?=\S)"
    r"|[\s,;(-]+\d{3,4}\s?(?:\N{DEGREE SIGN}|deg)\s?[CF]\b.*$",
    re.IGNORECASE,
)
"""The word for a glaze in other tongues, and the heat it is fired to: no part of a title's name."""
_NO_NAME: Final = re.compile(
    r"(?:here|this|that|these|it|i|we|my|you)\b(?=\s+(?:is|was|are|it|got|have|fires?)\b)", re.IGNORECASE
)
"""How a sentence begins that is no name."""
_LONGEST_NAME = 6
"""Words; a longer first line is a sentence that begins with the name."""
Head = dict[str, tuple[str, int | None]]
"""Key of the card -> (value, line)."""


def _head(card: SortedCard, found: Findings) -> Head:
    head: Head = {}
    for number, header in card.headers:
        if header.key is None:
            _unknown_key(header.typed, header.value, header.meant, number, head, found)
        elif header.key == "notes":
            if tells_amount(header.value):
                text = f"the notes speak of an amount that is not in the batch: {quote(header.value)}"
                found.remark("amounts-in-words", text, "if it belongs in, write it as a line of the batch", number)
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
    said, at = head.get("atmosphere", ("", None))
    if at is not None and "cone" not in head and (firing := firing_of(said)).cone:
        _take_firing(firing.cone, "", at, head, found)
        head["atmosphere"] = (firing.atmosphere or said, at)
    for number, words in card.beside:
        found.remark("kept-as-note", f"{quote(words)} beside an amount is kept among the notes", "", number)
        _add_note(head, words, number)
    first = card.entries[0].line if card.entries else 0
    for number, line in sorted(card.free):
        _take_free_line(line, number, head, found, above=number < first)
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


def _take_title(card: SortedCard, head: Head, found: Findings) -> None:
    if card.first is None:
        return
    number, line = card.first
    firing = firing_of(line)
    _take_firing(firing.cone, firing.atmosphere, number, head, found)
    name = re.sub(r"(?<![\s.])[\s.]{3,}$", "", firing.rest) or line
    called = _IN_QUOTES.search(name)
    shorter = called[1] if called is not None else _NOT_OF_NAME.sub("", name)
    if shorter.strip() and shorter.strip() != name:
        name = shorter.strip()
        _add_note(head, line, number)
    elif len(name.split()) > _LONGEST_NAME:
        name = re.split(r"[,.;:!?]", name)[0].strip() or name
        _add_note(head, line, number)
    if firing.rest and not _NO_NAME.match(name):
        head["name"] = (name, number)
        found.remark("title-taken", f"{quote(name)} serves as the name", "write `name:` before it", number)


_FIGURES: Final = re.compile(r"\W*\d[\d.,/]*(?:\s*[%g])?(?:[\s|;:]+\d[\d.,/]*(?:\s*[%g])?)+\W*")
"""Two figures and more, and no word beside them."""


def _take_free_line(line: str, number: int, head: Head, found: Findings, above: bool = False) -> None:
    firing = firing_of(line)
    short = len(firing.rest.split()) <= 2
    if firing.cone and (short or above or _FIRED_TO.search(line)) and "bisq" not in line.casefold():
        _take_firing(firing.cone, firing.atmosphere, number, head, found)
        if not firing.rest:
            return
    if _FIGURES.fullmatch(line):
        text = f"{quote(line)} has figures and no name, and nothing may be left out of a batch"
        found.error("name-missing", text, "write the material's name, such as `Whiting 20`; or put # before it", number)
        return
    shares = shares_in_words(line)
    if shares or may_tell_amount(firing.rest if firing.cone else line):
        lines = ", ".join(f"`+ {name} {amount}`" for name, amount in shares[:3]) or "such as `Whiting 20`"
        text = f"{quote(line)} holds amounts in the midst of words, and nothing may be left out of a batch"
        found.error(
            "amounts-in-words", text, f"write each on a line of its own: {lines}; or put # before a comment", number
        )
        return
    found.remark("kept-as-note", f"{quote(line)} is kept among the notes", "put # before a comment", number)
    _add_note(head, line, number)


_FIRED_TO: Final = re.compile(r"\b(?:fired?|firing)\b[^.\d]{0,20}(?:\bcone\b|\^|\bc/?(?=\d))", re.IGNORECASE)


def _take_firing(cone: str, atmosphere: str, number: int, head: Head, found: Findings) -> None:
    if cone and "cone" not in head:
        head["cone"] = (cone, number)
        found.remark("cone-taken", f"cone {cone} comes from this line", "write `cone:` to be sure", number)
    if atmosphere and "atmosphere" not in head:
        head["atmosphere"] = (atmosphere, number)


def _kind(card: SortedCard, head: Head, found: Findings) -> tuple[Kind, Basis | None]:
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


def _all_oxides(card: SortedCard) -> bool:

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


def _no_batch(card: SortedCard, head: Head, found: Findings) -> None:
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


def _name(card: SortedCard, head: Head, found: Findings) -> str:
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
