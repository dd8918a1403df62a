"""What the columns of a table mean: amounts of oxides or materials, the id, and those that are not used."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from glazecalc.chemistry.composition import Array, compose, material_table, moles_from_weight_percent
from glazecalc.chemistry.oxides import OXIDES
from glazecalc.jobs.materials import Pantry, very_close
from glazecalc.jobs.screening.rows import Rows
from glazecalc.values.answers import Problem, ProblemsError, error, remark
from glazecalc.values.oxides import INDEX, find_oxide, suggest_oxide

ScreenBasis = Literal["mole", "weight", "unity", "recipe"]
MOST_UNUSED: Final = 10
"""Unused columns that are named one by one; the rest are counted."""


@dataclass(frozen=True, slots=True, eq=False)
class Meaning:
    """Which columns of a table are what: the id, and the columns of amounts with the row each has in ``to_moles``,
    and in ``to_sd`` where the amounts are of materials, whose analyses vary."""

    ident: str | None
    amounts: tuple[str, ...]
    to_moles: Array
    to_sd: Array | None = None


def amount_test(basis: ScreenBasis, shelf: Pantry) -> Callable[[str], bool]:
    """Tells by its head whether a column holds amounts."""
    return lambda name: bool(_meant(name, basis, shelf))


def meaning_of(table: Rows, basis: ScreenBasis, shelf: Pantry, file: str) -> tuple[Meaning, list[Problem]]:
    """What the columns mean, judged by their heads and the first rows, and what was noticed.

    Raises ProblemsError if no column is an oxide (a material, for ``recipe``), or one is an obvious slip.
    """
    amounts: list[str] = []
    rows: list[tuple[Array, Array]] = []
    others: list[str] = []
    problems: list[Problem] = []
    typed: dict[str, str] = {}
    for name in table.names:
        meant = _meant(name, basis, shelf)
        if meant and meant in typed:
            text = f"columns {typed[meant]!r} and {name!r} are both {meant}"
            problems.append(error("column-twice", text, "keep one, or add them up", file, 1))
        typed.setdefault(meant, name)
        row = _material_row(name, shelf) if basis == "recipe" else _oxide_row(name, basis)
        if row is not None:
            amounts.append(name)
            rows.append(row)
            continue
        others.append(name)
        problems += _unused(name, table.cells(name), basis, shelf, file, is_id=len(others) == 1)
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    if not amounts:
        what = "a material" if basis == "recipe" else "an oxide such as SiO2"
        raise ProblemsError(
            [error("no-columns", f"no column is headed by {what}", _other_basis(others, basis, shelf), file, 1)]
        )
    more = len(problems) - MOST_UNUSED
    if more > 1:
        problems[MOST_UNUSED:] = [remark("unused-column", f"{more} more columns are not used", file=file, line=1)]
    moles, sd = (np.array(part) for part in zip(*rows, strict=True))
    ident = others[0] if others else None
    return Meaning(ident, tuple(amounts), moles, sd if basis == "recipe" else None), problems


def _meant(name: str, basis: ScreenBasis, shelf: Pantry) -> str:
    """The oxide or material that a column's head means; nothing for any other column."""
    if basis != "recipe":
        return find_oxide(name) or ""
    material = shelf.find(name)
    return "" if material is None else material.name


def clash(ident: str, file: str) -> Problem:
    """What is said of an id column whose head is the name of an estimate."""
    message = f"column {ident!r} has the name of an estimate and cannot hold the ids: the rows are numbered"
    return remark("unused-column", message, "call it otherwise to keep it", file, 1)


def _other_basis(names: list[str], basis: ScreenBasis, shelf: Pantry) -> str:
    """The hint for a table without a column of ``basis``: the other basis, where its columns speak for it."""
    if basis != "recipe" and any(shelf.find(name) for name in names):
        return "its columns are headed by materials: add --basis recipe"
    if basis == "recipe" and any(find_oxide(name) for name in names):
        return "its columns are headed by oxides: say what they hold with --basis mole, weight or unity"
    return "see glazecalc screen --help"


def _unused(name: str, cells: list[str], basis: ScreenBasis, shelf: Pantry, file: str, is_id: bool) -> list[Problem]:
    """A column that is no amount: an error where it holds numbers and its head is close to one that would be known."""
    slip = "" if not _all_numbers(cells) else _slip(name, basis, shelf, is_id)
    if slip:
        return [error("unknown-column", f"column {name!r} is not known", f"did you mean {slip}?", file, 1)]
    if is_id:
        return []
    return [remark("unused-column", f"column {name!r} is not used", file=file, line=1)]


def _slip(name: str, basis: ScreenBasis, shelf: Pantry, is_id: bool) -> str:
    if basis != "recipe":
        return (suggest_oxide(name) or "") if any(c.isdigit() for c in name) else ""
    return "" if is_id and len(name) < 4 else next(iter(very_close(name, shelf.names())), "")


def _all_numbers(cells: list[str]) -> bool:
    """Whether every cell that holds anything, and at least one, is a number."""
    written = [cell for cell in cells if cell.strip()]
    try:
        return bool([float(cell) for cell in written])
    except ValueError:
        return False


def _oxide_row(name: str, basis: ScreenBasis) -> tuple[Array, Array] | None:
    symbol = find_oxide(name)
    if symbol is None:
        return None
    row = np.zeros(len(OXIDES))
    row[INDEX[symbol]] = 1.0
    return (moles_from_weight_percent(row) if basis == "weight" else row), np.zeros(len(OXIDES))


def _material_row(name: str, shelf: Pantry) -> tuple[Array, Array] | None:
    material = shelf.find(name)
    if material is None:
        return None
    one = compose(np.ones((1, 1)), material_table([material]))
    return one.moles[0], one.moles_sd[0]
