"""What ``record`` says once an entry is in the journal."""

from __future__ import annotations

from collections.abc import Sequence

from glazecalc.cli.frame import Told
from glazecalc.cli.notebook import units_of
from glazecalc.jobs.recording import Recorded, Target
from glazecalc.render.text.journal import entry_text, tells
from glazecalc.values.records import Entry


def told(recorded: Recorded) -> Told:
    """The outcome of a ``record`` command."""
    target, history = recorded.target, recorded.history
    entry = history[-1]
    scratch = f" Scratch {entry.id} into the tile." if target.kind == "tile" and target.id is None else ""
    shown = entry_text(entry, units_of(target.folder))
    text = f"{_verb(target, history)}: {target.kind} {entry.id}.{scratch}\n\n{shown}"
    results = [{"id": entry.id, "kind": target.kind, "entry": entry}]
    return Told("record", results, text, problems=recorded.problems)


def _verb(target: Target, history: Sequence[Entry]) -> str:
    """What was done; a first result is no correction."""
    if target.withdraw:
        return "Taken back" if history[-1].withdrawn else "Reading taken back"
    if target.restore:
        return "Brought back" if history[-2].withdrawn else "Reading brought back"
    if target.id is None:
        return "Written down"
    first = tells(history[-1].record) and not any(tells(entry.record) for entry in history[:-1])
    return "Result written down" if first else "Corrected"
