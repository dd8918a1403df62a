"""Values as the JSON of the contract: stable keys, full floats, None where nothing is known.

One dump takes every result field by field, in the order of its class. :data:`SHAPES` names the keys of the classes
that differ from that, :data:`MADE` holds what is neither a field nor a part of one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from typing import TYPE_CHECKING, Any, Final

from glazecalc.render.words import fahrenheit
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import ConeRange

if TYPE_CHECKING:
    from glazecalc.values.answers import Estimate
    from glazecalc.values.results.adjust import AdjustResult
    from glazecalc.values.results.kiln import KilnLearned
    from glazecalc.values.results.learn import Lesson

_CARD: Final = "recipe=recipe.name file=recipe.file"
SHAPES: Final = {
    "Verdict": "... -because -remedy -shown -tray",
    "Formula": "unity unity_intervals= mole_percent weight_percent loss_on_ignition_percent ratios "
    "flux_convention=convention solids_density",
    "Batch": "base_total addition_total lines",
    "BatchLine": "... -known",
    "CheckResult": f"{_CARD} kind=recipe.kind stated_cone=recipe.cone body kiln circuit cone answer sentence formula "
    "... -problems -poisons",
    "FormulaResult": f"{_CARD} kind=recipe.kind formula batch estimates explanations explanation_reference models "
    "cautions sources",
    "RecipeLine": "material amount addition",
    "Character": "distance words sentences ...",
    "Proof": "sentence tiles",
    "Option": "kind sentence changes recipe=recipe.lines recipe_name=recipe.name before= after character meets_goals "
    "exact besides to_bucket proof notes came_along not_matched hand_steps=steps clay_percent objective",
    "Goals": "words sound= matures=",
    "AdjustResult": f"{_CARD} answer sentence goals before options infeasible_because? ... -clay_percent",
    "SwapResult": f"{_CARD} old new sentence before clay_percent_before=clay_percent options infeasible_because? ...",
    "BatchResult": "target=target.name file=target.file target_unity tolerance sentence options "
    "infeasible_because? ...",
    "Comparison": "recipes=entries materials unity=oxides differences cautions",
    "Compared": "name=check.recipe.name ...",
    "KilnReport": "kiln circuit answer sentence circuits verdicts estimates ceiling heating_curve=heating "
    "cooling_curve=cooling pieces_per_firing= stacking=stacks place wear cautions next_steps sources",
    "Ceiling": "cone cone_low cone_high notes cones",
    "CurvePoint": "hours degC ...",
    "StackCount": "... per_firing",
    "Release": "gas of ...",
    "PlaceResult": "... -hazards",
    "KilnLearned": "kiln sentence estimates before firings= wear next_steps",
    "Segment": "rate_degC_per_h to_degC hold_h rate_degF_per_h= to_degF= ends_at_h why kept_chance=kept "
    "asked_degC_per_h",
    "SafetyNote": "... -first",
    "FiringReport": "title kind cone kiln circuit answer sentence segments total_h cones reached_cone "
    "reached_cone_low=cone_low reached_cone_high=cone_high witness_cones hold_worth_degC=hold_worth_K verdicts "
    "cannot_follow turn_ups safety estimates planned_curve= predicted_curve=predicted notes sources",
    "WeighLine": "... -known",
    "Water": "water_g water_to_add_g slurry_mL specific_gravity dry_g_per_L solids_density",
    "WeighResult": f"{_CARD} wanted lines dry_g base_g additions_g scale_total_g water tolerance_percent "
    "smallest_batch_g splits scale_effects= recover=mending reasons cautions cost cost_is_complete currency",
    "BucketAddition": "line percent",
    "BucketResult": f"{_CARD} wanted= lines=additions dry_g dry_error_percent water_g slurry_mL slurry_g "
    "specific_gravity specific_gravity_error solids_density water_for_same_gravity_g wanted_gravity "
    "water_to_wanted_g smallest_batch_g= reasons cautions",
    "TilesResult": "plan shape corner_names by part part_unit body kiln cone tile ... -problems",
    "TilePoint": "id number row column parts measures dry_shares recipe formula=check.formula "
    "estimates=check.estimates verdicts=check.verdicts answer=check.answer marks place",
    "CornerBatch": "letter name dry_g=batch_g taken_g water_g=sheet.water.water_g slurry_mL=sheet.water.slurry_mL "
    "specific_gravity=sheet.water.specific_gravity dry_per_mL gravity_for_equal_dry "
    "smallest_batch_g=sheet.smallest_batch_g lines=sheet.lines",
    "Lesson": "body cone estimates= tiles contradictions=learned.contradictions next_tiles tiles_per_firing curve=",
    "NextTile": "name information_bits width_after outcomes how",
    "ClayReport": "body ware colour cone cone_range formula phases estimates by_cone=lines ...",
    "FirstGlaze": "cone answer sentence glaze=chosen check=chosen.check batch tiles others ... -problems",
    "Candidate": "name=recipe.name stated_cone=recipe.cone surface=recipe.surface source=recipe.source looks "
    "recipe=recipe.lines answer sound_probability=sound missing",
    "Entry": "kind id revision recorded_at withdrawn record",
    **dict.fromkeys(("TileRecord", "FiringRecord", "BatchRecord"), "... -id"),
    "Act": "number recorded_at undoes? undone steps",
    "Step": "done changed entry",
    "MaterialFacts": "name=material.name aliases=material.aliases family=material.family kind=material.kind "
    "own=material.own formula=material.formula weight_percent=oxides moles_per_100g loss_on_ignition_percent "
    "left_by_oxides_percent spread_percent density=material.density hazards=material.hazards "
    "price_per_kg=material.price_per_kg lot=material.lot source notes=material.notes",
}
"""Keys of a class in order: ``key=where.it.is``, ``key=`` for what :data:`MADE` fills in, ``key?`` for None in place of
an empty text, ``...`` for all other fields but those with ``-`` before them."""

_FLAT: Final = ("Formula", "Water", "WeighLine", "Record")
"""Classes whose keys stand among those of what holds them."""
_PAIRED: Final = ("Amounts", "tuple[tuple[str, tuple[", "tuple[tuple[TileResult, ")
"""How the types of fields begin that hold pairs of a name and what goes with it."""


def for_json(value: object) -> Any:
    """A value as what ``json.dumps`` takes: results by their keys, cones by name, estimates by theirs."""
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, Cone | ConeRange):
        return str(value)
    if isinstance(value, Mapping):
        return {for_json(key): for_json(of) for key, of in value.items()}
    if isinstance(value, tuple | list):
        return [for_json(item) for item in value]
    return _dumped(value)


def by_name(estimates: Iterable[Estimate]) -> dict[str, Any]:
    """Estimates by their names."""
    return {estimate.name: for_json(estimate) for estimate in estimates}


def _dumped(value: object) -> dict[str, Any]:
    found: dict[str, Any] = {}
    of: Any = type(value)
    for key, path in _keys(of):
        held, kind = _held(value, path)
        if kind.removesuffix(" | None") in _FLAT:
            found |= NO_FORMULA if held is None else for_json(held)
        elif kind == "tuple[Estimate, ...]":
            found[key] = by_name(held)
        elif kind.startswith(_PAIRED):
            found[key] = for_json(dict(held))
        elif key.endswith("?"):
            found[key[:-1]] = for_json(held) or None
        else:
            found[key] = for_json(held)
    more = MADE.get(of.__name__)
    return found if more is None else found | more(value, found)


@cache
def _keys(kind: Any) -> tuple[tuple[str, str], ...]:
    """The keys of a class, each with where its value is; empty for what is made."""
    words = SHAPES.get(kind.__name__, "...").split()
    pairs = [(word.partition("=")[0], _path(word)) for word in words if word[0] != "-"]
    named = {path.partition(".")[0] for _, path in pairs} | {word[1:] for word in words if word[0] == "-"}
    rest = [(name, name) for name in _kinds(kind) if name not in named]
    return tuple(pair for key, path in pairs for pair in (rest if key == "..." else [(key, path)]))


def _path(word: str) -> str:
    key, equals, path = word.partition("=")
    return path if equals else key.removesuffix("?")


@cache
def _kinds(kind: Any) -> dict[str, str]:
    """The fields of a class with their types as they are written."""
    return {f.name: str(f.type) for f in fields(kind)} if is_dataclass(kind) else {}


def _held(value: Any, path: str) -> tuple[Any, str]:
    """What is found along a path, and the type it is written to have; None where something on the way is None."""
    kind = ""
    if not path:
        return None, ""
    for name in path.split("."):
        if value is None:
            return None, ""
        of: Any = type(value)
        kind = _kinds(of).get(name, "")
        value = getattr(value, name)
    return (value() if callable(value) else value), kind


# What is made: figures of another unit, options beside the one recipe before them, pairs that have names.

NO_FORMULA: Final[dict[str, Any]] = {
    "unity": {}, "mole_percent": {}, "weight_percent": {}, "loss_on_ignition_percent": None, "ratios": {},
}  # fmt: skip
"""What stands for the formula of a recipe that has none."""


def _changed(result: AdjustResult, found: dict[str, Any]) -> dict[str, Any]:
    for option in filter(None, (*found["options"], found.get("nearest"))):
        option["before"] = found["before"]
    return {}


def _kiln_learned(learned: KilnLearned, found: dict[str, Any]) -> dict[str, Any]:
    for key, ceiling in (("estimates", learned.ceiling), ("before", learned.ceiling_before)):
        if ceiling is not None:
            found[key]["kiln_ceiling"] = for_json(ceiling.estimate)
    firings = ((True, learned.used), (False, learned.left_out))
    return {"firings": [{"id": id_, "used": used, "reason": why} for used, pairs in firings for id_, why in pairs]}


def _lesson(lesson: Lesson, found: dict[str, Any]) -> dict[str, Any]:
    learned = lesson.learned
    expansion = {"prior": for_json(learned.prior), "posterior": for_json(learned.posterior)}
    curve = {"expansion": learned.thetas, "prior": learned.prior_curve, "posterior": learned.curve}
    return {"estimates": {"body_expansion": expansion}, "curve": for_json(curve)}


MADE: Final[dict[str, Callable[[Any, dict[str, Any]], dict[str, Any]]]] = {
    "Formula": lambda formula, found: {"unity_intervals": {
        line.oxide: [line.unity_low, line.unity_high] for line in formula.lines if line.unity is not None
    }},
    "FormulaResult": lambda result, found: {"models": [
        for_json(model.estimate) | {"from_degC": model.from_degC, "to_degC": model.to_degC} for model in result.models
    ]},
    "Goals": lambda goals, found: {
        "sound": goals.sound if goals.fit else None, "matures": goals.matures if goals.melt else None,
    },
    "AdjustResult": _changed,
    "SwapResult": _changed,
    "KilnReport": lambda report, found: {
        "estimates": found["estimates"] | ({} if report.place is None else found["place"]["estimates"]),
        "pieces_per_firing": {stack.piece: stack.per_firing for stack in report.stacks},
    },
    "PlaceResult": lambda place, found: {"cautions": [*place.hazards, *place.cautions]},
    "KilnLearned": _kiln_learned,
    "Segment": lambda segment, found: {
        "rate_degF_per_h": segment.rate_degC_per_h * 9 / 5, "to_degF": fahrenheit(segment.to_degC),
    },
    "FiringReport": lambda report, found: {
        "planned_curve": [{"hours": hours, "degC": degC} for hours, degC in report.planned],
    },
    "WeighResult": lambda result, found: {"scale_effects": {
        effect.name: {key: of for key, of in for_json(effect).items() if key != "name"} for effect in result.effects
    }},
    "BucketResult": lambda result, found: {"wanted": "bucket"},
    "Lesson": _lesson,
}  # fmt: skip
"""What is put into the keys of a class, from the value and from what was dumped of it."""
