"""The job behind `labels`: what a label says of a recipe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from glazecalc.jobs.cautions import AT_THE_BENCH, held
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.materials import UNINVITED, Pantry, hazards_by_analysis, resolve
from glazecalc.values.answers import ProblemsError, error, stop_at_errors
from glazecalc.values.data import read_table
from glazecalc.values.inputs import LabelSheet, Recipe
from glazecalc.values.results.page import Label, LabelHazards, LabelKind, LabelRun, page_overrun_mm

MOST_LABELS: Final = 1_000
"""More labels than anybody prints at a time."""
LONGEST_ID: Final = 40
DEADLY: Final = ("lead", "cadmium", "arsenic", "beryllium")
"""Metals that a label leads with."""
NOT_TESTED: Final = "Not tested for food."


def make_labels(
    recipe: Recipe,
    shelf: Pantry,
    kind: LabelKind,
    *,
    ids: Sequence[str] = (),
    copies: int = 1,
    cone: str = "",
    body: str = "",
    date: str = "",
    density: float | None = None,
    dry_g: float | None = None,
    tare_g: float | None = None,
) -> tuple[Label, ...]:
    """A label for each id, or ``copies`` alike.

    Raises ProblemsError if the card names a material that is not known, or more labels are asked for than anybody
    prints.
    """
    _check_count(len(ids))
    if any(len(i) > LONGEST_ID for i in ids):
        what = f"a mark of {max(map(len, ids))} signs does not fit a label"
        raise ProblemsError([error("label-count", what, "part the marks by commas: --ids A1,A2,A3")])
    label = Label(
        kind=kind, name=recipe.name, cone=cone, body=body, date=date, density=density, dry_g=dry_g, tare_g=tare_g,
        holds=_held_by_tile(recipe, shelf) if kind == "tile" else held_dry(recipe, shelf),
        warning="" if kind == "tile" else NOT_TESTED,
    )  # fmt: skip
    return tuple(replace(label, id=mark) for mark in ids) if ids else (label,) * copies


def held_dry(recipe: Recipe, shelf: Pantry) -> LabelHazards:
    """What to mind in the bucket."""
    if recipe.kind == "bought":
        return LabelHazards("jar")
    carried = _carried(recipe, shelf)
    rows = [
        row for row in read_table("hazards")
        if row["id"] in carried and row["when"] in AT_THE_BENCH and row["id"] != "inert_dust"
    ]  # fmt: skip
    rows.sort(key=lambda row: UNINVITED.index(row["metal"]) if row["metal"] in UNINVITED else len(UNINVITED))
    deadly = tuple(row["label"] for row in rows if row["metal"] in DEADLY)
    return LabelHazards("dry", deadly, tuple(row["label"] for row in rows if row["metal"] not in DEADLY))


def _carried(recipe: Recipe, shelf: Pantry) -> set[str]:
    """The hazards of a recipe's materials; of a card that gives oxides, those that follow from them."""
    if recipe.kind == "composition":
        composition, _, _ = compose_recipe(recipe, shelf)
        percent = {} if composition is None else formula_of(composition).weight_percent()
        return set(hazards_by_analysis(percent))
    lines, problems = resolve(recipe, shelf, doubt=True)
    stop_at_errors(problems)
    return {hazard for line in lines for hazard in line.material.hazards}


def _held_by_tile(recipe: Recipe, shelf: Pantry) -> LabelHazards:
    """What the fired tile may give off; nothing where it holds no such metal."""
    carried = _carried(recipe, shelf)
    words = [row["label"] for row in read_table("hazards") if row["id"] in carried and row["when"] == "food"]
    composition, _, _ = compose_recipe(recipe, shelf)
    words += held(None if composition is None else formula_of(composition))
    return LabelHazards("fired", others=tuple(sorted(dict.fromkeys(words), key=lambda word: word not in UNINVITED)))


def _check_count(count: int) -> None:
    if count > MOST_LABELS:
        message = f"{count} labels are more than are printed at a time (at most {MOST_LABELS})"
        hint = "print them in several runs; --start goes on on a part-used sheet"
        raise ProblemsError([error("label-count", message, hint)])


def label_run(labels: Sequence[Label], sheet: LabelSheet, start: int) -> LabelRun:
    """Labels placed on a sheet from place ``start`` on.

    Raises ProblemsError if the sheet does not fit its paper, or there is no such place on it.
    """
    _check_count(len(labels))
    right, below = page_overrun_mm(sheet)
    if right or below:
        message = f"the labels run {right:g} mm off the right and {below:g} mm off the foot of {sheet.page} paper"
        raise ProblemsError([error("label-sheet", message, "measure the sheet again and set [labels] in studio.toml")])
    places = sheet.columns * sheet.rows
    if not 1 <= start <= places:
        message = f"--start {start} is not on a sheet of {places}"
        raise ProblemsError([error("label-start", message, f"give 1 to {places}")])
    return LabelRun(tuple(labels), sheet, start)
