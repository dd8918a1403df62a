"""What a name on a card can mean: the trade's abbreviations, and what an unknown name may be by its form and place."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from glazecalc.values.names import fold

# The trade's abbreviations, word by word (common practice, no source). None of them is a brand.

_ELEMENTS: Final = {
    "cu": "copper", "co": "cobalt", "cob": "cobalt", "cobt": "cobalt", "fe": "iron", "mn": "manganese",
    "mang": "manganese", "mag": "magnesium", "mg": "magnesium", "cr": "chrome", "chrom": "chrome", "ni": "nickel",
    "sn": "tin", "zn": "zinc", "ti": "titanium", "titan": "titanium", "zr": "zirconium", "li": "lithium",
    "lith": "lithium", "sr": "strontium", "stront": "strontium", "ba": "barium", "bar": "barium", "ca": "calcium",
    "cal": "calcium", "calc": "calcium", "cop": "copper",
}  # fmt: skip
"""Short for an element, before a word that says of which compound."""
_COMPOUNDS: Final = {
    "ox": "oxide", "oxd": "oxide", "carb": "carbonate", "carbon": "carbonate", "crb": "carbonate", "diox": "dioxide",
    "dioxd": "dioxide", "dix": "dioxide", "sulf": "sulphate", "sulph": "sulphate", "phos": "phosphate",
    "bicarb": "bicarbonate", "hyd": "hydrate", "sil": "silicate",
}  # fmt: skip
_WORDS: Final = {
    "neph": "nepheline", "nephel": "nepheline", "sy": "syenite", "sye": "syenite", "syen": "syenite", "sya": "syenite",
    "spod": "spodumene", "woll": "wollastonite", "wolla": "wollastonite", "wollast": "wollastonite",
    "dolo": "dolomite", "dol": "dolomite", "kaol": "kaolin", "kao": "kaolin", "bent": "bentonite",
    "pot": "potash", "sod": "soda", "felds": "feldspar", "feld": "feldspar", "fspar": "feldspar", "fsp": "feldspar",
    "felspar": "feldspar", "spar": "feldspar", "silic": "silica", "whit": "whiting", "whtg": "whiting",
    "colem": "colemanite", "petal": "petalite", "lepid": "lepidolite", "ilm": "ilmenite", "rut": "rutile",
    "blk": "black", "yel": "yellow", "alum": "alumina", "opac": "opacifier", "zirc": "zircon", "epsom": "epsom salt",
    "epsoms": "epsom salt", "calcd": "calcined", "sulfate": "sulphate", "kspar": "potash feldspar",
    "naspar": "soda feldspar", "quartz": "silica", "flint": "silica",
    "nepsy": "nepheline syenite", "nephsy": "nepheline syenite", "nsy": "nepheline syenite", "ulex": "ulexite",
}  # fmt: skip
_WHOLE: Final = {
    "k feldspar": "potash feldspar", "na feldspar": "soda feldspar", "ball": "ball clay", "sil": "silica",
    "ferric": "red iron oxide", "tin white": "tin oxide", "bone": "bone ash", "zirc sil": "zirconium silicate",
    "ti": "titanium dioxide", "mang": "manganese dioxide", "chrom": "chrome oxide", "borate ore": "mixed borate ore",
    "boro calcite": "colemanite", "borocalcite": "colemanite", "soda calcium borate ore": "ulexite",
}  # fmt: skip
_OTHER_TONGUES: Final = {
    "feldspath potassique": "potash feldspar", "feldspath sodique": "soda feldspar", "craie": "whiting",
    "silice": "silica", "oxyde de fer rouge": "red iron oxide", "oxyde de zinc": "zinc oxide",
    "oxyde d étain": "tin oxide", "oxyde de cobalt": "cobalt oxide", "carbonate de cuivre": "copper carbonate",
    "kalifeldspat": "potash feldspar", "natronfeldspat": "soda feldspar", "quarz": "silica", "quarzmehl": "silica",
    "kreide": "whiting", "dolomit": "dolomite", "zinkoxid": "zinc oxide", "talkum": "talc", "zinnoxid": "tin oxide",
    "kobaltoxid": "cobalt oxide", "eisenoxid rot": "red iron oxide", "rutil": "rutile", "bentonit": "bentonite",
    "wollastonit": "wollastonite", "nephelinsyenit": "nepheline syenite", "knochenasche": "bone ash",
    "feldespato potásico": "potash feldspar", "feldespato sódico": "soda feldspar", "cuarzo": "silica",
    "sílice": "silica", "carbonato de calcio": "whiting", "caolín": "kaolin", "óxido de zinc": "zinc oxide",
    "óxido de estaño": "tin oxide", "óxido de hierro rojo": "red iron oxide", "óxido de cobalto": "cobalt oxide",
    "carbonato de cobre": "copper carbonate", "talco": "talc", "dolomita": "dolomite",
}  # fmt: skip
"""Plain names in French, German and Spanish (common practice, no source)."""
_ASIDE: Final = frozenset(
    {"powdered", "powder", "powd", "ground", "fine", "finely", "granular", "gran", "coarse", "milled", "screened",
     "washed", "sieved", "potters", "potter", "dry", "superfine", "pure", "glaze", "grade", "ceramic", "pottery"}
)  # fmt: skip
"""Words that say how fine or clean a material is, and not which."""
_MESH: Final = re.compile(
    r" (?:(?:60|80|100|120|150|200|230|250|270|300|325|350|400|500|600)(?: ?m(?:esh)?)?|\d{2,4} ?mesh|mesh)$"
)


def forms_of(name: str) -> Iterator[str]:
    """The folded forms under which a name is looked up, the plainest first.

    >>> list(forms_of("Neph. Sy. 270 mesh"))[-1], list(forms_of("Cu carb"))[-1]
    ('nepheline syenite', 'copper carbonate')
    """
    folded = fold(name)
    plain = _MESH.sub("", folded)
    kept = " ".join(word for word in plain.split() if word not in _ASIDE)
    seen: set[str] = set()
    whole = _WHOLE.get(plain, "") or _OTHER_TONGUES.get(plain, "")
    for form in (folded, folded.removesuffix("s"), plain, whole, _spelt(plain), kept, _WHOLE.get(kept, ""),
                 _spelt(kept)):  # fmt: skip
        if form and form not in seen:
            seen.add(form)
            yield form


def _spelt(folded: str) -> str:
    """A name with each abbreviated word spelt out."""
    words = folded.split()
    last = len(words) - 1
    spelt = []
    for i, word in enumerate(words):
        compound = _COMPOUNDS.get(word) if i else None
        element = _ELEMENTS.get(word) if i < last else None
        spelt.append(compound or element or _WORDS.get(word, word))
    return " ".join(spelt)


def words_of(folded: str) -> str:
    """A folded name as the bag of its words, so that `feldspar, potash` is `potash feldspar`."""
    return " ".join(sorted(folded.split()))


# What an unknown name may be.

_POISON_FREE: Final = re.compile(r"\b(?:non|no|without|un|free of|not) ?-? ?(\w+)|\b(\w+?)[- ]?(?:free|less)\b")


def asks_for(name: str, poison: str) -> bool:
    """Whether a name asks for a poison: `lead frit` for lead, `leadless frit` and `lead-free` not.

    >>> asks_for("Lead bisilicate", "lead"), asks_for("leadless frit", "lead"), asks_for("lead free", "lead")
    (True, False, False)
    """
    folded = fold(name)
    refused = {word for pair in _POISON_FREE.findall(folded) for word in pair if word}
    return poison not in refused and any(
        word == poison or (word.startswith(poison) and not word.startswith(poison + "l") and not word.endswith("free"))
        for word in folded.split()
    )


CLAYS: Final = ("Kaolin", "Ball clay", "Kaolin, plastic", "Kaolin, calcined", "Bentonite")
OTHER_CLAYS: Final = ("Red clay", "Stoneware clay", "Fireclay", "Slip clay")
SPARS: Final = ("Potash feldspar", "Soda feldspar", "Feldspar, mixed", "Nepheline syenite", "Cornish stone")
FRITS: Final = (
    "Frit, high-calcium borosilicate", "Frit, soda-lime borosilicate", "Frit, calcium borosilicate with alumina",
    "Frit, high-alkali", "Frit, soda-alumina borosilicate", "Frit, potash borosilicate",
)  # fmt: skip
GLASS: Final = ("Silica",)
EARTHS: Final = ("Whiting", "Dolomite", "Talc")
BORATES: Final = ("Colemanite", "Ulexite", "Borate ore, mixed", "Calcium borate", "Borax")
COLOURS: Final = ("Red iron oxide", "Rutile", "Cobalt carbonate", "Copper carbonate")
OPACIFIERS: Final = ("Zircon", "Tin oxide", "Titania")
BENCH: Final = ("CMC gum", "Bentonite", "Epsom salt", "Sodium silicate")
_SAYS: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    (r"kaolin|china|porcelain", CLAYS), (r"ball", ("Ball clay", "Ball clay, siliceous", "Ball clay, dark")),
    (r"clay|earth", (*CLAYS[:3], *OTHER_CLAYS)), (r"spar", SPARS), (r"frit", FRITS), (r"borat|borax|boro", BORATES),
    (r"opac|white|zirc", OPACIFIERS), (r"gum|cmc|binder|suspen|harden|floc", BENCH), (r"ash", ("Wood ash", "Bone ash")),
)  # fmt: skip
_IS_CLAY: Final = re.compile(r"\b(?:kaolin|clay|bentonite|halloysite)\b")
_IS_FLUX: Final = re.compile(r"\b(?:feldspar|syenite|frit|spodumene|petalite|stone|colemanite|ulexite|borax|ash)\b")
_IS_SILICA: Final = re.compile(r"\b(?:silica|quartz|flint)\b")
_IS_EARTH: Final = re.compile(r"\b(?:whiting|dolomite|talc|wollastonite|carbonate|zinc|limestone)\b")
MOST_OFFERED: Final = 6
SMALL_SHARE: Final = 10.0
"""Percent of the base from which a number alone is a frit rather than a stain (judgement)."""


def offered(name: str, others: Sequence[str], percent: float, addition: bool) -> tuple[str, ...]:
    """Names of what an unknown name may be by its form and its place, the likeliest first.

    ``others`` are the materials of the recipe's other lines; ``percent`` the amount in percent of the base.

    >>> offered("QVK", ["Potash feldspar", "Silica", "Whiting"], 15, False)[:2]
    ('Kaolin', 'Ball clay')
    >>> offered("P-31", ["Kaolin", "Silica"], 40, False)[0]
    'Potash feldspar'
    """
    folded = fold(name)
    for pattern, kinds in _SAYS:
        if re.search(pattern, folded):
            return kinds[:MOST_OFFERED]
    by_place = _by_place(" ".join(others).casefold(), percent, addition)
    bare = name.strip()
    if re.search(r"stain|colou?r|inclusion", folded):
        return (*COLOURS, *OPACIFIERS[:2])
    if re.fullmatch(r"#?\s*\d{2,5}\w?", bare):
        small = addition or percent < SMALL_SHARE
        return ((*COLOURS, *OPACIFIERS[:2]) if small else FRITS)[:MOST_OFFERED]
    if re.fullmatch(r"[A-Za-z]{1,2}[- ]?\d{1,4}\w?", bare):
        return (*SPARS[:4], *CLAYS[:2]) if not addition else by_place
    if re.fullmatch(r"[A-Z]{2,4}", bare) and not addition:
        first = CLAYS if not _IS_CLAY.search(" ".join(others).casefold()) else (*CLAYS[:3], *SPARS[:3])
        return first[:MOST_OFFERED]
    return by_place


def _by_place(others: str, percent: float, addition: bool) -> tuple[str, ...]:
    """What the recipe lacks, and what is used in such an amount."""
    if addition or percent < 3:
        return (*COLOURS[:3], *OPACIFIERS[:2], BENCH[0])
    lacks: list[str] = []
    for pattern, kinds in ((_IS_CLAY, CLAYS[:2]), (_IS_FLUX, (*SPARS[:2], SPARS[3])), (_IS_SILICA, GLASS),
                           (_IS_EARTH, EARTHS)):  # fmt: skip
        if not pattern.search(others):
            lacks += kinds
    rest = [kind for kind in (CLAYS[0], SPARS[0], SPARS[1], GLASS[0], EARTHS[0], EARTHS[1]) if kind not in lacks]
    return tuple((*lacks, *rest)[:MOST_OFFERED])
