"""Weighing results as the JSON of the contract, and as rows of a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any, Final

from glazecalc.show.csv_safe import Cell
from glazecalc.show.json_form import estimate_json
from glazecalc.values.weighing import BucketResult, ShoppingList, Water, WeighLine, WeighResult

WEIGH_COLUMNS: Final = (
    "recipe", "order", "material", "addition", "percent", "target_g", "scale_g", "running_total_g", "error_percent",
    "reading_percent", "within_tolerance", "scale", "goes", "moisture_percent", "hazards",
)  # fmt: skip
SHOPPING_COLUMNS: Final = ("material", "needed_g", "in_stock_g", "to_buy_g", "cost")


def line_json(line: WeighLine) -> dict[str, Any]:
    """One line of a batch sheet."""
    return {
        "material": line.material, "written": line.written, "addition": line.addition, "percent": line.percent,
        "dry_g": line.dry_g, "target_g": line.target_g, "scale_g": line.scale_g, "error_percent": line.error_percent,
        "reading_percent": line.reading_percent, "within_tolerance": line.within_tolerance,
        "below_minimum": line.below_minimum, "scale": line.scale, "resolution_g": line.resolution_g, "goes": line.goes,
        "order": line.order, "running_total_g": line.running_total_g, "moisture_percent": line.moisture_percent,
        "hazards": list(line.hazards), "cost": line.cost, "card_line": line.card_line,
    }  # fmt: skip


def water_json(water: Water) -> dict[str, Any]:
    """The slurry keys of the contract."""
    return {
        "water_g": water.water_g, "water_to_add_g": water.water_to_add_g, "slurry_mL": water.slurry_mL,
        "specific_gravity": water.specific_gravity, "dry_g_per_L": water.dry_g_per_L,
        "solids_density": estimate_json(water.solids_density),
    }  # fmt: skip


def weigh_json(result: WeighResult) -> dict[str, Any]:
    """A `weigh` result of the contract."""
    mending = result.mending
    return {
        "recipe": result.recipe.name, "file": result.recipe.file, "wanted": result.wanted,
        "lines": [line_json(line) for line in result.lines],
        "dry_g": result.dry_g, "base_g": result.base_g, "additions_g": result.additions_g,
        "scale_total_g": result.scale_total_g,
        **water_json(result.water),
        "tolerance_percent": result.tolerance_percent, "smallest_batch_g": result.smallest_batch_g,
        "splits": [asdict(split) for split in result.splits],
        "scale_effects": {
            e.name: {"recipe": e.recipe, "weighed": e.weighed, "low": e.low, "high": e.high, "unit": e.unit}
            for e in result.effects
        },
        "recover": None if mending is None else asdict(mending),
        "reasons": list(result.reasons), "cautions": list(result.cautions),
        "cost": result.cost, "cost_is_complete": result.cost_is_complete, "currency": result.currency,
    }  # fmt: skip


def bucket_json(result: BucketResult) -> dict[str, Any]:
    """A `weigh --bucket` result: the same keys where they mean the same."""
    return {
        "recipe": result.recipe.name, "file": result.recipe.file, "wanted": "bucket",
        "lines": [{**line_json(a.line), "percent": a.percent} for a in result.additions],
        "dry_g": result.dry_g, "dry_error_percent": result.dry_error_percent,
        "water_g": result.water_g, "slurry_mL": result.slurry_mL, "slurry_g": result.slurry_g,
        "specific_gravity": result.specific_gravity, "specific_gravity_error": result.specific_gravity_error,
        "solids_density": estimate_json(result.solids_density),
        "water_for_same_gravity_g": result.water_for_same_gravity_g,
        "wanted_gravity": result.wanted_gravity, "water_to_wanted_g": result.water_to_wanted_g,
        "smallest_batch_g": None, "reasons": list(result.reasons), "cautions": list(result.cautions),
    }  # fmt: skip


def shopping_json(shopping: ShoppingList) -> dict[str, Any]:
    """The shopping list."""
    return asdict(shopping)


def weigh_rows(results: Sequence[WeighResult | BucketResult]) -> list[list[Cell]]:
    """One row a line, in weighing order, under :data:`WEIGH_COLUMNS`."""
    rows: list[list[Cell]] = []
    for result in results:
        if isinstance(result, WeighResult):
            lines = result.in_weighing_order()
        else:
            lines = tuple(a.line for a in result.additions)
        for line in lines:
            rows.append([
                result.recipe.name, line.order, line.material, line.addition, line.percent, line.target_g,
                line.scale_g, line.running_total_g, line.error_percent, line.reading_percent,
                line.within_tolerance, line.scale, line.goes, line.moisture_percent, " ".join(line.hazards),
            ])  # fmt: skip
    return rows


def shopping_rows(shopping: ShoppingList) -> list[list[Cell]]:
    """One row a material under :data:`SHOPPING_COLUMNS`."""
    return [[x.material, x.needed_g, x.in_stock_g, x.to_buy_g, x.cost] for x in shopping.lines]
