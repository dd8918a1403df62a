"""The page on this machine: started, its address told, its rooms behind theirs, and ended cleanly."""

from __future__ import annotations

import asyncio
import logging
import re
import socket
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.routing import Route

from glazecalc.files.photos import photo_path
from glazecalc.page import firing, glaze, guard, shelf, studio, tiles, work
from glazecalc.page.desk import Desk, desk_of, door, problems_of, shown, taken, turned
from glazecalc.page.guard import COOKIE, Gate, Guard, TooLargeError
from glazecalc.render.bench import look, script
from glazecalc.values.answers import ProblemsError, refuse
from glazecalc.values.texts import typed

HERE = "127.0.0.1"


@dataclass(frozen=True, slots=True)
class Opened:
    """A page about to be served: its socket, its gate, its address here and, if asked for, that for one phone."""

    socket: socket.socket
    gate: Gate
    address: str
    phone_address: str | None


def prepare(port: int = 0, phone: bool = False) -> Opened:
    """Take a free port, of this machine alone unless a phone is to come in. Raises ProblemsError if it is taken."""
    from secrets import token_urlsafe

    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind(("0.0.0.0" if phone else HERE, port))
    except (OSError, OverflowError) as exc:
        listening.close()
        what = f"port {port} cannot be used: {getattr(exc, 'strerror', None) or exc}"
        refuse("port", what, typed("leave --port out to use a free one"))
    number = listening.getsockname()[1]
    names = {f"{HERE}:{number}", f"localhost:{number}"}
    outside = _own_address() if phone else None
    if outside is not None:
        names.add(f"{outside}:{number}")
    key = token_urlsafe(18) if outside is not None else None
    gate = Gate(frozenset(names), phone_key=key, cookie=f"{COOKIE}-{number}")
    far = None if outside is None else f"http://{outside}:{number}/?key={gate.phone_key}"
    return Opened(listening, gate, f"http://{HERE}:{number}/?key={gate.key}", far)


def _own_address() -> str | None:
    """This machine's address on its own network; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address of documentation; a datagram socket sends nothing
            found = str(probe.getsockname()[0])
        except OSError:
            return None
    return None if found.startswith("127.") or found == "0.0.0.0" else found


def qr_lines(address: str) -> str:
    """The address as a QR code for a terminal (ISO/IEC 18004, drawn by segno)."""
    import io

    import segno

    drawn = io.StringIO()
    segno.make(address, error="m", micro=False).terminal(out=drawn, compact=True)
    return drawn.getvalue()


def _patient(slowest_s: float) -> type[asyncio.Protocol]:
    """uvicorn's connection, which is closed where no request is whole this long after it was opened, or after the last
    answer [s]: who says a byte a minute does not hold a place (CWE-400)."""
    from uvicorn.protocols.http.h11_impl import H11Protocol

    class Patient(H11Protocol):
        def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
            super().connection_made(transport)
            self._waits = self.loop.call_later(slowest_s, self._give_up)

        def on_response_complete(self) -> None:
            super().on_response_complete()
            self._waits.cancel()
            self._waits = self.loop.call_later(slowest_s, self._give_up)

        def connection_lost(self, exc: Exception | None) -> None:
            self._waits.cancel()
            super().connection_lost(exc)

        def _give_up(self) -> None:
            if self.cycle is None or self.cycle.response_complete:
                self.transport.close()

    return Patient


def serve(opened: Opened, folder: Path, started: Callable[[], None], browser: bool = True) -> None:
    """Serve until interrupted; ``started`` is called before the first request."""
    import uvicorn

    config = uvicorn.Config(
        make_app(folder, opened.gate), log_level="error", access_log=False, server_header=False, date_header=False,
        limit_concurrency=400, timeout_keep_alive=10, timeout_graceful_shutdown=3, ws="none", lifespan="off",
        proxy_headers=False, http=_patient(guard.SLOWEST_S),
    )  # fmt: skip
    opened.socket.listen(256)
    started()
    if browser:
        webbrowser.open(opened.address)
    try:
        uvicorn.Server(config).run(sockets=[opened.socket])
    except KeyboardInterrupt:
        return
    finally:
        opened.socket.close()


# The rooms behind their addresses, and what is said where something goes wrong.


def make_app(folder: Path, gate: Gate) -> Guard:
    """The page over the studio in ``folder``, behind ``gate``."""
    both, post = ["GET", "POST"], ["POST"]
    app = Starlette(
        routes=[
            Route("/", door(glaze.room), methods=both),
            Route("/studio", door(studio.room), methods=both),
            Route("/tiles", door(tiles.room), methods=both),
            Route("/tiles/marks", door(tiles.marks)),
            Route("/tiles/next", door(tiles.next_one), methods=post),
            Route("/tiles/{id}/outcome", door(tiles.outcome), methods=post),
            Route("/tiles/{id}/photo", tiles.photo, methods=post),
            Route("/journal", door(turned), methods=post),
            Route("/journal/{kind}/{id}", door(taken), methods=post),
            Route("/photos/{name}", _photo),
            Route("/firing", door(firing.room), methods=both),
            Route("/firing/{id}", door(firing.going), methods=both),
            Route("/work/{id}", door(work.room), methods=both),
            Route("/shelf", door(shelf.room), methods=both),
            Route("/look.css", lambda request: Response(look(), media_type="text/css")),
            Route("/bench.js", lambda request: Response(script(), media_type="text/javascript")),
            Route("/favicon.ico", lambda request: Response(status_code=204)),
        ],
        exception_handlers={
            HTTPException: _refused, ProblemsError: _stopped, Exception: _fault,
            ClientDisconnect: lambda request, exc: PlainTextResponse("", 400),
            TooLargeError: lambda request, exc: _plain("That is more than this page takes.", 413),
        },
    )  # fmt: skip
    app.state.desk = Desk(folder)
    app.state.works = work.Works()
    return Guard(app, gate)


def _photo(request: Request) -> Response:
    name = str(request.path_params["name"])
    path = photo_path(desk_of(request).folder, name) if re.fullmatch(r"[A-Z0-9]+-\d+\.jpg", name) else None
    if path is None:
        return _plain("There is no such photograph.", 404)
    return FileResponse(path, media_type="image/jpeg", filename=name, content_disposition_type="inline")


def _refused(request: Request, exc: Exception) -> Response:
    status = exc.status_code if isinstance(exc, HTTPException) else 400
    words = {404: "There is nothing at that address.", 405: "Nothing here does that."}
    return _plain(words.get(status, "That could not be read."), status)


def _stopped(request: Request, exc: Exception) -> Response:
    assert isinstance(exc, ProblemsError)
    return shown("plain", problems_of(exc), here="")


def _fault(request: Request, exc: Exception) -> Response:
    logging.getLogger("glazecalc").critical("a fault of glazecalc: %s", type(exc).__name__)
    return _plain("A fault of glazecalc: nothing was changed by this. Go back and try again.", 500)


def _plain(words: str, status: int) -> Response:
    return shown("plain", status=status, here="", said=words, stopped=True)
