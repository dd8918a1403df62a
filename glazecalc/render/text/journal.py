"""The journal's entries as text and rows of a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import Any, Final

from glazecalc.render.words import heading, labelled, table
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.records import Act, Entry, FiringRecord, FrozenRecipe, Record, Step, TileRecord
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
        what, where = glaze_name(record) or entry.kind, record.body if isinstance(record, TileRecord) else ""
        if isinstance(record, FiringRecord):
            what, where = f"firing {record.purpose}".strip(), record.kiln
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
    for name in (field.name for field in fields(record) if field.name != "id"):
        if words := field_words(name, record, units):
            lines.append(labelled(field_name(name), words, 18))
    lines.append(labelled("written", f"{entry.recorded_at}, revision {entry.revision}", 18))
    if entry.withdrawn:
        lines.append(f"  Bring it back with: glazecalc record {entry.kind} --id {entry.id} --restore")
    return "\n".join(lines)


def field_words(name: str, record: Record, units: UnitChoice) -> str:
    """One field of a record in words; empty where it says nothing."""
    value: Any = getattr(record, name)
    if value in ("", None, ()):
        return ""
    unit = name.rpartition("_")[2]
    if unit in _UNIT_OF:
        return _measure(value, unit, units)
    match name, value:
        case "recipe", _:
            return recipe_words(value)
        case "results", _:
            return ", ".join(result.value for result in value)
        case "cones", _:
            return ", ".join(f"cone {cone.cone} {cone.bend}" for cone in value)
        case "readings", _:
            return ", ".join(f"{clock(r.at_h)} {_measure(r.degC, 'degC', units)}" for r in value)
        case "weighed", _:
            return ", ".join(f"{material} {_measure(grams, 'g', units)}" for material, grams in value)
        case "lots", _:
            return ", ".join(f"{material} {lot}" for material, lot in value)
        case _, bool():
            return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def recipe_words(recipe: FrozenRecipe) -> str:
    """A frozen recipe in one line."""
    lines = (f"{'+ ' if line.addition else ''}{line.material} {line.amount:g}" for line in recipe.lines)
    return f"{recipe.name}: {', '.join(lines)}" if recipe.lines else recipe.name


# What was done to the journal, act by act, in a potter's words.

_MOST = 6
"""Ids of an act that a line names."""


def acts_text(acts: Sequence[Act], units: UnitChoice) -> str:
    """Every act in a line, the last one last."""
    if not acts:
        return "The journal is empty."
    rows = [("when (UTC)", "what was done", "")]
    for act in acts:
        rows.append((_when(act.recorded_at), act_words(act, units), "undone since" if act.undone else ""))
    return table(rows, "lll", indent=0)


_MANY = {"tile": "tiles", "firing": "firings", "batch": "batches"}


def act_words(act: Act, units: UnitChoice) -> str:
    """What an act did: `corrected tile AAC: results sound -> crazed`."""
    return f"{'redo: ' if act.again else 'undo: ' if act.undoes else ''}{_deed(act, units)}"


def _deed(act: Act, units: UnitChoice) -> str:
    kinds = list(dict.fromkeys(step.entry.kind for step in act.steps))
    ids = list(dict.fromkeys(step.entry.id for step in act.steps))
    named = "entries" if len(kinds) > 1 else kinds[0] if len(ids) == 1 else _MANY[kinds[0]]
    some = ", ".join(ids[:_MOST]) + (f" and {len(ids) - _MOST} more" if len(ids) > _MOST else "")
    done = ", ".join(dict.fromkeys(step.done for step in act.steps))
    return f"{done} {named} {some}{_more(act.steps[0], units) if len(act.steps) == 1 else ''}"


def turned_text(act: Act, again: bool, left: int, units: UnitChoice) -> str:
    """What an undoing, or doing again, has done."""
    what = "Done again" if again else "Undone"
    how = "Undo it with: glazecalc journal --undo" if again else "Back again with: glazecalc journal --redo"
    before = f"{left} more can be undone: glazecalc journal --history" if left else "Nothing is left to undo."
    return f"{what}: {_deed(act, units)}\n{how}\n{before}"


def forms_text(history: Sequence[Entry], units: UnitChoice) -> str:
    """The forms of one entry, the first one first; empty where there is only one."""
    if len(history) < 2:
        return ""
    steps = [Step(entry, before) for before, entry in zip((None, *history), history, strict=False)]
    rows = [(str(s.entry.revision), _when(s.entry.recorded_at), f"{s.done}{_more(s, units)}") for s in steps]
    return "\n".join((heading("What was done to it"), table(rows, "lll")))


def _more(step: Step, units: UnitChoice) -> str:
    """What is worth saying of one step, behind a colon: what it was, or what became of which field."""
    if step.before is None:
        record = step.entry.record
        words = ", ".join(filter(None, (glaze_name(record), summary(record, units))))
        return f": {words}" if words else ""
    parts = []
    for name in step.changed:
        then, now = (field_words(name, entry.record, units) or "nothing" for entry in (step.before, step.entry))
        parts.append(f"{field_name(name)} {then} -> {now}")
    return f": {'; '.join(parts)}" if parts else ""


def _when(recorded_at: str) -> str:
    return recorded_at[:16].replace("T", " ")
