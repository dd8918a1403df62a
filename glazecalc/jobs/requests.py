"""Each job as one call: names and figures in, the result out. Command, library and page call these and nothing else.

Names are those of studio.toml; one that is left out is the studio's default. Every call raises ProblemsError for a name
the studio does not have and for a card that cannot be used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar, Unpack

from glazecalc.jobs.bench import Bench, card_names, demo_remark
from glazecalc.jobs.setup import (
    Setup,
    Where,
    circuit_of,
    cone_named,
    cones_between,
    is_usual,
    kiln_of,
    pick,
    setup_for,
)
from glazecalc.values.answers import Answer, Problem, ProblemsError, did_you_mean, error, remark, stop_at_errors
from glazecalc.values.cones import Cone
from glazecalc.values.texts import joined, phrase

if TYPE_CHECKING:
    from glazecalc.jobs.amount import Wanted
    from glazecalc.jobs.firing_follow import AskDrop
    from glazecalc.jobs.page import Notebook
    from glazecalc.jobs.palette import Wishes
    from glazecalc.jobs.tiles import TileOrder
    from glazecalc.values.inputs import Body, Circuit, Kiln, Piece, Recipe, Scale, Studio
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
    return setup_for(bench.studio, recipe, room=room, bench=bench, **where)


def said_of(
    bench: Bench,
    recipes: Sequence[Recipe] = (),
    things: Sequence[Body | Kiln | Circuit | Scale | None] = (),
    cone: str | None = None,
) -> tuple[Problem, ...]:
    """What every answer says of what it was worked out from: a range of cones asked about, and what is the demo's."""
    used = [bench.pantry.find(line.material) for recipe in recipes for line in recipe.lines]
    return (*_hotter(cone), *demo_remark(*recipes, *things, *used))


def _hotter(cone: str | None) -> tuple[Problem, ...]:
    cones = cones_between(cone)
    if cones is None:
        return ()
    text = f"cone {cones} is asked about: {cones.high} counts, the hotter, where a glaze runs and a kiln falls short"
    return (remark("hotter-cone", text, f"name the other for an answer at that: --cone {cones.low}"),)


SAID: Final = frozenset({"demo-data", "hotter-cone"})
"""The codes of what :func:`said_of` tells."""


def said_once(bench: Bench, recipes: Sequence[Recipe], **where: Unpack[Where]) -> tuple[Problem, ...]:
    """The same for several recipes together, each in its own setting."""
    things = dict.fromkeys(thing for recipe in recipes for thing in setup(bench, recipe, **where).things)
    return said_of(bench, recipes, tuple(things), where.get("cone"))


def formula(
    bench: Bench, recipes: Sequence[Recipe], *, basis: str = "unity", flux: str = "customary", explain: bool = False,
    models: bool = False,
) -> tuple[tuple[FormulaResult, ...], tuple[Problem, ...]]:  # fmt: skip
    """The fired composition of each card, as :func:`glazecalc.jobs.formula.describe` gives it."""
    from glazecalc.jobs.formula import describe

    results, problems = describe(recipes, bench.pantry, basis=basis, flux=flux, explain=explain, models=models)
    return results, (*problems, *said_of(bench, recipes))


def check(bench: Bench, recipe: Recipe, **where: Unpack[Where]) -> CheckResult:
    """Will this glaze fit the clay, melt at the cone, and does the kiln get there?"""
    from glazecalc.jobs.check import check as run

    at = setup(bench, recipe, **where)
    result = run(recipe, bench.pantry, at)
    return replace(result, problems=(*result.problems, *said_of(bench, [recipe], at.things, where.get("cone"))))


def adjust(
    bench: Bench, recipe: Recipe, *, wishes: Wishes | None = None, keep: tuple[str, ...] = (), **where: Unpack[Where]
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
    remarked = (*said_of(bench, [recipe], at.things, named), *([remark("aimed-lower", lowered)] if lowered else []))
    return result, (*remarks, *_in_doubt(result.before.problems), *remarked)


def _in_doubt(problems: Sequence[Problem]) -> tuple[Problem, ...]:
    """What is said of materials that are not known."""
    return tuple(p for p in problems if p.code == "unknown-share")


def batch(
    bench: Bench, formula: Recipe, *, wishes: Wishes | None = None, **where: Unpack[Where]
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
    remarked = (*remarks, *doubt, *said_of(bench, [formula], at.things, where.get("cone")))
    return resolve_batch(formula, bench.pantry, stock, at, wishes=asked, resolution_g=step), remarked


def swap(
    bench: Bench, recipe: Recipe, old: str, new: Sequence[str], **where: Unpack[Where]
) -> tuple[SwapResult, tuple[Problem, ...]]:
    """The same fired formula with ``new`` materials in place of ``old``."""
    from glazecalc.jobs.materials import shelf_of
    from glazecalc.jobs.swap import swap as run

    stock, remarks = shelf_of(bench.studio, bench.pantry)
    at = setup(bench, recipe, **where)
    result = run(recipe, bench.pantry, stock, at, old, new, resolution_g=finest_g(bench.studio))
    doubt = _in_doubt(result.before.problems)
    return result, (*remarks, *doubt, *said_of(bench, [recipe], at.things, where.get("cone")))


def compare(bench: Bench, recipes: Sequence[Recipe], **where: Unpack[Where]) -> tuple[Comparison, tuple[Problem, ...]]:
    """Recipes side by side, with their kin among the studio's cards."""
    from glazecalc.jobs.compare import compare as run

    pairs = [(r, setup(bench, r, **where)) for r in recipes]
    result = run(pairs, bench.pantry, studio_cards(bench.folder))
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
    bench: Bench, recipes: Sequence[Recipe], order: TileOrder, *, record: bool = False, **where: Unpack[Where]
) -> tuple[TilesResult, tuple[Problem, ...]]:
    """A plan of test tiles; with ``record`` it is written into the journal, whose ids the tiles then have."""
    from glazecalc.jobs.tiles import plan_tiles
    from glazecalc.jobs.weigh import scales_of

    scales, remarks = scales_of(bench.studio)
    at = setup(bench, recipes[0], **where)
    result = plan_tiles(tuple(recipes), bench.studio, bench.pantry, scales, at, order)
    remarks = (*remarks, *said_of(bench, recipes, (*at.things, *scales), where.get("cone")))
    return (record_plan(bench, result) if record else result), remarks


def record_plan(bench: Bench, plan: TilesResult) -> TilesResult:
    """Write a plan that was worked out before into the journal, whose ids its tiles then have."""
    from datetime import date

    from glazecalc.files.journal import Journal
    from glazecalc.jobs.blending import tile_records
    from glazecalc.jobs.tiles import with_ids

    today = date.today().isoformat()
    with Journal(bench.folder) as journal:
        written = journal.record_all([replace(record, date=today) for record in tile_records(plan)])
    return with_ids(plan, [record.id for record in written])


def first(bench: Bench, **where: Unpack[Where]) -> FirstGlaze:
    """A glaze to begin with on this clay, in this kiln, from this shelf: 100 g of it, and four tiles."""
    from glazecalc.jobs.amount import Wanted
    from glazecalc.jobs.first import BATCH_G, Shelf, bases, candidates, cone_to_begin_at, propose
    from glazecalc.jobs.materials import shelf_of

    studio, plain = bench.studio, bases()[0].recipe
    named = where.pop("cone", None)
    cone, lowered = cone_to_begin_at(setup(bench, plain, **where), studio, cone_named(named))
    stock, remarks = shelf_of(studio, bench.pantry)
    where["cone"] = cone.name
    at = setup(bench, plain, **where)
    found = candidates(at, Shelf(stock, studio, bench.pantry), bench.pantry)
    return propose(
        found, cone, lambda recipe: _weighed(bench, recipe, Wanted(dry_g=BATCH_G)), _tile_of(studio), studio.folder,
        (*lowered, *remarks, *said_of(bench, (), (*at.things, *studio.scales), named)),
    )  # fmt: skip


def kiln(
    bench: Bench, name: str | None = None, *, circuit: str | None = None, room: str | None = None,
    cone: str | None = None, recipe: Recipe | None = None,
) -> KilnReport:  # fmt: skip
    """May this kiln be plugged in there, how hot does it get, what does a firing take, where may it stand?"""
    from glazecalc.jobs.kiln import check_kiln
    from glazecalc.jobs.materials import resolve

    at = setup(bench, room=room, kiln=name, circuit=circuit, cone=cone)
    if at.kiln is None:
        raise _no_kiln(bench.studio)
    if cone is None and not is_usual(bench.studio, at.kiln):
        at = replace(at, cone=None)
    report = check_kiln(at, recipe, bench.pantry, room_asked=room is not None)
    named = resolve(recipe, bench.pantry, doubt=True)[1] if recipe else ()
    stop_at_errors(named)
    remarked = said_of(bench, [recipe] if recipe else [], (at.kiln, at.circuit), cone)
    return replace(report, problems=(*report.problems, *_in_doubt(named), *remarked))


def _no_kiln(studio: Studio) -> ProblemsError:
    hint = "name one, or add a [[kiln]] to studio.toml"
    return ProblemsError([error("no-kiln", "it is not clear which kiln is meant", hint, studio.file)])


def firing(
    bench: Bench, *, kind: str = "glaze", hold_h: float | None = None, wall_mm: float | None = None,
    dampness: Dampness = "dry", recipe: Recipe | None = None, **where: Unpack[Where],
) -> FiringReport:  # fmt: skip
    """A schedule for a cone, and whether the kiln follows: ``hold_h`` [h] at the peak, ``wall_mm`` [mm] thick ware;
    for a ``recipe`` with a drop and hold against pinholes where its melt asks for one."""
    from glazecalc.jobs.firing import plan_firing
    from glazecalc.jobs.firing_follow import USUAL_HOLD_H, FiringWish

    meant, cone = firing_kind(kind), where.pop("cone", None)
    on_card = None if recipe is None or recipe.cone is None or meant == "bisque" else recipe.cone.high.name
    aim, note = _aim_of(bench, meant, cone or on_card, where.get("kiln"))
    if aim is None:
        raise ProblemsError([error("no-cone", "no cone is named to fire to", "name one, such as cone 6")])
    if hold_h is not None and hold_h > LONGEST_HOLD_H:
        raise ProblemsError([error("hold", "the hold is longer than a day", "write it as 10min")])
    if wall_mm is not None and wall_mm > THICKEST_MM:
        raise ProblemsError([error("wall", "the wall is thicker than any ware", "write it as 6mm")])
    hold = USUAL_HOLD_H if hold_h is None else hold_h
    at = setup(bench, **where)
    ask, doubts = (None, ()) if recipe is None else _drop_of(bench, recipe, meant, aim)
    report = plan_firing(FiringWish(meant, aim, hold, wall_mm, dampness, ask), at)
    if recipe is not None and meant != "bisque":
        where["cone"] = aim.name
        report = _melting_first(report, check(bench, recipe, **where))
    remarked = said_of(bench, (), (at.kiln, at.circuit), cone)
    return replace(report, problems=(*note, *doubts, *remarked, *report.problems))


def _melting_first(report: FiringReport, checked: CheckResult) -> FiringReport:
    """The report led by the verdict of ``check`` where it says that the glaze does not melt as it should there; only an
    outlet that must not be used comes before.
    """
    melts = next((v for v in checked.verdicts if v.rule == "melts" and v.answer is Answer.DOES_NOT_FIT), None)
    if melts is None:
        return report
    tile = "" if melts.tray else " Fire a tile in a dish of old clay."
    banned = any(v.rule == "circuit_carries" and v.answer is Answer.DOES_NOT_FIT for v in report.verdicts)
    lines = (report.sentence, phrase("{}{}", melts.message, tile))
    sentence = joined(" ", lines if banned else reversed(lines))
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
    stop_at_errors(problems)
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
    bench: Bench, legs: Sequence[ScheduleLeg], *, title: str = "schedule", **where: Unpack[Where]
) -> FiringReport:
    """What the legs of a given schedule do."""
    from glazecalc.jobs.firing import weigh_schedule

    cone = where.pop("cone", None)
    at = setup(bench, **where)
    report = weigh_schedule(tuple(legs), cone_named(cone), at, title)
    return replace(report, problems=(*report.problems, *said_of(bench, (), (at.kiln, at.circuit), cone)))


def firing_kind(word: str) -> FiringKind:
    """The kind of firing a word names."""
    from glazecalc.values.results.firing import FIRING_KINDS

    kind = next((known for known in FIRING_KINDS if known == word.casefold().strip()), None)
    if kind is not None:
        return kind
    hint = did_you_mean(word, FIRING_KINDS) or f"choose {', '.join(FIRING_KINDS)}"
    raise ProblemsError([error("kind", f"{word[:40]!r} is not a kind of firing", hint)])


def body(
    bench: Bench, name: str | None = None, *, cone: str | None = None, fired_mm: float | None = None
) -> tuple[ClayReport, tuple[Problem, ...]]:
    """What is known of a clay; ``fired_mm`` [mm] is a size wanted after firing."""
    from glazecalc.jobs.body import clay_report

    clay = body_of(bench.studio, name)
    recipe, problems = bench.card_of(clay)
    report = clay_report(
        clay, bench.pantry, recipe=recipe, cone=_usual_cone(bench.studio, clay, cone), tiles=bench.tiles(clay),
        fired_mm=fired_mm, limits=bench.studio.limits,
    )  # fmt: skip
    return report, (*problems, *said_of(bench, (), [clay], cone))


def learn_body(
    bench: Bench, name: str | None = None, *, kiln: str | None = None, cone: str | None = None
) -> tuple[Lesson, tuple[Problem, ...]]:
    """What recorded tiles say of a clay's expansion, and which tile would say most next."""
    from glazecalc.jobs.lesson import lesson

    clay, fired_in = body_of(bench.studio, name), kiln_of(bench.studio, kiln)
    at = Setup(body=clay, cone=_usual_cone(bench.studio, clay, cone), bench=bench)
    cards, left_out = _cards(bench.folder)
    result = lesson(
        clay, at.tiles, cards, bench.pantry, cone=at.cone, kiln=fired_in, reasoned=at.reasoned,
        tiles_per_firing=_tiles_per_firing(bench.studio, fired_in),
    )  # fmt: skip
    return result, (*bench.card_of(clay)[1], *left_out, *said_of(bench, (), [clay], cone))


def learn_kiln(bench: Bench, name: str | None = None, *, circuit: str | None = None) -> KilnLearned:
    """What recorded firings say of a kiln's reach."""
    from glazecalc.jobs.learn_kiln import learn_kiln as run

    studio = bench.studio
    chosen = kiln_of(studio, name)
    if chosen is None:
        raise _no_kiln(studio)
    found = run(chosen, bench.firings(chosen), circuit_of(studio, chosen, circuit), studio.circuits)
    return replace(found, problems=(*found.problems, *said_of(bench, (), [chosen])))


def record(bench: Bench, entry: R) -> tuple[R, tuple[Problem, ...]]:
    """Write a tile, a firing or a batch into the studio's journal, by the rules of the command: the entry as it is
    kept, with its id, and remarks on what is odd. Raises ProblemsError where it contradicts itself."""
    from glazecalc.files.journal import Journal
    from glazecalc.jobs.recording import record_faults

    problems = record_faults(entry)
    stop_at_errors(problems)
    with Journal(bench.folder) as journal:
        return journal.record(entry), problems


def notebook(bench: Bench) -> Notebook:
    """The tiles and firings of the studio's journal; none where there is no journal."""
    from glazecalc.jobs.page import Notebook

    tiles = bench.recorded(lambda journal: journal.tiles())
    return Notebook(tiles, bench.recorded(lambda journal: journal.firings()))


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

    tile = _tile_of(studio)
    found = None if tile is None or kiln is None else places(kiln, tile, 1)
    return None if found is None else found[1]


def _tile_of(studio: Studio) -> Piece | None:
    """The studio's own test tile."""
    return next((piece for piece in studio.pieces if "tile" in piece.name.casefold()), None)
