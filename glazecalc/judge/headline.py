"""Verdicts in, the one plain sentence that leads a report out, and what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath
from typing import Final

from glazecalc.judge.typed import kiln_command, quoted, studio_option
from glazecalc.values.inputs import Recipe
from glazecalc.values.verdict import Answer, Verdict, worst

_AGAINST: Final = {
    "fit": "the glaze is not likely to stay sound on the clay",
    "melts": "it does not suit that cone",
    "kiln_reaches": "the kiln is not likely to get there",
    "clay_range": "the clay is not made for that cone",
}
_UNKNOWN: Final = {
    "fit": "whether the glaze stays sound on the clay",
    "melts": "whether it matures at that cone",
    "kiln_reaches": "whether the kiln gets there",
    "clay_range": "whether the clay suits that cone",
}


def headline(
    recipe: str,
    body: str | None,
    kiln: str | None,
    cone: str | None,
    verdicts: Sequence[Verdict],
    poisons: Sequence[str] = (),
) -> str:
    """One sentence: what was asked and the answer, with the reason where it is not yes.

    ``poisons`` names what makes a glaze unfit for a home studio whatever else is true of it.
    """
    sentence = _answered(recipe, body, kiln, cone, verdicts)
    if not poisons:
        return sentence
    return f"{sentence} It holds {_join(poisons)}: not for a home studio, nor for ware that is eaten or drunk from."


def _answered(recipe: str, body: str | None, kiln: str | None, cone: str | None, verdicts: Sequence[Verdict]) -> str:
    where = recipe + (f" on {body}" if body else "") + (f" at cone {cone}" if cone else "")
    where += f" in {kiln}" if kiln else ""
    answer = worst(v.answer for v in verdicts)
    if answer is Answer.FITS:
        return f"{where}: fits, as far as estimates can tell. Fire a test tile before you trust a pot to it."
    if answer is Answer.DOES_NOT_FIT:
        reasons = [v.because or _AGAINST[v.rule] for v in verdicts if v.answer is Answer.DOES_NOT_FIT]
        return f"{where}: does not fit, because {_join(reasons)}."
    doubts = [_UNKNOWN[v.rule] for v in verdicts if v.answer is Answer.CANNOT_SAY]
    return f"{where}: cannot say {_join(doubts, ' or ')}. Fire a test tile."


def _join(parts: Sequence[str], last: str = " and ") -> str:
    return parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + last + parts[-1]


def next_steps(
    recipe: Recipe,
    verdicts: Sequence[Verdict],
    *,
    body: str | None = None,
    kiln: str | None = None,
    cone: str | None = None,
    folder: str = "",
) -> tuple[str, ...]:
    """What to do now, the most useful first; commands as they can be typed, the studio being in ``folder``."""
    by_rule = {v.rule: v.answer for v in verdicts}
    card = recipe.file or recipe.name
    steps: list[str] = []
    if kiln is not None and by_rule.get("kiln_reaches") is Answer.DOES_NOT_FIT:
        steps.append(f"See what the kiln reaches on each circuit: {kiln_command(kiln, folder)}")
    if recipe.kind == "glaze" and Answer.DOES_NOT_FIT in (by_rule.get("fit"), by_rule.get("melts")):
        steps.append(f"Look for the smallest change that fits and melts: glazecalc adjust {quoted(card)}")
    if by_rule.get("clay_range") is Answer.DOES_NOT_FIT:
        steps.append("Choose a clay made for that cone (--body), or another cone (--cone)")
    if recipe.kind == "body":
        steps.append(f"See what is known of this clay: {_look_at_clay(recipe, body)}{studio_option(folder)}")
    if worst(by_rule.values()) is Answer.DOES_NOT_FIT and steps:
        return tuple(steps)
    if recipe.kind != "body":
        steps.append("Fire a test tile on this clay with a witness cone beside it, then stress it: freezer overnight, "
                     "boiling water, three times (gloves and goggles: a frozen pot can burst); look for lines with "
                     "ink")  # fmt: skip
        on = ("" if body is None else f" --body {quoted(body)}") + ("" if cone is None else f" --cone {cone}")
        steps.append("Write down how it came out, so that the next answer is surer: "
                     f"glazecalc record tile {quoted(card)}{on} --result RESULT")  # fmt: skip
    return tuple(steps)


def _look_at_clay(recipe: Recipe, body: str | None) -> str:
    if body is not None:
        return f"glazecalc body {quoted(body)}"
    card = PurePath(recipe.file or recipe.name).stem
    return f'add a [[body]] with recipe = "{card}" to studio.toml, then: glazecalc body NAME'
