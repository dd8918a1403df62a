"""How much glaze is wanted: a dry weight, a volume of slurry, a number of pieces, or a pot to dip in."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from glazecalc.chemistry.batches import (
    coat_grams,
    density_from_cup,
    dip_volume_mL,
    dry_per_mL,
    fired_thickness_mm,
    least_extra,
    volume_mL,
    weigh_out,
)
from glazecalc.jobs.cautions import DRY_POWDER
from glazecalc.jobs.materials import Pantry, material_warnings
from glazecalc.values.answers import ProblemsError, did_you_mean, error, stop_at_errors
from glazecalc.values.data import TableFigure, figures
from glazecalc.values.inputs import Container, Material, Piece, Scale, Studio
from glazecalc.values.names import fold
from glazecalc.values.results.weigh import Mending, MendLine, ShoppingLine, ShoppingList, WeighLine, WeighResult
from glazecalc.values.texts import phrase

Use = Literal["dip", "spray", "brush", "cast"]
USES: Final[tuple[Use, ...]] = ("dip", "spray", "brush", "cast")


def slurry_figure(name: str) -> TableFigure:
    """A row of ``materials/slurry.csv``. Raises KeyError for an unknown name."""
    return figures("slurry")[name]


@dataclass(frozen=True, slots=True)
class Cup:
    """A cup of slurry on the scale: weights [g] empty and full, and its volume [mL]."""

    empty_g: float
    full_g: float
    volume_mL: float


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a potter asks for; exactly one of ``dry_g``, ``base_g`` and ``slurry_mL``, or pieces, or a pot.

    ``pieces`` are pairs of a piece and how many; ``dipped`` is the piece the pot must cover. ``gravity`` is
    None where the customary one for ``use`` is meant; ``coat_mm`` is the thickness of the dry coat.
    """

    dry_g: float | None = None
    base_g: float | None = None
    slurry_mL: float | None = None
    pieces: tuple[tuple[Piece, int], ...] = ()
    pot: Container | None = None
    dipped: Piece | None = None
    gravity: float | None = None
    cup: Cup | None = None
    use: Use = "dip"
    coat_mm: float | None = None


LEAST_DRY_G: Final = 0.1
"""Nobody mixes less [g]: the least that the journal takes, too."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """What was worked out: dry matter [g], specific gravity, and how it came about in words."""

    dry_g: float
    gravity: float
    words: str
    reasons: tuple[str, ...]


def gravity_of(wanted: Wanted) -> tuple[float, str]:
    """The specific gravity that is meant, and where it comes from."""
    if wanted.gravity is not None and wanted.cup is not None:
        raise ProblemsError([error("usage", "both a specific gravity and a cup are given", "give one of them")])
    if wanted.cup is not None:
        cup = wanted.cup
        gravity = density_from_cup(cup.empty_g, cup.full_g, cup.volume_mL)
        return gravity, f"specific gravity {gravity:.3f} from the cup"
    if wanted.gravity is not None:
        return wanted.gravity, f"specific gravity {wanted.gravity:g} as given"
    figure = slurry_figure(f"gravity_{wanted.use}")
    words = {"dip": "dipping", "spray": "spraying", "brush": "brushing", "cast": "a casting slip"}[wanted.use]
    return figure.value, f"specific gravity {figure.value:g}, usual for {words} ({figure.low:g} to {figure.high:g})"


def how_much(wanted: Wanted, solids_density: float, base_share: float, loss_percent: float) -> Quantity:
    """The dry matter wanted [g].

    ``base_share`` is the base's share of the dry total, ``loss_percent`` the loss on ignition.

    Raises ProblemsError if nothing or too much is asked for, or the slurry could not exist.
    """
    asked = [wanted.dry_g, wanted.base_g, wanted.slurry_mL, wanted.pot or wanted.pieces or None]
    if sum(a is not None for a in asked) != 1:
        hint = "give one of --dry, --base, --slurry, --pieces or --fill (--pieces and --fill go together)"
        raise ProblemsError([error("how-much", "it is not clear how much is wanted", hint)])
    gravity, why = gravity_of(wanted)
    check_gravity(gravity, solids_density)
    per_mL, more = float(dry_per_mL(gravity, solids_density)), brushing() if wanted.use == "brush" else ()
    if wanted.dry_g is not None and wanted.dry_g < LEAST_DRY_G:
        what = phrase("{:g g} of glaze is too little to be weighed", wanted.dry_g)
        hint = phrase("check the figure and its unit|: --dry {100 g}|")
        raise ProblemsError([error("number-too-small", what, hint)])
    if wanted.dry_g is not None:
        return Quantity(wanted.dry_g, gravity, "dry", (why, *more))
    if wanted.base_g is not None:
        on_top = phrase("the base alone is {:g g}; additions come on top", wanted.base_g)
        return Quantity(wanted.base_g / base_share, gravity, "base", (on_top, why, *more))
    if wanted.slurry_mL is not None:
        return Quantity(wanted.slurry_mL * per_mL, gravity, "slurry", (why, *more))
    coats, reasons = _coats(wanted, solids_density, loss_percent) if wanted.pieces else (0.0, ())
    if wanted.pot is None:
        waste = slurry_figure("waste").value
        for_waste = f"{waste:g} % more for what stays on the pot, the sieve and the brush"
        return Quantity(coats * (1 + waste / 100), gravity, "pieces", (why, *reasons, for_waste, *more))
    tallest = max((piece for piece, _ in wanted.pieces), key=lambda piece: piece.height_mm, default=None)
    volume, dipping = _pot_volume(wanted.pot, wanted.dipped or tallest)
    if coats:
        taken = "the coats take {:.0f g} dry, or {:.0f mL}, so that the last piece is still covered"
        dipping = (*dipping, phrase(taken, coats, float(volume_mL(coats, gravity, solids_density))))
    return Quantity(volume * per_mL + coats, gravity, "pot", (why, *reasons, *dipping, *more))


def check_gravity(gravity: float, solids_density: float) -> None:
    """Raise ProblemsError if no slurry of these solids can have that specific gravity."""
    if not 1.0 < gravity < solids_density:
        message = (
            f"a slurry of these solids (density {solids_density:.2f}) cannot have a specific gravity of {gravity:g}"
        )
        raise ProblemsError([error("gravity", message, "a glaze for dipping is near 1.55; water is 1")])


def brushing() -> tuple[str, ...]:
    """How a glaze is made ready for the brush and put on: gum, coats, drying."""
    gum, coats = slurry_figure("gum_brush"), slurry_figure("coats_brush")
    thin = slurry_figure("gravity_brush_gum")
    return (
        f"for brushing add CMC gum, {gum.low:g} to {gum.high:g} % of the dry weight, unless the recipe has it: "
        "soak it in part of the water overnight, then stir it in",
        f"with gum the slurry may be thinner, specific gravity {thin.low:g} to {thin.high:g}; gum keeps it from drying "
        "under the brush, and it spoils: mix what is used in some weeks",
        f"brush {coats.low:g} to {coats.high:g} coats, each across the last and when the last has lost its shine; "
        "let the piece dry through, best overnight, before it is fired",
    )


def _coats(wanted: Wanted, solids_density: float, loss_percent: float) -> tuple[float, tuple[str, ...]]:
    """Dry glaze on all pieces [g], and how it came about."""
    packing, reasons, total = slurry_figure("coat_packing"), [], 0.0
    coat_mm = slurry_figure("dry_coat").value if wanted.coat_mm is None else wanted.coat_mm
    for piece, count in wanted.pieces:
        area, measured = glazed_area_cm2(piece)
        grams = coat_on(piece, solids_density, coat_mm)
        total += count * grams
        how = "as measured" if measured else "worked out from its size"
        reasons.append(phrase("{} x {}: {:.0f cm2} each ({}), {:.0f g} dry each", count, piece.name, area, how, grams))
    fired = fired_thickness_mm(coat_grams(1, coat_mm, packing.value, solids_density), loss_percent,
                               slurry_figure("glass_density").value)  # fmt: skip
    reasons.append(phrase(
        "a dry coat of {:g mm}, {:.0f} % of it solid ({:.0f} to {:.0f} %), melts down to about {:.1f mm}",
        coat_mm, 100 * packing.value, 100 * packing.low, 100 * packing.high, fired,
    ))  # fmt: skip
    return total, tuple(reasons)


def coat_on(piece: Piece, solids_density: float, coat_mm: float | None = None) -> float:
    """Dry glaze that one piece takes with it [g], in a coat of ``coat_mm`` [mm] or, where that is None, a usual one."""
    thickness = slurry_figure("dry_coat").value if coat_mm is None else coat_mm
    return coat_grams(glazed_area_cm2(piece)[0], thickness, slurry_figure("coat_packing").value, solids_density)


def glazed_area_cm2(piece: Piece) -> tuple[float, bool]:
    """Glaze area of a piece [cm2], and whether it was measured; a round piece is a cylinder in and out, a
    flat one (with a depth) is its two faces."""
    if piece.glazed_area_cm2 is not None:
        return piece.glazed_area_cm2, True
    width, height = piece.width_mm / 10, piece.height_mm / 10
    if piece.depth_mm is not None:
        return 2 * width * height, False
    return 2 * math.pi * width * height + math.pi / 4 * width**2, False


def _pot_volume(pot: Container, piece: Piece | None) -> tuple[float, tuple[str, ...]]:
    """Slurry a dip pot needs [mL], and how it came about. Raises ProblemsError if the piece does not go into it."""
    if piece is None:
        fill = slurry_figure("pot_fill").value
        return dip_volume_mL(pot.width_mm, pot.height_mm * fill / 100, 0.0), (
            f"{pot.name} filled to {fill:g} % of its height",
        )
    level = piece.height_mm + slurry_figure("pot_clearance").value
    wide = piece.width_mm + piece.handle_mm
    if level > pot.height_mm or wide > pot.width_mm:
        larger = "{} ({:g mm} wide, {:g mm} high) does not go under in {}"
        message = phrase(larger, piece.name, wide, piece.height_mm, pot.name)
        raise ProblemsError([error("pot-too-small", message, "pour the glaze over it, or take a larger pot")])
    displaced = (piece.mass_g or 0.0) / slurry_figure("clay_density").value
    under = "{} stands at {:.0f mm} with one {} under, which takes {:.0f mL} itself"
    stands = phrase(under, pot.name, level, piece.name, displaced)
    no_mass = f"{piece.name} has no mass in studio.toml, so this leaves in what it displaces: a little too much"
    reasons = (stands,) if piece.mass_g is not None else (stands, no_mass)
    return dip_volume_mL(pot.width_mm, level, displaced), reasons


# A line was overshot, doubled or left out: the least extra of everything that mends the batch.


def mend(lines: Sequence[WeighLine], slipped: Mapping[str, float], scales: Sequence[Scale]) -> Mending:
    """How to bring back a batch whose ``slipped`` lines (name -> grams really in the pot) are off.

    Every other line is taken to be in at its target. The new batch is the smallest in which no line is over,
    so at least one line needs nothing. Extras are exact; what the scale shows for them is beside.

    Raises ProblemsError for a name that is not a line of the batch.
    """
    in_pot = _in_pot(lines, slipped)
    targets = [line.target_g for line in lines]
    extras = least_extra(targets, in_pot)
    weighed = iter(weigh_out([e for e in extras if e > 0], scales))
    mended = tuple(
        MendLine(line.material, line.addition, got, extra, next(weighed).shown_g if extra > 0 else 0.0, got + extra)
        for line, got, extra in zip(lines, in_pot, extras, strict=True)
    )
    factor = sum(line.new_total_g for line in mended) / sum(targets)
    return Mending(mended, factor, sum(extras), factor * sum(line.dry_g for line in lines))


def _in_pot(lines: Sequence[WeighLine], slipped: Mapping[str, float]) -> list[float]:
    in_pot = [line.target_g for line in lines]
    problems = []
    for name, grams in slipped.items():
        rows = [i for i, line in enumerate(lines) if fold(name) in (fold(line.material), fold(line.written))]
        if len(rows) == 1:
            in_pot[rows[0]] = grams
        elif rows:
            message = f"{name!r} stands on {len(rows)} lines of this card"
            problems.append(error("recover", message, "write the card with one line for it"))
        else:
            hint = did_you_mean(name, [line.written for line in lines])
            problems.append(error("recover", f"no line of this batch is {name!r}", hint or "name a line of the card"))
    stop_at_errors(problems)
    return in_pot


# What to buy for several batches: what they need together, less what is on the shelf.


def shopping_list(batches: Sequence[WeighResult], studio: Studio, shelf: Pantry) -> ShoppingList:
    """The materials of all batches by name, the most to buy first. Stock names may be aliases."""
    needed: dict[str, float] = {}
    for line in (line for batch in batches for line in batch.lines):
        needed[line.material] = needed.get(line.material, 0.0) + line.target_g
    stock: dict[str, float] = {}
    for name, grams in studio.stock:
        material = shelf.find(name)
        key = fold(material.name if material else name)
        stock[key] = stock.get(key, 0.0) + grams
    lines = [_line(name, grams, stock.get(fold(name), 0.0), shelf.find(name)) for name, grams in needed.items()]
    lines.sort(key=lambda line: (-line.to_buy_g, line.material))
    warnings = [w for name in needed if (m := shelf.find(name)) is not None for w in material_warnings(m)]
    return ShoppingList(
        lines=tuple(lines), cost=sum(line.cost or 0.0 for line in lines),
        cost_is_complete=all(line.cost is not None for line in lines if line.to_buy_g > 0),
        currency=studio.limits.currency, stock_was_read=bool(studio.stock),
        cautions=tuple(dict.fromkeys((*warnings, DRY_POWDER))),
    )  # fmt: skip


def _line(name: str, needed_g: float, have_g: float, material: Material | None) -> ShoppingLine:
    buy = max(needed_g - have_g, 0.0)
    price = material.price_per_kg if material else None
    cost = 0.0 if buy == 0 else None if price is None else buy / 1000 * price
    return ShoppingLine(name, needed_g, have_g, buy, cost)
