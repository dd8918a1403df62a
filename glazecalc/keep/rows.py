"""Records as JSON text and back, the form in which the journal's file and its CSV export keep them."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from typing import Any, Final

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


def record_to_fields(record: Record) -> dict[str, Any]:
    """The record's fields without its id, as plain JSON values."""
    fields = asdict(record)
    del fields["id"]
    return fields


def record_to_text(record: Record) -> str:
    """The record without its id as one JSON text: sorted keys, no NaN, any script kept as written."""
    return json.dumps(record_to_fields(record), ensure_ascii=False, sort_keys=True, allow_nan=False)


def record_from_text(kind: Kind, id_: str, text: str) -> Record:
    """The record that :func:`record_to_text` wrote. Raises ValueError if it is none."""
    fields = json.loads(text)
    if not isinstance(fields, dict):
        raise ValueError("a record must be a JSON object")
    return record_from_fields(kind, id_, fields)


def record_from_fields(kind: Kind, id_: str, fields: Mapping[str, Any]) -> Record:
    """The record of plain JSON values. Raises ValueError for a field or value that cannot be."""
    try:
        return _BUILDERS[kind](id_, dict(fields))
    except (TypeError, KeyError, IndexError) as exc:
        raise ValueError(f"not a {kind} record: {exc}") from exc


def with_id(record: Record, id_: str) -> Record:
    """The same record under the id the journal gave it."""
    return replace(record, id=id_)


def _recipe(fields: Any) -> FrozenRecipe | None:
    if fields is None:
        return None
    lines = tuple(FrozenLine(**line) for line in fields.pop("lines"))
    moles = tuple((str(oxide), float(share)) for oxide, share in fields.pop("moles"))
    return FrozenRecipe(lines=lines, moles=moles, **fields)


def _tile(id_: str, fields: dict[str, Any]) -> TileRecord:
    recipe, results = _recipe(fields.pop("recipe")), tuple(TileResult(r) for r in fields.pop("results"))
    return TileRecord(id=id_, recipe=recipe, results=results, **fields)


def _firing(id_: str, fields: dict[str, Any]) -> FiringRecord:
    cones = tuple(WitnessCone(**c) for c in fields.pop("cones"))
    readings = tuple(Reading(**r) for r in fields.pop("readings"))
    return FiringRecord(id=id_, cones=cones, readings=readings, **fields)


def _batch(id_: str, fields: dict[str, Any]) -> BatchRecord:
    recipe = _recipe(fields.pop("recipe"))
    weighed = tuple((str(m), float(g)) for m, g in fields.pop("weighed"))
    lots = tuple((str(m), str(lot)) for m, lot in fields.pop("lots"))
    return BatchRecord(id=id_, recipe=recipe, weighed=weighed, lots=lots, **fields)


_BUILDERS: Final[dict[Kind, Callable[[str, dict[str, Any]], Record]]] = {
    "tile": _tile,
    "firing": _firing,
    "batch": _batch,
}
