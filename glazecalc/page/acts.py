"""What was done to the journal, and how it is undone: for every room that writes into it."""

from __future__ import annotations

from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from glazecalc.files.journal import Journal
from glazecalc.files.journal_acts import standing
from glazecalc.files.journal_place import journal_exists
from glazecalc.jobs.recording import take_back, turn_back
from glazecalc.page.desk import Desk
from glazecalc.page.forms import Asked, asked
from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.records import KINDS

MOST_SHOWN: Final = 20
"""Acts that a room lists, the last ones."""
ROOMS: Final = {"tile": "/tiles", "firing": "/firing", "batch": "/tiles"}


def acts_facts(desk: Desk) -> dict[str, Any]:
    """The last acts, newest first; the one that can be undone, the one that can be done again; what was taken back."""
    if not journal_exists(desk.folder):
        return {"acts": [], "last": None, "again": None, "taken": []}
    with Journal(desk.folder) as journal:
        acts, taken = journal.acts(), journal.withdrawn()
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
