"""The glaze room: a recipe pasted or typed, how it was read, whether it will do, what would make it better."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from glazecalc.files.card import read_recipe_text
from glazecalc.files.numbers import read_quantity
from glazecalc.files.problems import Findings
from glazecalc.files.studio import STUDIO_FILE
from glazecalc.files.writing import can_put_back
from glazecalc.jobs import requests
from glazecalc.jobs.aliases import aliases_said, lines_as_read, remember, with_name
from glazecalc.jobs.amount import Wanted
from glazecalc.jobs.materials import only_doubt
from glazecalc.jobs.page import make_page
from glazecalc.page.desk import Asked, Desk, desk_of, mark_of, problems_of, recipe_in, shown
from glazecalc.page.work import Works
from glazecalc.render.bench import option_facts, report_facts, room_html, side_by_side
from glazecalc.render.text.changes import card_text
from glazecalc.values.answers import ProblemsError, stop_at_errors
from glazecalc.values.inputs import Recipe
from glazecalc.values.texts import untyped

Facts = dict[str, Any]


def room(request: Request, form: Asked | None) -> Response:
    """GET shows the room, with a card if one is named; POST looks, keeps, answers a question or takes a change."""
    desk = desk_of(request)
    if form is not None:
        return _post(desk, request.app.state.works, form)
    name, said = request.query_params.get("card", "")[:100], ""
    for word, words in (("kept", "The card is kept."), ("back", "It says again what it said before.")):
        said = words if request.query_params.get(word) else said
    facts = _blank(desk) | {"said": said}
    if name:
        try:
            text = desk.card_text(name)
        except ProblemsError as stop:
            return shown("glaze", problems_of(stop), 404, **facts)
        undo = can_put_back(desk.card_path(name) or desk.folder)
        facts |= {"opened": name, "seen": mark_of(text), "title": name, "undo": undo}
        facts |= _looked(desk, text, Asked({}))
    return shown("glaze", **facts)


def _post(desk: Desk, works: Works, form: Asked) -> Response:
    text, act = _changed(form), form.text("do", "look")
    facts = _blank(desk) | {"opened": form.text("opened"), "seen": form.text("seen"), "title": form.text("title")}
    try:
        if act == "undo":
            desk.put_card_back(form.text("opened"))
            there = form.text("opened") in desk.cards()
            return RedirectResponse(f"/?card={quote(form.text('opened'))}&back=1#here" if there else "/?back=1", 303)
        facts["said"] = _remembered(desk, form)
        if act == "first":
            first = requests.first(desk.bench(), **_where(form))
            text, facts["said"] = "" if first.chosen is None else card_text(first.chosen.recipe), first.sentence
        facts |= _looked(desk, text, form)
        if act == "save":
            name = desk.save_card(form.text("title"), text, form.text("seen"))
            return RedirectResponse(f"/?card={quote(name)}&kept=1#here", 303)
        if act == "better" and facts["check"] is not None:
            return RedirectResponse(f"/work/{_begun(desk, works, text, form, facts)}", 303)
    except ProblemsError as stop:
        return shown("glaze", problems_of(stop), **facts | {"text": text})
    return shown("glaze", **facts)


def _changed(form: Asked) -> str:
    """The text, with the names put in that the potter meant, or the change that was taken."""
    if form.block("take"):
        return form.block("take")
    text = form.block("text")
    for line, written, meant in _answered(form):
        text = with_name(text, line, written, meant)
    return text


def _answered(form: Asked) -> Iterator[tuple[int, str, str]]:
    """Line, unknown name and what it means, of each question that was answered."""
    number, _, picked = form.text("pick").partition("=")
    for field in form.names():
        line = field.removeprefix("written-")
        if field.startswith("written-") and line.isascii() and line.isdigit() and len(line) < 5:
            meant = picked if line == number else form.text(f"meant-{line}")
            if meant and form.text(field):
                yield int(line), form.text(field), meant


def _remembered(desk: Desk, form: Asked) -> str:
    """Keep in the studio what its words mean, where that was asked for; what to say of it."""
    if not form.text("remember"):
        return ""
    studio, shelf = desk.bench().studio, desk.bench().pantry
    told = aliases_said([f"{written}={meant}" for _, written, meant in _answered(form) if "=" not in written], shelf)
    with desk.writing:
        kept = remember(desk.folder, [pair for pair in told if pair not in studio.aliases])
    return "".join(f"{p.message}." for p in kept)


def _blank(desk: Desk) -> Facts:
    bench = desk.bench()
    return {
        "here": "Glaze", "text": "", "opened": "", "seen": "", "title": "", "before": "",
        "lines": (), "questions": (), "check": None, "was": (), "options": None, "no_options": "",
        "bodies": [b.name for b in bench.studio.bodies], "kilns": [k.name for k in bench.studio.kilns],
        "chosen": {"body": "", "kiln": "", "cone": "", "dry": "500g"}, "cards": desk.cards(),
        "materials": [m.name for m in bench.pantry.materials], "undo": False,
        "keeps": (desk.folder / STUDIO_FILE).is_file(),
    }  # fmt: skip


def _where(form: Asked) -> dict[str, str | None]:
    return {key: form.text(key) or None for key in ("body", "kiln", "cone")}


def _looked(desk: Desk, text: str, form: Asked) -> Facts:
    """How the text was read and, where every name is known, what comes of it."""
    bench = desk.bench()
    recipe, problems = read_recipe_text(text) if text.strip() else (None, ())
    lines, questions = lines_as_read(text, recipe, bench.pantry, problems)
    chosen = {key: form.text(key) for key in ("body", "kiln", "cone")} | {"dry": form.text("dry", "500g")}
    facts: Facts = {"text": text, "before": text, "lines": lines, "questions": questions, "chosen": chosen}
    facts["problems"] = tuple(p for p in problems if p.line is None or p.is_error) if text.strip() else ()
    facts["stopped"] = any(p.is_error for p in problems)
    if recipe is None or facts["stopped"] or (questions and not only_doubt(recipe, bench.pantry)):
        return facts
    try:
        facts |= _judged(desk, recipe, chosen, _where(form))
    except ProblemsError as stop:
        return facts | {"problems": problems_of(stop), "stopped": True}
    before = form.block("before")
    if before.strip() and before != text:
        facts["was"] = _compared(desk, before, facts["check"], form)
    return facts


def _judged(desk: Desk, recipe: Recipe, chosen: dict[str, str], where: dict[str, str | None]) -> Facts:
    bench = desk.bench()
    found = Findings(None)
    dry_g = read_quantity(chosen["dry"], "mass", "g", "the batch", found)
    if dry_g is None or not 0 < dry_g <= 1e6:
        found.error("not-a-quantity", "the batch is not a weight", "write it as 500g")
    stop_at_errors(found.problems)
    at = requests.setup(bench, recipe, **where)
    page = make_page(
        recipe, bench.pantry, at, bench.studio, wanted=Wanted(dry_g=dry_g),
        today=datetime.date.today().isoformat(), journal=requests.notebook(bench),
        said=requests.said_of(bench, [recipe], (*at.things, *bench.studio.scales), where.get("cone")),
    )  # fmt: skip
    return report_facts(page)


def _compared(desk: Desk, before: str, now: Any, form: Asked) -> list[tuple[str, str, str]]:
    bench = desk.bench()
    try:
        then = requests.check(bench, recipe_in(before), **_where(form))
    except ProblemsError:
        return []
    return side_by_side(then, now, bench.studio.units)


def _begun(desk: Desk, works: Works, text: str, form: Asked, facts: Facts) -> str:
    """Begin to look for changes that help; the id of that work. Its page is the room as it was, with the changes."""
    units = desk.bench().studio.units

    def with_options(found: Any) -> str:
        result, _ = found
        none = untyped(result.infeasible_because or result.sentence)
        return room_html("glaze", **facts | {"options": option_facts(result, units), "no_options": none})

    what = f"Looking for changes to {facts['check'].recipe.name}"
    order = {"text": text, "where": _where(form)}
    return works.begin(desk.folder, "better", order, what=what, here="Glaze", back="/", shows=with_options).id
