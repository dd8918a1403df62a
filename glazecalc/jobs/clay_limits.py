"""Is the cone within the range the clay is sold for?"""

from __future__ import annotations

from typing import Final

from glazecalc.values.answers import Answer, Basis, Estimate, Verdict
from glazecalc.values.cones import Cone

RANGE_RULE = "clay_range"


def judge_clay_range(body: str, low: Cone | None, high: Cone | None, cone: Cone | None) -> Verdict:
    """Verdict on firing a clay to a cone, from the range on its bag."""
    if cone is None:
        return Verdict(RANGE_RULE, Answer.CANNOT_SAY, f"No cone is named, so {body}'s range cannot be compared.")
    if low is None and high is None:
        message = f"The cone range of {body} is not known: the bag says it; answer with it: glazecalc start DIR."
        return Verdict(RANGE_RULE, Answer.CANNOT_SAY, message)
    stated = " to ".join(str(c) for c in (low, high) if c is not None)
    if high is not None and high < cone:
        return Verdict(RANGE_RULE, Answer.DOES_NOT_FIT,
                       f"{body} is a cone {stated} clay: at cone {cone} it may bloat, warp or slump.")  # fmt: skip
    if low is not None and cone < low:
        message = f"{body} is a cone {stated} clay: at cone {cone} it stays open, weak and takes up water."
        return Verdict(RANGE_RULE, Answer.DOES_NOT_FIT, message)
    if low is None or high is None:
        return Verdict(RANGE_RULE, Answer.CANNOT_SAY, f"Only one end of {body}'s cone range is known (cone {stated}).")
    return Verdict(RANGE_RULE, Answer.FITS, f"Cone {cone} suits {body} (cone {stated}).")


# Is the clay tight at this cone: will an unglazed foot sweat and stain?

TIGHT_RULE: Final = "tight"
SPREAD: Final = "potters accept 0.5, 1, up to 3 % for a mug"


def judge_tight(body: str, cone: Cone | None, absorption: Estimate, limit_percent: float) -> Verdict:
    """Verdict on water absorption [%] against the studio's limit.

    A figure that is only usual for the class can but say `cannot say`.
    """
    at = f" at cone {cone}" if cone is not None else ""
    limit = f"the limit set is {limit_percent:g} %; {SPREAD}"
    if absorption.basis in (Basis.TYPICAL, Basis.EXTRAPOLATED):
        usual = f"likely {absorption.low:.0f} to {absorption.high:.0f} %"
        message = (
            f"Cannot say whether {body} is tight{at}: its absorption is not measured ({usual}). Boil and weigh a tile."
        )
        return Verdict(TIGHT_RULE, Answer.CANNOT_SAY, message, ("absorption",))
    takes = f"{body} takes up {absorption.value:.2g} % of water{at}"
    if absorption.high <= limit_percent:
        return Verdict(TIGHT_RULE, Answer.FITS, f"Tight: {takes}; {limit}.", ("absorption",))
    if absorption.low > limit_percent:
        message = f"Not tight: {takes}; {limit}. An unglazed foot sweats, and damp growth can craze the glaze later."
        return Verdict(TIGHT_RULE, Answer.DOES_NOT_FIT, message, ("absorption",))
    message = f"Cannot say: {takes}, close to the limit ({limit}). Boil and weigh more tiles."
    return Verdict(TIGHT_RULE, Answer.CANNOT_SAY, message, ("absorption",))
