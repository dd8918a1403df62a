"""Will this glaze craze or shiver on this clay: stress and probabilities, for one glaze or a hundred
thousand.

Any model of the glaze will do: what is taken is (value, standard deviation) of its expansion, where it
sets, and its stiffness. Deterministic: closed forms and a fixed quadrature."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glazecalc.judge.fit import judge_fit
from glazecalc.models.body import BodyExpansion, body_estimate, known_body
from glazecalc.models.layer import Sides, biaxial_modulus, coat_stress, glaze_strain, setting_temperature
from glazecalc.models.normal import sigma_of
from glazecalc.models.strength import error_parts, figure, outcomes
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Body, Limits
from glazecalc.values.interval import NINETY
from glazecalc.values.verdict import Verdict

Array = NDArray[np.float64]

GLAZE_TO_DEGC: Final = 300.0
"""Upper end of the range the glaze's expansion estimate is a mean over, unless the caller says otherwise
[degC].
"""
_METHOD: Final = "normal stress against lognormal strengths, by Gauss-Hermite quadrature"
_FIT_SOURCES: Final = ("kingery_1976", "body_memory", "taylor_bull_1986", "static_fatigue")


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
    growth_MPa: Array
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
        Setting temperature (see :func:`glazecalc.models.layer.setting_temperature`) and its deviation, (n,)
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
    return FitArrays(
        np.array(top), strain / span, stress, sigma, growth,
        once, crazes, shivers, sound,
    )  # fmt: skip


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
    modulus = figure("glaze_modulus").value if modulus_GPa is None else modulus_GPa
    thickness = figure("glaze_thickness").value if coat.thickness_mm is None else coat.thickness_mm
    glaze = biaxial_modulus(modulus, figure("glaze_poisson").value)
    clay = biaxial_modulus(body.modulus_GPa, body.poisson)
    return coat_stress(1.0, glaze, clay, thickness, body.wall_mm, coat.sides)


@dataclass(frozen=True, slots=True)
class Fit:
    """One glaze on one clay: the estimates of the contract, and the numbers a judge needs.

    ``rests_on_extrapolation`` is true when no verdict may be given; ``mismatch`` [1e-6/K] and ``to_sound``
    [1e-6/K, how far the glaze's expansion would have to move for the likeliest soundness] say which way to
    move. ``clay_known`` is false where only what is usual of the clay's class or recipe is known."""

    estimates: tuple[Estimate, ...]
    crazing: float
    at_once: float
    shivering: float
    sound: float
    mismatch: float
    to_sound: float
    best_sound: float
    porous: bool
    rests_on_extrapolation: bool
    clay_known: bool = True

    def estimate(self, name: str) -> Estimate:
        """The estimate of that name. Raises KeyError if there is none."""
        for estimate in self.estimates:
            if estimate.name == name:
                return estimate
        raise KeyError(name)


def fit(
    expansion: Estimate,
    body: Body,
    *,
    transition: Estimate | None = None,
    modulus: Estimate | None = None,
    cone: Cone | None = None,
    learned: Estimate | None = None,
    reasoned: Estimate | None = None,
    coat: Coat | None = None,
    glaze_to_degC: float = GLAZE_TO_DEGC,
) -> Fit:
    """Fit of one glaze, given by its estimates, on one clay.

    ``learned`` is the clay's expansion from tiles (:func:`glazecalc.work.learning.tiled.learned_body_expansion`),
    ``reasoned`` that from its recipe (:func:`glazecalc.work.learning.body.reasoned_body_expansion`)."""
    clay = known_body(body, cone, learned, reasoned)
    sigma = sigma_of(expansion.low, expansion.high)
    centre = (expansion.low + expansion.high) / 2.0
    if transition is None:
        top, top_sigma = None, np.asarray(0.0)
    else:
        top, top_sigma = setting_temperature(transition.value, sigma_of(transition.low, transition.high))
    stiffness = None if modulus is None else modulus.value
    numbers = fit_arrays(
        [centre], [sigma], top, stiffness, clay, set_sigma_K=top_sigma, coat=coat, glaze_to_degC=glaze_to_degC
    )
    shifts = np.linspace(-4.0, 4.0, 161)
    moved = fit_arrays(
        centre + shifts, np.full(shifts.shape, sigma), top, stiffness, clay,
        set_sigma_K=top_sigma, coat=coat, glaze_to_degC=glaze_to_degC,
    )  # fmt: skip
    best = int(np.argmax(moved.sound_probability))
    weak = _extrapolated(expansion, transition, modulus, clay)
    return Fit(
        estimates=_estimates(numbers, moved, clay, expansion, weak),
        crazing=float(numbers.crazing_probability[0]),
        at_once=float(numbers.at_once_probability[0]),
        shivering=float(numbers.shivering_probability[0]),
        sound=float(numbers.sound_probability[0]),
        mismatch=float(numbers.mismatch[0]),
        to_sound=float(shifts[best]),
        best_sound=float(moved.sound_probability[best]),
        porous=clay.growth > 0.2 * figure("moisture_strain_most").value,
        rests_on_extrapolation=weak,
        clay_known=clay.basis is not Basis.TYPICAL,
    )


def _extrapolated(
    expansion: Estimate, transition: Estimate | None, modulus: Estimate | None, clay: BodyExpansion
) -> bool:
    given = [e for e in (expansion, transition, modulus) if e is not None]
    return any(e.extrapolated for e in given) or clay.basis is Basis.EXTRAPOLATED


def _estimates(
    numbers: FitArrays, moved: FitArrays, clay: BodyExpansion, expansion: Estimate, weak: bool
) -> tuple[Estimate, ...]:
    basis = Basis.EXTRAPOLATED if weak else Basis.MODEL
    stress, half = float(numbers.stress_MPa[0]), NINETY * float(numbers.stress_sigma_MPa[0])
    sources = tuple(dict.fromkeys((*expansion.sources, *clay.sources, *_FIT_SOURCES)))
    set_degC = float(numbers.set_degC[0])
    sign = "tension is positive; compression is good up to a point"
    layer = Estimate(
        "layer_stress", stress, stress - half, stress + half, "MPa", basis, sources,
        (sign, f"from setting at {set_degC:.0f} degC to 20 degC"),
    )  # fmt: skip
    return (
        body_estimate(clay, set_degC),
        layer,
        _probability("crazing_probability", numbers.crazing_probability, basis, sources),
        _probability("shivering_probability", numbers.shivering_probability, basis, sources),
    )


def _probability(name: str, value: Array, basis: Basis, sources: tuple[str, ...]) -> Estimate:
    """A probability already averages over what is not known, so its interval is itself."""
    p = float(value[0])
    return Estimate(name, p, p, p, "1", basis, sources, (_METHOD,))


def fit_verdict(found: Fit, body: str, limits: Limits | None = None) -> Verdict:
    """The verdict on ``found`` for the clay called ``body``."""
    return judge_fit(
        crazing=found.crazing,
        at_once=found.at_once,
        shivering=found.shivering,
        sound=found.sound,
        to_sound=found.to_sound,
        body=body,
        porous=found.porous,
        extrapolated=found.rests_on_extrapolation,
        best_sound=found.best_sound,
        clay_known=found.clay_known,
        limits=limits,
    )
