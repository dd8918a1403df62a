"""The fixed list of the trade's oxides, in one order that every array in the project follows."""

from __future__ import annotations

import re
from enum import StrEnum
from typing import Final, NamedTuple


class Role(StrEnum):
    """What an oxide does in a glass, as the trade divides them."""

    FLUX = "flux"
    STABILISER = "stabiliser"
    GLASS_FORMER = "glass former"
    OPACIFIER = "opacifier"
    COLOURANT = "colourant"
    OTHER = "other"


class Oxide(NamedTuple):
    """One oxide: formula as written on a glaze card, its atoms, its role, and the trade's name.

    ``in_flux_sum`` says whether the customary convention counts it among the fluxes that are brought to one.
    """

    symbol: str
    atoms: tuple[tuple[str, int], ...]
    role: Role
    name: str
    in_flux_sum: bool = False


def _oxide(symbol: str, role: Role, name: str, in_flux_sum: bool = False) -> Oxide:
    atoms = tuple((element, int(count or 1)) for element, count in re.findall(r"([A-Z][a-z]?)(\d*)", symbol))
    return Oxide(symbol, atoms, role, name, in_flux_sum)


OXIDE_TABLE: Final[tuple[Oxide, ...]] = (
    _oxide("SiO2", Role.GLASS_FORMER, "silica"),
    _oxide("Al2O3", Role.STABILISER, "alumina"),
    _oxide("B2O3", Role.GLASS_FORMER, "boric oxide"),
    _oxide("Li2O", Role.FLUX, "lithia", True),
    _oxide("Na2O", Role.FLUX, "soda", True),
    _oxide("K2O", Role.FLUX, "potash", True),
    _oxide("MgO", Role.FLUX, "magnesia", True),
    _oxide("CaO", Role.FLUX, "lime", True),
    _oxide("SrO", Role.FLUX, "strontia", True),
    _oxide("BaO", Role.FLUX, "baryta", True),
    _oxide("ZnO", Role.FLUX, "zinc oxide", True),
    _oxide("TiO2", Role.OPACIFIER, "titania"),
    _oxide("ZrO2", Role.OPACIFIER, "zirconia"),
    _oxide("Fe2O3", Role.COLOURANT, "red iron oxide"),
    _oxide("MnO", Role.COLOURANT, "manganese oxide", True),
    _oxide("P2O5", Role.GLASS_FORMER, "phosphoric oxide"),
    _oxide("PbO", Role.FLUX, "lead oxide", True),
    _oxide("Bi2O3", Role.FLUX, "bismuth oxide"),
    _oxide("Rb2O", Role.FLUX, "rubidium oxide", True),
    _oxide("Cs2O", Role.FLUX, "caesium oxide", True),
    _oxide("BeO", Role.FLUX, "beryllia", True),
    _oxide("CdO", Role.COLOURANT, "cadmium oxide", True),
    _oxide("FeO", Role.COLOURANT, "iron(II) oxide", True),
    _oxide("CoO", Role.COLOURANT, "cobalt oxide", True),
    _oxide("NiO", Role.COLOURANT, "nickel oxide", True),
    _oxide("CuO", Role.COLOURANT, "copper oxide", True),
    _oxide("Cr2O3", Role.COLOURANT, "chrome oxide"),
    _oxide("V2O5", Role.COLOURANT, "vanadium oxide"),
    _oxide("Sb2O3", Role.OPACIFIER, "antimony oxide"),
    _oxide("SnO2", Role.OPACIFIER, "tin oxide"),
    _oxide("CeO2", Role.OPACIFIER, "ceria"),
    _oxide("HfO2", Role.OPACIFIER, "hafnia"),
    _oxide("GeO2", Role.GLASS_FORMER, "germania"),
    _oxide("La2O3", Role.OTHER, "lanthana"),
    _oxide("Y2O3", Role.OTHER, "yttria"),
    _oxide("Pr2O3", Role.COLOURANT, "praseodymium oxide"),
    _oxide("Nd2O3", Role.COLOURANT, "neodymium oxide"),
    _oxide("Er2O3", Role.COLOURANT, "erbium oxide"),
    _oxide("Nb2O5", Role.OTHER, "niobium oxide"),
    _oxide("Ta2O5", Role.OTHER, "tantalum oxide"),
    _oxide("MoO3", Role.OTHER, "molybdenum oxide"),
    _oxide("WO3", Role.OTHER, "tungsten oxide"),
    _oxide("As2O3", Role.OTHER, "arsenic oxide"),
    _oxide("Ag2O", Role.COLOURANT, "silver oxide"),
    _oxide("SO3", Role.OTHER, "sulphur trioxide"),
    _oxide("F", Role.OTHER, "fluorine"),
    _oxide("Cl", Role.OTHER, "chlorine"),
)

SYMBOLS: Final[tuple[str, ...]] = tuple(oxide.symbol for oxide in OXIDE_TABLE)
INDEX: Final[dict[str, int]] = {symbol: i for i, symbol in enumerate(SYMBOLS)}

ALKALIS: Final[tuple[str, ...]] = ("Li2O", "Na2O", "K2O", "Rb2O", "Cs2O")
ALKALINE_EARTHS: Final[tuple[str, ...]] = ("MgO", "CaO", "SrO", "BaO")

SUBSCRIPTS: Final = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")
_BY_FOLDED: Final[dict[str, str]] = {symbol.casefold(): symbol for symbol in SYMBOLS}


def find_oxide(text: str) -> str | None:
    """Symbol of the oxide written in ``text``, or None. Letter case is forgiven, a wrong character is not.

    >>> find_oxide("sio2"), find_oxide("K20"), find_oxide(" Fe2O3 ")
    ('SiO2', None, 'Fe2O3')
    """
    return _BY_FOLDED.get(text.strip().translate(SUBSCRIPTS).casefold())


def suggest_oxide(text: str) -> str | None:
    """The oxide that was most likely meant by a misspelt one, or None: a zero for an O, a letter l for I, an element.

    >>> suggest_oxide("K20"), suggest_oxide("Al203"), suggest_oxide("Si"), suggest_oxide("qqq")
    ('K2O', 'Al2O3', 'SiO2', None)
    """
    import difflib

    typed = text.strip().translate(SUBSCRIPTS)
    for symbol in SYMBOLS:
        if symbol.casefold().replace("0", "o") == typed.casefold().replace("0", "o"):
            return symbol
    for oxide in OXIDE_TABLE:
        if typed and oxide.atoms[0][0] == typed.capitalize():
            return oxide.symbol
    close = difflib.get_close_matches(typed.casefold(), list(_BY_FOLDED), n=1, cutoff=0.75)
    return _BY_FOLDED[close[0]] if close else None
