"""The studio as the page works with it: opened anew when a file changed, written whole or not at all."""

from __future__ import annotations

import hashlib
import re
import threading
import unicodedata
from collections import OrderedDict
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from glazecalc.files.card import read_recipe_text
from glazecalc.files.journal import Journal, standing
from glazecalc.files.studio import MATERIALS_FILE, STOCK_FILE, STUDIO_FILE
from glazecalc.files.writing import FILE_NAME as JOURNAL_FILE
from glazecalc.files.writing import journal_exists, keep, one_writer, put_back, write_file
from glazecalc.jobs.bench import Bench, card_names, open_bench, studio_pantry
from glazecalc.jobs.recording import take_back, turn_back
from glazecalc.render.bench import room_html
from glazecalc.values.answers import Problem, ProblemsError, refuse
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
                self._bench = open_bench((), self.folder, needs_studio=False) if there else _bare(self.folder)
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
            refuse("no-recipe", "no card of this studio has that name", "choose one of the list")
        with path.open("rb") as stream:
            return stream.read(200_000).decode("utf-8", "replace")

    def recipe(self, name: str) -> Recipe:
        """The recipe of a card. Raises ProblemsError if it cannot be used."""
        return recipe_in(self.card_text(name), f"{name}.txt")

    def save_card(self, title: str, text: str, seen: str = "") -> str:
        """Write a card; returns its name. One that is there is only replaced where ``seen`` is the mark of what it
        says now, and what it said is kept beside it. Raises ProblemsError otherwise."""
        name = title if self.card_path(title) is not None else file_name(title)
        if not name:
            refuse("name-missing", "the card needs a name", "write a word or two, such as Shoal")
        with self.writing, one_writer(self.folder):
            path = self.folder / f"{name}.txt"
            known = self.card_path(name) is not None and seen == mark_of(self.card_text(name))
            if path.exists() and not known:
                what = f"a card {name} is in the studio already, and it is not the one that was opened here"
                refuse("exists", what, "save under another name, or open that card first")
            keep(path)
            write_file(path, text, force=known)
        return name

    def put_card_back(self, name: str) -> None:
        """Undo the last change of a card. Raises ProblemsError where there is none."""
        with self.writing:
            put_file_back(self.card_path(name))


def put_file_back(path: Path | None) -> None:
    """Undo the last change of a file. Raises ProblemsError where there is none."""
    if path is None or not put_back(path):
        refuse("no-earlier", "there is nothing to put back")


def recipe_in(text: str, file: str = "recipe") -> Recipe:
    """The recipe a text says. Raises ProblemsError if it cannot be used."""
    recipe, problems = read_recipe_text(text, file)
    if recipe is None or any(p.is_error for p in problems):
        raise ProblemsError(problems)
    return recipe


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


# How a room is asked and answers.


def door(inside: Callable[[Request, Asked | None], Response]) -> Callable[[Request], Awaitable[Response]]:
    """A room behind its address: what was sent is read first, None where nothing was; then the room works apart."""

    async def room(request: Request) -> Response:
        form = await asked(request) if request.method == "POST" else None
        return await run_in_threadpool(inside, request, form)

    return room


def desk_of(request: Request) -> Desk:
    """The studio that a request works on."""
    desk: Desk = request.app.state.desk
    return desk


def shown(room: str, stopped_by: Sequence[Problem] = (), status: int = 0, **facts: Any) -> Response:
    """A room filled in; ``stopped_by`` is what has to be put right first."""
    facts |= {"problems": stopped_by, "stopped": True} if stopped_by else {}
    return HTMLResponse(room_html(room, **facts), status or (400 if stopped_by else 200))


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


def turned(request: Request, form: Asked | None) -> Response:
    """Undo what was written last, or do again what was undone."""
    desk, form = desk_of(request), form or Asked({})
    again = form.text("do") == "again"
    seen = form.text("undone" if again else "seen")
    if not journal_exists(desk.folder):
        refuse("no-journal", "nothing is written down yet")
    turn_back(desk.folder, again, int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 12 else 0)
    room = next((room for room in ROOMS.values() if room == form.text("room")), "/tiles")
    return RedirectResponse(f"{room}?{'again' if again else 'undone'}=1", 303)


def taken(request: Request, form: Asked | None) -> Response:
    """Take one entry back, or bring it back."""
    desk, id_ = desk_of(request), str(request.path_params["id"])[:12]
    kind = next((k for k in KINDS if k == request.path_params["kind"]), None)
    if kind is None or not journal_exists(desk.folder):
        refuse("no-entry", "there is no such entry in the journal")
    restore = form is not None and form.text("do") == "restore"
    take_back(desk.folder, kind, id_, restore)
    return RedirectResponse(f"{ROOMS[kind]}?{'back' if restore else 'taken'}=1", 303)


SAID: Final = {
    "done": "Written down.", "undone": "Undone.", "again": "Done again.", "taken": "Taken back; it is kept, and can be "
    "brought back.", "back": "Brought back.",
}  # fmt: skip


def said(request: Request) -> str:
    """What a room says of what was done just now."""
    return next((words for word, words in SAID.items() if request.query_params.get(word)), "")
