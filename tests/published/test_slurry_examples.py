"""Slurry, shrinkage and moisture against figures printed elsewhere; each figure's source is in the YAML beside."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from glazecalc.chemistry.batches import (
    absorption_percent,
    dry_in_mass,
    dry_per_mL,
    length_after_mm,
    shrinkage_percent,
    slurry_density,
    volume_mL,
    water_g,
    water_to_change,
    weighed_moist,
)
from glazecalc.values.units import convert

DATA = yaml.safe_load((Path(__file__).parent / "slurry_shrinkage_blends.yaml").read_text(encoding="utf-8"))
BY_ID = {row["id"]: row for part in ("slurry", "shrinkage_absorption", "blends") for row in DATA[part]}
HANDBOOK = BY_ID["F03"]


def test_altmann_1500_grams_a_litre():
    """F01: S. Altmann, Clayart archive 1998-01-30."""
    given, result = BY_ID["F01"]["given"], BY_ID["F01"]["result"]
    dry = 1000 * float(dry_per_mL(given["slop_g_per_l"] / 1000, given["solids_density"]))
    assert dry == pytest.approx(result["dry_g_per_l"], abs=0.05)
    assert given["slop_g_per_l"] - dry == pytest.approx(result["water_g_per_l"], abs=0.05)


def test_altmann_sample_of_100_cc_and_its_excess_water():
    """F02: S. Altmann, Clayart archive 1998-04-26."""
    given, result, target = (BY_ID["F02"][k] for k in ("given", "result", "target"))
    solids, gravity = given["solids_density"], given["sample_g"] / given["sample_cc"]
    dry = float(dry_in_mass(given["sample_g"], gravity, solids))
    assert dry == pytest.approx(result["dry_g"], abs=0.05)
    assert given["sample_g"] - dry == pytest.approx(result["water_g"], abs=0.05)
    assert 100 * (given["sample_g"] - dry) / dry == pytest.approx(result["water_percent_of_dry"], abs=0.05)
    batch = 1000 * given["dry_in_batch_kg"]
    assert float(water_g(batch, gravity, solids)) == pytest.approx(1000 * result["water_in_batch_kg"], abs=5)
    wanted = target["specific_gravity"]
    assert 1000 * float(dry_per_mL(wanted, solids)) == pytest.approx(target["dry_g_per_l"], abs=0.05)
    assert float(water_g(batch, wanted, solids)) == pytest.approx(1000 * target["water_kg"], abs=5)
    excess = -water_to_change(batch, gravity, wanted, solids)
    assert excess == pytest.approx(1000 * target["excess_water_kg"], abs=5)


@pytest.mark.parametrize("row", HANDBOOK["table"], ids=lambda row: f"sg {row['sg']}")
def test_handbook_table(row):
    """F03: Handbook for Australian Potters (Harrison et al.), 14 rows; stated tolerance 0.5 g and 0.5 mL."""
    solids = HANDBOOK["solids_density"]
    assert 1000 * float(dry_per_mL(row["sg"], solids)) == pytest.approx(row["dry_g_per_l"], abs=0.51)
    assert float(volume_mL(100, row["sg"], solids)) == pytest.approx(row["ml_per_100g_dry"], abs=0.51)
    assert float(slurry_density(dry_per_mL(row["sg"], solids), solids)) == pytest.approx(row["sg"])


def test_the_handbook_table_has_14_rows():
    assert len(HANDBOOK["table"]) == 14


@pytest.mark.parametrize("pint_oz", [26.0, 28.0, 30.0, 32.0])
def test_ounces_per_imperial_pint_and_grams_per_litre_agree(pint_oz):
    """F04: T. Buck, Clayart archive 2000-10-09, quoting M. Cardew, Pioneer Pottery p. 269; brackets as they must be.

    An imperial pint of water weighs 20 oz and measures 20 imperial fluid ounces of 28.4130625 mL.
    """
    ounce_g, pint_mL, solids = convert(1, "oz", "g", "mass"), 20 * 28.4130625, 2.5
    metric = float(dry_per_mL(pint_oz * ounce_g / pint_mL, solids)) * pint_mL / ounce_g
    cardew = (pint_oz - 20) * solids / (solids - 1)
    assert metric == pytest.approx(cardew, abs=0.08)  # 20 oz of water fall 1.3 mL short
    as_printed_there = pint_oz - 20 * (solids / solids - 1)
    assert metric != pytest.approx(as_printed_there, rel=0.2)


def test_the_wrong_example_is_wrong():
    """F05: Clayart archive 2004-01-19 takes what the sample weighs above water for its dry content."""
    gravity, solids = 65 / 50, 2.5
    taken_there = 65 - 50
    dry = float(dry_in_mass(65, gravity, solids))
    assert dry == pytest.approx(25.0, abs=1e-9)
    assert 65 - dry == pytest.approx(40.0, abs=1e-9)
    assert dry != pytest.approx(taken_there, rel=0.3)


def test_shrinkage_of_a_bar():
    """F06: J. Bozeman, Clayart archive 2000-09-16."""
    row = BY_ID["F06"]
    found = [shrinkage_percent(row["given"]["wet_mm"], fired) for fired in row["given"]["fired_mm"]]
    assert found == pytest.approx(row["result_percent"])


def test_shrinkage_and_absorption_by_their_definitions():
    """F07: ceramic-research.com, fired properties."""
    assert shrinkage_percent(94.0, 87.42) == pytest.approx(7.0)
    assert absorption_percent(250.0, 255.0) == pytest.approx(2.0)


def test_two_stages_of_shrinkage_multiply():
    """F08: 6 % and 7 % give 12.58 %, not 13 %."""
    dry_mm = length_after_mm(100, 6)
    assert shrinkage_percent(100, length_after_mm(dry_mm, 7)) == pytest.approx(12.58, abs=0.005)


def test_moist_kaolin():
    """A29: H. Norsker, J. Danisch, Glazes for the Self-reliant Potter (GTZ, 1993), section 16.3.1.

    100 g of the damp kaolin dry to 92 g: 8.7 % of the dry weight; 3500 g need 304.5 g more, with the rounded figure.
    """
    assert round(100 * (100 - 92) / 92, 1) == 8.7
    assert weighed_moist(3500, 8.7) == pytest.approx(3804.5)
    assert weighed_moist(3500, 8.7) - 3500 == pytest.approx(304.5)
