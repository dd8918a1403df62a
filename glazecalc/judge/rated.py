"""Does the kiln reach the cone, by the cone on its plate alone?"""

from __future__ import annotations

from glazecalc.values.cones import ALL_CONES, Cone
from glazecalc.values.verdict import Answer, Verdict

RULE = "kiln_reaches"


def only_rated_for(rated: Cone) -> str:
    """The clause of a headline for a cone beyond the maker's rating."""
    return f"the kiln is rated only for cone {rated}"


def whole_cones_above(cone: Cone, top: Cone) -> int:
    """Whole cones hotter than ``cone`` and not hotter than ``top``; half cones do not count.

    >>> whole_cones_above(Cone("5"), Cone("6"))
    1
    """
    return sum(cone < c <= top and "." not in c.name for c in ALL_CONES)


def judge_rated_cone(kiln: str, rated: Cone | None, cone: Cone | None) -> Verdict:
    """Verdict on reaching ``cone`` from the rated cone; rated exactly at it is not enough to be sure."""
    if cone is None:
        return Verdict(RULE, Answer.CANNOT_SAY, "No cone is named to fire to: add --cone.")
    if rated is None:
        return Verdict(RULE, Answer.CANNOT_SAY, f"The cone {kiln} is rated for is not known: copy it from the plate.")
    evidence = ("kiln_ceiling",)
    if rated < cone:
        return Verdict(RULE, Answer.DOES_NOT_FIT, f"{kiln} is rated for cone {rated}, below cone {cone}.", evidence,
                       only_rated_for(rated))  # fmt: skip
    if rated == cone:
        return Verdict(RULE, Answer.CANNOT_SAY,
                       f"{kiln} is rated exactly for cone {cone}: with worn elements or low voltage it may not get "
                       "there, or not in time.", evidence)  # fmt: skip
    spare = whole_cones_above(cone, rated) or "less than one"
    return Verdict(RULE, Answer.FITS, f"{kiln} is rated for cone {rated}, {spare} above cone {cone}.", evidence)
