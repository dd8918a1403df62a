"""The tiles room: lay out a plan, print its marks, tap how each tile came out, see what was learned and is next."""

from __future__ import annotations

import secrets
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from glazecalc.files.journal import Journal, number_of, taken_back
from glazecalc.files.photos import keep_photo
from glazecalc.files.studio import STUDIO_FILE
from glazecalc.files.writing import journal_exists
from glazecalc.jobs import requests
from glazecalc.jobs.blending import Addition
from glazecalc.jobs.pictures import blend_picture, learned_picture, tile_shelf_picture
from glazecalc.jobs.recording import Recorded, write_down
from glazecalc.jobs.tile_places import TEST_TILE
from glazecalc.jobs.tiles import TileOrder
from glazecalc.page.desk import Asked, Desk, acts_facts, desk_of, problems_of, said, shown
from glazecalc.page.work import Works
from glazecalc.render.bench import drawn, lesson_words, room_html
from glazecalc.values.answers import Problem, ProblemsError, refuse
from glazecalc.values.records import TileRecord
from glazecalc.values.results.tiles import TilesResult

OUTCOMES: Final = ("sound", "crazed at once", "crazed later", "shivered", "underfired", "ran", "pinholed", "crawled")
MOST_ON_AN_EDGE: Final = 21
"""A larger plan is for the command: a page is to answer while the potter waits."""
MOST_AT_ONCE: Final = 30
"""A plan of more tiles is laid out beside the page, which tells how far it is."""


def room(request: Request, form: Asked | None) -> Response:
    """GET shows waiting tiles and what they taught; POST lays a plan out, or writes it into the journal."""
    desk = desk_of(request)
    if form is not None:
        return _plan(desk, request.app.state.works, form)
    return shown("tiles", **_facts(desk), said=said(request))


def outcome(request: Request, form: Asked | None) -> Response:
    """How one tile came out."""
    typed, id_ = form or Asked({}), str(request.path_params["id"])[:12]
    result = typed.text("result")
    asked = {name: typed.text(name, longest=400) for name in ("cone", "after", "note") if name in typed.names()}
    other = {name: word for name, word in asked.items() if word != typed.text(f"{name}-was", longest=400)}
    words = {name: word for name, word in other.items() if word or name == "note"}
    written = _record(desk_of(request), id_, result=(result,) if result else (), **words)
    return RedirectResponse(f"/tiles?done=1#tile-{written.history[-1].id}", 303)


async def photo(request: Request) -> Response:
    """A photograph of one tile."""
    async with request.form(max_files=1, max_fields=10, max_part_size=64 * 1024) as form:
        sent = form.get("photo")
        data = await sent.read() if isinstance(sent, UploadFile) else b""
    return await run_in_threadpool(_keep, desk_of(request), str(request.path_params["id"])[:12], data)


def marks(request: Request, form: Asked | None) -> Response:
    """The marks of the tiles that wait, to be printed."""
    return shown("marks", here="Tiles", waiting=_waiting(desk_of(request)))


def _waiting(desk: Desk) -> list[TileRecord]:
    return [t for t in requests.notebook(desk.bench()).tiles if not t.results] if journal_exists(desk.folder) else []


def next_one(request: Request, form: Asked | None) -> Response:
    """Write one tile down that is worth firing next."""
    desk, typed = desk_of(request), form or Asked({})
    card, (material, _, percent) = typed.text("card"), typed.text("add").partition(":")
    path = desk.card_path(card)
    if path is None:
        refuse("no-recipe", "no card of this studio has that name", "choose one of the list")

    def write() -> None:
        if not material:
            _record(desk, None, recipe=str(path))
            return
        order = TileOrder(plan="additions", size=None, additions=(Addition(material, _levels(percent)),))
        requests.tiles(desk.bench(), [desk.recipe(card)], order, record=True)

    desk.do_once(typed.text("token"), write)
    return RedirectResponse("/tiles?done=1", 303)


def _record(desk: Desk, id_: str | None, **words: Any) -> Recorded:
    """What ``record tile`` writes of these words."""
    if not (desk.folder / STUDIO_FILE).is_file():
        refuse("no-studio", "no clay and no kiln is written down yet", "begin under My things: name the clay")
    return write_down("tile", desk.folder, words, id_)


def _keep(desk: Desk, id_: str, data: bytes) -> Response:
    none = "there is no such tile in the journal"
    if number_of("tile", id_) is None or not journal_exists(desk.folder):
        refuse("no-tile", none)
    with Journal(desk.folder) as journal, desk.writing:
        history = journal.history("tile", id_)
        if not history:
            refuse("no-tile", none)
        if history[-1].withdrawn:
            raise ProblemsError([taken_back(history[-1])])
        name = keep_photo(desk.folder, history[-1].id, data)
        journal.amend("tile", id_, lambda _: {"photo": name})
    return RedirectResponse(f"/tiles?done=1#tile-{history[-1].id}", 303)


def _plan(desk: Desk, works: Works, form: Asked) -> Response:
    cards = form.all("card")
    facts = {"picked": cards, "asked": {k: form.text(k) for k in ("plan", "size", "add", "levels", "cone")}}
    try:
        recipes = [desk.recipe(name) for name in cards]
        if not recipes:
            refuse("no-recipe", "no card is ticked", "tick one to four of them")
        if len(recipes) > 4:
            refuse("usage", "a plan lies between four recipes at most", "tick fewer")
        order, cone = _order(form, len(recipes)), form.text("cone") or None
        if form.text("do") == "write":
            _write_once(desk, works, form, recipes, order, cone)
            return RedirectResponse("/tiles?done=1", 303)
        if _about(order) > MOST_AT_ONCE:
            what, wanted = f"Laying out {_about(order)} tiles", {"cards": cards, "order": order, "cone": cone}
            work = works.begin(
                desk.folder, "tiles", wanted, what=what, here="Tiles", back="/tiles",
                shows=lambda found: room_html("tiles", **_laid_out(desk, facts, found[0], found[1], work.id)),
            )  # fmt: skip
            return RedirectResponse(f"/work/{work.id}", 303)
        found = requests.tiles(desk.bench(), recipes, order, cone=cone)
    except ProblemsError as stop:
        return shown("tiles", problems_of(stop), **_facts(desk) | facts)
    return shown("tiles", **_laid_out(desk, facts, *found, secrets.token_urlsafe(12)))


def _about(order: TileOrder) -> int:
    """How many tiles a plan comes to, at least."""
    edge = order.size[0] if order.size else 0
    return {"triaxial": edge * (edge + 1) // 2, "square": edge * edge}.get(order.plan, edge)


def _laid_out(
    desk: Desk, facts: dict[str, Any], plan: TilesResult, remarks: tuple[Problem, ...], token: str
) -> dict[str, Any]:
    """The room with a plan in it; ``token`` is known again when the plan is to be written down."""
    studio = desk.bench().studio
    kiln = requests.kiln_of(studio, None)
    pictures = drawn([blend_picture(plan, studio.limits), tile_shelf_picture(plan, kiln, TEST_TILE)], studio.units)
    more = {"plan": plan, "pictures": pictures, "problems": (*plan.problems, *remarks), "token": token}
    return _facts(desk) | facts | more


def _write_once(desk: Desk, works: Works, form: Asked, recipes: list[Any], order: TileOrder, cone: str | None) -> None:
    """Write a plan into the journal; a form that is sent twice writes it once."""

    def write() -> None:
        work = works.look(form.text("token"))
        if work is not None and work.state == "done":
            requests.record_plan(desk.bench(), work.result[0])
        else:
            requests.tiles(desk.bench(), recipes, order, cone=cone, record=True)

    desk.do_once(form.text("token"), write)


def _order(form: Asked, recipes: int) -> TileOrder:
    usual = {1: "additions", 2: "line", 3: "triaxial", 4: "square"}[recipes]
    size = form.text("size")
    number = int(size) if size.isascii() and size.isdigit() and len(size) < 3 else None
    if size and (number is None or number > MOST_ON_AN_EDGE):
        refuse("size", f"the tiles on an edge are no number up to {MOST_ON_AN_EDGE}", "write it as 5")
    levels = _levels(form.text("levels", "0,1,2,4"))
    added = (Addition(form.text("add"), levels),) if form.text("add") else ()
    return TileOrder(plan=usual, size=None if number is None else (number,), additions=added)


def _levels(typed: str) -> tuple[float, ...]:
    """Steps of an addition [% of the base]. Raises ProblemsError for anything else."""
    try:
        found = tuple(sorted({float(x) for x in typed.replace(" ", "").split(",") if x}))
    except ValueError:
        found = ()
    if not found or len(found) > 12 or not all(0 <= x <= 100 for x in found):
        refuse("levels", "the steps are not percents", "write them as 0,1,2,4")
    return found


def _facts(desk: Desk) -> dict[str, Any]:
    bench = desk.bench()
    records = requests.notebook(bench).tiles if journal_exists(desk.folder) else ()
    return {
        "here": "Tiles", "cards": desk.cards(), "picked": [], "plan": None,
        "pictures": [], "units": bench.studio.units, "outcomes": OUTCOMES,
        "asked": {"plan": "", "size": "", "add": "", "levels": "", "cone": ""},
        "waiting": [t for t in records if not t.results], "told": [t for t in records if t.results],
        "lessons": desk.once("lessons", lambda: _lessons(desk, records)), "token": secrets.token_urlsafe(12),
        "materials": [m.name for m in bench.pantry.materials],
    } | acts_facts(desk)  # fmt: skip


def _lessons(desk: Desk, records: tuple[TileRecord, ...]) -> list[dict[str, Any]]:
    """What the tiles of each clay taught, and what to fire next; of the usual clay even before its first tile."""
    found = []
    bench = desk.bench()
    named = {t.body.casefold() for t in records if t.results} or {(bench.studio.defaults.body or "").casefold()}
    for body in bench.studio.bodies:
        if body.name.casefold() not in named:
            continue
        try:
            lesson, _ = requests.learn_body(bench, body.name)
        except ProblemsError:
            continue
        own = [t for t in records if t.results and t.body.casefold() == body.name.casefold()]
        pictures = drawn([learned_picture(body, own, None, None)] if own else [], bench.studio.units)
        found.append({"words": lesson_words(lesson), "lesson": lesson, "pictures": pictures})
    return found
