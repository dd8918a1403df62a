"""The names promised to library users; everything else may move.

Where a job takes :class:`Where`, its keywords ``body``, ``kiln`` and ``circuit`` are names in the studio and ``cone`` a
cone's name; each is the studio's default if left out.

>>> recipe = recipe_from_text("name: Demo\\ncone: 9\\n\\nPotash feldspar 40\\nSilica 30\\nWhiting 20\\nKaolin 10\\n")
>>> round(formula(recipe).formula.unity()["CaO"], 2)
0.74
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TextIO, TypeVar, Unpack

from glazecalc.files.card import read_recipe, read_recipe_text
from glazecalc.files.materials import built_in_materials
from glazecalc.files.studio import read_studio
from glazecalc.jobs import requests
from glazecalc.jobs.amount import Wanted
from glazecalc.jobs.asking import start_studio
from glazecalc.jobs.bench import Bench
from glazecalc.jobs.formula import describe
from glazecalc.jobs.lesson import freeze
from glazecalc.jobs.materials import Pantry, pantry
from glazecalc.jobs.palette import Wishes
from glazecalc.jobs.screen import estimate_frame, screening
from glazecalc.jobs.screen import screen as screen_table
from glazecalc.jobs.setup import Setup, Where
from glazecalc.jobs.tiles import TileOrder
from glazecalc.values.answers import Answer, Basis, Estimate, Problem, ProblemsError, Severity, Verdict
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, Circuit, Kiln, Limits, Material, Recipe, RecipeLine, Studio
from glazecalc.values.records import (
    BatchRecord,
    FiringRecord,
    FrozenRecipe,
    Reading,
    TileRecord,
    TileResult,
    WitnessCone,
)
from glazecalc.values.results.adjust import AdjustResult, Comparison, SwapResult
from glazecalc.values.results.check import CheckResult, Formula
from glazecalc.values.results.firing import FiringReport
from glazecalc.values.results.formula import FormulaResult
from glazecalc.values.results.kiln import KilnLearned, KilnReport
from glazecalc.values.results.learn import ClayReport, Lesson
from glazecalc.values.results.tiles import TilesResult
from glazecalc.values.results.weigh import FirstGlaze, WeighResult

if TYPE_CHECKING:
    from glazecalc.jobs.screening.estimates import Frame

R = TypeVar("R", TileRecord, FiringRecord, BatchRecord)
T = TypeVar("T")

__all__ = [
    "AdjustResult", "Answer", "Basis", "BatchRecord", "Body", "CheckResult", "Circuit", "ClayReport", "Comparison",
    "Cone", "Estimate", "FiringRecord", "FiringReport", "FirstGlaze", "Formula", "FormulaResult", "FrozenRecipe",
    "Kiln", "KilnLearned", "KilnReport", "Lesson", "Limits", "Material", "Pantry", "Problem", "ProblemsError",
    "Reading", "Recipe", "RecipeLine", "Setup", "Severity", "Studio", "SwapResult", "TileRecord", "TileResult",
    "TilesResult", "Verdict", "WeighResult", "Where", "WitnessCone", "adjust", "body", "check", "compare",
    "estimate_table", "firing", "first", "formula", "frozen", "kiln", "learn_body", "learn_kiln", "open_studio",
    "recipe_from_file", "recipe_from_text", "record", "screen", "setup", "shelf", "start_studio", "swap", "tiles",
    "weigh",
]  # fmt: skip


def recipe_from_file(path: str | Path) -> Recipe:
    """The recipe card in a file. Raises ProblemsError with every problem if it cannot be used."""
    return _or_problems(*read_recipe(path))


def recipe_from_text(text: str) -> Recipe:
    """The recipe card in a text. Raises ProblemsError with every problem if it cannot be used."""
    return _or_problems(*read_recipe_text(text))


def open_studio(folder: str | Path) -> Studio:
    """What a studio folder says. Raises ProblemsError with every problem if it cannot be used."""
    return _or_problems(*read_studio(Path(folder)))


def shelf(studio: Studio | None = None) -> Pantry:
    """The raw materials that a word on a card can mean: the studio's own first, then the built-in ones."""
    return pantry(_built_in(), studio.materials, studio.aliases) if studio else pantry(_built_in())


def formula(
    recipe: Recipe,
    studio: Studio | None = None,
    *,
    flux: str = "customary",
    explain: bool = False,
    models: bool = False,
) -> FormulaResult:
    """The fired composition of a recipe. Raises ProblemsError with every problem of the card."""
    return describe((recipe,), shelf(studio), flux=flux, explain=explain, models=models)[0][0]


def setup(recipe: Recipe, studio: Studio, **where: Unpack[Where]) -> Setup:
    """Where a recipe is judged: names and defaults of the studio, and what its journal teaches of clay and kiln."""
    return requests.setup(_bench(studio), recipe, **where)


def check(recipe: Recipe, studio: Studio, **where: Unpack[Where]) -> CheckResult:
    """Will this glaze fit the clay, melt at the cone, and does the kiln get there?

    Raises ProblemsError with every problem of the card, or for a name the studio does not have.
    """
    return requests.check(_bench(studio), recipe, **where)


def weigh(recipe: Recipe, studio: Studio, dry_g: float = 500.0) -> WeighResult:
    """A batch sheet of ``dry_g`` [g] on the studio's scale. Raises ProblemsError if there is nothing to weigh."""
    return requests.weigh(_bench(studio), recipe, Wanted(dry_g=dry_g))[0]


def tiles(
    recipes: Sequence[Recipe],
    studio: Studio,
    *,
    plan: str = "line",
    size: tuple[int, ...] | None = None,
    record: bool = False,
    **where: Unpack[Where],
) -> TilesResult:
    """A plan of test tiles between recipes; ``record`` writes it into the studio's journal."""
    return requests.tiles(_bench(studio), recipes, TileOrder(plan=plan, size=size), record=record, **where)[0]


def adjust(
    recipe: Recipe,
    studio: Studio,
    *,
    use: Sequence[str] = (),
    without: Sequence[str] = (),
    **where: Unpack[Where],
) -> AdjustResult:
    """The smallest changes that fit and melt, from the studio's shelf; ``use`` and ``without`` name materials that may
    or must not be used. Without a ``cone`` the aim is one that kiln and clay get to."""
    return requests.adjust(_bench(studio), recipe, wishes=Wishes(tuple(use), tuple(without)), **where)[0]


def swap(recipe: Recipe, studio: Studio, old: str, new: Sequence[str], **where: Unpack[Where]) -> SwapResult:
    """The same fired formula with ``new`` materials in place of ``old``."""
    return requests.swap(_bench(studio), recipe, old, new, **where)[0]


def compare(recipes: Sequence[Recipe], studio: Studio, **where: Unpack[Where]) -> Comparison:
    """Recipes side by side. Raises ProblemsError for fewer than two."""
    return requests.compare(_bench(studio), recipes, **where)[0]


def first(studio: Studio, **where: Unpack[Where]) -> FirstGlaze:
    """A glaze to begin with: of the project's own bases the one that suits clay, cone, kiln and shelf best.

    Raises ProblemsError where nothing says which cone to fire to.
    """
    return requests.first(_bench(studio), **where)


def kiln(
    studio: Studio,
    name: str | None = None,
    circuit: str | None = None,
    *,
    room: str | None = None,
    cone: str | None = None,
    recipe: Recipe | None = None,
) -> KilnReport:
    """May this kiln be plugged in there, and how hot does it get? Raises ProblemsError for an unknown name."""
    return requests.kiln(_bench(studio), name, circuit=circuit, room=room, cone=cone, recipe=recipe)


def firing(
    studio: Studio,
    *,
    kind: str = "glaze",
    hold_h: float | None = None,
    wall_mm: float | None = None,
    recipe: Recipe | None = None,
    **where: Unpack[Where],
) -> FiringReport:
    """A schedule for a cone with a hold of ``hold_h`` [h] for ware ``wall_mm`` [mm] thick, and whether the kiln
    follows it; for a ``recipe`` with a drop and hold against pinholes where its melt asks for one."""
    return requests.firing(_bench(studio), kind=kind, hold_h=hold_h, wall_mm=wall_mm, recipe=recipe, **where)


def body(
    studio: Studio, name: str | None = None, *, cone: str | None = None, fired_mm: float | None = None
) -> ClayReport:
    """What is known of a clay; how big a piece must be wet to be ``fired_mm`` [mm] after firing."""
    return requests.body(_bench(studio), name, cone=cone, fired_mm=fired_mm)[0]


def learn_body(studio: Studio, name: str | None = None, *, kiln: str | None = None, cone: str | None = None) -> Lesson:
    """What recorded tiles say of a clay's expansion, and which tile would say most next."""
    return requests.learn_body(_bench(studio), name, kiln=kiln, cone=cone)[0]


def frozen(recipe: Recipe, studio: Studio) -> FrozenRecipe:
    """A recipe as a journal keeps it: its lines and its fired composition, whatever becomes of the card."""
    return _or_problems(*freeze(recipe, shelf(studio)))


def record(entry: R, studio: Studio) -> R:
    """Write a test tile, a firing or a batch into the studio's journal; the entry as it is kept, with its id.

    Raises ProblemsError where the entry contradicts itself, and ValueError for a figure that cannot be.
    """
    return requests.record(_bench(studio), entry)[0]


def learn_kiln(studio: Studio, name: str | None = None, *, circuit: str | None = None) -> KilnLearned:
    """What recorded firings say of a kiln's reach."""
    return requests.learn_kiln(_bench(studio), name, circuit=circuit)


def screen(
    table: str | Path,
    out: TextIO | Path,
    studio: Studio | None = None,
    *,
    basis: Literal["mole", "weight", "unity", "recipe"] = "mole",
    practice: Literal["glaze", "glass"] = "glaze",
    columns: Sequence[str] | None = None,
) -> int:
    """Write estimates for every row of ``table`` (CSV, or Parquet by its name) to ``out``: as CSV to a stream, as
    Parquet to a path; the number of rows written. ``columns`` names the estimates wanted, of all where left out.

    Raises ProblemsError if the table cannot be read.
    """
    return screen_table(Path(table), out, shelf(studio), basis=basis, practice=practice, columns=columns).rows


def estimate_table(
    frame: Frame,
    studio: Studio | None = None,
    *,
    basis: Literal["mole", "weight", "unity", "recipe"] = "mole",
    practice: Literal["glaze", "glass"] = "glaze",
    columns: Sequence[str] | None = None,
) -> Frame:
    """The estimates of `screen` for a pandas frame, row by row under its index, figures unrounded.

    The same row gives the same figures to the last bit however a table is cut into frames. A missing amount is none;
    a row that cannot be read has no figures and the basis ``error``. Raises ProblemsError where no column is known.
    """
    return estimate_frame(frame, shelf(studio), screening(basis, practice, columns))


def _bench(studio: Studio | None) -> Bench:
    return Bench(studio or Studio(folder="."), shelf(studio), (), ())


@cache
def _built_in() -> tuple[Material, ...]:
    return tuple(built_in_materials())


def _or_problems(value: T | None, problems: Sequence[Problem]) -> T:
    if value is None or any(p.is_error for p in problems):
        raise ProblemsError(problems)
    return value
