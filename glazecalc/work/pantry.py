"""Which material does a word on a card mean: the studio's own materials first, then the built-in ones."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from glazecalc.chemistry.composition import MaterialTable
from glazecalc.chemistry.minerals import FormulaError
from glazecalc.chemistry.shelf import material_table, moles_per_gram
from glazecalc.values.inputs import Material, Recipe, RecipeLine
from glazecalc.values.problem import Problem, did_you_mean, error, remark

_NOT_A_LETTER = re.compile(r"[^0-9a-z]+")


def fold(name: str) -> str:
    """A material's name as it is compared: lower case, words apart by one space.

    >>> fold(" Nepheline-Syenite ")
    'nepheline syenite'
    """
    return _NOT_A_LETTER.sub(" ", name.casefold()).strip()


@dataclass(frozen=True)
class Pantry:
    """Every material that can be meant, by its folded names."""

    materials: tuple[Material, ...]
    _by_name: dict[str, Material] = field(repr=False, compare=False)

    def find(self, name: str) -> Material | None:
        """The material of that name or alias, or None. A plural or a trailing mesh size is forgiven."""
        folded = fold(name)
        for candidate in (folded, folded.removesuffix("s"), re.sub(r" \d+ mesh$", "", folded)):
            if candidate in self._by_name:
                return self._by_name[candidate]
        return None

    def names(self) -> list[str]:
        """Every name and alias, for suggestions."""
        return [name for m in self.materials for name in (m.name, *m.aliases)]


def pantry(built_in: Iterable[Material], own: Sequence[Material] = ()) -> Pantry:
    """A pantry in which an own material beats a built-in one of the same name or alias."""
    own_names = {fold(m.name) for m in own}
    materials = tuple(own) + tuple(m for m in built_in if fold(m.name) not in own_names)
    by_name: dict[str, Material] = {}
    for material in materials:
        by_name.setdefault(fold(material.name), material)
    for material in materials:
        for alias in material.aliases:
            by_name.setdefault(fold(alias), material)
    return Pantry(materials, by_name)


@dataclass(frozen=True, slots=True)
class ResolvedLine:
    """A line of a recipe and the material it means."""

    line: RecipeLine
    material: Material


def resolve(recipe: Recipe, shelf: Pantry) -> tuple[tuple[ResolvedLine, ...], tuple[Problem, ...]]:
    """The materials of a recipe's lines, and every problem with them found in one pass."""
    found: list[ResolvedLine] = []
    problems: list[Problem] = []
    for line in recipe.lines:
        material = shelf.find(line.material)
        if material is None:
            problems.append(_unknown(recipe, line, shelf))
            continue
        problems.extend(_formula_problem(material))
        problems.extend(_unusual_amount(recipe, line, material))
        found.append(ResolvedLine(line, material))
    return tuple(found), tuple(problems)


def _unknown(recipe: Recipe, line: RecipeLine, shelf: Pantry) -> Problem:
    hint = did_you_mean(line.material, shelf.names()) or "list them with: glazecalc materials"
    return error(
        "unknown-material", f"no material is called {line.material!r}",
        f"{hint}; or add its analysis with: glazecalc materials --add SHEET.csv", recipe.file, line.line,
    )  # fmt: skip


def _formula_problem(material: Material) -> list[Problem]:
    try:
        moles_per_gram(material)
    except FormulaError as exc:
        return [error("formula", f"{material.name}: {exc}", exc.hint, material.file, material.line)]
    return []


def _unusual_amount(recipe: Recipe, line: RecipeLine, material: Material) -> list[Problem]:
    if recipe.kind != "glaze" or not recipe.base_total:
        return []
    percent = 100 * line.amount / recipe.base_total
    low, high = material.usual_low, material.usual_high
    if high is not None and percent > high:
        side = f"more than is usual ({high:g} % at most)"
    elif low is not None and percent < low:
        side = f"less than is usual ({low:g} % at least)"
    else:
        return []
    return [
        remark(
            "unusual-amount", f"{line.material} at {percent:.3g} % of the base is {side}", "check the decimal point",
            recipe.file, line.line,
        )
    ]  # fmt: skip


def table_of(lines: Sequence[ResolvedLine]) -> MaterialTable:
    """The materials of resolved lines as arrays, a row per line."""
    return material_table([r.material for r in lines])
