"""What is left in a bucket, and how to add an oxide to it by percent of its dry content."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from glazecalc.chemistry.batches import (
    density_error,
    dry_in_mass,
    dry_per_mL,
    water_g,
    water_to_change,
    weigh_out,
    weighed_moist,
)
from glazecalc.jobs.amount import Wanted, check_gravity, gravity_of
from glazecalc.jobs.cautions import cautions, metals
from glazecalc.jobs.formula import formula_of
from glazecalc.jobs.materials import Pantry, ResolvedLine
from glazecalc.jobs.newcomers import material_warnings
from glazecalc.jobs.weigh import ready, solids_density, weigh_line
from glazecalc.values.answers import ProblemsError, did_you_mean, error
from glazecalc.values.inputs import Material, Recipe, RecipeLine, Scale
from glazecalc.values.results.weigh import BucketAddition, BucketResult

CUP_VOLUME_ERROR = 0.01
"""How far a cup's volume is usually off [fraction] (judgement)."""


@dataclass(frozen=True, slots=True)
class Bucket:
    """A bucket of slurry, by its volume [mL] or its mass without the bucket [g]; one of the two."""

    volume_mL: float | None = None
    mass_g: float | None = None


def in_bucket(
    recipe: Recipe,
    shelf: Pantry,
    scales: Sequence[Scale],
    bucket: Bucket,
    wanted: Wanted,
    additions: Sequence[tuple[str, float]] = (),
    *,
    to_gravity: float | None = None,
    tolerance_percent: float = 2.0,
) -> BucketResult:
    """The dry content of a bucket and the weights of ``additions`` (material, % of the dry content).

    ``wanted`` says how its density is known (``gravity`` or ``cup``); ``to_gravity`` is one to bring it to.

    Raises
    ------
    ProblemsError
        for an unknown material, a bucket that is not described, or a slurry that cannot be.
    """
    card = ready(recipe, shelf)
    gravity, why = gravity_of(wanted)
    solids = solids_density(card)
    for each in (gravity, to_gravity):
        if each is not None:
            check_gravity(each, solids.value)
    volume, mass, dry = _content(bucket, gravity, solids.value)
    lines = tuple(_addition(name, percent, dry, shelf, scales, tolerance_percent) for name, percent in additions)
    added = sum(line.line.dry_g for line in lines)
    damp = sum(line.line.target_g for line in lines) - added
    gravity_error = _gravity_error(wanted, scales)
    fired = formula_of(card.composition)
    coming = tuple(dict.fromkeys(w for name, _ in additions for w in material_warnings(named(name, shelf))))
    return BucketResult(
        recipe=recipe,
        specific_gravity=gravity,
        specific_gravity_error=gravity_error,
        solids_density=solids,
        slurry_mL=volume,
        slurry_g=mass,
        dry_g=dry,
        dry_error_percent=None if gravity_error is None else 100 * gravity_error / (gravity - 1),
        water_g=mass - dry,
        water_for_same_gravity_g=max(float(water_g(added, gravity, solids.value)) - damp, 0.0),
        additions=lines,
        wanted_gravity=to_gravity,
        water_to_wanted_g=None if to_gravity is None else water_to_change(dry, gravity, to_gravity, solids.value),
        reasons=(why, "percents are of everything dry in the bucket, additions already in it included"),
        cautions=(*coming, *cautions(card.batch, fired)),
        held=(*metals(fired), *coming),
        problems=card.problems,
    )


def _content(bucket: Bucket, gravity: float, solids: float) -> tuple[float, float, float]:
    """Volume [mL], mass [g] and dry matter [g] of a bucket."""
    if (bucket.volume_mL is None) == (bucket.mass_g is None):
        raise ProblemsError([error("bucket", "a bucket is given by its volume or by its net weight", "--bucket 3L")])
    if bucket.volume_mL is not None:
        volume = bucket.volume_mL
        return volume, volume * gravity, volume * float(dry_per_mL(gravity, solids))
    mass = bucket.mass_g or 0.0
    return mass / gravity, mass, float(dry_in_mass(mass, gravity, solids))


def _addition(
    name: str, percent: float, dry_g: float, shelf: Pantry, scales: Sequence[Scale], tolerance_percent: float
) -> BucketAddition:
    material = named(name, shelf)
    grams = dry_g * percent / 100
    weighed = weigh_out([weighed_moist(grams, material.moisture_percent)], scales)[0]
    resolved = ResolvedLine(RecipeLine(material=name, amount=percent, addition=True), material)
    return BucketAddition(material.name, percent, weigh_line(resolved, percent, grams, weighed, tolerance_percent))


def named(name: str, shelf: Pantry) -> Material:
    """The material of that name. Raises ProblemsError with suggestions if there is none."""
    material = shelf.find(name)
    if material is None:
        hint = did_you_mean(name, shelf.names()) or "list them with: glazecalc materials"
        raise ProblemsError([error("unknown-material", f"no material is called {name!r}", hint)])
    return material


def _gravity_error(wanted: Wanted, scales: Sequence[Scale]) -> float | None:
    """How far the density can be off [g/mL] when it was measured with a cup; None otherwise."""
    cup = wanted.cup
    if cup is None:
        return None
    step = min(s.resolution_g for s in scales)
    return density_error(cup.empty_g, cup.full_g, cup.volume_mL, step, CUP_VOLUME_ERROR * cup.volume_mL)
