"""Studios made up from the physics: a clay and glazes as they are and as they are stated, and how their tiles come out.

How far a glaze's estimate is off, and what deviation is stated for it, is drawn from the expansion model's own errors
on the measured glazes of the papers kept for testing, which no fit and no interval has seen. Coats have unknown
strengths (tension and compression drawn apart), transitions are off by their stated deviation, tiles scatter, tests
bring out four in five of the later crazings, and two records in a hundred are wrong. Nothing here is drawn through the
code that learns; what is said of clay and glazes comes from the functions that `learn` and `check` use."""

from __future__ import annotations

import csv
import lzma
import math
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

import numpy as np

from glazecalc.jobs.fit import Coat, Fit, stress_per_strain
from glazecalc.jobs.learn import RESULTS, GlazeOnTile, TileEvidence, glaze_on_tile
from glazecalc.jobs.tiled import Own, Taught, fit_on_taught
from glazecalc.models.body import BodyExpansion, known_body
from glazecalc.models.coat import figure, glaze_strain, setting_temperature
from glazecalc.models.expansion import melted_expansion
from glazecalc.values.answers import NINETY, Basis, Estimate
from glazecalc.values.inputs import Body, GivenExpansion
from glazecalc.values.records import TileResult
from training.held_out import FOLDER, read

ROOT = Path(__file__).resolve().parents[2]
WARES = ("stoneware", "porcelain", "earthenware", "terracotta", "bone china", "other")
GLAZES = 14
TRANSITION_SIGMA_K = 20.0
"""Stated deviation of a transition temperature, and what the true ones are drawn with [K]."""
KINDS = ("crazes", "shivers", "sound")
WHERE = ("no tile yet", "own tiles")


@cache
def error_papers() -> np.ndarray:
    """Number of the paper that each of the :func:`real_errors` is of, (n,)."""
    with (ROOT / "training" / "glaze_papers.csv").open(encoding="utf-8", newline="") as stream:
        source = {row["sciglass_id"]: row["source"] for row in csv.DictReader(stream)}
    with lzma.open(FOLDER / "expansion.csv.xz", "rt", encoding="utf-8", newline="") as stream:
        names = [source[row["record"]] for row in csv.DictReader(stream) if row["glaze"] == "1"]
    return np.unique(names, return_inverse=True)[1]


@cache
def real_errors() -> tuple[np.ndarray, np.ndarray]:
    """Errors (measured less estimated) and stated deviations on glazes of the test papers [1e-6/K], each (n,)."""
    held = read("expansion")
    said = melted_expansion(held.composition[held.glaze], practice="glaze")
    return held.values[held.glaze] - said.value, said.sigma


def drawn_error(rng: np.random.Generator) -> tuple[float, float, int]:
    """One glaze's error, the deviation stated for it [1e-6/K], and the number of its paper."""
    errors, sigmas = real_errors()
    i = int(rng.integers(len(errors)))
    return float(errors[i]), float(sigmas[i]), int(error_papers()[i])


@dataclass
class Glaze:
    """A glaze as stated and as it is."""

    estimates: dict[str, Estimate]
    stated: GlazeOnTile
    true_value: float
    true_set_degC: float
    strength: float
    limit: float
    paper: int


@dataclass
class Studio:
    """A clay as its class states it and as it is, and the studio's glazes."""

    body: Body
    true_clay: BodyExpansion
    glazes: list[Glaze]


@dataclass
class Said:
    """What was said of pieces and what happened, by kind of answer; ``studio`` and ``paper`` (n,) number where a
    piece was fired and which paper its glaze's error is of."""

    said: dict[str, list[float]] = field(default_factory=lambda: {k: [] for k in KINDS})
    happened: dict[str, list[float]] = field(default_factory=lambda: {k: [] for k in KINDS})
    studio: list[int] = field(default_factory=list)
    paper: list[int] = field(default_factory=list)


def _estimate(name: str, value: float, sigma: float, unit: str) -> Estimate:
    half = NINETY * sigma
    return Estimate(name, value, value - half, value + half, unit, Basis.MODEL)


def make_glaze(rng: np.random.Generator, i: int) -> Glaze:
    value, transition = rng.uniform(3.5, 9.0), rng.uniform(535.0, 655.0)
    error, sigma, paper = drawn_error(rng)
    found = {
        "expansion": _estimate("expansion", value, sigma, "1e-6/K"),
        "transition_temperature": _estimate("transition_temperature", transition, TRANSITION_SIGMA_K, "degC"),
        "youngs_modulus": _estimate("youngs_modulus", 70.0, 3.0, "GPa"),
    }
    tension, compression = figure("glaze_tensile"), figure("glaze_compressive")
    return Glaze(
        estimates=found,
        stated=glaze_on_tile(found, f"glaze {i}", float(np.exp(rng.normal(math.log(0.25), 0.2)))),
        true_value=max(value + error, 1.0),
        true_set_degC=float(setting_temperature(transition + rng.normal(0.0, TRANSITION_SIGMA_K))[0]),
        strength=tension.value * math.exp(tension.sigma_ln * rng.standard_normal()),
        limit=compression.value * math.exp(compression.sigma_ln * rng.standard_normal()),
        paper=paper,
    )


def make_studio(rng: np.random.Generator, figured: bool = False) -> Studio:
    """A studio whose clay is known by its class, or by a supplier's figure for another range of temperature."""
    if figured:
        return figured_studio(rng)
    body = Body(name="clay", ware=str(rng.choice(WARES)))
    stated = known_body(body)
    value, sigma = stated.at_reference()
    true_value = float(np.clip(rng.normal(value, sigma), value - 3 * sigma, value + 3 * sigma))
    growth = max(rng.normal(stated.growth, stated.growth_sigma), 0.0)
    true_clay = replace(stated.with_reference(true_value, 0.0, Basis.MEASURED), growth=growth)
    return Studio(body, true_clay, [make_glaze(rng, i) for i in range(GLAZES)])


def figured_studio(rng: np.random.Generator) -> Studio:
    """A clay of its class, with shares of quartz that act as doubtful as they are carried, and a supplier's figure of
    it from 20 to 500 degC that is off as such figures are."""
    ware = str(rng.choice(WARES))
    usual = known_body(Body(name="clay", ware=ware))
    shares = [max(share * (1.0 + 0.5 * rng.standard_normal()), 0.0) for share in (usual.quartz, usual.cristobalite)]
    drawn = replace(usual, quartz=shares[0], cristobalite=shares[1])
    true_clay = replace(
        drawn.with_reference(rng.normal(*usual.at_reference()), 0.0, Basis.MEASURED),
        growth=max(rng.normal(usual.growth, usual.growth_sigma), 0.0),
    )
    told = float(true_clay.mean_to(500.0)[0]) + rng.normal(0.0, figure("supplier_half_width").value / NINETY)
    given = GivenExpansion(value=round(max(told, 2.0), 1), from_degC=20.0, to_degC=500.0)
    body = Body(name="clay", ware=ware, expansion=given)
    return Studio(body, true_clay, [make_glaze(rng, i) for i in range(GLAZES)])


def fire(rng: np.random.Generator, studio: Studio, glaze: Glaze, coat: Coat, revealed: float) -> TileResult:
    """How one piece comes out, from the physics."""
    set_degC = glaze.true_set_degC + rng.normal(0.0, figure("set_above_transition").sigma)
    clay_strain, _ = studio.true_clay.strain(set_degC)
    strain = float(glaze_strain(glaze.true_value, set_degC)) - float(clay_strain)
    per_strain = float(stress_per_strain(glaze.stated.modulus_GPa, studio.true_clay, coat))
    stress = per_strain * strain + rng.normal(0.0, figure("piece_scatter").value)
    usual = figure("glaze_thickness").value
    factor = math.sqrt(usual / (coat.thickness_mm or usual))
    use = figure("service_tension")
    in_use = stress + per_strain * studio.true_clay.growth + rng.normal(use.value, use.sigma)
    if -stress > factor * glaze.limit:
        return TileResult.SHIVERED
    if stress > factor * glaze.strength:
        return TileResult.CRAZED_AT_ONCE
    if in_use > factor * figure("fatigue_fraction").value * glaze.strength and rng.random() < revealed:
        return TileResult.CRAZED_LATER
    return TileResult.SOUND


def fired_tile(rng: np.random.Generator, studio: Studio, i: int) -> TileEvidence:
    """The record of a tested tile of glaze ``i``, slips of the pen included."""
    revealed, glaze = figure("test_reveals").value, studio.glazes[i]
    result = fire(rng, studio, glaze, glaze.stated.coat, revealed)
    if rng.random() < figure("record_slips").value:
        result = RESULTS[rng.integers(len(RESULTS))]
    return TileEvidence(f"tile {i}", glaze.stated, result, revealed)


def width(estimate: Estimate) -> float:
    return estimate.high - estimate.low


def checked(studio: Studio, i: int, clay: Taught) -> Fit:
    """What `check` says of glaze ``i``: under its own tiles if it has some, else on the clay as the tiles leave it."""
    glaze = studio.glazes[i]
    if glaze.stated.family in clay.likelihoods:
        return fit_on_taught(glaze.estimates, studio.body, clay, own=Own(glaze.stated.family))
    return fit_on_taught(glaze.estimates, studio.body, clay)


def note(rng: np.random.Generator, studio: Studio, i: int, found: Fit, number: int, to: Said) -> None:
    """Write down what was said of glaze ``i`` and how a piece of it comes out in use."""
    result = fire(rng, studio, studio.glazes[i], Coat(), 1.0)
    crazed = result in (TileResult.CRAZED_AT_ONCE, TileResult.CRAZED_LATER)
    to.studio.append(number)
    to.paper.append(studio.glazes[i].paper)
    for kind, p, yes in zip(
        KINDS, (found.crazing, found.shivering, found.sound),
        (crazed, result is TileResult.SHIVERED, result is TileResult.SOUND), strict=True,
    ):  # fmt: skip
        to.said[kind].append(p)
        to.happened[kind].append(float(yes))
