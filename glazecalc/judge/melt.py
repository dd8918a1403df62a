"""Does the glaze mature at the cone, by what its recipe or label states?"""

from __future__ import annotations

from glazecalc.values.cones import Cone
from glazecalc.values.inputs import ConeRange
from glazecalc.values.verdict import Answer, Verdict

RULE = "melts"


def judge_stated_cone(stated: ConeRange | None, cone: Cone | None) -> Verdict:
    """Verdict on maturing at ``cone`` from the stated cone alone; a cone either side of it cannot be judged."""
    if stated is None:
        return Verdict(RULE, Answer.CANNOT_SAY, "The recipe states no cone, so melting cannot be judged from it.")
    if cone is None:
        return Verdict(RULE, Answer.CANNOT_SAY, "No cone is named to fire to: add --cone.")
    if stated.low <= cone <= stated.high:
        return Verdict(RULE, Answer.FITS, f"Stated for cone {stated}, fired to cone {cone}.")
    if cone < stated.low:
        steps, word = stated.low.position - cone.position, "cooler"
        consequence = "likely underfired: rough, dull or not melted"
    else:
        steps, word = cone.position - stated.high.position, "hotter"
        consequence = "may run, blister or lose its surface"
    message = f"Stated for cone {stated}; cone {cone} is {steps} cone{'s' if steps > 1 else ''} {word}: {consequence}."
    return Verdict(RULE, Answer.CANNOT_SAY if steps == 1 else Answer.DOES_NOT_FIT, message)
