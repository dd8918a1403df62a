"""A `swap` answer as a person reads it."""

from __future__ import annotations

from glazecalc.show.change_text import option_text
from glazecalc.show.layout import heading, labelled, paragraph
from glazecalc.values.adjusting import Option, OxideShift, SwapResult
from glazecalc.values.inputs import UnitChoice


def swap_text(result: SwapResult, units: UnitChoice) -> str:
    """A whole `swap` answer at 80 columns."""
    parts = [paragraph(result.sentence)]
    for number, option in enumerate(result.options, 1):
        title = "Exact" if option.exact else "Nearest" if number == 1 or option.besides else "Further off"
        head = f"{title}: {result.old} out, {' and '.join(result.new)} in"
        if option.besides:
            head = f"Not asked for, {title.lower()}: {result.old} out, {' and '.join(option.besides)} in as well"
        parts += ["", heading(head)]
        parts += [option_text(number, result.before, option, units), *_matching(option), *_clay(result, option)]
    return "\n".join(parts)


def _matching(option: Option) -> list[str]:
    parts = [""]
    if option.not_matched:
        parts.append(labelled("not matched", _shifts(option.not_matched), 14, 3))
    if option.came_along:
        parts.append(labelled("came along", _shifts(option.came_along), 14, 3))
    return parts if len(parts) > 1 else []


def _shifts(shifts: tuple[OxideShift, ...]) -> str:
    return ", ".join(f"{s.oxide} {s.before:.3f} becomes {s.after:.3f}" for s in shifts)


def _clay(result: SwapResult, option: Option) -> list[str]:
    """What becomes of the clay that keeps the slip in suspension."""
    before, after = result.clay_percent, option.clay_percent
    if before is None or after is None or abs(after - before) < 1.0:
        return []
    text = f"{before:.0f} % becomes {after:.0f} %"
    if after < 5 <= before:
        text += ": the slip will settle; add 1 to 2 % bentonite over the base and sieve it in"
    if after > 25 > before:
        text += ": the coat shrinks more as it dries and may crawl; calcine part of the clay"
    return [labelled("clay", text, 14, 3)]
