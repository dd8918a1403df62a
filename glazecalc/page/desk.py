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

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from glazecalc.files.card import read_recipe_text
from glazecalc.files.journal import Journal, standing
from glazecalc.files.studio import MATERIALS_FILE, STOCK_FILE, STUDIO_FILE
from glazecalc.files.writing import FILE_NAME as JOURNAL_FILE
from glazecalc.files.writing import journal_exists, keep, one_writer, put_back, write_file
from glazecalc.jobs.bench import Bench, card_names, open_bench, studio_pantry
from glazecalc.jobs.recording import take_back, turn_back
from glazecalc.values.answers import Problem, ProblemsError, error
from glazecalc.values.inputs import Recipe
from glazecalc.values.records import KINDS

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


# What a form sends, as short plain texts; nothing of it is trusted.

LONGEST: int = 60_000


class Asked:
    """The fields of one form."""

    def __init__(self, fields: dict[str, list[str]]) -> None:
        self._fields = fields

    def text(self, name: str, usual: str = "", longest: int = 200) -> str:
        """One field without control signs, cut at ``longest``; ``usual`` where it is empty or not there."""
        given = (self._fields.get(name) or [""])[0][:longest]
        return "".join(c for c in given if c.isprintable()).strip() or usual

    def block(self, name: str) -> str:
        """A field of several lines, its line ends made plain."""
        return (self._fields.get(name) or [""])[0][:LONGEST].replace("\r\n", "\n").replace("\r", "\n")

    def all(self, name: str) -> list[str]:
        """Every value of a field, such as ticked boxes."""
        return [value[:200] for value in self._fields.get(name, ())][:50]

    def names(self) -> list[str]:
        """The names of the fields."""
        return list(self._fields)


async def asked(request: Request) -> Asked:
    """The fields of a request's form; no more of them than any room has."""
    fields: dict[str, list[str]] = {}
    async with request.form(max_files=1, max_fields=400) as form:
        for name, value in form.multi_items():
            if isinstance(value, str):
                fields.setdefault(name[:80], []).append(value)
    return Asked(fields)


# What was done to the journal, and how it is undone: for every room that writes into it.

MOST_SHOWN: Final = 20
"""Acts that a room lists, the last ones."""
ROOMS: Final = {"tile": "/tiles", "firing": "/firing", "batch": "/tiles"}


def acts_facts(desk: Desk) -> dict[str, Any]:
    """The last acts, newest first; the one that can be undone, the one that can be done again; what was taken back."""
    if not journal_exists(desk.folder):
        return {"acts": [], "last": None, "again": None, "taken": []}
    with Journal(desk.folder) as journal:
        acts, taken = journal.acts(), journal.current(withdrawn=True)
    stands, of = standing(acts), {act.number: act for act in acts}
    last, again = (pairs[-1] if pairs else None for pairs in (stands.done, [first for first, _ in stands.again]))
    return {
        "acts": acts[: -MOST_SHOWN - 1 : -1], "last": None if last is None else of[last],
        "again": None if again is None else of[again], "taken": taken,
    }  # fmt: skip


async def turned(request: Request) -> Response:
    """Undo what was written last, or do again what was undone."""
    form = await asked(request)
    return await run_in_threadpool(_turned, request.app.state.desk, form)


def _turned(desk: Desk, form: Asked) -> Response:
    again = form.text("do") == "again"
    seen = form.text("undone" if again else "seen")
    if not journal_exists(desk.folder):
        raise ProblemsError([error("no-journal", "nothing is written down yet")])
    turn_back(desk.folder, again, int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 12 else 0)
    return RedirectResponse(f"{_room(form)}?{'again' if again else 'undone'}=1", 303)


async def taken(request: Request) -> Response:
    """Take one entry back, or bring it back."""
    form = await asked(request)
    kind, id_ = str(request.path_params["kind"]), str(request.path_params["id"])[:12]
    return await run_in_threadpool(_taken, request.app.state.desk, kind, id_, form)


def _taken(desk: Desk, kind: str, id_: str, form: Asked) -> Response:
    meant = next((k for k in KINDS if k == kind), None)
    if meant is None or not journal_exists(desk.folder):
        raise ProblemsError([error("no-entry", "there is no such entry in the journal")])
    restore = form.text("do") == "restore"
    take_back(desk.folder, meant, id_, restore)
    return RedirectResponse(f"{ROOMS[meant]}?{'back' if restore else 'taken'}=1", 303)


def _room(form: Asked) -> str:
    return next((room for room in ROOMS.values() if room == form.text("room")), "/tiles")


SAID: Final = {
    "done": "Written down.", "undone": "Undone.", "again": "Done again.", "taken": "Taken back; it is kept, and can be "
    "brought back.", "back": "Brought back.",
}  # fmt: skip


def said(request: Request) -> str:
    """What a room says of what was done just now."""
    return next((words for word, words in SAID.items() if request.query_params.get(word)), "")
