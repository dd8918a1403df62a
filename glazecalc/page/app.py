"""The rooms behind their addresses, and what is said where something goes wrong."""

from __future__ import annotations

import logging
import re
from pathlib import Path

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, HTMLResponse, PlainTextResponse, Response
from starlette.routing import Route

from glazecalc.files.photos import photo_path
from glazecalc.page import acts, firing, glaze, shelf, studio, tiles, work
from glazecalc.page.desk import Desk, problems_of
from glazecalc.page.guard import Gate, Guard, TooLargeError
from glazecalc.render.bench import look, room_html, script
from glazecalc.values.answers import ProblemsError


def make_app(folder: Path, gate: Gate) -> Guard:
    """The page over the studio in ``folder``, behind ``gate``."""
    both = ["GET", "POST"]
    app = Starlette(
        routes=[
            Route("/", glaze.room, methods=both),
            Route("/studio", studio.room, methods=both),
            Route("/tiles", tiles.room, methods=both),
            Route("/tiles/marks", tiles.marks),
            Route("/tiles/next", tiles.next_one, methods=["POST"]),
            Route("/tiles/{id}/outcome", tiles.outcome, methods=["POST"]),
            Route("/tiles/{id}/photo", tiles.photo, methods=["POST"]),
            Route("/journal", acts.turned, methods=["POST"]),
            Route("/journal/{kind}/{id}", acts.taken, methods=["POST"]),
            Route("/photos/{name}", _photo),
            Route("/firing", firing.room, methods=both),
            Route("/firing/{id}", firing.going, methods=both),
            Route("/work/{id}", work.room, methods=both),
            Route("/shelf", shelf.room, methods=both),
            Route("/look.css", _look),
            Route("/bench.js", _script),
            Route("/favicon.ico", _no_icon),
        ],
        exception_handlers={
            HTTPException: _refused, ProblemsError: _stopped, ClientDisconnect: _gone, TooLargeError: _large,
            Exception: _fault,
        },
    )  # fmt: skip
    app.state.desk = Desk(folder)
    app.state.works = work.Works()
    return Guard(app, gate)


def _look(request: Request) -> Response:
    return Response(look(), media_type="text/css")


def _script(request: Request) -> Response:
    return Response(script(), media_type="text/javascript")


def _no_icon(request: Request) -> Response:
    return Response(status_code=204)


def _photo(request: Request) -> Response:
    name = str(request.path_params["name"])
    path = photo_path(request.app.state.desk.folder, name) if re.fullmatch(r"[A-Z0-9]+-\d+\.jpg", name) else None
    if path is None:
        return _page("There is no such photograph.", 404)
    return FileResponse(path, media_type="image/jpeg", filename=name, content_disposition_type="inline")


async def _refused(request: Request, exc: Exception) -> Response:
    status = exc.status_code if isinstance(exc, HTTPException) else 400
    said = {404: "There is nothing at that address.", 405: "Nothing here does that."}
    return _page(said.get(status, "That could not be read."), status)


async def _stopped(request: Request, exc: Exception) -> Response:
    assert isinstance(exc, ProblemsError)
    return await run_in_threadpool(_page, "", 400, problems_of(exc))


async def _large(request: Request, exc: Exception) -> Response:
    return _page("That is more than this page takes.", 413)


async def _gone(request: Request, exc: Exception) -> Response:
    return PlainTextResponse("", 400)


async def _fault(request: Request, exc: Exception) -> Response:
    logging.getLogger("glazecalc").critical("a fault of glazecalc: %s", type(exc).__name__)
    return _page("A fault of glazecalc: nothing was changed by this. Go back and try again.", 500)


def _page(said: str, status: int, problems: tuple[object, ...] = ()) -> Response:
    return HTMLResponse(room_html("plain", here="", said=said, problems=problems, stopped=True), status)
