"""A plan of tiles as the JSON of the contract, and as rows of a table."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, Final

from glazecalc.show.csv_safe import Cell
from glazecalc.show.json_form import estimates_json, formula_json, verdict_json
from glazecalc.show.weigh_json import weigh_json
from glazecalc.values.estimate import is_known, percent_words
from glazecalc.values.report import CheckResult
from glazecalc.values.tiles import CornerBatch, TilePoint, TilesResult

TOLD: Final = ("expansion", "crazing_probability", "shivering_probability")
"""What a table of tiles tells of each."""


def told(check: CheckResult, name: str) -> float | None:
    """An estimate's figure, or None where there is none or `check` would not show it."""
    found = check.estimate(name)
    return found.value if found is not None and is_known(found) else None


def chance_cell(chance: float | None, empty: str = "") -> str:
    """A chance in a narrow cell, never a certainty.

    >>> chance_cell(0.374), chance_cell(0.003), chance_cell(1.0), chance_cell(None)
    ('37 %', '<1 %', '>99 %', '')
    """
    return empty if chance is None else percent_words(chance).replace("under ", "<").replace("over ", ">")


def tiles_json(result: TilesResult) -> dict[str, Any]:
    """A `tiles` result of the contract."""
    return {
        "plan": result.plan, "shape": list(result.shape), "corner_names": list(result.corner_names),
        "by": result.by, "part": result.part, "part_unit": "g" if result.by == "dry" else "mL",
        "body": result.body, "kiln": result.kiln, "cone": result.cone, "tile": result.tile,
        "points": [point_json(p) for p in result.points],
        "corners": [corner_json(c) for c in result.corners],
        "tiles_per_firing": result.tiles_per_firing, "firings": result.firings,
        "pots": [asdict(p) for p in result.pots],
        "volume_cost": None if result.volume_cost is None else asdict(result.volume_cost),
        "choice": None if result.choice is None else asdict(result.choice),
        "recorded": result.recorded, "notes": list(result.notes), "cautions": list(result.cautions),
        "warnings": list(result.warnings),
    }  # fmt: skip


def point_json(point: TilePoint) -> dict[str, Any]:
    """One tile."""
    check = point.check
    return {
        "id": point.id, "number": point.number, "row": point.row, "column": point.column,
        "parts": list(point.parts), "measures": list(point.measures), "dry_shares": list(point.dry_shares),
        "recipe": [asdict(line) for line in point.recipe],
        **formula_json(check.formula),
        "estimates": estimates_json(check.estimates),
        "verdicts": [verdict_json(v) for v in check.verdicts],
        "answer": check.answer.value,
        "marks": list(point.marks),
        "place": None if point.place is None else asdict(point.place),
    }  # fmt: skip


def corner_json(corner: CornerBatch) -> dict[str, Any]:
    """One corner batch: ``dry_g`` is what to mix, ``lines`` how to weigh it."""
    sheet = weigh_json(corner.sheet)
    return {
        "letter": corner.letter, "name": corner.name, "dry_g": corner.batch_g, "taken_g": corner.taken_g,
        "water_g": corner.sheet.water.water_g, "slurry_mL": corner.sheet.water.slurry_mL,
        "specific_gravity": corner.sheet.water.specific_gravity, "dry_per_mL": corner.dry_per_mL,
        "gravity_for_equal_dry": corner.gravity_for_equal_dry,
        "smallest_batch_g": corner.sheet.smallest_batch_g, "lines": sheet["lines"],
    }  # fmt: skip


def tiles_columns(result: TilesResult) -> list[str]:
    """Head of the table: one column a corner, then what is expected."""
    unit = "g" if result.by == "dry" else "mL"
    return [
        "id", "number", *(f"{name} parts" for name in result.corner_names),
        *(f"{name} {unit}" for name in result.corner_names),
        *TOLD, "answer", "firing", "shelf", "spot", "marks",
    ]  # fmt: skip


def tiles_rows(result: TilesResult) -> list[list[Cell]]:
    """One row a tile under :func:`tiles_columns`."""
    rows: list[list[Cell]] = []
    for p in result.points:
        place = p.place
        rows.append([
            p.id, p.number, *p.parts, *p.measures, *(told(p.check, name) for name in TOLD),
            p.check.answer.value,
            *((None, None, None) if place is None else (place.firing, place.shelf, place.spot)), "; ".join(p.marks),
        ])  # fmt: skip
    return rows
