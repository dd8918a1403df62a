"""What a clay does between its glaze's setting temperature and the room: expansion, growth by damp, stiffness.

A clay's expansion is not linear. Its quartz shrinks by a step near 573 degC and its cristobalite near 220 degC, so a
figure quoted for one range is carried to another through a strain curve of three parts: a quartz-free matrix, whose
mean expansion rises slowly with the range (as glass does), and the shares of quartz and cristobalite that act
(``materials/body_classes.csv``) times their own curves (``materials/body_phases.csv``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from glazecalc.chemistry.oxides import MOLAR_MASSES, molar_mass
from glazecalc.models.additive import appen
from glazecalc.models.coat import WareFigures, absorption, figure, growth_by_damp, rise, ware_figures
from glazecalc.values.answers import NINETY, Basis, Estimate, sigma_of
from glazecalc.values.arrays import Array
from glazecalc.values.cones import Cone
from glazecalc.values.data import figures, read_table
from glazecalc.values.inputs import Body, GivenExpansion
from glazecalc.values.oxides import ALKALINE_EARTHS, ALKALIS, INDEX
from glazecalc.values.texts import phrase

REFERENCE_DEGC: Final = 600.0
"""A clay's expansion is kept and learned as the mean from room temperature to this temperature [degC]."""
_LEAST_MATRIX: Final = 2.0
"""The quartz-free part of a clay is not taken below this expansion [1e-6/K]; the quartz share gives way instead."""
_TO_500: Final = 0.65
"""Chance that a printed figure without a range is a mean to 500 degC rather than 600 (a judgement of this project)."""


def mean_over(to_degC: float) -> str:
    """The caveat of an estimate that is a mean from room temperature to ``to_degC``."""
    return phrase("mean from {:.0f degC}", (20, to_degC))


@cache
def _curve(phase: str) -> tuple[Array, Array]:
    rows = [row for row in read_table("body_phases") if row["phase"] == phase]
    return np.array([float(r["degC"]) for r in rows]), np.array([float(r["strain_1e6"]) for r in rows])


def phase_strain(phase: str, degC: ArrayLike) -> Array:
    """Linear strain of ``quartz`` or ``cristobalite`` from 20 degC to ``degC`` [1e-6], steps included."""
    return np.interp(np.asarray(degC, dtype=float), *_curve(phase))


@dataclass(frozen=True, slots=True)
class BodyExpansion:
    """A clay's expansion as a curve with its uncertainty, and what else the stress in its glaze depends on.

    ``value`` +- ``sigma`` [1e-6/K] is the mean from ``from_degC`` to ``to_degC``; ``quartz`` and
    ``cristobalite`` are the shares that act; ``growth`` +- ``growth_sigma`` is the strain by damp over
    years [1e-6]. ``reference``, where not None, is what else became known of the mean to :data:`REFERENCE_DEGC`:
    its value and deviation [1e-6/K], which replace those that follow from the figure."""

    value: float
    sigma: float
    from_degC: float
    to_degC: float
    quartz: float
    cristobalite: float
    modulus_GPa: float
    poisson: float
    wall_mm: float
    growth: float
    growth_sigma: float
    basis: Basis
    sources: tuple[str, ...]
    caveats: tuple[str, ...] = ()
    reference: tuple[float, float] | None = None

    def strain(self, to_degC: ArrayLike) -> tuple[Array, Array]:
        """Shrinkage from ``to_degC`` to room temperature and its standard deviation [1e-6], shapes of the input.

        The deviation joins that of the figure and half of the quartz and cristobalite shares where the
        range differs from the one the figure was quoted for. What ``reference`` says of its range moves
        and narrows the strain to any other temperature as far as the two go together (the mean and deviation
        of one normal quantity given another)."""
        value, parts = self._prior(to_degC)
        variance = (parts**2).sum(axis=0)
        if self.reference is None:
            return value, np.sqrt(variance)
        span = REFERENCE_DEGC - figure("room_temperature").value
        usual, own = self._prior(REFERENCE_DEGC)
        gain = np.tensordot(own, parts, axes=(0, 0)) / (own**2).sum()
        left = variance - gain**2 * (own**2).sum() + (gain * self.reference[1] * span) ** 2
        return value + gain * (self.reference[0] * span - usual), np.sqrt(np.maximum(left, 0.0))

    def _prior(self, to_degC: ArrayLike) -> tuple[Array, Array]:
        """Strain by the figure alone and the deviations from figure, quartz and cristobalite [1e-6], (3, ...)."""
        top = np.asarray(to_degC, dtype=float)
        scale = _matrix(top) / (_matrix(self.to_degC) - _matrix(self.from_degC))
        quartz, cristobalite = (  # what one whole share adds on going from the quoted range to the other
            phase_strain(phase, top) - (phase_strain(phase, self.to_degC) - phase_strain(phase, self.from_degC)) * scale
            for phase in ("quartz", "cristobalite")
        )
        quoted = self.to_degC - self.from_degC
        value = self.value * quoted * scale + self.quartz * quartz + self.cristobalite * cristobalite
        parts = [self.sigma * quoted * scale, 0.5 * self.quartz * quartz, 0.5 * self.cristobalite * cristobalite]
        return value, np.stack(np.broadcast_arrays(*parts))

    def mean_to(self, to_degC: ArrayLike) -> tuple[Array, Array]:
        """Mean expansion from room temperature to ``to_degC`` and its standard deviation [1e-6/K]."""
        value, sigma = self.strain(to_degC)
        span = np.asarray(to_degC, dtype=float) - figure("room_temperature").value
        return value / span, np.abs(sigma / span)

    def at_reference(self) -> tuple[float, float]:
        """Mean expansion from room temperature to :data:`REFERENCE_DEGC` and its deviation [1e-6/K]."""
        value, sigma = self.mean_to(REFERENCE_DEGC)
        return float(value), float(sigma)

    def given_reference(self, value: float, sigma: float, basis: Basis, caveats: Sequence[str] = ()) -> BodyExpansion:
        """The same clay when its mean to :data:`REFERENCE_DEGC` turned out as ``value`` +- ``sigma`` [1e-6/K].

        The figure is kept: what tiles tell is never spread wider over another range than the figure was."""
        return replace(self, reference=(value, sigma), basis=basis, caveats=tuple(caveats))

    def with_reference(self, value: float, sigma: float, basis: Basis, caveats: Sequence[str] = ()) -> BodyExpansion:
        """The same clay with another figure for 20 degC to :data:`REFERENCE_DEGC` [1e-6/K]."""
        room = figure("room_temperature").value
        changed = replace(self, value=value, sigma=sigma, basis=basis, reference=None, caveats=tuple(caveats))
        return _bounded(replace(changed, from_degC=room, to_degC=REFERENCE_DEGC))


def _matrix(degC: ArrayLike) -> Array:
    """Shape of the quartz-free strain from room temperature, arbitrary scale."""
    return rise(degC) * (np.asarray(degC, dtype=float) - figure("room_temperature").value)


def _bounded(body: BodyExpansion) -> BodyExpansion:
    """Give the quartz and cristobalite shares no more than leaves the matrix its least expansion."""
    span = body.to_degC - body.from_degC
    steps = sum(
        share * float(phase_strain(phase, body.to_degC) - phase_strain(phase, body.from_degC))
        for phase, share in (("quartz", body.quartz), ("cristobalite", body.cristobalite))
    )
    room = max((body.value - _LEAST_MATRIX) * span, 0.0)
    if steps <= room:
        return body
    return replace(body, quartz=body.quartz * room / steps, cristobalite=body.cristobalite * room / steps)


def known_body(
    body: Body,
    cone: Cone | None = None,
    learned: Estimate | None = None,
    reasoned: Estimate | None = None,
) -> BodyExpansion:
    """Everything the stress needs of a clay, from the best that is known of its expansion.

    ``learned`` (from tiles) beats a figure on the body, which beats ``reasoned`` (from its recipe), which beats the
    usual interval of its class. ``learned`` and ``reasoned`` are means from 20 degC to :data:`REFERENCE_DEGC`."""
    usual = ware_figures(body.ware, cone)
    growth, growth_sigma = growth_by_damp(absorption(body, cone))
    kind = f"for {usual.ware}" if body.ware != "other" else "for clays of any kind"
    base = BodyExpansion(
        value=usual.expansion,
        sigma=sigma_of(usual.low, usual.high),
        from_degC=20.0,
        to_degC=REFERENCE_DEGC,
        quartz=usual.quartz,
        cristobalite=usual.cristobalite,
        modulus_GPa=usual.modulus_GPa,
        poisson=usual.poisson,
        wall_mm=body.wall_mm or figure("wall_thickness").value,
        growth=growth,
        growth_sigma=growth_sigma,
        basis=Basis.TYPICAL,
        sources=(usual.source,),
        caveats=(f"no figure given: a wide interval usual {kind}",),
    )
    base = _bounded(base if body.expansion is None else _by_figure(base, usual, body, body.expansion))
    if reasoned is not None and body.expansion is None:
        half = sigma_of(reasoned.low, reasoned.high)
        changed = base.with_reference(reasoned.value, half, reasoned.basis, _bare(reasoned))
        base = replace(changed, sources=reasoned.sources or base.sources)
    if learned is None:
        return base
    changed = base.given_reference(learned.value, sigma_of(learned.low, learned.high), learned.basis, _bare(learned))
    return replace(changed, sources=learned.sources or base.sources)


def _bare(estimate: Estimate) -> tuple[str, ...]:
    """The caveats without the range of its mean, which :func:`body_estimate` adds for the range it converts to."""
    return tuple(caveat for caveat in estimate.caveats if caveat != mean_over(REFERENCE_DEGC))


def _by_figure(base: BodyExpansion, usual: WareFigures, body: Body, given: GivenExpansion) -> BodyExpansion:
    """The clay by the figure of its sheet or of a dilatometer."""
    measured = body.expansion_is_measured
    half = figure("measured_half_width" if measured else "supplier_half_width").value
    caveats: tuple[str, ...] = ()
    if given.to_degC is None:
        half = figure("supplier_range_unknown_half_width").value
        caveats = (phrase("no temperature range given: taken as {20 to 500 degC}, or less likely 20 to 600"),)
    low = given.low if given.low is not None else given.value - half
    high = given.high if given.high is not None else given.value + half
    clay = replace(
        base,
        value=given.value,
        sigma=max(sigma_of(low, high), 0.02),
        from_degC=given.from_degC,
        to_degC=given.to_degC or REFERENCE_DEGC,
        basis=Basis.MEASURED if measured else Basis.SUPPLIER,
        sources=tuple(filter(None, [given.source or body.source])),
        caveats=caveats,
    )
    if given.to_degC is None:
        clay = _either_range(clay)
    return clay if measured else _beside_class(_bounded(clay), usual)


def _beside_class(clay: BodyExpansion, usual: WareFigures) -> BodyExpansion:
    """A clay with a supplier's figure, and what is usual of its class, weighed by how sure each is.

    The less, the farther the figure lies from the class: at twice the class's deviation it counts half, as where it is
    one of few that are not of the usual kind (Cauchy's weight).
    """
    value, sigma = clay.at_reference()
    spread = sigma_of(usual.low, usual.high)
    weight = sigma**2 / (spread**2 * (1.0 + ((value - usual.expansion) / (2.0 * spread)) ** 2))
    both = (value + weight * usual.expansion) / (1.0 + weight)
    moved = both - value
    words = (f"set beside what is usual of {usual.ware}, which moves it by {moved:+.1f}",) if abs(moved) >= 0.05 else ()
    return replace(clay, reference=(both, sigma / float(np.sqrt(1.0 + weight))), caveats=(*clay.caveats, *words))


def _either_range(clay: BodyExpansion) -> BodyExpansion:
    """A figure whose range is not told: a mean to 500 degC with probability :data:`_TO_500`, else to 600."""
    both = [_bounded(replace(clay, to_degC=to)) for to in (500.0, 600.0)]
    (short, spread), (long, _) = (body.at_reference() for body in both)
    middle = _TO_500 * short + (1.0 - _TO_500) * long
    doubt = float(np.hypot(spread, np.sqrt(_TO_500 * (1.0 - _TO_500)) * (short - long)))
    return replace(clay, value=middle, sigma=doubt)


def body_estimate(body: BodyExpansion, to_degC: float) -> Estimate:
    """The clay's mean expansion from room temperature to ``to_degC`` as an Estimate; the conversion is stated."""
    value, sigma = (float(x) for x in body.mean_to(to_degC))
    caveats = [*body.caveats, mean_over(to_degC)]
    if body.basis in (Basis.MEASURED, Basis.SUPPLIER) and abs(body.to_degC - to_degC) > 1.0:
        caveats.append(phrase(
            "converted from {:g} over {:.0f degC}, with the steps of {:.0f} % acting quartz and {:.0f} % cristobalite",
            body.value, (body.from_degC, body.to_degC), 100 * body.quartz, 100 * body.cristobalite,
        ))  # fmt: skip
    half = NINETY * sigma
    return Estimate(
        "body_expansion", value, value - half, value + half, "1e-6/K", body.basis, body.sources, tuple(caveats)
    )


# A clay body from its fired composition: how much glass, mullite and free quartz, and a rough expansion.


@dataclass(frozen=True, slots=True, eq=False)
class Phases:
    """Shares by volume [fraction], each (n,), and the glass as mole fractions (n, k)."""

    glass: Array
    mullite: Array
    quartz: Array
    glass_moles: Array


def _takes(name: str) -> float:
    return figures("body_mixture")[name].value


def phases(mole_fractions: Array) -> Phases:
    """Glass, mullite and free quartz of fired bodies, ``mole_fractions`` (n, k), by the rule of mixture."""
    x = np.atleast_2d(np.asarray(mole_fractions, dtype=float))
    silica, alumina = x[:, INDEX["SiO2"]], x[:, INDEX["Al2O3"]]
    alkali = x[:, [INDEX[o] for o in ALKALIS]].sum(axis=1)
    iron = 2.0 * x[:, INDEX["Fe2O3"]] + x[:, INDEX["FeO"]]
    earth = x[:, [INDEX[o] for o in ALKALINE_EARTHS]].sum(axis=1) + iron
    wanted_alumina = _takes("alumina_per_alkali") * alkali + _takes("alumina_per_earth") * earth
    wanted_silica = _takes("silica_per_alkali") * alkali + _takes("silica_per_earth") * earth
    in_glass = np.minimum(wanted_alumina, alumina)
    mullite = np.minimum((alumina - in_glass) / 3.0, silica / 2.0)
    in_glass = alumina - 3.0 * mullite
    silica_left = silica - 2.0 * mullite
    silica_in_glass = np.minimum(wanted_silica, silica_left)
    glass = x.copy()
    glass[:, INDEX["SiO2"]], glass[:, INDEX["Al2O3"]] = silica_in_glass, in_glass
    volumes = np.array([
        glass @ MOLAR_MASSES / _takes("glass_density"),
        mullite * (3.0 * molar_mass("Al2O3") + 2.0 * molar_mass("SiO2")) / _takes("mullite_density"),
        (silica_left - silica_in_glass) * molar_mass("SiO2") / _takes("quartz_density"),
    ])  # fmt: skip
    shares = volumes / volumes.sum(axis=0)
    total = glass.sum(axis=1, keepdims=True)
    return Phases(shares[0], shares[1], shares[2], np.divide(glass, total, out=np.zeros_like(glass), where=total > 0))


def mixture_expansion(shares: Phases) -> Array:
    """Mean expansion from 20 to 600 degC of the mixture [1e-6/K], (n,)."""
    glass = appen(shares.glass_moles) * rise(600.0) / rise(400.0)  # Appen's factors are means to 400 degC
    quartz = _takes("quartz_expansion") * _takes("quartz_acts")
    return np.asarray(shares.glass * glass + shares.mullite * _takes("mullite_expansion") + shares.quartz * quartz)
