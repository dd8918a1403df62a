"""Does this kiln, on this circuit, get to the cone? The ceiling against the cone, and the odds."""

from __future__ import annotations

from typing import Final

from glazecalc.judge.rated import RULE, judge_rated_cone, only_rated_for, whole_cones_above
from glazecalc.judge.typed import quoted, studio_option
from glazecalc.values.ceiling import FULL_POWER_H
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Limits
from glazecalc.values.verdict import Answer, Verdict

EVIDENCE = ("kiln_ceiling",)
USUAL: Final = Limits()


def judge_reach(
    kiln: str,
    rated: Cone | None,
    cone: Cone | None,
    ceiling: Estimate | None,
    hottest: Cone | None = None,
    chance: float | None = None,
    limits: Limits = USUAL,
    misfit: bool = False,
    folder: str = ".",
) -> Verdict:
    """Verdict on reaching ``cone``.

    ``chance`` (0 to 1) is that of bringing the cone down within ``FULL_POWER_H`` at full power, None where the kiln was
    not modelled; ``hottest`` is the hottest cone at or below the middle of the ceiling, ``folder`` the
    studio's. At the ``sound_percent`` of ``limits`` and above the kiln reaches, below ``against_percent`` it does not,
    between them nothing can be said; nor where the ceiling was learned from firings that hardly look like this kiln
    (``misfit``). The maker's rating is never overruled.
    """
    if cone is None:
        return Verdict(RULE, Answer.CANNOT_SAY, "No cone is named to fire to: add --cone.")
    if rated is not None and rated < cone:
        message = f"{kiln} is rated for cone {rated}, below cone {cone}."
        return Verdict(RULE, Answer.DOES_NOT_FIT, message, EVIDENCE, only_rated_for(rated))
    if chance is None or ceiling is None or ceiling.extrapolated:
        return judge_rated_cone(kiln, rated, cone)
    percent = 100.0 * chance
    shown = min(99.0, max(1.0, percent))
    odds = f"the chance of cone {cone} within {FULL_POWER_H:g} h at full power is about {shown:.0f} %"
    if misfit:
        text = f"Cannot say whether {kiln} gets to cone {cone}: the firings it was learned from hardly look like it"
        check = f"Check them (glazecalc learn --kiln {quoted(kiln)}{studio_option(folder)})."
        return Verdict(RULE, Answer.CANNOT_SAY, f"{text} ({odds}). {check}", EVIDENCE)
    if percent < limits.against_percent:
        text = f"{kiln} as it is will hardly get to cone {cone} on this circuit: {odds}."
        return Verdict(RULE, Answer.DOES_NOT_FIT, text, EVIDENCE)
    if percent < limits.sound_percent:
        text = f"{kiln} may or may not get to cone {cone} on this circuit: {odds}."
        return Verdict(RULE, Answer.CANNOT_SAY, text + " Fire it with witness cones.", EVIDENCE)
    learned = ", by its own recorded firings" if ceiling.basis is Basis.LEARNED else ""
    text = f"{kiln} gets to cone {cone}: {odds}{learned}."
    return Verdict(RULE, Answer.FITS, text + _headroom(rated, cone, hottest), EVIDENCE)


def _headroom(rated: Cone | None, cone: Cone, hottest: Cone | None) -> str:
    """What is left above ``cone``, in whole cones; the rating where it is what ends the headroom."""
    if rated == cone:
        return f" Warning: it is rated exactly for cone {cone}, so nothing is held in reserve for wear or low volts."
    if hottest is None:
        return ""
    spare = whole_cones_above(cone, hottest)
    if rated is not None and hottest >= rated and spare < 2:
        return f" Its rating, cone {rated}, is " + ("the next whole cone up." if spare else "less than a cone up.")
    if not spare:
        return ""
    return f" Headroom about {spare} cone{'s' if spare > 1 else ''} in the middle case."
