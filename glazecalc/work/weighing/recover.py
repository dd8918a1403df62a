"""A line was overshot, doubled or left out: the least extra of everything that mends the batch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from glazecalc.chemistry.weights import least_extra, weigh_out
from glazecalc.values.inputs import Scale
from glazecalc.values.problem import ProblemsError, did_you_mean, error
from glazecalc.values.weighing import Mending, MendLine, WeighLine
from glazecalc.work.pantry import fold


def mend(lines: Sequence[WeighLine], slipped: Mapping[str, float], scales: Sequence[Scale]) -> Mending:
    """How to bring back a batch whose ``slipped`` lines (name -> grams really in the pot) are off.

    Every other line is taken to be in at its target. The new batch is the smallest in which no line is over,
    so at least one line needs nothing. Extras are exact; what the scale shows for them is beside.

    Raises
    ------
    ProblemsError
        for a name that is not a line of the batch.
    """
    in_pot = list(_in_pot(lines, slipped))
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
    if problems:
        raise ProblemsError(problems)
    return in_pot
