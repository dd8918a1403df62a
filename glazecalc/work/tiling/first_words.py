"""What is said of a plan before anything else: an outlet not to be used, a kiln too cool, a scale too coarse."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from glazecalc.chemistry.weights import weigh_out
from glazecalc.judge.rated import RULE
from glazecalc.values.inputs import Scale
from glazecalc.values.tiles import CornerBatch, Pot, TilePoint
from glazecalc.values.verdict import Answer
from glazecalc.values.weighing import WeighResult
from glazecalc.work.kilns.supply import circuit_result
from glazecalc.work.pantry import Pantry
from glazecalc.work.setting import Setting
from glazecalc.work.tiling.blending import Blend
from glazecalc.work.tiling.small_measures import too_small
from glazecalc.work.weighing.amount import Wanted
from glazecalc.work.weighing.weigh import smallest_dry_batch, weigh

MOST_OVER: Final = 2.0
"""A corner of which this many times what its tiles take must be mixed is too small for the scale (judgement)."""
FINER_STEPS_G: Final = (0.1, 0.01, 0.001)
"""Steps of the scales that are sold for small weights [g] (common practice)."""
MAINS: Final = (
    "Have mains work done by a licensed electrician; the local code and the maker's manual decide what feeds a kiln."
)


def kiln_words(setting: Setting, points: Sequence[TilePoint]) -> tuple[str, ...]:
    """A firing that must not be, or cannot come to the cone; ``points`` are all fired alike."""
    kiln, circuit = setting.kiln, setting.circuit
    if kiln is None:
        return ()
    if circuit is not None and (found := circuit_result(kiln, circuit)).answer is Answer.DOES_NOT_FIT:
        return (f"Do not fire in {kiln.name} at {circuit.name}: {found.reasons[0].message}. {MAINS}",)
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
    ways = [] if finer is None else [f"use a scale that shows {finer:g} g"]
    ways += [way for c in coarse if (way := _in_small(blend, c, shelf, scales, tolerance_percent))]
    ways += ["take the ways out beside the small additions"] if small else []
    if not coarse:
        return (f"Some additions are too small for this scale, which shows {step:g} g: {', or '.join(ways)}.",)
    ways += ["mix what is said below and keep what is left"]
    told = ", or ".join(ways)
    words = "; ".join(f"{c.name} takes {c.taken_g:.0f} g, and {_least(c)}" for c in coarse)
    return (
        f"This scale, which shows {step:g} g, is too coarse for so small a plan: {words}. "
        f"{told[:1].upper()}{told[1:]}.",
    )


def _too_much(corner: CornerBatch) -> bool:
    return corner.sheet.smallest_batch_g is None or corner.batch_g > MOST_OVER * corner.taken_g


def _added(blend: Blend, points: Sequence[TilePoint], pots: Sequence[Pot]) -> list[float]:
    """Everything that is added to one tile or stirred into a pot [g]."""
    apart = [g for p in points for g in p.measures[1:] if g > 0] if blend.over_base else []
    return [*apart, *(step.add_g for pot in pots for step in pot.steps if step.add_g > 0)]


def _least(corner: CornerBatch) -> str:
    least = corner.sheet.smallest_batch_g
    return "no batch can be weighed well" if least is None else f"no less than {least:.0f} g can be weighed well"


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
    return f"bring in the small lines of {corner.name} by a dry blend or a stock (glazecalc weigh shows how)"


def _all_served(sheet: WeighResult) -> bool:
    served = {s.material for s in sheet.splits if s.pre_blend is not None or s.stock is not None}
    return all(line.within_tolerance or line.material in served for line in sheet.lines)
