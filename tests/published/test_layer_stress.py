"""Stress in a coat against published closed forms, their limits, and finite elements of the layered plate."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

from glazecalc.models.coat import (
    biaxial_modulus,
    coat_stress,
    normal_cdf,
    thin_coat_stress,
)

# KINGERY below: W. D. Kingery, H. K. Bowen, D. R. Uhlmann, Introduction to Ceramics, 2nd ed. 1976 (from
# memory)


def test_thin_coat_worked_size():
    # Thin coat: stress = E/(1-nu) x mismatch x temperature difference; 0.5 and 1.0e-6/K over 550 K with
    # E/(1-nu) = 70/0.78 GPa are about 25 and 49 MPa. Source: KINGERY's formula, worked by hand.
    stiff = biaxial_modulus(70.0, 0.22)
    assert thin_coat_stress(stiff, 0.5 * 550.0) == pytest.approx(24.68, abs=0.01)
    assert thin_coat_stress(stiff, 1.0 * 550.0) == pytest.approx(49.36, abs=0.01)


@given(st.floats(-3000, 3000), st.floats(20, 120), st.floats(20, 120))
def test_thin_limit(strain, glaze, body):
    stress = coat_stress(strain, glaze, body, 1e-7, 6.0)
    assert stress == pytest.approx(float(thin_coat_stress(glaze, strain)), rel=1e-5, abs=1e-9)


@given(st.floats(0.01, 3), st.floats(1, 20), st.sampled_from([1, 2]))
def test_forces_balance_and_coat_and_wall_end_equally_long(coat, wall, sides):
    stress = coat_stress(500.0, 90.0, 60.0, coat, wall, sides)
    in_wall = -sides * stress * coat / wall
    strain = (stress / 90.0 - in_wall / 60.0) * 1e3
    assert strain == pytest.approx(500.0)


@given(st.floats(0.001, 1.0))
def test_cylinder_with_equal_moduli(ratio):
    # KINGERY: a cylinder's glaze bears E eps A_b / (A_b + A_g).
    assert coat_stress(1000.0, 70.0, 70.0, ratio, 1.0, 1) == pytest.approx(70.0 / (1.0 + ratio))


def test_equal_thickness_and_moduli_share_the_strain():
    # Two equal layers held flat: each takes half of the mismatch (from memory, any textbook of mechanics).
    assert coat_stress(1000.0, 70.0, 70.0, 1.0, 1.0, 1) == pytest.approx(35.0)


@given(st.floats(0.001, 0.05))
def test_slab_formula_is_near_the_flat_wall(j):
    # KINGERY: sigma = E eps (1 - 3 j + 6 j^2) for a thin glaze on a slab of equal modulus, j = h_g / h_b.
    printed = 70.0 * (1.0 - 3.0 * j + 6.0 * j**2)
    flat = float(coat_stress(1000.0, 70.0, 70.0, j, 1.0, 2))
    assert printed <= flat
    assert flat == pytest.approx(printed, rel=0.06)


def _disk(coats: tuple[int, ...], coat: float, wall: float, glaze: float, body: float, nus: tuple[float, float]):
    """Axisymmetric finite elements (4-node, 2 x 2 points) of a free disk with coats; mean radial stress in
    a coat.

    The glaze shrinks by 1e-3 more than the clay. Returns the mean radial stress of the top coat near the
    middle."""
    n_r, n_coat, n_wall, radius = 120, 4, 16, 15.0 * wall
    z_wall = np.linspace(0.0, wall, n_wall + 1)
    z = [*(-coat + coat * np.arange(n_coat) / n_coat)] if -1 in coats else []
    z = np.array([*z, *z_wall, *(wall + coat * np.arange(1, n_coat + 1) / n_coat)])
    r = np.linspace(0.0, radius, n_r + 1)
    node = np.arange((n_r + 1) * len(z)).reshape(n_r + 1, len(z))
    gauss = [(a / math.sqrt(3), b / math.sqrt(3)) for a in (-1, 1) for b in (-1, 1)]
    rows, cols, vals, force = [], [], [], np.zeros(2 * node.size)
    sampled: list[tuple[np.ndarray, np.ndarray, np.ndarray, float, float]] = []
    for i in range(n_r):
        for k in range(len(z) - 1):
            mid = 0.5 * (z[k] + z[k + 1])
            is_coat = not 0.0 < mid < wall
            stiffness, nu = (glaze, nus[0]) if is_coat else (body, nus[1])
            d = np.full((3, 3), nu) + np.eye(3) * (1 - 2 * nu)
            d = np.block([[d, np.zeros((3, 1))], [np.zeros((1, 3)), np.array([[(1 - 2 * nu) / 2]])]])
            d *= stiffness * 1e3 / ((1 + nu) * (1 - 2 * nu))
            free = np.array([1.0, 1.0, 1.0, 0.0]) * (-1e-3 if is_coat else 0.0)
            n = [node[i, k], node[i + 1, k], node[i + 1, k + 1], node[i, k + 1]]
            dof = np.array([x for m in n for x in (2 * m, 2 * m + 1)])
            ke, fe = np.zeros((8, 8)), np.zeros(8)
            a, b = (r[i + 1] - r[i]) / 2, (z[k + 1] - z[k]) / 2
            for s, t in gauss:
                shape = 0.25 * np.array([(1 - s) * (1 - t), (1 + s) * (1 - t), (1 + s) * (1 + t), (1 - s) * (1 + t)])
                ds = 0.25 * np.array([-(1 - t), 1 - t, 1 + t, -(1 + t)]) / a
                dt = 0.25 * np.array([-(1 - s), -(1 + s), 1 + s, 1 - s]) / b
                at = r[i] + a * (1 + s)
                strain = np.zeros((4, 8))
                strain[0, 0::2], strain[1, 0::2], strain[2, 1::2] = ds, shape / at, dt
                strain[3, 0::2], strain[3, 1::2] = dt, ds
                weight = at * a * b
                ke += strain.T @ d @ strain * weight
                fe += strain.T @ d @ free * weight
                if mid > wall and 0.2 * radius < at < 0.4 * radius:
                    sampled.append((dof, d[0] @ strain, d[0] @ free, weight / at, 0.0))
            rows.append(np.repeat(dof, 8)), cols.append(np.tile(dof, 8)), vals.append(ke.ravel())
            force[dof] += fe
    size = len(force)
    k = coo_matrix((np.concatenate(vals), (np.concatenate(rows), np.concatenate(cols))), (size, size)).tocsr()
    held = {2 * m for m in node[0]} | {2 * node[0, 0] + 1}
    keep = np.array([x for x in range(size) if x not in held])
    u = np.zeros(size)
    u[keep] = spsolve(k[keep][:, keep], force[keep])
    weights = sum(w for *_, w, _ in sampled)
    return sum(float(row @ u[dof] - free) * w for dof, row, free, w, _ in sampled) / weights


@pytest.mark.parametrize(("glaze", "body", "coat"), [(70.0, 70.0, 0.3), (70.0, 30.0, 0.25), (65.0, 80.0, 0.8)])
def test_coat_on_both_sides_against_finite_elements(glaze, body, coat):
    nus = (0.22, 0.20)
    mine = float(coat_stress(1000.0, biaxial_modulus(glaze, nus[0]), biaxial_modulus(body, nus[1]), coat, 6.0, 2))
    assert mine == pytest.approx(_disk((-1, 1), coat, 6.0, glaze, body, nus), rel=0.01)


def test_normal_integral_against_the_standard_library():
    x = np.random.default_rng(1).uniform(-9.0, 9.0, 20_000)
    exact = np.array([0.5 * math.erfc(-v / math.sqrt(2.0)) for v in x])
    assert np.max(np.abs(normal_cdf(x) - exact)) < 1e-10
