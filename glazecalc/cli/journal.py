"""``record``, ``journal``, ``learn``: write down how it came out, read it again, and what it teaches."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import NamedCommand, Told, command, examples, finish, refuse
from glazecalc.cli.options import BodyOption, Chosen, ConeOption, JsonOption, KilnOption, StudioOption, UnitsOption

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

RESULT_HELP = (
    "sound, crazed at once, crazed later, crazed (when is not known), shivered, pinholed, crawled, ran or underfired; "
    "more than once if need be."
)


def _leave(recorded: Recorded, as_json: bool) -> None:
    from glazecalc.cli.notebook import written_down

    finish(written_down(recorded), as_json)


@record.command(
    "tile",
    cls=NamedCommand,
    epilog=examples(
        "record tile",
        'shoal-clear --body "Harbour stoneware" --cone 6 --result sound --after "boil and\n  freeze x3"',
        '--id AAC --result "crazed after 3 days"',
    ),
)
def tile(
    recipe: RecipeOrNone = None,
    glaze: GlazeOption = "",
    body: BodyOption = None,
    lot: Annotated[str | None, typer.Option("--lot", metavar="LOT", help="Lot or bag of the clay.")] = None,
    firing: Annotated[str | None, typer.Option("--firing", metavar="ID", help="The firing it was in: F3.")] = None,
    cone: ConeOption = None,
    bend: Annotated[
        str | None, typer.Option("--bend", metavar="WORDS", help="How far the witness cone bent, in your words.")
    ] = None,
    thickness: Annotated[str | None, typer.Option("--thickness", metavar="0.3mm", help="Of the fired coat.")] = None,
    coats: Annotated[int | None, typer.Option("--coats", metavar="N", help="Number of coats.")] = None,
    result: Annotated[
        list[str] | None,
        typer.Option("--result", metavar="WORD", help=RESULT_HELP),
    ] = None,
    after: Annotated[
        str | None, typer.Option("--after", metavar="TIME|TEST", help='Such as "3 days" or "freezer and boil x3".')
    ] = None,
    place: Annotated[str | None, typer.Option("--place", metavar="WORDS", help="Where it stood in the kiln.")] = None,
    photo: Annotated[str | None, typer.Option("--photo", metavar="FILE", help="Path of a picture.")] = None,
    date: DateOption = None,
    note: NoteOption = None,
    id_: IdOption = None,
    withdraw: WithdrawOption = False,
    restore: RestoreOption = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:  # fmt: skip
    """Write down a test tile: glaze, clay, firing, and how it came out."""
    from glazecalc.jobs.recording import TileWords, record_tile

    words = TileWords(
        recipe=recipe, glaze=glaze, body=body, lot=lot, firing=firing, cone=cone, bend=bend, thickness=thickness,
        coats=coats, results=tuple(result or ()), after=after, place=place, photo=photo, date=date, note=note,
    )  # fmt: skip
    _leave(record_tile(studio, words, id_, withdraw, restore), as_json)


@record.command(
    "firing",
    cls=NamedCommand,
    epilog=examples(
        "record firing",
        '--kiln "Shed kiln" --witness 5=down --witness 6=half --hours 7.5 --volts 117',
        '--kiln "Shed kiln" --at 1:00=180C --at 2:30=420C --at 6:00=1080C --target 6',
    ),
)
def firing(
    kiln: KilnOption = None,
    circuit: Annotated[
        str | None, typer.Option("--circuit", metavar="NAME", help="Circuit it was plugged into.")
    ] = None,
    purpose: Annotated[str | None, typer.Option("--purpose", metavar="bisque|glaze", help="What it was for.")] = None,
    target: Annotated[str | None, typer.Option("--target", metavar="CONE", help="The cone aimed at.")] = None,
    witness: Annotated[
        list[str] | None,
        typer.Option("--witness", metavar="CONE=BEND", help="A witness cone: 6=down, half, soft or stands."),
    ] = None,
    at: Annotated[
        list[str] | None, typer.Option("--at", metavar="HOURS=TEMP", help="A look at the pyrometer: 2:30=600C.")
    ] = None,
    peak: Annotated[str | None, typer.Option("--peak", metavar="1222C", help="Highest temperature seen.")] = None,
    hours: Annotated[
        str | None,
        typer.Option("--hours", metavar="HOURS", help="From switching on to the end, a hold included: 7.5 or 7:30."),
    ] = None,
    hold: Annotated[
        str | None,
        typer.Option("--hold", metavar="HOURS", help="Held at the peak: it counts for the cones. 0.5, 0:30 or 30min."),
    ] = None,
    volts: Annotated[
        float | None, typer.Option("--volts", metavar="V", help="At the outlet while the kiln is on full.")
    ] = None,
    amps: Annotated[float | None, typer.Option("--amps", metavar="A", help="Drawn on full.")] = None,
    energy: Annotated[
        float | None, typer.Option("--energy", metavar="KWH", help="From a meter; only checked against the plate.")
    ] = None,
    load: Annotated[str | None, typer.Option("--load", metavar="4kg", help="Ware in the kiln.")] = None,
    on_elements: Annotated[
        int | None, typer.Option("--on-elements", metavar="N", help="Firings these elements had before.")
    ] = None,
    stalled: Annotated[bool, typer.Option("--stalled", help="It did not get to the cone.")] = False,
    schedule: Annotated[
        str | None, typer.Option("--schedule", metavar="WORDS", help="Its segments, or the name of the program.")
    ] = None,
    date: DateOption = None,
    note: NoteOption = None,
    id_: IdOption = None,
    withdraw: WithdrawOption = False,
    restore: RestoreOption = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write down a firing: times, temperatures, volts, and which cones bent."""
    from glazecalc.jobs.recording import FiringWords, record_firing

    words = FiringWords(
        kiln=kiln, circuit=circuit, purpose=purpose, target=target, witness=tuple(witness or ()), at=tuple(at or ()),
        peak=peak, hours=hours, hold=hold, volts=volts, amps=amps, energy=energy, load=load, on_elements=on_elements,
        stalled=stalled, schedule=schedule, date=date, note=note,
    )  # fmt: skip
    _leave(record_firing(studio, words, id_, withdraw, restore), as_json)


@record.command(
    "batch",
    cls=NamedCommand,
    epilog=examples(
        "record batch",
        "shoal-clear --dry 500g --sg 1.47",
        'shoal-clear --dry 2kg --lot "Whiting=bag 7" --container "white bucket"',
    ),
)
def batch(
    recipe: RecipeOrNone = None,
    glaze: GlazeOption = "",
    dry: Annotated[str | None, typer.Option("--dry", metavar="500g", help="Dry weight of the batch.")] = None,
    water: Annotated[str | None, typer.Option("--water", metavar="400g", help="Water it was mixed with.")] = None,
    gravity: Annotated[float | None, typer.Option("--sg", metavar="SG", help="Specific gravity of the slurry.")] = None,
    weighed: Annotated[
        list[str] | None, typer.Option("--weighed", metavar="MATERIAL=GRAMS", help="What the scale showed for a line.")
    ] = None,
    lots: Annotated[list[str] | None, typer.Option("--lot", metavar="MATERIAL=BAG", help="Lot of a material.")] = None,
    container: Annotated[
        str | None, typer.Option("--container", metavar="NAME", help="Bucket or jar it is in.")
    ] = None,
    date: DateOption = None,
    note: NoteOption = None,
    id_: IdOption = None,
    withdraw: WithdrawOption = False,
    restore: RestoreOption = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write down a batch: the recipe as mixed, weights, lots, water."""
    from glazecalc.jobs.recording import BatchWords, record_batch

    words = BatchWords(
        recipe=recipe, glaze=glaze, dry=dry, water=water, gravity=gravity, weighed=tuple(weighed or ()),
        lots=tuple(lots or ()), container=container, date=date, note=note,
    )  # fmt: skip
    _leave(record_batch(studio, words, id_, withdraw, restore), as_json)


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
    from glazecalc.jobs.recording import ReadingWords, record_reading

    _leave(record_reading(studio, ReadingWords(meant, tuple(at or ()), withdraw, restore)), as_json)


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
    from glazecalc.render.text.learn import lesson_text
    from glazecalc.values.names import studio_option

    lesson, problems = requests.learn_body(bench, body, kiln=kiln, cone=cone)
    text = lesson_text(lesson, bench.studio.units, studio_option(bench.studio.folder))
    return Told("learn", [lesson], text, problems=[*bench.problems, *problems])


def _of_kiln(bench: Bench, name: str, circuit: str | None) -> Told:
    from glazecalc.jobs import requests
    from glazecalc.render.text.kiln import kiln_learned_text

    learned = requests.learn_kiln(bench, name, circuit=circuit)
    text = kiln_learned_text(learned, bench.studio.units)
    return Told("learn", [learned], text, problems=[*bench.problems, *learned.problems])
