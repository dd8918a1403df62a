"""The room of one's own things: clay, kiln, outlet, room and scale; anything may stay unknown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from glazecalc.files.studio_tables import put_back, write_table
from glazecalc.jobs import requests
from glazecalc.page.desk import Desk, mark_of, problems_of
from glazecalc.page.forms import Asked, asked
from glazecalc.render.bench import room_html
from glazecalc.values.answers import ProblemsError, error


@dataclass(frozen=True, slots=True)
class Question:
    """One question: its key in studio.toml, how it is asked, what may be chosen; ``kind`` is text, number or cone."""

    key: str
    ask: str
    hint: str = ""
    choices: tuple[str, ...] = ()
    kind: str = "text"


WARES: Final = ("earthenware", "terracotta", "stoneware", "porcelain", "bone china", "raku", "other")
FORMS: Final[dict[str, tuple[str, str, tuple[Question, ...]]]] = {
    "body": ("bodies", "Clay", (
        Question("name", "what the bag calls it"),
        Question("class", "what kind", choices=WARES),
        Question("cone_low", "coolest cone on the bag", "06 is not 6", kind="cone"),
        Question("cone_high", "hottest cone on the bag", kind="cone"),
        Question("expansion", "expansion, if a sheet gives it", "in 1e-6/K", kind="number"),
        Question("colour", "colour"),
    )),
    "kiln": ("kilns", "Kiln", (
        Question("name", "what you call it"),
        Question("volts", "volts on its plate", kind="number"),
        Question("amps", "amps on its plate", kind="number"),
        Question("watts", "watts on its plate", kind="number"),
        Question("cone", "hottest cone on its plate", kind="cone"),
        Question("plug", "its plug, as stamped on it", "such as 5-20P"),
        Question("control", "fired by", choices=("controller", "switch")),
        Question("wall_mm", "thickness of the wall", "65, or 2.5 in"),
        Question("firings_on_elements", "firings on these elements", kind="number"),
    )),
    "circuit": ("circuits", "Outlet", (
        Question("name", "what you call it"),
        Question("volts", "volts", kind="number"),
        Question("breaker_A", "amps on its breaker", kind="number"),
        Question("receptacle", "the outlet, as stamped on it", "such as 5-20R"),
        Question("wire_awg", "gauge of the wire, AWG", kind="number"),
        Question("length_m", "length of the wire", "12, or 40 ft"),
        Question("other_load_A", "amps of what else hangs on it", kind="number"),
        Question("cord", "between plug and outlet", choices=("none", "extension", "adapter", "power strip")),
        Question("ground_fault", "ground-fault protection", choices=("yes", "no", "unknown")),
    )),
    "room": ("rooms", "Room", (
        Question("name", "what you call it"),
        Question("volume_m3", "size", "18, or 600 cuft"),
        Question("exhaust_m3_per_h", "what the fan moves, m3/h", kind="number"),
        Question("floor", "floor under the kiln"),
        Question("clearance_mm", "space around the kiln", "460, or 18 in"),
    )),
    "scale": ("scales", "Scale", (
        Question("resolution_g", "smallest step it shows, g", kind="number"),
        Question("capacity_g", "the most it bears, g", kind="number"),
        Question("minimum_g", "the least it weighs well, g", kind="number"),
    )),
}  # fmt: skip
"""Table of studio.toml -> field of the studio, title, questions."""
ONCE: Final[dict[str, tuple[str, tuple[Question, ...]]]] = {
    "defaults": ("What is usually meant", (
        Question("body", "clay"), Question("kiln", "kiln"), Question("circuit", "outlet"),
        Question("cone", "cone", kind="cone"),
    )),
    "units": ("Units to read", (
        Question("temperature", "temperature", choices=("C", "F")),
        Question("mass", "weight", choices=("g", "oz", "lb")),
        Question("length", "length", choices=("mm", "in")),
        Question("volume", "volume", choices=("mL", "L", "fl oz", "pint", "gallon")),
    )),
}  # fmt: skip


async def room(request: Request) -> Response:
    """GET shows the forms, POST writes one of them."""
    desk: Desk = request.app.state.desk
    form = await asked(request) if request.method == "POST" else None
    said = "Kept." if request.query_params.get("done") else ""
    return await run_in_threadpool(_room, desk, form, said)


def _room(desk: Desk, form: Asked | None, said: str) -> Response:
    stopped: tuple[Any, ...] = ()
    if form is not None:
        try:
            with desk.writing:
                _save(desk, form)
            return RedirectResponse("/studio?done=1", 303)
        except ProblemsError as stop:
            stopped = problems_of(stop)
    text = _text(desk)
    try:
        bench = desk.bench()
    except ProblemsError as stop:
        return HTMLResponse(
            room_html("plain", here="My things", said="", problems=problems_of(stop), stopped=True), 400
        )
    written = _written(text)
    sheets = [
        {"table": table, "title": title, "questions": questions, "many": True,
         "things": [_answers(t) for t in written.get(table, ())]} for table, (_, title, questions) in FORMS.items()
    ]  # fmt: skip
    for table, (title, questions) in ONCE.items():
        sheets.append(
            {
                "table": table,
                "title": title,
                "questions": questions,
                "things": [_answers(written[table][0]) if table in written else {}],
                "many": False,
            }
        )
    typed = {} if form is None else {q: form.text(q) for q in form.names()}
    judged = _judged(desk) if bench.studio.kilns else None
    page = room_html(
        "studio", here="My things", said=said, problems=stopped, stopped=bool(stopped), sheets=sheets,
        mark=mark_of(text), typed=typed, judged=judged, undo=(desk.folder / "earlier").is_dir(),
    )  # fmt: skip
    return HTMLResponse(page, 400 if stopped else 200)


def _judged(desk: Desk) -> Any:
    """May the usual kiln be plugged in where it is: the kiln's report, None where it is not clear which is meant."""
    try:
        return requests.kiln(desk.bench())
    except ProblemsError:
        return None


def _text(desk: Desk) -> str:
    path = desk.folder / "studio.toml"
    return path.read_bytes().decode("utf-8", "replace") if path.is_file() else ""


def _written(text: str) -> dict[str, list[Mapping[str, Any]]]:
    import tomllib

    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return {}
    return {key: value if isinstance(value, list) else [value] for key, value in tables.items()}


def _answers(written: Mapping[str, Any]) -> dict[str, str]:
    """A table as a form shows it; an expansion by its figure."""
    return {k: str(v.get("value", "") if isinstance(v, Mapping) else v) for k, v in written.items()}


def _save(desk: Desk, form: Asked) -> None:
    if form.text("do") == "undo":
        if not put_back(desk.folder):
            raise ProblemsError([error("no-earlier", "there is nothing to put back")])
        return
    table, which = form.text("table"), form.text("which") or None
    questions: Sequence[Question] = FORMS[table][2] if table in FORMS else ONCE[table][1] if table in ONCE else ()
    if not questions:
        raise ProblemsError([error("usage", "that form is not one of this room")])
    text = _text(desk)
    if form.text("mark") != mark_of(text):
        raise ProblemsError([error("changed-meanwhile", "studio.toml was changed meanwhile", "look again, then save")])
    answers = {q.key: _answer(q, form.text(q.key)) for q in questions}
    if table in FORMS and table != "scale" and not answers.get("name"):
        raise ProblemsError([error("name-missing", "it needs a name", "any name that you know it by")])
    before = next((t for t in _written(text).get(table, ()) if which and str(t.get("name", "scale")) == which), {})
    kept = {k: v for k, v in answers.items() if not _same(before.get(k), v)}
    write_table(desk.folder, table, which, kept, text)


def _same(before: Any, answer: Any) -> bool:
    """Whether a form gave back what was written, so that a table richer than the form stays as it is."""
    if isinstance(before, Mapping):
        return answer is None or before.get("value") == answer
    return before is not None and str(before) == str(answer)


def _answer(question: Question, typed: str) -> Any:
    """A typed answer as TOML has it; a figure with a unit stays in words, which the reader of the file knows."""
    if not typed:
        return None
    plain = typed.replace(",", ".")
    if question.kind != "cone" and question.key != "name" and plain.replace(".", "", 1).isdigit() and plain.isascii():
        return float(plain) if "." in plain else int(plain)
    return typed
