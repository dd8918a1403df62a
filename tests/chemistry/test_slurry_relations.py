"""Relations between slurry, water and solids that hold whatever the figures."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.chemistry.batches import (
    coat_grams,
    density_error,
    density_from_cup,
    dip_volume_mL,
    dry_in_mass,
    dry_per_mL,
    fired_thickness_mm,
    mixed_density,
    volume_mL,
    water_g,
    water_to_change,
)

solids = st.floats(2.0, 6.0)
gravity = st.floats(1.05, 1.9)
grams = st.floats(1, 1e5)


@given(grams, gravity, solids)
def test_solids_and_water_fill_the_slurry(dry, sg, rho):
    water = float(water_g(dry, sg, rho))
    volume = float(volume_mL(dry, sg, rho))
    assert dry + water == pytest.approx(volume * sg)
    assert dry / rho + water == pytest.approx(volume)


@given(grams, gravity, solids)
def test_dry_content_of_a_mass_of_slurry(mass, sg, rho):
    dry = float(dry_in_mass(mass, sg, rho))
    assert 0 < dry < mass
    assert float(water_g(dry, sg, rho)) == pytest.approx(mass - dry)


@given(grams, gravity, gravity, solids)
def test_thinning_and_thickening_undo_each_other(dry, now, wanted, rho):
    there = water_to_change(dry, now, wanted, rho)
    assert there == pytest.approx(-water_to_change(dry, wanted, now, rho), abs=1e-6 * dry)
    assert (there >= -1e-9) == (wanted <= now) or abs(there) < 1e-6 * dry


@given(st.lists(st.tuples(grams, solids), min_size=1, max_size=6))
def test_mixed_density_by_volumes(parts):
    """The density of a mixture of solids is its mass over the sum of the volumes."""
    mass, rho = [g for g, _ in parts], [d for _, d in parts]
    found, complete = mixed_density(mass, rho)
    assert complete
    assert found == pytest.approx(sum(mass) / sum(m / r for m, r in zip(mass, rho, strict=True)))
    assert min(rho) - 1e-9 <= found <= max(rho) + 1e-9


def test_an_unknown_density_is_taken_as_usual_and_said():
    found, complete = mixed_density([50, 50], [2.6, math.nan])
    assert not complete
    assert found == pytest.approx(2.6)


def test_a_cup_of_slurry():
    """Any cup does: (full - empty) / (its water), common practice."""
    assert density_from_cup(31, 185, 100) == pytest.approx(1.54)
    assert density_error(31, 185, 100, 0.1, 1.0) == pytest.approx(0.0154, abs=0.0005)
    with pytest.raises(ValueError, match="full cup"):
        density_from_cup(31, 30, 100)


def test_a_coat_of_a_millimetre():
    """1 mm over 1 cm2 is 0.1 cm3; half of it solid at 2.6 g/cm3 is 0.13 g, near 0.5 mm of glass (from memory: a dry
    coat of 1 to 2 mm melts down to 0.3 to 0.8 mm)."""
    per_cm2 = coat_grams(1, 1, 0.5, 2.6)
    assert per_cm2 == pytest.approx(0.13)
    assert 0.3 < fired_thickness_mm(per_cm2, 10, 2.5) < 0.8


def test_what_a_piece_displaces_need_not_be_mixed():
    full = dip_volume_mL(180, 130, 0)
    assert full == pytest.approx(math.pi * 9**2 * 13)
    assert full - dip_volume_mL(180, 130, 174) == pytest.approx(174)


def test_slurry_example_in_grams_a_litre_needs_solids_above_water():
    assert float(dry_per_mL(1.0, 2.6)) == 0
