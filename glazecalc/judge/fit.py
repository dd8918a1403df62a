"""Probabilities of crazing and shivering in, one plain sentence out: crazes, crazes later, sound, shivers, cannot say."""

from __future__ import annotations

from typing import Final

from glazecalc.values.inputs import Limits
from glazecalc.values.verdict import Answer, Verdict

RULE: Final = "fit"
EVIDENCE: Final = (
    "expansion",
    "body_expansion",
    "layer_stress",
    "crazing_probability",
    "shivering_probability",
)
NO_PROOF: Final = "A piece that leaves the kiln whole is no proof"
POROUS_TEST: Final = "steam (ASTM C424, autoclave), or at home freezer and boiling water three times"
DENSE_TEST: Final = "repeated hot-cold shocks (ASTM C554), or at home freezer and boiling water three times"


def percent(probability: float) -> int:
    """A probability as a whole percent, 0 and 100 kept for what rounds there.

    >>> percent(0.374), percent(1.0)
    (37, 100)
    """
    return round(100.0 * probability)


def judge_fit(
    *,
    crazing: float,
    at_once: float,
    shivering: float,
    sound: float,
    to_sound: float,
    body: str,
    porous: bool = False,
    extrapolated: bool = False,
    best_sound: float = 1.0,
    limits: Limits | None = None,
) -> Verdict:
    """The verdict on fit.

    Parameters
    ----------
    crazing, at_once, shivering, sound
        Probabilities [fraction]; ``at_once`` is the part of ``crazing`` seen when the kiln is opened.
    to_sound
        How far the glaze's expansion should move for the best chance [1e-6/K]; negative is lower.
    porous
        Whether the clay takes up damp, which chooses the test that is named.
    extrapolated
        Whether the evidence lies outside what the models know: then nothing can be said.
    best_sound
        Probability of soundness after that move: below the level, only knowing the clay better helps.
    """
    limits = limits or Limits()
    test = POROUS_TEST if porous else DENSE_TEST
    if extrapolated:
        message = (
            f"Cannot say whether this glaze fits {body}: it is outside what the estimates know. "
            "Fire a test tile, then write down how it came out."
        )
        return Verdict(RULE, Answer.CANNOT_SAY, message, EVIDENCE)
    if 100.0 * sound >= limits.sound_percent:
        message = f"Sound on {body}: {percent(sound)} % likely neither to craze nor to shiver. {NO_PROOF}: test by {test}."
        return Verdict(RULE, Answer.FITS, message, EVIDENCE)
    if 100.0 * max(crazing, shivering) >= limits.against_percent:
        return Verdict(RULE, Answer.DOES_NOT_FIT, f"{_against(crazing, at_once, shivering, body, limits)} "
                       f"{_move(to_sound)}", EVIDENCE)  # fmt: skip
    message = (
        f"Cannot say whether this glaze fits {body}: {percent(crazing)} % likely to craze, {percent(shivering)} % to "
        f"shiver, {percent(sound)} % sound. {_next(to_sound, best_sound, limits)} {NO_PROOF}: test by {test}."
    )
    return Verdict(RULE, Answer.CANNOT_SAY, message, EVIDENCE)


def _against(crazing: float, at_once: float, shivering: float, body: str, limits: Limits) -> str:
    if shivering >= crazing:
        return (
            f"Shivers on {body}: {percent(shivering)} % likely to flake off in sharp splinters, which is the more "
            "dangerous fault on ware for food: do not use such a piece."
        )
    if 100.0 * at_once >= limits.against_percent:
        return f"Crazes on {body}: {percent(crazing)} % likely, {percent(at_once)} % already when the kiln is opened."
    return (
        f"Crazes later on {body}: {percent(crazing)} % likely in use, though {percent(1.0 - at_once)} % likely to leave "
        f"the kiln whole. {NO_PROOF}."
    )


def _move(to_sound: float) -> str:
    if to_sound < 0.0:
        return (
            f"Move: lower the glaze's expansion by about {-to_sound:.1f} x 1e-6/K (more silica or boron, or less soda "
            "and potash), or use a clay that expands more. Prove it with a line of test tiles."
        )
    return (
        f"Move: raise the glaze's expansion by about {to_sound:.1f} x 1e-6/K (more soda or potash, or less silica), or "
        "use a clay that expands less. Prove it with a line of test tiles."
    )


def _next(to_sound: float, best_sound: float, limits: Limits) -> str:
    if 100.0 * best_sound < limits.sound_percent:
        return "No recipe could be called sound before more is known of this clay and glaze: fire this tile and record it."
    return f"{_move(to_sound)} Or fire this tile and record it."
