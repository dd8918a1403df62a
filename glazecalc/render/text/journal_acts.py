"""What was done to the journal, act by act, in a potter's words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from glazecalc.render.text.journal import entry_json, field_name, field_words, glaze_name, summary
from glazecalc.render.words import heading, table
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.records import Act, Entry, Step

_MANY = {"tile": "tiles", "firing": "firings", "batch": "batches"}
_MOST = 6
"""Ids of an act that a line names."""


def act_json(act: Act) -> dict[str, Any]:
    """An act with its entries as it left them, and the fields it changed."""
    return {
        "number": act.number, "recorded_at": act.recorded_at, "undoes": act.undoes or None, "undone": act.undone,
        "steps": [{"done": _done(step), "changed": list(step.changed), "entry": entry_json(step.entry)}
                  for step in act.steps],
    }  # fmt: skip


def acts_text(acts: Sequence[Act], units: UnitChoice) -> str:
    """Every act in a line, the last one last."""
    if not acts:
        return "The journal is empty."
    rows = [("when (UTC)", "what was done", "")]
    for act in acts:
        rows.append((_when(act.recorded_at), act_words(act, units), "undone since" if act.undone else ""))
    return table(rows, "lll", indent=0)


def act_words(act: Act, units: UnitChoice) -> str:
    """What an act did: `corrected tile AAC: results sound -> crazed`."""
    return f"{'redo: ' if act.again else 'undo: ' if act.undoes else ''}{_deed(act, units)}"


def _deed(act: Act, units: UnitChoice) -> str:
    kinds = list(dict.fromkeys(step.entry.kind for step in act.steps))
    ids = list(dict.fromkeys(step.entry.id for step in act.steps))
    named = "entries" if len(kinds) > 1 else kinds[0] if len(ids) == 1 else _MANY[kinds[0]]
    told = ", ".join(ids[:_MOST]) + (f" and {len(ids) - _MOST} more" if len(ids) > _MOST else "")
    done = ", ".join(dict.fromkeys(_done(step) for step in act.steps))
    more = _more(act.steps[0], units) if len(act.steps) == 1 else ""
    return f"{done} {named} {told}{f': {more}' if more else ''}"


def turned_text(act: Act, again: bool, left: int, units: UnitChoice) -> str:
    """What an undoing, or doing again, has done."""
    words = _deed(act, units)
    what = "Done again" if again else "Undone"
    how = "back again with: glazecalc journal --redo" if not again else "undo it with: glazecalc journal --undo"
    before = f"\n{left} more can be undone: glazecalc journal --history" if left else "\nNothing is left to undo."
    return f"{what}: {words}\n{how[:1].upper()}{how[1:]}{before}"


def forms_text(history: Sequence[Entry], units: UnitChoice) -> str:
    """The forms of one entry, the first one first; empty where there is only one."""
    if len(history) < 2:
        return ""
    rows = []
    before = None
    for entry in history:
        step = Step(entry, before)
        rows.append((f"{entry.revision}", _when(entry.recorded_at), f"{_done(step)}{_colon(_more(step, units))}"))
        before = entry
    return "\n".join((heading("What was done to it"), table(rows, "lll")))


def _colon(text: str) -> str:
    return f": {text}" if text else ""


def _done(step: Step) -> str:
    if step.entry.withdrawn:
        return "took back"
    if step.before is None:
        return "wrote down"
    return "brought back" if step.before.withdrawn else "corrected"


def _more(step: Step, units: UnitChoice) -> str:
    """What is worth saying of one step: what it was, or what became of which field."""
    if step.before is None:
        record = step.entry.record
        return ", ".join(part for part in (glaze_name(record), summary(record, units)) if part)
    parts = []
    for name in step.changed:
        then, now = (field_words(name, entry.record, units) or "nothing" for entry in (step.before, step.entry))
        parts.append(f"{field_name(name)} {then} -> {now}")
    return "; ".join(parts)


def _when(recorded_at: str) -> str:
    return recorded_at[:16].replace("T", " ")
