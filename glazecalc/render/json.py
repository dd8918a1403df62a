"""Values as the JSON of the contract: stable keys, full floats, None where nothing is known."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, Final

from glazecalc.render.words import Cell, fahrenheit
from glazecalc.values.answers import Estimate, Problem, Verdict, is_known, percent_words
from glazecalc.values.inputs import Recipe

if TYPE_CHECKING:
    from glazecalc.values.mains import CircuitResult, Reason
    from glazecalc.values.results.adjust import (
        AdjustResult,
        BatchResult,
        Character,
        Comparison,
        Option,
        OxideShift,
        Proof,
        SwapResult,
    )
    from glazecalc.values.results.check import Batch, CheckResult, Formula
    from glazecalc.values.results.firing import FiringReport
    from glazecalc.values.results.formula import FormulaResult
    from glazecalc.values.results.kiln import Ceiling, CurvePoint, KilnReport, PlaceResult, WearTrend
    from glazecalc.values.results.tiles import CornerBatch, TilePoint, TilesResult
    from glazecalc.values.results.weigh import BucketResult, ShoppingList, Water, WeighLine, WeighResult


def problem_json(problem: Problem) -> dict[str, Any]:
    """A problem's six fields."""
    return {
        "code": problem.code, "severity": problem.severity.value, "message": problem.message,
        "hint": problem.hint, "file": problem.file, "line": problem.line,
    }  # fmt: skip


def estimate_json(estimate: Estimate) -> dict[str, Any]:
    """An estimate's eight fields."""
    return {
        "name": estimate.name, "value": estimate.value, "low": estimate.low, "high": estimate.high,
        "unit": estimate.unit, "basis": estimate.basis.value,
        "sources": list(estimate.sources), "caveats": list(estimate.caveats),
    }  # fmt: skip


def estimates_json(estimates: Iterable[Estimate]) -> dict[str, Any]:
    """Estimates by their names."""
    return {e.name: estimate_json(e) for e in estimates}


def verdict_json(verdict: Verdict) -> dict[str, Any]:
    """A verdict's four fields."""
    return {
        "rule": verdict.rule, "answer": verdict.answer.value,
        "message": verdict.message, "evidence": list(verdict.evidence),
    }  # fmt: skip


def formula_json(formula: Formula | None) -> dict[str, Any]:
    """The composition keys that `check` and `formula` share."""
    if formula is None:
        return {
            "unity": {}, "mole_percent": {}, "weight_percent": {}, "loss_on_ignition_percent": None, "ratios": {},
        }  # fmt: skip
    ratios = formula.ratios
    return {
        "unity": formula.unity(),
        "unity_intervals": {
            line.oxide: [line.unity_low, line.unity_high] for line in formula.lines if line.unity is not None
        },
        "mole_percent": formula.mole_percent(),
        "weight_percent": formula.weight_percent(),
        "loss_on_ignition_percent": formula.loss_on_ignition_percent,
        "ratios": {
            "silica_alumina": ratios.silica_alumina, "alkali_fraction": ratios.alkali_fraction,
            "earth_fraction": ratios.earth_fraction, "boron_unity": ratios.boron_unity,
        },
        "flux_convention": formula.convention,
        "solids_density": formula.solids_density,
    }  # fmt: skip


def batch_json(batch: Batch | None) -> dict[str, Any] | None:
    """The batch as understood."""
    if batch is None:
        return None
    return {
        "base_total": batch.base_total,
        "addition_total": batch.addition_total,
        "lines": [
            {
                "written": line.written, "material": line.material, "amount": line.amount,
                "percent": line.percent, "addition": line.addition, "hazards": list(line.hazards),
            }
            for line in batch.lines
        ],
    }  # fmt: skip


def check_json(result: CheckResult) -> dict[str, Any]:
    """A check result of the contract."""
    recipe = result.recipe
    return {
        "recipe": recipe.name, "file": recipe.file, "kind": recipe.kind,
        "stated_cone": str(recipe.cone) if recipe.cone else None,
        "body": result.body, "kiln": result.kiln, "circuit": result.circuit, "cone": result.cone,
        "answer": result.answer.value, "sentence": result.sentence,
        **formula_json(result.formula),
        "batch": batch_json(result.batch),
        "estimates": estimates_json(result.estimates),
        "verdicts": [verdict_json(v) for v in result.verdicts],
        "cautions": list(result.cautions), "next_steps": list(result.next_steps), "sources": list(result.sources),
    }  # fmt: skip


def formula_result_json(result: FormulaResult) -> dict[str, Any]:
    """A `formula` result of the contract."""
    return {
        "recipe": result.recipe.name, "file": result.recipe.file, "kind": result.recipe.kind,
        **formula_json(result.formula),
        "batch": batch_json(result.batch),
        "estimates": estimates_json(result.estimates),
        "explanations": [
            {"oxide": e.oxide, "mole_percent": e.mole_percent, "push": e.push, "one_more": e.one_more}
            for e in result.explanations
        ],
        "explanation_reference": result.explanation_reference,
        "models": [
            estimate_json(m.estimate) | {"from_degC": m.from_degC, "to_degC": m.to_degC} for m in result.models
        ],
        "cautions": list(result.cautions),
        "sources": list(result.sources),
    }  # fmt: skip


# Changes, swaps, batches made to a formula, and comparisons as the JSON of the contract.


def recipe_lines_json(recipe: Recipe) -> list[dict[str, Any]]:
    """A recipe as the list of its lines."""
    return [{"material": r.material, "amount": r.amount, "addition": r.addition} for r in recipe.lines]


def shift_json(shift: OxideShift) -> dict[str, Any]:
    """One oxide before and after, in unity terms."""
    return {"oxide": shift.oxide, "before": shift.before, "after": shift.after, "notices": shift.notices}


def character_json(character: Character) -> dict[str, Any]:
    """What a change costs in character."""
    return {
        "distance": character.distance, "words": character.words, "sentences": list(character.sentences),
        "shifts": [shift_json(s) for s in character.shifts], "sources": list(character.sources),
    }  # fmt: skip


def proof_json(proof: Proof | None) -> dict[str, Any] | None:
    """The proof tiles."""
    if proof is None:
        return None
    tiles = [
        {
            "id": t.id, "old_parts": t.old_parts, "new_parts": t.new_parts,
            "sound_probability": t.sound_probability, "matures_probability": t.matures_probability,
        }
        for t in proof.tiles
    ]  # fmt: skip
    return {"sentence": proof.sentence, "tiles": tiles}


def option_json(option: Option, before: CheckResult | None) -> dict[str, Any]:
    """One option of the contract: kind, changes, recipe, before, after; and what else a program would want."""
    return {
        "kind": option.kind.value,
        "sentence": option.sentence,
        "changes": [
            {"material": c.material, "before": c.before, "after": c.after, "addition": c.addition}
            for c in option.changes
        ],
        "recipe": recipe_lines_json(option.recipe),
        "recipe_name": option.recipe.name,
        "before": None if before is None else check_json(before),
        "after": check_json(option.after),
        "character": character_json(option.character),
        "meets_goals": option.meets_goals,
        "exact": option.exact,
        "besides": list(option.besides),
        "to_bucket": option.to_bucket,
        "proof": proof_json(option.proof),
        "notes": list(option.notes),
        "came_along": [shift_json(s) for s in option.came_along],
        "not_matched": [shift_json(s) for s in option.not_matched],
        "hand_steps": [
            {
                "material": s.material,
                "oxide": s.oxide,
                "equivalents": s.equivalents,
                "brings": dict(s.brings),
                "weight": s.weight,
            }
            for s in option.steps
        ],
        "clay_percent": option.clay_percent,
        "objective": option.objective,
    }


def adjust_json(result: AdjustResult) -> dict[str, Any]:
    """An `adjust` result of the contract."""
    goals = result.goals
    return {
        "recipe": result.recipe.name,
        "file": result.recipe.file,
        "answer": result.answer.value,
        "sentence": result.sentence,
        "goals": {
            "words": list(goals.words), "sound": goals.sound if goals.fit else None,
            "matures": goals.matures if goals.melt else None,
        },
        "before": check_json(result.before),
        "options": [option_json(o, result.before) for o in result.options],
        "infeasible_because": result.infeasible_because or None,
        "binding": list(result.binding),
        "would_help": list(result.would_help),
        "nearest": None if result.nearest is None else option_json(result.nearest, result.before),
        "shelf": list(result.shelf),
        "notes": list(result.notes),
        "cautions": list(result.cautions),
    }  # fmt: skip


def swap_json(result: SwapResult) -> dict[str, Any]:
    """A `swap` result of the contract."""
    return {
        "recipe": result.recipe.name,
        "file": result.recipe.file,
        "old": result.old,
        "new": list(result.new),
        "sentence": result.sentence,
        "before": check_json(result.before),
        "clay_percent_before": result.clay_percent,
        "options": [option_json(o, result.before) for o in result.options],
        "infeasible_because": result.infeasible_because or None,
        "notes": list(result.notes),
        "cautions": list(result.cautions),
    }


def batch_result_json(result: BatchResult) -> dict[str, Any]:
    """A formula made into batches; there is no recipe before."""
    return {
        "target": result.target.name,
        "file": result.target.file,
        "target_unity": dict(result.target_unity),
        "tolerance": result.tolerance,
        "sentence": result.sentence,
        "options": [option_json(o, None) for o in result.options],
        "infeasible_because": result.infeasible_because or None,
        "notes": list(result.notes),
        "cautions": list(result.cautions),
    }


def comparison_json(result: Comparison) -> dict[str, Any]:
    """Recipes side by side."""
    return {
        "recipes": [
            {
                "name": e.check.recipe.name,
                "check": check_json(e.check),
                "character": None if e.character is None else character_json(e.character),
                "relatives": [
                    {"name": r.name, "file": r.file, "distance": r.distance, "words": r.words} for r in e.relatives
                ],
            }
            for e in result.entries
        ],
        "materials": {name: list(values) for name, values in result.materials},
        "unity": {name: list(values) for name, values in result.oxides},
        "differences": list(result.differences),
        "cautions": list(result.cautions),
    }


# A kiln's set-up check as the JSON of the contract.


def kiln_json(report: KilnReport) -> dict[str, Any]:
    """One kiln."""
    ceiling = report.ceiling
    return {
        "kiln": report.kiln,
        "circuit": report.circuit,
        "answer": report.answer.value,
        "sentence": report.sentence,
        "circuits": [circuit_json(c) for c in report.circuits],
        "verdicts": [verdict_json(v) for v in report.verdicts],
        "estimates": estimates_json((*report.estimates, *(report.place.estimates if report.place else ()))),
        "ceiling": None if ceiling is None else ceiling_json(ceiling),
        "heating_curve": curve_json(report.heating),
        "cooling_curve": curve_json(report.cooling),
        "pieces_per_firing": {s.piece: s.per_firing for s in report.stacks},
        "stacking": [
            {
                "piece": s.piece,
                "per_level": s.per_level,
                "levels": s.levels,
                "levels_by_height": s.levels_by_height,
                "per_firing": s.per_firing,
            }
            for s in report.stacks
        ],
        "place": None if report.place is None else place_json(report.place),
        "wear": None if report.wear is None else wear_json(report.wear),
        "cautions": list(report.cautions),
        "next_steps": list(report.next_steps),
        "sources": list(report.sources),
    }


def circuit_json(result: CircuitResult) -> dict[str, Any]:
    """One circuit of the contract."""
    return {
        "name": result.name,
        "answer": result.answer.value,
        "load_A": result.load_A,
        "breaker_A": result.breaker_A,
        "minimum_breaker_A": result.minimum_breaker_A,
        "continuous_limit_A": result.continuous_limit_A,
        "voltage_drop_V": result.voltage_drop_V,
        "volts_at_kiln_V": result.volts_at_kiln_V,
        "power_fraction": result.power_fraction,
        "reasons": reasons_json(result.reasons),
    }


def reasons_json(reasons: Iterable[Reason]) -> list[dict[str, str]]:
    """Reasons: code, message, and the answer each speaks for."""
    return [{"code": r.code, "message": r.message, "answer": r.answer.value, "clause": r.clause} for r in reasons]


def ceiling_json(ceiling: Ceiling) -> dict[str, Any]:
    """The ceiling in cones, and every cone with its chance and hours."""
    return {
        "cone": str(ceiling.cone) if ceiling.cone else None,
        "cone_low": str(ceiling.cone_low) if ceiling.cone_low else None,
        "cone_high": str(ceiling.cone_high) if ceiling.cone_high else None,
        "notes": list(ceiling.notes),
        "cones": [
            {"cone": str(c.cone), "chance": c.chance, "hours": None if c.hours is None else estimate_json(c.hours)}
            for c in ceiling.cones
        ],
    }


def curve_json(points: Iterable[CurvePoint]) -> list[dict[str, float]]:
    """A curve with its interval."""
    return [{"hours": p.hours, "degC": p.degC, "low_degC": p.low_degC, "high_degC": p.high_degC} for p in points]


def place_json(place: PlaceResult) -> dict[str, Any]:
    """Where it stands."""
    return {
        "room": place.room,
        "answer": place.answer.value,
        "reasons": reasons_json(place.reasons),
        "estimates": estimates_json(place.estimates),
        "releases": [
            {
                "gas": r.gas,
                "of": r.of,
                "grams": r.grams,
                "low_g": r.low_g,
                "high_g": r.high_g,
                "from_degC": r.from_degC,
                "to_degC": r.to_degC,
                "caution": r.caution,
                "source": r.source,
            }
            for r in place.releases
        ],
        "cautions": [*place.hazards, *place.cautions],
    }


def wear_json(wear: WearTrend) -> dict[str, Any]:
    """Hours per firing."""
    return {
        "verdict": verdict_json(wear.verdict),
        "hours": list(wear.hours),
        "percent_per_firing": wear.percent_per_firing,
    }


# A firing as the JSON of the contract.


def firing_json(report: FiringReport) -> dict[str, Any]:
    """One firing: segments, cones, what the kiln makes of it."""
    return {
        "title": report.title,
        "kind": report.kind,
        "cone": _name(report.cone),
        "kiln": report.kiln,
        "circuit": report.circuit,
        "answer": report.answer.value if report.answer else None,
        "sentence": report.sentence,
        "segments": [
            {
                "rate_degC_per_h": s.rate_degC_per_h,
                "to_degC": s.to_degC,
                "hold_h": s.hold_h,
                "rate_degF_per_h": s.rate_degC_per_h * 9 / 5,
                "to_degF": fahrenheit(s.to_degC),
                "ends_at_h": s.ends_at_h,
                "why": s.why,
                "kept_chance": s.kept,
                "asked_degC_per_h": s.asked_degC_per_h,
            }
            for s in report.segments
        ],
        "total_h": report.total_h,
        "cones": [
            {"cone": str(c.cone), "bends_at_h": c.bends_at_h, "bends_at_degC": c.bends_at_degC, "done": c.done}
            for c in report.cones
        ],
        "reached_cone": _name(report.reached_cone),
        "reached_cone_low": _name(report.cone_low),
        "reached_cone_high": _name(report.cone_high),
        "witness_cones": [str(c) for c in report.witness_cones],
        "hold_worth_degC": report.hold_worth_K,
        "verdicts": [verdict_json(v) for v in report.verdicts],
        "cannot_follow": list(report.cannot_follow),
        "turn_ups": [{"at_h": t.at_h, "degC": t.degC, "text": t.text} for t in report.turn_ups],
        "safety": [{"stage": n.stage, "text": n.text} for n in report.safety],
        "estimates": estimates_json(report.estimates),
        "planned_curve": [{"hours": h, "degC": t} for h, t in report.planned],
        "predicted_curve": curve_json(report.predicted),
        "notes": list(report.notes),
        "sources": list(report.sources),
    }


def _name(cone: object) -> str | None:
    return None if cone is None else str(cone)


# Weighing results as the JSON of the contract, and as rows of a table.

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
    from glazecalc.values.results.weigh import WeighResult

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


# A plan of tiles as the JSON of the contract, and as rows of a table.

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
