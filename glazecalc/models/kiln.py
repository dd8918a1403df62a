"""Heat of a small electric kiln: a lumped model of chamber and wall.

Four places hold heat: the chamber (ware, shelves, elements) and three layers of brick from the hot face to
the cold. Heat passes between them by conduction with a conductivity that rises with temperature, and leaves
the outside by convection and radiation. The elements give power that falls with the square of the volts and
with wear. All arrays run over n draws of the uncertain parameters, so that one run answers with an
interval.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import cache
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from glazecalc.values.arrays import Array
from glazecalc.values.data import read_table
from glazecalc.values.inputs import SIDES, Insulation, Interior
from glazecalc.values.mains import Conductor
from glazecalc.values.results.kiln import Release
from glazecalc.values.texts import phrase

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


def joined(models: Sequence[KilnModel]) -> KilnModel:
    """All draws of all models as one."""
    arrays: dict[str, Any] = {name: np.concatenate([getattr(m, name) for m in models]) for name in _ARRAYS}
    return replace(models[0], **arrays)


_ARRAYS: Final = tuple(f.name for f in fields(KilnModel) if f.name not in ("k0", "k1"))


def cold(model: KilnModel) -> Array:
    """A kiln at the temperature of the room, shape (4, n)."""
    return np.tile(model.room_degC, (LAYERS + 1, 1))


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

    def long_step(self, places: Array, seconds: float) -> Array:
        """One step of ``STAGES`` stages at full power, of second order, stable five times as far as :meth:`step`: new
        places, within ``BOUNDS_DEGC``.

        Runge-Kutta-Chebyshev: B. P. Sommeijer, L. F. Shampine, J. G. Verwer, J. Comput. Appl. Math. 88 (1998) 315; the
        first stage's number is that of the second, as in the method's earlier form.
        """
        first, change = self._stages[0], self._stages[1]
        self.slope(places, None, first)
        before, now = places, places + (chebyshev().start * seconds) * first
        for mu, nu, far, back in chebyshev().stages:
            self.slope(now, None, change)
            change *= far * seconds
            change += (back * seconds) * first
            change += mu * now
            change += nu * before
            change += (1.0 - mu - nu) * places
            before, now, change = now, change.copy(), change
        return np.clip(now, *BOUNDS_DEGC)


STAGES: Final = 5


class Chebyshev(NamedTuple):
    """Numbers of a Runge-Kutta-Chebyshev step: the first stage's, those of each further one (mu, nu, mu~, gamma~), and
    how far it is stable [in units of the inverse of the fastest rate]."""

    start: float
    stages: tuple[tuple[float, float, float, float], ...]
    reach: float


@cache
def chebyshev(s: int = STAGES, damping: float = 2.0 / 13.0) -> Chebyshev:
    """The numbers of a step of ``s`` stages, as in the paper named in :meth:`Flows.long_step`; Chebyshev's polynomials
    and their slopes beyond one are T(cosh t) = cosh(j t).

    >>> round(chebyshev().reach, 1)
    15.7
    """
    w0 = 1.0 + damping / s**2
    t = math.acosh(w0)
    at = [math.cosh(j * t) for j in range(s + 1)]
    once = [j * math.sinh(j * t) / math.sinh(t) for j in range(s + 1)]
    twice = [(j * j * at[j] - once[j] * w0) / math.sinh(t) ** 2 for j in range(s + 1)]
    w1 = once[s] / twice[s]
    b = [0.0, 0.0, *(twice[j] / once[j] ** 2 for j in range(2, s + 1))]
    b[0] = b[1] = b[2]
    a = [1.0 - b[j] * at[j] for j in range(s + 1)]
    stages = []
    for j in range(2, s + 1):
        mu, nu, far = 2.0 * b[j] * w0 / b[j - 1], -b[j] / b[j - 2], 2.0 * b[j] * w1 / b[j - 1]
        stages.append((mu, nu, far, -a[j - 1] * far))
    return Chebyshev(b[1] * w1, tuple(stages), 2.0 / 3.0 * (s * s - 1.0) * (1.0 - 2.0 / 15.0 * damping))


def _ahead(places: Array, seconds: float | Array, change: Array, out: Array) -> Array:
    np.multiply(change, seconds, out=out)
    out += places
    return out


class Drive:
    """n draws of a kiln led step by step from cold, with what they did so far."""

    def __init__(self, model: KilnModel, step_h: float) -> None:
        self.flows, self.step_h = Flows(model), step_h
        self.hours, self.places, self.energy_J = [0.0], [cold(model)], [np.zeros(len(model.power_W))]

    def step(self, rate_K_per_s: Array) -> None:
        """One step at this rate, as far as the power goes."""
        places, given = self.flows.step(self.places[-1], self.step_h * 3600.0, rate_K_per_s)
        self.places.append(places)
        self.energy_J.append(self.energy_J[-1] + given)
        self.hours.append(self.hours[-1] + self.step_h)

    def run(self) -> HeatingRun:
        """The steps so far."""
        return HeatingRun(np.array(self.hours), np.array(self.places), np.array(self.energy_J))


def outer_loss_W(model: KilnModel, outer_layer_degC: Array) -> Array:
    """Heat leaving the outside, given the outermost layer's mean temperature [W], shape (..., n)."""
    return Flows(model).outer_loss_W(outer_layer_degC * (model.k0 + 0.5 * model.k1 * outer_layer_degC))


def longest_step_h(model: KilnModel, share: float = 2.2) -> float:
    """Longest step [h], as a ``share`` of the fastest time constant: 2.2 is good to a fraction of a degree.

    :meth:`Flows.step` is stable up to 2.78, :meth:`Flows.long_step` to :attr:`Chebyshev.reach`. The fastest time
    constant is the inverse of the largest eigenvalue of the flows between the places at 1300 degC. A plate of absurd
    power does not lift the chamber by more than 600 K in a step.
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
    """Full power from ``start`` (cold if not given) for ``hours``; ``coarse`` has long steps once the first swing is
    over, good to a degree at each of them."""
    return _run(model, hours, cold(model) if start is None else start, SETTLES_H if coarse else hours)


def cool_down(model: KilnModel, hours: float, start: Array) -> HeatingRun:
    """Switched off and left shut for ``hours`` from the places given, shape (4, n)."""
    return _run(model.with_power(0.0), hours, start, hours)


SETTLES_H: Final = 0.75
"""Hours after switching on in which the places still swing apart faster than long steps can follow."""


def _run(model: KilnModel, hours: float, start: Array, fine_h: float) -> HeatingRun:
    """``fine_h`` hours in steps of fourth order, the rest in long ones."""
    moments = _spaced(0.0, min(fine_h, hours), longest_step_h(model))
    fine = len(moments) - 1
    if hours > fine_h:
        far = _spaced(fine_h, hours, longest_step_h(model, 0.8 * chebyshev().reach))
        moments = np.concatenate([moments, far[1:]])
    places = np.empty((len(moments), *start.shape))
    energy = np.zeros((len(moments), start.shape[1]))
    places[0] = start
    flows = Flows(model)
    for i, seconds in enumerate(3600.0 * np.diff(moments)):
        if i < fine:
            places[i + 1], given = flows.step(places[i], seconds)
        else:
            places[i + 1], given = flows.long_step(places[i], seconds), seconds * model.power_W
        energy[i + 1] = energy[i] + given
    return HeatingRun(moments, places, energy)


def _spaced(start_h: float, end_h: float, step_h: float) -> Array:
    return np.linspace(start_h, end_h, max(1, math.ceil((end_h - start_h) / step_h)) + 1)


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


# Size of a kiln chamber: volume, areas, brick, and what stands inside.

LITRES_PER_CUBIC_FOOT: Final = 28.316846592
SHELF_THICKNESS_MM: Final = 15.0
SHELF_DENSITY_KG_PER_M3: Final = 2000.0
WARE_KG_PER_LITRE: Final = 0.17
"""A full load: eight mugs of 0.35 kg in a chamber of 16.4 L (common practice)."""
WARE_HEAT_J_PER_KGK: Final = 1050.0


class Brick(NamedTuple):
    """An insulating brick: density [kg/m3], the middle of its range; heat capacity [J/(kg K)]; conductivity
    rising with heat.

    The conductivity is ``k0 + k1 T`` [W/(m K)], T in degC, the line through the table's figures.
    """

    name: str
    density: float
    heat_capacity: float
    k0: float
    k1: float
    source: str


class Chamber(NamedTuple):
    """A chamber and its wall: volume [m3], inner, outer and mean area [m2], wall [m], brick volume [m3]."""

    volume_m3: float
    floor_m2: float
    inner_m2: float
    outer_m2: float
    wall_m: float
    brick_m3: float

    @property
    def mean_m2(self) -> float:
        """Geometric mean of the two areas: exact for a hollow sphere, within a few per cent for a box
        [m2].
        """
        return math.sqrt(self.inner_m2 * self.outer_m2)

    @property
    def full_load_kg(self) -> float:
        """Fired ware of a full load [kg]."""
        return WARE_KG_PER_LITRE * self.volume_m3 * 1000.0


def floor_and_girth(interior: Interior, extra_mm: float = 0.0) -> tuple[float, float]:
    """Floor area [m2] and girth [m] of a chamber, grown by ``extra_mm`` on every side."""
    width = (interior.width_mm + 2 * extra_mm) / 1000.0
    if interior.shape == "round":
        return math.pi / 4 * width**2, math.pi * width
    if interior.shape in SIDES:
        girth = SIDES[interior.shape] * math.tan(math.pi / SIDES[interior.shape]) * width
        return girth * width / 4.0, girth
    depth = ((interior.depth_mm or interior.width_mm) + 2 * extra_mm) / 1000.0
    return width * depth, 2 * (width + depth)


def chamber(interior: Interior, wall_mm: float) -> Chamber:
    """The chamber of this inside [mm] and wall [mm]; floor and lid are as thick as the wall."""
    height = interior.height_mm / 1000.0
    tall = height + 2 * wall_mm / 1000.0
    floor, girth = floor_and_girth(interior)
    footprint, outline = floor_and_girth(interior, wall_mm)
    return Chamber(
        volume_m3=floor * height,
        floor_m2=floor,
        inner_m2=girth * height + 2 * floor,
        outer_m2=outline * tall + 2 * footprint,
        wall_m=wall_mm / 1000.0,
        brick_m3=footprint * tall - floor * height,
    )


def contents_J_per_K(room: Chamber, shelves: int, load_share: float = 1.0) -> float:
    """Heat capacity of shelves and ware [J/K]; ``load_share`` is of a full load."""
    shelf_kg = room.floor_m2 * SHELF_THICKNESS_MM / 1000.0 * SHELF_DENSITY_KG_PER_M3
    return (shelf_kg * shelves + room.full_load_kg * load_share) * WARE_HEAT_J_PER_KGK


@cache
def bricks() -> dict[str, Brick]:
    """The wall materials of ``materials/bricks.csv`` by name."""
    found = {}
    for row in read_table("bricks"):
        at = {t: float(row[f"conductivity_{t}_degC"]) for t in (400, 800, 1000)}
        mean_t, mean_k = sum(at) / 3, sum(at.values()) / 3
        k1 = sum((t - mean_t) * (k - mean_k) for t, k in at.items()) / sum((t - mean_t) ** 2 for t in at)
        low, high = float(row["density_low_kg_per_m3"]), float(row["density_high_kg_per_m3"])
        found[row["name"]] = Brick(
            name=row["name"],
            density=math.sqrt(low * high),
            heat_capacity=float(row["heat_capacity_J_per_kgK"]),
            k0=mean_k - k1 * mean_t,
            k1=k1,
            source=row["source"],
        )
    return found


USUAL_BRICK: Final = "insulating firebrick group 23"
WALLS: Final[dict[Insulation, str]] = {
    "brick 23": USUAL_BRICK,
    "brick 26": "insulating firebrick group 26",
    "brick with backing": "insulating firebrick group 23, a quarter of the wall fibre behind it",
    "fibre": "ceramic fibre blanket 128 kg/m3",
}


def wall_of(insulation: Insulation | None) -> Brick:
    """What a wall is made of; brick of group 23 where it is not told."""
    return bricks()[WALLS[insulation or "brick 23"]]


# What the wire takes: voltage drop of a branch circuit, and the volts left at the kiln.


def loop_resistance_ohm(conductor: Conductor, length_m: float, phase: int = 1) -> float:
    """Resistance that the load current sees, there and back [ohm]; stranded wire, the higher of the two
    columns.

    ``length_m`` is one way [m]. For three phases the factor is the square root of three instead of two.
    """
    factor = math.sqrt(3.0) if phase == 3 else 2.0
    return factor * length_m / 1000.0 * conductor.stranded_ohm_per_km


def volts_at_load_V(supply_V: float, loop_ohm: float, plate_V: float, plate_A: float, other_A: float = 0.0) -> float:
    """Volts left at a heater that draws ``plate_A`` at ``plate_V``, behind a wire of ``loop_ohm`` [V].

    The heater is a fixed resistance, so it draws less when the volts sag; ``other_A`` is a steady load on
    the same wire.
    """
    heater_ohm = plate_V / plate_A
    return max(0.0, (supply_V - other_A * loop_ohm) * heater_ohm / (heater_ohm + loop_ohm))


# Heat and gases that a firing gives to its room.

AIR_WH_PER_M3K: Final = 0.336
"""Heat capacity of air at room temperature, 1.2 kg/m3 times 1008 J/(kg K), in Wh/(m3 K)."""


def temperature_rise_bound_K(heat_W: float, exhaust_m3_per_h: float) -> float:
    """Upper bound on the lasting warming of a room [K]: all the heat goes into the air drawn through it.

    Walls and floor take part of the heat and lower it; air that bypasses the room raises it near the kiln.

    Raises
    ------
    ValueError
        if no air is drawn through.
    """
    if exhaust_m3_per_h <= 0:
        raise ValueError("without an air flow there is no bound on the warming")
    return heat_W / (AIR_WH_PER_M3K * exhaust_m3_per_h)


def clay_releases(raw_clay_g: float) -> tuple[Release, ...]:
    """Gases of a bisque or once-firing of this much bone-dry clay: typical shares with wide ranges."""
    found = []
    for row in read_table("releases"):
        low, middle, high = (raw_clay_g * float(row[f"clay_{k}percent"]) / 100 for k in ("low_", "", "high_"))
        found.append(_release(row, middle, low, high, "clay", row["clay_source"]))
    return tuple(found)


def glaze_releases(species_g: Mapping[str, tuple[float, float]], of: str) -> tuple[Release, ...]:
    """Gases of a glaze: name of gas -> least and most that can come off [g]; the names are those of the
    table.

    Raises
    ------
    KeyError
        for a gas that is not in the table.
    """
    rows = {row["gas"]: row for row in read_table("releases")}
    return tuple(
        _release(rows[gas], (low + high) / 2, low, high, of, rows[gas]["source"])
        for gas, (low, high) in species_g.items()
    )


def _release(row: Mapping[str, str], middle: float, low: float, high: float, of: str, source: str) -> Release:
    start, end = float(row["from_degC"]), float(row["to_degC"])
    return Release(row["gas"], middle, low, high, of, start, end, phrase(row["caution"]), source)
