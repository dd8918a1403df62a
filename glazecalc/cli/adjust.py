"""``adjust``: the smallest change that fits and melts; with ``--target``, a batch for a formula from a book."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import (
    BodyOption,
    CircuitOption,
    ConeOption,
    ForceOption,
    JsonOption,
    KilnOption,
    Outcome,
    StrictOption,
    StudioOption,
    UnitsOption,
    finish,
)

if TYPE_CHECKING:
    from glazecalc.jobs.palette import Wishes
    from glazecalc.jobs.setting import Setting
    from glazecalc.jobs.setup import Bench
    from glazecalc.values.results.adjust import Option


EPILOG = """Examples:

  glazecalc adjust recipes/brine-crackle.txt --body "Harbour stoneware"

  glazecalc adjust --target recipes/rock-pool.txt --without Dolomite
"""

RecipeMaybe = Annotated[
    str | None,
    typer.Argument(metavar="RECIPE", help="Recipe card to change; not needed with --target."),
]
TargetOption = Annotated[
    str | None,
    typer.Option("--target", metavar="CARD", help="Card whose formula is wanted: make a batch of it from the shelf."),
]
UseOption = Annotated[
    list[str] | None,
    typer.Option(
        "--use", metavar="M", help="Material that may be used or moved, though not in stock or kept; repeat it."
    ),
]
WithoutOption = Annotated[
    list[str] | None, typer.Option("--without", metavar="M", help="Material that must not be used; repeat it.")
]
LimitOption = Annotated[
    list[str] | None,
    typer.Option("--limit", metavar="M=PERCENT", help="Most of a material in 100 of base; repeat it."),
]
MostOption = Annotated[
    int | None, typer.Option("--max-materials", min=1, max=30, metavar="N", help="Most materials in the base.")
]
KeepOption = Annotated[
    list[str] | None,
    typer.Option("--keep", metavar="surface|colour", help="What to keep before all else; repeat it."),
]
OutputOption = Annotated[
    Path | None, typer.Option("--output", "-o", metavar="FILE", help="Write an option as a recipe card.")
]
PickOption = Annotated[int, typer.Option("--pick", metavar="N", help="Which option to write.")]


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("adjust", epilog=EPILOG)(adjust)


def adjust(
    recipe: RecipeMaybe = None,
    target: TargetOption = None,
    body: BodyOption = None,
    kiln: KilnOption = None,
    circuit: CircuitOption = None,
    cone: ConeOption = None,
    use: UseOption = None,
    without: WithoutOption = None,
    limit: LimitOption = None,
    max_materials: MostOption = None,
    keep: KeepOption = None,
    output: OutputOption = None,
    pick: PickOption = 1,
    force: ForceOption = False,
    strict: StrictOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Change a recipe as little as it takes to fit the clay and melt at the cone."""
    from glazecalc.cli.changed import limits, write_card
    from glazecalc.cli.frame import stop_on_errors
    from glazecalc.jobs.aimed_cone import cone_within_reach
    from glazecalc.jobs.palette import Wishes
    from glazecalc.jobs.setting import setting_for
    from glazecalc.jobs.setup import open_bench, taught_setting
    from glazecalc.jobs.stocked import shelf_of
    from glazecalc.values.answers import ProblemsError, error, remark

    if (recipe is None) == (target is None):
        hint = "name a recipe to change, or --target with a card whose formula is wanted"
        raise ProblemsError([error("usage", "either a recipe or --target is needed, not both", hint)])
    bench = open_bench([recipe or target or ""], studio, strict, units)
    card, lowered = bench.recipes[0], ""
    if cone is None and target is None:
        plain = setting_for(bench.studio, card, body=body, kiln=kiln, circuit=circuit)
        cone, lowered = cone_within_reach(plain, bench.studio.defaults)
    setting = taught_setting(bench, card, body=body, kiln=kiln, circuit=circuit, cone=cone)
    stock, remarks = shelf_of(bench.studio)
    remarks = (*remarks, *([remark("aimed-lower", lowered)] if lowered else []))
    stop_on_errors(remarks, strict)
    wishes = Wishes(tuple(use or ()), tuple(without or ()), limits(limit or ()), max_materials)
    job = _Job(bench, setting, stock, wishes, min((s.resolution_g for s in bench.studio.scales), default=None))
    outcome, options = _made(job) if target is not None else _changed(job, _kept(keep))
    written = write_card(options, pick, output, force)
    finish(replace(outcome, problems=[*bench.problems, *remarks, *written]), as_json)


@dataclass(frozen=True, slots=True)
class _Job:
    bench: Bench
    setting: Setting
    stock: tuple[str, ...]
    wishes: Wishes
    resolution_g: float | None


def _made(job: _Job) -> tuple[Outcome, tuple[Option, ...]]:
    """A batch for a formula."""
    from glazecalc.jobs.resolve_batch import resolve_batch
    from glazecalc.render.json import batch_result_json
    from glazecalc.render.text.changes import batch_result_text

    result = resolve_batch(
        job.bench.recipes[0], job.bench.pantry, job.stock, job.setting, wishes=job.wishes, resolution_g=job.resolution_g
    )
    text = batch_result_text(result, job.bench.studio.units)
    return Outcome("adjust", [batch_result_json(result)], text), result.options


def _changed(job: _Job, keep: tuple[str, ...]) -> tuple[Outcome, tuple[Option, ...]]:
    """The smallest changes of a recipe."""
    from glazecalc.jobs.adjust import adjust as run_adjust
    from glazecalc.render.json import adjust_json
    from glazecalc.render.text.changes import adjust_text

    result = run_adjust(
        job.bench.recipes[0], job.bench.pantry, job.stock, job.setting,
        wishes=job.wishes, keep=keep, resolution_g=job.resolution_g,
    )  # fmt: skip
    text = adjust_text(result, job.bench.studio.units)
    return Outcome("adjust", [adjust_json(result)], text, answer=result.answer), result.options


def _kept(words: list[str] | None) -> tuple[str, ...]:
    from glazecalc.values.answers import ProblemsError, error

    for word in words or ():
        if word not in ("surface", "colour"):
            raise ProblemsError([error("keep", f"--keep {word!r} is not known", "choose surface or colour")])
    return tuple(words or ())
