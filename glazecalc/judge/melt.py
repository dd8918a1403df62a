"""Does the glaze mature at the cone: by the melt's estimated fluidity, and by what its recipe or label states."""

from __future__ import annotations

from enum import StrEnum
from typing import Final, NamedTuple

from glazecalc.values.cones import Cone
from glazecalc.values.estimate import percent_words
from glazecalc.values.inputs import ConeRange
from glazecalc.values.verdict import Answer, Verdict

RULE: Final = "melts"
EVIDENCE: Final = ("firing_range", "mature_cone")


class Stated(StrEnum):
    """Where the cone lies against the one the recipe states."""

    SAME = "same"
    NEAR = "near"
    COOLER = "cooler"
    HOTTER = "hotter"
    NONE = "none"


class Chances(NamedTuple):
    """How likely the glaze is underfired, matures, runs [fraction] at the cone; ``sure`` is the level of a statement.

    ``cones`` names the estimated range in words.
    """

    underfired: float
    matures: float
    runs: float
    sure: float
    cones: str


def judge_melting(stated: ConeRange | None, cone: Cone | None, chances: Chances | None) -> Verdict:
    """Verdict on maturing at ``cone``.

    Estimate and statement together: where they agree, or one is silent, the other decides; where they disagree nothing
    can be said. A statement a cone away is silent. An unsure estimate lets the statement decide only where maturing is
    its likeliest state. None for ``chances`` where nothing can be estimated.
    """
    if cone is None:
        return Verdict(RULE, Answer.CANNOT_SAY, "No cone is named to fire to: add --cone.")
    if chances is None:
        return judge_stated_cone(stated, cone)
    words, answer = _estimated(chances, cone)
    against = compare(stated, cone)
    if answer is Answer.CANNOT_SAY:
        return _by_statement(stated, cone, words, chances)
    agrees = {
        Stated.SAME: answer is Answer.FITS,
        Stated.COOLER: chances.underfired >= chances.sure,
        Stated.HOTTER: chances.runs >= chances.sure,
    }.get(against, True)
    if agrees:
        return Verdict(RULE, answer, f"{words} {_stated_words(stated)}".rstrip(), EVIDENCE)
    message = f"{words} But the recipe states cone {stated}: fire a tile to see which is right."
    return Verdict(RULE, Answer.CANNOT_SAY, message, EVIDENCE)


def _estimated(chances: Chances, cone: Cone) -> tuple[str, Answer]:
    if chances.matures >= chances.sure:
        likely = f"{percent_words(chances.matures)} likely; a rough estimate: {chances.cones}"
        return f"Matures at cone {cone} ({likely}).", Answer.FITS
    if chances.underfired >= chances.sure:
        text = f"Underfired at cone {cone} ({percent_words(chances.underfired)} likely)"
        return f"{text}: estimated to mature at {chances.cones}.", Answer.DOES_NOT_FIT
    if chances.runs >= chances.sure:
        text = f"Runs at cone {cone} ({percent_words(chances.runs)} likely)"
        return f"{text}: estimated to mature at {chances.cones}.", Answer.DOES_NOT_FIT
    text = (
        f"The estimate alone cannot say: at cone {cone} it is {percent_words(chances.underfired)} likely underfired, "
        f"{percent_words(chances.matures)} mature, {percent_words(chances.runs)} likely to run ({chances.cones})."
    )
    return text, Answer.CANNOT_SAY


def _by_statement(stated: ConeRange | None, cone: Cone, words: str, chances: Chances) -> Verdict:
    verdict = judge_stated_cone(stated, cone)
    likeliest = chances.matures >= max(chances.underfired, chances.runs)
    if verdict.answer is Answer.FITS and not likeliest:
        fate = "underfired" if chances.underfired > chances.runs else "running"
        message = f"{verdict.message} But by its chemistry {fate} is likelier: {words[:1].lower()}{words[1:]}"
        return Verdict(RULE, Answer.CANNOT_SAY, message, EVIDENCE)
    return Verdict(RULE, verdict.answer, f"{verdict.message} {words}", EVIDENCE)


def _stated_words(stated: ConeRange | None) -> str:
    return "" if stated is None else f"The recipe states cone {stated}."


def compare(stated: ConeRange | None, cone: Cone) -> Stated:
    """Where ``cone`` lies against the stated one; a cone either side is near."""
    if stated is None:
        return Stated.NONE
    if stated.low <= cone <= stated.high:
        return Stated.SAME
    if cone < stated.low:
        return Stated.NEAR if stated.low.position - cone.position == 1 else Stated.COOLER
    return Stated.NEAR if cone.position - stated.high.position == 1 else Stated.HOTTER


def judge_stated_cone(stated: ConeRange | None, cone: Cone | None) -> Verdict:
    """Verdict on maturing at ``cone`` from the stated cone alone; a cone either side of it cannot be judged."""
    if cone is None:
        return Verdict(RULE, Answer.CANNOT_SAY, "No cone is named to fire to: add --cone.")
    against = compare(stated, cone)
    if stated is None:
        return Verdict(RULE, Answer.CANNOT_SAY, "The recipe states no cone, so melting cannot be judged from it.")
    if against is Stated.SAME:
        return Verdict(RULE, Answer.FITS, f"Stated for cone {stated}, fired to cone {cone}.")
    cooler = cone < stated.low
    steps = stated.low.position - cone.position if cooler else cone.position - stated.high.position
    consequence = "likely underfired: rough, dull or not melted" if cooler else "may run, blister or lose its surface"
    message = (
        f"Stated for cone {stated}; cone {cone} is {steps} cone{'s' if steps > 1 else ''} "
        f"{'cooler' if cooler else 'hotter'}: {consequence}."
    )
    return Verdict(RULE, Answer.CANNOT_SAY if against is Stated.NEAR else Answer.DOES_NOT_FIT, message)
