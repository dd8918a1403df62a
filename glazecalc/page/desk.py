"""The studio as the page works with it: opened anew when a file changed, written whole or not at all."""

from __future__ import annotations

import hashlib
import re
import threading
import unicodedata
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from glazecalc.files.card import read_recipe_text
from glazecalc.files.earlier import keep, put_back
from glazecalc.files.journal_place import FILE_NAME as JOURNAL_FILE
from glazecalc.files.studio import MATERIALS_FILE, STOCK_FILE, STUDIO_FILE
from glazecalc.files.writing import one_writer, write_file
from glazecalc.jobs.bench import Bench, card_names, open_bench, studio_pantry
from glazecalc.values.answers import Problem, ProblemsError, error
from glazecalc.values.inputs import Recipe

_LONGEST_NAME: Final = 120
"""Bytes of a card's file name; with the copies kept beside it, it stays within the 255 of common file systems."""
_DEVICE: Final = re.compile(r"con|prn|aux|nul|(?:com|lpt)[0-9]")
"""Names that are no files on some systems (Microsoft, Naming Files, Paths, and Namespaces)."""
_UNSEEN: Final = "\u115f\u1160\u17b4\u17b5"
"""Letters without a face (Unicode, DerivedCoreProperties: Default_Ignorable_Code_Point)."""
MOST_FOUND: Final = 40
"""Findings that are kept for the next page."""
MOST_DONE: Final = 500
"""Forms that are known again when they are sent a second time."""
_WATCHED: Final = (STUDIO_FILE, MATERIALS_FILE, STOCK_FILE)


@dataclass
class Desk:
    """One studio folder. ``writing`` is held while a file of it is changed."""

    folder: Path
    writing: threading.RLock = field(default_factory=threading.RLock)
    _seen: tuple[object, ...] = ()
    _bench: Bench | None = None
    _finding: dict[str, threading.Lock] = field(default_factory=dict)
    _found: dict[str, tuple[object, Any]] = field(default_factory=dict)
    _doing: threading.Lock = field(default_factory=threading.Lock)
    _done: OrderedDict[str, Any] = field(default_factory=OrderedDict)

    def bench(self) -> Bench:
        """The studio as its files say now. Raises ProblemsError where they cannot be used."""
        seen = tuple(_state(self.folder / name) for name in _WATCHED)
        with self.writing:
            if self._bench is None or seen != self._seen:
                there = (self.folder / STUDIO_FILE).is_file()
                self._bench = (
                    open_bench((), self.folder if there else None, needs_studio=False) if there else _bare(self.folder)
                )
                self._seen = seen
            return self._bench

    def once(self, name: str, work: Callable[[], Any]) -> Any:
        """What ``work`` finds, done again only when a file of the studio or its journal changed since."""
        if len(self._found) > MOST_FOUND:
            self._found.clear()
        with self._finding.setdefault(name, threading.Lock()):
            files = [p for p in self.folder.glob("*") if p.suffix in (".txt", ".toml", ".csv")]
            journal = [self.folder / f"{JOURNAL_FILE}{end}" for end in ("", "-wal")]
            seen = tuple((p.name, _state(p)) for p in (*sorted(files), *journal))
            there = self._found.get(name)
            if there is None or there[0] != seen:
                self._found[name] = there = (seen, work())
            return there[1]

    def do_once(self, token: str, write: Callable[[], Any]) -> Any:
        """Do what a form asks for, once, however often it is sent; what came of it."""
        with self._doing:
            if not token:
                return write()
            if token not in self._done:
                self._done[token] = write()
            if len(self._done) > MOST_DONE:
                self._done.popitem(last=False)
            return self._done[token]

    def cards(self) -> list[str]:
        """The names of the studio's recipe cards that the page can open."""
        return [name for name in card_names(self.folder) if self._inside(name) is not None]

    def card_path(self, name: str) -> Path | None:
        """The card of that name; None for one that is not in the studio. No path is ever made of what was sent: the
        name must be one that the folder lists, and the file must lie in it."""
        return self._inside(name) if name in card_names(self.folder) else None

    def _inside(self, name: str) -> Path | None:
        if any(unicodedata.category(c) == "Cs" for c in name):  # bytes that are no text: no page can show that name
            return None
        path = self.folder / f"{name}.txt"
        inside = path.resolve().parent == self.folder.resolve()
        return path if inside and path.is_file() else None

    def card_text(self, name: str) -> str:
        """What a card says. Raises ProblemsError if there is none."""
        path = self.card_path(name)
        if path is None:
            raise ProblemsError([error("no-recipe", "no card of this studio has that name", "choose one of the list")])
        with path.open("rb") as stream:
            return stream.read(200_000).decode("utf-8", "replace")

    def recipe(self, name: str) -> Recipe:
        """The recipe of a card. Raises ProblemsError if it cannot be used."""
        recipe, problems = read_recipe_text(self.card_text(name), f"{name}.txt")
        if recipe is None or any(p.is_error for p in problems):
            raise ProblemsError(problems)
        return recipe

    def save_card(self, title: str, text: str, seen: str = "") -> str:
        """Write a card; returns its name. One that is there is only replaced where ``seen`` is the mark of what it
        says now, and what it said is kept beside it. Raises ProblemsError otherwise."""
        name = title if self.card_path(title) is not None else file_name(title)
        if not name:
            raise ProblemsError([error("name-missing", "the card needs a name", "write a word or two, such as Shoal")])
        with self.writing, one_writer(self.folder):
            path = self.folder / f"{name}.txt"
            if self.card_path(name) is not None and seen == mark_of(self.card_text(name)):
                keep(path)
                write_file(path, text, force=True)
            elif path.exists():
                what = f"a card {name} is in the studio already, and it is not the one that was opened here"
                raise ProblemsError([error("exists", what, "save under another name, or open that card first")])
            else:
                keep(path)
                write_file(path, text, force=False)
        return name

    def put_card_back(self, name: str) -> None:
        """Undo the last change of a card. Raises ProblemsError where there is none."""
        path = self.card_path(name)
        with self.writing:
            if path is None or not put_back(path):
                raise ProblemsError([error("no-earlier", "there is nothing to put back")])


def _bare(folder: Path) -> Bench:
    from glazecalc.files.studio import read_studio

    studio, _ = read_studio(folder)
    return Bench(studio, studio_pantry(studio), (), ())


def file_name(title: str) -> str:
    """A title in any script as the name of a file that every system takes; empty where it has no letter or digit.

    >>> file_name("My Clear!"), file_name("青瓷 2"), file_name("../Émail\u202e"), file_name("CON"), file_name("\u3164")
    ('my-clear', '青瓷-2', 'émail', 'card-con', '')
    """
    plain = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", title).casefold())
    name = "".join(c if unicodedata.category(c)[0] in "LMN" and c not in _UNSEEN else "-" for c in plain)
    name = re.sub("-+", "-", name).strip("-").encode()[:_LONGEST_NAME].decode("utf-8", "ignore").strip("-")
    if not any(c.isalnum() for c in name):
        return ""
    return f"card-{name}" if _DEVICE.fullmatch(name) else name


def mark_of(text: str) -> str:
    """A short mark of a text, by which it is known again."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def problems_of(stop: ProblemsError) -> tuple[Problem, ...]:
    """The problems a job stopped with, errors first."""
    return tuple(sorted(stop.problems, key=lambda p: not p.is_error))


def _state(path: Path) -> object:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
