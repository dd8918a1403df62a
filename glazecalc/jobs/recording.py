"""From the words of a potter to a record in the journal; nothing is acknowledged that is not on the disk."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any, Final, TypeVar

from glazecalc.files.journal import Journal, standing, taken_back
from glazecalc.files.numbers import in_studio_degrees, read_cone, read_hours, read_quantity
from glazecalc.files.problems import Findings
from glazecalc.files.tile_words import read_date, read_readings, read_results, read_witness
from glazecalc.jobs.bench import Bench, open_bench, studio_folder
from glazecalc.jobs.cautions import metals
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.learn_kiln import firing_remarks, witness_against_peak
from glazecalc.jobs.lesson import freeze
from glazecalc.jobs.materials import UNINVITED, Pantry
from glazecalc.jobs.setup import pick
from glazecalc.values.answers import Problem, ProblemsError, error, remark, stop_at_errors
from glazecalc.values.cones import Cone
from glazecalc.values.names import fold
from glazecalc.values.records import (
    RECORD_TYPES,
    Act,
    BatchRecord,
    Entry,
    FiringRecord,
    Kind,
    Reading,
    Record,
    TileResult,
    Typed,
    typed_fields,
)
from glazecalc.values.texts import phrase
from glazecalc.values.units import clock

Fields = dict[str, Any]
Made = TypeVar("Made")


Words = Mapping[str, Any]
"""What was typed, by the word of its option: None, or an empty list, where it was not."""


@dataclass(frozen=True, slots=True)
class Target:
    """Where and what to write: the folder, the kind, the id to correct (None: a new entry), to take back, or to bring
    back.
    """

    folder: Path
    kind: Kind
    id: str | None
    withdraw: bool
    restore: bool = False


@dataclass(frozen=True, slots=True)
class Recorded:
    """What was written: every revision of the entry, oldest first, and what was noticed."""

    target: Target
    history: tuple[Entry, ...]
    problems: tuple[Problem, ...]


def write_down(
    kind: Kind, studio: Path | None, words: Words, id_: str | None = None, withdraw: bool = False, restore: bool = False
) -> Recorded:
    """Write a tile, a firing or a batch down. Raises ProblemsError with everything that is wrong with the words."""
    bench, folder = _open(studio, words.get("recipe"))
    found, new, day, note = Findings(None), id_ is None, words.get("date"), words.get("note")
    fields = _as_typed(kind, words, bench.studio.units.temperature == "F", found)
    fields |= {"tile": _tile, "firing": _kiln, "batch": _glaze}[kind](bench, words, new, found)
    if note is not None:
        fields["note"] = note.strip()
    if new or day is not None:
        fields["date"] = read_date(day, found)
    if new and not withdraw and not restore:
        if kind == "firing" and day is None and set(_given(**fields)) <= {"kiln", "date"}:
            hint = "say what you know of it: --hours 8, --at 2:00=400C, --witness 6=down, --on-elements 35, --note ..."
            found.error("firing-empty", "this firing has no facts, and every firing counts as wear", hint)
        if kind != "firing" and not {"recipe", "glaze"} & set(fields):
            found.error("no-glaze", "no glaze is named", phrase("name a recipe card, or a jar| with --glaze|"))
    return _write(Target(folder, kind, id_, withdraw, restore), fields, bench, found)


def take_back(studio: Path, kind: Kind, id_: str, restore: bool = False) -> Recorded:
    """Take an entry of the journal back, or bring it back. Raises ProblemsError where it cannot be."""
    bench, folder = _open(studio, None)
    return _write(Target(folder, kind, id_, not restore, restore), {}, bench, Findings(None))


def turn_back(folder: Path, again: bool = False, seen: int | None = None) -> tuple[Act, int]:
    """Undo what was written last into a studio's journal, or do again what was undone last; what that did, and how many
    acts are left to undo. Raises ProblemsError where there is none, or the act meant is not number ``seen``."""
    with Journal(folder) as journal:
        act = journal.redo(seen) if again else journal.undo(seen)
        return act, len(standing(journal.acts()).done)


def _open(studio: Path | None, recipe: str | None) -> tuple[Bench, Path]:
    cards = [recipe] if recipe is not None else []
    return open_bench(cards, studio), studio_folder(cards, studio)


def _given(**fields: Any) -> Fields:
    """The fields that were given: neither None, nor an empty text or sequence."""
    return {name: value for name, value in fields.items() if value is not None and value not in ("", ())}


def _as_typed(kind: Kind, words: Words, in_F: bool, found: Findings) -> Fields:
    """The fields that have an option of their own and were given."""
    fields: Fields = {}
    for name, typed in typed_fields(RECORD_TYPES[kind]).items():
        given = words.get(typed.word)
        value = None if given is None else _read(given, typed, in_F, found)
        if value is not None and value != ():
            fields[name] = value / 1000.0 if name.endswith("_kg") else value
    return fields


def _read(given: Any, typed: Typed, in_F: bool, found: Findings) -> Any:
    """What was typed for one field; None where it cannot be read, or is read with others."""
    match typed.sort:
        case "text":
            return given.strip()
        case "mark":
            return given.strip().upper()
        case "number" | "count":
            return given
        case "flag":
            return False if given else None
        case "cone":
            return _cone(given, found)
        case "hours":
            return read_hours(given, typed.option, found)
        case "length" | "mass" | "temperature":
            given = in_studio_degrees(given, typed.option, in_F and typed.sort == "temperature", found)
            return read_quantity(given, typed.sort, _OWN_UNIT[typed.sort], typed.option, found)
        case "witness":
            return read_witness(given, found)
        case "readings":
            return read_readings(given, found, in_F)
        case "pairs":
            return _pairs(given, found)
        case "masses":
            weighed = ((name, read_quantity(g, "mass", "g", typed.option, found)) for name, g in _pairs(given, found))
            return tuple((name, grams) for name, grams in weighed if grams is not None)
    return None


_OWN_UNIT: Final = {"length": "mm", "mass": "g", "temperature": "degC"}


def _tile(bench: Bench, words: Words, new: bool, found: Findings) -> Fields:
    studio, named, cone = bench.studio, words.get("body"), words.get("cone")
    fields = _glaze(bench, words, new, found) | _given(cone=_cone(cone, found))
    body = pick(studio.bodies, named, None, "body", studio) if studio.bodies else None
    if named is not None or (body is not None and new):
        fields["body"] = body.name if body is not None else named
    elif new:
        fields |= _given(body=studio.defaults.body)
    results, days, test = read_results(words.get("result") or (), words.get("after"), found)
    fields |= _given(results=results, after_days=days, after_test=test)
    if TileResult.CRAZED_AT_ONCE in results:
        fields |= {"after_days": None, "after_test": ""}
    stated = bench.recipes[0].cone if new and cone is None and "recipe" in fields else None
    return fields | _given(cone=stated.low.name if stated is not None and stated.low == stated.high else None)


def _kiln(bench: Bench, words: Words, new: bool, found: Findings) -> Fields:
    studio, named = bench.studio, words.get("kiln")
    default = studio.defaults.kiln if new else None
    kiln = pick(studio.kilns, named, default, "kiln", studio) if studio.kilns else None
    return _given(kiln=kiln.name if kiln is not None and (new or named is not None) else named)


def _glaze(bench: Bench, words: Words, new: bool, found: Findings) -> Fields:
    glaze = words.get("glaze") or ""
    if words.get("recipe") is None:
        return _given(glaze=glaze)
    frozen, problems = freeze(bench.recipes[0], bench.pantry)
    found.extend(tuple(p for p in problems if p.is_error))
    _poisons_told(bench, found)
    return _given(recipe=frozen, glaze=glaze or frozen.name)


def _poisons_told(bench: Bench, found: Findings) -> None:
    """A remark where the glaze written down is poisonous: whoever reads the journal mixes from it."""
    composition, _, _ = compose_recipe(bench.recipes[0], bench.pantry)
    for line in () if composition is None else metals(formula_of(composition)):
        if any(word in line for word in UNINVITED):
            found.remark("holds-poison", f"{bench.recipes[0].name}: {line}")


def _cone(text: str | None, found: Findings) -> str | None:
    cone = read_cone(text, found, None) if text is not None else None
    return None if cone is None else cone.name


def _pairs(words: Sequence[str], found: Findings) -> tuple[tuple[str, str], ...]:
    pairs = []
    for word in words:
        name, _, value = (part.strip() for part in word.rpartition("="))
        if name and value:
            pairs.append((name, value))
        else:
            found.error("not-a-pair", f"{word[:40]!r} is not NAME=VALUE", 'write it as "Whiting=80.5g"')
    return tuple(pairs)


def _write(target: Target, fields: Mapping[str, Any], bench: Bench, found: Findings) -> Recorded:
    problems = (*bench.problems, *found.problems)
    stop_at_errors(problems)
    _usable(target, fields)
    with Journal(target.folder) as journal:
        problems = (*problems, *_faults(journal, target, fields), *_firing_known(journal, fields))
        stop_at_errors(problems)
        id_ = _plainly(lambda: _act(journal, target, fields))
        history = journal.history(target.kind, id_)
    return Recorded(target, history, problems if target.withdraw else (*problems, *_odd(history[-1].record, bench)))


def _odd(record: Record, bench: Bench) -> tuple[Problem, ...]:
    """Remarks on a record that goes ill with the studio."""
    if isinstance(record, FiringRecord):
        return firing_remarks(bench.studio, record)
    return tuple(_strange_lines(record, bench.pantry)) if isinstance(record, BatchRecord) else ()


def _usable(target: Target, fields: Mapping[str, Any]) -> None:
    """Raises ProblemsError where the options do not go together."""
    if target.withdraw or target.restore:
        option = "--withdraw" if target.withdraw else "--restore"
        if target.withdraw and target.restore:
            raise ProblemsError([error("usage", "--withdraw and --restore do not go together", "choose one")])
        if target.id is None:
            see = phrase("see|: glazecalc journal|")
            raise ProblemsError([error("usage", f"{option} needs the --id of an entry", see)])
        if fields:
            hint = "correct it in a command of its own"
            raise ProblemsError([error("usage", f"{option} changes nothing of the entry; leave the rest out", hint)])
    elif target.id is not None and not fields:
        raise ProblemsError([error("usage", "nothing to correct was given", "add what changes, such as --result")])


def _strange_lines(batch: BatchRecord, shelf: Pantry) -> Iterator[Problem]:
    """Weights and lots of what is not in the recipe under any of its names."""
    if batch.recipe is None:
        return

    def meant(name: str) -> str:
        found = shelf.find(name)
        return fold(name if found is None else found.name)

    lines = [line.material for line in batch.recipe.lines]
    held = {meant(name) for name in lines}
    for name in dict.fromkeys(name for name, _ in (*batch.weighed, *batch.lots)):
        if meant(name) not in held:
            yield remark("batch-odd", f"{name} is not a line of {batch.recipe.name}", f"its lines: {', '.join(lines)}")


def _faults(journal: Journal, target: Target, fields: Mapping[str, Any]) -> tuple[Problem, ...]:
    """What contradicts itself in the entry as it would stand, a correction together with what it leaves."""
    if target.withdraw or target.restore:
        return ()
    earlier = journal.history(target.kind, target.id) if target.id is not None else ()
    if earlier and earlier[-1].withdrawn:
        raise ProblemsError([taken_back(earlier[-1])])
    kind = RECORD_TYPES[target.kind]
    return record_faults(_plainly(lambda: replace(earlier[-1].record, **fields) if earlier else kind(**fields)))


def _act(journal: Journal, target: Target, fields: Mapping[str, Any]) -> str:
    if target.id is None:
        return journal.record(RECORD_TYPES[target.kind](**fields)).id
    if target.withdraw or target.restore:
        (journal.withdraw if target.withdraw else journal.restore)(target.kind, target.id)
        return target.id.strip().upper()
    return journal.correct(target.kind, target.id, **fields).id


def _plainly(act: Callable[[], Made]) -> Made:
    """What a record says against a value becomes a problem."""
    try:
        return act()
    except ValueError as exc:
        raise ProblemsError([error("record", str(exc), "check the figure and its unit")]) from exc


def _firing_known(journal: Journal, fields: Mapping[str, Any]) -> tuple[Problem, ...]:
    firing = fields.get("firing", "")
    known = journal.history("firing", firing) if firing else ()
    if known and known[-1].withdrawn:
        hint = phrase("another one may be meant|: glazecalc journal|")
        return (remark("no-firing", f"firing {firing} was taken back", hint),)
    if known or not firing:
        return ()
    return (remark("no-firing", f"no firing {firing} is in the journal yet", "glazecalc record firing ..."),)


# What cannot be so in an entry of the journal, or is odd: one set of rules for what is typed and what is taken in.

FIRST_DAY: Final = date(1950, 1, 1)
"""No entry is older."""
ABOVE_PEAK_K: Final = 5.0
"""A reading this far above the peak is said to be odd [K]: two looks at one pyrometer differ by less."""
MOST_WATER: Final = 5.0
"""Water in so many times the dry weight is no glaze slurry: its specific gravity is under 1.12 (arithmetic, with solids
of 2.6)."""
AFTER_END_H: Final = 1.0
"""A look at the pyrometer this long after the end of a firing is said to be odd [h]."""


def record_faults(record: Record) -> tuple[Problem, ...]:
    """Errors where a record contradicts itself, remarks where it is odd; numbers out of range are the record's own."""
    if isinstance(record, FiringRecord):
        against_peak = witness_against_peak(record.cones, record.readings, record.peak_degC, record.hours)
        return (*_day(record.date), *_witnesses(record), *_readings(record), *against_peak)
    if isinstance(record, BatchRecord):
        return (*_day(record.date), *_weights(record))
    return (*_day(record.date), *_time_as_test(record.after_test))


def _day(text: str) -> Iterator[Problem]:
    if not text:
        return
    try:
        day = date.fromisoformat(text)
    except ValueError:
        yield error("not-a-date", f"{text[:40]!a} is not a date", "write it as 2026-03-31")
        return
    if not FIRST_DAY <= day <= date.today() + timedelta(days=1):
        yield error("not-a-date", f"{text[:40]!a} is in the future or long past", "give the day of the firing")


def _witnesses(record: FiringRecord) -> Iterator[Problem]:
    """One cone cannot end both ways, a hotter cone does not go down before a cooler one beside it, and a firing that
    did not get to its cone has neither that one down nor a hotter one."""
    ends: dict[str, str] = {}
    for cone in record.cones:
        if ends.setdefault(cone.cone, cone.bend) != cone.bend:
            text = f"cone {cone.cone} cannot be both {ends[cone.cone]} and {cone.bend}"
            yield error("witness-contradiction", text, "write what it looked like when cold")
    standing, down = record.bent("stands"), record.bent("down")
    if standing and down and min(standing) < max(down):
        text = f"cone {min(standing)} stands though the hotter cone {max(down)} is down"
        yield remark("witness-contradiction", text, "check which cone is which")
    if record.reached is False and record.target_cone and down and max(down) >= Cone(record.target_cone):
        text = f"the firing did not get to cone {record.target_cone}, yet cone {max(down)} is down"
        yield remark("witness-contradiction", text, "leave --stalled out where the cone went down")


def _readings(record: FiringRecord) -> Iterator[Problem]:
    hours, peak = record.hours, record.peak_degC
    late = [r for r in record.readings if hours is not None and r.at_h > hours + AFTER_END_H]
    if late:
        text = f"a reading at {late[0].at_h:g} h is after the end of the firing at {hours:g} h"
        yield remark("reading-after-end", text, "--hours counts from switching on to the end")
    hotter = [r for r in record.readings if peak is not None and r.degC > peak + ABOVE_PEAK_K]
    if hotter:
        text = phrase("a reading of {:.0f degC} is above the peak of {:.0f degC}", hotter[0].degC, peak)
        yield remark("firing-odd", text, "--peak is the highest temperature seen")


def _weights(record: BatchRecord) -> Iterator[Problem]:
    dry, water = record.dry_g, record.water_g
    for name, grams in record.weighed:
        if dry is not None and grams > dry:
            text = phrase("{} at {:g g} is more than the whole batch of {:g g}", name, grams, dry)
            yield error("batch-contradiction", text, "check the figure and its unit")
    named = [name for name, _ in record.weighed]
    for name in dict.fromkeys(n for n in named if named.count(n) > 1):
        yield error("batch-contradiction", f"{name} is weighed twice", "give one weight for each line, or their sum")
    if dry is not None and water is not None and water > MOST_WATER * dry:
        text = phrase("{:g g} of water in {:g g} of dry glaze is thinner than any slurry", water, dry)
        yield remark("batch-odd", text, "check the figure and its unit")


def _time_as_test(test: str) -> Iterator[Problem]:
    """A text that begins like a span of time, and was kept as the name of a test."""
    if re.match(r"\s*[\d.,]", test):
        yield remark("not-a-time", f"{test[:40]!a} is no time that is known, and was kept as the name of a test",
                     'write a time as "3 days", in hours, days, weeks, months or years')  # fmt: skip


# One look at the pyrometer of a recorded firing: added, corrected, taken back or brought back on its own.

_ID: Final = re.compile(r"\s*([Ff]\d{1,9})\s*(?:@\s*(\d{1,3}):([0-5]\d)\s*)?", re.ASCII)
_SAME_H: Final = 0.5 / 60
"""Readings within half a minute are one [h]."""


def record_reading(
    studio: Path | None, meant: str, at: Sequence[str], withdraw: bool = False, restore: bool = False
) -> Recorded:
    """Change the readings of one firing: ``meant`` is the firing, or one of its readings. Raises ProblemsError with
    what is wrong with the words."""
    bench, folder = _open(studio, None)
    found = Findings(None)
    given = read_readings(at, found, bench.studio.units.temperature == "F")
    firing, hours = _meant(meant, len(at), withdraw, restore, found)
    if hours is not None and len(given) > 1:
        found.error("usage", f"one reading cannot become {len(given)}", "give one --at")
    stop_at_errors((*bench.problems, *found.problems))
    with Journal(folder) as journal:
        history = journal.history("firing", firing)
        if not history:
            hint = phrase("list them with|: glazecalc journal --kind firing|")
            raise ProblemsError([error("no-firing", f"there is no firing {firing} in the journal", hint)])
        if history[-1].withdrawn:
            raise ProblemsError([taken_back(history[-1])])
        if restore and hours is not None:
            given = (_earlier(hours, history),)
        change = _change(hours, given, withdraw, restore, history[-1].id)
        before = history[-1].record
        faults = record_faults(_plainly(lambda: replace(before, **change(before))))
        stop_at_errors(faults)
        journal.amend("firing", firing, change)
        history = journal.history("firing", firing)
    problems = (*bench.problems, *found.problems, *faults, *_odd(history[-1].record, bench))
    return Recorded(Target(folder, "firing", history[-1].id, withdraw, restore), history, problems)


def _meant(meant: str, many: int, withdraw: bool, restore: bool, found: Findings) -> tuple[str, float | None]:
    """The firing, and the time [h] of the reading that is meant; None where one is to be added."""
    match = _ID.fullmatch(meant)
    if match is None:
        found.error("not-a-reading", f"{meant[:20]!r} is no firing and no reading", "write F3, or F3@2:30")
        return "", None
    hours = None if match[2] is None else int(match[2]) + int(match[3]) / 60
    if withdraw and restore:
        found.error("usage", "--withdraw and --restore do not go together", "choose one")
    if (withdraw or restore) and (hours is None or many):
        found.error("usage", "--withdraw and --restore take one reading and nothing else", "write F3@2:30")
    if not (withdraw or restore or many):
        found.error("usage", "nothing to write down was given", "write --at 2:30=600C")
    return match[1].upper(), hours


Change = Callable[[Record], dict[str, Any]]


def _change(hours: float | None, given: tuple[Reading, ...], withdraw: bool, restore: bool, id_: str) -> Change:
    """What becomes of the readings as they stand when it is written."""

    def change(record: Record) -> dict[str, Any]:
        assert isinstance(record, FiringRecord)
        kept = [r for r in record.readings if hours is None or abs(r.at_h - hours) > _SAME_H]
        if hours is not None and not restore and len(kept) == len(record.readings):
            raise ProblemsError([_none(record, hours, id_)])
        for reading in () if withdraw else given:
            if any(abs(reading.at_h - r.at_h) <= _SAME_H for r in kept):
                name = f"{id_}@{clock(reading.at_h)}"
                hint = phrase("correct it with|: glazecalc record reading {} --at {}=...|", name, clock(reading.at_h))
                raise ProblemsError([error("reading-twice", f"there is a reading {name} already", hint)])
            kept.append(reading)
        return {"readings": tuple(sorted(kept, key=lambda r: r.at_h))}

    return change


def _earlier(hours: float, history: tuple[Entry, ...]) -> Reading:
    """The last reading at that time [h] that stood before and does no more."""
    records = [entry.record for entry in history if isinstance(entry.record, FiringRecord)]
    for record in reversed(records[:-1]):
        for reading in record.readings:
            if abs(reading.at_h - hours) <= _SAME_H:
                return reading
    raise ProblemsError([_none(records[-1], hours, history[-1].id)])


def _none(record: FiringRecord, hours: float, id_: str) -> Problem:
    there = ", ".join(f"{id_}@{clock(r.at_h)}" for r in record.readings)
    hint = f"there are: {there}" if there else phrase("write one|: glazecalc record reading {} --at 2:30=600C|", id_)
    return error("no-reading", f"there is no reading {id_}@{clock(hours)}", hint)
