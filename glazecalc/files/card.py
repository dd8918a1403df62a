"""A recipe card, or a recipe pasted from a page or a mail, to a Recipe with every problem found in one pass."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final, Literal, cast

from glazecalc.files.card_batch import lines_read, read_batch, read_oxides, split_entry
from glazecalc.files.card_head import KEYS, Header, cones_named, firing_of
from glazecalc.files.numbers import read_cone_range
from glazecalc.files.pasted import may_tell_amount, shares_in_words, tells_amount
from glazecalc.files.problems import Findings, quote
from glazecalc.files.sorting import SortedCard, sort_lines
from glazecalc.files.text import open_text, read_text
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
    """A remark where the card's words or another cone on it speak for the twin of the cone it names, or where a card
    without a cone has a name that ends in a number that could be one."""
    if recipe.cone is None:
        match = _LAST_NUMBER.search(recipe.name)
        if match is not None and match[1] in CONE_NAMES:
            asked = f"no cone is stated: is {match[1]} in the name the cone?"
            found.remark("cone-suspicious", asked, f"write cone: {match[1]}")
        return
    cone = recipe.cone.high
    other = twin(cone)
    if other is None:
        return
    words = " ".join((recipe.name, recipe.surface, recipe.atmosphere, recipe.source, recipe.notes))
    speaks = (_HIGH_WORDS if cone.name.startswith("0") else _LOW_WORDS).search(words)
    named = (read_cone_range(name, Findings(None), None) for name in cones_named(text))
    if speaks:
        question = f"cone {cone} on a card that says {speaks[0].casefold()}: is cone {other} meant?"
        found.remark("cone-suspicious", question, _HINT, line)
    elif any(cones is not None and other in (cones.low, cones.high) for cones in named):
        found.remark("cone-suspicious", f"the card names cone {other} too; it is read as cone {cone}", _HINT, line)


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
    text, found = open_text(path)
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
    head = _Head(card, found)
    kind, basis = head.kind_and_basis(card)
    lines: tuple[RecipeLine, ...] = ()
    oxides: tuple[OxideAmount, ...] = ()
    if kind == "composition":
        oxides, basis = read_oxides(card, basis, found)
    elif kind == "bought":
        _no_batch(card, head, found)
    else:
        lines = read_batch(card, found)
    cone = head.cone()
    if found.has_errors:
        return None, found.problems
    words = {key: head.text(key) for key in ("surface", "atmosphere", "source", "notes", "proven")}
    recipe = Recipe(
        name=_cut(head.name(), 200), kind=cast(Kind, kind), cone=cone, lines=lines, composition=oxides,
        basis=cast("Basis | None", basis), file=found.file, **words,
    )  # fmt: skip
    ask_about_cone(recipe, text, head.line("cone"), found)
    return recipe, found.problems


def _no_batch(card: SortedCard, head: _Head, found: Findings) -> None:
    if card.entries:
        hint = "leave out `kind: bought` if this is a recipe, or put # before the line"
        found.error("bought-with-batch", "a bought glaze has no materials", hint, card.entries[0].line)
    if "cone" not in head.values:
        found.remark("cone-missing", "a bought glaze is known by its label's cone", "write `cone:` as on the label")


def _all_oxides(card: SortedCard) -> bool:
    parts = [split_entry(entry) for entry in card.entries]
    return all(part is not None and find_oxide(part.name) is not None for part in parts)


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else text[: longest - 3] + "..."


# The head of a card: its keys, its title, and the lines of words about the batch.

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
_FIGURES: Final = re.compile(r"\W*\d[\d.,/]*(?:\s*[%g])?(?:[\s|;:]+\d[\d.,/]*(?:\s*[%g])?)+\W*")
"""Two figures and more, and no word beside them."""
_FIRED_TO: Final = re.compile(r"\b(?:fired?|firing)\b[^.\d]{0,20}(?:\bcone\b|\^|\bc/?(?=\d))", re.IGNORECASE)


class _Head:
    """What the head of a card says, and its words elsewhere: ``values`` maps a key to its value and line."""

    def __init__(self, card: SortedCard, found: Findings) -> None:
        self.found = found
        self.values: dict[str, tuple[str, int]] = {}
        for number, header in card.headers:
            self._take_header(number, header)
        if card.first is not None:
            self._take_title(*card.first)
        if "atmosphere" in self.values and "cone" not in self.values:
            words, at = self.values["atmosphere"]
            firing = firing_of(words)
            if firing.cone:
                self._take_firing(at, firing.cone, "")
                self.values["atmosphere"] = (firing.atmosphere or words, at)
        for number, words in card.beside:
            found.remark("kept-as-note", f"{quote(words)} beside an amount is kept among the notes", "", number)
            self._note(number, words)
        first = card.entries[0].line if card.entries else 0
        for number, line in sorted(card.free):
            self._take_free_line(number, line, above=number < first)

    def text(self, key: str) -> str:
        """What a key says; empty where it is not there."""
        return _cut(self.values[key][0], 20_000) if key in self.values else ""

    def line(self, key: str) -> int | None:
        """The line of a key."""
        return self.values[key][1] if key in self.values else None

    def name(self) -> str:
        """The name of the recipe, else its file's."""
        name = self.values["name"][0].strip() if "name" in self.values else ""
        if not name:
            stem = "" if self.found.file in (None, "stdin") else Path(str(self.found.file)).stem
            name = stem or "unnamed recipe"
            hint = "write a line such as: name: Shoal clear"
            self.found.remark("name-assumed", f"the card has no name; called {quote(name)}", hint)
        return name

    def cone(self) -> ConeRange | None:
        """The cone, which may say the atmosphere too."""
        value = self.text("cone")
        if not value.strip():
            return None
        firing = firing_of(value if value[:1] in "cC^" else f"cone {value}")
        if firing.cone and firing.atmosphere and not firing.rest:
            value = firing.cone
            self.values.setdefault("atmosphere", (firing.atmosphere, self.values["cone"][1]))
        return read_cone_range(value, self.found, self.line("cone"))

    def kind_and_basis(self, card: SortedCard) -> tuple[str, str | None]:
        """What the card describes, and in which measure where that is oxides."""
        basis, kind = self._choice("basis", _BASES), self._choice("kind", _KINDS)
        if kind is None and card.entries and "kind" not in self.values and (basis or _all_oxides(card)):
            text = "every line is an oxide: read as a composition"
            self.found.remark("composition-assumed", text, "write `kind: composition`")
            kind = "composition"
        if basis and kind not in (None, "composition"):
            self.found.remark("basis-not-used", f"`basis` says nothing on a {kind} card", "", self.line("basis"))
            basis = None
        return kind or "glaze", basis

    def _choice(self, key: str, choices: dict[str, Kind] | dict[str, Basis]) -> str | None:
        if key not in self.values:
            return None
        value, number = self.values[key]
        folded = " ".join(value.casefold().split()).rstrip(".")
        if folded not in choices:
            hint = did_you_mean(folded, choices) or f"it is one of {', '.join(dict.fromkeys(choices.values()))}"
            self.found.error("not-a-choice", f"{quote(value)} is no {key} of a card", hint, number)
        return choices.get(folded)

    def _note(self, number: int, text: str) -> None:
        before, line = self.values.get("notes", ("", number))
        self.values["notes"] = (f"{before}\n{text}".strip(), line)

    def _take_header(self, number: int, header: Header) -> None:
        key, typed, value, _ = header
        found = self.found
        if key is None:
            self._take_unknown(number, header)
        elif key == "notes":
            if tells_amount(value):
                text = f"the notes speak of an amount that is not in the batch: {quote(value)}"
                found.remark("amounts-in-words", text, "if it belongs in, write it as a line of the batch", number)
            self._note(number, value)
        elif key == "name" and "name" in self.values:
            found.error("several-recipes", "a second name begins here", "keep one recipe in a file", number)
        elif key in self.values:
            found.remark("header-twice", f"{typed!r} is given twice; the first is kept", "", number)
        elif not value:
            found.remark("key-empty", f"`{key}` says nothing", "", number)
        else:
            self.values[key] = (value, number)

    def _take_unknown(self, number: int, header: Header) -> None:
        firing, unknown = firing_of(header.typed), f"a card has no {quote(header.typed)}"
        if firing.cone and not header.value:  # a heading such as `Glaze - cone 6:`
            self._take_firing(number, firing.cone, firing.atmosphere)
        elif header.meant:
            self.found.error("unknown-key", unknown, f"did you mean {header.meant}?", number)
        else:
            hint = f"its keys are {', '.join(KEYS)}"
            self.found.remark("unknown-key", f"{unknown}; kept among the notes", hint, number)
            self._note(number, f"{header.typed}: {header.value}")

    def _take_firing(self, number: int, cone: str, atmosphere: str) -> None:
        if cone and "cone" not in self.values:
            self.values["cone"] = (cone, number)
            self.found.remark("cone-taken", f"cone {cone} comes from this line", "write `cone:` to be sure", number)
        if atmosphere and "atmosphere" not in self.values:
            self.values["atmosphere"] = (atmosphere, number)

    def _take_title(self, number: int, line: str) -> None:
        firing = firing_of(line)
        self._take_firing(number, firing.cone, firing.atmosphere)
        name = re.sub(r"(?<![\s.])[\s.]{3,}$", "", firing.rest) or line
        called = _IN_QUOTES.search(name)
        shorter = (called[1] if called is not None else _NOT_OF_NAME.sub("", name)).strip()
        if shorter and shorter != name:
            name = shorter
            self._note(number, line)
        elif len(name.split()) > _LONGEST_NAME:
            name = re.split(r"[,.;:!?]", name)[0].strip() or name
            self._note(number, line)
        if firing.rest and not _NO_NAME.match(name):
            self.values["name"] = (name, number)
            self.found.remark("title-taken", f"{quote(name)} serves as the name", "write `name:` before it", number)

    def _take_free_line(self, number: int, line: str, above: bool) -> None:
        found, firing = self.found, firing_of(line)
        short = len(firing.rest.split()) <= 2
        if firing.cone and (short or above or _FIRED_TO.search(line)) and "bisq" not in line.casefold():
            self._take_firing(number, firing.cone, firing.atmosphere)
            if not firing.rest:
                return
        shares = shares_in_words(line)
        if _FIGURES.fullmatch(line):
            text = f"{quote(line)} has figures and no name, and nothing may be left out of a batch"
            hint = "write the material's name, such as `Whiting 20`; or put # before it"
            found.error("name-missing", text, hint, number)
        elif shares or may_tell_amount(firing.rest if firing.cone else line):
            lines = ", ".join(f"`+ {name} {amount}`" for name, amount in shares[:3]) or "such as `Whiting 20`"
            text = f"{quote(line)} holds amounts in the midst of words, and nothing may be left out of a batch"
            hint = f"write each on a line of its own: {lines}; or put # before a comment"
            found.error("amounts-in-words", text, hint, number)
        else:
            found.remark("kept-as-note", f"{quote(line)} is kept among the notes", "put # before a comment", number)
            self._note(number, line)
