"""The room of one's own things: the questions of the set-up as forms; anything may stay unknown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from glazecalc.files.studio import STUDIO_FILE
from glazecalc.files.studio_edit import ANOTHER, LISTS, name_in
from glazecalc.files.writing import can_put_back
from glazecalc.jobs import aliases, asking, requests
from glazecalc.jobs.asking import MORE, QUESTIONS, TABLES, Question, fault, understood, write_studio
from glazecalc.page.desk import Asked, Desk, desk_of, mark_of, problems_of, put_file_back, shown
from glazecalc.values.answers import Problem, ProblemsError, refuse

TITLES: Final = {
    "clay": "Clay", "kiln": "Kiln", "outlet": "Outlet", "room": "Room", "scale": "Scale",
    "usual": "What is usually meant", "units": "Units to read", "shelf": "Shelf",
}  # fmt: skip
ALL: Final = (*QUESTIONS, *MORE)


@dataclass(frozen=True, slots=True)
class Field:
    """A question as a form shows it: what is written already or was typed, and what is wrong with that."""

    question: Question
    said: str
    wrong: str = ""
    first: bool = True


@dataclass(frozen=True, slots=True)
class Sheet:
    """One form: its subject, the name of the thing it changes (empty for another one), and its fields."""

    subject: str
    which: str
    number: int
    fields: tuple[Field, ...]


_SAID = {"1": "Kept.", "back": "studio.toml is again as it was before what was written last."}


def room(request: Request, form: Asked | None) -> Response:
    """GET shows the forms, POST writes one of them."""
    desk = desk_of(request)
    stopped: tuple[Problem, ...] = ()
    if form is not None:
        try:
            with desk.writing:
                _save(desk, form)
            return RedirectResponse(f"/studio?done={'back' if form.text('do') == 'undo' else 1}", 303)
        except ProblemsError as stop:
            stopped = problems_of(stop)
    text = _text(desk)
    try:
        bench = desk.bench()
    except ProblemsError as stop:
        return shown("plain", problems_of(stop), here="My things")
    return shown(
        "studio", stopped, here="My things", said=_SAID.get(request.query_params.get("done", ""), ""),
        parts_of=_sheets(text, form), titles=TITLES, words=bench.studio.aliases, mark=mark_of(text),
        judged=desk.once("judged", lambda: _judged(desk)) if bench.studio.kilns else None,
        undo=can_put_back(desk.folder / STUDIO_FILE),
    )  # fmt: skip


def _judged(desk: Desk) -> Any:
    """May the usual kiln be plugged in where it is: the kiln's report, None where it is not clear which is meant."""
    try:
        return requests.kiln(desk.bench())
    except ProblemsError:
        return None


def _text(desk: Desk) -> str:
    path = desk.folder / STUDIO_FILE
    return path.read_bytes().decode("utf-8", "replace") if path.is_file() else ""


def _written(text: str) -> dict[str, list[Mapping[str, Any]]]:
    import tomllib

    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return {}
    found = {key: value if isinstance(value, list) else [value] for key, value in tables.items()}
    return {key: [row for row in rows if isinstance(row, Mapping)] for key, rows in found.items()}


def _questions(subject: str, with_cone: bool) -> list[tuple[Question, bool]]:
    """The questions of a subject, each with whether the set-up asks it first; the usual cone stands with what is usual,
    and with the first clay."""
    found = [(q, True) for q in QUESTIONS if q.subject == subject and (q.key != "cone" or with_cone)]
    found += [(q, True) for q in QUESTIONS if q.key == "cone" and subject == "usual"]
    return found + [(q, False) for q in MORE if q.subject == subject]


def _sheets(text: str, form: Asked | None) -> list[tuple[str, list[Sheet], bool]]:
    """Subject -> its forms, and whether another of the kind may be written."""
    written = _written(text)
    found = []
    for subject, table in TABLES.items():
        rows = written.get(table, [])
        sheets = [_sheet(subject, name_in(table, row), i, row, form) for i, row in enumerate(rows, start=1)]
        more = table in LISTS or not rows
        if more:
            sheets.append(_sheet(subject, ANOTHER, 0, {}, form, with_cone=not rows))
        found.append((subject, sheets, more))
    found.append(("shelf", [_sheet("shelf", ANOTHER, 0, {}, form)], True))
    return found


def _sheet(
    subject: str, which: str, number: int, row: Mapping[str, Any], form: Asked | None, with_cone: bool = False
) -> Sheet:
    typed = form is not None and form.text("subject") == subject and form.text("which") == which
    fields = []
    for question, first in _questions(subject, with_cone):
        said = form.text(question.key, longest=2000) if typed and form is not None else asking.shown(question, row)
        fields.append(Field(question, said, fault(question, said) if typed else "", first))
    return Sheet(subject, which, number, tuple(fields))


def _save(desk: Desk, form: Asked) -> None:
    if form.text("do") == "undo":
        put_file_back(desk.folder / STUDIO_FILE)
        return
    if form.text("do") == "forget":
        aliases.forget(desk.folder, form.text("word"))
        return
    subject, which, text = form.text("subject"), form.text("which"), _text(desk)
    if subject not in TITLES:
        refuse("usage", "that form is not one of this room")
    if form.text("mark") != mark_of(text):
        refuse("changed-meanwhile", "studio.toml was changed meanwhile", "look again, then save")
    table = TABLES.get(subject, "")
    row = next((r for r in _written(text).get(table, []) if name_in(table, r) == which), {}) if which else {}
    inside = [form.text(key) for key in ("kiln.shape", "kiln.across", "kiln.high")]
    if any(inside) and not all(inside):
        refuse("answer", "shape, width and height of the kiln's inside count together only")
    answers, forget = _changed(form, row)
    if answers or forget:
        meant = {table: which} if table and (which or table in LISTS) else {}
        write_studio(desk.folder, answers, which=meant, forget=forget, seen=text)


def _changed(form: Asked, row: Mapping[str, Any]) -> tuple[dict[str, str], list[str]]:
    """The answers that differ from what is written, and the questions whose answer was taken away; so a table that is
    richer than the form stays as it is."""
    answers, forget = {}, []
    for question in ALL:
        if question.key not in form.names():
            continue
        said, before = understood(question, form.text(question.key, longest=2000)), asking.shown(question, row)
        if said and said != before:
            answers[question.key] = said
        elif before and not said:
            forget.append(question.key)
    return answers, forget
