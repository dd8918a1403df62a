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
    BENDS,
    RECORD_TYPES,
    Act,
    BatchRecord,
    Entry,
    FiringRecord,
    Kind,
    Reading,
    Record,
    TileRecord,
    TileResult,
    WitnessCone,
)
from glazecalc.values.texts import phrase, typed
from glazecalc.values.units import clock

Fields = dict[str, Any]
Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class TileWords:
    """The options of ``record tile`` as typed."""

    recipe: str | None
    glaze: str
    body: str | None
    lot: str | None
    firing: str | None
    cone: str | None
    bend: str | None
    thickness: str | None
    coats: int | None
    results: tuple[str, ...]
    after: str | None
    place: str | None
    photo: str | None
    date: str | None
    note: str | None


@dataclass(frozen=True, slots=True)
class FiringWords:
    """The options of ``record firing`` as typed."""

    kiln: str | None
    circuit: str | None
    purpose: str | None
    target: str | None
    witness: tuple[str, ...]
    at: tuple[str, ...]
    peak: str | None
    hours: str | None
    hold: str | None
    volts: float | None
    amps: float | None
    energy: float | None
    load: str | None
    on_elements: int | None
    stalled: bool
    schedule: str | None
    date: str | None
    note: str | None


@dataclass(frozen=True, slots=True)
class BatchWords:
    """The options of ``record batch`` as typed."""

    recipe: str | None
    glaze: str
    dry: str | None
    water: str | None
    gravity: float | None
    weighed: tuple[str, ...]
    lots: tuple[str, ...]
    container: str | None
    date: str | None
    note: str | None


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


def record_tile(
    studio: Path | None, words: TileWords, id_: str | None, withdraw: bool, restore: bool = False
) -> Recorded:
    """Write a tile down. Raises ProblemsError with everything that is wrong with the words."""
    bench, folder = _open(studio, words.recipe)
    target, found = Target(folder, "tile", id_, withdraw, restore), Findings(None)
    fields = _glaze(bench, words.recipe, words.glaze, found)
    body = pick(bench.studio.bodies, words.body, None, "body", bench.studio) if bench.studio.bodies else None
    if words.body is not None or (body is not None and id_ is None):
        fields["body"] = body.name if body is not None else words.body
    elif id_ is None and bench.studio.defaults.body:
        fields["body"] = bench.studio.defaults.body
    results, days, test = read_results(words.results, words.after, found)
    fields |= _given(results=results, after_days=days, after_test=test, coats=words.coats)
    if TileResult.CRAZED_AT_ONCE in results:
        fields |= {"after_days": None, "after_test": ""}
    firing = words.firing.upper() if words.firing is not None else None
    fields |= _texts(lot=words.lot, firing=firing, bend=words.bend, place=words.place, photo=words.photo)
    fields |= _texts(cone=_cone(words.cone, found), note=words.note, date=_date(words.date, id_, found))
    fields |= _given(thickness_mm=_quantity(words.thickness, "length", "mm", "--thickness", found))
    _glaze_named(target, fields, found)
    if id_ is None and words.recipe is not None and words.cone is None:
        stated = bench.recipes[0].cone
        fields |= _given(cone=stated.low.name if stated is not None and stated.low == stated.high else None)
    return _write(target, fields, bench, found)


def record_firing(
    studio: Path | None, words: FiringWords, id_: str | None, withdraw: bool, restore: bool = False
) -> Recorded:
    """Write a firing down. Raises ProblemsError with everything that is wrong with the words."""
    bench, folder = _open(studio, None)
    found = Findings(None)
    default = bench.studio.defaults.kiln if id_ is None else None
    kiln = pick(bench.studio.kilns, words.kiln, default, "kiln", bench.studio) if bench.studio.kilns else None
    name = kiln.name if kiln is not None and (id_ is None or words.kiln is not None) else words.kiln
    hours = read_hours(words.hours, "--hours", found)
    fields = _given(kiln=name)
    fields |= _texts(circuit=words.circuit, purpose=words.purpose, schedule=words.schedule, note=words.note)
    fields |= _given(target_cone=_cone(words.target, found), cones=read_witness(words.witness, found))
    fields |= _given(
        readings=read_readings(words.at, found, bench.studio.units.temperature == "F"),
        hours=hours,
        hold_h=read_hours(words.hold, "--hold", found),
    )
    fields |= _given(volts=words.volts, amps=words.amps, energy_kWh=words.energy, on_elements=words.on_elements)
    load_g = _quantity(words.load, "mass", "g", "--load", found)
    fields |= _given(load_kg=None if load_g is None else load_g / 1000.0, reached=False if words.stalled else None)
    in_F = bench.studio.units.temperature == "F"
    peak = in_studio_degrees(words.peak, "--peak", in_F, found)
    fields |= _given(peak_degC=_quantity(peak, "temperature", "degC", "--peak", found))
    fields |= _given(date=_date(words.date, id_, found))
    new = id_ is None and not withdraw and not restore
    if new and words.date is None and set(_given(**fields)) <= {"kiln", "date"}:
        hint = "say what you know of it: --hours 8, --at 2:00=400C, --witness 6=down, --on-elements 35, --note ..."
        found.error("firing-empty", "this firing has no facts, and every firing counts as wear", hint)
    return _write(Target(folder, "firing", id_, withdraw, restore), fields, bench, found)


def record_batch(
    studio: Path | None, words: BatchWords, id_: str | None, withdraw: bool, restore: bool = False
) -> Recorded:
    """Write a batch down. Raises ProblemsError with everything that is wrong with the words."""
    bench, folder = _open(studio, words.recipe)
    target, found = Target(folder, "batch", id_, withdraw, restore), Findings(None)
    fields = _glaze(bench, words.recipe, words.glaze, found)
    fields |= _given(dry_g=_quantity(words.dry, "mass", "g", "--dry", found), specific_gravity=words.gravity)
    fields |= _given(water_g=_quantity(words.water, "mass", "g", "--water", found))
    weighed = [(name, _quantity(text, "mass", "g", "--weighed", found)) for name, text in _pairs(words.weighed, found)]
    fields |= _given(weighed=tuple((n, g) for n, g in weighed if g is not None))
    fields |= _texts(container=words.container, note=words.note, date=_date(words.date, id_, found))
    fields |= _given(lots=tuple(_pairs(words.lots, found)))
    _glaze_named(target, fields, found)
    return _write(target, fields, bench, found)


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


def _texts(**fields: str | None) -> Fields:
    """The texts that were given; an empty one clears what stood there."""
    return {name: text.strip() for name, text in fields.items() if text is not None}


def _glaze(bench: Bench, recipe: str | None, glaze: str, found: Findings) -> Fields:
    if recipe is None:
        return _given(glaze=glaze)
    frozen, problems = freeze(bench.recipes[0], bench.pantry)
    found.extend(tuple(p for p in problems if p.is_error))
    _poisons_told(bench, found)
    return _given(recipe=frozen, glaze=glaze or frozen.name)


def _glaze_named(target: Target, fields: Fields, found: Findings) -> None:
    """A problem where a new entry names no glaze."""
    if target.id is None and not target.withdraw and not target.restore and not ({"recipe", "glaze"} & set(fields)):
        found.error("no-glaze", "no glaze is named", phrase("name a recipe card, or a jar| with --glaze|"))


def _poisons_told(bench: Bench, found: Findings) -> None:
    """A remark where the glaze written down is poisonous: whoever reads the journal mixes from it."""
    composition, _, _ = compose_recipe(bench.recipes[0], bench.pantry)
    for line in metals(None if composition is None else formula_of(composition), UNINVITED):
        found.remark("holds-poison", f"{bench.recipes[0].name}: {line}")


def _cone(text: str | None, found: Findings) -> str | None:
    cone = read_cone(text, found, None) if text is not None else None
    return None if cone is None else cone.name


def _date(text: str | None, id_: str | None, found: Findings) -> str | None:
    return None if text is None and id_ is not None else read_date(text, found)


def _quantity(text: str | None, dimension: str, unit: str, option: str, found: Findings) -> float | None:
    return None if text is None else read_quantity(text, dimension, unit, option, found)


def _pairs(words: Sequence[str], found: Findings) -> list[tuple[str, str]]:
    pairs = []
    for said in words:
        name, equals, value = said.rpartition("=")
        if not (name.strip() and equals and value.strip()):
            found.error("not-a-pair", f"{said[:40]!r} is not NAME=VALUE", 'write it as "Whiting=80.5g"')
            continue
        pairs.append((name.strip(), value.strip()))
    return pairs


def _write(target: Target, fields: Mapping[str, Any], bench: Bench, found: Findings) -> Recorded:
    problems = (*bench.problems, *found.problems)
    stop_at_errors(problems)
    _usable(target, fields)
    with Journal(target.folder) as journal:
        problems = (*problems, *_faults(journal, target, fields), *_firing_known(journal, fields))
        stop_at_errors(problems)
        id_ = _plainly(lambda: _act(journal, target, fields))
        history = journal.history(target.kind, id_)
    entry = history[-1]
    if isinstance(entry.record, FiringRecord) and not target.withdraw:
        problems = (*problems, *firing_remarks(bench.studio, entry.record))
    if isinstance(entry.record, BatchRecord) and not target.withdraw:
        problems = (*problems, *_strange_lines(entry.record, bench.pantry))
    return Recorded(target, history, problems)


def _usable(target: Target, fields: Mapping[str, Any]) -> None:
    """Raises ProblemsError where the options do not go together."""
    if target.withdraw or target.restore:
        option = "--withdraw" if target.withdraw else "--restore"
        if target.withdraw and target.restore:
            raise ProblemsError([error("usage", "--withdraw and --restore do not go together", "choose one")])
        if target.id is None:
            raise ProblemsError(
                [error("usage", f"{option} needs the --id of an entry", phrase("see|: glazecalc journal|"))]
            )
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
    if target.withdraw:
        journal.withdraw(target.kind, target.id)
        return target.id.strip().upper()
    if target.restore:
        journal.restore(target.kind, target.id)
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
        return (
            remark(
                "no-firing", f"firing {firing} was taken back", phrase("another one may be meant|: glazecalc journal|")
            ),
        )
    if not firing or known:
        return ()
    return (remark("no-firing", f"no firing {firing} is in the journal yet", typed("glazecalc record firing ...")),)


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
    found = [*_day(record.date)]
    if isinstance(record, FiringRecord):
        found += [*_witnesses(record.cones), *_late(record), *_hotter_than_peak(record), *_stalled_yet_there(record)]
        found += witness_against_peak(record.cones, record.readings, record.peak_degC, record.hours)
    if isinstance(record, BatchRecord):
        found += [*_weights(record), *_twice(record), *_water(record)]
    if isinstance(record, TileRecord):
        found += _time_as_test(record.after_test)
    return tuple(found)


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


def _witnesses(cones: Sequence[WitnessCone]) -> Iterator[Problem]:
    """One cone cannot end both ways, and a hotter cone does not go down before a cooler one beside it."""
    ends: dict[str, str] = {}
    for cone in cones:
        if ends.setdefault(cone.cone, cone.bend) != cone.bend:
            text = f"cone {cone.cone} cannot be both {ends[cone.cone]} and {cone.bend}"
            yield error("witness-contradiction", text, "write what it looked like when cold")
    standing = [Cone(cone.cone) for cone in cones if cone.bend == BENDS[-1]]
    down = [Cone(cone.cone) for cone in cones if cone.bend == BENDS[0]]
    if standing and down and min(standing) < max(down):
        text = f"cone {min(standing)} stands though the hotter cone {max(down)} is down"
        yield remark("witness-contradiction", text, "check which cone is which")


def _late(record: FiringRecord) -> Iterator[Problem]:
    hours = record.hours
    late = [r for r in record.readings if hours is not None and r.at_h > hours + AFTER_END_H]
    if late:
        text = f"a reading at {late[0].at_h:g} h is after the end of the firing at {hours:g} h"
        yield remark("reading-after-end", text, typed("--hours counts from switching on to the end"))


def _hotter_than_peak(record: FiringRecord) -> Iterator[Problem]:
    peak = record.peak_degC
    hotter = [r for r in record.readings if peak is not None and r.degC > peak + ABOVE_PEAK_K]
    if hotter:
        text = phrase("a reading of {:.0f degC} is above the peak of {:.0f degC}", hotter[0].degC, peak)
        yield remark("firing-odd", text, typed("--peak is the highest temperature seen"))


def _stalled_yet_there(record: FiringRecord) -> Iterator[Problem]:
    """A firing that did not get to its cone, with that cone or a hotter one down."""
    down = [Cone(cone.cone) for cone in record.cones if cone.bend == BENDS[0]]
    if record.reached is False and record.target_cone and down and max(down) >= Cone(record.target_cone):
        text = f"the firing did not get to cone {record.target_cone}, yet cone {max(down)} is down"
        yield remark("witness-contradiction", text, typed("leave --stalled out where the cone went down"))


def _twice(record: BatchRecord) -> Iterator[Problem]:
    named = [name for name, _ in record.weighed]
    for name in dict.fromkeys(n for n in named if named.count(n) > 1):
        yield error("batch-contradiction", f"{name} is weighed twice", "give one weight for each line, or their sum")


def _water(record: BatchRecord) -> Iterator[Problem]:
    dry, water = record.dry_g, record.water_g
    if dry is not None and water is not None and water > MOST_WATER * dry:
        text = phrase("{:g g} of water in {:g g} of dry glaze is thinner than any slurry", water, dry)
        yield remark("batch-odd", text, "check the figure and its unit")


def _time_as_test(test: str) -> Iterator[Problem]:
    """A text that begins like a span of time, and was kept as the name of a test."""
    if re.match(r"\s*[\d.,]", test):
        yield remark("not-a-time", f"{test[:40]!a} is no time that is known, and was kept as the name of a test",
                     'write a time as "3 days", in hours, days, weeks, months or years')  # fmt: skip


def _weights(record: BatchRecord) -> Iterator[Problem]:
    for name, grams in record.weighed:
        if record.dry_g is not None and grams > record.dry_g:
            text = phrase("{} at {:g g} is more than the whole batch of {:g g}", name, grams, record.dry_g)
            yield error("batch-contradiction", text, "check the figure and its unit")


# One look at the pyrometer of a recorded firing: added, corrected, taken back or brought back on its own.

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
    stop_at_errors((*bench.problems, *found.problems))
    with Journal(folder) as journal:
        history = journal.history("firing", firing)
        if not history:
            hint = phrase("list them with|: glazecalc journal --kind firing|")
            raise ProblemsError([error("no-firing", f"there is no firing {firing} in the journal", hint)])
        if history[-1].withdrawn:
            raise ProblemsError([taken_back(history[-1])])
        change = _change(words, hours, given, history)
        before = history[-1].record
        faults = record_faults(_plainly(lambda: replace(before, **change(before))))
        stop_at_errors(faults)
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
                hint = phrase("correct it with|: glazecalc record reading {} --at {}=...|", name, clock(reading.at_h))
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
    hint = f"there are: {there}" if there else phrase("write one|: glazecalc record reading {} --at 2:30=600C|", id_)
    return error("no-reading", f"there is no reading {id_}@{clock(hours)}", hint)
