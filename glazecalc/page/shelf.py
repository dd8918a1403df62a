"""The shelf: what stands on it, own analyses, and what a batch would need bought."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from glazecalc.files.materials import read_percent
from glazecalc.files.numbers import read_quantity
from glazecalc.files.problems import Findings
from glazecalc.files.studio import MATERIALS_FILE, NOT_WEIGHED_G, STOCK_FILE
from glazecalc.files.studio_edit import changed_stock, write_materials_rows
from glazecalc.files.writing import can_put_back, keep, one_writer
from glazecalc.jobs import requests
from glazecalc.jobs.amount import Wanted
from glazecalc.jobs.materials import Pantry, material_facts
from glazecalc.page.desk import Asked, Desk, desk_of, problems_of, put_file_back, shown
from glazecalc.render.words import amount
from glazecalc.values.answers import Problem, ProblemsError, refuse, stop_at_errors
from glazecalc.values.inputs import Material, OxideAmount
from glazecalc.values.oxides import SYMBOLS

SHOWN = ("SiO2", "Al2O3", "B2O3", "Na2O", "K2O", "Li2O", "CaO", "MgO", "BaO", "SrO", "ZnO", "Fe2O3", "TiO2", "P2O5")


def room(request: Request, form: Asked | None) -> Response:
    """GET shows the shelf; POST changes the stock, or adds an analysis."""
    desk, buy = desk_of(request), request.query_params.get("buy", "")[:100]
    problems: tuple[Problem, ...] = ()
    needs: list[tuple[str, float, float]] = []
    try:
        if form is not None:
            with desk.writing:
                _ACTS.get(form.text("do"), _analysis)(desk, form)
            return RedirectResponse("/shelf?done=1", 303)
        needs = _missing(desk, buy) if buy else []
    except ProblemsError as stop:
        problems = problems_of(stop)
    bench = desk.bench()
    return shown(
        "shelf", problems, here="Shelf", said="Kept." if request.query_params.get("done") else "",
        stock=_weighed(bench.studio.stock, bench.pantry),
        own=[material_facts(m) for m in bench.studio.materials], oxides=[s for s in SHOWN if s in SYMBOLS],
        materials=[m.name for m in bench.pantry.materials], cards=desk.cards(), buy=buy, needs=needs,
        mass=lambda grams: amount(grams, bench.studio.units),
        undo=[(name, word) for name, word in ((STOCK_FILE, "the stock"), (MATERIALS_FILE, "the analyses"))
              if can_put_back(desk.folder / name)],
        typed={} if form is None else {name: form.text(name) for name in form.names()},
    )  # fmt: skip


def _put_back(desk: Desk, form: Asked) -> None:
    name = form.text("file")
    put_file_back(desk.folder / name if name in (STOCK_FILE, MATERIALS_FILE) else None)


def _weighed(stock: Sequence[tuple[str, float]], shelf: Pantry) -> list[tuple[str, float | None, bool]]:
    """The stock, with None where nobody weighed it, and whether a recipe can use it by that name."""
    return [(name, grams if grams > NOT_WEIGHED_G else None, shelf.find(name) is not None) for name, grams in stock]


def _stock(desk: Desk, form: Asked) -> None:
    name, typed = form.text("name"), form.text("amount")
    found = Findings(None)
    if not name:
        refuse("name-missing", "no material is named", "choose one of the list")
    if name[:1] in "=@+-":
        refuse("spreadsheet-formula", "that is no material's name", "write the name")
    grams: float | None = NOT_WEIGHED_G
    if typed:
        grams = None if typed == "0" else read_quantity(typed, "mass", "g", "the amount", found)
        stop_at_errors(found.problems)
        if grams is not None and not 0 <= grams <= 1e9:
            refuse("out-of-range", "that amount cannot be", "write it as 2.5kg")
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
    stop_at_errors(found.problems)
    analysis = tuple(OxideAmount(oxide=s, amount=float(p)) for s, p in given if p is not None)
    source = form.text("source") or "entered by hand"
    material = Material(name=name, analysis=analysis, loi=loi, source=source, own=True)
    material_facts(material)
    with one_writer(desk.folder):
        problems = write_materials_rows(desk.folder / MATERIALS_FILE, [material], first=keep)
    stop_at_errors(problems)


def _missing(desk: Desk, card: str) -> list[tuple[str, float, float]]:
    """Material, what a kilogram of the card needs and what the shelf has of it [g]."""
    bench = desk.bench()
    sheet, _ = requests.weigh(bench, desk.recipe(card), Wanted(dry_g=1000.0))

    def meant(name: str) -> str:
        found = bench.pantry.find(name)
        return name if found is None else found.name

    stock: dict[str, float] = {}
    for name, grams in bench.studio.stock:
        stock[meant(name)] = stock.get(meant(name), 0.0) + grams
    return [(line.material, line.target_g, stock.get(meant(line.material), 0.0)) for line in sheet.lines]


_ACTS: Final = {"stock": _stock, "undo": _put_back}
