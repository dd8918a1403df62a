"""Three hundred studios with a known clay and noisy tiles: does `learn` keep its word?

Run: ``python tests/bench/simulate_studios.py [--studios 300]``. Fixed seed; prints the figures that stand in
docs/models/learn.md.

Each studio has a clay whose true expansion is drawn from its class, a dozen glazes whose estimates are
wrong by draws with the errors of the expansion model on glazes of left-out papers (half of them within 0.34
and nine in ten within 1.05 x 1e-6/K: Student's t with 3 degrees of freedom, scaled), coats of unknown
strength, tiles that scatter, tests that bring out four in five of the later crazings, and two wrong records
in a hundred. The draws below are made straight from the physics, not through the code that learns."""

from __future__ import annotations

import argparse
import math
from dataclasses import dataclass, replace

import numpy as np

from glazecalc.models.body import BodyExpansion, known_body
from glazecalc.models.layer import glaze_strain
from glazecalc.models.strength import figure
from glazecalc.values.estimate import Basis, Estimate
from glazecalc.values.inputs import Body
from glazecalc.values.records import TileResult
from glazecalc.work.fit import Coat, fit_arrays, stress_per_strain
from glazecalc.work.learning.learn import (
    RESULTS,
    GlazeOnTile,
    Ground,
    TileEvidence,
    average_family,
    grid_quantiles,
    ground_of,
    likelihood_of,
)
from glazecalc.work.learning.next_tile import information_bits, result_chances

WARES = ("stoneware", "porcelain", "earthenware", "terracotta", "bone china", "other")
GLAZES = 14
TILES = 8
ERROR_SCALE = 0.34 / 0.7649
"""Scale of Student's t(3), whose median absolute value is 0.7649, for a median error of 0.34 x 1e-6/K."""
STATED_SIGMA = 0.756
"""Standard deviation the expansion model states for a glaze from a kiln in the middle of its range [1e-6/K]."""


@dataclass
class Glaze:
    """A glaze as stated and as it is."""

    stated: GlazeOnTile
    true_value: float
    strength: float
    limit: float


@dataclass
class Studio:
    """A clay as its class states it and as it is, and the studio's glazes."""

    stated: BodyExpansion
    true_clay: BodyExpansion
    glazes: list[Glaze]


def make_studio(rng: np.random.Generator) -> Studio:
    stated = known_body(Body(name="clay", ware=str(rng.choice(WARES))))
    value, sigma = stated.at_reference()
    true_value = float(np.clip(rng.normal(value, sigma), value - 3 * sigma, value + 3 * sigma))
    growth = max(rng.normal(stated.growth, stated.growth_sigma), 0.0)
    true_clay = replace(stated.with_reference(true_value, 0.0, Basis.MEASURED), growth=growth)
    glazes = []
    for i in range(GLAZES):
        estimate = rng.uniform(3.5, 9.0)
        top = rng.uniform(560.0, 680.0)
        thickness = float(np.exp(rng.normal(math.log(0.25), 0.2)))
        glazes.append(
            Glaze(
                GlazeOnTile(f"glaze {i}", estimate, STATED_SIGMA, top, 70.0, Coat(thickness)),
                float(np.clip(estimate + ERROR_SCALE * rng.standard_t(3), 1.0, 16.0)),
                figure("glaze_tensile").value * math.exp(figure("glaze_tensile").sigma_ln * rng.standard_normal()),
                figure("glaze_compressive").value
                * math.exp(figure("glaze_compressive").sigma_ln * rng.standard_normal()),
            )
        )
    return Studio(stated, true_clay, glazes)


def fire(rng: np.random.Generator, studio: Studio, glaze: Glaze, revealed: float) -> TileResult:
    """How one tile comes out, from the physics."""
    stated = glaze.stated
    set_degC = stated.set_degC + rng.normal(0.0, figure("set_above_transition").sigma)
    clay_strain, _ = studio.true_clay.strain(set_degC)
    strain = float(glaze_strain(glaze.true_value, set_degC)) - float(clay_strain)
    per_strain = float(stress_per_strain(stated.modulus_GPa, studio.true_clay, stated.coat))
    stress = per_strain * strain + rng.normal(0.0, figure("piece_scatter").value)
    factor = math.sqrt(figure("glaze_thickness").value / stated.coat.thickness_mm)
    use = figure("service_tension")
    in_use = stress + per_strain * studio.true_clay.growth + rng.normal(use.value, use.sigma)
    if -stress > factor * glaze.limit:
        return TileResult.SHIVERED
    if stress > factor * glaze.strength:
        return TileResult.CRAZED_AT_ONCE
    if in_use > factor * figure("fatigue_fraction").value * glaze.strength and rng.random() < revealed:
        return TileResult.CRAZED_LATER
    return TileResult.SOUND


def written_down(rng: np.random.Generator, result: TileResult) -> TileResult:
    return RESULTS[rng.integers(len(RESULTS))] if rng.random() < figure("record_slips").value else result


def learned(ground: Ground, joint: np.ndarray) -> Estimate:
    low, value, high = grid_quantiles(ground.thetas, joint.sum(axis=0), (0.05, 0.5, 0.95))
    return Estimate("body_expansion", value, low, high, "1e-6/K", Basis.LEARNED)


def learn_step(rng: np.random.Generator, studio: Studio, ground: Ground, joint: np.ndarray, glaze: Glaze) -> np.ndarray:
    revealed = figure("test_reveals").value
    result = written_down(rng, fire(rng, studio, glaze, revealed))
    likelihood = average_family(likelihood_of(ground, TileEvidence("t", glaze.stated, result, revealed)))
    joint = joint * likelihood
    return joint / joint.sum()


def run(studios: int, seed: int) -> dict[str, np.ndarray]:
    names = ("in90", "ratio", "best5", "random5", "p", "crazed", "q", "shivered", "s", "sound")
    rows: dict[str, list[float]] = {name: [] for name in names}
    for s in range(studios):
        rng = np.random.default_rng([seed, s])
        studio = make_studio(rng)
        ground = ground_of(studio.stated)
        tables = [result_chances(ground, g.stated) for g in studio.glazes]
        order = rng.permutation(GLAZES)
        truth = studio.true_clay.value
        joint = ground.joint_prior.copy()
        left = list(range(GLAZES))
        for step in range(TILES):
            best = max(left, key=lambda i: information_bits(joint, tables[i]))
            left.remove(best)
            joint = learn_step(np.random.default_rng([seed, s, best]), studio, ground, joint, studio.glazes[best])
            estimate = learned(ground, joint)
            if step == 4:
                rows["best5"].append(estimate.high - estimate.low)
            reliability(np.random.default_rng([seed, s, 1000 + step]), studio, estimate, left, rows)
        prior = learned(ground, ground.joint_prior)
        rows["in90"].append(float(estimate.low <= truth <= estimate.high))
        rows["ratio"].append((estimate.high - estimate.low) / (prior.high - prior.low))
        joint = ground.joint_prior.copy()
        for i in order[:5]:
            joint = learn_step(np.random.default_rng([seed, s, int(i)]), studio, ground, joint, studio.glazes[i])
        estimate = learned(ground, joint)
        rows["random5"].append(estimate.high - estimate.low)
    return {name: np.array(values) for name, values in rows.items()}


def reliability(
    rng: np.random.Generator, studio: Studio, estimate: Estimate, left: list[int], rows: dict[str, list[float]]
) -> None:
    """What the check would say of every glaze not fired yet, and how a piece of it comes out in use."""
    sigma = (estimate.high - estimate.low) / 3.28971
    clay = studio.stated.with_reference((estimate.low + estimate.high) / 2, sigma, Basis.LEARNED)
    for i in left:
        glaze = studio.glazes[i]
        stated = glaze.stated
        found = fit_arrays(
            [stated.value], [stated.sigma], stated.set_degC, stated.modulus_GPa, clay,
            set_sigma_K=figure("set_above_transition").sigma, coat=stated.coat,
        )  # fmt: skip
        result = fire(rng, studio, glaze, 1.0)
        rows["p"].append(float(found.crazing_probability[0]))
        rows["q"].append(float(found.shivering_probability[0]))
        rows["s"].append(float(found.sound_probability[0]))
        rows["crazed"].append(float(result in (TileResult.CRAZED_AT_ONCE, TileResult.CRAZED_LATER)))
        rows["shivered"].append(float(result is TileResult.SHIVERED))
        rows["sound"].append(float(result is TileResult.SOUND))


def bins(said: np.ndarray, happened: np.ndarray) -> list[tuple[float, float, float, int]]:
    """Ten bins: lower edge, mean said, share that happened, how many."""
    place = np.minimum((said * 10).astype(int), 9)
    return [
        (b / 10, float(said[place == b].mean()), float(happened[place == b].mean()), int((place == b).sum()))
        for b in range(10)
        if (place == b).any()
    ]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--studios", type=int, default=300)
    parser.add_argument("--seed", type=int, default=20)
    options = parser.parse_args()
    found = run(options.studios, options.seed)
    n = options.studios
    print(f"{n} studios, {TILES} well-chosen tiles each, seed {options.seed}")
    cover = found["in90"].mean()
    print(
        f"90 % interval holds the truth: {100 * cover:.1f} % (+- {100 * 1.96 * math.sqrt(cover * (1 - cover) / n):.1f})"
    )
    print(f"width against the class's: mean {found['ratio'].mean():.2f}, median {np.median(found['ratio']):.2f}")
    gain = found["random5"] - found["best5"]
    error = gain.std(ddof=1) / math.sqrt(n)
    print(
        f"width after 5 tiles: suggested {found['best5'].mean():.2f}, random {found['random5'].mean():.2f}, "
        f"difference {gain.mean():.2f} +- {1.96 * error:.2f} (paired)"
    )
    for title, said, happened in (("crazes", "p", "crazed"), ("shivers", "q", "shivered"), ("sound", "s", "sound")):
        print(f"reliability, {title}: said, happened, pieces")
        for edge, mean, share, count in bins(found[said], found[happened]):
            print(f"  {edge:.1f}-{edge + 0.1:.1f}  {mean:.2f}  {share:.2f}  {count}")


if __name__ == "__main__":
    main()
