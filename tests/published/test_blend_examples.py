"""Blends against plans and formulas printed elsewhere; each figure's source is in the YAML beside."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import yaml

from glazecalc.chemistry.batches import addition_parts, line_parts, mix, square_parts, triaxial_parts
from glazecalc.chemistry.composition import CONVENTIONS, compose, material_table, unity
from glazecalc.values.inputs import Material
from glazecalc.values.oxides import INDEX

DATA = yaml.safe_load((Path(__file__).parent / "slurry_and_blends.yaml").read_text(encoding="utf-8"))
BLENDS = {row["id"]: row for row in DATA["blends"]}
IDEAL = material_table([
    Material(name=name, kind="ideal", formula=formula, spread_percent=0.0)
    for name, formula in (
        ("Feldspar", "K2O.Al2O3.6SiO2"), ("Quartz", "SiO2"), ("Marble", "CaCO3"), ("Kaolin", "Al2O3.2SiO2.2H2O"),
    )
])  # fmt: skip


def formula(amounts):
    return unity(compose(np.atleast_2d(amounts), IDEAL).moles, CONVENTIONS["customary"])


@pytest.mark.parametrize(("members", "points"), [(3, 6), (4, 10), (5, 15), (6, 21), (11, 66)])
def test_points_of_a_triangle(members, points):
    """The triangular numbers n (n + 1) / 2 (any book of arithmetic)."""
    parts = triaxial_parts(members)
    assert parts.shape == (points, 3)
    assert set(parts.sum(axis=1)) == {members - 1}
    assert len({tuple(row) for row in parts.tolist()}) == points


def test_seger_line_of_kaolin():
    """Seger 1886, Dingler 261 p. 39: equal steps of kaolin on a fixed base are equal steps of the formula."""
    ends = np.array([[278.5, 180, 50, 0], [278.5, 180, 50, 194.25]])
    members = BLENDS["kaolin_line"]["members"]
    found = formula(mix(line_parts(len(members)) / (len(members) - 1), ends))
    for row, member in zip(found, members, strict=True):
        assert row[INDEX["K2O"]] == pytest.approx(0.5, abs=0.005)
        assert row[INDEX["CaO"]] == pytest.approx(0.5, abs=0.005)
        assert row[INDEX["Al2O3"]] == pytest.approx(member["Al2O3"], abs=0.01)
        assert row[INDEX["SiO2"]] == pytest.approx(member["SiO2"], abs=0.03)
    steps = np.diff(found, axis=0)
    assert steps == pytest.approx(np.repeat(steps[:1], 3, axis=0), abs=1e-9)


def test_the_same_members_as_additions_over_a_base():
    """The same line as a base with 0, 1, 2, 3 steps of kaolin over it."""
    step = 64.75 / 508.5 * 100
    parts = addition_parts([0, round(step, 3), round(2 * step, 3), round(3 * step, 3)])
    base = np.array([278.5, 180, 50, 0]) / 508.5
    found = formula(mix(parts, [base, [0, 0, 0, 1]]))
    wanted = [member["Al2O3"] for member in BLENDS["kaolin_line"]["members"]]
    assert found[:, INDEX["Al2O3"]] == pytest.approx(wanted, abs=0.01)


def test_a_line_by_weight_between_unlike_bases_does_not_move_in_equal_steps():
    """Only on one base do equal parts by weight give equal steps."""
    ends = np.array([[278.5, 180, 50, 0], [278.5, 180, 50, 194.25]])
    by_weight = ends / ends.sum(axis=1, keepdims=True)
    steps = np.diff(formula(mix(line_parts(4), by_weight))[:, INDEX["Al2O3"]])
    assert steps.max() - steps.min() > 0.02


def test_seger_grid_of_alumina_and_silica():
    """Seger 1886, Dingler 261 p. 40: 0.2 K2O 0.8 CaO, Al2O3 .2 to .6 by SiO2 2 to 6, 25 members."""
    kaolin, quartz = 258.16, 60.084

    def corner(alumina, silica):
        clay = alumina - 0.2
        free = silica - 1.2 - 2 * clay
        return [0.2 * 556.66, free * quartz, 0.8 * 100.09, clay * kaolin]

    corners = [corner(0.2, 2), corner(0.2, 6), corner(0.6, 2), corner(0.6, 6)]
    parts = square_parts(5, 5)
    assert len(parts) == 25
    found = formula(mix(parts / 16, corners))
    alumina, silica = np.meshgrid([0.2, 0.3, 0.4, 0.5, 0.6], [2, 3, 4, 5, 6], indexing="ij")
    assert found[:, INDEX["Al2O3"]] == pytest.approx(alumina.ravel(), abs=0.003)
    assert found[:, INDEX["SiO2"]] == pytest.approx(silica.ravel(), abs=0.02)
    melts_first = found[np.argmin(np.abs(found[:, INDEX["Al2O3"]] - 0.5) + np.abs(found[:, INDEX["SiO2"]] - 4))]
    assert melts_first[INDEX["Al2O3"]] == pytest.approx(0.5, abs=0.003)
