"""How a pasted recipe was read, line by line, and what has to be asked about names that nothing here bears."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from glazecalc.jobs.materials import Pantry, meant_by
from glazecalc.values.answers import Problem
from glazecalc.values.inputs import Recipe


@dataclass(frozen=True, slots=True)
class ReadLine:
    """One line of a text: as written, the material and amount it was read as (empty and None where it is none), and
    what was noticed."""

    number: int
    written: str
    material: str
    amount: float | None
    addition: bool
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NameQuestion:
    """A name on a line that no material bears, and the names of what it may be."""

    line: int
    name: str
    near: tuple[str, ...]


def lines_as_read(
    text: str, recipe: Recipe | None, shelf: Pantry, problems: Sequence[Problem]
) -> tuple[tuple[ReadLine, ...], tuple[NameQuestion, ...]]:
    """Every line of ``text`` that says something, and the questions about unknown names."""
    by_line = {line.line: line for line in (recipe.lines if recipe is not None else ())}
    rows: list[ReadLine] = []
    questions: list[NameQuestion] = []
    for number, written in enumerate(text.split("\n")[:400], start=1):
        if not written.strip():
            continue
        notes = [f"{p.message}{f' ({p.hint})' if p.hint else ''}" for p in problems if p.line == number]
        line = by_line.get(number)
        meant = None if line is None else shelf.find(line.material)
        if line is not None and meant is None:
            near = meant_by(recipe, line, shelf) if recipe is not None and len(questions) < 20 else ()
            questions.append(NameQuestion(number, line.material, _once_each(near, shelf)))
            notes.append("nothing here has that name")
        amount = None if line is None or meant is None else line.amount
        named = "" if meant is None else meant.name
        rows.append(ReadLine(number, written.strip()[:200], named, amount, bool(line and line.addition), tuple(notes)))
    return tuple(rows), tuple(questions)


def _once_each(names: Sequence[str], shelf: Pantry) -> tuple[str, ...]:
    """The first of the names of each material."""
    first: dict[str, str] = {}
    for name in names:
        found = shelf.find(name)
        first.setdefault(name if found is None else found.name, name)
    return tuple(first.values())


def with_name(text: str, number: int, written: str, meant: str) -> str:
    """The text with ``meant`` in place of the name ``written`` on a line; as it was where the line does not hold it.

    >>> with_name("Whiting 20\\nSilca  30", 2, "Silca", "Silica")
    'Whiting 20\\nSilica  30'
    """
    lines = text.split("\n")
    if not (1 <= number <= len(lines) and written.split() and meant.strip()):
        return text
    spaced = r"\s+".join(re.escape(word) for word in written.split())
    lines[number - 1] = re.sub(spaced, lambda _: " ".join(meant.split()), lines[number - 1], count=1)
    return "\n".join(lines)
