"""What a firing proves though its climb tells nothing: where a cone came down, the kiln gets at least there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from statistics import NormalDist
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from glazecalc.models.heat_work import GAS_CONSTANT_KJ, KELVIN, heat_law
from glazecalc.models.kiln import run_full_power
from glazecalc.models.kiln_draws import KilnDraws, heat_along, rated_degC
from glazecalc.models.reach import supply_share
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Circuit, Kiln
from glazecalc.values.records import FiringRecord
from glazecalc.work.kilns.firing_curve import mains_of
from glazecalc.work.kilns.kiln_ceiling import volts_suit

Array = NDArray[np.float64]

LONGEST_H: Final = 24.0
"""Hours at full power that are reckoned with where a firing's are not written down, and at the most [h]."""
MOST_PROOFS: Final = 3
"""Of so many firings the hottest cones are looked at; cooler ones prove nothing more."""
HARDLY: Final = 0.05
"""A cone that fewer of the likely kilns could have brought down in its hours is taken for a slip."""
NOTHING_NEW: Final = 0.995
"""A cone that so many of them bring down anyway teaches nothing."""
SHARE: Final = {"down": 1.0, "half": 0.5}
"""Heat-work of a cone as it was found, as a share of what brings it down."""


class Proof(NamedTuple):
    """The hottest cone of a firing that bent, and how far; how many firings the elements had had."""

    id: str
    record: FiringRecord
    cone: Cone
    bend: str
    on_elements: int | None

    @property
    def words(self) -> str:
        """What was seen."""
        return f"cone {self.cone} {'came down' if self.bend == 'down' else 'bent half way'}"


def proof_of(
    kiln: Kiln, id_: str, record: FiringRecord, circuits: Sequence[Circuit], on_elements: int | None
) -> Proof | None:
    """What the witness cones of a firing prove, or None."""
    if not volts_suit(kiln, mains_of(kiln, record, circuits).volts):
        return None
    bent = [(Cone(w.cone), w.bend) for w in record.cones if w.bend in SHARE]
    if not bent:
        return None
    cone, bend = max(bent, key=lambda seen: (seen[0].position, seen[1] == "down"))
    return Proof(id_, record, cone, bend, on_elements)


def held_to(
    kiln: Kiln, draws: KilnDraws, proofs: Sequence[Proof], circuits: Sequence[Circuit], now: int | None
) -> tuple[KilnDraws, dict[str, str], set[str]]:
    """The draws weighed by what was proven, in words what each firing proved, and the firings that taught something.

    Full power from cold for all the hours of a firing does the most heat-work that can be done in it: a kiln that does
    not bring the cone down even so is not this one. The same kiln is proven again and again, so that the strongest
    proof counts, not their product.
    """
    told = {proof.id: f"{proof.words}, which is no news" for proof in proofs}
    taught: set[str] = set()
    likely = np.ones_like(draws.weights)
    newest_first = proofs[::-1]
    hottest = sorted(newest_first, key=lambda p: -p.cone.position)
    for proof in hottest[:MOST_PROOFS]:
        chances = _chances(kiln, draws, proof, circuits, now)
        share = float(draws.weights @ chances)
        if share < HARDLY:
            told[proof.id] = f"{proof.words}, which this kiln can hardly do in its hours: written down rightly?"
        elif share < NOTHING_NEW:
            told[proof.id] = f"{proof.words}, so the kiln gets at least there"
            taught.add(proof.id)
            likely = np.minimum(likely, chances)
    if not taught:
        return draws, told, taught
    weights = draws.weights * likely
    return replace(draws, weights=weights / weights.sum(), learned=True), told, taught


def _chances(kiln: Kiln, draws: KilnDraws, proof: Proof, circuits: Sequence[Circuit], now: int | None) -> Array:
    """Chance that each draw could have bent the cone so far in the firing, shape (n,)."""
    record = proof.record
    mains = mains_of(kiln, record, circuits)
    then = draws
    if now and proof.on_elements is not None:
        then = replace(draws, wear=draws.wear * min(1.0, proof.on_elements / now))
    model = then.model(supply_share(then, mains.volts, mains.loop_ohm, mains.other_A))
    hours = min(record.hours or LONGEST_H, LONGEST_H)
    heat = heat_along(run_full_power(model, hours), (proof.cone,))[-1, :, 0]
    law, at = heat_law(), proof.cone.position
    per_K = law.energy_kJ_per_mol[at] / (GAS_CONSTANT_KJ * (rated_degC(proof.cone) + KELVIN) ** 2)
    spare = np.log(np.maximum(heat, 1e-300) / SHARE[proof.bend]) / per_K / law.spread_K[at]
    return np.array([NormalDist().cdf(float(z)) for z in spare])
