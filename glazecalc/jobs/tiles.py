"""The job behind `tiles`: a plan of test tiles, each computed before anything is mixed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.batches import (
    Array,
    Parts,
    Weighed,
    corner_totals,
    dry_per_mL,
    pot_additions,
    shares,
    slurry_density,
    weigh_out,
)
from glazecalc.jobs.aim import Forecast, outlook_of
from glazecalc.jobs.amount import Wanted, check_gravity, coat_on, gravity_of, slurry_figure
from glazecalc.jobs.blending import TILE_TOLERANCE_PERCENT, Addition, Blend, blend_of, small_additions, too_small
from glazecalc.jobs.cautions import cautions_of_plan
from glazecalc.jobs.check import check, is_used
from glazecalc.jobs.circuit import circuit_result
from glazecalc.jobs.materials import Pantry
from glazecalc.jobs.progress import tell
from glazecalc.jobs.reach import RULE
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.tile_places import (
    TEST_TILE,
    belief,
    beyond,
    choose,
    marks_of,
    places,
    wrong_by_chance,
    wrong_percent,
)
from glazecalc.jobs.weigh import smallest_dry_batch, solids_density, weigh
from glazecalc.values.answers import Answer, ProblemsError, error
from glazecalc.values.inputs import Piece, Recipe, RecipeLine, Scale, Studio
from glazecalc.values.names import fold
from glazecalc.values.results.tiles import (
    CORNER_LETTERS,
    BlendBy,
    Choice,
    CornerBatch,
    Place,
    Pot,
    PotStep,
    TilePoint,
    TilesResult,
    VolumeCost,
)
from glazecalc.values.texts import begun, joined, phrase, typed

EACH_G: Final = 50.0
"""Dry glaze mixed for one tile, enough to dip or pour it from a cup [g] (common practice)."""
MOST_MADE: Final = 150
"""No plan is worked out tile by tile beyond this; a larger one can be laid out and the tiles to make chosen of it."""
MOST_CHOSEN: Final = 36
"""Most tiles that are chosen of a plan; each is weighed against all others."""


@dataclass(frozen=True, slots=True)
class TileOrder:
    """What a potter asks of a plan.

    ``size`` is tiles on an edge (or rows and columns); ``each_g`` the dry glaze for one tile;
    ``gravities`` the specific gravity of each corner's slurry, one for all, or none for the customary one; ``series``
    the letter of the ids.
    """

    plan: str
    size: tuple[int, ...] | None = None
    additions: tuple[Addition, ...] = ()
    by: BlendBy = "dry"
    gravities: tuple[float, ...] = ()
    each_g: float = EACH_G
    waste_percent: float | None = None
    tile: Piece | None = None
    choose: int | None = None
    series: str = "A"


def plan_tiles(
    recipes: Sequence[Recipe],
    studio: Studio,
    shelf: Pantry,
    scales: Sequence[Scale],
    setup: Setup,
    order: TileOrder,
) -> TilesResult:
    """The plan.

    Raises ProblemsError for a plan that cannot be made of these cards.
    """
    _refuse_twins(recipes)
    blend = blend_of(order.plan, recipes, shelf, order.size, order.additions)
    if order.by == "volume" and blend.over_base:
        hint = "blend glazes by volume; weigh additions to them dry"
        raise ProblemsError([error("by", f"plan {blend.plan} adds dry materials: volumes do not go with it", hint)])
    solids = np.array([solids_density(corner).value for corner in blend.corners])
    plan, choice = _chosen(_Plan(blend, order, studio, shelf, scales, setup, solids, _gravities(order, solids)))
    count = len(plan.blend.parts)
    placed, per_firing = places(setup.kiln, plan.tile, count) or ((), None)
    points = tuple(_point(plan, i, placed[i] if placed else None) for i in range(count))
    corners = _corner_batches(plan)
    pots = _pots(plan, points, coat_on(plan.tile, corners[0].sheet.water.solids_density.value))
    return TilesResult(
        plan=blend.plan, shape=blend.shape, corner_names=tuple(c.name for c in blend.corners),
        part=plan.part, by=order.by, points=points, corners=corners,
        body=None if setup.body is None else setup.body.name,
        kiln=None if setup.kiln is None else setup.kiln.name,
        cone=None if setup.cone is None else str(setup.cone),
        tile=plan.tile.name, tiles_per_firing=per_firing,
        firings=None if per_firing is None else math.ceil(count / per_firing),
        pots=pots, volume_cost=_volume_cost(plan) if order.by == "volume" else None, choice=choice,
        notes=_notes(blend, points, per_firing is None),
        cautions=cautions_of_plan(
            [corner.batch for corner in blend.corners],
            [p.check.formula for p in points if p.check.formula is not None],
        ),
        problems=blend.problems,
        warnings=(*_kiln_words(setup, points), *_scale_words(plan, corners, points, pots)),
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class _Plan:
    """A blend on this bench: its tiles in pouring order, the density of each corner's solids [g/mL] and the specific
    gravity of its slurry, (c,)."""

    blend: Blend
    order: TileOrder
    studio: Studio
    shelf: Pantry
    scales: Sequence[Scale]
    setup: Setup
    solids: Array
    gravities: Array

    @property
    def tile(self) -> Piece:
        named = (p for p in self.studio.pieces if "tile" in p.name.casefold())
        return self.order.tile or next(named, TEST_TILE)

    @property
    def tolerance_percent(self) -> float:
        return self.studio.limits.weighing_tolerance_percent

    @cached_property
    def contents(self) -> Array:
        """Dry content of each corner's slurry [g/mL], (c,)."""
        return dry_per_mL(self.gravities, self.solids)

    @cached_property
    def dry_shares(self) -> Array:
        """Each corner's share of a tile's dry matter, (n, c)."""
        return shares(self.blend.parts, self.contents if self.order.by == "volume" else self.blend.per_part)

    @cached_property
    def each_g(self) -> float:
        """Dry glaze for one tile [g]: what was asked, raised until a whole part is a whole step of the scale."""
        step = min(s.resolution_g for s in self.scales)
        return math.ceil(self.order.each_g / self._most_parts / step - 1e-9) * step * self._most_parts

    @property
    def part(self) -> float:
        """What one part is: grams of dry glaze, or mL of slurry."""
        part_g = self.each_g / self._most_parts
        if self.order.by == "dry":
            return float(f"{part_g:.12g}")
        return float(max(round(part_g / float(self.contents.mean())), 1))

    @property
    def _most_parts(self) -> float:
        return float(self.blend.parts.sum(axis=1).max())


def _gravities(order: TileOrder, solids: Array) -> Array:
    """Specific gravity of each corner's slurry, (c,). Raises ProblemsError where one cannot be."""
    given = order.gravities or (gravity_of(Wanted())[0],)
    if len(given) not in (1, len(solids)):
        message = f"{len(given)} specific gravities for {len(solids)} corners"
        raise ProblemsError([error("gravity", message, "give one, or one for each corner: --sg 1.5:1.45")])
    gravities = np.broadcast_to(given, solids.shape)
    for gravity, solid in zip(gravities.tolist(), solids.tolist(), strict=True):
        check_gravity(gravity, solid)
    return gravities


def _refuse_twins(recipes: Sequence[Recipe]) -> None:
    """Raises ProblemsError where one card stands for two corners."""
    files = [r.file for r in recipes if r.file is not None]
    batches = [_batch_of(r) for r in recipes]
    if len(set(files)) < len(files) or len(set(batches)) < len(batches):
        text = "the same recipe is named twice: between them nothing changes"
        raise ProblemsError([error("same-recipe", text, "name another recipe for each corner")])


def _batch_of(recipe: Recipe) -> tuple[object, ...]:
    """What a card says is in it, whatever its name, total and order of lines; a card without lines is its own."""
    whole = recipe.base_total or recipe.addition_total
    lines = sorted((fold(r.material), round(r.amount / whole, 6), r.addition) for r in recipe.lines) if whole else []
    return tuple(lines) or (recipe.name, recipe.composition)


# Which tiles of the full plan are made: all, or a graded series for one clay, or those that tell most.

AT_A_TIME: Final = 10_000
"""Tiles estimated together: keeps the memory small and the caches warm."""


def tile_arrays(blend: Blend, parts: Array | Parts, setup: Setup) -> Forecast:
    """What to expect of tiles of these ``parts`` (n, c), of a blend or of a hundred thousand of them."""
    look = outlook_of(setup, blend.composition(parts[:1]))
    pieces = [look(blend.composition(parts[i : i + AT_A_TIME])) for i in range(0, len(parts), AT_A_TIME)]
    return Forecast(*(np.concatenate([getattr(p, field.name) for p in pieces]) for field in fields(Forecast)))


def _chosen(plan: _Plan) -> tuple[_Plan, Choice | None]:
    """The plan with the tiles that are made."""
    blend, order = plan.blend, plan.order
    parts = plan.dry_shares / blend.per_part
    expected = tile_arrays(blend, parts, plan.setup)
    crazing = expected.crazes if plan.setup.body is not None else None
    rows, choice = list(range(len(blend.parts))), None
    if blend.plan == "ladder":
        count = order.size[0] if order.size else min(6, len(rows))
        if not 2 <= count <= len(rows):
            raise ProblemsError([error("size", f"a ladder of {count} tiles cannot be made", f"2 to {len(rows)}")])
        rows = rungs(expected.expansion, crazing, expected.known, count)
    if order.choose is not None:
        most = min(len(rows), MOST_CHOSEN)
        if not 1 <= order.choose <= most:
            message = f"--choose {order.choose} of {len(rows)} tiles"
            raise ProblemsError([error("choose", message, f"choose 1 to {most}")])
        chances = np.full(len(blend.parts), 0.5) if crazing is None else crazing
        before = belief(chances[rows], blend.composition(parts[rows]).mole_fractions)
        best = sorted(choose(before, order.choose))
        choice = Choice(
            full=len(rows), chosen=order.choose, wrong_before_percent=wrong_percent(before, ()),
            wrong_percent=wrong_percent(before, best), wrong_by_chance_percent=wrong_by_chance(before, order.choose),
            wrong_full_percent=wrong_percent(before, range(len(rows))),
        )  # fmt: skip
        rows = [rows[i] for i in best]
    if len(rows) > MOST_MADE:
        message = f"{len(rows)} tiles are more than anybody mixes at a time (at most {MOST_MADE} are worked out)"
        hint = "take a smaller --size or fewer levels, or the tiles of this plan that tell most: --choose 24"
        raise ProblemsError([error("size", message, hint)])
    made = replace(blend, parts=blend.parts[rows], places=tuple(blend.places[i] for i in rows))
    return replace(plan, blend=made), choice


SURE: Final = 0.03
"""Below this chance of crazing, or above one less it, a further rung would tell little."""


def rungs(expansion: Array, crazing: Array | None, known: NDArray[np.bool_], count: int) -> list[int]:
    """Rows of a series in even steps of expansion, from sure to craze to sure not to, lowest first.

    ``expansion`` (n,) [1e-6/K]; ``crazing`` (n,) probabilities, None without a clay: then the whole range is graded.
    Rows the models do not know (``known`` False) are left out while enough others are there.
    """
    usable = np.flatnonzero(known) if int(known.sum()) >= count else np.arange(len(expansion))
    order = usable[np.argsort(expansion[usable], kind="stable")]
    if crazing is not None:
        order = _window(order, crazing, count)
    values = expansion[order]
    taken: list[int] = []
    for i, target in enumerate(np.linspace(values[0], values[-1], count)):
        low, high = (taken[-1] + 1 if taken else 0), len(order) - (count - i - 1)
        taken.append(int(np.argmin(np.abs(values[low:high] - target))) + low)
    return [int(order[i]) for i in taken]


def _window(order: NDArray[np.intp], crazing: Array, count: int) -> NDArray[np.intp]:
    """The part of a series where the outcome is in doubt, one row of each sure end with it."""
    p = crazing[order]
    doubtful = np.flatnonzero((p > SURE) & (p < 1 - SURE))
    if not len(doubtful):
        return order
    first, last = max(int(doubtful[0]) - 1, 0), min(int(doubtful[-1]) + 1, len(order) - 1)
    while last - first + 1 < count and (first > 0 or last < len(order) - 1):
        first, last = max(first - 1, 0), min(last + 1, len(order) - 1)
    return order[first : last + 1]


# Each tile with what is expected of it, and the batches of the corners.


def _point(plan: _Plan, i: int, place: Place | None) -> TilePoint:
    blend, setup, ident = plan.blend, plan.setup, f"{plan.order.series}{i + 1}"
    tell(f"checking tile {i + 1} of {len(blend.parts)}", i, len(blend.parts))
    parts, dry_shares = blend.parts[i].tolist(), plan.dry_shares[i]
    lines = blend.recipe_lines(dry_shares / plan.blend.per_part)
    alone = [c.recipe for c, share in zip(blend.corners, dry_shares, strict=True) if share > 0]
    recipe = Recipe(
        name=f"{' + '.join(c.name for c in blend.corners)}, tile {ident}"[:200],
        cone=alone[0].cone if len(alone) == 1 else blend.cone,
        lines=tuple(RecipeLine(material=x.material, amount=x.amount, addition=x.addition) for x in lines),
        proven=alone[0].proven if len(alone) == 1 and is_used(alone[0]) else "",
    )  # fmt: skip
    result, measures = check(recipe, plan.shelf, setup), tuple(float(f"{p * plan.part:.12g}") for p in parts)
    return TilePoint(
        id=ident, number=i + 1, row=blend.places[i][0], column=blend.places[i][1], parts=tuple(parts),
        measures=measures, dry_shares=tuple(dry_shares.tolist()), recipe=lines, check=result,
        marks=(*marks_of(result), *small_additions(measures, blend, plan.scales)), beyond=beyond(result), place=place,
    )  # fmt: skip


def _corner_batches(plan: _Plan) -> tuple[CornerBatch, ...]:
    waste = slurry_figure("waste").value if plan.order.waste_percent is None else plan.order.waste_percent
    taken = corner_totals(plan.dry_shares, plan.each_g, waste).tolist()
    even = slurry_density(plan.contents.min(), plan.solids).tolist()
    batches = []
    for i, corner in enumerate(plan.blend.corners):
        if taken[i] <= 0:
            continue
        batch = max(taken[i], smallest_dry_batch(corner, plan.scales, plan.tolerance_percent) or 0.0)
        sheet = weigh(
            corner.recipe, plan.shelf, plan.scales, Wanted(dry_g=batch, gravity=float(plan.gravities[i])),
            tolerance_percent=plan.tolerance_percent, currency=plan.studio.limits.currency,
        )  # fmt: skip
        content = float(plan.contents[i])
        batches.append(CornerBatch(CORNER_LETTERS[i], corner.name, taken[i], batch, sheet, content, even[i]))
    return tuple(batches)


def _volume_cost(plan: _Plan) -> VolumeCost:
    """What taking volumes for weights costs, over the tiles that are made."""
    blend = plan.blend
    meant, really = shares(blend.parts, blend.per_part), plan.dry_shares
    first, second = (tile_arrays(blend, each / blend.per_part, plan.setup).expansion for each in (meant, really))
    return VolumeCost(100 * float(np.abs(meant - really).max()), float(np.abs(first - second).max()))


# Many tiles from one pot: add a little, stir, dip a tile, add a little more.


def _pots(plan: _Plan, points: Sequence[TilePoint], coat_g: float) -> tuple[Pot, ...]:
    """The pots of a plan whose tiles are rising additions to one thing; none for triangles and squares."""
    pot_g = max(plan.each_g * len(points) / 2, 4 * coat_g * len(points))
    pots = (_pot(plan, *series, pot_g, coat_g) for series in _series(plan.blend, points))
    return tuple(pot for pot in pots if pot is not None)


def _series(blend: Blend, points: Sequence[TilePoint]) -> Iterator[tuple[list[TilePoint], int, int]]:
    """Tiles that rise in one addition, the corner they are made of, and the corner that is added."""
    if len(blend.corners) == 2 and blend.plan in ("line", "ladder") and not blend.over_base:
        yield [p for p in points if p.parts[1] <= p.parts[0]], 0, 1
        yield [p for p in reversed(points) if p.parts[1] > p.parts[0]], 1, 0
    elif blend.plan in ("additions", "ladder"):
        for column in range(1, len(blend.corners)):
            with_it = [p for p in points if p.parts[column] == sum(p.parts[1:])]
            yield sorted(with_it, key=lambda p: p.parts[column] / p.parts[0]), 0, column


def _pot(
    plan: _Plan, points: Sequence[TilePoint], base: int, added: int, pot_g: float, tile_g: float
) -> Pot | None:  # fmt: skip
    """One pot of corner ``base`` into which corner ``added`` goes: it starts with ``pot_g`` of dry glaze, and each
    tile takes ``tile_g`` with it [g]."""
    if len(points) < 2:
        return None
    blend, per_base = plan.blend, [100 * p.dry_shares[added] / p.dry_shares[base] for p in points]
    try:
        grams = pot_additions(per_base, pot_g, tile_g)
    except ValueError:
        return None
    rising = [i for i, extra in enumerate(grams) if extra > 0]
    weighed = weigh_out([grams[i] for i in rising], plan.scales, total_tolerance_percent=100)
    shown = {i: (w.shown_g, too_small(w)) for i, w in zip(rising, weighed, strict=True)}
    levels = [100 * p.parts[added] / p.parts[base] for p in points] if blend.over_base else per_base
    steps = tuple(
        PotStep(p.id, blend.corners[added].name, levels[i], grams[i], *shown.get(i, (0.0, False)))
        for i, p in enumerate(points)
    )
    apart = sum(1 for p in points for share in (p.dry_shares[base], p.dry_shares[added]) if share > 0)
    name = blend.corners[base].name
    return Pot(name, pot_g, steps, 1 + len(shown), apart, tile_g, _larger_pot(name, pot_g, weighed))


def _larger_pot(base: str, pot_g: float, weighed: Sequence[Weighed]) -> str:
    """A pot large enough for the scale, where that is needed: what is added grows at least as the pot does."""
    times = [
        max(w.scale.minimum_g or 0.0, w.scale.resolution_g * 100 / TILE_TOLERANCE_PERCENT) / w.target_g
        for w in weighed if too_small(w)
    ]  # fmt: skip
    if not times:
        return ""
    larger = math.ceil(pot_g * max(times) / 10) * 10
    start = "make the tiles apart, use a finer scale, or start with {:g g} of {} and add as many times more"
    return phrase(start, larger, base)


# What is said of a plan before anything else: an outlet not to be used, a kiln too cool, a scale too coarse.

MOST_OVER: Final = 2.0
"""A corner of which this many times what its tiles take must be mixed is too small for the scale (judgement)."""
FINER_STEPS_G: Final = (0.1, 0.01, 0.001)
"""Steps of the scales that are sold for small weights [g] (common practice)."""
MAINS: Final = (
    "Have mains work done by a licensed electrician; the local code and the maker's manual decide what feeds a kiln."
)


def _kiln_words(setup: Setup, points: Sequence[TilePoint]) -> tuple[str, ...]:
    """A firing that must not be, or cannot come to the cone; ``points`` are all fired alike."""
    kiln, circuit = setup.kiln, setup.circuit
    if kiln is None:
        return ()
    if circuit is not None and (fed := circuit_result(kiln, circuit)).answer is Answer.DOES_NOT_FIT:
        return (phrase("Do not fire in {} at {}: {}. {}", kiln.name, circuit.name, fed.reasons[0].message, MAINS),)
    verdict = next((v for p in points[:1] for v in p.check.verdicts if v.rule == RULE), None)
    return () if verdict is None or verdict.answer is not Answer.DOES_NOT_FIT else (verdict.message,)


def _scale_words(
    plan: _Plan, corners: Sequence[CornerBatch], points: Sequence[TilePoint], pots: Sequence[Pot]
) -> tuple[str, ...]:
    """That the scale is too coarse for so small a plan, and the ways out; nothing where it is not."""
    mixed = [c for c in corners if len(c.sheet.lines) > 1]
    coarse = [c for c in mixed if c.sheet.smallest_batch_g is None or c.batch_g > MOST_OVER * c.taken_g]
    apart = [g for p in points for g in p.measures[1:] if g > 0] if plan.blend.over_base else []
    added = [*apart, *(step.add_g for pot in pots for step in pot.steps if step.add_g > 0)]
    small = _too_little(added, plan.scales)
    if not coarse and not small:
        return ()
    finer = _finer(plan, mixed, added)
    ways = [] if finer is None else [phrase("use a scale that shows {:g g}", finer)]
    ways += [
        typed(f"bring in the small lines of {c.name} by a dry blend or a stock (glazecalc weigh shows how)")
        for c in coarse if _small_lines_served(plan, c)
    ]  # fmt: skip
    ways += ["do what it says below for each small addition"] if small else []
    step = min(s.resolution_g for s in plan.scales)
    if not coarse:
        some = "Some additions are too small for this scale, which shows {:g g}: {}."
        return (phrase(some, step, joined(", or ", ways)),)
    advice = joined(", or ", [*ways, "mix the batches below and keep what is left"])
    words = joined("; ", (phrase("{} takes {:.0f g}, and {}", c.name, c.taken_g, _least(c)) for c in coarse))
    too = "This scale, which shows {:g g}, is too coarse for so small a plan: {}. {}."
    return (phrase(too, step, words, begun(advice)),)


def _too_little(grams: Iterable[float], scales: Sequence[Scale]) -> bool:
    """Whether an addition is too small for the scales."""
    return any(too_small(weigh_out([g], scales)[0]) for g in grams)


def _least(corner: CornerBatch) -> str:
    least = corner.sheet.smallest_batch_g
    if least is None:
        return "no batch can be weighed well"
    return phrase("no less than {:.0f g} can be weighed well", least)


def _finer(plan: _Plan, mixed: Sequence[CornerBatch], added: Sequence[float]) -> float | None:
    """The coarsest usual scale that does for all of the plan [g]; None where there is none."""
    cards = {c.name: c for c in plan.blend.corners}
    for step in FINER_STEPS_G:
        scales = [Scale(resolution_g=step)]
        if step >= min(s.resolution_g for s in plan.scales) or _too_little(added, scales):
            continue
        least = [smallest_dry_batch(cards[c.name], scales, plan.tolerance_percent) for c in mixed]
        if all(g is not None and g <= MOST_OVER * c.taken_g for g, c in zip(least, mixed, strict=True)):
            return step
    return None


def _small_lines_served(plan: _Plan, corner: CornerBatch) -> bool:
    """Whether a dry blend or a stock brings in every small line of the small batch of a card."""
    recipe, wanted = corner.sheet.recipe, Wanted(dry_g=corner.taken_g)
    sheet = weigh(recipe, plan.shelf, plan.scales, wanted, tolerance_percent=plan.tolerance_percent)
    served = {s.material for s in sheet.splits if s.pre_blend is not None or s.stock is not None}
    return recipe.file is not None and all(x.within_tolerance or x.material in served for x in sheet.lines)


def _notes(blend: Blend, points: Sequence[TilePoint], no_places: bool) -> tuple[str, ...]:
    notes = [
        "Pour or dip from the top of the table down. Scratch the mark into the foot of each tile before the bisque "
        "firing."
    ]
    if blend.cone is None:
        notes.append("not every card names a cone, so melting is not judged by one")
    notes += _came_out(points)
    if no_places:
        notes.append(
            "the kiln's inside is not known, so tiles per firing are not counted: add interior to its [[kiln]]"
        )
    return tuple(notes)


def _came_out(points: Sequence[TilePoint]) -> list[str]:
    """How tiles of a plan came out that were fired before."""
    return [f"Tile {p.id}: {v.shown}" for p in points for v in p.check.verdicts if v.shown]


def with_ids(result: TilesResult, ids: Sequence[str]) -> TilesResult:
    """The plan under the ids a journal gave its tiles."""
    new = dict(zip((p.id for p in result.points), ids, strict=True))
    pots = tuple(
        replace(pot, steps=tuple(replace(step, tile=new[step.tile]) for step in pot.steps)) for pot in result.pots
    )
    points = tuple(replace(p, id=new[p.id]) for p in result.points)
    before = _came_out(result.points)
    kept = [note for note in result.notes if note not in before]
    notes = (*kept, *_came_out(points), "Marks leave out letters that look alike when scratched: after AAA comes AAC.")
    return replace(result, points=points, pots=pots, notes=notes, recorded=True)
