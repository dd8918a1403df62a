"""``record``, ``journal``, ``learn``: write down how it came out, read it again, and what it teaches."""

from __future__ import annotations

from dataclasses import fields
from inspect import Parameter, Signature
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, get_args

import typer

from glazecalc.cli.frame import NamedCommand, Told, command, examples, finish, refuse
from glazecalc.cli.options import BodyOption, Chosen, ConeOption, JsonOption, KilnOption, StudioOption, UnitsOption
from glazecalc.values.records import RECORD_TYPES, Kind, typed_fields

if TYPE_CHECKING:
    from glazecalc.jobs.bench import Bench
    from glazecalc.jobs.recording import Recorded


@command("journal", '--kind tile --body "Harbour stoneware"', "--undo", "--export journal.csv")
def journal(
    entry: Annotated[str | None, typer.Argument(metavar="[ID]", help="Show this entry with its earlier forms.")] = None,
    kind: Annotated[
        str | None, typer.Option("--kind", metavar="tile|firing|batch", help="Only entries of this kind.")
    ] = None,
    body: BodyOption = None,
    glaze: Annotated[
        str | None, typer.Option("--glaze", metavar="WORD", help="Only glazes with this word in the name.")
    ] = None,
    result: Annotated[str | None, typer.Option("--result", metavar="WORD", help="Only tiles with this result.")] = None,
    since: Annotated[
        str | None, typer.Option("--since", metavar="DATE", help="Only from this day on: 2026-03-31.")
    ] = None,
    withdrawn: Annotated[bool, typer.Option("--withdrawn", help="The entries that were taken back.")] = False,
    history: Annotated[bool, typer.Option("--history", help="What was done, act by act, the last one last.")] = False,
    undo: Annotated[
        bool, typer.Option("--undo", help="Take back what was written last; again: the one before that.")
    ] = False,
    redo: Annotated[bool, typer.Option("--redo", help="Do again what was undone last.")] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print the entries as CSV, safe for a spreadsheet.")] = False,
    export: Annotated[Path | None, typer.Option("--export", metavar="FILE.csv", help="Save the whole journal.")] = None,
    bring: Annotated[Path | None, typer.Option("--import", metavar="FILE.csv", help="Take in a saved journal.")] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is already there.")] = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """List what was recorded, show one entry, undo, or save and restore the whole journal."""
    from glazecalc.cli.notebook import (
        EntriesWanted,
        export_csv,
        import_csv,
        listed,
        pick_entries,
        print_csv,
        shown,
        told_acts,
        turned_back,
    )

    folder = studio or Path()
    if sum((undo, redo, history, export is not None, bring is not None, entry is not None)) > 1:
        hint = "one entry is taken back with: glazecalc record tile --id AAC --withdraw"
        refuse("usage", "these options do not go together", hint)
    if undo or redo:
        finish(turned_back(folder, again=redo), as_json)
    if history:
        finish(told_acts(folder), as_json)
    if export is not None:
        finish(export_csv(folder, export, force), as_json)
    if bring is not None:
        finish(import_csv(folder, bring), as_json)
    if entry is not None:
        finish(shown(folder, entry, kind), as_json)
    wanted = EntriesWanted(kind, body, glaze, result, since, withdrawn)
    entries = pick_entries(folder, wanted)
    if as_csv and not as_json:
        print_csv(entries)
        raise typer.Exit
    finish(listed(entries, wanted, folder), as_json)


record = typer.Typer(
    help="Write down a test tile, a firing, one of its readings, or a batch.", no_args_is_help=True,
    rich_markup_mode=None,
    epilog=examples(
        "record",
        'tile shoal-clear --body "Harbour stoneware" --result sound',
        'firing --kiln "Shed kiln" --witness 5=down --witness 6=half --hours 7.5',
    ).rstrip("\n"),
)  # fmt: skip

NoteOption = Annotated[
    str | None, typer.Option("--note", metavar="WORDS", help='Anything else; with --id, "" clears it.')
]
DateOption = Annotated[str | None, typer.Option("--date", metavar="DATE", help="Such as 2026-03-31. [default: today]")]
IdOption = Annotated[
    str | None, typer.Option("--id", metavar="MARK", help="Correct or complete this entry; the old form is kept.")
]
WithdrawOption = Annotated[
    bool, typer.Option("--withdraw", help="Take the entry of --id back; it is kept, not counted.")
]
RestoreOption = Annotated[bool, typer.Option("--restore", help="Bring back the entry of --id that was taken back.")]
RecipeOrNone = Annotated[
    str | None, typer.Argument(metavar="[RECIPE]", help="Recipe card, as it was mixed. A jar: --glaze instead.")
]
GlazeOption = Annotated[str, typer.Option("--glaze", metavar="NAME", help="Name of a glaze that has no card.")]

def _leave(recorded: Recorded, as_json: bool) -> None:
    from glazecalc.cli.notebook import written_down

    finish(written_down(recorded), as_json)


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
            word, option, sample, said, sort = own[name].word, *own[name]
            option = typer.Option(option, metavar=sample or None, help=said)
            found[word] = Annotated[_SORTS.get(sort, str | None), option]
        else:
            found[name] = _SHARED[name]
    return found


def _recorder(kind: Kind, told: str, *shown: str) -> None:
    """The command that writes one kind of entry down; ``told`` is its help, ``shown`` are its examples."""

    def run(**given: Any) -> None:
        from glazecalc.jobs.recording import write_down

        studio, as_json = given.pop("studio"), given.pop("as_json")
        id_, withdraw, restore = (given.pop(name) for name in ("id_", "withdraw", "restore"))
        _leave(write_down(kind, studio, given, id_, withdraw, restore), as_json)

    hints = _options(kind) | {
        "id_": IdOption, "withdraw": WithdrawOption, "restore": RestoreOption, "studio": StudioOption,
        "as_json": JsonOption,
    }  # fmt: skip
    blank = {bool: False, str: ""}
    run.__doc__, run.__annotations__ = told, hints
    run.__signature__ = Signature([  # type: ignore[attr-defined]
        Parameter(name, Parameter.KEYWORD_ONLY, default=blank.get(get_args(hint)[0]), annotation=hint)
        for name, hint in hints.items()
    ])  # fmt: skip
    record.command(kind, cls=NamedCommand, epilog=examples(f"record {kind}", *shown))(run)


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


@record.command(
    "reading",
    cls=NamedCommand,
    epilog=examples("record reading", "F3 --at 2:30=600C", "F3@2:30 --at 2:30=610C", "F3@2:30 --withdraw"),
)
def reading(
    meant: Annotated[str, typer.Argument(metavar="FIRING[@TIME]", help="The firing, F3, or one reading, F3@2:30.")],
    at: Annotated[
        list[str] | None, typer.Option("--at", metavar="HOURS=TEMP", help="A look at the pyrometer: 2:30=600C.")
    ] = None,
    withdraw: Annotated[bool, typer.Option("--withdraw", help="Take this reading back; it is kept.")] = False,
    restore: Annotated[bool, typer.Option("--restore", help="Bring this reading back as it was last.")] = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Add a reading to a firing; or correct, take back or bring back one."""
    from glazecalc.jobs.recording import record_reading

    _leave(record_reading(studio, meant, at or (), withdraw, restore), as_json)


@command("learn", '--body "Harbour stoneware"', '--kiln "Shed kiln" --json')
def learn(
    where: Chosen = Chosen(),
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Learn the clay's expansion from recorded tiles, or the kiln's reach from recorded firings."""
    from glazecalc.jobs.bench import open_bench

    bench = open_bench((), studio, units=units)
    if where.kiln is not None and where.body is None:
        finish(_of_kiln(bench, where.kiln, where.circuit), as_json)
    finish(_of_body(bench, where.body, where.kiln, where.cone), as_json)


def _of_body(bench: Bench, body: str | None, kiln: str | None, cone: str | None) -> Told:
    from glazecalc.jobs import requests
    from glazecalc.jobs.setup import studio_option
    from glazecalc.render.text.learn import lesson_text

    lesson, problems = requests.learn_body(bench, body, kiln=kiln, cone=cone)
    text = lesson_text(lesson, bench.studio.units, studio_option(bench.studio.folder))
    return Told("learn", [lesson], text, problems=[*bench.problems, *problems])


def _of_kiln(bench: Bench, name: str, circuit: str | None) -> Told:
    from glazecalc.jobs import requests
    from glazecalc.render.text.kiln import kiln_learned_text

    learned = requests.learn_kiln(bench, name, circuit=circuit)
    text = kiln_learned_text(learned, bench.studio.units)
    return Told("learn", [learned], text, problems=[*bench.problems, *learned.problems])
