"""A strict reader of chemical formulas as they stand on a bag: ``K2O.Al2O3.6SiO2``, ``Ca5(PO4)3(OH)``.

Only what the trade can contain is read: the elements of the fixed oxides and those that leave the kiln.
Every dotted part must be a compound whose charges balance, which catches a zero typed for an O (``K20``), a
slip in a number (``Al2O5``) and capital letters gone wrong (``COO``). Time and length are bounded.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

from glazecalc.chemistry.oxides import MOLAR_MASSES, element_mass
from glazecalc.values.oxides import INDEX, OXIDE_TABLE, SUBSCRIPTS, find_oxide

MAX_LENGTH: Final = 400
MAX_PARTS: Final = 20
MAX_DEPTH: Final = 8
MAX_ATOMS: Final = 10_000

# Oxidation states an element may have in a raw material [charge per atom]; textbook chemistry, from memory.
STATES: Final[dict[str, tuple[int, ...]]] = {
    "H": (1,), "O": (-2,), "F": (-1,), "Cl": (-1,), "C": (4, -4), "N": (5, -3), "S": (6, -2, 4),
    "Li": (1,), "Na": (1,), "K": (1,), "Rb": (1,), "Cs": (1,), "Ag": (1,),
    "Be": (2,), "Mg": (2,), "Ca": (2,), "Sr": (2,), "Ba": (2,), "Zn": (2,), "Cd": (2,),
    "B": (3,), "Al": (3,), "Bi": (3,), "La": (3,), "Y": (3,), "Nd": (3,), "Er": (3,),
    "Pr": (3, 4), "Ce": (4, 3), "Si": (4,), "Ti": (4, 3), "Zr": (4,), "Hf": (4,), "Ge": (4,),
    "Sn": (4, 2), "Pb": (2, 4),
    "P": (5,), "Nb": (5,), "Ta": (5,), "V": (5, 4, 3), "As": (3, 5), "Sb": (3, 5), "Mo": (6,), "W": (6,),
    "Cr": (3, 6), "Mn": (2, 3, 4, 7), "Fe": (3, 2), "Co": (2, 3), "Ni": (2, 3), "Cu": (2, 1),
}  # fmt: skip
# Elements that have two states in one compound (Fe3O4, Pb3O4, Co3O4, Mn3O4, Sb2O4, Pr6O11): lowest, highest.
MIXED: Final[dict[str, tuple[int, int]]] = {
    "Fe": (2, 3), "Mn": (2, 4), "Co": (2, 3), "Ni": (2, 3), "Cu": (1, 2), "Pb": (2, 4), "Sb": (3, 5),
    "Pr": (3, 4),
}  # fmt: skip
# Elements sold as such, written alone with no number: graphite, sulphur, iron filings, copper, tin, silver.
NATIVE: Final[frozenset[str]] = frozenset({"C", "S", "Fe", "Cu", "Sn", "Ag"})
# Pairs of sulphur atoms, which the one-state rule above cannot balance: pyrite.
ODD_BUT_REAL: Final[frozenset[tuple[tuple[str, int], ...]]] = frozenset({(("Fe", 1), ("S", 2))})

_DOTS = str.maketrans({"·": ".", "•": ".", "∙": ".", "⋅": ".", "・": ".", "*": "."})
_HALVES = str.maketrans({"½": "0.5", "¼": "0.25", "¾": "0.75"})
_COEFFICIENT = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,6}(?=\s*[A-Z(\[])|/[1-9][0-9]?)?)")
_SYMBOL = re.compile(r"[A-Z][a-z]?")
_COUNT = re.compile(r"[0-9]+")
_BRACKETS: Final = {"(": ")", "[": "]"}


class FormulaError(ValueError):
    """A formula that cannot be read or cannot exist: ``message`` says what is wrong, ``hint`` what to try."""

    def __init__(self, message: str, hint: str = "") -> None:
        self.message = message
        self.hint = hint
        super().__init__(message)


class Part(NamedTuple):
    """One dotted part of a formula: how many of it [mol per mol of formula] and the atoms of one."""

    text: str
    coefficient: float
    atoms: tuple[tuple[str, int], ...]


@lru_cache(maxsize=4096)
def parse_formula(formula: str) -> tuple[Part, ...]:
    """The dotted parts of ``formula``, each a possible compound.

    >>> [(p.coefficient, p.atoms) for p in parse_formula("K2O.6SiO2")]
    [(1.0, (('K', 2), ('O', 1))), (6.0, (('O', 2), ('Si', 1)))]

    Raises
    ------
    FormulaError
        for text that is no formula, an element outside the trade, or a compound that cannot exist.
    """
    if len(formula) > MAX_LENGTH:
        raise FormulaError(f"the formula has {len(formula)} characters", f"at most {MAX_LENGTH} can be read")
    text = formula.strip().translate(_DOTS).translate(SUBSCRIPTS)
    if not text:
        raise FormulaError("the formula is empty", "write it like K2O.Al2O3.6SiO2")
    try:
        return _parse_parts(text)
    except FormulaError as exc:
        better = _correction(text)
        if better is None:
            raise
        raise FormulaError(exc.message, f"did you mean {better}?") from None


def atoms_of(formula: str) -> dict[str, float]:
    """Element -> moles of its atoms in one mole of ``formula``. Raises FormulaError.

    >>> atoms_of("Na2B4O7.10H2O")["H"]
    20.0
    """
    total: dict[str, float] = {}
    for part in parse_formula(formula):
        for symbol, count in part.atoms:
            total[symbol] = total.get(symbol, 0.0) + part.coefficient * count
    return total


def _split(text: str) -> list[str]:
    """Dotted parts as text; a dot inside a leading number (``0.5H2O``) does not part anything."""
    parts: list[str] = []
    rest = text
    while True:
        rest = rest.strip().translate(_HALVES) if rest.strip()[:1] in "½¼¾" else rest.strip()
        number = _COEFFICIENT.match(rest)
        start = number.end() if number else 0
        end = rest.find(".", start)
        if end < 0:
            parts.append(rest)
            return parts
        parts.append(rest[:end].strip())
        rest = rest[end + 1 :]
        if len(parts) >= MAX_PARTS:
            raise FormulaError(f"the formula has over {MAX_PARTS} dotted parts", "give an oxide analysis")


def _parse_parts(text: str) -> tuple[Part, ...]:
    parts = tuple(_parse_part(part) for part in _split(text))
    for part in parts:
        if not balances(part.atoms, alone=len(parts) == 1):
            raise FormulaError(
                f"{part.text} cannot be a compound: its charges do not balance",
                "check the numbers, capital letters, and that every O is a letter and not a zero",
            )
    return parts


def _parse_part(text: str) -> Part:
    if not text:
        raise FormulaError("nothing stands between two dots or beyond one", "write it like CaO.MgO.2SiO2")
    number = _COEFFICIENT.match(text)
    coefficient = _coefficient(number[1]) if number else 1.0
    body = text[number.end() :].strip() if number else text
    if not body:
        raise FormulaError(f"the number {text} stands alone", "a number goes before a compound, as in 6SiO2")
    atoms, end = _parse_group(body, 0, "", 0)
    if end != len(body):
        raise FormulaError(f"a bracket is closed that was not opened in {body[:40]}", "count the brackets")
    return Part(body, coefficient, tuple(sorted(atoms.items())))


def _coefficient(text: str) -> float:
    above, _, below = text.partition("/")
    value = float(above) / float(below or 1)
    if not 0 < value <= 1000 or (len(above) > 1 and above[0] == "0" and above[1] != "."):
        raise FormulaError(f"{text} is not a number of formula units", "is a zero meant to be the letter O?")
    return value


def _parse_group(text: str, start: int, closing: str, depth: int) -> tuple[dict[str, int], int]:
    """Atoms from ``start`` to the bracket ``closing`` (or the end), and where reading stopped."""
    if depth > MAX_DEPTH:
        raise FormulaError("brackets are nested too deeply", f"at most {MAX_DEPTH} deep")
    atoms: dict[str, int] = {}
    at, previous = start, ""
    while at < len(text) and text[at] not in ")]":
        if text[at] in _BRACKETS:
            inner, at = _parse_group(text, at + 1, _BRACKETS[text[at]], depth + 1)
            part, previous, at = inner, "", at + 1
        else:
            symbol, at = _read_symbol(text, at)
            if symbol == previous:
                raise FormulaError(f"{symbol} stands twice in a row in {text[:40]}", "write Co for cobalt")
            part, previous = {symbol: 1}, symbol
        count, at = _read_count(text, at)
        for element, n in part.items():
            atoms[element] = atoms.get(element, 0) + n * count
            if atoms[element] > MAX_ATOMS:
                raise FormulaError(f"{text[:40]} counts over {MAX_ATOMS} atoms of {element}", "check it")
    if not atoms:
        raise FormulaError("a bracket is empty", "take it away")
    if closing and (at >= len(text) or text[at] != closing):
        raise FormulaError(f"a bracket is not closed in {text[:40]}", f"put a {closing} where it ends")
    return atoms, at


def _read_symbol(text: str, at: int) -> tuple[str, int]:
    match = _SYMBOL.match(text, at)
    if match is None:
        raise FormulaError(f"{text[at]!r} has no place in {text[:40]!r}", _odd_character_hint(text[at]))
    symbol = match[0]
    if symbol in STATES:
        return symbol, match.end()
    try:
        element_mass(symbol)
    except KeyError:
        raise FormulaError(f"there is no element {symbol}", "elements look like Si, Al, K, Co") from None
    raise FormulaError(
        f"{symbol} is an element that no glaze material here holds", "check the capital letters, as in SiO2"
    )


def _odd_character_hint(character: str) -> str:
    if character == ",":
        return "a formula has one element in each place; give an oxide analysis for a mixed mineral"
    if character in "xn":
        return "write how many waters there are, as in 10H2O"
    if character.isspace():
        return "spaces are allowed only beside dots and after a leading number"
    return "a formula has element symbols, numbers, brackets and dots only"


def _read_count(text: str, at: int) -> tuple[int, int]:
    match = _COUNT.match(text, at)
    if match is None:
        return 1, at
    digits = match[0]
    if digits[0] == "0":
        raise FormulaError(f"a number in {text[:40]} begins with zero", "is it meant to be the letter O?")
    if len(digits) > 4:
        raise FormulaError(f"the number {digits[:12]} is too large for a formula", "check the numbers")
    return int(digits), match.end()


def balances(atoms: tuple[tuple[str, int], ...], alone: bool = False) -> bool:
    """Whether oxidation states exist that make ``atoms`` neutral. ``alone`` allows a native element, as C.

    One element of the compound may have two states at once (:data:`MIXED`); the others have one.

    >>> balances((("Al", 2), ("O", 3))), balances((("Al", 2), ("O", 5))), balances((("Fe", 3), ("O", 4)))
    (True, False, True)
    """
    if len(atoms) == 1:
        return alone and atoms[0][0] in NATIVE and atoms[0][1] == 1
    if tuple(sorted(atoms)) in ODD_BUT_REAL or 0 in _sums(atoms):
        return True
    for i, (symbol, count) in enumerate(atoms):
        if symbol in MIXED:
            low, high = MIXED[symbol]
            step = 2 if symbol in ("Pb", "Sb") else 1
            others = _sums(atoms[:i] + atoms[i + 1 :])
            reach = range(low * count, high * count + 1, step)
            if any(-rest in reach for rest in others):
                return True
    return False


def _sums(atoms: tuple[tuple[str, int], ...]) -> set[int]:
    """Total charges that ``atoms`` can have when every element has one of its states."""
    sums = {0}
    for symbol, count in atoms:
        sums = {total + state * count for total in sums for state in STATES[symbol]}
    return sums


def _correction(text: str) -> str | None:
    """The formula most likely meant: zeros as letters O, capital letters put right; None if nothing helps."""
    try:
        candidate = ".".join(_mend(part) for part in _split(text))
        if candidate == text:
            return None
        _parse_parts(candidate)
    except FormulaError:
        return None
    return candidate


def _mend(part: str) -> str:
    """The part, if it is a compound; else with its zeros as letters, else the oxide it seems to be."""
    number = _COEFFICIENT.match(part)
    lead = part[: number.end()] if number else ""
    body = part[len(lead) :].strip()
    if _is_compound(body):
        return part
    lettered = body.replace("0", "O")
    if _is_compound(lettered):
        return lead + lettered
    return lead + (find_oxide(lettered.replace(" ", "")) or _oxide_of_first_element(body) or body)


def _oxide_of_first_element(body: str) -> str | None:
    """The oxide of a part that names one element, with or without oxygen; None for anything richer."""
    named = _SYMBOL.findall(body)
    if not named or set(named[1:]) - {"O"} or re.sub(r"[A-Z][a-z]?|[0-9]", "", body):
        return None
    return next((oxide.symbol for oxide in OXIDE_TABLE if oxide.atoms[0][0] == named[0]), None)


def _is_compound(body: str) -> bool:
    try:
        part = _parse_part(body)
    except FormulaError:
        return False
    return balances(part.atoms)


# What a compound or mineral leaves in the glaze after firing, and what leaves the kiln.

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

    @property
    def fired_g_per_mol(self) -> float:
        """Mass left after firing [g per mol of formula], fluorine's oxygen left out."""
        oxides = sum(n * float(m) for n, m in zip(self.moles, MOLAR_MASSES, strict=True) if n)
        return oxides - self.oxygen_less_mol * element_mass("O")

    @property
    def loss_percent(self) -> float:
        """Loss on ignition [% of the raw mass]; negative when oxygen is taken up."""
        return 100.0 * (self.raw_g_per_mol - self.fired_g_per_mol) / self.raw_g_per_mol


def species_mass(name: str) -> float:
    """Molar mass of a volatile species of :data:`VOLATILE_ATOMS` [g/mol]."""
    return sum(count * element_mass(symbol) for symbol, count in VOLATILE_ATOMS[name].items())


@lru_cache(maxsize=4096)
def fired_mineral(formula: str) -> FiredMineral:
    """What one mole of ``formula`` leaves after an oxidising firing.

    >>> feldspar = fired_mineral("K2O.Al2O3.6SiO2")
    >>> [n for n in feldspar.moles if n], round(feldspar.raw_g_per_mol, 1)
    ([6.0, 1.0, 1.0], 556.7)
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
    return FiredMineral(formula, tuple(moles), raw, volatiles, oxygen_less)


def _volatiles(parts: tuple[Part, ...], moles: list[float], oxygen: float) -> tuple[tuple[str, float], ...]:
    """Species that leave [mol per mol of formula]; ``oxygen``: what the formula brings or fluorine replaces."""
    leaving: dict[str, float] = {}
    for part in parts:
        for species, n in _leaving(dict(part.atoms)).items():
            leaving[species] = leaving.get(species, 0.0) + part.coefficient * n
    kept = sum(n * dict(oxide.atoms).get("O", 0) for oxide, n in zip(OXIDE_TABLE, moles, strict=True) if n)
    gone = sum(n * VOLATILE_ATOMS[species].get("O", 0) for species, n in leaving.items())
    balance = (oxygen - kept - gone) / 2
    if abs(balance) > 1e-9 * max(1.0, oxygen):
        leaving["O2"] = balance
    return tuple((species, n) for species, n in leaving.items() if n)


def _leaving(atoms: dict[str, int]) -> dict[str, float]:
    """What leaves of one unit of a dotted part, oxygen apart [mol]: nitrogen with four hydrogens as ammonia, sulphur
    with its four oxygens as SO3."""
    hydrogen, carbon, nitrogen, sulphur, chlorine = (atoms.get(symbol, 0) for symbol in ("H", "C", "N", "S", "Cl"))
    ammonia = nitrogen if hydrogen >= 4 * nitrogen else 0
    return {
        "H2O": (hydrogen - 3 * ammonia) / 2,
        "CO2": float(carbon),
        "N2O5": (nitrogen - ammonia) / 2,
        "NH3": float(ammonia),
        "SO3" if sulphur and atoms.get("O", 0) >= 4 * sulphur else "SO2": float(sulphur),
        "Cl2": chlorine / 2,
    }
