"""The firing room: a schedule, witness cones, and a log that is kept as the firing goes."""

from __future__ import annotations

import datetime
import secrets
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from glazecalc.files.journal import Journal
from glazecalc.files.numbers import read_hours, read_quantity
from glazecalc.files.problems import Findings
from glazecalc.files.tile_words import read_readings, read_witness
from glazecalc.files.writing import journal_exists
from glazecalc.jobs import requests
from glazecalc.jobs.pictures import heating_picture
from glazecalc.page.desk import Asked, Desk, acts_facts, desk_of, problems_of, said, shown
from glazecalc.render.bench import drawn
from glazecalc.values.answers import Problem, ProblemsError, error, refuse, stop_at_errors
from glazecalc.values.records import BENDS, Entry, FiringRecord, Record
from glazecalc.values.results.firing import FIRING_KINDS, FiringReport


def room(request: Request, form: Asked | None) -> Response:
    """GET shows the form and the log; POST plans a firing, or switches on."""
    desk, bench = desk_of(request), desk_of(request).bench()
    asked = form or Asked({})
    chosen = {k: asked.text(k) for k in ("kind", "cone", "hold", "kiln", "circuit", "card")}
    facts: dict[str, Any] = {
        "here": "Firing", "said": said(request), "kinds": FIRING_KINDS, "chosen": chosen,
        "kilns": [k.name for k in bench.studio.kilns], "circuits": [c.name for c in bench.studio.circuits],
        "report": None, "pictures": [], "token": secrets.token_urlsafe(12), "units": bench.studio.units,
        "entries": _entries(desk), "cards": desk.cards(),
    } | acts_facts(desk)  # fmt: skip
    if form is None:
        return shown("firing", **facts)
    try:
        kiln_name, circuit_name = chosen["kiln"] or None, chosen["circuit"] or None
        report = requests.firing(
            bench, kind=chosen["kind"] or "glaze", hold_h=_hold(chosen["hold"]), cone=chosen["cone"] or None,
            kiln=kiln_name, circuit=circuit_name, recipe=desk.recipe(chosen["card"]) if chosen["card"] else None,
        )  # fmt: skip
        if form.text("do") == "start":
            begun = desk.do_once(form.text("token"), lambda: _switched_on(desk, report, asked))
            return RedirectResponse(f"/firing/{begun}", 303)
    except ProblemsError as stop:
        return shown("firing", problems_of(stop), **facts)
    kiln, circuit = requests.kiln_of(bench.studio, kiln_name), None
    if kiln is not None:
        circuit = requests.circuit_of(bench.studio, kiln, circuit_name)
    pictures = drawn([heating_picture(kiln, circuit, report, requests.notebook(bench).firings)], bench.studio.units)
    return shown("firing", **facts | {"report": report, "pictures": pictures})


def _hold(text: str) -> float | None:
    found = Findings(None)
    value = read_quantity(text, "time", "h", "the hold", found) if text else None
    stop_at_errors(found.problems)
    return value


def _switched_on(desk: Desk, report: FiringReport, form: Asked) -> str:
    record = FiringRecord(
        kiln=report.kiln or "", circuit=report.circuit or "", purpose=form.text("kind", "glaze"),
        target_cone="" if report.cone is None else str(report.cone),
        date=datetime.date.today().isoformat(), note="switched on from the page",
    )  # fmt: skip
    with Journal(desk.folder) as journal:
        return journal.record(record).id


def _entries(desk: Desk) -> list[Entry]:
    if not journal_exists(desk.folder):
        return []
    with Journal(desk.folder) as journal:
        return list(reversed(journal.current("firing")))[:40]


def going(request: Request, form: Asked | None) -> Response:
    """One firing: GET shows its log, POST adds to it."""
    desk, id_ = desk_of(request), str(request.path_params["id"])[:12]
    history: tuple[Entry, ...] = ()
    if journal_exists(desk.folder):
        with Journal(desk.folder) as journal:
            history = journal.history("firing", id_)
    if not history or history[-1].withdrawn:
        refuse("no-firing", "there is no such firing in the journal")
    problems: tuple[Problem, ...] = ()
    if form is not None:
        try:
            desk.do_once(form.text("token"), lambda: _added(desk, id_, form))
            return RedirectResponse(f"/firing/{history[-1].id}", 303)
        except ProblemsError as stop:
            problems = problems_of(stop)
        except ValueError as exc:
            problems = (error("record", str(exc), "check the figure and its unit"),)
    record = history[-1].record
    assert isinstance(record, FiringRecord)
    report = desk.once(f"plan {record.target_cone} {record.kiln}", lambda: _plan_again(desk, record))
    return shown(
        "going", problems, here="Firing", record=record, units=desk.bench().studio.units, bends=BENDS, report=report,
        since=history[0].recorded_at, over=record.hours is not None, token=secrets.token_urlsafe(12),
    )  # fmt: skip


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
    stop_at_errors(found.problems)
    if not (readings or cones or hours is not None):
        refuse("firing-empty", "nothing was written", "write hours and temperature, such as 2:30 and 600")

    def change(latest: Record) -> dict[str, Any]:
        assert isinstance(latest, FiringRecord)
        more: dict[str, Any] = {"readings": tuple(sorted((*latest.readings, *readings), key=lambda r: r.at_h))}
        if cones:
            more["cones"] = cones
        return more | ({} if hours is None else {"hours": hours})

    with Journal(desk.folder) as journal:
        journal.amend("firing", id_, change)
