"""Many tiles from one pot: add a little, stir, dip a tile, add a little more."""

from __future__ import annotations

import math
from collections.abc import Sequence

from glazecalc.chemistry.blends import pot_additions
from glazecalc.chemistry.weights import Weighed, weigh_out
from glazecalc.values.inputs import Scale
from glazecalc.values.tiles import Pot, PotStep, TilePoint
from glazecalc.work.tiling.blending import Blend
from glazecalc.work.tiling.small_measures import TILE_TOLERANCE_PERCENT, too_small


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
    return f"make the tiles apart, use a finer scale, or start with {larger} g of {base} and add as many times more"


def _on_scale(weighed: Weighed | None) -> tuple[float, bool]:
    return (0.0, False) if weighed is None else (weighed.shown_g, too_small(weighed))
