"""An `adjust` answer as a person reads it, and a batch made to a formula."""

from __future__ import annotations

from glazecalc.show.change_text import option_text
from glazecalc.show.layout import heading, labelled, paragraph, table
from glazecalc.show.numbers import rounded
from glazecalc.values.adjusting import AdjustResult, BatchResult, HandStep, Option
from glazecalc.values.inputs import UnitChoice

NO_PROMISE = (
    "These are chances, not promises: a clean tile is no proof of fit until it has been shocked hot and cold, and "
    "nothing here says that ware is fit for food."
)


def adjust_text(result: AdjustResult, units: UnitChoice) -> str:
    """A whole `adjust` answer at 80 columns."""
    parts = [paragraph(result.sentence), "", labelled("asked for", "; ".join(result.goals.words), 16, 0)]
    if result.shelf:
        parts.append(labelled("from the shelf", ", ".join(result.shelf), 16, 0))
    for number, option in enumerate(result.options, 1):
        parts += ["", heading(_TITLES[option.kind.value]), option_text(number, result.before, option, units)]
    if not result.options and result.nearest is not None:
        parts += ["", heading("The nearest there is (it does not meet what was asked)")]
        parts.append(option_text(1, result.before, result.nearest, units))
    parts += [paragraph(f"- {note}") for note in result.notes]
    if result.options or result.nearest is not None:
        parts += ["", paragraph(NO_PROMISE)]
    return "\n".join(parts)


_TITLES = {
    "one_material": "Simplest: one material more or less", "swap": "One material traded for another",
    "resolve": "The whole recipe balanced anew",
}  # fmt: skip


def batch_result_text(result: BatchResult, units: UnitChoice) -> str:
    """A formula made into batches, at 80 columns."""
    asked = "  ".join(f"{oxide} {rounded(moles, 2 if moles >= 0.1 else 3)}" for oxide, moles in result.target_unity)
    parts = [paragraph(result.sentence), "", labelled("asked for", asked, 12, 0)]
    for number, option in enumerate(result.options, 1):
        parts += ["", option_text(number, None, option, units), *_deviations(option)]
        if option.steps:
            parts += ["", hand_table(option.steps)]
    return "\n".join(parts)


def _deviations(option: Option) -> list[str]:
    parts = []
    if option.not_matched:
        told = ", ".join(f"{s.oxide} {s.before:.3f} comes out {s.after:.3f}" for s in option.not_matched)
        parts.append(labelled("not matched", told, 14, 3))
    if option.came_along:
        told = ", ".join(f"{s.oxide} {s.after:.3f}" for s in option.came_along)
        parts.append(labelled("came along", told, 14, 3))
    return parts


def hand_table(steps: tuple[HandStep, ...]) -> str:
    """The hand method's table: each material, the oxide it is brought in for, all it brings, its parts by weight."""
    rows = [["material", "for", "equivalents", "brings", "parts"]]
    for s in steps:
        brings = " ".join(f"{oxide} {rounded(n, 3)}" for oxide, n in s.brings if n >= 0.0005)
        rows.append([s.material, s.oxide, rounded(s.equivalents, 3), brings, rounded(s.weight, 2)])
    return "\n".join(["   By hand, for one mole of fluxes:", table(rows, "llrlr", indent=4)])
