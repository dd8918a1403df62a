"""Changes, swaps, batches made to a formula, and comparisons as the JSON of the contract."""

from __future__ import annotations

from typing import Any

from glazecalc.show.json_form import check_json
from glazecalc.values.adjusting import (
    AdjustResult,
    BatchResult,
    Character,
    Comparison,
    Option,
    OxideShift,
    Proof,
    SwapResult,
)
from glazecalc.values.inputs import Recipe
from glazecalc.values.report import CheckResult


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
    }
