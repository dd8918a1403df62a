"""``record``, ``journal``, ``learn``: write down how it came out, read it again, and what it teaches."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, field, fields, make_dataclass
from pathlib import Path
from typing import Annotated, Any, Final, get_args

import typer

from glazecalc.cli.frame import NamedCommand, Told, command, examples
from glazecalc.cli.options import (
    BodyOption,
    Chosen,
    ConeOption,
    ForceOption,
    JsonOption,
    KilnOption,
    StudioOption,
    Text,
    Texts,
    UnitsOption,
    arg,
    flag,
    opt,
    spread,
)
from glazecalc.values.answers import refuse
from glazecalc.values.records import RECORD_TYPES, Kind, typed_fields


@dataclass(frozen=True, slots=True)
class EntriesWanted:
    """Which entries of the journal are meant; None is no wish."""

    kind: Annotated[Text, opt("--kind", "tile|firing|batch", "Only entries of this kind.")] = None
    body: BodyOption = None
    glaze: Annotated[Text, opt("--glaze", "WORD", "Only glazes with this word in the name.")] = None
    result: Annotated[Text, opt("--result", "WORD", "Only tiles with this result.")] = None
    since: Annotated[Text, opt("--since", "DATE", "Only from this day on: 2026-03-31.")] = None
    withdrawn: Annotated[bool, flag("--withdrawn", "The entries that were taken back.")] = False


@command("journal", '--kind tile --body "Harbour stoneware"', "--undo", "--export journal.csv")
def journal(
    entry: Annotated[Text, arg("[ID]", "Show this entry with its earlier forms.")] = None,
    wanted: EntriesWanted = EntriesWanted(),
    history: Annotated[bool, flag("--history", "What was done, act by act, the last one last.")] = False,
    undo: Annotated[bool, flag("--undo", "Take back what was written last; again: the one before that.")] = False,
    redo: Annotated[bool, flag("--redo", "Do again what was undone last.")] = False,
    as_csv: Annotated[bool, flag("--csv", "Print the entries as CSV, safe for a spreadsheet.")] = False,
    export: Annotated[Path | None, opt("--export", "FILE.csv", "Save the whole journal.")] = None,
    bring: Annotated[Path | None, opt("--import", "FILE.csv", "Take in a saved journal.")] = None,
    force: ForceOption = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> Told | None:
    """List what was recorded, show one entry, undo, or save and restore the whole journal."""
    from glazecalc.cli import notebook

    folder = studio or Path()
    if sum((undo, redo, history, export is not None, bring is not None, entry is not None)) > 1:
        hint = "one entry is taken back with: glazecalc record tile --id AAC --withdraw"
        refuse("usage", "these options do not go together", hint)
    if undo or redo:
        return notebook.turned_back(folder, again=redo)
    if history:
        return notebook.told_acts(folder)
    if export is not None:
        return notebook.export_csv(folder, export, force)
    if bring is not None:
        return notebook.import_csv(folder, bring)
    if entry is not None:
        return notebook.shown(folder, entry, wanted.kind)
    entries = notebook.pick_entries(folder, wanted)
    if as_csv and not as_json:
        notebook.print_csv(entries)
        return None
    return notebook.listed(entries, wanted, folder)


record = typer.Typer(
    help="Write down a test tile, a firing, one of its readings, or a batch.", no_args_is_help=True,
    rich_markup_mode=None,
    epilog=examples(
        "record",
        'tile shoal-clear --body "Harbour stoneware" --result sound',
        'firing --kiln "Shed kiln" --witness 5=down --witness 6=half --hours 7.5',
    ).rstrip("\n"),
)  # fmt: skip


RecipeOrNone = Annotated[Text, arg("[RECIPE]", "Recipe card, as it was mixed. A jar: --glaze instead.")]
GlazeOption = Annotated[str, opt("--glaze", "NAME", "Name of a glaze that has no card.")]
DateOption = Annotated[Text, opt("--date", "DATE", "Such as 2026-03-31. [default: today]")]
NoteOption = Annotated[Text, opt("--note", "WORDS", 'Anything else; with --id, "" clears it.')]


@dataclass(frozen=True, slots=True)
class Kept:
    """Which entry is corrected, taken back or brought back, and in which studio."""

    id_: Annotated[Text, opt("--id", "MARK", "Correct or complete this entry; the old form is kept.")] = None
    withdraw: Annotated[bool, flag("--withdraw", "Take the entry of --id back; it is kept, not counted.")] = False
    restore: Annotated[bool, flag("--restore", "Bring back the entry of --id that was taken back.")] = False
    studio: StudioOption = None


_SHARED: Final[dict[str, Any]] = {
    "recipe": RecipeOrNone, "glaze": GlazeOption, "body": BodyOption, "kiln": KilnOption, "cone": ConeOption,
    "date": DateOption, "note": NoteOption,
}  # fmt: skip
"""Fields of records whose option other commands have, or several kinds of entry."""
_FIRST: Final = frozenset({"recipe", "glaze", "kiln", "circuit", "purpose", "target_cone", "cones", "readings"})
_MANY: Final = ("results", "witness", "readings", "pairs", "masses")
_SORTS: Final[dict[str, Any]] = {
    "number": float | None, "count": int | None, "flag": bool, **dict.fromkeys(_MANY, list[str] | None),
}  # fmt: skip


def _options(kind: Kind) -> dict[str, Any]:
    """An option for each field of a kind of record, by its word: what was fired first, date and note last."""
    own, found = typed_fields(RECORD_TYPES[kind]), {}
    names = [f.name for f in fields(RECORD_TYPES[kind]) if f.name in own or f.name in _SHARED]
    for name in sorted(names, key=lambda n: 0 if n in _FIRST else 2 if n in ("date", "note") else 1):
        if name in own:
            word, (option, sample, help_, sort) = own[name].word, own[name]
            found[word] = Annotated[_SORTS.get(sort, Text), opt(option, sample or None, help_)]
        else:
            found[name] = _SHARED[name]
    return found


def _kind(name: str, *typed: str) -> Callable[[Callable[..., Told]], Callable[..., Told]]:
    """Make a function the command that records that kind, with its examples."""

    def known(function: Callable[..., Told]) -> Callable[..., Told]:
        beneath = examples(f"record {name}", *typed)
        record.command(name, cls=NamedCommand, epilog=beneath)(spread(function, "record"))
        return function

    return known


def _recorder(kind: Kind, help_: str, *typed: str) -> None:
    """The command that writes one kind of entry down, with its examples."""
    blank = {bool: False, str: ""}
    words = [(word, of, field(default=blank.get(get_args(of)[0]))) for word, of in _options(kind).items()]

    def run(words: Any, kept: Kept) -> Told:
        from glazecalc.cli.notebook import written_down
        from glazecalc.jobs.recording import write_down

        given = asdict(words)
        return written_down(write_down(kind, kept.studio, given, kept.id_, kept.withdraw, kept.restore))

    run.__doc__, run.__annotations__ = help_, {"words": make_dataclass(kind, words), "kept": Kept}
    _kind(kind, *typed)(run)


_recorder(
    "tile", "Write down a test tile: glaze, clay, firing, and how it came out.",
    'shoal-clear --body "Harbour stoneware" --cone 6 --result sound --after "boil and\n  freeze x3"',
    '--id AAC --result "crazed after 3 days"',
)  # fmt: skip
_recorder(
    "firing", "Write down a firing: times, temperatures, volts, and which cones bent.",
    '--kiln "Shed kiln" --witness 5=down --witness 6=half --hours 7.5 --volts 117',
    '--kiln "Shed kiln" --at 1:00=180C --at 2:30=420C --at 6:00=1080C --target 6',
)  # fmt: skip
_recorder(
    "batch", "Write down a batch: the recipe as mixed, weights, lots, water.",
    "shoal-clear --dry 500g --sg 1.47",
    'shoal-clear --dry 2kg --lot "Whiting=bag 7" --container "white bucket"',
)  # fmt: skip


@_kind("reading", "F3 --at 2:30=600C", "F3@2:30 --at 2:30=610C", "F3@2:30 --withdraw")
def reading(
    meant: Annotated[str, arg("FIRING[@TIME]", "The firing, F3, or one reading, F3@2:30.")],
    at: Annotated[Texts, opt("--at", "HOURS=TEMP", "A look at the pyrometer: 2:30=600C.")] = None,
    withdraw: Annotated[bool, flag("--withdraw", "Take this reading back; it is kept.")] = False,
    restore: Annotated[bool, flag("--restore", "Bring this reading back as it was last.")] = False,
    studio: StudioOption = None,
) -> Told:
    """Add a reading to a firing; or correct, take back or bring back one."""
    from glazecalc.cli.notebook import written_down
    from glazecalc.jobs.recording import record_reading

    return written_down(record_reading(studio, meant, at or (), withdraw, restore))


@command("learn", '--body "Harbour stoneware"', '--kiln "Shed kiln" --json')
def learn(where: Chosen = Chosen(), studio: StudioOption = None, units: UnitsOption = None) -> Told:
    """Learn the clay's expansion from recorded tiles, or the kiln's reach from recorded firings."""
    from glazecalc.jobs import requests
    from glazecalc.jobs.bench import open_bench
    from glazecalc.render.text.kiln import kiln_learned_text
    from glazecalc.render.text.learn import lesson_text
    from glazecalc.values.names import studio_option

    bench = open_bench((), studio, units=units)
    if where.kiln is not None and where.body is None:
        learned = requests.learn_kiln(bench, where.kiln, circuit=where.circuit)
        text = kiln_learned_text(learned, bench.studio.units)
        return Told([learned], text, problems=[*bench.problems, *learned.problems])
    lesson, problems = requests.learn_body(bench, where.body, kiln=where.kiln, cone=where.cone)
    text = lesson_text(lesson, bench.studio.units, studio_option(bench.studio.folder))
    return Told([lesson], text, problems=[*bench.problems, *problems])
