"""What a change of recipe looks like: before and after, what it costs in character, how to prove it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from glazecalc.values.answers import Answer
from glazecalc.values.inputs import Recipe
from glazecalc.values.results.check import Amounts, CheckResult


class Kind(StrEnum):
    """How deep a change goes, simplest first."""

    ONE_MATERIAL = "one_material"
    SWAP = "swap"
    RESOLVE = "resolve"


@dataclass(frozen=True, slots=True)
class Change:
    """One line of the recipe before and after [the card's parts, base total kept]; ``after`` 0 is a line gone."""

    material: str
    before: float
    after: float
    addition: bool = False


@dataclass(frozen=True, slots=True)
class OxideShift:
    """One oxide of the unity formula before and after [mol per flux sum].

    ``notices`` is the shift counted in steps that a potter would notice (see ``materials/oxide_character.csv``).
    """

    oxide: str
    before: float
    after: float
    notices: float


@dataclass(frozen=True, slots=True)
class Character:
    """What a change costs in character.

    ``distance`` counts noticeable steps, all oxides together (root of the sum of squares). ``sentences`` say what
    the oxides that moved do to surface and colour.
    """

    distance: float
    words: str
    shifts: tuple[OxideShift, ...]
    sentences: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ProofTile:
    """One tile of a line blend: ``parts`` of the old and the new batch, and its chances [fraction] where known."""

    id: str
    old_parts: int
    new_parts: int
    sound_probability: float | None
    matures_probability: float | None


@dataclass(frozen=True, slots=True)
class Proof:
    """A line blend of 3 to 5 tiles from the old recipe to the new, to be fired before a bucket is changed."""

    tiles: tuple[ProofTile, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class HandStep:
    """One step of the hand method: which material brings which oxide, and what else it brings.

    ``equivalents`` is the moles of the leading oxide taken from it, ``brings`` moles of each oxide,
    ``weight`` its parts by weight for the unity formula [g per mole of flux].
    """

    material: str
    oxide: str
    equivalents: float
    brings: Amounts
    weight: float


@dataclass(frozen=True, slots=True)
class Option:
    """One way to change the recipe.

    ``to_bucket`` says what to stir into a batch already mixed, where that is possible. ``came_along`` and
    ``not_matched`` list oxides of a swap (unity terms) that had no part in the old formula or are off by more than
    the tolerance. ``steps`` are those of the hand method where it applies. ``besides`` names what
    came in to a swap from the shelf though it was not asked for.
    """

    kind: Kind
    sentence: str
    changes: tuple[Change, ...]
    recipe: Recipe
    after: CheckResult
    character: Character
    meets_goals: bool
    exact: bool | None = None
    to_bucket: str = ""
    proof: Proof | None = None
    notes: tuple[str, ...] = ()
    came_along: tuple[OxideShift, ...] = ()
    not_matched: tuple[OxideShift, ...] = ()
    steps: tuple[HandStep, ...] = ()
    clay_percent: float | None = None
    objective: float | None = None
    besides: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Goals:
    """What the change is asked to do. Probabilities are fractions; ``fit`` is False without a clay to fit."""

    sound: float
    matures: float
    fit: bool
    melt: bool
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AdjustResult:
    """The ladder of changes, simplest first; ``infeasible_because`` is filled when it is empty.

    ``nearest`` is the best that could be had when nothing meets the goals; ``would_help`` names single materials not
    on the shelf that would.
    """

    recipe: Recipe
    goals: Goals
    before: CheckResult
    options: tuple[Option, ...]
    answer: Answer
    sentence: str
    infeasible_because: str = ""
    binding: tuple[str, ...] = ()
    would_help: tuple[str, ...] = ()
    nearest: Option | None = None
    shelf: tuple[str, ...] = ()
    clay_percent: float | None = None
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SwapResult:
    """A material replaced and the formula kept."""

    recipe: Recipe
    old: str
    new: tuple[str, ...]
    before: CheckResult
    options: tuple[Option, ...]
    sentence: str
    clay_percent: float | None = None
    infeasible_because: str = ""
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BatchResult:
    """A formula from a book made into recipes from the shelf."""

    target: Recipe
    target_unity: Amounts
    options: tuple[Option, ...]
    sentence: str
    tolerance: float
    infeasible_because: str = ""
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Relative:
    """Another recipe of the studio and how far its formula is, in noticeable steps."""

    name: str
    file: str | None
    distance: float
    words: str


@dataclass(frozen=True, slots=True)
class Compared:
    """One recipe among those compared: its check, its distance from the first, its relatives in the studio."""

    check: CheckResult
    character: Character | None
    relatives: tuple[Relative, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Recipes side by side; ``differences`` are the ones that matter, in words, ``told_apart`` those without what each
    oxide does, ``cautions`` what harms in any of the glazes."""

    entries: tuple[Compared, ...]
    materials: tuple[tuple[str, tuple[float | None, ...]], ...]
    oxides: tuple[tuple[str, tuple[float | None, ...]], ...]
    differences: tuple[str, ...]
    told_apart: tuple[str, ...]
    cautions: tuple[str, ...] = ()
