"""Makes and writes pages for ``report``: what is written where, and never over a file that is already there."""

from __future__ import annotations

import datetime
import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Final

from glazecalc.cli import asked
from glazecalc.files.card import read_recipe
from glazecalc.files.writing import free_place, write_by, write_file
from glazecalc.jobs import requests
from glazecalc.jobs.amount import Wanted
from glazecalc.jobs.bench import Bench
from glazecalc.jobs.page import Notebook, make_page, stamp
from glazecalc.render.figures.drawing import svg_file
from glazecalc.render.page import figures_of, index_html, page_html
from glazecalc.values.answers import Problem, ProblemsError, error, remark
from glazecalc.values.inputs import Recipe
from glazecalc.values.results.page import Index, IndexEntry, Page

if TYPE_CHECKING:
    from glazecalc.cli.options import Chosen
    from glazecalc.render.figures.drawing import Figure
    from glazecalc.values.results.tiles import TilesResult


_NOT_A_NAME = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True)
class Order:
    """What ``report`` was asked for."""

    names: Sequence[str]
    every: bool
    out: Path | None
    figures: Path | None
    pdf: bool
    dry: str
    where: Chosen
    strict: bool
    force: bool
    today: str
    plan: str | None = None
    size: str | None = None
    add: tuple[str, ...] = ()


@dataclass(slots=True)
class Written:
    """Pages with their files, every file in order, and what was found on the way."""

    pages: list[tuple[Page, list[Path]]] = field(default_factory=list)
    files: list[Path] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    left_out: list[tuple[str, str]] = field(default_factory=list)


def today() -> str:
    """The day, ISO 8601; that of SOURCE_DATE_EPOCH where it is set, so that a page can be made again exactly."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch.strip():
        try:
            return datetime.datetime.fromtimestamp(int(epoch), datetime.UTC).date().isoformat()
        except (OverflowError, ValueError, OSError):
            hint = "it counts seconds since 1970; unset it for today's date"
            raise ProblemsError([error("epoch", f"SOURCE_DATE_EPOCH={epoch[:30]} is no date", hint)]) from None
    return datetime.date.today().isoformat()


def write_pages(bench: Bench, order: Order) -> Written:
    """Make every page asked for and write it.

    Raises
    ------
    ProblemsError
        if a card cannot be used (with ``--all`` it is left out and named instead), or a file is already there.
    """
    written = Written()
    recipes = _every_recipe(bench, order, written) if order.every else list(bench.recipes)
    plan = _tile_plan(bench, order)
    recipes = recipes[:1] if plan is not None else recipes
    journal = requests.notebook(bench)
    stems = _stems(recipes)
    made: list[tuple[str, Page]] = []
    for recipe, stem in zip(recipes, stems, strict=True):
        try:
            made.append((stem, _page(bench, order, recipe, plan, journal)))
        except ProblemsError as stop:
            if not order.every:
                raise
            written.left_out.append((recipe.name, stop.problems[0].message))
    if order.strict and any(page.check.problems for _, page in made):
        raise ProblemsError([p for _, page in made for p in page.check.problems])
    several = order.every or len(made) > 1
    for stem, page in made:
        path = _place(order, stem, several)
        files = [_write(path, page_html(page), order.force, written)]
        files += _write_figures(order, stem if several else "", figures_of(page), written)
        files += _print(order, path, written)
        written.pages.append((page, files))
        written.problems += [p for p in page.check.problems if p.code not in requests.SAID]
    things = dict.fromkeys(thing for _, page in made for thing in (page.body, page.kiln, page.circuit))
    shown = [page.check.recipe for _, page in made]
    written.problems += requests.said_of(bench, shown, (*things, *bench.studio.scales), order.where.cone)
    if order.every:
        _write_index(bench, order, made, written)
    return written


def _page(
    bench: Bench, order: Order, recipe: Recipe, plan: TilesResult | None, journal: Notebook
) -> Page:  # fmt: skip
    setup = requests.setup(bench, recipe, **order.where.names())
    wanted = Wanted(dry_g=asked.mass_g(order.dry, "--dry"))
    things = (setup.body, setup.kiln, setup.circuit, *bench.studio.scales)
    page = make_page(
        recipe, bench.pantry, setup, bench.studio, wanted=wanted, today=order.today, plan=plan,
        journal=journal,
        said=requests.said_of(bench, [recipe], things, order.where.cone),
    )  # fmt: skip
    return page if plan is None else _with_cautions_of_all(page, bench, order)


def _with_cautions_of_all(page: Page, bench: Bench, order: Order) -> Page:
    """The page of a plan with the cautions of every recipe in it, not of the first alone."""
    from glazecalc.jobs.cautions import cautions_of_all

    others = [requests.check(bench, r, **order.where.names()) for r in bench.recipes[1:]]
    return replace(page, check=replace(page.check, cautions=cautions_of_all([page.check, *others])))


def _tile_plan(bench: Bench, order: Order) -> TilesResult | None:
    """The test tiles asked for with ``--plan``, ``--size`` or ``--add``."""
    if order.plan is None and order.size is None and not order.add:
        return None
    from glazecalc.cli.tiles import tile_order

    asked_for = tile_order(bench, order.plan, order.size, list(order.add), None, "dry", None, None, None, None, "A")
    return requests.tiles(bench, bench.recipes, asked_for, **order.where.names())[0]


def _every_recipe(bench: Bench, order: Order, written: Written) -> list[Recipe]:
    """Every card of the studio that can be read; the others are left out with the reason."""
    found: list[Recipe] = []
    for name in order.names:
        card, problems = read_recipe(str(Path(bench.studio.folder) / f"{name}.txt"))
        wrong = next((p for p in problems if p.is_error or order.strict), None)
        if card is None or wrong is not None:
            written.left_out.append((name, wrong.message if wrong else "it cannot be read"))
        else:
            found.append(card)
    return found


def _stems(recipes: Sequence[Recipe]) -> list[str]:
    """A file stem for each recipe, no two alike and none that of the index."""
    stems: list[str] = []
    for recipe in recipes:
        stem = _NOT_A_NAME.sub("-", recipe.name.casefold()).strip("-")[:60] or "recipe"
        numbered = (f"{stem}-{i}" if i > 1 else stem for i in count(1))
        stems.append(next(name for name in numbered if name not in stems and name != "index"))
    return stems


def _place(order: Order, stem: str, several: bool) -> Path:
    if several:
        return (order.out or Path("pages")) / f"{stem}.html"
    if order.out is None:
        return Path(f"{stem}.html")
    return order.out / f"{stem}.html" if order.out.is_dir() else order.out


def _write(path: Path, text: str, force: bool, written: Written) -> Path:
    write_file(path, text, force)
    written.files.append(path)
    return path


def _write_figures(order: Order, stem: str, figures: Sequence[Figure], written: Written) -> list[Path]:
    if order.figures is None:
        return []
    from glazecalc.render.figures.png import write_png

    files = []
    for figure in figures:
        base = order.figures / (f"{stem}-{figure.name}" if stem else figure.name)
        files.append(_write(base.with_suffix(".svg"), svg_file(figure), order.force, written))
        picture = base.with_suffix(".png")
        write_by(picture, partial(write_png, figure), order.force)
        written.files.append(picture)
        files.append(picture)
    return files


def _print(order: Order, page: Path, written: Written) -> list[Path]:
    if not order.pdf:
        return []

    target = page.with_suffix(".pdf")
    free_place(target, order.force)
    why_not = print_to_pdf(page, target)
    if why_not:
        written.problems.append(
            remark("no-pdf", f"no PDF was made: {why_not}", "open the page in a browser and print it")
        )
        return []
    written.files.append(target)
    return [target]


def _write_index(
    bench: Bench,
    order: Order,
    made: Sequence[tuple[str, Page]],
    written: Written,
) -> None:
    index = Index(
        studio=Path(bench.studio.folder).resolve().name or "the studio",
        entries=tuple(IndexEntry(f"{stem}.html", page) for stem, page in made),
        left_out=tuple(written.left_out),
        units=bench.studio.units,
        stamp=stamp(order.today),
    )
    _write((order.out or Path("pages")) / "index.html", index_html(index), order.force, written)


# Prints a page to PDF with a browser that is already on the machine; none is needed to read or print a page.

NAMES: Final = (
    "chromium",
    "chromium-browser",
    "chrome",
    "google-chrome",
    "google-chrome-stable",
    "msedge",
    "microsoft-edge",
)
FLAGS: Final = (
    "--headless", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-pdf-header-footer",
)  # fmt: skip
_SECONDS: Final = 60


def find_browser() -> str | None:
    """Path of a browser that can print without a window, or None."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


def print_to_pdf(page: Path, target: Path) -> str:
    """Print ``page`` to ``target``; returns why that was not possible, or an empty text."""
    browser = find_browser()
    if browser is None:
        return "no browser that prints by itself was found"
    with tempfile.TemporaryDirectory() as profile:
        root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
        call = [
            browser,
            *FLAGS,
            *root,
            f"--user-data-dir={profile}",
            f"--print-to-pdf={target.resolve()}",
            page.resolve().as_uri(),
        ]
        try:
            subprocess.run(call, capture_output=True, timeout=_SECONDS, check=True)
        except (OSError, subprocess.SubprocessError) as exc:
            return f"the browser failed ({type(exc).__name__})"
    return "" if target.is_file() else "the browser wrote nothing"
