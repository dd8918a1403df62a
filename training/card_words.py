"""What the model cards say that is not a number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Card:
    """Words of one card: what was measured, the form where it is not the common one, and the limits."""

    key: str
    module: str
    title: str
    unit: str
    what: str
    limits: str
    form: str = ""


CARDS: Final[tuple[Card, ...]] = (
    Card(
        key="expansion",
        module="expansion",
        title="Expansion of the glaze",
        unit="1e-6/K",
        what=(
            "Mean linear expansion below the glass transition, mostly from 20 to 300 degC; the exact "
            "range is not on record."
        ),
        limits=(
            "Crystals that grow in a matte, quartz left undissolved. Two of the test papers show how far off "
            "a melt can be: one on transparent low-boron glazes lies "
            "about 1.3 below the model as a whole, one on melted feldspars about 1 above. Lead, "
            "fluorine, bismuth: not fitted; what lead adds to the figure, which stays extrapolated, is a curve "
            "by itself (`python -m training lead`). Colourants and tin, antimony, cerium oxides: left out, with "
            "a wider interval, which stops growing at 1.3 mole %: glasses with more of them are no further "
            "off. The interval as glass is for a clean laboratory glass; as glaze, for one "
            "from a kiln."
        ),
    ),
    Card(
        key="viscosity",
        module="viscosity",
        title="Viscosity of the melt",
        unit="K",
        what=(
            "Points from log10 viscosity -0.5 to 12.6 (Pa.s); the errors below are those of the "
            "temperature at log10 viscosity 3."
        ),
        limits=(
            "Crystals, bubbles and undissolved grains, which stiffen a melt; water; the loss of boric "
            "oxide and alkali in firing; atmosphere (iron counts as Fe2O3). No measurements of glazes "
            "in practice are on record, so the interval as glaze is that of a laboratory melt. The "
            "softening point is the temperature at log10 viscosity 6.6."
        ),
        form=(
            "`T(l) = S0 + S1 u + S2 u^2`, `u = 1 / (l + 3)`, `l` = log10 viscosity in Pa.s, T in degC: "
            "with S2 = 0 the Vogel-Fulcher-Tammann equation with a limit of -3. S0, S1, S2 are "
            "quadratics in the sixteen oxides and eight balances between them. Temperature is linear in "
            "every coefficient: one robust ridge regression over all points, in which papers that "
            "disagree count for less. The interval's half width depends on composition, distance from "
            "the data and log viscosity, and is scaled on left-out papers since 1985."
        ),
    ),
    Card(
        key="transition",
        module="surface",
        title="Glass transition temperature",
        unit="K",
        what="Glass transition temperatures, from dilatometry and thermal analysis alike.",
        limits=(
            "How it was measured: dilatometry and thermal analysis at different heating rates differ by "
            "10 K and more. Newer records lie about 10 K above the model. No measurements of glazes in "
            "practice: the interval as glaze is that of a laboratory glass."
        ),
    ),
    Card(
        key="modulus",
        module="surface",
        title="Young's modulus",
        unit="GPa",
        what="Young's modulus at room temperature.",
        limits=(
            "Bubbles and crystals in a glaze. Few iron, phosphate and zirconia glasses are on record: see the range."
        ),
    ),
    Card(
        key="liquidus",
        module="surface",
        title="Liquidus temperature",
        unit="K",
        what="Temperatures above which nothing crystallises.",
        limits=(
            "Which crystal, and whether it grows in the time a kiln gives it: a liquidus above the peak "
            "is a caution of matte or crystals on a slow cooling, not a forecast. It changes slope "
            "where the crystal changes; a smooth model rounds those corners."
        ),
    ),
)
