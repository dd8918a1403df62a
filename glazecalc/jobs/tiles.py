"""The job behind `tiles`: a plan of test tiles, each computed before anything is mixed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from glazecalc.chemistry.batches import (
    Array,
    Parts,
    Weighed,
    coat_grams,
    corner_totals,
    dry_per_mL,
    dry_shares_by_volume,
    pot_additions,
    shares,
    slurry_density,
    weigh_out,
)
from glazecalc.chemistry.composition import CONVENTIONS, unity
from glazecalc.jobs.aim import outlook_of
from glazecalc.jobs.amount import Wanted, check_gravity, glazed_area_cm2, gravity_of, slurry_figure
from glazecalc.jobs.blending import TILE_TOLERANCE_PERCENT, Addition, Blend, blend_of, too_small, with_small_marks
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
from glazecalc.values.results.weigh import WeighResult
from glazecalc.values.texts import begun, joined, phrase, typed

# A graded series for one clay: tiles in even steps of expansion, from sure to craze to sure not to.


SURE: Final = 0.03
"""Below this chance of crazing, or above one less it, a further rung would tell little."""


def rungs(expansion: Array, crazing: Array | None, known: NDArray[np.bool_], count: int) -> list[int]:
    """Rows of a series in even steps of expansion, lowest first.

    ``expansion`` (n,) [1e-6/K]; ``crazing`` (n,) probabilities, None without a clay: then the whole range is graded.
    Rows the models do not know (``known`` False) are left out while enough others are there.
    """
    usable = np.flatnonzero(known) if int(known.sum()) >= count else np.arange(len(expansion))
    order = usable[np.argsort(expansion[usable], kind="stable")]
    if crazing is not None:
        order = _window(order, crazing, count)
    values = expansion[order]
    wanted = np.linspace(values[0], values[-1], count)
    taken: list[int] = []
    for i, target in enumerate(wanted):
        low = taken[-1] + 1 if taken else 0
        high = len(order) - (count - i - 1)
        near = int(np.argmin(np.abs(values[low:high] - target))) + low
        taken.append(near)
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


# Many tiles from one pot: add a little, stir, dip a tile, add a little more.


def pots_of(
    blend: Blend, points: Sequence[TilePoint], scales: Sequence[Scale], pot_g: float, tile_g: float
) -> tuple[Pot, ...]:
    """The pots of a plan whose tiles are rising additions to one thing; none for triangles and squares.

    ``pot_g`` is the dry glaze a pot starts with, ``tile_g`` what one tile takes with it [g].
    """
    if len(blend.corners) == 2 and blend.plan in ("line", "ladder") and not blend.over_base:
        half = [p for p in points if p.parts[1] <= p.parts[0]]
        rest = [p for p in reversed(points) if p.parts[1] > p.parts[0]]
        found = [_pot(blend, half, 0, 1, scales, pot_g, tile_g), _pot(blend, rest, 1, 0, scales, pot_g, tile_g)]
    elif blend.plan in ("additions", "ladder"):
        found = []
        for column in range(1, len(blend.corners)):
            others = [c for c in range(1, len(blend.corners)) if c != column]
            with_it = [p for p in points if all(p.parts[c] == 0 for c in others)]
            ordered = sorted(with_it, key=lambda p: p.parts[column] / p.parts[0])
            found.append(_pot(blend, ordered, 0, column, scales, pot_g, tile_g))
    else:
        return ()
    return tuple(pot for pot in found if pot is not None)


def _pot(
    blend: Blend,
    points: Sequence[TilePoint],
    base: int,
    added: int,
    scales: Sequence[Scale],
    pot_g: float,
    tile_g: float,
) -> Pot | None:
    """One pot of corner ``base`` into which corner ``added`` goes."""
    if len(points) < 2:
        return None
    per_base = [100 * p.dry_shares[added] / p.dry_shares[base] for p in points]
    try:
        grams = pot_additions(per_base, pot_g, tile_g)
    except ValueError:
        return None
    rising = [i for i, extra in enumerate(grams) if extra > 0]
    weighed = weigh_out([grams[i] for i in rising], scales, total_tolerance_percent=100)
    shown = dict(zip(rising, weighed, strict=True))
    levels = [100 * p.parts[added] / p.parts[base] for p in points] if blend.over_base else per_base
    steps = tuple(
        PotStep(p.id, blend.corners[added].name, level, g, *_on_scale(shown.get(i)))
        for i, (p, level, g) in enumerate(zip(points, levels, grams, strict=True))
    )
    apart = sum(1 for p in points for share in (p.dry_shares[base], p.dry_shares[added]) if share > 0)
    name = blend.corners[base].name
    return Pot(name, pot_g, steps, 1 + len(shown), apart, tile_g, _way_out(name, pot_g, weighed))


def _way_out(base: str, pot_g: float, weighed: Sequence[Weighed]) -> str:
    """A pot large enough for the scale: what is added grows at least as the pot does."""
    small = [w for w in weighed if too_small(w)]
    if not small:
        return ""
    least = [max(w.scale.minimum_g or 0.0, w.scale.resolution_g * 100 / TILE_TOLERANCE_PERCENT) for w in small]
    times = max(need / w.target_g for need, w in zip(least, small, strict=True))
    larger = math.ceil(pot_g * times / 10) * 10
    start = "make the tiles apart, use a finer scale, or start with {:g g} of {} and add as many times more"
    return phrase(start, larger, base)


def _on_scale(weighed: Weighed | None) -> tuple[float, bool]:
    return (0.0, False) if weighed is None else (weighed.shown_g, too_small(weighed))


# What is said of a plan before anything else: an outlet not to be used, a kiln too cool, a scale too coarse.

MOST_OVER: Final = 2.0
"""A corner of which this many times what its tiles take must be mixed is too small for the scale (judgement)."""
FINER_STEPS_G: Final = (0.1, 0.01, 0.001)
"""Steps of the scales that are sold for small weights [g] (common practice)."""
MAINS: Final = (
    "Have mains work done by a licensed electrician; the local code and the maker's manual decide what feeds a kiln."
)


def kiln_words(setup: Setup, points: Sequence[TilePoint]) -> tuple[str, ...]:
    """A firing that must not be, or cannot come to the cone; ``points`` are all fired alike."""
    kiln, circuit = setup.kiln, setup.circuit
    if kiln is None:
        return ()
    if circuit is not None and (found := circuit_result(kiln, circuit)).answer is Answer.DOES_NOT_FIT:
        return (phrase("Do not fire in {} at {}: {}. {}", kiln.name, circuit.name, found.reasons[0].message, MAINS),)
    verdict = next((v for p in points[:1] for v in p.check.verdicts if v.rule == RULE), None)
    return () if verdict is None or verdict.answer is not Answer.DOES_NOT_FIT else (verdict.message,)


def scale_words(
    blend: Blend, corners: Sequence[CornerBatch], points: Sequence[TilePoint], pots: Sequence[Pot], shelf: Pantry,
    scales: Sequence[Scale], tolerance_percent: float,
) -> tuple[str, ...]:  # fmt: skip
    """That the scale is too coarse for so small a plan, and the ways out; nothing where it is not."""
    coarse = [c for c in corners if len(c.sheet.lines) > 1 and _too_much(c)]
    added = _added(blend, points, pots)
    small = any(too_small(weigh_out([g], scales)[0]) for g in added)
    if not coarse and not small:
        return ()
    step = min(s.resolution_g for s in scales)
    finer = _finer(blend, corners, added, tolerance_percent, step)
    ways: list[str] = [] if finer is None else [phrase("use a scale that shows {:g g}", finer)]
    ways += [way for c in coarse if (way := _in_small(blend, c, shelf, scales, tolerance_percent))]
    ways += ["do what it says below for each small addition"] if small else []
    if not coarse:
        some = "Some additions are too small for this scale, which shows {:g g}: {}."
        return (phrase(some, step, joined(", or ", ways)),)
    ways += ["mix the batches below and keep what is left"]
    words = joined("; ", (phrase("{} takes {:.0f g}, and {}", c.name, c.taken_g, _least(c)) for c in coarse))
    plan = "This scale, which shows {:g g}, is too coarse for so small a plan: {}. {}."
    return (phrase(plan, step, words, begun(joined(", or ", ways))),)


def _too_much(corner: CornerBatch) -> bool:
    return corner.sheet.smallest_batch_g is None or corner.batch_g > MOST_OVER * corner.taken_g


def _added(blend: Blend, points: Sequence[TilePoint], pots: Sequence[Pot]) -> list[float]:
    """Everything that is added to one tile or stirred into a pot [g]."""
    apart = [g for p in points for g in p.measures[1:] if g > 0] if blend.over_base else []
    return [*apart, *(step.add_g for pot in pots for step in pot.steps if step.add_g > 0)]


def _least(corner: CornerBatch) -> str:
    least = corner.sheet.smallest_batch_g
    if least is None:
        return "no batch can be weighed well"
    return phrase("no less than {:.0f g} can be weighed well", least)


def _finer(
    blend: Blend, corners: Iterable[CornerBatch], added: Sequence[float], tolerance_percent: float, step_g: float
) -> float | None:
    """The coarsest usual scale that does for all of the plan [g]; None where there is none."""
    cards = {c.name: c.card for c in blend.corners}
    for step in FINER_STEPS_G:
        scales = [Scale(resolution_g=step)]
        if step >= step_g or any(too_small(weigh_out([g], scales)[0]) for g in added):
            continue
        least = [(smallest_dry_batch(cards[c.name], scales, tolerance_percent), c.taken_g) for c in corners
                 if len(c.sheet.lines) > 1]  # fmt: skip
        if all(grams is not None and grams <= MOST_OVER * taken for grams, taken in least):
            return step
    return None


def _in_small(
    blend: Blend, corner: CornerBatch, shelf: Pantry, scales: Sequence[Scale], tolerance_percent: float
) -> str | None:
    """The small batch with its small lines brought in by a dry blend or a stock, where that serves every line."""
    recipe = next(c.card.recipe for c in blend.corners if c.name == corner.name)
    sheet = weigh(recipe, shelf, scales, Wanted(dry_g=corner.taken_g), tolerance_percent=tolerance_percent)
    if recipe.file is None or not _all_served(sheet):
        return None
    return typed(f"bring in the small lines of {corner.name} by a dry blend or a stock (glazecalc weigh shows how)")


def _all_served(sheet: WeighResult) -> bool:
    served = {s.material for s in sheet.splits if s.pre_blend is not None or s.stock is not None}
    return all(line.within_tolerance or line.material in served for line in sheet.lines)


# What to expect of every tile of a blend, or of a hundred thousand of them, as arrays.

AT_A_TIME: Final = 10_000
"""Tiles estimated together: keeps the memory small and the caches warm."""


@dataclass(frozen=True, slots=True, eq=False)
class TileArrays:
    """Figures of n tiles.

    ``unity`` (n, k); ``expansion`` [1e-6/K]; the chances of crazing, shivering, soundness and maturing at the cone
    [fraction], each (n,). ``known`` says whether the models know the ground.
    """

    unity: Array
    expansion: Array
    crazes: Array
    shivers: Array
    sound: Array
    matures: Array
    known: NDArray[np.bool_]


def tile_arrays(blend: Blend, parts: Array | Parts, setup: Setup) -> TileArrays:
    """The figures of tiles of these ``parts`` (n, c)."""
    look = outlook_of(setup, blend.composition(parts[:1]))
    pieces = []
    for start in range(0, len(parts), AT_A_TIME):
        composition = blend.composition(parts[start : start + AT_A_TIME])
        found = look(composition)
        formula = unity(composition.moles, CONVENTIONS["customary"])
        chances = (found.crazes, found.shivers, found.sound, found.matures)
        pieces.append((formula, found.expansion, *chances, found.known))
    return TileArrays(*(np.concatenate(column) for column in zip(*pieces, strict=True)))


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

    Raises
    ------
    ProblemsError
        for a plan that cannot be made of these cards.
    """
    _refuse_twins(recipes)
    blend = blend_of(order.plan, recipes, shelf, order.size, order.additions)
    if order.by == "volume" and blend.over_base:
        hint = "blend glazes by volume; weigh additions to them dry"
        raise ProblemsError([error("by", f"plan {blend.plan} adds dry materials: volumes do not go with it", hint)])
    contents, gravities = _slurries(blend, order)
    dry_shares = _dry_shares(blend, order.by, contents)
    parts = _dry_parts(blend, dry_shares)
    found = tile_arrays(blend, parts, setup)
    rows, choice = _which(blend, order, setup, found, parts)
    _not_too_many(len(rows))
    tile = order.tile or _usual_tile(studio)
    each = _each_g(blend.parts[rows], order, scales)
    placed = places(setup.kiln, tile, len(rows))
    points = _points(blend, rows, dry_shares, each, order, shelf, setup, placed[0] if placed else None)
    points = with_small_marks(points, blend, scales) if order.by == "dry" else points
    waste = slurry_figure("waste").value if order.waste_percent is None else order.waste_percent
    corners = _corner_batches(blend, dry_shares[rows], each, waste, scales, studio, gravities, shelf)
    coat = _coat_g(tile, corners[0].sheet.water.solids_density.value)
    pots = pots_of(blend, points, scales, max(each * len(rows) / 2, 4 * coat * len(rows)), coat)
    tolerance = studio.limits.weighing_tolerance_percent
    return TilesResult(
        plan=blend.plan,
        shape=blend.shape,
        corner_names=tuple(c.name for c in blend.corners),
        part=_part(blend.parts[rows], each, order.by, contents),
        by=order.by,
        points=points,
        corners=corners,
        body=None if setup.body is None else setup.body.name,
        kiln=None if setup.kiln is None else setup.kiln.name,
        cone=None if setup.cone is None else str(setup.cone),
        tile=tile.name,
        tiles_per_firing=placed[1] if placed else None,
        firings=math.ceil(len(rows) / placed[1]) if placed else None,
        pots=pots,
        volume_cost=_volume_cost(blend, rows, dry_shares, setup) if order.by == "volume" else None,
        choice=choice,
        notes=_notes(blend, points, placed is None),
        cautions=_cautions(blend, points),
        problems=blend.problems,
        warnings=(
            *kiln_words(setup, points),
            *scale_words(blend, corners, points, pots, shelf, scales, tolerance),
        ),
    )


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


def _not_too_many(made: int) -> None:
    if made > MOST_MADE:
        message = f"{made} tiles are more than anybody mixes at a time (at most {MOST_MADE} are worked out)"
        hint = "take a smaller --size or fewer levels, or the tiles of this plan that tell most: --choose 24"
        raise ProblemsError([error("size", message, hint)])


def _coat_g(tile: Piece, solids_density: float) -> float:
    """Dry glaze that one tile takes with it [g]."""
    thickness, packing = slurry_figure("dry_coat").value, slurry_figure("coat_packing").value
    return coat_grams(glazed_area_cm2(tile)[0], thickness, packing, solids_density)


def _usual_tile(studio: Studio) -> Piece:
    return next((p for p in studio.pieces if "tile" in p.name.casefold()), TEST_TILE)


def _slurries(blend: Blend, order: TileOrder) -> tuple[Array, list[float]]:
    """Dry content [g/mL] and specific gravity of each corner's slurry."""
    given = list(order.gravities)
    if len(given) not in (0, 1, len(blend.corners)):
        message = f"{len(given)} specific gravities for {len(blend.corners)} corners"
        raise ProblemsError([error("gravity", message, "give one, or one for each corner: --sg 1.5:1.45")])
    usual = gravity_of(Wanted())[0]
    gravities = given if len(given) > 1 else [given[0] if given else usual] * len(blend.corners)
    contents = []
    for corner, gravity in zip(blend.corners, gravities, strict=True):
        solids = solids_density(corner.card).value
        check_gravity(gravity, solids)
        contents.append(float(dry_per_mL(gravity, solids)))
    return np.array(contents), gravities


def _dry_shares(blend: Blend, by: BlendBy, contents: Array) -> Array:
    """Each corner's share of a tile's dry matter, (n, c)."""
    if by == "volume":
        return dry_shares_by_volume(blend.parts, contents)
    return shares(blend.parts, [c.per_part for c in blend.corners])


def _dry_parts(blend: Blend, dry_shares: Array) -> Array:
    """Parts that give those shares of dry matter; the parts of the plan themselves where it is blended dry."""
    return np.asarray(dry_shares / np.array([c.per_part for c in blend.corners]))


def _which(
    blend: Blend, order: TileOrder, setup: Setup, found: TileArrays, parts: Array
) -> tuple[list[int], Choice | None]:
    """Rows of the full plan that are made, in pouring order."""
    crazing = found.crazes if setup.body is not None else None
    rows = list(range(len(blend.parts)))
    if blend.plan == "ladder":
        count = order.size[0] if order.size else min(6, len(rows))
        if not 2 <= count <= len(rows):
            raise ProblemsError([error("size", f"a ladder of {count} tiles cannot be made", f"2 to {len(rows)}")])
        rows = rungs(found.expansion, crazing, found.known, count)
    if order.choose is None:
        return rows, None
    most = min(len(rows), MOST_CHOSEN)
    if not 1 <= order.choose <= most:
        raise ProblemsError([error("choose", f"--choose {order.choose} of {len(rows)} tiles", f"choose 1 to {most}")])
    chances = np.full(len(blend.parts), 0.5) if crazing is None else crazing
    before = belief(chances[rows], blend.composition(parts[rows]).mole_fractions)
    best = sorted(choose(before, order.choose))
    choice = Choice(
        full=len(rows),
        chosen=order.choose,
        wrong_before_percent=wrong_percent(before, ()),
        wrong_percent=wrong_percent(before, best),
        wrong_by_chance_percent=wrong_by_chance(before, order.choose),
        wrong_full_percent=wrong_percent(before, range(len(rows))),
    )
    return [rows[i] for i in best], choice


def _each_g(parts: Parts, order: TileOrder, scales: Sequence[Scale]) -> float:
    """Dry glaze for one tile [g]: what was asked, raised until a whole part is a whole step of the scale."""
    total = float(parts.sum(axis=1).max())
    step = min(s.resolution_g for s in scales)
    return math.ceil(order.each_g / total / step - 1e-9) * step * total


def _part(parts: Parts, each_g: float, by: BlendBy, contents: Array) -> float:
    """What one part is: grams of dry glaze, or mL of slurry."""
    part_g = each_g / float(parts.sum(axis=1).max())
    return float(f"{part_g:.12g}") if by == "dry" else float(max(round(part_g / float(contents.mean())), 1))


def _points(
    blend: Blend, rows: Sequence[int], dry_shares: Array, each: float, order: TileOrder, shelf: Pantry,
    setup: Setup, placed: Sequence[Place] | None,
) -> tuple[TilePoint, ...]:  # fmt: skip
    contents, _ = _slurries(blend, order)
    part = _part(blend.parts[list(rows)], each, order.by, contents)
    parts = _dry_parts(blend, dry_shares)
    found = []
    for number, row in enumerate(rows, start=1):
        tell(f"checking tile {number} of {len(rows)}", number - 1, len(rows))
        lines = blend.recipe_lines(parts[row])
        ident = f"{order.series}{number}"
        alone = [c.card.recipe for c, share in zip(blend.corners, dry_shares[row], strict=True) if share > 0]
        recipe = Recipe(
            name=f"{' + '.join(c.name for c in blend.corners)}, tile {ident}"[:200],
            cone=alone[0].cone if len(alone) == 1 else blend.cone,
            lines=tuple(RecipeLine(material=x.material, amount=x.amount, addition=x.addition) for x in lines),
            proven=alone[0].proven if len(alone) == 1 and is_used(alone[0]) else "",
        )  # fmt: skip
        result = check(recipe, shelf, setup)
        found.append(
            TilePoint(
                id=ident,
                number=number,
                row=blend.places[row][0],
                column=blend.places[row][1],
                parts=tuple(int(p) for p in blend.parts[row]),
                measures=tuple(float(f"{p * part:.12g}") for p in blend.parts[row]),
                dry_shares=tuple(float(s) for s in dry_shares[row]),
                recipe=lines,
                check=result,
                marks=marks_of(result, setup.limits),
                beyond=beyond(result, setup.limits),
                place=placed[number - 1] if placed else None,
            )
        )
    return tuple(found)


def _corner_batches(
    blend: Blend, dry_shares: Array, each: float, waste: float, scales: Sequence[Scale], studio: Studio,
    gravities: Sequence[float], shelf: Pantry,
) -> tuple[CornerBatch, ...]:  # fmt: skip
    tolerance = studio.limits.weighing_tolerance_percent
    taken = corner_totals(dry_shares, each, waste)
    solids = [solids_density(c.card).value for c in blend.corners]
    equal = min(float(dry_per_mL(g, s)) for g, s in zip(gravities, solids, strict=True))
    found = []
    for letter, corner, grams, gravity, rho in zip(
        CORNER_LETTERS, blend.corners, taken, gravities, solids, strict=False
    ):
        if grams <= 0:
            continue
        least = smallest_dry_batch(corner.card, scales, tolerance) or 0.0
        batch = max(float(grams), least)
        sheet = weigh(corner.card.recipe, shelf, scales, Wanted(dry_g=batch, gravity=gravity),
                      tolerance_percent=tolerance, currency=studio.limits.currency)  # fmt: skip
        found.append(
            CornerBatch(letter, corner.name, float(grams), batch, sheet, float(dry_per_mL(gravity, rho)),
                        float(slurry_density(equal, rho)))
        )  # fmt: skip
    return tuple(found)


def _volume_cost(blend: Blend, rows: Sequence[int], dry_shares: Array, setup: Setup) -> VolumeCost:
    """What taking volumes for weights costs, over the tiles that are made."""
    meant = shares(blend.parts, [c.per_part for c in blend.corners])[list(rows)]
    really = dry_shares[list(rows)]
    first, second = (tile_arrays(blend, _dry_parts(blend, each), setup).expansion for each in (meant, really))
    return VolumeCost(100 * float(np.abs(meant - really).max()), float(np.abs(first - second).max()))


def _cautions(blend: Blend, points: Sequence[TilePoint]) -> tuple[str, ...]:
    """The cautions of the whole plan, once: every material mixed, and of each oxide the worst of any tile."""
    formulas = [p.check.formula for p in points if p.check.formula is not None]
    return cautions_of_plan([corner.card.batch for corner in blend.corners], formulas)


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
