"""``record``, ``journal``, ``learn``: write down how it came out, read it again, and what it teaches."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Annotated, Any, TypeVar

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

Words = TypeVar("Words")


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


def _kind(name: str, *typed: str) -> Callable[[Callable[..., Told]], Callable[..., Told]]:
    """Make a function the command that records that kind, with its examples."""

    def known(function: Callable[..., Told]) -> Callable[..., Told]:
        beneath = examples(f"record {name}", *typed)
        record.command(name, cls=NamedCommand, epilog=beneath)(spread(function, "record"))
        return function

    return known


RecipeOrNone = Annotated[Text, arg("[RECIPE]", "Recipe card, as it was mixed. A jar: --glaze instead.")]
GlazeOption = Annotated[str, opt("--glaze", "NAME", "Name of a glaze that has no card.")]
DateOption = Annotated[Text, opt("--date", "DATE", "Such as 2026-03-31. [default: today]")]
NoteOption = Annotated[Text, opt("--note", "WORDS", 'Anything else; with --id, "" clears it.')]
AtOption = Annotated[Texts, opt("--at", "HOURS=TEMP", "A look at the pyrometer: 2:30=600C.")]


@dataclass(frozen=True, slots=True)
class Kept:
    """Which entry is corrected, taken back or brought back, and in which studio."""

    id_: Annotated[Text, opt("--id", "MARK", "Correct or complete this entry; the old form is kept.")] = None
    withdraw: Annotated[bool, flag("--withdraw", "Take the entry of --id back; it is kept, not counted.")] = False
    restore: Annotated[bool, flag("--restore", "Bring back the entry of --id that was taken back.")] = False
    studio: StudioOption = None

    def write(self, job: Callable[..., Any], words: Any) -> Told:
        """Write down what was said."""
        from glazecalc.cli.notebook import written_down

        return written_down(job(self.studio, words, self.id_, self.withdraw, self.restore))


def _as(kind: type[Words], typed: object) -> Words:
    """What was typed, as the job takes it: an option that may be repeated as a tuple."""
    given: dict[str, Any] = {}
    for held in fields(kind):  # type: ignore[arg-type]
        value = getattr(typed, held.name)
        given[held.name] = tuple(value or ()) if str(held.type).startswith("tuple") else value
    return kind(**given)


@dataclass(frozen=True, slots=True)
class Tile:
    """What is said of a tile."""

    recipe: RecipeOrNone = None
    glaze: GlazeOption = ""
    body: BodyOption = None
    lot: Annotated[Text, opt("--lot", "LOT", "Lot or bag of the clay.")] = None
    firing: Annotated[Text, opt("--firing", "ID", "The firing it was in: F3.")] = None
    cone: ConeOption = None
    bend: Annotated[Text, opt("--bend", "WORDS", "How far the witness cone bent, in your words.")] = None
    thickness: Annotated[Text, opt("--thickness", "0.3mm", "Of the fired coat.")] = None
    coats: Annotated[int | None, opt("--coats", "N", "Number of coats.")] = None
    results: Annotated[
        Texts,
        opt(
            "--result", "WORD",
            "sound, crazed at once, crazed later, crazed (when is not known), shivered, pinholed, crawled, ran or "
            "underfired; more than once if need be.",
        ),
    ] = None  # fmt: skip
    after: Annotated[Text, opt("--after", "TIME|TEST", 'Such as "3 days" or "freezer and boil x3".')] = None
    place: Annotated[Text, opt("--place", "WORDS", "Where it stood in the kiln.")] = None
    photo: Annotated[Text, opt("--photo", "FILE", "Path of a picture.")] = None
    date: DateOption = None
    note: NoteOption = None


@_kind(
    "tile",
    'shoal-clear --body "Harbour stoneware" --cone 6 --result sound --after "boil and\n  freeze x3"',
    '--id AAC --result "crazed after 3 days"',
)
def tile(words: Tile = Tile(), kept: Kept = Kept()) -> Told:
    """Write down a test tile: glaze, clay, firing, and how it came out."""
    from glazecalc.jobs.recording import TileWords, record_tile

    return kept.write(record_tile, _as(TileWords, words))


@dataclass(frozen=True, slots=True)
class Firing:
    """What is said of a firing."""

    kiln: KilnOption = None
    circuit: Annotated[Text, opt("--circuit", "NAME", "Circuit it was plugged into.")] = None
    purpose: Annotated[Text, opt("--purpose", "bisque|glaze", "What it was for.")] = None
    target: Annotated[Text, opt("--target", "CONE", "The cone aimed at.")] = None
    witness: Annotated[Texts, opt("--witness", "CONE=BEND", "A witness cone: 6=down, half, soft or stands.")] = None
    at: AtOption = None
    peak: Annotated[Text, opt("--peak", "1222C", "Highest temperature seen.")] = None
    hours: Annotated[
        Text, opt("--hours", "HOURS", "From switching on to the end, a hold included: 7.5 or 7:30.")
    ] = None
    hold: Annotated[
        Text, opt("--hold", "HOURS", "Held at the peak: it counts for the cones. 0.5, 0:30 or 30min.")
    ] = None
    volts: Annotated[float | None, opt("--volts", "V", "At the outlet while the kiln is on full.")] = None
    amps: Annotated[float | None, opt("--amps", "A", "Drawn on full.")] = None
    energy: Annotated[float | None, opt("--energy", "KWH", "From a meter; only checked against the plate.")] = None
    load: Annotated[Text, opt("--load", "4kg", "Ware in the kiln.")] = None
    on_elements: Annotated[int | None, opt("--on-elements", "N", "Firings these elements had before.")] = None
    stalled: Annotated[bool, flag("--stalled", "It did not get to the cone.")] = False
    schedule: Annotated[Text, opt("--schedule", "WORDS", "Its segments, or the name of the program.")] = None
    date: DateOption = None
    note: NoteOption = None


@_kind(
    "firing",
    '--kiln "Shed kiln" --witness 5=down --witness 6=half --hours 7.5 --volts 117',
    '--kiln "Shed kiln" --at 1:00=180C --at 2:30=420C --at 6:00=1080C --target 6',
)
def firing(words: Firing = Firing(), kept: Kept = Kept()) -> Told:
    """Write down a firing: times, temperatures, volts, and which cones bent."""
    from glazecalc.jobs.recording import FiringWords, record_firing

    return kept.write(record_firing, _as(FiringWords, words))


@dataclass(frozen=True, slots=True)
class Batch:
    """What is said of a batch."""

    recipe: RecipeOrNone = None
    glaze: GlazeOption = ""
    dry: Annotated[Text, opt("--dry", "500g", "Dry weight of the batch.")] = None
    water: Annotated[Text, opt("--water", "400g", "Water it was mixed with.")] = None
    gravity: Annotated[float | None, opt("--sg", "SG", "Specific gravity of the slurry.")] = None
    weighed: Annotated[Texts, opt("--weighed", "MATERIAL=GRAMS", "What the scale showed for a line.")] = None
    lots: Annotated[Texts, opt("--lot", "MATERIAL=BAG", "Lot of a material.")] = None
    container: Annotated[Text, opt("--container", "NAME", "Bucket or jar it is in.")] = None
    date: DateOption = None
    note: NoteOption = None


@_kind(
    "batch",
    "shoal-clear --dry 500g --sg 1.47",
    'shoal-clear --dry 2kg --lot "Whiting=bag 7" --container "white bucket"',
)
def batch(words: Batch = Batch(), kept: Kept = Kept()) -> Told:
    """Write down a batch: the recipe as mixed, weights, lots, water."""
    from glazecalc.jobs.recording import BatchWords, record_batch

    return kept.write(record_batch, _as(BatchWords, words))


@_kind("reading", "F3 --at 2:30=600C", "F3@2:30 --at 2:30=610C", "F3@2:30 --withdraw")
def reading(
    meant: Annotated[str, arg("FIRING[@TIME]", "The firing, F3, or one reading, F3@2:30.")],
    at: AtOption = None,
    withdraw: Annotated[bool, flag("--withdraw", "Take this reading back; it is kept.")] = False,
    restore: Annotated[bool, flag("--restore", "Bring this reading back as it was last.")] = False,
    studio: StudioOption = None,
) -> Told:
    """Add a reading to a firing; or correct, take back or bring back one."""
    from glazecalc.cli.notebook import written_down
    from glazecalc.jobs.recording import ReadingWords, record_reading

    return written_down(record_reading(studio, ReadingWords(meant, tuple(at or ()), withdraw, restore)))


@command("learn", '--body "Harbour stoneware"', '--kiln "Shed kiln" --json')
def learn(where: Chosen = Chosen(), studio: StudioOption = None, units: UnitsOption = None) -> Told:
    """Learn the clay's expansion from recorded tiles, or the kiln's reach from recorded firings."""
    from glazecalc.jobs import requests
    from glazecalc.jobs.bench import open_bench
    from glazecalc.jobs.setup import studio_option
    from glazecalc.render.text.kiln import kiln_learned_text
    from glazecalc.render.text.learn import lesson_text

    bench = open_bench((), studio, units=units)
    if where.kiln is not None and where.body is None:
        learned = requests.learn_kiln(bench, where.kiln, circuit=where.circuit)
        text = kiln_learned_text(learned, bench.studio.units)
        return Told([learned], text, problems=[*bench.problems, *learned.problems])
    lesson, problems = requests.learn_body(bench, where.body, kiln=where.kiln, cone=where.cone)
    text = lesson_text(lesson, bench.studio.units, studio_option(bench.studio.folder))
    return Told([lesson], text, problems=[*bench.problems, *problems])
