"""Records as JSON text and back, the form in which the journal's file and its CSV export keep them."""

from __future__ import annotations

import json
import types
from collections.abc import Callable, Mapping
from dataclasses import asdict, fields, is_dataclass, replace
from functools import cache
from typing import Any, Final, Union, get_args, get_origin, get_type_hints

from glazecalc.values.oxides import INDEX
from glazecalc.values.records import (
    BatchRecord,
    FiringRecord,
    FrozenLine,
    FrozenRecipe,
    Kind,
    Reading,
    Record,
    TileRecord,
    TileResult,
    WitnessCone,
)

MOST: Final = 1e12
"""No number of a record is larger."""


def record_to_fields(record: Record) -> dict[str, Any]:
    """The record's fields without its id, as plain JSON values."""
    values = asdict(record)
    del values["id"]
    return values


def record_to_text(record: Record) -> str:
    """The record without its id as one JSON text: sorted keys, no NaN, any script kept as written."""
    return json.dumps(record_to_fields(record), ensure_ascii=False, sort_keys=True, allow_nan=False)


def record_from_text(kind: Kind, id_: str, text: str) -> Record:
    """The record that :func:`record_to_text` wrote. Raises ValueError if it is none."""
    written = from_json(text)
    if not isinstance(written, dict):
        raise ValueError(f"it is no {kind} as the journal keeps them")
    return record_from_fields(kind, id_, written)


def from_json(text: str) -> Any:
    """What a JSON text says. Raises ValueError, in a potter's words, if it is none."""
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        raise ValueError(f"{text[:30]!a} is not as it was saved") from None


def record_from_fields(kind: Kind, id_: str, values: Mapping[str, Any]) -> Record:
    """The record of plain JSON values. Raises ValueError for a field or value that cannot be."""
    try:
        record = _BUILDERS[kind](id_, dict(values))
    except (TypeError, KeyError, IndexError, AttributeError, OverflowError) as exc:
        raise ValueError(f"it is no {kind} as the journal keeps them") from exc
    _check_sorts(record)
    return record


def _check_sorts(thing: Any) -> None:
    """Raises ValueError where a field of a record, or of a part of it, holds another sort of value than it should."""
    cls: Any = type(thing)
    hints = _hints(cls)
    for field in fields(thing):
        value = getattr(thing, field.name)
        if not _is(value, hints[field.name]):
            raise ValueError(f"{field.name} cannot be {str(value)[:40]!a}")
    if isinstance(thing, FrozenRecipe):
        _check_amounts(thing)


def _check_amounts(recipe: FrozenRecipe) -> None:
    """Raises ValueError where a recipe could not be mixed, or its formula is none."""
    amounts = [line.amount for line in recipe.lines]
    if amounts and not (min(amounts) >= 0 and sum(amounts) > 0):
        raise ValueError("the amounts of the recipe are below zero, or nothing but zeros")
    shares = [share for oxide, share in recipe.moles if oxide in INDEX]
    if len(shares) < len(recipe.moles) or any(not 0 <= share <= 1.001 for share in shares):
        raise ValueError("the formula of the recipe is not one")
    if shares and not sum(shares) > 0:
        raise ValueError("the formula of the recipe is nothing but zeros")


@cache
def _hints(cls: type) -> dict[str, Any]:
    return get_type_hints(cls)


def _is(value: Any, hint: Any) -> bool:
    """Whether ``value`` is what a type hint of the records says; a number must be finite and of a size that can be."""
    choices, origin = get_args(hint), get_origin(hint)
    if origin in (Union, types.UnionType):
        return any(_is(value, choice) for choice in choices)
    if origin is tuple:
        inner = choices[:1] * len(value) if choices[-1] is ... else choices
        return isinstance(value, tuple) and len(value) == len(inner) and all(map(_is, value, inner))
    if hint in (float, int):
        sorts = (int, float) if hint is float else (int,)
        return isinstance(value, sorts) and not isinstance(value, bool) and abs(value) < MOST
    if not isinstance(value, hint):
        return False
    if is_dataclass(hint):
        _check_sorts(value)
    return True


def with_id(record: Record, id_: str) -> Record:
    """The same record under the id the journal gave it."""
    return replace(record, id=id_)


def _recipe(written: Any) -> FrozenRecipe | None:
    if written is None:
        return None
    values = dict(written)
    lines = tuple(FrozenLine(**line) for line in values.pop("lines"))
    moles = tuple((str(oxide), float(share)) for oxide, share in values.pop("moles"))
    return FrozenRecipe(lines=lines, moles=moles, **values)


def _tile(id_: str, values: dict[str, Any]) -> TileRecord:
    recipe, results = _recipe(values.pop("recipe")), tuple(TileResult(r) for r in values.pop("results"))
    return TileRecord(id=id_, recipe=recipe, results=results, **values)


def _firing(id_: str, values: dict[str, Any]) -> FiringRecord:
    cones = tuple(WitnessCone(**c) for c in values.pop("cones"))
    readings = tuple(Reading(**r) for r in values.pop("readings"))
    return FiringRecord(id=id_, cones=cones, readings=readings, **values)


def _batch(id_: str, values: dict[str, Any]) -> BatchRecord:
    recipe = _recipe(values.pop("recipe"))
    weighed = tuple((str(m), float(g)) for m, g in values.pop("weighed"))
    lots = tuple((str(m), str(lot)) for m, lot in values.pop("lots"))
    return BatchRecord(id=id_, recipe=recipe, weighed=weighed, lots=lots, **values)


_BUILDERS: Final[dict[Kind, Callable[[str, dict[str, Any]], Record]]] = {
    "tile": _tile,
    "firing": _firing,
    "batch": _batch,
}
