"""What `weigh` found: lines on the scale, water, mending, a shopping list; and what `first` proposes to weigh."""

from __future__ import annotations

from dataclasses import dataclass

from glazecalc.values.answers import Answer, Estimate, Problem
from glazecalc.values.inputs import Recipe
from glazecalc.values.results.check import CheckResult


@dataclass(frozen=True, slots=True)
class WeighLine:
    """One line of a batch on the scale.

    ``target_g`` is what to weigh (damp where the material is), ``dry_g`` its dry part, ``scale_g`` what the scale shows
    at its best. ``error_percent`` is the rounding of this line; ``reading_percent`` what the last digit hides.
    ``order`` counts from 1 in the order of weighing and ``running_total_g`` is what is in the pot after it. ``goes`` is
    how often the scale must be filled. ``percent`` is of the base total, for base and additions alike.
    """

    material: str
    written: str
    addition: bool
    percent: float
    dry_g: float
    target_g: float
    scale_g: float
    error_percent: float
    reading_percent: float
    within_tolerance: bool
    below_minimum: bool
    scale: str
    resolution_g: float
    goes: int
    order: int
    running_total_g: float
    moisture_percent: float = 0.0
    hazards: tuple[str, ...] = ()
    cost: float | None = None
    card_line: int | None = None
    known: bool = True


@dataclass(frozen=True, slots=True)
class PreBlend:
    """A line too small to weigh, blended dry with part of a larger one.

    Blend ``blend_g`` of the small material with ``carrier_blend_g`` of ``carrier``, take ``take_g`` of that, and weigh
    ``carrier_less_g`` less of the carrier [g]. ``error_percent`` is the furthest the small line can be off.
    """

    material: str
    carrier: str
    blend_g: float
    carrier_blend_g: float
    take_g: float
    carrier_less_g: float
    error_percent: float


@dataclass(frozen=True, slots=True)
class Stock:
    """A line too small to weigh, drawn from a stock stirred up in water: ``stock_g`` made up to ``stock_mL``, of which
    ``take_mL`` go into the batch and bring ``water_g`` of its water. ``error_percent`` as for :class:`PreBlend`."""

    material: str
    stock_g: float
    stock_mL: float
    take_mL: float
    water_g: float
    error_percent: float


@dataclass(frozen=True, slots=True)
class SmallLine:
    """The ways to bring in a line that the scale cannot weigh well; either may be missing."""

    material: str
    target_g: float
    alone_percent: float
    pre_blend: PreBlend | None
    stock: Stock | None


@dataclass(frozen=True, slots=True)
class Water:
    """The slurry of a batch: ``water_g`` in all, of which ``water_to_add_g`` is not yet in damp materials [g]."""

    specific_gravity: float
    solids_density: Estimate
    water_g: float
    water_to_add_g: float
    slurry_mL: float
    dry_g_per_L: float


@dataclass(frozen=True, slots=True)
class Effect:
    """What the scale does to one figure: by the recipe, as weighed, and the 90 % interval of its readings."""

    name: str
    recipe: float
    weighed: float
    low: float
    high: float
    unit: str


@dataclass(frozen=True, slots=True)
class MendLine:
    """One line of a mended batch [g]: in the pot, still to go in, what the scale shows for that, and the new total."""

    material: str
    addition: bool
    in_pot_g: float
    extra_g: float
    extra_scale_g: float
    new_total_g: float


@dataclass(frozen=True, slots=True)
class Mending:
    """How to bring back a batch in which lines were overshot, doubled or left out."""

    lines: tuple[MendLine, ...]
    factor: float
    extra_g: float
    dry_g: float


@dataclass(frozen=True, slots=True)
class WeighResult:
    """Everything `weigh` has to say of one recipe. Masses [g], volumes [mL]; ``cost`` in the studio's currency."""

    recipe: Recipe
    wanted: str
    lines: tuple[WeighLine, ...]
    dry_g: float
    base_g: float
    additions_g: float
    scale_total_g: float
    water: Water
    tolerance_percent: float
    smallest_batch_g: float | None
    splits: tuple[SmallLine, ...]
    effects: tuple[Effect, ...]
    reasons: tuple[str, ...] = ()
    mending: Mending | None = None
    cautions: tuple[str, ...] = ()
    poisons: tuple[str, ...] = ()
    cost: float | None = None
    cost_is_complete: bool = False
    currency: str = ""
    problems: tuple[Problem, ...] = ()

    def in_weighing_order(self) -> tuple[WeighLine, ...]:
        """The lines as they go on the scale."""
        return tuple(sorted(self.lines, key=lambda line: line.order))


@dataclass(frozen=True, slots=True)
class BucketAddition:
    """An oxide added to a bucket by percent of its dry content."""

    material: str
    percent: float
    line: WeighLine


@dataclass(frozen=True, slots=True)
class BucketResult:
    """What is in a bucket, and what to weigh for it: ``slurry_g``, ``slurry_mL``, ``dry_g``, ``water_g``.

    ``water_for_same_gravity_g`` keeps the slurry's specific gravity once the additions are in. ``held`` is what
    harms in the glaze and in what is added to it.
    """

    recipe: Recipe
    specific_gravity: float
    specific_gravity_error: float | None
    solids_density: Estimate
    slurry_mL: float
    slurry_g: float
    dry_g: float
    dry_error_percent: float | None
    water_g: float
    water_for_same_gravity_g: float
    additions: tuple[BucketAddition, ...]
    wanted_gravity: float | None = None
    water_to_wanted_g: float | None = None
    reasons: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    held: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShoppingLine:
    """One material over several batches [g]: needed, on the shelf, to buy; ``cost`` of what is to buy, None
    where no price is known."""

    material: str
    needed_g: float
    in_stock_g: float
    to_buy_g: float
    cost: float | None


@dataclass(frozen=True, slots=True)
class ShoppingList:
    """What several batches need, less what is on the shelf."""

    lines: tuple[ShoppingLine, ...]
    cost: float
    cost_is_complete: bool
    currency: str
    stock_was_read: bool
    cautions: tuple[str, ...] = ()


# A glaze to begin with: which of the project's own bases suits this clay, cone, kiln and shelf.


@dataclass(frozen=True, slots=True)
class FirstTile:
    """One of the first tiles: its dry coat [mm], the dry glaze it takes [g], where it stands, and what it tells."""

    number: int
    coat_mm: float
    dry_g: float
    place: str
    tells: str


@dataclass(frozen=True, slots=True)
class Candidate:
    """One of the bases as it was judged.

    ``sound`` is the chance that it neither crazes nor shivers, or None where it is not known; ``missing`` are its
    materials that are not on the shelf.
    """

    recipe: Recipe
    check: CheckResult
    sound: float | None
    missing: tuple[str, ...]
    looks: str

    @property
    def answer(self) -> Answer:
        """The answer of `check`."""
        return self.check.answer


@dataclass(frozen=True, slots=True)
class FirstGlaze:
    """The proposal. ``chosen`` is None where none of the bases suits; ``others`` are the rest, the best first.

    ``batch`` is 100 g of it on the studio's scale, ``tiles`` what to glaze with them.
    """

    answer: Answer
    sentence: str
    cone: str
    chosen: Candidate | None
    others: tuple[Candidate, ...]
    batch: WeighResult | None
    tiles: tuple[FirstTile, ...]
    cautions: tuple[str, ...]
    next_steps: tuple[str, ...]
    problems: tuple[Problem, ...] = ()
