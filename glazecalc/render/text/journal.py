"""The journal's entries as text and rows of a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any, Final

from glazecalc.render.words import heading, labelled, table
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.records import BatchRecord, Entry, FiringRecord, FrozenRecipe, Record, TileRecord
from glazecalc.values.units import clock, convert


def glaze_name(record: Record) -> str:
    """What the glaze of a tile or batch is called."""
    if isinstance(record, FiringRecord):
        return ""
    return record.glaze or (record.recipe.name if record.recipe else "")


def tells(record: Record) -> bool:
    """Whether a record says how it came out; a batch has nothing to come out."""
    if isinstance(record, TileRecord):
        return bool(record.results)
    return isinstance(record, FiringRecord) and bool(
        record.cones or record.readings or record.hours is not None or record.peak_degC is not None
    )


def summary(record: Record, units: UnitChoice) -> str:
    """How it came out, in a few words."""
    if isinstance(record, TileRecord):
        results = ", ".join(r.value for r in record.results) or "waiting"
        after = after_words(record)
        return f"{results}{f' after {after}' if after else ''}"
    if isinstance(record, FiringRecord):
        cones = ", ".join(f"cone {c.cone} {c.bend}" for c in record.cones)
        hours = f"{record.hours:g} h" if record.hours is not None else ""
        return "; ".join(part for part in (cones, hours, record.purpose) if part) or "no result yet"
    return f"{_measure(record.dry_g, 'g', units)} dry" if record.dry_g is not None else ""


def after_words(tile: TileRecord) -> str:
    """The test, or the time, after which a tile was looked at; empty where none was written down."""
    return tile.after_test or (f"{tile.after_days:g} days" if tile.after_days is not None else "")


def list_text(entries: Sequence[Entry], units: UnitChoice, asked: bool = False) -> str:
    """Entries in a table, one a line; ``asked`` says that only some of the journal was asked for."""
    if not entries and asked:
        return "The journal has no such entry. All it has: glazecalc journal"
    if not entries:
        return "The journal is empty. Write a tile down with: glazecalc record tile RECIPE --result RESULT"
    rows = [("mark", "date", "what", "on", "result")]
    for entry in entries:
        record = entry.record
        where = (
            record.body if isinstance(record, TileRecord) else record.kiln if isinstance(record, FiringRecord) else ""
        )
        what = glaze_name(record) or (
            f"firing {record.purpose}".strip() if isinstance(record, FiringRecord) else entry.kind
        )
        rows.append((entry.id, record.date, what[:26], where[:20], summary(record, units)[:40]))
    return table(rows, "lllll", indent=0)


_UNIT_OF: Final = {"mm": "length", "g": "mass", "kg": "mass", "degC": "temperature"}
"""What a field's name ends in where its unit is the reader's choice."""


def _measure(value: float, unit: str, units: UnitChoice) -> str:
    """A quantity in the unit that is read for it, with the unit."""
    read = {"length": units.length, "mass": units.mass, "temperature": units.temperature}[_UNIT_OF[unit]]
    if unit == read or (unit, read) == ("kg", "g"):
        return f"{value:g} {unit}"
    given = "C" if unit == "degC" else unit
    shown = convert(value, given, "lb" if unit == "kg" else read, _UNIT_OF[unit])
    return f"{shown:.0f} {read}" if unit == "degC" else f"{shown:.3g} {'lb' if unit == 'kg' else read}"


def field_name(name: str) -> str:
    """A field's name in words, without the unit that stands beside its value."""
    bare, _, unit = name.rpartition("_")
    return "clay" if name == "body" else (bare if unit in _UNIT_OF else name).replace("_", " ")


def entry_text(entry: Entry, units: UnitChoice) -> str:
    """Every field of an entry that says something."""
    record = entry.record
    lines = [heading(f"{entry.kind.capitalize()} {entry.id}" + (" (withdrawn)" if entry.withdrawn else ""))]
    for name, value in asdict(record).items():
        if name == "id" or value in ("", None, ()):
            continue
        lines.append(labelled(field_name(name), _words(name, value, record, units), 18))
    lines.append(labelled("written", f"{entry.recorded_at}, revision {entry.revision}", 18))
    if entry.withdrawn:
        lines.append(f"  Bring it back with: glazecalc record {entry.kind} --id {entry.id} --restore")
    return "\n".join(lines)


def _words(name: str, value: Any, record: Record, units: UnitChoice) -> str:
    unit = name.rpartition("_")[2]
    if unit in _UNIT_OF:
        return _measure(value, unit, units)
    if name == "recipe" and not isinstance(record, FiringRecord) and record.recipe is not None:
        return recipe_words(record.recipe)
    if name == "results" and isinstance(record, TileRecord):
        return ", ".join(r.value for r in record.results)
    if name == "cones" and isinstance(record, FiringRecord):
        return ", ".join(f"cone {c.cone} {c.bend}" for c in record.cones)
    if name == "readings" and isinstance(record, FiringRecord):
        return ", ".join(f"{clock(r.at_h)} {_measure(r.degC, 'degC', units)}" for r in record.readings)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(record, BatchRecord) and name == "weighed":
        return ", ".join(f"{material} {_measure(grams, 'g', units)}" for material, grams in value)
    if isinstance(record, BatchRecord) and name == "lots":
        return ", ".join(f"{first} {second}" for first, second in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def field_words(name: str, record: Record, units: UnitChoice) -> str:
    """One field of a record in words; empty where it says nothing."""
    value = getattr(record, name)
    return "" if value in ("", None, ()) else _words(name, value, record, units)


def recipe_words(recipe: FrozenRecipe) -> str:
    """A frozen recipe in one line."""
    lines = (f"{'+ ' if line.addition else ''}{line.material} {line.amount:g}" for line in recipe.lines)
    return f"{recipe.name}: {', '.join(lines)}" if recipe.lines else recipe.name
