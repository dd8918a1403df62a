"""Each job as one call: names and figures in, the result out. Command, library and page call these and nothing else.

Names are those of studio.toml; one that is left out is the studio's default. Every call raises ProblemsError for a name
the studio does not have and for a card that cannot be used.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, TextIO, TypeVar, Unpack

from glazecalc.jobs.bench import Bench, body_recipe, card_names, clay_tiles, demo_remark, firings_of
from glazecalc.jobs.setup import Setup, Where, cone_named, cones_between, is_usual, pick, setup_for
from glazecalc.values.answers import Answer, Problem, ProblemsError, error, remark
from glazecalc.values.cones import Cone
from glazecalc.values.texts import joined, phrase, typed

if TYPE_CHECKING:
    from glazecalc.jobs.amount import Wanted
    from glazecalc.jobs.firing_follow import AskDrop
    from glazecalc.jobs.page import Notebook
    from glazecalc.jobs.palette import Wishes
    from glazecalc.jobs.screen import Screened
    from glazecalc.jobs.screening.estimates import Frame
    from glazecalc.jobs.tiles import TileOrder
    from glazecalc.values.inputs import Body, Circuit, Kiln, Recipe, Scale, Studio
    from glazecalc.values.records import BatchRecord, FiringRecord, TileRecord
    from glazecalc.values.results.adjust import AdjustResult, BatchResult, Comparison, SwapResult
    from glazecalc.values.results.check import CheckResult
    from glazecalc.values.results.firing import Dampness, FiringKind, FiringReport, ScheduleLeg
    from glazecalc.values.results.formula import FormulaResult
    from glazecalc.values.results.kiln import KilnLearned, KilnReport
    from glazecalc.values.results.learn import ClayReport, Lesson
    from glazecalc.values.results.tiles import TilesResult
    from glazecalc.values.results.weigh import FirstGlaze, WeighResult

    R = TypeVar("R", TileRecord, FiringRecord, BatchRecord)

LONGEST_HOLD_H = 24.0
THICKEST_MM = 100.0


def setup(bench: Bench, recipe: Recipe | None = None, *, room: str | None = None, **where: Unpack[Where]) -> Setup:
    """Where a recipe is judged or a kiln fired, with what the studio's journal and cards teach of clay and kiln."""
    return setup_for(bench.studio, recipe, room=room, evidence=bench.evidence, **where)


def said_of(
    bench: Bench,
    recipes: Sequence[Recipe] = (),
    things: Sequence[Body | Kiln | Circuit | Scale | None] = (),
    cone: str | None = None,
) -> tuple[Problem, ...]:
    """What every answer says of what it was worked out from: a range of cones asked about, and what is the demo's."""
    used = [bench.pantry.find(line.material) for recipe in recipes for line in recipe.lines]
    return (*_hotter(cone), *demo_remark(*recipes, *things, *used))


SAID: Final = frozenset({"demo-data", "hotter-cone"})
"""The codes of what :func:`said_of` tells."""


def said_once(bench: Bench, recipes: Sequence[Recipe], **where: Unpack[Where]) -> tuple[Problem, ...]:
    """The same for several recipes together, each in its own setting."""
    things = dict.fromkeys(thing for recipe in recipes for thing in _at(setup(bench, recipe, **where)))
    return said_of(bench, recipes, tuple(things), where.get("cone"))


def _hotter(cone: str | None) -> tuple[Problem, ...]:
    cones = cones_between(cone)
    if cones is None:
        return ()
    told = f"cone {cones} is asked about: {cones.high} counts, the hotter, where a glaze runs and a kiln falls short"
    return (remark("hotter-cone", told, typed(f"name the other for an answer at that: --cone {cones.low}")),)


def _at(setup: Setup) -> tuple[Body | Kiln | Circuit | None, ...]:
    return setup.body, setup.kiln, setup.circuit


def formula(
    bench: Bench, recipes: Sequence[Recipe], *, basis: str = "unity", flux: str = "customary", explain: bool = False,
    models: bool = False,
) -> tuple[tuple[FormulaResult, ...], tuple[Problem, ...]]:  # fmt: skip
    """The fired composition of each card, as :func:`glazecalc.jobs.formula.describe` gives it."""
    from glazecalc.jobs.formula import describe

    results, problems = describe(recipes, bench.pantry, basis=basis, flux=flux, explain=explain, models=models)
    return results, (*problems, *said_of(bench, recipes))


def check(
    bench: Bench,
    recipe: Recipe,
    **where: Unpack[Where],
) -> CheckResult:
    """Will this glaze fit the clay, melt at the cone, and does the kiln get there?"""
    from glazecalc.jobs.check import check as run

    at = setup(bench, recipe, **where)
    result = run(recipe, bench.pantry, at)
    return replace(result, problems=(*result.problems, *said_of(bench, [recipe], _at(at), where.get("cone"))))


def adjust(
    bench: Bench,
    recipe: Recipe,
    *,
    wishes: Wishes | None = None,
    keep: tuple[str, ...] = (),
    **where: Unpack[Where],
) -> tuple[AdjustResult, tuple[Problem, ...]]:
    """The smallest changes that fit and melt; without a ``cone`` the aim is one the kiln and the clay get to."""
    from glazecalc.jobs.adjust import adjust as run
    from glazecalc.jobs.materials import shelf_of
    from glazecalc.jobs.reach import cone_within_reach

    lowered, named = "", where.get("cone")
    if where.get("cone") is None:
        where["cone"], lowered = cone_within_reach(setup_for(bench.studio, recipe, **where), bench.studio.defaults)
    at = setup(bench, recipe, **where)
    stock, remarks = shelf_of(bench.studio, bench.pantry)
    result = run(recipe, bench.pantry, stock, at, wishes=wishes, keep=keep, resolution_g=finest_g(bench.studio))
    said = (*said_of(bench, [recipe], _at(at), named), *([remark("aimed-lower", lowered)] if lowered else []))
    return result, (*remarks, *_in_doubt(result.before.problems), *said)


def _in_doubt(problems: Sequence[Problem]) -> tuple[Problem, ...]:
    """What is said of materials that are not known."""
    return tuple(p for p in problems if p.code == "unknown-share")


def batch(
    bench: Bench,
    formula: Recipe,
    *,
    wishes: Wishes | None = None,
    **where: Unpack[Where],
) -> tuple[BatchResult, tuple[Problem, ...]]:
    """A batch for a formula from a book, made of what is on the shelf."""
    from glazecalc.jobs.formula import compose_recipe
    from glazecalc.jobs.materials import shelf_of
    from glazecalc.jobs.palette import Wishes
    from glazecalc.jobs.resolve_batch import resolve_batch

    stock, remarks = shelf_of(bench.studio, bench.pantry)
    at = setup(bench, formula, **where)
    asked, step = wishes or Wishes(), finest_g(bench.studio)
    doubt = _in_doubt(compose_recipe(formula, bench.pantry)[2])
    said = (*remarks, *doubt, *said_of(bench, [formula], _at(at), where.get("cone")))
    return resolve_batch(formula, bench.pantry, stock, at, wishes=asked, resolution_g=step), said


def swap(
    bench: Bench,
    recipe: Recipe,
    old: str,
    new: Sequence[str],
    **where: Unpack[Where],
) -> tuple[SwapResult, tuple[Problem, ...]]:
    """The same fired formula with ``new`` materials in place of ``old``."""
    from glazecalc.jobs.materials import shelf_of
    from glazecalc.jobs.swap import swap as run

    stock, remarks = shelf_of(bench.studio, bench.pantry)
    at = setup(bench, recipe, **where)
    result = run(recipe, bench.pantry, stock, at, old, new, resolution_g=finest_g(bench.studio))
    doubt = _in_doubt(result.before.problems)
    return result, (*remarks, *doubt, *said_of(bench, [recipe], _at(at), where.get("cone")))


def compare(
    bench: Bench,
    recipes: Sequence[Recipe],
    **where: Unpack[Where],
) -> tuple[Comparison, tuple[Problem, ...]]:
    """Recipes side by side, with their kin among the studio's cards."""
    from glazecalc.jobs.compare import compare as run

    pairs = [(r, setup(bench, r, **where)) for r in recipes]
    result = run(pairs, bench.pantry, studio_cards(Path(bench.studio.folder)))
    doubt = [p for entry in result.entries for p in _in_doubt(entry.check.problems)]
    return result, (*doubt, *said_once(bench, recipes, **where))


def weigh(
    bench: Bench,
    recipe: Recipe,
    wanted: Wanted,
    *,
    scales: tuple[Scale, ...] | None = None,
    tolerance_percent: float | None = None,
    slipped: Mapping[str, float] | None = None,
) -> tuple[WeighResult, tuple[Problem, ...]]:
    """A batch sheet on the studio's scales, or on those given; ``slipped`` is what really went in of a line [g]."""
    own = bench.studio.scales if scales is None else scales
    result, remarks = _weighed(bench, recipe, wanted, scales, tolerance_percent, slipped)
    return result, (*remarks, *said_of(bench, [recipe], own))


def _weighed(
    bench: Bench, recipe: Recipe, wanted: Wanted, scales: tuple[Scale, ...] | None = None,
    tolerance_percent: float | None = None, slipped: Mapping[str, float] | None = None,
) -> tuple[WeighResult, tuple[Problem, ...]]:  # fmt: skip
    from glazecalc.jobs.weigh import scales_of
    from glazecalc.jobs.weigh import weigh as run

    own, remarks = (scales, ()) if scales is not None else scales_of(bench.studio)
    limits = bench.studio.limits
    limit = limits.weighing_tolerance_percent if tolerance_percent is None else tolerance_percent
    result = run(
        recipe, bench.pantry, own, wanted,
        tolerance_percent=limit, slipped=dict(slipped or {}), currency=limits.currency,
    )  # fmt: skip
    return result, remarks


def tiles(
    bench: Bench,
    recipes: Sequence[Recipe],
    order: TileOrder,
    *,
    record: bool = False,
    **where: Unpack[Where],
) -> tuple[TilesResult, tuple[Problem, ...]]:
    """A plan of test tiles; with ``record`` it is written into the journal, whose ids the tiles then have."""
    from glazecalc.jobs.tiles import plan_tiles
    from glazecalc.jobs.weigh import scales_of

    scales, remarks = scales_of(bench.studio)
    at = setup(bench, recipes[0], **where)
    result = plan_tiles(tuple(recipes), bench.studio, bench.pantry, scales, at, order)
    told = (*remarks, *said_of(bench, recipes, (*_at(at), *scales), where.get("cone")))
    return (_recorded(result, Path(bench.studio.folder)) if record else result), told


def record_plan(bench: Bench, plan: TilesResult) -> TilesResult:
    """Write a plan that was worked out before into the journal, whose ids its tiles then have."""
    return _recorded(plan, Path(bench.studio.folder))


def _recorded(result: TilesResult, folder: Path) -> TilesResult:
    from datetime import date

    from glazecalc.files.journal import Journal
    from glazecalc.jobs.blending import tile_records
    from glazecalc.jobs.tiles import with_ids

    today = date.today().isoformat()
    with Journal(folder) as journal:
        written = journal.record_all([replace(record, date=today) for record in tile_records(result)])
    return with_ids(result, [record.id for record in written])


def first(bench: Bench, **where: Unpack[Where]) -> FirstGlaze:
    """A glaze to begin with on this clay, in this kiln, from this shelf: 100 g of it, and four tiles."""
    from glazecalc.jobs.amount import Wanted
    from glazecalc.jobs.first import BATCH_G, Shelf, bases, candidates, cone_to_begin_at, propose
    from glazecalc.jobs.materials import shelf_of

    studio, plain = bench.studio, bases()[0].recipe
    named = where.pop("cone", None)
    asked = cone_named(named)
    aimed = cone_to_begin_at(setup(bench, plain, **where), studio, asked)
    stock, remarks = shelf_of(studio, bench.pantry)
    where["cone"] = aimed.cone.name
    at = setup(bench, plain, **where)
    found = candidates(at, Shelf(stock, studio, bench.pantry), bench.pantry)
    wanted = Wanted(dry_g=BATCH_G)
    tile = next((p for p in studio.pieces if "tile" in p.name.casefold()), None)
    return propose(
        found, aimed.cone, lambda recipe: _weighed(bench, recipe, wanted), tile, studio.folder,
        (*aimed.problems, *remarks, *said_of(bench, (), (*_at(at), *studio.scales), named)),
    )  # fmt: skip


def kiln(
    bench: Bench,
    name: str | None = None,
    *,
    circuit: str | None = None,
    room: str | None = None,
    cone: str | None = None,
    recipe: Recipe | None = None,
) -> KilnReport:
    """May this kiln be plugged in there, how hot does it get, what does a firing take, where may it stand?"""
    from glazecalc.jobs.kiln import check_kiln
    from glazecalc.jobs.materials import resolve

    at = setup(bench, room=room, kiln=name, circuit=circuit, cone=cone)
    if at.kiln is None:
        raise _no_kiln(bench.studio)
    if cone is None and not is_usual(bench.studio, at.kiln):
        at = replace(at, cone=None)
    report = check_kiln(at, recipe, bench.pantry, room_asked=room is not None)
    fired = [] if recipe is None else [recipe]
    named = resolve(recipe, bench.pantry, doubt=True)[1] if recipe else ()
    if any(p.is_error for p in named):
        raise ProblemsError(named)
    said = said_of(bench, fired, (at.kiln, at.circuit), cone)
    return replace(report, problems=(*report.problems, *_in_doubt(named), *said))


def _no_kiln(studio: Studio) -> ProblemsError:
    hint = "name one, or add a [[kiln]] to studio.toml"
    return ProblemsError([error("no-kiln", "it is not clear which kiln is meant", hint, studio.file)])


def firing(
    bench: Bench,
    *,
    kind: str = "glaze",
    cone: str | None = None,
    hold_h: float | None = None,
    wall_mm: float | None = None,
    dampness: Dampness = "dry",
    body: str | None = None,
    kiln: str | None = None,
    circuit: str | None = None,
    recipe: Recipe | None = None,
) -> FiringReport:
    """A schedule for a cone, and whether the kiln follows: ``hold_h`` [h] at the peak, ``wall_mm`` [mm] thick ware;
    for a ``recipe`` with a drop and hold against pinholes where its melt asks for one."""
    from glazecalc.jobs.firing import plan_firing
    from glazecalc.jobs.firing_follow import USUAL_HOLD_H, FiringWish

    meant = firing_kind(kind)
    on_card = None if recipe is None or recipe.cone is None or meant == "bisque" else recipe.cone.high.name
    aim, note = _aim_of(bench, meant, cone or on_card, kiln)
    if aim is None:
        raise ProblemsError([error("no-cone", "no cone is named to fire to", "name one, such as cone 6")])
    if hold_h is not None and hold_h > LONGEST_HOLD_H:
        raise ProblemsError([error("hold", "the hold is longer than a day", "write it as 10min")])
    if wall_mm is not None and wall_mm > THICKEST_MM:
        raise ProblemsError([error("wall", "the wall is thicker than any ware", "write it as 6mm")])
    hold = USUAL_HOLD_H if hold_h is None else hold_h
    at = setup(bench, body=body, kiln=kiln, circuit=circuit)
    ask, doubts = (None, ()) if recipe is None else _drop_of(bench, recipe, meant, aim)
    report = plan_firing(FiringWish(meant, aim, hold, wall_mm, dampness, ask), at)
    if recipe is not None and meant != "bisque":
        report = _melting_first(report, check(bench, recipe, cone=aim.name, body=body, kiln=kiln, circuit=circuit))
    said = said_of(bench, (), (at.kiln, at.circuit), cone)
    return replace(report, problems=(*note, *doubts, *said, *report.problems))


def _melting_first(report: FiringReport, checked: CheckResult) -> FiringReport:
    """The report led by the verdict of ``check`` where it says that the glaze does not melt as it should there; only an
    outlet that must not be used comes before.
    """
    melts = next((v for v in checked.verdicts if v.rule == "melts" and v.answer is Answer.DOES_NOT_FIT), None)
    if melts is None:
        return report
    tile = "" if melts.tray else " Fire a tile in a dish of old clay."
    banned = any(v.rule == "circuit_carries" and v.answer is Answer.DOES_NOT_FIT for v in report.verdicts)
    both = (report.sentence, phrase("{}{}", melts.message, tile))
    sentence = joined(" ", both if banned else reversed(both))
    return replace(report, answer=melts.answer, sentence=sentence, verdicts=(melts, *report.verdicts))


def _drop_of(bench: Bench, recipe: Recipe, kind: FiringKind, cone: Cone) -> tuple[AskDrop, tuple[Problem, ...]]:
    """What tells of a peak whether to drop and hold against pinholes behind it, and what is said of the card; never
    where there is no glaze or the kiln is cooled slowly."""
    from glazecalc.jobs.firing import drop_and_hold
    from glazecalc.jobs.firing_follow import DropHold
    from glazecalc.jobs.formula import compose_recipe

    if kind in ("bisque", "slow-cooled"):
        return lambda _: DropHold(f"no drop and hold for pinholes in a {kind} firing"), ()
    composition, _, problems = compose_recipe(recipe, bench.pantry)
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    if composition is None or recipe.kind == "body":
        return lambda _: DropHold(f"{recipe.name} has no glaze recipe, so nothing is known of its pinholes"), problems
    return lambda peak: drop_and_hold(recipe.name, composition, cone, peak), problems


USUAL_BISQUE: Final = "04"
"""Where bisque of most clays is fired, with 06 (common practice, no source)."""


def _aim_of(
    bench: Bench, kind: FiringKind, cone: str | None, kiln: str | None
) -> tuple[Cone | None, tuple[Problem, ...]]:
    """The cone of a firing; a bisque for which none is named goes to the usual bisque cone, or the kiln's rated one
    where that is cooler, and it is said.
    """
    from glazecalc.models.cones import rated_cone

    if cone is not None or kind != "bisque":
        return cone_named(cone) or bench.studio.defaults.cone, ()
    chosen = kiln_of(bench.studio, kiln)
    rated = None if chosen is None else rated_cone(chosen)
    aim = min(c for c in (Cone(USUAL_BISQUE), rated) if c is not None)
    text = f"no cone is named: bisque to cone {aim} is planned, not the cone of the glaze"
    return aim, (remark("bisque-cone", text, phrase("name another| with --cone|; the clay's maker tells it")),)


def schedule(
    bench: Bench,
    legs: Sequence[ScheduleLeg],
    *,
    title: str = "schedule",
    cone: str | None = None,
    body: str | None = None,
    kiln: str | None = None,
    circuit: str | None = None,
) -> FiringReport:
    """What the legs of a given schedule do."""
    from glazecalc.jobs.firing import weigh_schedule

    at = setup(bench, body=body, kiln=kiln, circuit=circuit)
    report = weigh_schedule(tuple(legs), cone_named(cone), at, title)
    return replace(report, problems=(*report.problems, *said_of(bench, (), (at.kiln, at.circuit), cone)))


def firing_kind(word: str) -> FiringKind:
    """The kind of firing a word names."""
    from glazecalc.values.answers import did_you_mean
    from glazecalc.values.results.firing import FIRING_KINDS

    for known in FIRING_KINDS:
        if known == word.casefold().strip():
            return known
    hint = did_you_mean(word, FIRING_KINDS) or f"choose {', '.join(FIRING_KINDS)}"
    raise ProblemsError([error("kind", f"{word[:40]!r} is not a kind of firing", hint)])


def body(
    bench: Bench, name: str | None = None, *, cone: str | None = None, fired_mm: float | None = None
) -> tuple[ClayReport, tuple[Problem, ...]]:
    """What is known of a clay; ``fired_mm`` [mm] is a size wanted after firing."""
    from glazecalc.jobs.body import clay_report

    clay = body_of(bench.studio, name)
    folder = Path(bench.studio.folder)
    recipe, problems = body_recipe(clay, folder)
    report = clay_report(
        clay, bench.pantry, recipe=recipe, cone=_usual_cone(bench.studio, clay, cone),
        tiles=clay_tiles(clay, folder, bench.pantry), fired_mm=fired_mm, limits=bench.studio.limits,
    )  # fmt: skip
    return report, (*problems, *said_of(bench, (), [clay], cone))


def learn_body(
    bench: Bench, name: str | None = None, *, kiln: str | None = None, cone: str | None = None
) -> tuple[Lesson, tuple[Problem, ...]]:
    """What recorded tiles say of a clay's expansion, and which tile would say most next."""
    from glazecalc.jobs.body import reasoned_body_expansion
    from glazecalc.jobs.formula import compose_recipe
    from glazecalc.jobs.lesson import lesson

    studio = bench.studio
    folder = Path(studio.folder)
    clay = body_of(studio, name)
    fired_in = kiln_of(studio, kiln)
    at = _usual_cone(studio, clay, cone)
    recipe, found_card = body_recipe(clay, folder)
    composition = None if recipe is None else compose_recipe(recipe, bench.pantry)[0]
    cards, problems = _cards(folder)
    result = lesson(
        clay, clay_tiles(clay, folder, bench.pantry), cards, bench.pantry,
        cone=at, kiln=fired_in,
        reasoned=None if composition is None else reasoned_body_expansion(composition, clay.ware, at),
        tiles_per_firing=_tiles_per_firing(studio, fired_in),
    )  # fmt: skip
    return result, (*found_card, *problems, *said_of(bench, (), [clay], cone))


def learn_kiln(bench: Bench, name: str | None = None, *, circuit: str | None = None) -> KilnLearned:
    """What recorded firings say of a kiln's reach."""
    from glazecalc.jobs.learn_kiln import learn_kiln as run

    studio = bench.studio
    chosen = kiln_of(studio, name)
    if chosen is None:
        raise _no_kiln(studio)
    found = run(chosen, firings_of(studio, chosen), circuit_of(studio, chosen, circuit), studio.circuits)
    return replace(found, problems=(*found.problems, *said_of(bench, (), [chosen])))


def screen(
    bench: Bench,
    table: Path,
    out: TextIO | Path,
    *,
    basis: Literal["mole", "weight", "unity", "recipe"] = "mole",
    practice: Literal["glaze", "glass"] = "glaze",
    columns: Sequence[str] | None = None,
    guard: Callable[[str], str] | None = None,
    progress: Callable[[int], None] | None = None,
) -> Screened:
    """Estimates for every row of a table, written to ``out``: as CSV to a stream, as Parquet to a path."""
    from glazecalc.jobs.screen import screen as run

    return run(
        table, out, bench.pantry, basis=basis, practice=practice, columns=columns, progress=progress, guard=guard or str
    )


def estimate_table(
    bench: Bench,
    frame: Frame,
    *,
    basis: Literal["mole", "weight", "unity", "recipe"] = "mole",
    practice: Literal["glaze", "glass"] = "glaze",
    columns: Sequence[str] | None = None,
) -> Frame:
    """Estimates for every row of a pandas frame, under its index."""
    from glazecalc.jobs.screen import estimate_frame, screening

    return estimate_frame(frame, bench.pantry, screening(basis, practice, columns))


def record(bench: Bench, entry: R) -> tuple[R, tuple[Problem, ...]]:
    """Write a tile, a firing or a batch into the studio's journal, by the rules of the command: the entry as it is
    kept, with its id, and remarks on what is odd. Raises ProblemsError where it contradicts itself."""
    from glazecalc.files.journal import Journal
    from glazecalc.jobs.recording import record_faults

    problems = record_faults(entry)
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    with Journal(Path(bench.studio.folder)) as journal:
        return journal.record(entry), problems


def notebook(bench: Bench) -> Notebook:
    """The tiles and firings of the studio's journal; none where there is no journal."""
    from glazecalc.jobs.bench import recorded_firings, recorded_tiles
    from glazecalc.jobs.page import Notebook

    folder = Path(bench.studio.folder)
    return Notebook(recorded_tiles(folder), recorded_firings(folder))


def kiln_of(studio: Studio, name: str | None) -> Kiln | None:
    """The kiln of that name, or the usual one."""
    return pick(studio.kilns, name, studio.defaults.kiln, "kiln", studio)


def circuit_of(studio: Studio, kiln: Kiln | None, name: str | None) -> Circuit | None:
    """The circuit of that name; else the default one where the usual kiln stands; another kiln has none."""
    if name is None and not is_usual(studio, kiln):
        return None
    return pick(studio.circuits, name, studio.defaults.circuit, "circuit", studio)


def body_of(studio: Studio, name: str | None) -> Body:
    """The clay of that name, or the usual one."""
    clay = pick(studio.bodies, name, studio.defaults.body, "body", studio)
    if clay is None:
        hint = "name one, or add a [[body]] to studio.toml"
        raise ProblemsError([error("no-body", "it is not clear which clay is meant", hint, studio.file)])
    return clay


def finest_g(studio: Studio) -> float | None:
    """The smallest step [g] of the studio's scales."""
    return min((scale.resolution_g for scale in studio.scales), default=None)


def studio_cards(folder: Path) -> tuple[Recipe, ...]:
    """Every card of a studio that can be read; the others' faults are told when they are checked."""
    return tuple(_cards(folder)[0])


def _usual_cone(studio: Studio, clay: Body, cone: str | None) -> Cone | None:
    from glazecalc.jobs.body import usual_cone

    return cone_named(cone) or usual_cone(clay, studio.defaults.cone)


def _cards(folder: Path) -> tuple[list[Recipe], list[Problem]]:
    """The studio's recipe cards; one that cannot be read is left out with a remark."""
    from glazecalc.files.card import read_recipe

    cards, problems = [], []
    for name in card_names(folder):
        path = folder / f"{name}.txt"
        card, found = read_recipe(str(path))
        if card is None or any(p.is_error for p in found):
            message = "this card cannot be read and is left out"
            problems.append(remark("card-left-out", message, phrase("see|: glazecalc check|"), str(path)))
        else:
            cards.append(card)
    return cards, problems


def _tiles_per_firing(studio: Studio, kiln: Kiln | None) -> int | None:
    from glazecalc.jobs.tile_places import places

    tile = next((p for p in studio.pieces if "tile" in p.name.casefold()), None)
    if tile is None or kiln is None:
        return None
    found = places(kiln, tile, 1)
    return None if found is None else found[1]
