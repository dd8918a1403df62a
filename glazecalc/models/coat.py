"""Stress in a thin coat that set on a clay at a high temperature and cooled with it.

Sign, here and everywhere: **tension is positive, compression negative**. A glaze wants to be in
compression, up to a point. Mismatch is expansion of the glaze less that of the clay, so a glaze that
shrinks more than its clay (positive mismatch) ends in tension and crazes.

Formulas: thin coat and thickness correction as in W. D. Kingery, H. K. Bowen, D. R. Uhlmann, Introduction to Ceramics,
2nd ed. 1976, ch. 12 (from memory); curvature S. Timoshenko, J. Opt. Soc. Am. 11 (1925) 233 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from glazecalc.models.expansion import normal_gauss
from glazecalc.values.answers import Basis, Estimate, sigma_of
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone
from glazecalc.values.data import TableFigure, figures, read_table, rows_as
from glazecalc.values.inputs import AtCone, Body
from glazecalc.values.oxides import ALKALINE_EARTHS, INDEX

# The normal distribution for arrays, without scipy: its integral, and nodes to average over a lognormal

_REACH: Final = 8.5
_PER_UNIT: Final = 128


@cache
def _table() -> tuple[Array, Array]:
    """Integral and density at the nodes of the table."""
    nodes = np.arange(-_REACH, _REACH + 0.5 / _PER_UNIT, 1.0 / _PER_UNIT)
    integral = np.array([0.5 * math.erfc(-x / math.sqrt(2.0)) for x in nodes.tolist()])
    return integral, np.exp(-0.5 * nodes**2) / math.sqrt(2.0 * math.pi)


def normal_cdf(x: ArrayLike) -> Array:
    """Probability that a standard normal quantity is below ``x``; any shape, within 1e-10 of the exact value.

    Not a number stays not a number.

    >>> [round(float(p), 6) for p in normal_cdf([0.0, 1.96])]
    [0.5, 0.975002]
    """
    integral, density = _table()
    at = np.clip(np.asarray(x, dtype=float), -_REACH, _REACH)
    index = np.rint((np.where(np.isnan(at), 0.0, at) + _REACH) * _PER_UNIT).astype(np.intp)
    node = index / _PER_UNIT - _REACH
    d = at - node
    series = 1.0 - d * (0.5 * node - d * (node * node - 1.0) / 6.0)
    value: Array = integral[index] + density[index] * d * series
    return value


# How much tension and compression a glaze coat bears, and the probability of each way a piece can come out.

STRENGTH_NODES: Final = 9
_AT_A_TIME: Final = 8192


def figure(name: str) -> TableFigure:
    """The row ``name`` of ``materials/strengths.csv``. Raises KeyError for an unknown name."""
    return figures("strengths")[name]


@cache
def lognormal_nodes(name: str, n: int = STRENGTH_NODES) -> tuple[Array, Array]:
    """Values and weights, each (n,), that average over the lognormal figure ``name``, in its unit."""
    row = figure(name)
    nodes, weights = normal_gauss(n)
    return row.value * np.exp(row.sigma_ln * nodes), weights


@dataclass(frozen=True, slots=True, eq=False)
class Outcomes:
    """Probabilities of how a piece comes out; they sum to one with ``at_once <= crazes``. Arrays of one shape.

    ``at_once``: crazed when it leaves the kiln. ``crazes``: crazed then or later in use. ``shivers``: the
    coat flakes off. ``sound``: neither, in use."""

    at_once: Array
    crazes: Array
    shivers: Array
    sound: Array


def outcomes(
    stress_MPa: ArrayLike,
    sigma_MPa: ArrayLike,
    growth_MPa: ArrayLike = 0.0,
    growth_sigma_MPa: ArrayLike = 0.0,
    coat_mm: float | None = None,
) -> Outcomes:
    """How a coat under ``stress_MPa`` +- ``sigma_MPa`` comes out, arrays of shape (n,) or numbers.

    A coat crazes at once where its stress passes the tension it bears. It crazes later where stress, the
    tension of use (chills) and the growth of a damp clay (``growth_MPa`` +- ``growth_sigma_MPa``) pass the
    share of that tension which glass bears for years. It shivers where its compression passes the other
    limit. ``coat_mm`` scales both limits (:func:`thickness_factor`).
    """
    given = (stress_MPa, sigma_MPa, growth_MPa, growth_sigma_MPa)
    arrays = np.broadcast_arrays(*(np.atleast_1d(np.asarray(a, dtype=float)) for a in given))
    starts = range(0, max(len(arrays[0]), 1), _AT_A_TIME)
    parts = [_outcomes([array[i : i + _AT_A_TIME] for array in arrays], thickness_factor(coat_mm)) for i in starts]
    return Outcomes(*np.concatenate(parts, axis=1))


@cache
def error_parts() -> tuple[tuple[float, float], ...]:
    """The error of a glaze's estimate as a mixture of two normal parts: pairs of width and share.

    Widths are multiples of the stated standard deviation. Half of the errors lie closer than a normal error's
    would and the tails reach further; the 90 % points are those of the normal error.
    """
    share = figure("error_core_share").value
    return (figure("error_core_width").value, share), (figure("error_tail_width").value, 1.0 - share)


def thickness_factor(coat_mm: float | None) -> float:
    """How much more (or less) a coat of this thickness bears than one of the usual thickness.

    A crack through the coat, and a flake off it, are driven by stress squared times thickness, so the limits
    fall as one over the root of the thickness: J. W. Hutchinson, Z. Suo, Adv. Appl. Mech. 29 (1992) 63 (from
    memory). Seger (1882) and Sproat (1923) saw it: a thicker glaze crazes sooner and more.
    """
    usual = figure("glaze_thickness").value
    return 1.0 if coat_mm is None else math.sqrt(usual / coat_mm)


def _outcomes(given: Sequence[Array], factor: float) -> Array:
    """The fields of :class:`Outcomes`, (4, n)."""
    mean, sigma, growth, growth_sigma = given
    tension, weights = lognormal_nodes("glaze_tensile")
    compression, _ = lognormal_nodes("glaze_compressive")
    use, fatigue = figure("service_tension"), figure("fatigue_fraction").value
    narrow = np.maximum(sigma, 1e-9)[:, None]
    wide = np.sqrt(sigma**2 + growth_sigma**2 + use.sigma**2)[:, None]
    in_use = (mean + growth + use.value)[:, None]
    at_once = normal_cdf((mean[:, None] - factor * tension) / narrow) @ weights
    later = normal_cdf((in_use - factor * fatigue * tension) / wide) @ weights
    shivers = normal_cdf((-mean[:, None] - factor * compression) / narrow) @ weights
    crazes = np.minimum(np.maximum(at_once, later), 1.0 - shivers)
    return np.stack([np.minimum(at_once, crazes), crazes, shivers, np.clip(1.0 - crazes - shivers, 0.0, 1.0)])


# The glaze as it lies on the ware: not the melt of its recipe alone.

_MATTE_FORMERS: Final = [INDEX[oxide] for oxide in (*ALKALINE_EARTHS, "Fe2O3", "P2O5", "Fe2O3", "P2O5")]
_ALKALIS: Final = [INDEX[oxide] for oxide in ("Li2O", "Na2O", "K2O")]


def matte_formers(mole_fractions: Array) -> Array:
    """CaO + MgO + SrO + BaO + 2 (Fe2O3 + P2O5), (n,): what crystals of mattes and iron glazes grow from; of (n, k)."""
    return np.asarray(mole_fractions[:, _MATTE_FORMERS].sum(axis=1))


def on_ware(value: ArrayLike, sigma: ArrayLike, mole_fractions: Array) -> tuple[Array, Array]:
    """Expansion of the fired coat from that of the glaze melted in bulk: value and deviation [1e-6/K], (n,).

    A thin coat dissolves silica and alumina from its clay, so a share ``body_uptake`` of it expands like the melt of a
    clay: coats of 0.1 to 0.15 mm were measured 1.0 to 1.5e-6/K lower than in bulk (H. Inada, J. Ceram. Assoc. Japan 86
    (1978) 107), glass taken off ware 10 to 20 % lower (G. E. Merritt, C. G. Peters, J. Am. Ceram. Soc. 9 (1926)). Melts
    rich in lime, magnesia, iron or phosphate grow crystals that expand less than their glass, and eat more clay: each
    mole fraction of CaO + MgO + SrO + BaO + 2 (Fe2O3 + P2O5) above ``crystals_from``, up to ``crystals_most``, takes
    ``crystal_relief``. Lithia grows crystals of spodumene's kind, which hardly expand, where soda and potash do not
    hold it in the glass: each mole fraction of Li2O times its share of the alkali takes ``lithia_relief``. Level and
    reliefs are fitted to practice (``docs/models/fit.md``). ``mole_fractions`` is (n, k) in the fixed oxide order.
    """
    x = np.atleast_2d(np.asarray(mole_fractions, dtype=float))
    rich = np.clip(matte_formers(x) - figure("crystals_from").value, 0.0, figure("crystals_most").value)
    relief, uptake, melt = figure("crystal_relief"), figure("body_uptake"), figure("body_melt_expansion").value
    lithia, lithia_relief = x[:, INDEX["Li2O"]], figure("lithia_relief")
    lithia = lithia**2 / np.maximum(x[:, _ALKALIS].sum(axis=1), 1e-9)
    glass = np.asarray(value, dtype=float) - relief.value * rich - lithia_relief.value * lithia
    kept = 1.0 - uptake.value
    wide = kept * figure("coat_spread").value * np.asarray(sigma, dtype=float)
    crystals = np.hypot(relief.sigma * rich, lithia_relief.sigma * lithia)
    doubt = np.sqrt(wide**2 + (uptake.sigma * (glass - melt)) ** 2 + (kept * crystals) ** 2)
    return kept * glass + uptake.value * melt, doubt


Sides = Literal[1, 2]


def setting_temperature(transition_degC: ArrayLike, transition_sigma_K: ArrayLike = 0.0) -> tuple[Array, Array]:
    """Where the glaze begins to grip the clay on cooling: value and standard deviation [degC], shapes of the inputs.

    Between the transition temperature and 50 K above it (row ``set_above_transition``).
    """
    above = figure("set_above_transition")
    value = np.asarray(transition_degC, dtype=float) + above.value
    return value, np.hypot(np.asarray(transition_sigma_K, dtype=float), above.sigma)


def biaxial_modulus(modulus_GPa: ArrayLike, poisson: ArrayLike) -> Array:
    """E / (1 - nu) [GPa]: what a coat held in two directions resists with."""
    return np.asarray(modulus_GPa, dtype=float) / (1.0 - np.asarray(poisson, dtype=float))


def thin_coat_stress(glaze_biaxial_GPa: ArrayLike, mismatch_strain_1e6: ArrayLike) -> Array:
    """Stress of a coat so thin that the clay does not yield [MPa]: biaxial modulus x mismatch strain [1e-6]."""
    return np.asarray(glaze_biaxial_GPa, dtype=float) * np.asarray(mismatch_strain_1e6, dtype=float) * 1e-3


def coat_stress(
    mismatch_strain_1e6: ArrayLike,
    glaze_biaxial_GPa: ArrayLike,
    body_biaxial_GPa: ArrayLike,
    coat_mm: ArrayLike,
    wall_mm: ArrayLike,
    sides: Sides = 2,
) -> Array:
    """Mean stress in a glaze coat on a wall that stays flat [MPa], tension positive.

    Balance of forces: sigma = E'g eps / (1 + s E'g hg / (E'b hb)), with ``sides`` s coats of ``coat_mm`` on
    a wall of ``wall_mm`` and the mismatch strain eps [1e-6]. The wall stays flat if it is glazed on both
    sides or closed (a cup, a tube); a plate glazed on one side bends and its coat bears a little less.
    Exact for any thickness and stiffness; tends to :func:`thin_coat_stress` as the coat thins."""
    glaze = np.asarray(glaze_biaxial_GPa, dtype=float)
    share = sides * glaze * np.asarray(coat_mm, dtype=float)
    share = share / (np.asarray(body_biaxial_GPa, dtype=float) * np.asarray(wall_mm, dtype=float))
    return thin_coat_stress(glaze, mismatch_strain_1e6) / (1.0 + share)


def glaze_strain(expansion_1e6: ArrayLike, set_degC: ArrayLike, quoted_to_degC: float = 300.0) -> Array:
    """How much a glaze shrinks from its setting temperature to the room [1e-6].

    The estimate is a mean from 20 degC to ``quoted_to_degC``; the mean to the setting temperature is higher
    by ``rise_per_K`` for each degree (row of the table, with its source)."""
    value, top = np.asarray(expansion_1e6, dtype=float), np.asarray(set_degC, dtype=float)
    return value * rise(top) / rise(quoted_to_degC) * (top - figure("room_temperature").value)


def rise(to_degC: ArrayLike) -> Array:
    """Mean expansion from 20 degC to ``to_degC`` of a glass or quartz-free clay, relative to the mean to 300 degC."""
    return 1.0 + figure("rise_per_K").value * (np.asarray(to_degC, dtype=float) - 300.0)


# What is usual of a class of ware, and what was measured of a clay at a cone: water it takes up, growth by damp.


class WareFigures(NamedTuple):
    """What is usual for one class of ware: expansion 20-600 degC with a 90 % interval [1e-6/K], acting shares of quartz
    and cristobalite [fraction], Young's modulus [GPa], Poisson's ratio, absorption with its range [%]."""

    ware: str
    expansion: float
    low: float
    high: float
    quartz: float
    cristobalite: float
    modulus_GPa: float
    poisson: float
    absorption_percent: float
    absorption_low: float
    absorption_high: float
    source: str


@cache
def ware_figures(ware: str, cone: Cone | None = None) -> WareFigures:
    """The row of ``materials/body_classes.csv`` for a class of ware; an unknown class is ``other``.

    Stoneware and porcelain fired to ``cone`` 8 or hotter are other clays than those of cone 4 to 7.
    """
    rows = {(row["ware"], row["from_cone"]): row for row in read_table("body_classes")}
    row = rows.get((ware, ""), rows["other", ""])
    if cone is not None:
        hot = [(Cone.parse(at).position, at) for name, at in rows if name == ware and at]
        fits = [at for position, at in hot if cone.position >= position]
        row = rows[ware, fits[-1]] if fits else row
    return rows_as(WareFigures, [row])[0]


class FoundAtCone(NamedTuple):
    """A percentage at a cone, whether it was measured there, and a word on how it was found."""

    percent: float
    measured: bool
    how: str


def at_cone(rows: Sequence[AtCone], cone: Cone | None) -> FoundAtCone | None:
    """The percentage for ``cone``: measured there, read between two measured cones, or None outside them.

    Without a cone the hottest measured one is meant.
    """
    if not rows:
        return None
    ordered = sorted(rows, key=lambda row: row.cone.position)
    cone = cone or ordered[-1].cone
    places = [row.cone.position for row in ordered]
    if not places[0] <= cone.position <= places[-1]:
        return None
    value = float(np.interp(cone.position, places, [row.percent for row in ordered]))
    if cone.position in places:
        return FoundAtCone(value, True, f"measured at cone {cone}")
    return FoundAtCone(value, False, "read between the measured cones")


def beside_measured(rows: Sequence[AtCone], cone: Cone | None) -> tuple[AtCone, bool] | None:
    """The measured percentage nearest to a ``cone`` outside the measured ones, and whether that cone is hotter."""
    if not rows or cone is None or at_cone(rows, cone) is not None:
        return None
    nearest = min(rows, key=lambda row: abs(row.cone.position - cone.position))
    return nearest, cone > nearest.cone


def absorption(body: Body, cone: Cone | None = None) -> Estimate:
    """Water absorption at ``cone`` [%]: measured, read between measured cones, or usual for the class.

    A clay fired hotter takes up no more water, and fired cooler no less, than measured (common practice, no source).
    """
    usual = ware_figures(body.ware)
    known = at_cone(body.absorption_percent, cone)
    if known is not None:
        value, measured, how = known
        half = 0.3 if measured else max(0.5, 0.2 * value)
        low = max(0.0, value - half)
        return Estimate("absorption", value, low, value + half, "%", Basis.SUPPLIER, (), (how,))
    value, low, high = usual.absorption_percent, usual.absorption_low, usual.absorption_high
    caveats = [
        f"usual for {usual.ware}; not measured at this cone" if body.ware != "other" else "class of clay unknown"
    ]
    beside = beside_measured(body.absorption_percent, cone)
    if beside is not None:
        row, hotter = beside
        if hotter:  # no more than measured
            low, high = (low, min(high, row.percent)) if low < row.percent else (0.0, row.percent)
        else:
            low, high = (max(low, row.percent), high) if row.percent < high else (row.percent, 1.5 * row.percent)
        value = value if low <= value <= high else (low + high) / 2.0
        caveats.append(f"no {'more' if hotter else 'less'} than the {row.percent:g} % measured at cone {row.cone}")
    return Estimate("absorption", value, low, high, "%", Basis.TYPICAL, (usual.source,), tuple(caveats))


def growth_by_damp(absorption_percent: Estimate) -> tuple[float, float]:
    """Strain by damp over years for a water absorption [%]: value and standard deviation [1e-6]."""
    per, most = figure("moisture_strain_per_absorption"), figure("moisture_strain_most")
    value = min(per.value * absorption_percent.value, most.value)
    from_rate = value * per.sigma / per.value
    from_absorption = per.value * sigma_of(absorption_percent.low, absorption_percent.high)
    return value, float(np.hypot(from_rate, min(from_absorption, most.sigma)))
