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
from glazecalc.cli.tiles import Plan, tile_order
from glazecalc.files.card import read_recipe
from glazecalc.files.writing import free_place, write_by, write_file
from glazecalc.jobs import requests
from glazecalc.jobs.amount import Wanted
from glazecalc.jobs.bench import Bench
from glazecalc.jobs.cautions import cautions_of_all
from glazecalc.jobs.page import Notebook, make_page, stamp
from glazecalc.render.figures.drawing import svg_file
from glazecalc.render.page import figures_of, index_html, page_html
from glazecalc.values.answers import Problem, ProblemsError, refuse, remark
from glazecalc.values.inputs import Recipe
from glazecalc.values.results.page import Index, IndexEntry, Page

if TYPE_CHECKING:
    from glazecalc.cli.options import Chosen, Writing
    from glazecalc.cli.report import Order
    from glazecalc.render.figures.drawing import Figure
    from glazecalc.values.results.tiles import TilesResult

_NOT_A_NAME = re.compile(r"[^a-z0-9]+")


@dataclass(slots=True)
class Written:
    """Pages with their files, every file in order, and what was found on the way; ``force`` replaces files."""

    force: bool
    pages: list[tuple[Page, list[Path]]] = field(default_factory=list)
    files: list[Path] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    left_out: list[tuple[str, str]] = field(default_factory=list)

    def write(self, path: Path, text: str) -> Path:
        """Write a file and note it. Raises ProblemsError where one is there already."""
        write_file(path, text, self.force)
        self.files.append(path)
        return path


def today() -> str:
    """The day, ISO 8601; that of SOURCE_DATE_EPOCH where it is set, so that a page can be made again exactly."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch.strip():
        try:
            return datetime.datetime.fromtimestamp(int(epoch), datetime.UTC).date().isoformat()
        except (OverflowError, ValueError, OSError):
            hint = "it counts seconds since 1970; unset it for today's date"
            refuse("epoch", f"SOURCE_DATE_EPOCH={epoch[:30]} is no date", hint)
    return datetime.date.today().isoformat()


def write_pages(bench: Bench, names: Sequence[str], order: Order, where: Chosen, usual: Writing) -> Written:
    """Make every page asked for and write it.

    Raises
    ------
    ProblemsError
        if a card cannot be used (with ``--all`` it is left out and named instead), or a file is already there.
    """
    written = Written(usual.force)
    recipes = _every_recipe(bench, names, usual.strict, written) if order.every else list(bench.recipes)
    plan = None
    if not (order.plan is None and order.size is None and not order.add):
        tiles = tile_order(bench, Plan(order.plan, order.size, order.add))
        plan, recipes = requests.tiles(bench, bench.recipes, tiles, **where.names())[0], recipes[:1]
    journal, day = requests.notebook(bench), today()
    made: list[tuple[str, Page]] = []
    for recipe, stem in zip(recipes, _stems(recipes), strict=True):
        try:
            made.append((stem, _page(bench, order.dry, where, recipe, plan, journal, day)))
        except ProblemsError as stop:
            if not order.every:
                raise
            written.left_out.append((recipe.name, stop.problems[0].message))
    if usual.strict and any(page.check.problems for _, page in made):
        raise ProblemsError([p for _, page in made for p in page.check.problems])
    several = order.every or len(made) > 1
    for stem, page in made:
        path = _place(order.out, stem, several)
        files = [written.write(path, page_html(page))]
        if order.figures is not None:
            files += _figures(order.figures, stem if several else "", figures_of(page), written)
        if order.pdf:
            files += _print(path, written)
        written.pages.append((page, files))
        written.problems += [p for p in page.check.problems if p.code not in requests.SAID]
    things = dict.fromkeys(thing for _, page in made for thing in (page.body, page.kiln, page.circuit))
    shown = [page.check.recipe for _, page in made]
    written.problems += requests.said_of(bench, shown, (*things, *bench.studio.scales), where.cone)
    if order.every:
        index = Index(
            studio=Path(bench.studio.folder).resolve().name or "the studio",
            entries=tuple(IndexEntry(f"{stem}.html", page) for stem, page in made),
            left_out=tuple(written.left_out), units=bench.studio.units, stamp=stamp(day),
        )  # fmt: skip
        written.write(_place(order.out, "index", True), index_html(index))
    return written


def _page(
    bench: Bench, dry: str, where: Chosen, recipe: Recipe, plan: TilesResult | None, journal: Notebook, day: str
) -> Page:  # fmt: skip
    """The page of a recipe; that of a plan with the cautions of every recipe in it, not of the first alone."""
    setup = requests.setup(bench, recipe, **where.names())
    things = (setup.body, setup.kiln, setup.circuit, *bench.studio.scales)
    page = make_page(
        recipe, bench.pantry, setup, bench.studio, wanted=Wanted(dry_g=asked.mass_g(dry, "--dry")), today=day,
        plan=plan, journal=journal, said=requests.said_of(bench, [recipe], things, where.cone),
    )  # fmt: skip
    if plan is None:
        return page
    others = [requests.check(bench, r, **where.names()) for r in bench.recipes[1:]]
    return replace(page, check=replace(page.check, cautions=cautions_of_all([page.check, *others])))


def _every_recipe(bench: Bench, names: Sequence[str], strict: bool, written: Written) -> list[Recipe]:
    """Every card of the studio that can be read; the others are left out with the reason."""
    cards: list[Recipe] = []
    for name in names:
        card, problems = read_recipe(str(Path(bench.studio.folder) / f"{name}.txt"))
        wrong = next((p for p in problems if p.is_error or strict), None)
        if card is None or wrong is not None:
            written.left_out.append((name, wrong.message if wrong else "it cannot be read"))
        else:
            cards.append(card)
    return cards


def _stems(recipes: Sequence[Recipe]) -> list[str]:
    """A file stem for each recipe, no two alike and none that of the index."""
    stems: list[str] = []
    for recipe in recipes:
        stem = _NOT_A_NAME.sub("-", recipe.name.casefold()).strip("-")[:60] or "recipe"
        numbered = (f"{stem}-{i}" if i > 1 else stem for i in count(1))
        stems.append(next(name for name in numbered if name not in stems and name != "index"))
    return stems


def _place(out: Path | None, stem: str, several: bool) -> Path:
    if several:
        return (out or Path("pages")) / f"{stem}.html"
    return out if out is not None and not out.is_dir() else (out or Path()) / f"{stem}.html"


def _figures(folder: Path, stem: str, figures: Sequence[Figure], written: Written) -> list[Path]:
    from glazecalc.render.figures.png import write_png

    files = []
    for figure in figures:
        base = folder / (f"{stem}-{figure.name}" if stem else figure.name)
        picture = base.with_suffix(".png")
        files += [written.write(base.with_suffix(".svg"), svg_file(figure)), picture]
        write_by(picture, partial(write_png, figure), written.force)
        written.files.append(picture)
    return files


def _print(page: Path, written: Written) -> list[Path]:
    target = page.with_suffix(".pdf")
    free_place(target, written.force)
    if why_not := print_to_pdf(page, target):
        hint = "open the page in a browser and print it"
        written.problems.append(remark("no-pdf", f"no PDF was made: {why_not}", hint))
        return []
    written.files.append(target)
    return [target]


# Prints a page to PDF with a browser that is already on the machine; none is needed to read or print a page.

NAMES: Final = (
    "chromium", "chromium-browser", "chrome", "google-chrome", "google-chrome-stable", "msedge", "microsoft-edge",
)  # fmt: skip
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
        where = [f"--user-data-dir={profile}", f"--print-to-pdf={target.resolve()}", page.resolve().as_uri()]
        try:
            subprocess.run([browser, *FLAGS, *root, *where], capture_output=True, timeout=_SECONDS, check=True)
        except (OSError, subprocess.SubprocessError) as exc:
            return f"the browser failed ({type(exc).__name__})"
    return "" if target.is_file() else "the browser wrote nothing"
