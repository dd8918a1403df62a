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

DATA = yaml.safe_load((Path(__file__).parent / "slurry_and_blends.yaml").read_text(encoding="utf-8"))
HANDBOOK = DATA["slurry"][0]


@pytest.mark.parametrize(("gravity", "solids"), [(1.5, 2.5), (1.5, 2.6), (1.75, 2.5), (1.3, 2.5)])
def test_dry_in_a_litre_by_brongniart(gravity: float, solids: float) -> None:
    """Brongniart's formula, after M. Cardew, Pioneer Pottery, p. 269: (weight of a litre - 1000) G / (G - 1).

    The numbers are invented.
    """
    wanted = (1000 * gravity - 1000) * solids / (solids - 1)
    assert 1000 * float(dry_per_mL(gravity, solids)) == pytest.approx(wanted)
    assert float(dry_in_mass(1000 * gravity, gravity, solids)) == pytest.approx(wanted)
    assert float(water_g(wanted, gravity, solids)) == pytest.approx(1000 * gravity - wanted)
    assert wanted != pytest.approx(1000 * gravity - 1000, rel=0.3), "what it weighs above water is not what is dry"


def test_water_to_take_from_a_batch() -> None:
    """Numbers invented: 14 kg dry with solids of 2.5 hold 11.2 kg of water at 1.5 and 5.6 kg at 1.75."""
    assert float(water_g(14000, 1.5, 2.5)) == pytest.approx(11200)
    assert float(water_g(14000, 1.75, 2.5)) == pytest.approx(5600)
    assert water_to_change(14000, 1.5, 1.75, 2.5) == pytest.approx(-5600)


@pytest.mark.parametrize("row", HANDBOOK["table"], ids=lambda row: f"sg {row['sg']}")
def test_handbook_table(row):
    """Handbook for Australian Potters (Harrison et al.), 14 rows; stated tolerance 0.5 g and 0.5 mL."""
    solids = HANDBOOK["solids_density"]
    assert 1000 * float(dry_per_mL(row["sg"], solids)) == pytest.approx(row["dry_g_per_l"], abs=0.51)
    assert float(volume_mL(100, row["sg"], solids)) == pytest.approx(row["ml_per_100g_dry"], abs=0.51)
    assert float(slurry_density(dry_per_mL(row["sg"], solids), solids)) == pytest.approx(row["sg"])


def test_the_handbook_table_has_14_rows():
    assert len(HANDBOOK["table"]) == 14


@pytest.mark.parametrize("pint_oz", [26.0, 28.0, 30.0, 32.0])
def test_ounces_per_imperial_pint_and_grams_per_litre_agree(pint_oz):
    """M. Cardew, Pioneer Pottery, p. 269: (P - 20) g / (g - 1), P the ounces of a pint.

    An imperial pint of water weighs 20 oz and measures 20 imperial fluid ounces of 28.4130625 mL.
    """
    ounce_g, pint_mL, solids = convert(1, "oz", "g", "mass"), 20 * 28.4130625, 2.5
    metric = float(dry_per_mL(pint_oz * ounce_g / pint_mL, solids)) * pint_mL / ounce_g
    assert metric == pytest.approx((pint_oz - 20) * solids / (solids - 1), abs=0.08)  # 20 oz of water fall 1.3 mL short


def test_shrinkage_and_absorption_by_their_definitions():
    """ASTM C326 (shrinkage of the wet length) and ASTM C373 (absorption of the dry weight); numbers invented."""
    assert [shrinkage_percent(100, fired) for fired in (90, 87)] == pytest.approx([10, 13])
    assert shrinkage_percent(94.0, 87.42) == pytest.approx(7.0)
    assert absorption_percent(250.0, 255.0) == pytest.approx(2.0)


def test_two_stages_of_shrinkage_multiply():
    """Numbers invented: 1 - 0.94 x 0.93; 6 % and 7 % give 12.58 %, not 13 %."""
    dry_mm = length_after_mm(100, 6)
    assert shrinkage_percent(100, length_after_mm(dry_mm, 7)) == pytest.approx(12.58, abs=0.005)


def test_moist_kaolin():
    """H. Norsker, J. Danisch, Glazes for the Self-reliant Potter (GTZ, 1993), section 16.3.1.

    100 g of the damp kaolin dry to 92 g: 8.7 % of the dry weight; 3500 g need 304.5 g more, with the rounded figure.
    """
    assert round(100 * (100 - 92) / 92, 1) == 8.7
    assert weighed_moist(3500, 8.7) == pytest.approx(3804.5)
    assert weighed_moist(3500, 8.7) - 3500 == pytest.approx(304.5)
