"""Is the clay tight at this cone: will an unglazed foot sweat and stain?"""

from __future__ import annotations

from typing import Final

from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.verdict import Answer, Verdict

RULE: Final = "tight"
SPREAD: Final = "potters accept 0.5, 1, up to 3 % for a mug (single reports)"


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
        return Verdict(RULE, Answer.CANNOT_SAY, message, ("absorption",))
    takes = f"{body} takes up {absorption.value:.2g} % of water{at}"
    if absorption.high <= limit_percent:
        return Verdict(RULE, Answer.FITS, f"Tight: {takes}; {limit}.", ("absorption",))
    if absorption.low > limit_percent:
        message = f"Not tight: {takes}; {limit}. An unglazed foot sweats, and damp growth can craze the glaze later."
        return Verdict(RULE, Answer.DOES_NOT_FIT, message, ("absorption",))
    message = f"Cannot say: {takes}, close to the limit ({limit}). Boil and weigh more tiles."
    return Verdict(RULE, Answer.CANNOT_SAY, message, ("absorption",))
