"""``record tile|firing|reading|batch``: write down how it came out. An entry is acknowledged once it is on the
disk.
"""

from __future__ import annotations

from typing import Annotated

import typer

from glazecalc.cli.frame import BodyOption, ConeOption, JsonOption, KilnOption, StudioOption, finish

record = typer.Typer(
    help="Write down a test tile, a firing, one of its readings, or a batch.", no_args_is_help=True,
    rich_markup_mode=None,
    epilog="Examples:\n\n  glazecalc record tile shoal-clear --body \"Harbour stoneware\" --result sound\n\n"
    "  glazecalc record firing --kiln \"Shed kiln\" --witness 5=down --witness 6=half --hours 7.5",
)  # fmt: skip

NoteOption = Annotated[str | None, typer.Option("--note", help='Anything else; with --id, "" clears it.')]
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

TILE_EPILOG = """Examples:

  glazecalc record tile shoal-clear --body "Harbour stoneware" --cone 6 --result sound --after "boil and
  freeze x3"

  glazecalc record tile --id AAC --result "crazed after 3 days"
"""
FIRING_EPILOG = """Examples:

  glazecalc record firing --kiln "Shed kiln" --witness 5=down --witness 6=half --hours 7.5 --volts 117

  glazecalc record firing --kiln "Shed kiln" --at 1:00=180C --at 2:30=420C --at 6:00=1080C --target 6
"""
READING_EPILOG = """Examples:

  glazecalc record reading F3 --at 2:30=600C

  glazecalc record reading F3@2:30 --at 2:30=610C

  glazecalc record reading F3@2:30 --withdraw
"""
BATCH_EPILOG = """Examples:

  glazecalc record batch shoal-clear --dry 500g --sg 1.47

  glazecalc record batch shoal-clear --dry 2kg --lot "Whiting=bag 7" --container "white bucket"
"""


@record.command("tile", epilog=TILE_EPILOG)
def tile(
    recipe: RecipeOrNone = None,
    glaze: GlazeOption = "",
    body: BodyOption = None,
    lot: Annotated[str | None, typer.Option("--lot", help="Lot or bag of the clay.")] = None,
    firing: Annotated[str | None, typer.Option("--firing", metavar="ID", help="The firing it was in: F3.")] = None,
    cone: ConeOption = None,
    bend: Annotated[str | None, typer.Option("--bend", help="How far the witness cone bent, in your words.")] = None,
    thickness: Annotated[str | None, typer.Option("--thickness", metavar="0.3mm", help="Of the fired coat.")] = None,
    coats: Annotated[int | None, typer.Option("--coats", help="Number of coats.")] = None,
    result: Annotated[
        list[str] | None,
        typer.Option("--result", metavar="WORD", help=RESULT_HELP),
    ] = None,
    after: Annotated[
        str | None, typer.Option("--after", metavar="TIME|TEST", help='Such as "3 days" or "freezer and boil x3".')
    ] = None,
    place: Annotated[str | None, typer.Option("--place", help="Where it stood in the kiln.")] = None,
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
    from glazecalc.cli.recording import told
    from glazecalc.jobs.recording import TileWords, record_tile

    words = TileWords(
        recipe=recipe, glaze=glaze, body=body, lot=lot, firing=firing, cone=cone, bend=bend, thickness=thickness,
        coats=coats, results=tuple(result or ()), after=after, place=place, photo=photo, date=date, note=note,
    )  # fmt: skip
    finish(told(record_tile(studio, words, id_, withdraw, restore)), as_json)


@record.command("firing", epilog=FIRING_EPILOG)
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
    volts: Annotated[float | None, typer.Option("--volts", help="At the outlet while the kiln is on full.")] = None,
    amps: Annotated[float | None, typer.Option("--amps", help="Drawn on full.")] = None,
    energy: Annotated[
        float | None, typer.Option("--energy", metavar="KWH", help="From a meter; only checked against the plate.")
    ] = None,
    load: Annotated[str | None, typer.Option("--load", metavar="4kg", help="Ware in the kiln.")] = None,
    on_elements: Annotated[int | None, typer.Option("--on-elements", help="Firings these elements had before.")] = None,
    stalled: Annotated[bool, typer.Option("--stalled", help="It did not get to the cone.")] = False,
    schedule: Annotated[
        str | None, typer.Option("--schedule", help="Its segments, or the name of the program.")
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
    from glazecalc.cli.recording import told
    from glazecalc.jobs.recording import FiringWords, record_firing

    words = FiringWords(
        kiln=kiln, circuit=circuit, purpose=purpose, target=target, witness=tuple(witness or ()), at=tuple(at or ()),
        peak=peak, hours=hours, hold=hold, volts=volts, amps=amps, energy=energy, load=load, on_elements=on_elements,
        stalled=stalled, schedule=schedule, date=date, note=note,
    )  # fmt: skip
    finish(told(record_firing(studio, words, id_, withdraw, restore)), as_json)


@record.command("batch", epilog=BATCH_EPILOG)
def batch(
    recipe: RecipeOrNone = None,
    glaze: GlazeOption = "",
    dry: Annotated[str | None, typer.Option("--dry", metavar="500g", help="Dry weight of the batch.")] = None,
    water: Annotated[str | None, typer.Option("--water", metavar="400g", help="Water it was mixed with.")] = None,
    gravity: Annotated[float | None, typer.Option("--sg", help="Specific gravity of the slurry.")] = None,
    weighed: Annotated[
        list[str] | None, typer.Option("--weighed", metavar="MATERIAL=GRAMS", help="What the scale showed for a line.")
    ] = None,
    lots: Annotated[list[str] | None, typer.Option("--lot", metavar="MATERIAL=BAG", help="Lot of a material.")] = None,
    container: Annotated[str | None, typer.Option("--container", help="Bucket or jar it is in.")] = None,
    date: DateOption = None,
    note: NoteOption = None,
    id_: IdOption = None,
    withdraw: WithdrawOption = False,
    restore: RestoreOption = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write down a batch: the recipe as mixed, weights, lots, water."""
    from glazecalc.cli.recording import told
    from glazecalc.jobs.recording import BatchWords, record_batch

    words = BatchWords(
        recipe=recipe, glaze=glaze, dry=dry, water=water, gravity=gravity, weighed=tuple(weighed or ()),
        lots=tuple(lots or ()), container=container, date=date, note=note,
    )  # fmt: skip
    finish(told(record_batch(studio, words, id_, withdraw, restore)), as_json)


@record.command("reading", epilog=READING_EPILOG)
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
    from glazecalc.cli.recording import told
    from glazecalc.jobs.recording import ReadingWords, record_reading

    finish(told(record_reading(studio, ReadingWords(meant, tuple(at or ()), withdraw, restore))), as_json)
