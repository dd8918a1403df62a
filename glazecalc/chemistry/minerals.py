"""What a compound or mineral leaves in the glaze after firing, and what leaves the kiln.

The conventions of firing are stated in one table, :data:`FIRED_AS`, and in the notes below it. Atoms are
conserved: raw mass = fired mass + volatile mass exactly, oxygen taken up from the air being a negative loss.

Fluorine. An analyst counts fluorine beside the oxides and takes off the oxygen it stands for: CaF2 is written
CaO + 2 F - O. So do we: ``moles`` holds CaO 1 and F 2, and ``oxygen_less_mol`` holds 1, which the fired mass
leaves out. All fluorine is counted as staying; how much leaves a kiln cannot be calculated, as a remark says.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from glazecalc.chemistry.formulas import FormulaError, Part, atoms_of, parse_formula
from glazecalc.chemistry.oxides import MOLAR_MASSES, element_mass
from glazecalc.values.oxides import INDEX, OXIDE_TABLE

__all__ = ["FIRED_AS", "VOLATILE_ATOMS", "FiredMineral", "FormulaError", "fired_mineral"]

# Element -> oxide of the fixed list it is counted as after an oxidising firing, by the custom of the trade
# (common practice, no source). Fe, FeO and Fe3O4 count as Fe2O3; MnO2 and Mn3O4 as MnO; Co3O4 as CoO; red
# lead as PbO; Cu2O and the copper carbonates as CuO; Pr6O11 as Pr2O3; Sb2O5 as Sb2O3; SnO as SnO2; bone ash
# as CaO and P2O5; zircon as ZrO2 and SiO2 although most of it stays as zircon grains; SiC as SiO2.
FIRED_AS: Final[dict[str, str]] = {
    oxide.atoms[0][0]: oxide.symbol for oxide in OXIDE_TABLE if oxide.symbol not in ("FeO", "SO3", "Cl")
}
# What leaves: combined water, carbon as CO2 (carbonates part with it, carbides and graphite burn), nitrates
# as N2O5, ammonium as NH3, sulphates as SO3, sulphides and sulphur as SO2, chlorides as Cl2. O2 closes the
# account: given off by MnO2 or Co3O4, taken up (negative) by Fe3O4, FeO, Cu2O, SiC, sulphides.
VOLATILE_ATOMS: Final[dict[str, dict[str, int]]] = {
    "H2O": {"H": 2, "O": 1}, "CO2": {"C": 1, "O": 2}, "N2O5": {"N": 2, "O": 5}, "NH3": {"N": 1, "H": 3},
    "SO3": {"S": 1, "O": 3}, "SO2": {"S": 1, "O": 2}, "Cl2": {"Cl": 2}, "O2": {"O": 2},
}  # fmt: skip

_ZIRCON = "stays mostly as zircon grains, which whiten the glaze and hardly dissolve in it"
_SULPHATE = "the sulphate is counted as losing all its SO3, which below about cone 6 may not be finished"
_FLUORIDE = "fluorine is counted as staying in the glaze; in a kiln part of it leaves as a poisonous gas"
_CHLORIDE = "chlorine is counted as leaving, and attacks the kiln and the lungs on its way"


@dataclass(frozen=True, slots=True)
class FiredMineral:
    """One mole of a formula after firing.

    ``moles`` is in the order of ``chemistry.oxides.OXIDES`` [mol per mol of formula], ``raw_g_per_mol`` the
    molar mass before firing [g/mol], ``volatiles`` the species that leave [mol], negative when taken up from
    the air, ``oxygen_less_mol`` the oxygen counted in ``moles`` whose place fluorine holds [mol O].
    """

    formula: str
    moles: tuple[float, ...]
    raw_g_per_mol: float
    volatiles: tuple[tuple[str, float], ...]
    oxygen_less_mol: float = 0.0
    remarks: tuple[str, ...] = ()

    @property
    def fired_g_per_mol(self) -> float:
        """Mass left after firing [g per mol of formula], fluorine's oxygen left out."""
        oxides = sum(n * float(m) for n, m in zip(self.moles, MOLAR_MASSES, strict=True) if n)
        return oxides - self.oxygen_less_mol * element_mass("O")

    @property
    def volatile_g_per_mol(self) -> float:
        """Mass that leaves [g per mol of formula], oxygen taken up from the air counted as negative."""
        return sum(n * species_mass(name) for name, n in self.volatiles)

    @property
    def loss_percent(self) -> float:
        """Loss on ignition [% of the raw mass]; negative when oxygen is taken up."""
        return 100.0 * (self.raw_g_per_mol - self.fired_g_per_mol) / self.raw_g_per_mol

    def oxide_moles(self) -> dict[str, float]:
        """Oxide symbol -> moles per mole of formula, only those present."""
        return {o.symbol: n for o, n in zip(OXIDE_TABLE, self.moles, strict=True) if n}


def species_mass(name: str) -> float:
    """Molar mass of a volatile species of :data:`VOLATILE_ATOMS` [g/mol]."""
    return sum(count * element_mass(symbol) for symbol, count in VOLATILE_ATOMS[name].items())


@lru_cache(maxsize=4096)
def fired_mineral(formula: str) -> FiredMineral:
    """What one mole of ``formula`` leaves after an oxidising firing.

    >>> feldspar = fired_mineral("K2O.Al2O3.6SiO2")
    >>> feldspar.oxide_moles(), round(feldspar.raw_g_per_mol, 1)
    ({'SiO2': 6.0, 'Al2O3': 1.0, 'K2O': 1.0}, 556.7)
    >>> round(fired_mineral("CaCO3").loss_percent, 2), round(fired_mineral("Fe3O4").loss_percent, 2)
    (43.97, -3.46)

    Raises
    ------
    FormulaError
        for text that is no formula, a compound that cannot exist, or one that would leave nothing (graphite
        and water excepted).
    """
    atoms = atoms_of(formula)
    moles = [0.0] * len(OXIDE_TABLE)
    for element, symbol in FIRED_AS.items():
        if element in atoms:
            index = INDEX[symbol]
            moles[index] += atoms[element] / OXIDE_TABLE[index].atoms[0][1]
    if not any(moles) and set(atoms) not in ({"C"}, {"H", "O"}):
        raise FormulaError(
            f"nothing of {formula.strip()[:40]} would stay in the glaze",
            "check the capital letters: CoO is cobalt oxide, COO is carbon and oxygen",
        )
    oxygen_less = moles[INDEX["F"]] / 2
    volatiles = _volatiles(parse_formula(formula), moles, atoms.get("O", 0.0) + oxygen_less)
    raw = sum(n * element_mass(symbol) for symbol, n in atoms.items())
    return FiredMineral(formula, tuple(moles), raw, volatiles, oxygen_less, _remarks(atoms))


def _volatiles(parts: tuple[Part, ...], moles: list[float], oxygen: float) -> tuple[tuple[str, float], ...]:
    """Species that leave [mol per mol of formula]; ``oxygen``: what the formula brings or fluorine replaces."""
    leaving: dict[str, float] = {}
    for part in parts:
        for species, n in _leaving(dict(part.atoms)).items():
            leaving[species] = leaving.get(species, 0.0) + part.coefficient * n
    kept = sum(n * _oxygens(i) for i, n in enumerate(moles) if n)
    gone = sum(n * VOLATILE_ATOMS[species].get("O", 0) for species, n in leaving.items())
    balance = (oxygen - kept - gone) / 2
    if abs(balance) > 1e-9 * max(1.0, oxygen):
        leaving["O2"] = balance
    return tuple((species, n) for species, n in leaving.items() if n)


def _oxygens(index: int) -> int:
    return dict(OXIDE_TABLE[index].atoms).get("O", 0)


def _leaving(atoms: dict[str, int]) -> dict[str, float]:
    """What leaves of one unit of a dotted part, oxygen apart [mol]."""
    ammonia = atoms.get("N", 0) if "N" in atoms and _is_ammonium(atoms) else 0
    sulphur = "SO3" if "S" in atoms and _is_sulphate(atoms) else "SO2"
    return {
        "H2O": (atoms.get("H", 0) - 3 * ammonia) / 2,
        "CO2": float(atoms.get("C", 0)),
        "N2O5": (atoms.get("N", 0) - ammonia) / 2,
        "NH3": float(ammonia),
        sulphur: float(atoms.get("S", 0)),
        "Cl2": atoms.get("Cl", 0) / 2,
    }


def _is_ammonium(atoms: dict[str, int]) -> bool:
    """Whether the nitrogen comes with four hydrogens, as in ammonium salts."""
    return atoms.get("H", 0) >= 4 * atoms["N"]


def _is_sulphate(atoms: dict[str, int]) -> bool:
    """Whether sulphur has its four oxygens, and is therefore a sulphate rather than a sulphide."""
    return atoms.get("O", 0) >= 4 * atoms["S"]


def _remarks(atoms: dict[str, float]) -> tuple[str, ...]:
    found = []
    if "Zr" in atoms and atoms.get("Si", 0.0) >= atoms["Zr"]:
        found.append(_ZIRCON)
    if "S" in atoms and "O" in atoms:
        found.append(_SULPHATE)
    if "F" in atoms:
        found.append(_FLUORIDE)
    if "Cl" in atoms:
        found.append(_CHLORIDE)
    return tuple(found)
