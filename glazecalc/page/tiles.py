"""The tiles room: lay out a plan, tap how each tile came out, keep a photograph, see what was learned."""

from __future__ import annotations

import secrets
import threading
from collections import OrderedDict
from pathlib import Path
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from glazecalc.files.journal import Journal, number_of
from glazecalc.files.journal_place import journal_exists
from glazecalc.files.photos import keep_photo
from glazecalc.jobs import requests
from glazecalc.jobs.blending import Addition
from glazecalc.jobs.page import Notebook
from glazecalc.jobs.pictures import blend_picture, learned_picture, tile_shelf_picture
from glazecalc.jobs.recording import TileWords, record_tile
from glazecalc.jobs.tile_places import TEST_TILE
from glazecalc.jobs.tiles import TileOrder
from glazecalc.page.desk import Desk, problems_of
from glazecalc.page.forms import Asked, asked
from glazecalc.render.bench import drawn, lesson_words, room_html
from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.records import TileRecord

OUTCOMES: Final = ("sound", "crazed at once", "crazed later", "shivered", "underfired", "ran", "pinholed", "crawled")
MOST_ON_AN_EDGE: Final = 21
"""A larger plan is for the command: a page is to answer while the potter waits."""
_DONE: OrderedDict[str, str] = OrderedDict()
_DOING = threading.Lock()


async def room(request: Request) -> Response:
    """GET shows waiting tiles and what they taught; POST lays a plan out, or writes it into the journal."""
    desk: Desk = request.app.state.desk
    if request.method == "POST":
        form = await asked(request)
        return await run_in_threadpool(_plan, desk, form)
    said = "Written down." if request.query_params.get("done") else ""
    return await run_in_threadpool(lambda: HTMLResponse(room_html("tiles", **_facts(desk), said=said)))


async def outcome(request: Request) -> Response:
    """How one tile came out."""
    form = await asked(request)
    desk: Desk = request.app.state.desk
    return await run_in_threadpool(_outcome, desk, str(request.path_params["id"])[:12], form)


async def photo(request: Request) -> Response:
    """A photograph of one tile."""
    desk: Desk = request.app.state.desk
    id_ = str(request.path_params["id"])[:12]
    async with request.form(max_files=1, max_fields=10, max_part_size=64 * 1024) as form:
        sent = form.get("photo")
        data = await sent.read() if isinstance(sent, UploadFile) else b""
    return await run_in_threadpool(_keep, desk, id_, data)


def _outcome(desk: Desk, id_: str, form: Asked) -> Response:
    said, after = form.text("result"), form.text("after", longest=60)
    words = TileWords(
        None, "", None, None, None, form.text("cone") or None, None, None, None, (said,) if said else (), after or None,
        None, None, None, form.text("note", longest=400) or None,
    )  # fmt: skip
    written = record_tile(_studio(desk), words, id_, False)
    return RedirectResponse(f"/tiles?done=1#tile-{written.history[-1].id}", 303)


def _keep(desk: Desk, id_: str, data: bytes) -> Response:
    number = number_of("tile", id_)
    if number is None or not journal_exists(desk.folder):
        raise ProblemsError([error("no-tile", "there is no such tile in the journal")])
    with Journal(desk.folder) as journal, desk.writing:
        history = journal.history("tile", id_)
        if not history:
            raise ProblemsError([error("no-tile", "there is no such tile in the journal")])
        name = keep_photo(desk.folder, history[-1].id, data)
        journal.amend("tile", id_, lambda _: {"photo": name})
    return RedirectResponse(f"/tiles?done=1#tile-{history[-1].id}", 303)


def _studio(desk: Desk) -> Path:
    """The studio a record goes to. Raises ProblemsError where nothing is set up yet."""
    if not (desk.folder / "studio.toml").is_file():
        hint = "begin under My things: name the clay"
        raise ProblemsError([error("no-studio", "no clay and no kiln is written down yet", hint)])
    return desk.folder


def _plan(desk: Desk, form: Asked) -> Response:
    facts = _facts(desk) | {
        "picked": form.all("card"),
        "asked": {k: form.text(k) for k in ("plan", "size", "add", "levels", "cone")},
    }
    try:
        recipes = [desk.recipe(name) for name in form.all("card")]
        if not recipes:
            raise ProblemsError([error("no-recipe", "no card is ticked", "tick one to four of them")])
        if len(recipes) > 4:
            raise ProblemsError([error("usage", "a plan lies between four recipes at most", "tick fewer")])
        order, cone = _order(form, len(recipes)), form.text("cone") or None
        if form.text("do") == "write":
            _write_once(desk, form, recipes, order, cone)
            return RedirectResponse("/tiles?done=1", 303)
        plan, remarks = requests.tiles(desk.bench(), recipes, order, cone=cone)
    except ProblemsError as stop:
        return HTMLResponse(
            room_html("tiles", **facts | {"problems": problems_of(stop), "stopped": True}, said=""), 400
        )
    studio = desk.bench().studio
    kiln = requests.kiln_of(studio, None)
    pictures = drawn([blend_picture(plan, studio.limits), tile_shelf_picture(plan, kiln, TEST_TILE)], studio.units)
    facts |= {
        "plan": plan,
        "pictures": pictures,
        "problems": (*plan.problems, *remarks),
        "token": secrets.token_urlsafe(12),
    }
    return HTMLResponse(room_html("tiles", **facts, said=""))


def _write_once(desk: Desk, form: Asked, recipes: list[Any], order: TileOrder, cone: str | None) -> None:
    """Write a plan into the journal; a form that is sent twice writes it once."""
    token = form.text("token")
    with _DOING:
        if token and token in _DONE:
            return
        requests.tiles(desk.bench(), recipes, order, cone=cone, record=True)
        _DONE[token] = "done"
        while len(_DONE) > 500:
            _DONE.popitem(last=False)


def _order(form: Asked, recipes: int) -> TileOrder:
    usual = {1: "additions", 2: "line", 3: "triaxial", 4: "square"}[recipes]
    size, levels = form.text("size"), form.text("levels", "0,1,2,4")
    number = int(size) if size.isascii() and size.isdigit() and len(size) < 3 else None
    if size and (number is None or number > MOST_ON_AN_EDGE):
        what = f"the tiles on an edge are no number up to {MOST_ON_AN_EDGE}"
        raise ProblemsError([error("size", what, "write it as 5")])
    try:
        found = tuple(sorted({float(x) for x in levels.replace(" ", "").split(",") if x}))
    except ValueError:
        found = ()
    if not found or len(found) > 12 or not all(0 <= x <= 100 for x in found):
        raise ProblemsError([error("levels", "the steps are not percents", "write them as 0,1,2,4")])
    added = (Addition(form.text("add"), found),) if form.text("add") else ()
    return TileOrder(plan=usual, size=None if number is None else (number,), additions=added)


def _facts(desk: Desk) -> dict[str, Any]:
    bench = desk.bench()
    records = requests.notebook(bench).tiles if journal_exists(desk.folder) else ()
    return {
        "here": "Tiles", "problems": (), "stopped": False, "cards": desk.cards(), "picked": [], "plan": None,
        "pictures": [], "token": "", "units": bench.studio.units, "outcomes": OUTCOMES,
        "asked": {"plan": "", "size": "", "add": "", "levels": "", "cone": ""},
        "waiting": [t for t in records if not t.results], "told": [t for t in records if t.results],
        "lessons": _lessons(desk, records), "materials": [m.name for m in bench.pantry.materials],
    }  # fmt: skip


def _lessons(desk: Desk, records: tuple[TileRecord, ...]) -> list[dict[str, Any]]:
    """What the tiles of each clay taught."""
    found = []
    bench = desk.bench()
    named = {t.body.casefold() for t in records if t.results}
    for body in bench.studio.bodies:
        if body.name.casefold() not in named:
            continue
        try:
            lesson, _ = requests.learn_body(bench, body.name)
        except ProblemsError:
            continue
        book: Notebook = requests.notebook(bench)
        picture = learned_picture(
            body, [t for t in book.tiles if t.body.casefold() == body.name.casefold()], None, None
        )
        found.append(
            {"words": lesson_words(lesson), "lesson": lesson, "pictures": drawn([picture], bench.studio.units)}
        )
    return found
