"""One look at the pyrometer of a recorded firing: added, corrected, taken back or brought back on its own.

A reading is named by its firing and its time: ``F3@2:30``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from glazecalc.files.journal import Journal, taken_back
from glazecalc.files.problems import Findings
from glazecalc.files.tile_words import read_readings
from glazecalc.jobs.bench import open_bench, studio_folder
from glazecalc.jobs.learn_kiln import firing_remarks
from glazecalc.jobs.recorded import record_faults
from glazecalc.jobs.recording import Recorded, Target
from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.records import Entry, FiringRecord, Reading, Record
from glazecalc.values.units import clock

_ID: Final = re.compile(r"\s*([Ff]\d{1,9})\s*(?:@\s*(\d{1,3}):([0-5]\d)\s*)?", re.ASCII)
_SAME_H: Final = 0.5 / 60
"""Readings within half a minute are one [h]."""


@dataclass(frozen=True, slots=True)
class ReadingWords:
    """The options of ``record reading`` as typed: the firing, or one of its readings, and what to do with it."""

    meant: str
    at: tuple[str, ...]
    withdraw: bool = False
    restore: bool = False


def record_reading(studio: Path | None, words: ReadingWords) -> Recorded:
    """Change the readings of one firing. Raises ProblemsError with what is wrong with the words."""
    bench, folder = open_bench([], studio), studio_folder([], studio)
    found = Findings(None)
    given = read_readings(words.at, found, bench.studio.units.temperature == "F")
    firing, hours = _meant(words, given, found)
    if any(p.is_error for p in (*bench.problems, *found.problems)):
        raise ProblemsError((*bench.problems, *found.problems))
    with Journal(folder) as journal:
        history = journal.history("firing", firing)
        if not history:
            hint = "list them with: glazecalc journal --kind firing"
            raise ProblemsError([error("no-firing", f"there is no firing {firing} in the journal", hint)])
        if history[-1].withdrawn:
            raise ProblemsError([taken_back(history[-1])])
        change = _change(words, hours, given, history)
        faults = record_faults(_with(history[-1].record, change))
        if any(p.is_error for p in faults):
            raise ProblemsError(faults)
        journal.amend("firing", firing, change)
        history = journal.history("firing", firing)
    record = history[-1].record
    assert isinstance(record, FiringRecord)
    problems = (*bench.problems, *found.problems, *faults, *firing_remarks(bench.studio, record))
    return Recorded(Target(folder, "firing", history[-1].id, words.withdraw, words.restore), history, problems)


def _meant(words: ReadingWords, given: tuple[Reading, ...], found: Findings) -> tuple[str, float | None]:
    """The firing, and the time [h] of the reading that is meant; None where one is to be added."""
    match = _ID.fullmatch(words.meant)
    if match is None:
        found.error("not-a-reading", f"{words.meant[:20]!r} is no firing and no reading", "write F3, or F3@2:30")
        return "", None
    hours = None if match[2] is None else int(match[2]) + int(match[3]) / 60
    if words.withdraw and words.restore:
        found.error("usage", "--withdraw and --restore do not go together", "choose one")
    if (words.withdraw or words.restore) and (hours is None or words.at):
        found.error("usage", "--withdraw and --restore take one reading and nothing else", "write F3@2:30")
    if not (words.withdraw or words.restore or words.at):
        found.error("usage", "nothing to write down was given", "write --at 2:30=600C")
    if hours is not None and len(given) > 1:
        found.error("usage", f"one reading cannot become {len(given)}", "give one --at")
    return match[1].upper(), hours


Change = Callable[[Record], dict[str, Any]]


def _with(record: Record, change: Change) -> Record:
    try:
        return replace(record, **change(record))
    except ValueError as exc:
        raise ProblemsError([error("record", str(exc), "check the figure and its unit")]) from exc


def _change(words: ReadingWords, hours: float | None, given: tuple[Reading, ...], history: tuple[Entry, ...]) -> Change:
    """What becomes of the readings as they stand when it is written."""
    if words.restore:
        assert hours is not None
        given = (_earlier(hours, history),)

    def change(record: Record) -> dict[str, Any]:
        assert isinstance(record, FiringRecord)
        kept = [r for r in record.readings if hours is None or abs(r.at_h - hours) > _SAME_H]
        if hours is not None and not words.restore and len(kept) == len(record.readings):
            raise ProblemsError([_none(record, hours, history[-1].id)])
        for reading in () if words.withdraw else given:
            if any(abs(reading.at_h - r.at_h) <= _SAME_H for r in kept):
                name = f"{history[-1].id}@{clock(reading.at_h)}"
                hint = f"correct it with: glazecalc record reading {name} --at {clock(reading.at_h)}=..."
                raise ProblemsError([error("reading-twice", f"there is a reading {name} already", hint)])
            kept.append(reading)
        return {"readings": tuple(sorted(kept, key=lambda r: r.at_h))}

    return change


def _earlier(hours: float, history: tuple[Entry, ...]) -> Reading:
    """The last reading at that time [h] that stood before and does no more."""
    for entry in reversed(history[:-1]):
        if isinstance(entry.record, FiringRecord):
            for reading in entry.record.readings:
                if abs(reading.at_h - hours) <= _SAME_H:
                    return reading
    last = history[-1].record
    assert isinstance(last, FiringRecord)
    raise ProblemsError([_none(last, hours, history[-1].id)])


def _none(record: FiringRecord, hours: float, id_: str) -> Any:
    there = ", ".join(f"{id_}@{clock(r.at_h)}" for r in record.readings)
    hint = f"there are: {there}" if there else f"write one: glazecalc record reading {id_} --at 2:30=600C"
    return error("no-reading", f"there is no reading {id_}@{clock(hours)}", hint)
