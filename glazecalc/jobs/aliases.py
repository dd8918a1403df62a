"""The potter's own words for materials: what they mean is asked once and kept in studio.toml under `[aliases]`."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from glazecalc.jobs.materials import Pantry, meant_by, near_names, unknown_lines, what_to_write
from glazecalc.values.answers import Problem, ProblemsError, error, remark, stop_at_errors
from glazecalc.values.inputs import Recipe
from glazecalc.values.names import fold
from glazecalc.values.texts import phrase


def aliases_said(texts: Sequence[str], shelf: Pantry) -> tuple[tuple[str, str], ...]:
    """What `NAME=MATERIAL` says: the word as written, and the name of the material it means.

    Raises
    ------
    ProblemsError
        for a text without both, or a material that is not known.
    """
    pairs: list[tuple[str, str]] = []
    problems: list[Problem] = []
    for text in texts:
        word, sign, meant = (part.strip() for part in text.partition("="))
        material = shelf.find(meant) if meant else None
        if not (word and sign and meant) or len(word) > 200:
            message = f"{text[:80]!r} does not say which word means which material"
            problems.append(error("pair", message, 'write it as "NAME=MATERIAL", such as "spar=Potash feldspar"'))
        elif material is None:
            message = f"no material is called {meant!r}, so it cannot be what {word!r} means"
            problems.append(error("unknown-material", message, what_to_write(meant, shelf)))
        else:
            pairs.append((word, material.name))
    stop_at_errors(problems)
    return tuple(dict.fromkeys(pairs))


def remember(folder: Path, pairs: Sequence[tuple[str, str]]) -> tuple[Problem, ...]:
    """Keep what words mean in the studio of ``folder``; a remark says where, or that there is no studio to keep it."""
    from glazecalc.files.studio import STUDIO_FILE

    if not pairs:
        return ()
    path = folder / STUDIO_FILE
    words = ", ".join(f"{word} means {meant}" for word, meant in pairs)
    if not path.is_file():
        hint = phrase("it is kept where there is a studio|: glazecalc start DIR|")
        return (remark("alias-not-kept", f"{words}: this counts for this answer only", hint),)
    _write(folder, dict(pairs))
    hint = phrase("change it by hand under [aliases], or say another|: glazecalc materials --alias|")
    return (remark("alias-kept", f"{words}: kept in the studio", hint, str(path)),)


def forget(folder: Path, word: str) -> None:
    """Take a word out of those that the studio of ``folder`` knows. Raises ProblemsError where it knows none such."""
    from glazecalc.files.studio import STUDIO_FILE, read_studio

    known = dict(read_studio(folder)[0].aliases) if (folder / STUDIO_FILE).is_file() else {}
    if word not in known:
        raise ProblemsError([error("no-entry", f"the studio keeps no word {word!r}", "look again at its words")])
    _write(folder, {word: None})


def _write(folder: Path, words: Mapping[str, str | None]) -> None:
    """Write what words mean into studio.toml; None takes one out."""
    from glazecalc.files.studio import ALIASES, STUDIO_FILE
    from glazecalc.files.studio_edit import keep_and_write, set_figures
    from glazecalc.files.writing import one_writer

    path = folder / STUDIO_FILE
    with one_writer(folder):
        try:
            before = path.read_bytes().decode("utf-8", "replace") if path.is_file() else ""
            after = set_figures(before, {(ALIASES, word): meant for word, meant in words.items()}, {})
        except ValueError as exc:
            problem = error("toml-syntax", f"studio.toml cannot be changed: {exc}", "mend it by hand", str(path))
            raise ProblemsError([problem]) from None
        keep_and_write(folder, after)


@dataclass(frozen=True, slots=True)
class NameAsked:
    """A word that no material bears, where it stands, and the names of what it may be."""

    word: str
    line: int | None
    kinds: tuple[str, ...]


def names_to_ask(recipes: Sequence[Recipe], shelf: Pantry) -> tuple[NameAsked, ...]:
    """Every unknown word of some cards, each once."""
    found: dict[str, NameAsked] = {}
    for recipe in recipes:
        for line in unknown_lines(recipe, shelf):
            if fold(line.material) not in found:
                found[fold(line.material)] = NameAsked(line.material, line.line, meant_by(recipe, line, shelf))
    return tuple(found.values())


def answers_to(
    asked: Sequence[NameAsked], shelf: Pantry, say: Callable[[str], None], typed: Callable[[], str]
) -> Iterator[str]:
    """Ask about each word and give back `NAME=MATERIAL` for those that were answered.

    ``say`` shows a line, ``typed`` waits for what is typed: a number, a material's name, or nothing.
    """
    for name in asked:
        where = f" (line {name.line})" if name.line else ""
        say(f"{name.word}{where}: which of these is it?")
        for number, kind in enumerate(name.kinds, start=1):
            say(f"  {number}  {kind}")
        say("  A number, or another material by name; Enter leaves it open.")
        while text := typed().strip():
            picked = int(text) - 1 if text.isdecimal() and len(text) < 4 else -1
            kind = name.kinds[picked] if 0 <= picked < len(name.kinds) else ""
            material = shelf.find(kind or text)
            if material is not None:
                yield f"{name.word}={material.name}"
                break
            near = near_names(text, shelf)
            say(f"  no material is called {text!r}" + (f"; did you mean {' or '.join(near)}?" if near else ""))


# How a pasted recipe was read, line by line, and what has to be asked about names that nothing here bears.


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


def lines_as_read(
    text: str, recipe: Recipe | None, shelf: Pantry, problems: Sequence[Problem]
) -> tuple[tuple[ReadLine, ...], tuple[NameAsked, ...]]:
    """Every line of ``text`` that says something, and the questions about unknown names."""
    by_line = {line.line: line for line in (recipe.lines if recipe is not None else ())}
    rows: list[ReadLine] = []
    questions: list[NameAsked] = []
    for number, written in enumerate(text.split("\n")[:400], start=1):
        if not written.strip():
            continue
        notes: list[str] = [
            phrase("{} ({})" if p.hint else "{}", p.message, p.hint) for p in problems if p.line == number
        ]
        line = by_line.get(number)
        meant = None if line is None else shelf.find(line.material)
        if line is not None and meant is None:
            near = meant_by(recipe, line, shelf) if recipe is not None and len(questions) < 20 else ()
            questions.append(NameAsked(line.material, number, _once_each(near, shelf)))
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
