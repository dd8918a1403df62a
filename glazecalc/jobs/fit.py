"""Will this glaze craze or shiver on this clay: stress and probabilities, for one glaze or a hundred
thousand.

Any model of the glaze will do: what is taken is (value, standard deviation) of its expansion, where it
sets, and its stiffness. Deterministic: closed forms and a fixed quadrature.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from glazecalc.models.body import BodyExpansion, body_estimate, known_body
from glazecalc.models.coat import (
    Sides,
    biaxial_modulus,
    coat_stress,
    error_parts,
    figure,
    glaze_strain,
    outcomes,
    setting_temperature,
)
from glazecalc.values.answers import NINETY, Answer, Basis, Estimate, Remedy, Verdict, percent_words, sigma_of
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Body, Limits
from glazecalc.values.texts import joined, phrase

# Probabilities of crazing and shivering in, one plain sentence out.

RULE: Final = "fit"
EVIDENCE: Final = ("expansion", "body_expansion", "layer_stress", "crazing_probability", "shivering_probability")
NO_MOVE: Final = 0.1
"""A move of the glaze's expansion smaller than this [1e-6/K] is not worth advising."""
NO_PROOF: Final = "A sound pot can still craze later"
_AT_HOME: Final = "freezer, then boiling water, three times (gloves and goggles)"
POROUS_TEST: Final = f"{_AT_HOME}, or steam in an autoclave (ASTM C424)"
DENSE_TEST: Final = f"{_AT_HOME}, or shocks as in ASTM C554"
_TESTS: Final = {"boil": "boiled", "freez": "frozen", "steam": "steamed", "autoclav": "steamed", "quench": "quenched"}
"""What a word that begins so in a user's name of a test says was done to a tile."""

_BESIDE_TESTS: Final = frozenset(("and", "then", "water", "x", "times", "in", "the", "a"))
"""Words of such a name that add nothing."""


@dataclass(frozen=True, slots=True)
class OwnTiles:
    """How many tiles of one glaze on one clay came out each way, and the tests that the sound ones went through."""

    sound: int
    crazed: int
    shivered: int
    tests: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """What they showed, as a sentence."""
        total = self.sound + self.crazed + self.shivered
        tiles = "tile" if total == 1 else f"{total} tiles"
        if self.sound == total:
            done, tests = _done(self.tests), ", ".join(self.tests)
            through = f", {done}," if done else ""
            return f"Your {tiles}{through} came out sound{f' ({tests})' if tests and not done else ''}."
        counts = ((self.sound, "came out sound"), (self.crazed, "crazed"), (self.shivered, "shivered"))
        counted = [(n, outcome) for n, outcome in counts if n]
        if len(counted) == 1:
            return f"Your {tiles} {counted[0][1]}."
        return f"Of your {tiles} {' and '.join(f'{n} {outcome}' for n, outcome in counted)}."


def _done(tests: Sequence[str]) -> str:
    """What was done to tiles in tests, where the names say nothing else, in words; else empty."""
    words = re.findall(r"[a-z]+", " ".join(tests).casefold())
    done = [next((deed for start, deed in _TESTS.items() if word.startswith(start)), word) for word in words]
    known = dict.fromkeys(deed for deed in done if deed in _TESTS.values())
    return " and ".join(known) if {*done} <= {*known, *_BESIDE_TESTS} else ""


@dataclass(frozen=True, slots=True)
class Fit:
    """One glaze on one clay: the numbers a judge needs, and the estimates of the contract.

    ``crazing``, ``shivering`` and ``sound`` are probabilities [fraction]; ``at_once`` is the part of ``crazing`` seen
    when the kiln is opened. ``to_sound`` is how far the glaze's expansion should move for the best chance [1e-6/K],
    negative is lower, and ``best_sound`` the probability of soundness after that move. ``porous``: the clay takes up
    damp, which chooses the test that is named. ``extrapolated``: the evidence lies outside what the models know, so
    nothing can be said. ``clay_known`` is false where only what is usual of the clay's class or recipe is known;
    ``own`` is what tiles of this very glaze showed; ``bought`` a jar, which nobody can change; ``proven`` what people
    use it for, where that was counted (:func:`used_by_people`)."""

    crazing: float
    at_once: float
    shivering: float
    sound: float
    to_sound: float
    best_sound: float = 1.0
    porous: bool = False
    extrapolated: bool = False
    clay_known: bool = True
    own: OwnTiles | None = None
    bought: bool = False
    proven: str = ""
    estimates: tuple[Estimate, ...] = ()

    def estimate(self, name: str) -> Estimate:
        """The estimate of that name. Raises KeyError if there is none."""
        return {estimate.name: estimate for estimate in self.estimates}[name]


def judge_fit(fit: Fit, body: str, limits: Limits | None = None) -> Verdict:
    """The verdict on fit for the clay called ``body``; what tiles of the glaze or its use showed leads the sentence."""
    limits, known = limits or Limits(), fit.clay_known or fit.own is not None
    shown = fit.own.sentence if fit.own is not None else _USED.format(fit.proven) if fit.proven else ""
    proof = f"{NO_PROOF}; test it: {POROUS_TEST if fit.porous else DENSE_TEST}."
    later = proof if fit.crazing >= fit.shivering else ""
    remedy: Remedy = ""
    if fit.extrapolated:
        answer, message = Answer.CANNOT_SAY, _OUTSIDE.format(body)
    elif 100.0 * fit.sound >= limits.sound_percent:
        chance = f"{percent_words(fit.sound)} likely neither to craze nor to shiver"
        answer, message = Answer.FITS, _joined(shown, f"Sound on {body}: {chance}.", splinters(fit.shivering), proof)
    elif 100.0 * max(fit.crazing, fit.shivering) >= (
        limits.against_percent if known else limits.against_by_class_percent
    ):
        doubt = "" if known else f"Of {body} only {_CLASS_ONLY}, so it may yet do. " + _FIND_OUT
        advice = _OTHER_JAR if fit.bought else _move(fit.to_sound) if known else ""
        answer, message = Answer.DOES_NOT_FIT, _joined(shown, _against(fit, body), advice, doubt, later)
        remedy = "recipe" if not fit.bought and 100.0 * fit.best_sound >= limits.sound_percent else "tile"
    else:
        first = "" if 100.0 * fit.best_sound >= limits.sound_percent else _FIRST_TILES
        by_class = f"Of {body} only {_CLASS_ONLY}. " + _FIND_OUT
        by_figure = _joined(first, _move(fit.to_sound)) or "Fire this tile and record it."
        advice = _JAR_TILE if fit.bought else by_figure if known else by_class
        answer, message = Answer.CANNOT_SAY, _joined(shown, lean(fit.crazing, fit.shivering, body), advice, later)
    return Verdict(RULE, answer, message, EVIDENCE, remedy=remedy, shown=shown)


LOW_RISK: Final = 0.35
HIGH_RISK: Final = 0.65


def risk_word(chance: float) -> str:
    """How high a chance is, in a word, by the whole percent that is shown beside it.

    >>> [risk_word(p) for p in (0.1, 0.5, 0.648, 0.8)]
    ['low', 'middling', 'high', 'high']
    """
    shown = round(100.0 * chance)
    return "low" if shown < 100.0 * LOW_RISK else "middling" if shown < 100.0 * HIGH_RISK else "high"


def lean(crazing: float, shivering: float, body: str) -> str:
    """Which way a glaze leans that is neither called sound nor faulty."""
    faults = [("crazing", "craze", crazing), ("shivering", "shiver", shivering)]
    (fault, verb, chance), (_, other, less) = reversed(faults) if shivering > crazing else faults
    more = f", and {percent_words(less)} likely to {other}" if less >= 0.1 else ""
    risk = f"{risk_word(chance).capitalize()} risk of {fault} on {body}"
    return _joined(f"{risk}: {percent_words(chance)} likely to {verb}{more}.", splinters(shivering))


def splinters(shivering: float) -> str:
    """What to mind where shivering is more than a remote chance [fraction]."""
    return "What shivers sheds sharp splinters: wear goggles, use none of it for food." if shivering >= 0.1 else ""


_USED: Final = "The card says that people use it for {}, which counts like half a tile."
_JAR_TILE: Final = "Fire a tile of it and record it."
_OTHER_JAR: Final = "A jar cannot be changed: use it on another clay, or another jar on this one."
_CLASS_ONLY: Final = "what is usual of such clays is known"
_FIND_OUT: Final = phrase(
    "Find this clay's figure (ask the supplier for its expansion and the temperatures it holds for), or fire "
    "graded tiles and record them|: glazecalc learn|."
)
_FIRST_TILES: Final = (
    "No recipe could be called sound before more is known of this clay and glaze: fire this tile and record it."
)
_OUTSIDE: Final = (
    "This glaze is outside what the estimates know, so they cannot say how it fits {}. "
    "Fire a test tile, then write down how it came out."
)


def _joined(*parts: str) -> str:
    return joined(" ", filter(None, parts))


def _against(fit: Fit, body: str) -> str:
    if fit.shivering >= fit.crazing:
        return (
            f"Shivers on {body}: {percent_words(fit.shivering)} likely to flake off in sharp splinters, the more "
            "dangerous fault on ware for food: do not use such a piece."
        )
    if fit.at_once >= 0.5:
        now = f"{percent_words(fit.at_once)} already when the kiln is opened"
        return f"Crazes on {body}: {percent_words(fit.crazing)} likely, {now}."
    return (
        f"Crazes later on {body}: {percent_words(fit.crazing)} likely in use, though "
        f"{percent_words(1.0 - fit.at_once)} likely to come out of the kiln whole."
    )


def _move(to_sound: float) -> str:
    if abs(to_sound) < NO_MOVE:
        return ""
    size = f"the glaze's expansion by about {abs(to_sound):.1f} x 1e-6/K"
    if to_sound < 0.0:
        how = "more silica or boron, or less soda and potash), or use a clay that expands more"
        return f"What to change: lower {size} ({how}."
    how = "more soda or potash, or less silica), or use a clay that expands less"
    return f"What to change: raise {size} ({how}."


STIFFEST: Final = (50.0, 100.0)
"""Young's moduli [GPa] between which glazes lie; an estimate outside is an artefact of its model (handbook range of
silicate glasses, from memory)."""
GLAZE_TO_DEGC: Final = 300.0
"""Upper end of the range the glaze's expansion estimate is a mean over, unless the caller says otherwise
[degC].
"""
_METHOD: Final = "how often the stress passes the strength of the coat, each with its spread"
_FIT_SOURCES: Final = ("ceramics_textbook_1976", "body_memory", "glaze_textbook_1986", "static_fatigue")


@dataclass(frozen=True, slots=True)
class Coat:
    """A fired glaze coat: thickness [mm], on one or both sides of the wall."""

    thickness_mm: float | None = None
    sides: Sides = 2


@dataclass(frozen=True, slots=True, eq=False)
class FitArrays:
    """Fit of n glazes on one clay, arrays of shape (n,).

    ``mismatch`` is expansion of glaze less clay from the setting temperature to the room [1e-6/K]; stresses
    [MPa] are positive in tension; probabilities are fractions, ``at_once`` a part of ``crazing``."""

    set_degC: Array
    mismatch: Array
    stress_MPa: Array
    stress_sigma_MPa: Array
    at_once_probability: Array
    crazing_probability: Array
    shivering_probability: Array
    sound_probability: Array


def fit_arrays(
    glaze_value: ArrayLike,
    glaze_sigma: ArrayLike,
    set_degC: ArrayLike | None,
    modulus_GPa: ArrayLike | None,
    body: BodyExpansion,
    *,
    set_sigma_K: ArrayLike = 0.0,
    coat: Coat | None = None,
    glaze_to_degC: float = GLAZE_TO_DEGC,
) -> FitArrays:
    """Stress and probabilities of n glazes on one clay.

    Parameters
    ----------
    glaze_value, glaze_sigma
        Mean linear expansion 20 degC to ``glaze_to_degC`` and its standard deviation [1e-6/K], shape (n,).
    set_degC, set_sigma_K
        Setting temperature (see :func:`glazecalc.models.coat.setting_temperature`) and its deviation, (n,)
        or numbers; None where no transition estimate is at hand.
    modulus_GPa
        Young's modulus of the glaze [GPa], (n,) or a number; None for the usual one.
    body
        The clay, from :func:`glazecalc.models.body.known_body`.
    """
    unknown = figure("set_temperature_unknown")
    value = np.atleast_1d(np.asarray(glaze_value, dtype=float))
    top = np.broadcast_to(np.asarray(unknown.value if set_degC is None else set_degC, dtype=float), value.shape)
    top_sigma = np.asarray(unknown.sigma if set_degC is None else set_sigma_K, dtype=float)
    body_strain, body_sigma = body.strain(top)
    strain = glaze_strain(value, top, glaze_to_degC) - body_strain
    span = top - figure("room_temperature").value
    coat = coat or Coat()
    per_strain = stress_per_strain(modulus_GPa, body, coat)
    stress = per_strain * strain
    glaze_part = per_strain * glaze_strain(np.asarray(glaze_sigma, dtype=float), top, glaze_to_degC)
    rest = np.hypot(body_sigma, unshared_rise(value, top, glaze_to_degC)) * per_strain
    rest = np.sqrt(rest**2 + (stress * top_sigma / span) ** 2 + figure("piece_scatter").value ** 2)
    growth, growth_sigma = per_strain * body.growth, per_strain * body.growth_sigma
    parts = [
        (outcomes(stress, np.hypot(width * glaze_part, rest), growth, growth_sigma, coat.thickness_mm), share)
        for width, share in error_parts()
    ]
    once, crazes, shivers, sound = (
        sum(share * getattr(part, name) for part, share in parts) for name in ("at_once", "crazes", "shivers", "sound")
    )
    sigma = np.hypot(glaze_part, rest)
    return FitArrays(np.array(top), strain / span, stress, sigma, once, crazes, shivers, sound)


def unshared_rise(value: ArrayLike, set_degC: ArrayLike, quoted_to_degC: float) -> Array:
    """Deviation of the mismatch strain [1e-6] from doubt about how expansion rises above the quoted range.

    The clay's matrix rises alike, so half of that doubt cancels.
    """
    top = np.asarray(set_degC, dtype=float)
    span = top - figure("room_temperature").value
    return 0.5 * figure("rise_per_K").sigma * np.asarray(value, dtype=float) * (top - quoted_to_degC) * span


def stress_per_strain(modulus_GPa: ArrayLike | None, body: BodyExpansion, coat: Coat) -> Array:
    """Stress in the coat for a mismatch strain of 1e-6 [MPa], shape of ``modulus_GPa`` (None: the usual
    one).
    """
    usual = figure("glaze_modulus").value
    given = np.asarray(usual if modulus_GPa is None else modulus_GPa, dtype=float)
    modulus = np.clip(np.where(np.isfinite(given), given, usual), *STIFFEST)
    thickness = figure("glaze_thickness").value if coat.thickness_mm is None else coat.thickness_mm
    glaze = biaxial_modulus(modulus, figure("glaze_poisson").value)
    clay = biaxial_modulus(body.modulus_GPa, body.poisson)
    return coat_stress(1.0, glaze, clay, thickness, body.wall_mm, coat.sides)


def fit(
    expansion: Estimate,
    body: Body,
    *,
    transition: Estimate | None = None,
    modulus: Estimate | None = None,
    cone: Cone | None = None,
    learned: Estimate | None = None,
    reasoned: Estimate | None = None,
) -> Fit:
    """Fit of one glaze, given by its estimates, on one clay; ``expansion`` is that of the coat on ware.

    ``learned`` is the clay's expansion from tiles (:func:`glazecalc.jobs.tiled.learned_body_expansion`),
    ``reasoned`` that from its recipe (:func:`glazecalc.jobs.body.reasoned_body_expansion`)."""
    clay = known_body(body, cone, learned, reasoned)
    sigma = sigma_of(expansion.low, expansion.high)
    top, top_sigma = setting_point(transition)
    stiffness = None if modulus is None or modulus.extrapolated else modulus.value
    shifts = np.linspace(-4.0, 4.0, 161)
    values, here = (expansion.low + expansion.high) / 2.0 + shifts, len(shifts) // 2
    moved = fit_arrays(values, np.full(shifts.shape, sigma), top, stiffness, clay, set_sigma_K=top_sigma)
    best = int(np.argmax(moved.sound_probability))
    given = [e for e in (expansion, transition) if e is not None]
    extrapolated = any(e.extrapolated for e in given) or clay.basis is Basis.EXTRAPOLATED
    crazing, shivering = float(moved.crazing_probability[here]), float(moved.shivering_probability[here])
    basis = Basis.EXTRAPOLATED if extrapolated else Basis.MODEL
    sources = tuple(dict.fromkeys((*expansion.sources, *clay.sources, *_FIT_SOURCES)))
    stress, half = float(moved.stress_MPa[here]), NINETY * float(moved.stress_sigma_MPa[here])
    setting = phrase("from setting at {:.0f degC} to {20 degC}", top)
    words = ("tension is positive; compression is good up to a point", setting)
    return Fit(
        crazing=crazing,
        at_once=float(moved.at_once_probability[here]),
        shivering=shivering,
        sound=float(moved.sound_probability[here]),
        to_sound=float(shifts[best]) / (1.0 - figure("body_uptake").value),
        best_sound=float(moved.sound_probability[best]),
        porous=clay.growth > 0.2 * figure("moisture_strain_most").value,
        extrapolated=extrapolated,
        clay_known=clay.basis is not Basis.TYPICAL,
        estimates=(
            body_estimate(clay, top),
            Estimate("layer_stress", stress, stress - half, stress + half, "MPa", basis, sources, words),
            # a probability already averages over what is not known, so its interval is itself
            Estimate("crazing_probability", crazing, crazing, crazing, "1", basis, sources, (_METHOD,)),
            Estimate("shivering_probability", shivering, shivering, shivering, "1", basis, sources, (_METHOD,)),
        ),
    )


def with_chances(
    base: Fit, crazes: float, once: float, shivers: float, words: tuple[str, ...] = (), basis: Basis | None = None
) -> Fit:
    """``base`` with other chances [fractions]; ``words`` say what told them, ``basis`` what they rest on then."""
    crazes = min(crazes, 1.0 - shivers)
    chances = {"crazing_probability": crazes, "shivering_probability": shivers}
    estimates = [
        replace(old, value=p, low=p, high=p, basis=basis or old.basis, caveats=(*old.caveats, *words))
        if (p := chances.get(old.name)) is not None else old
        for old in base.estimates
    ]  # fmt: skip
    return replace(
        base, estimates=tuple(estimates), crazing=crazes, at_once=min(once, crazes), shivering=shivers,
        sound=max(1.0 - crazes - shivers, 0.0),
    )  # fmt: skip


FAULTY_AND_USED: Final = 0.5
"""How likely people go on using a glaze that crazes or shivers, against one that stays sound (judgement, no source)."""


def used_by_people(base: Fit, proven: str) -> Fit:
    """``base`` with the weak evidence that people use this card for such ware: a faulty glaze is kept half as often.

    Not where tiles of the glaze itself say more.
    """
    if base.own is not None or base.extrapolated:
        return base
    total = base.sound + FAULTY_AND_USED * (1.0 - base.sound)
    factor = FAULTY_AND_USED / total
    words = (f"the card says that people use it for {proven}: faults counted half as likely",)
    less = with_chances(base, factor * base.crazing, factor * base.at_once, factor * base.shivering, words)
    return replace(less, proven=proven)


# A glaze's expansion carried from the range it is quoted over to where the glaze sets, as the clay's is quoted.


def setting_point(transition: Estimate | None) -> tuple[float, float]:
    """Where the glaze sets and the standard deviation of that [degC, K]; the usual one without a transition."""
    if transition is None:
        unknown = figure("set_temperature_unknown")
        return unknown.value, unknown.sigma
    value, sigma = setting_temperature(transition.value, sigma_of(transition.low, transition.high))
    return float(value), float(sigma)


def carrying_factor(set_degC: float) -> float:
    """Mean expansion from room temperature to ``set_degC`` [degC] over that to the quoted end of the range."""
    span = set_degC - figure("room_temperature").value
    return float(glaze_strain(1.0, set_degC, GLAZE_TO_DEGC)) / span


def carried_expansion(expansion: Estimate, set_degC: float) -> Estimate:
    """The glaze's mean expansion [1e-6/K] from room temperature to where it sets: to be set beside the clay's."""
    factor = carrying_factor(set_degC)
    caveat = phrase(
        "mean from {:.0f degC}, carried on from {:.2f} over {:.0f degC}; this is the figure to set beside the clay's",
        (20, set_degC), expansion.value, (20, GLAZE_TO_DEGC),
    )  # fmt: skip
    return replace(
        expansion,
        name="expansion_to_setting",
        value=expansion.value * factor,
        low=expansion.low * factor,
        high=expansion.high * factor,
        caveats=(*expansion.caveats, caveat),
    )
