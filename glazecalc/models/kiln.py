"""Heat of a small electric kiln: a lumped model of chamber and wall.

Four places hold heat: the chamber (ware, shelves, elements) and three layers of brick from the hot face to
the cold. Heat passes between them by conduction with a conductivity that rises with temperature, and leaves
the outside by convection and radiation. The elements give power that falls with the square of the volts and
with wear. All arrays run over n draws of the uncertain parameters, so that one run answers with an
interval.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

LAYERS: Final = 3
OUTER_FILM_W_PER_M2K: Final = 12.0
"""Convection and radiation from the outside of a kiln [W/(m2 K)]; from memory."""
HOTTEST_DEGC: Final = 1500.0
"""The model is not asked beyond this [degC]; elements of the usual kind do not live there."""
BOUNDS_DEGC: Final = (-40.0, 2500.0)
"""No place of a run is let beyond these [degC]: far outside what is asked, and where the steps are still stable."""


@dataclass(frozen=True, slots=True, eq=False)
class KilnModel:
    """Parameters of n draws, shape (n,) each.

    ``power_W`` is what the elements give as they are, on this circuit [W]. ``spread_m`` is area over
    thickness of the wall, losses through holes and seams included [m]. ``wall_J_per_K`` and
    ``chamber_J_per_K`` store heat. ``outer_W_per_K`` is the outside film, ``room_degC`` the air outside.
    """

    power_W: Array
    spread_m: Array
    wall_J_per_K: Array
    chamber_J_per_K: Array
    outer_W_per_K: Array
    room_degC: Array
    k0: float
    k1: float

    def with_power(self, power_W: ArrayLike) -> KilnModel:
        """The same kiln with other power [W]."""
        return replace(self, power_W=np.broadcast_to(np.asarray(power_W, dtype=float), self.power_W.shape))


@dataclass(frozen=True, slots=True, eq=False)
class HeatingRun:
    """A run of n draws over m moments: hours (m,), chamber (m, n) and places (m, 4, n) [degC].

    ``energy_J`` is the sum of what the elements gave up to each moment, shape (m, n).
    """

    hours: Array
    places_degC: Array
    energy_J: Array

    @property
    def chamber_degC(self) -> Array:
        """Temperature of the chamber at each moment, shape (m, n)."""
        return np.asarray(self.places_degC[:, 0])


def cold(model: KilnModel) -> Array:
    """A kiln at the temperature of the room, shape (4, n)."""
    return np.tile(model.room_degC, (LAYERS + 1, 1))


def stored_J(model: KilnModel, places_degC: Array) -> Array:
    """Heat stored above room temperature [J], places shape (..., 4, n), answer (..., n)."""
    above = places_degC - model.room_degC
    return np.asarray(
        model.chamber_J_per_K * above[..., 0, :] + model.wall_J_per_K / LAYERS * above[..., 1:, :].sum(-2)
    )


class Flows:
    """How heat flows in n draws of a kiln, worked out once for a whole run, with room to work in. ``most_W`` bounds the
    power where a rate is asked for.

    The integral of the conductivity makes each flow exact for a steady layer; the hot face is half a layer away.
    The outer half layer and the film are in series: the surface temperature solves a quadratic.
    """

    def __init__(self, model: KilnModel) -> None:
        self.model = model
        self.most_W = model.power_W
        n = len(model.power_W)
        self.half_k1 = 0.5 * model.k1
        self.between = np.tile(LAYERS * model.spread_m, (LAYERS, 1))
        self.between[0] *= 2.0
        self.per_place = np.empty((LAYERS + 1, n))
        self.per_place[0] = 1.0 / model.chamber_J_per_K
        self.per_place[1:] = LAYERS / model.wall_J_per_K
        half = 2.0 * LAYERS * model.spread_m
        curve = half * model.k1
        slope = half * model.k0 + model.outer_W_per_K
        self.root_start = slope * slope + 2.0 * curve * model.outer_W_per_K * model.room_degC
        self.root_gain = 2.0 * curve * half
        self.film = model.outer_W_per_K / curve
        self.film_less = model.outer_W_per_K * (slope / curve + model.room_degC)
        self._integral = np.empty((LAYERS + 1, n))
        self._nearer, self._further = self._integral[:-1], self._integral[1:]
        self._flow = np.empty((LAYERS + 2, n))
        self._into, self._inside, self._out_of = self._flow[:-1], self._flow[1:-1], self._flow[1:]
        self._stages = tuple(np.empty((5, LAYERS + 1, n)))

    def outer_loss_W(self, integral: Array) -> Array:
        """Heat leaving the outside [W], from the outermost layer's integral of the conductivity [W/m]."""
        return np.asarray(self.film * np.sqrt(self.root_start + self.root_gain * integral) - self.film_less)

    def slope(self, places: Array, rate_K_per_s: Array | None, change: Array) -> Array:
        """Power [W]; the change of each place [K/s] is put into ``change``, shape (4, n).

        Full power where no rate is asked for.
        """
        integral, flow = self._integral, self._flow
        np.multiply(places, self.half_k1, out=integral)
        integral += self.model.k0
        integral *= places
        np.subtract(self._nearer, self._further, out=self._inside)
        self._inside *= self.between
        flow[-1] = self.outer_loss_W(integral[-1])
        power = self.model.power_W
        if rate_K_per_s is not None:
            power = np.maximum(self.model.chamber_J_per_K * rate_K_per_s + flow[1], 0.0)
            np.minimum(power, self.most_W, out=power)
        flow[0] = power
        np.subtract(self._into, self._out_of, out=change)
        change *= self.per_place
        return power

    def step(self, places: Array, seconds: float | Array, rate_K_per_s: Array | None = None) -> tuple[Array, Array]:
        """One Runge-Kutta step of fourth order, of one length or of its own (n,) for each draw: new places, held within
        ``BOUNDS_DEGC``, and the energy given in it [J].
        """
        k1, k2, k3, k4, at = self._stages
        p1 = self.slope(places, rate_K_per_s, k1)
        p2 = self.slope(_ahead(places, 0.5 * seconds, k1, at), rate_K_per_s, k2)
        p3 = self.slope(_ahead(places, 0.5 * seconds, k2, at), rate_K_per_s, k3)
        p4 = self.slope(_ahead(places, seconds, k3, at), rate_K_per_s, k4)
        sixth = seconds / 6.0
        k2 += k3
        k2 *= 2.0
        k1 += k2
        k1 += k4
        given = seconds * p1 if rate_K_per_s is None else sixth * (p1 + 2.0 * (p2 + p3) + p4)
        after = _ahead(places, sixth, k1, np.empty_like(places))
        np.maximum(after, BOUNDS_DEGC[0], out=after)
        return np.minimum(after, BOUNDS_DEGC[1], out=after), given


def _ahead(places: Array, seconds: float | Array, change: Array, out: Array) -> Array:
    np.multiply(change, seconds, out=out)
    out += places
    return out


def outer_loss_W(model: KilnModel, outer_layer_degC: Array) -> Array:
    """Heat leaving the outside, given the outermost layer's mean temperature [W], shape (..., n)."""
    return Flows(model).outer_loss_W(outer_layer_degC * (model.k0 + 0.5 * model.k1 * outer_layer_degC))


def longest_step_h(model: KilnModel, share: float = 2.2) -> float:
    """Longest step [h], as a ``share`` of the fastest time constant: 2.2 is good to a fraction of a degree.

    The method is stable up to 2.78. The fastest time constant is the inverse of the largest eigenvalue of the flows
    between the places at 1300 degC. A plate of absurd power does not lift the chamber by more than 600 K in a step.
    """
    rise_s = float(np.min(600.0 * model.chamber_J_per_K / np.maximum(model.power_W, 1.0)))
    hours = min(share / fastest_per_s(model), rise_s) / 3600.0
    return float(np.clip(hours, 0.002, 0.15))


def fastest_per_s(model: KilnModel) -> float:
    """The fastest rate at which a difference between two places of any draw dies away at 1300 degC [1/s].

    The places are a chain; scaled by the roots of what they store, its matrix is symmetric.
    """
    through = LAYERS * model.spread_m * (model.k0 + model.k1 * 1300.0)
    between = [2.0 * through, *[through] * (LAYERS - 1), 2.0 * through]
    stores = [model.chamber_J_per_K, *[model.wall_J_per_K / LAYERS] * LAYERS]
    chain = np.zeros((len(model.power_W), LAYERS + 1, LAYERS + 1))
    for i, store in enumerate(stores):
        chain[:, i, i] = (between[i] + (between[i - 1] if i else 0.0)) / store
        if i < LAYERS:
            chain[:, i, i + 1] = chain[:, i + 1, i] = -between[i] / np.sqrt(store * stores[i + 1])
    return float(np.linalg.eigvalsh(chain)[:, -1].max())


def run_full_power(model: KilnModel, hours: float, start: Array | None = None, coarse: bool = False) -> HeatingRun:
    """Full power from ``start`` (cold if not given) for ``hours``; ``coarse`` steps are good to about a
    degree."""
    return _run(model, hours, cold(model) if start is None else start, coarse)


def cool_down(model: KilnModel, hours: float, start: Array) -> HeatingRun:
    """Switched off and left shut for ``hours`` from the places given, shape (4, n)."""
    return _run(model.with_power(0.0), hours, start, coarse=True)


def _run(model: KilnModel, hours: float, start: Array, coarse: bool = False) -> HeatingRun:
    steps = max(1, int(np.ceil(hours / longest_step_h(model, 2.5 if coarse else 2.2))))
    seconds = hours * 3600.0 / steps
    places = np.empty((steps + 1, *start.shape))
    energy = np.zeros((steps + 1, start.shape[1]))
    places[0] = start
    flows = Flows(model)
    for i in range(steps):
        places[i + 1], given = flows.step(places[i], seconds)
        energy[i + 1] = energy[i] + given
    return HeatingRun(np.linspace(0.0, hours, steps + 1), places, energy)


def stall_degC(model: KilnModel) -> Array:
    """Temperature at which full power only just covers the losses [degC], shape (n,); closed form, held at
    1500.

    In a steady wall the conductivity integral between the faces is power over area times thickness.
    """
    surface = model.room_degC + model.power_W / model.outer_W_per_K
    integral = surface * (model.k0 + 0.5 * model.k1 * surface) + model.power_W / model.spread_m
    hot = (np.sqrt(model.k0**2 + 2.0 * model.k1 * integral) - model.k0) / model.k1
    return np.asarray(np.minimum(hot, HOTTEST_DEGC))


def loss_for_stall(model: KilnModel, degC: Array) -> Array:
    """The ``spread_m`` with which full power stalls at ``degC`` [m]; the inverse of :func:`stall_degC`."""
    surface = model.room_degC + model.power_W / model.outer_W_per_K
    gap = degC * (model.k0 + 0.5 * model.k1 * degC) - surface * (model.k0 + 0.5 * model.k1 * surface)
    return np.asarray(model.power_W / np.maximum(gap, 1.0))
