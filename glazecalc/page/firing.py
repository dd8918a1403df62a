"""The firing room: a schedule, witness cones, and a log that is kept as the firing goes."""

from __future__ import annotations

import datetime
import secrets
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from glazecalc.files.journal import Journal
from glazecalc.files.numbers import read_hours, read_quantity
from glazecalc.files.problems import Findings
from glazecalc.files.tile_words import read_readings, read_witness
from glazecalc.files.writing import journal_exists
from glazecalc.jobs import requests
from glazecalc.jobs.pictures import heating_picture
from glazecalc.page.desk import Asked, Desk, acts_facts, asked, problems_of, said
from glazecalc.render.bench import drawn, room_html
from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.records import BENDS, Entry, FiringRecord, Record
from glazecalc.values.results.firing import FIRING_KINDS

WORDS: Final = {"C": "degC", "F": "degF"}


async def room(request: Request) -> Response:
    """GET shows the form and the log; POST plans a firing, or switches on."""
    desk: Desk = request.app.state.desk
    form = await asked(request) if request.method == "POST" else Asked({})
    return await run_in_threadpool(_room, desk, form, request.method == "POST", said(request))


async def going(request: Request) -> Response:
    """One firing: GET shows its log, POST adds to it."""
    desk: Desk = request.app.state.desk
    id_ = str(request.path_params["id"])[:12]
    form = await asked(request) if request.method == "POST" else None
    return await run_in_threadpool(_going, desk, id_, form)


def _room(desk: Desk, form: Asked, sent: bool, told: str) -> Response:
    bench = desk.bench()
    chosen = {k: form.text(k) for k in ("kind", "cone", "hold", "kiln", "circuit", "card")}
    facts: dict[str, Any] = {
        "here": "Firing", "problems": (), "stopped": False, "said": told, "kinds": FIRING_KINDS, "chosen": chosen,
        "kilns": [k.name for k in bench.studio.kilns], "circuits": [c.name for c in bench.studio.circuits],
        "report": None, "pictures": [], "token": secrets.token_urlsafe(12), "units": bench.studio.units,
        "entries": _entries(desk), "cards": desk.cards(),
    } | acts_facts(desk)  # fmt: skip
    if not sent:
        return HTMLResponse(room_html("firing", **facts))
    try:
        names = {k: chosen[k] or None for k in ("cone", "kiln", "circuit")}
        report = requests.firing(
            bench, kind=chosen["kind"] or "glaze", hold_h=_hold(chosen["hold"]),
            cone=names["cone"], kiln=names["kiln"], circuit=names["circuit"],
            recipe=desk.recipe(chosen["card"]) if chosen["card"] else None,
        )  # fmt: skip
        if form.text("do") == "start":
            begun = desk.do_once(
                form.text("token"), lambda: _switched_on(desk, report.cone, report.kiln, report.circuit, form)
            )
            return RedirectResponse(f"/firing/{begun}", 303)
    except ProblemsError as stop:
        return HTMLResponse(room_html("firing", **facts | {"problems": problems_of(stop), "stopped": True}), 400)
    kiln, circuit = requests.kiln_of(bench.studio, names["kiln"]), None
    if kiln is not None:
        circuit = requests.circuit_of(bench.studio, kiln, names["circuit"])
    pictures = drawn([heating_picture(kiln, circuit, report, requests.notebook(bench).firings)], bench.studio.units)
    return HTMLResponse(room_html("firing", **facts | {"report": report, "pictures": pictures}))


def _hold(text: str) -> float | None:
    found = Findings(None)
    value = read_quantity(text, "time", "h", "the hold", found) if text else None
    if found.has_errors:
        raise ProblemsError(found.problems)
    return value


def _switched_on(desk: Desk, cone: object, kiln: str | None, circuit: str | None, form: Asked) -> str:
    record = FiringRecord(
        kiln=kiln or "", circuit=circuit or "", purpose=form.text("kind", "glaze"),
        target_cone="" if cone is None else str(cone),
        date=datetime.date.today().isoformat(), note="switched on from the page",
    )  # fmt: skip
    with Journal(desk.folder) as journal:
        return journal.record(record).id


def _entries(desk: Desk) -> list[Entry]:
    if not journal_exists(desk.folder):
        return []
    with Journal(desk.folder) as journal:
        return list(reversed(journal.current("firing")))[:40]


def _going(desk: Desk, id_: str, form: Asked | None) -> Response:
    history: tuple[Entry, ...] = ()
    if journal_exists(desk.folder):
        with Journal(desk.folder) as journal:
            history = journal.history("firing", id_)
    if not history or history[-1].withdrawn:
        raise ProblemsError([error("no-firing", "there is no such firing in the journal")])
    problems: tuple[Any, ...] = ()
    if form is not None:
        try:
            desk.do_once(form.text("token"), lambda: _added(desk, id_, form))
            return RedirectResponse(f"/firing/{history[-1].id}", 303)
        except ProblemsError as stop:
            problems = problems_of(stop)
        except ValueError as exc:
            problems = (error("record", str(exc), "check the figure and its unit"),)
    units = desk.bench().studio.units
    record = history[-1].record
    assert isinstance(record, FiringRecord)
    report = desk.once(f"plan {record.target_cone} {record.kiln}", lambda: _plan_again(desk, record))
    page = room_html(
        "going", here="Firing", said="", problems=problems, stopped=bool(problems), record=record, units=units,
        since=history[0].recorded_at, bends=BENDS, report=report, over=record.hours is not None,
        token=secrets.token_urlsafe(12),
    )  # fmt: skip
    return HTMLResponse(page, 400 if problems else 200)


def _plan_again(desk: Desk, record: FiringRecord) -> Any:
    """The schedule of a firing that goes on, for its cautions and witness cones; None where none can be made."""
    try:
        return requests.firing(desk.bench(), cone=record.target_cone or None, kiln=record.kiln or None)
    except ProblemsError:
        return None


def _added(desk: Desk, id_: str, form: Asked) -> None:
    """Put a reading, or the end, to a firing: what others wrote meanwhile stays."""
    found = Findings(None)
    units = desk.bench().studio.units
    at, heat = form.text("at"), form.text("heat")
    readings = read_readings([f"{at}={heat}"], found, units.temperature == "F") if at or heat else ()
    cones = read_witness(
        [f"{form.text(f'witness-{i}')}={form.text(f'bend-{i}')}" for i in range(3) if form.text(f"bend-{i}")], found
    )
    hours = read_hours(form.text("hours") or None, "the hours", found)
    if found.has_errors:
        raise ProblemsError(found.problems)
    if not (readings or cones or hours is not None):
        raise ProblemsError(
            [error("firing-empty", "nothing was written", "write hours and temperature, such as 2:30 and 600")]
        )

    def change(latest: Record) -> dict[str, Any]:
        assert isinstance(latest, FiringRecord)
        more: dict[str, Any] = {"readings": tuple(sorted((*latest.readings, *readings), key=lambda r: r.at_h))}
        if cones:
            more["cones"] = cones
        return more | ({} if hours is None else {"hours": hours})

    with Journal(desk.folder) as journal:
        journal.amend("firing", id_, change)
