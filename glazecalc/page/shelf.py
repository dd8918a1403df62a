"""The shelf: what stands on it, own analyses, and what a batch would need bought."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from glazecalc.files.materials import read_percent
from glazecalc.files.numbers import read_quantity
from glazecalc.files.problems import Findings
from glazecalc.files.studio import MATERIALS_FILE, NOT_WEIGHED_G, STOCK_FILE
from glazecalc.files.studio_edit import changed_stock, write_materials_rows
from glazecalc.files.writing import can_put_back, keep, one_writer, put_back
from glazecalc.jobs import requests
from glazecalc.jobs.amount import Wanted
from glazecalc.jobs.materials import Pantry, material_facts
from glazecalc.page.desk import Asked, Desk, asked, problems_of
from glazecalc.render.bench import room_html
from glazecalc.render.words import amount
from glazecalc.values.answers import ProblemsError, error, stop_at_errors
from glazecalc.values.inputs import Material, OxideAmount
from glazecalc.values.oxides import SYMBOLS

SHOWN = ("SiO2", "Al2O3", "B2O3", "Na2O", "K2O", "Li2O", "CaO", "MgO", "BaO", "SrO", "ZnO", "Fe2O3", "TiO2", "P2O5")


async def room(request: Request) -> Response:
    """GET shows the shelf; POST changes the stock, or adds an analysis."""
    desk: Desk = request.app.state.desk
    form = await asked(request) if request.method == "POST" else None
    buy = request.query_params.get("buy", "")[:100]
    said = "Kept." if request.query_params.get("done") else ""
    return await run_in_threadpool(_room, desk, form, buy, said)


def _room(desk: Desk, form: Asked | None, buy: str, said: str) -> Response:
    problems: tuple[Any, ...] = ()
    if form is not None:
        try:
            with desk.writing:
                _ACTS.get(form.text("do"), _analysis)(desk, form)
            return RedirectResponse("/shelf?done=1", 303)
        except ProblemsError as stop:
            problems = problems_of(stop)
    bench = desk.bench()
    needs: list[tuple[str, float, float]] = []
    if buy:
        try:
            needs = _missing(desk, buy)
        except ProblemsError as stop:
            problems = problems_of(stop)
    page = room_html(
        "shelf", here="Shelf", said=said, problems=problems, stopped=bool(problems),
        stock=_weighed(bench.studio.stock, bench.pantry),
        own=[material_facts(m) for m in bench.studio.materials], oxides=[s for s in SHOWN if s in SYMBOLS],
        materials=[m.name for m in bench.pantry.materials], cards=desk.cards(), buy=buy, needs=needs,
        mass=lambda grams: amount(grams, bench.studio.units),
        undo=[(name, word) for name, word in ((STOCK_FILE, "the stock"), (MATERIALS_FILE, "the analyses"))
              if can_put_back(desk.folder / name)],
        typed={} if form is None else {name: form.text(name) for name in form.names()},
    )  # fmt: skip
    return HTMLResponse(page, 400 if problems else 200)


def _put_back(desk: Desk, form: Asked) -> None:
    name = form.text("file")
    if name not in (STOCK_FILE, MATERIALS_FILE) or not put_back(desk.folder / name):
        raise ProblemsError([error("no-earlier", "there is nothing to put back")])


def _weighed(stock: Sequence[tuple[str, float]], shelf: Pantry) -> list[tuple[str, float | None, bool]]:
    """The stock, with None where nobody weighed it, and whether a recipe can use it by that name."""
    return [(name, grams if grams > NOT_WEIGHED_G else None, shelf.find(name) is not None) for name, grams in stock]


def _stock(desk: Desk, form: Asked) -> None:
    name = form.text("name")
    found = Findings(None)
    if not name:
        raise ProblemsError([error("name-missing", "no material is named", "choose one of the list")])
    if name[:1] in "=@+-":
        raise ProblemsError([error("spreadsheet-formula", "that is no material's name", "write the name")])
    typed = form.text("amount")
    if typed == "":
        changed_stock(desk.folder, {name: NOT_WEIGHED_G})
        return
    grams = None if typed == "0" else read_quantity(typed, "mass", "g", "the amount", found)
    if found.has_errors:
        raise ProblemsError(found.problems)
    if grams is not None and not 0 <= grams <= 1e9:
        raise ProblemsError([error("out-of-range", "that amount cannot be", "write it as 2.5kg")])
    changed_stock(desk.folder, {name: grams})


def _analysis(desk: Desk, form: Asked) -> None:
    found = Findings(None)
    name = form.text("name")
    if not name or name[:1] in "=@+-":
        found.error("name-missing", "the material needs a name", "write what the bag says")
    given = [(s, read_percent(form.text(s), s, found, None)) for s in SHOWN if form.text(s)]
    loi = read_percent(form.text("loi"), "the loss", found, None) if form.text("loi") else None
    total = sum(p for _, p in given if p is not None) + (loi or 0.0)
    if not given:
        found.error("no-figures", "no oxide has a figure", "write weight percents as the sheet gives them")
    elif not 80 <= total <= 110:
        found.error("sum-far-off", f"the figures add up to {total:g}, not to about 100", "look at the sheet again")
    if found.has_errors:
        raise ProblemsError(found.problems)
    analysis = tuple(OxideAmount(oxide=s, amount=float(p)) for s, p in given if p is not None)
    material = Material(
        name=name, analysis=analysis, loi=loi, source=form.text("source") or "entered by hand", own=True
    )
    material_facts(material)
    with one_writer(desk.folder):
        keep(desk.folder / MATERIALS_FILE)
        problems = write_materials_rows(desk.folder / MATERIALS_FILE, [material])
    stop_at_errors(problems)


def _missing(desk: Desk, card: str) -> list[tuple[str, float, float]]:
    """Material, what a kilogram of the card needs and what the shelf has of it [g]."""
    bench = desk.bench()
    sheet, _ = requests.weigh(bench, desk.recipe(card), Wanted(dry_g=1000.0))
    stock: dict[str, float] = {}
    for name, grams in bench.studio.stock:
        found = bench.pantry.find(name)
        key = name if found is None else found.name
        stock[key] = stock.get(key, 0.0) + grams
    rows = []
    for line in sheet.lines:
        found = bench.pantry.find(line.material)
        rows.append((line.material, line.target_g, stock.get(found.name if found else line.material, 0.0)))
    return rows


_ACTS: Final = {"stock": _stock, "undo": _put_back}
