"""Long work beside the page: each in a process of its own, watched while it goes on, and stopped when asked."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import secrets
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, Final, Literal

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from glazecalc.jobs import requests
from glazecalc.jobs.progress import telling
from glazecalc.page.desk import Asked, Desk, recipe_in, shown
from glazecalc.values.answers import Problem, ProblemsError, error, refuse

MOST_AT_ONCE: Final = 2
"""More long work than this at a time only makes each slower."""
KEPT: Final = 20
"""Finished work that can still be looked at."""
GIVEN_UP_S: Final = 600.0
"""Work that takes longer is stopped [s]."""
State = Literal["running", "done", "stopped", "failed"]
Shows = Callable[[Any], str]
"""Makes the page of a result."""


@dataclass
class Work:
    """One piece of long work, as far as it has come. ``shows`` makes the page of its ``result``; ``back`` is the room
    it was asked from."""

    id: str
    what: str
    here: str
    back: str
    shows: Shows
    process: Any
    pipe: Connection
    began: float = field(default_factory=time.monotonic)
    doing: str = "starting"
    done: int = 0
    of: int = 1
    state: State = "running"
    result: Any = None
    problems: tuple[Problem, ...] = ()

    @property
    def seconds(self) -> int:
        """How long it has been going on [s]."""
        return int(time.monotonic() - self.began)


class Works:
    """The long work of one page."""

    def __init__(self) -> None:
        self._all: OrderedDict[str, Work] = OrderedDict()
        self._lock = threading.Lock()

    def begin(self, folder: Path, job: str, order: Mapping[str, Any], *, what: str, here: str, back: str,
              shows: Shows) -> Work:  # fmt: skip
        """Start ``job`` over the studio in ``folder``. Raises ProblemsError while as much as can be is going on."""
        with self._lock:
            going = [work for work in self._all.values() if self._looked(work).state == "running"]
            if len(going) >= MOST_AT_ONCE:
                refuse("busy", f"{going[0].what} is still going on", "wait for it, or stop it")
            spawn = multiprocessing.get_context("spawn")
            near, far = spawn.Pipe(duplex=False)
            process = spawn.Process(target=_apart, args=(far, folder, job, dict(order)), daemon=True)
            process.start()
            far.close()
            work = Work(secrets.token_urlsafe(9), what, here, back, shows, process, near)
            self._all[work.id] = work
            for old in [w.id for w in self._all.values() if w.state != "running"][:-KEPT]:
                del self._all[old]
            return work

    def look(self, id_: str) -> Work | None:
        """The work of that id, as far as it has come; None if there is none."""
        with self._lock:
            work = self._all.get(id_)
            return None if work is None else self._looked(work)

    def stop(self, id_: str) -> None:
        """End work that is going on; nothing of it is kept."""
        with self._lock:
            work = self._all.get(id_)
            if work is not None and self._looked(work).state == "running":
                self._end(work, "stopped")

    def _looked(self, work: Work) -> Work:
        if work.state != "running":
            return work
        try:
            while work.pipe.poll():
                kind, *said = work.pipe.recv()
                if kind == "doing":
                    work.doing, work.done, work.of = said
                else:
                    work.result, work.problems = said[0], tuple(said[1])
                    self._end(work, "done" if kind == "done" else "failed")
                    return work
            if not work.process.is_alive() and not work.pipe.poll():
                self._end(work, "failed")
            elif time.monotonic() - work.began > GIVEN_UP_S:
                work.problems = (error("too-long", f"{work.what} took too long and was stopped", "ask for less"),)
                self._end(work, "failed")
        except (EOFError, OSError):
            self._end(work, "failed")
        return work

    def _end(self, work: Work, state: State) -> None:
        work.state = state
        if work.process.is_alive():
            work.process.kill() if state == "stopped" else work.process.join(2)
        work.process.join(5)
        work.pipe.close()


def room(request: Request, form: Asked | None) -> Response:
    """GET shows how far work has come, or what came of it; POST stops it."""
    works: Works = request.app.state.works
    id_ = str(request.path_params["id"])[:24]
    if form is not None:
        works.stop(id_)
        return RedirectResponse(f"/work/{id_}", 303)
    work = works.look(id_)
    if work is None:
        return shown("plain", status=404, here="", said="That is not known any more.")
    if work.state == "done":
        return HTMLResponse(work.shows(work.result))
    problems = work.problems
    if work.state == "failed" and not problems:
        problems = (error("work-ended", f"{work.what} ended without an answer", "try again"),)
    return shown("work", problems, here=work.here, work=work)


# In the other process.


def _apart(pipe: Connection, folder: Path, job: str, order: dict[str, Any]) -> None:
    """Do the work and send what comes of it; ends with the page, whatever ends that."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C ends the page, and the page this
    threading.Thread(target=_end_with_the_page, daemon=True).start()
    if hasattr(os, "nice"):
        os.nice(5)
    try:
        with telling(lambda doing, done, of: pipe.send(("doing", doing, done, of))):
            pipe.send(("done", JOBS[job](Desk(folder), **order), ()))
    except ProblemsError as stop:
        with contextlib.suppress(OSError):
            pipe.send(("failed", None, stop.problems))
    except OSError:
        return


def _end_with_the_page() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(0)


def _better(desk: Desk, text: str, where: Mapping[str, str | None]) -> Any:
    recipe = recipe_in(text)
    return requests.adjust(desk.bench(), recipe, body=where["body"], kiln=where["kiln"], cone=where["cone"])


def _tiles(desk: Desk, cards: list[str], order: Any, cone: str | None) -> Any:
    return requests.tiles(desk.bench(), [desk.recipe(name) for name in cards], order, cone=cone)


JOBS: Final[dict[str, Callable[..., Any]]] = {"better": _better, "tiles": _tiles}
