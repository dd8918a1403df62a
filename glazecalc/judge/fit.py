"""Probabilities of crazing and shivering in, one plain sentence out.

Crazes, crazes later, sound, shivers, or cannot say.

A fault is called from ``against_percent`` on. Of a clay known only by what is usual of its class or its recipe, a
chance says more of the class than of the clay: the answer says so, and how to find the clay's figure.
"""

from __future__ import annotations

from typing import Final

from glazecalc.values.estimate import percent_words
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
NO_MOVE: Final = 0.1
"""A move of the glaze's expansion smaller than this [1e-6/K] is not worth advising."""
NO_PROOF: Final = "Leaving the kiln whole is no proof"
_AT_HOME: Final = "at home freezer and boiling water three times (gloves and goggles)"
POROUS_TEST: Final = f"steam (ASTM C424, autoclave), or {_AT_HOME}"
DENSE_TEST: Final = f"repeated hot-cold shocks (ASTM C554), or {_AT_HOME}"


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
    clay_known: bool = True,
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
    clay_known
        Whether the clay has a figure of its own (supplier's, measured, learned), not one usual of its class.
    """
    limits = limits or Limits()
    proof = f"{NO_PROOF}: test by {POROUS_TEST if porous else DENSE_TEST}."
    if extrapolated:
        answer, message = Answer.CANNOT_SAY, _unknown(body)
    elif 100.0 * sound >= limits.sound_percent:
        chance = f"{percent_words(sound)} likely neither to craze nor to shiver"
        answer, message = Answer.FITS, f"Sound on {body}: {chance}. {proof}"
    elif 100.0 * max(crazing, shivering) >= limits.against_percent:
        fault = _against(crazing, at_once, shivering, body, limits)
        doubt = "" if clay_known else f"Of {body} only {_CLASS_ONLY}, so it may yet do. {_FIND_OUT}"
        way = _move(to_sound) if clay_known else ""
        answer, message = Answer.DOES_NOT_FIT, _joined(fault, way, doubt, proof)
    else:
        chances = f"{percent_words(crazing)} likely to craze, {percent_words(shivering)} to shiver"
        level = f"{limits.sound_percent:g} % is asked for a yes"
        message = f"{chances}, {percent_words(sound)} sound on {body}: too close to call ({level})."
        way = _next(to_sound, best_sound, limits)
        if not clay_known:
            message, way = f"{chances}, {percent_words(sound)} sound, but of {body} only {_CLASS_ONLY}.", _FIND_OUT
        answer, message = Answer.CANNOT_SAY, _joined(message, way, proof)
    return Verdict(RULE, answer, message, EVIDENCE)


_CLASS_ONLY: Final = "what is usual of such clays is known"
_FIND_OUT: Final = (
    "Find this clay's figure (ask the supplier for its expansion and the temperatures it holds for), or fire "
    "graded tiles, record them and run: glazecalc learn."
)


def _joined(*parts: str) -> str:
    return " ".join(part for part in parts if part)


def _unknown(body: str) -> str:
    return (
        f"This glaze is outside what the estimates know, so nothing is said of it on {body}. "
        "Fire a test tile, then write down how it came out."
    )


def _against(crazing: float, at_once: float, shivering: float, body: str, limits: Limits) -> str:
    if shivering >= crazing:
        return (
            f"Shivers on {body}: {percent_words(shivering)} likely to flake off in sharp splinters, the more "
            "dangerous fault on ware for food: do not use such a piece."
        )
    if 100.0 * at_once >= limits.against_percent:
        now = f"{percent_words(at_once)} already when the kiln is opened"
        return f"Crazes on {body}: {percent_words(crazing)} likely, {now}."
    return (
        f"Crazes later on {body}: {percent_words(crazing)} likely in use, though "
        f"{percent_words(1.0 - at_once)} likely to leave the kiln whole."
    )


def _move(to_sound: float) -> str:
    if abs(to_sound) < NO_MOVE:
        return ""
    size = f"the glaze's expansion (20 to 300 degC) by about {abs(to_sound):.1f} x 1e-6/K"
    if to_sound < 0.0:
        how = "more silica or boron, or less soda and potash), or use a clay that expands more"
        return f"Which way to move: lower {size} ({how}. Prove it with a line of test tiles."
    how = "more soda or potash, or less silica), or use a clay that expands less"
    return f"Which way to move: raise {size} ({how}. Prove it with a line of test tiles."


def _next(to_sound: float, best_sound: float, limits: Limits) -> str:
    if 100.0 * best_sound < limits.sound_percent:
        first = "No recipe could be called sound before more is known of this clay and glaze: "
        return _joined(f"{first}fire this tile and record it.", _move(to_sound))
    move = _move(to_sound)
    return f"{move} Or fire this tile and record it." if move else "Fire this tile and record it."
