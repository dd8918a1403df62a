"""Is the cone within the range the clay is sold for?"""

from __future__ import annotations

from glazecalc.values.cones import Cone
from glazecalc.values.verdict import Answer, Verdict

RULE = "clay_range"


def judge_clay_range(body: str, low: Cone | None, high: Cone | None, cone: Cone | None) -> Verdict:
    """Verdict on firing a clay to a cone, from the range on its bag."""
    if cone is None:
        return Verdict(RULE, Answer.CANNOT_SAY, f"No cone is named, so {body}'s range cannot be compared.")
    if low is None and high is None:
        message = f"The cone range of {body} is not known: copy it from the bag into studio.toml."
        return Verdict(RULE, Answer.CANNOT_SAY, message)
    stated = " to ".join(str(c) for c in (low, high) if c is not None)
    if high is not None and high < cone:
        return Verdict(RULE, Answer.DOES_NOT_FIT,
                       f"{body} is a cone {stated} clay: at cone {cone} it may bloat, warp or slump.")  # fmt: skip
    if low is not None and cone < low:
        message = f"{body} is a cone {stated} clay: at cone {cone} it stays open, weak and takes up water."
        return Verdict(RULE, Answer.DOES_NOT_FIT, message)
    if low is None or high is None:
        return Verdict(RULE, Answer.CANNOT_SAY, f"Only one end of {body}'s cone range is known (cone {stated}).")
    return Verdict(RULE, Answer.FITS, f"Cone {cone} is within {body}'s range, cone {stated}.")
