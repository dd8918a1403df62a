"""From the words of a potter to a record in the journal; nothing is acknowledged that is not on the disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from glazecalc.files.journal import Journal, standing, taken_back
from glazecalc.files.numbers import in_studio_degrees, read_cone, read_hours, read_quantity
from glazecalc.files.problems import Findings
from glazecalc.files.tile_words import read_date, read_readings, read_results, read_witness
from glazecalc.jobs.bench import Bench, open_bench, studio_folder
from glazecalc.jobs.cautions import metals
from glazecalc.jobs.formula import compose_recipe, formula_of
from glazecalc.jobs.learn_kiln import firing_remarks
from glazecalc.jobs.lesson import freeze
from glazecalc.jobs.materials import UNINVITED, Pantry
from glazecalc.jobs.recorded import record_faults
from glazecalc.jobs.setup import pick
from glazecalc.values.answers import Problem, ProblemsError, error, remark
from glazecalc.values.names import fold
from glazecalc.values.records import RECORD_TYPES, Act, BatchRecord, Entry, FiringRecord, Kind, TileResult

Fields = dict[str, Any]


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
    found = Findings(None)
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
    if id_ is None and not withdraw and not restore and not ({"recipe", "glaze"} & set(fields)):
        found.error("no-glaze", "no glaze is named", "name a recipe card, or a jar with --glaze")
    if id_ is None and words.recipe is not None and words.cone is None:
        stated = bench.recipes[0].cone
        fields |= _given(cone=stated.low.name if stated is not None and stated.low == stated.high else None)
    return _write(Target(folder, "tile", id_, withdraw, restore), fields, bench, found)


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
    found = Findings(None)
    fields = _glaze(bench, words.recipe, words.glaze, found)
    fields |= _given(dry_g=_quantity(words.dry, "mass", "g", "--dry", found), specific_gravity=words.gravity)
    fields |= _given(water_g=_quantity(words.water, "mass", "g", "--water", found))
    weighed = [(name, _quantity(text, "mass", "g", "--weighed", found)) for name, text in _pairs(words.weighed, found)]
    fields |= _given(weighed=tuple((n, g) for n, g in weighed if g is not None))
    fields |= _texts(container=words.container, note=words.note, date=_date(words.date, id_, found))
    fields |= _given(lots=tuple(_pairs(words.lots, found)))
    if id_ is None and not withdraw and not restore and not ({"recipe", "glaze"} & set(fields)):
        found.error("no-glaze", "no glaze is named", "name a recipe card, or a jar with --glaze")
    return _write(Target(folder, "batch", id_, withdraw, restore), fields, bench, found)


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


def _poisons_told(bench: Bench, found: Findings) -> None:
    """A remark where the glaze written down is poisonous: whoever reads the journal mixes from it."""
    composition, _, _ = compose_recipe(bench.recipes[0], bench.pantry)
    told = () if composition is None else metals(formula_of(composition))
    for line in told:
        if any(word in line for word in UNINVITED):
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
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    _usable(target, fields)
    with Journal(target.folder) as journal:
        problems = (*problems, *_faults(journal, target, fields), *_firing_known(journal, fields))
        if any(p.is_error for p in problems):
            raise ProblemsError(problems)
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
            raise ProblemsError([error("usage", f"{option} needs the --id of an entry", "see: glazecalc journal")])
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
    try:
        whole = replace(earlier[-1].record, **fields) if earlier else RECORD_TYPES[target.kind](**fields)
    except ValueError as exc:
        raise ProblemsError([_unlikely(exc)]) from exc
    return record_faults(whole)


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


def _plainly(act: Callable[[], str]) -> str:
    """What a record says against a value becomes a problem."""
    try:
        return act()
    except ValueError as exc:
        raise ProblemsError([_unlikely(exc)]) from exc


def _unlikely(exc: ValueError) -> Problem:
    return error("record", str(exc), "check the figure and its unit")


def _firing_known(journal: Journal, fields: Mapping[str, Any]) -> tuple[Problem, ...]:
    firing = fields.get("firing", "")
    known = journal.history("firing", firing) if firing else ()
    if known and known[-1].withdrawn:
        return (remark("no-firing", f"firing {firing} was taken back", "another one may be meant: glazecalc journal"),)
    if not firing or known:
        return ()
    return (remark("no-firing", f"no firing {firing} is in the journal yet", "glazecalc record firing ..."),)
