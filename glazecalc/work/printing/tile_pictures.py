"""What the pictures of test tiles show: the blend on the table, the tiles on the shelf, what tiles taught of a clay."""

from __future__ import annotations

from collections.abc import Sequence

from glazecalc.models.body import REFERENCE_DEGC
from glazecalc.models.layer import rise
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Estimate
from glazecalc.values.inputs import Body, Kiln, Limits, Piece
from glazecalc.values.pictures import (
    BlendCell,
    BlendPicture,
    Leaning,
    LearnedPicture,
    PlacedPiece,
    ShelfPicture,
    TileMark,
)
from glazecalc.values.records import TileRecord, TileResult
from glazecalc.values.report import CheckResult
from glazecalc.values.tiles import TilePoint, TilesResult
from glazecalc.work.fit import GLAZE_TO_DEGC
from glazecalc.work.kilns.stacking import WALL_GAP_MM
from glazecalc.work.learning.evidence import evidence
from glazecalc.work.learning.learn import TileEvidence, grid_estimate
from glazecalc.work.learning.tiled import Taught, taught

_KINDS = {"triaxial": "triangle", "square": "square", "grid": "square"}
_MOST_COLUMNS = 6
_OUTCOMES = {
    TileResult.SOUND: Leaning.SOUND, TileResult.CRAZED_AT_ONCE: Leaning.CRAZES, TileResult.CRAZED_LATER: Leaning.CRAZES,
    TileResult.CRAZED: Leaning.CRAZES,
    TileResult.SHIVERED: Leaning.SHIVERS,
}  # fmt: skip


def blend_picture(plan: TilesResult, limits: Limits) -> BlendPicture:
    """The plan as it lies on the table; a long line is folded into rows."""
    kind = _KINDS.get(plan.plan, "line")
    fold = kind == "line" and len(plan.points) > _MOST_COLUMNS
    cells = []
    for i, point in enumerate(plan.points):
        row, column = divmod(i, _MOST_COLUMNS) if fold else (point.row, point.column)
        leaning, words = _expected(point, limits)
        cells.append(BlendCell(point.id, column, row, tuple(float(p) for p in point.parts), leaning, words))
    return BlendPicture(kind, plan.corner_names, tuple(cells))


def _expected(point: TilePoint, limits: Limits) -> tuple[Leaning, str]:
    if any(mark.startswith(("DANGER", "outside")) for mark in point.marks):
        return Leaning.OUT, "see its marks"
    crazing, shivering = (_chance(point.check, name) for name in ("crazing_probability", "shivering_probability"))
    if crazing is None or shivering is None:
        return Leaning.NONE, ""
    sound = 1 - crazing - shivering
    if 100 * crazing > limits.against_percent:
        return Leaning.CRAZES, f"crazes {100 * crazing:.0f} %"
    if 100 * shivering > limits.against_percent:
        return Leaning.SHIVERS, f"shivers {100 * shivering:.0f} %"
    leaning = Leaning.SOUND if 100 * sound >= limits.sound_percent else Leaning.DOUBTFUL
    return leaning, f"sound {100 * max(sound, 0.0):.0f} %"


def _chance(result: CheckResult, name: str) -> float | None:
    found = result.estimate(name)
    return None if found is None else found.value


def tile_shelf_picture(plan: TilesResult, kiln: Kiln | None, tile: Piece | None) -> ShelfPicture | None:
    """The first shelf of the first firing with its tiles; None where no places were worked out."""
    if kiln is None or kiln.interior is None or tile is None:
        return None
    here = [(p.id, p.place) for p in plan.points if p.place is not None and (p.place.firing, p.place.shelf) == (1, 1)]
    if not here:
        return None
    depth = tile.depth_mm or tile.width_mm
    placed = tuple(
        PlacedPiece(id_, "square", place.x_mm, place.y_mm, tile.width_mm, depth)
        for id_, place in here
        if place is not None
    )
    words = f"First firing, first shelf, the front at the bottom. {plan.tiles_per_firing} tiles in a firing"
    more = f", {plan.firings} firings in all." if plan.firings and plan.firings > 1 else "; one firing takes them all."
    return ShelfPicture(kiln.name, kiln.interior, WALL_GAP_MM, placed, words + more)


def learned_picture(
    body: Body | None, tiles: Sequence[TileRecord], cone: Cone | None, reasoned: Estimate | None = None
) -> LearnedPicture | None:
    """What the recorded tiles say of this clay; None where none of them says anything.

    ``reasoned`` is what the clay's own recipe suggests of its expansion, as the check takes it.
    """
    if body is None:
        return None
    used, _ = evidence(tiles, body.name, cone)
    if not used:
        return None
    return picture_of_lesson(body.name, taught(body, used, cone, reasoned), used, tiles)


def picture_of_lesson(
    body: str, clay: Taught, used: Sequence[TileEvidence], tiles: Sequence[TileRecord]
) -> LearnedPicture:
    """The curves and marks; glazes are carried from their own range to the clay's so that both share an axis."""
    factor = float(rise(REFERENCE_DEGC)) / float(rise(GLAZE_TO_DEGC))
    names = {t.id: t.glaze or (t.recipe.name if t.recipe else "") for t in tiles}
    marks = tuple(
        TileMark(
            t.id, names.get(t.id, ""), t.glaze.value * factor, t.result.value, _OUTCOMES.get(t.result, Leaning.NONE)
        )
        for t in used
    )
    ground, known = clay.ground, clay.ground.clay
    step = float(ground.thetas[1] - ground.thetas[0])
    return LearnedPicture(
        body=body, expansion=tuple(ground.thetas.tolist()), prior_density=tuple((ground.prior / step).tolist()),
        posterior_density=tuple((clay.posterior.sum(axis=0) / step).tolist()),
        prior=grid_estimate(ground, ground.prior, known.basis, known.sources, known.caveats), posterior=clay.estimate,
        tiles=marks,
    )  # fmt: skip
