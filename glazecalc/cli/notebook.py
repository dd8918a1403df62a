"""Between the commands and the journal: which entries are meant, what ``record`` says, the journal's files."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING

from glazecalc.cli.frame import Told, write
from glazecalc.cli.journal import EntriesWanted
from glazecalc.files.journal import Journal, number_of
from glazecalc.files.journal_csv import read_csv, write_csv
from glazecalc.files.problems import Findings
from glazecalc.files.tile_words import read_date
from glazecalc.files.writing import journal_exists
from glazecalc.render.text.journal import acts_text, entry_text, forms_text, glaze_name, list_text, tells, turned_text
from glazecalc.values.answers import Problem, did_you_mean, refuse, stop_at_errors
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.records import KINDS, Entry, FiringRecord, Kind, TileRecord

if TYPE_CHECKING:
    from glazecalc.jobs.recording import Recorded, Target


def open_journal(folder: Path) -> Journal:
    """The journal of a studio folder, to read. Raises ProblemsError if there is none yet."""
    if not journal_exists(folder):
        hint = "begin one with: glazecalc record tile RECIPE --result sound"
        refuse("no-journal", f"there is no journal in {folder.resolve()}", hint)
    return Journal(folder)


def units_of(folder: Path) -> UnitChoice:
    """The units a studio reads; metric where it does not say."""
    from glazecalc.files.studio import read_studio

    return read_studio(folder)[0].units


def kind_named(text: str | None) -> Kind | None:
    """The kind of a ``--kind`` option. Raises ProblemsError if it is none."""
    if text is None:
        return None
    words = text.casefold()
    found = next((k for k in KINDS if words.rstrip("s") == k or (k == "batch" and words == "batches")), None)
    if found is None:
        hint = did_you_mean(text, KINDS) or "choose tile, firing or batch"
        refuse("kind", f"--kind {text[:40]!r} is not a kind of entry", hint)
    return found


def pick_entries(folder: Path, wanted: EntriesWanted) -> tuple[Entry, ...]:
    """The entries as they stand that meet every wish; none where there is no journal yet."""
    found = Findings(None)
    since = "" if wanted.since is None else read_date(wanted.since, found)
    stop_at_errors(found.problems)
    kind = kind_named(wanted.kind)
    if folder.is_dir() and not journal_exists(folder):
        return ()
    with open_journal(folder) as journal:
        standing = journal.current(kind, wanted.withdrawn)
        return tuple(entry for entry in standing if _meets(entry, wanted, since))


def _meets(entry: Entry, wanted: EntriesWanted, since: str) -> bool:
    record = entry.record
    if record.date < since:
        return False
    if wanted.glaze is not None and (
        isinstance(record, FiringRecord) or wanted.glaze.casefold() not in glaze_name(record).casefold()
    ):
        return False
    if wanted.body is None and wanted.result is None:
        return True
    return (
        isinstance(record, TileRecord)
        and (wanted.body is None or record.body.casefold() == wanted.body.casefold())
        and (wanted.result is None or any(wanted.result.casefold() in r.value for r in record.results))
    )


def listed(entries: Sequence[Entry], wanted: EntriesWanted, folder: Path) -> Told:
    """A list of the entries that were wanted as a result."""
    return Told([{"entries": entries}], list_text(entries, units_of(folder), asked=wanted != EntriesWanted()))


def shown(folder: Path, id_: str, kind: str | None) -> Told:
    """One entry with its earlier forms. Raises ProblemsError if there is none of that id."""
    kinds = [k for k in KINDS if number_of(k, id_) is not None and kind_named(kind) in (None, k)]
    with open_journal(folder) as journal:
        histories = [h for h in (journal.history(k, id_) for k in kinds) if h]
        known = [e.id for e in journal.current()] if not histories else []
    if not histories:
        hint = did_you_mean(id_.upper(), known) or "list them with: glazecalc journal"
        refuse("no-entry", f"there is no entry {id_[:20]!r} in the journal", hint)
    rows, units = histories[0][::-1], units_of(folder)
    text = "\n\n".join(part for part in (entry_text(rows[0], units), forms_text(histories[0], units)) if part)
    return Told([{"entries": rows}], text)


def told_acts(folder: Path) -> Told:
    """What was done to the journal, act by act."""
    with open_journal(folder) as journal:
        acts = journal.acts()
    return Told([{"acts": acts}], acts_text(acts, units_of(folder)))


def turned_back(folder: Path, again: bool) -> Told:
    """Undo what was written last, or do again what was undone."""
    from glazecalc.jobs.recording import turn_back

    with open_journal(folder):
        act, left = turn_back(folder, again)
    return Told([{"act": act, "left_to_undo": left}], turned_text(act, again, left, units_of(folder)))


def print_csv(entries: Sequence[Entry]) -> None:
    """Entries as CSV on stdout."""
    table = StringIO(newline="")
    write_csv(entries, table)
    write(sys.stdout, table.getvalue().replace("\r\n", "\n"))


def export_csv(folder: Path, file: Path, force: bool) -> Told:
    """Save the whole journal, earlier forms included; of a damaged one, what can be read.

    Raises ProblemsError if the file is there or cannot be written.
    """
    from glazecalc.files.writing import write_file

    with open_journal(folder) as journal:
        entries, problems = journal.readable_entries()
    table = StringIO(newline="")
    count = write_csv(entries, table)
    write_file(file, table.getvalue(), force)
    text = f"Saved {count} rows of the journal to {file}."
    return Told([{"entries": entries, "file": str(file)}], text, problems=problems)


def import_csv(folder: Path, file: Path) -> Told:
    """Take in a saved journal, all or nothing. Raises ProblemsError if it cannot be read or clashes."""
    from glazecalc.files.text import TABLE_CEILING, read_saved

    found = Findings(str(file))
    text = read_saved(file, found, 10 * TABLE_CEILING)
    stop_at_errors(found.problems)
    assert text is not None, "what cannot be read is an error"
    entries = read_csv(StringIO(text, newline=""), str(file))
    odd = _odd(entries, str(file))
    stop_at_errors(odd)
    with Journal(folder) as journal:
        added = journal.add_entries(entries)
    text = f"Took in {added} rows; {len(entries) - added} were already there."
    return Told([{"entries": entries, "added": added}], text, problems=odd)


def _odd(entries: Sequence[Entry], file: str) -> tuple[Problem, ...]:
    """What `record` would refuse or remark on in the entries as they stand; forms since corrected are history."""
    from glazecalc.jobs.recording import record_faults

    standing: dict[tuple[Kind, str], Entry] = {}
    for entry in entries:
        kept = standing.get((entry.kind, entry.id))
        if kept is None or entry.revision >= kept.revision:
            standing[entry.kind, entry.id] = entry
    return tuple(
        replace(fault, message=f"{entry.kind} {entry.id}: " + fault.message, file=file)
        for entry in standing.values() if not entry.withdrawn
        for fault in record_faults(entry.record)
    )  # fmt: skip


# What ``record`` says once an entry is in the journal.


def written_down(recorded: Recorded) -> Told:
    """The outcome of a ``record`` command."""
    target, history = recorded.target, recorded.history
    entry = history[-1]
    scratch = f" Scratch {entry.id} into the tile." if target.kind == "tile" and target.id is None else ""
    shown = entry_text(entry, units_of(target.folder))
    text = f"{_verb(target, history)}: {target.kind} {entry.id}.{scratch}\n\n{shown}"
    results = [{"id": entry.id, "kind": target.kind, "entry": entry}]
    return Told(results, text, problems=recorded.problems)


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
