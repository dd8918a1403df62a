"""Supplier's sheets as they come: pasted, copied from a letter, saved from a spreadsheet. All invented.

Each is a text and what it says: a material a dict, with its name, its oxides [weight %] and what else it states; or the
code of the error that must stop it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple

from glazecalc.files.supplier_sheet import read_supplier_sheets
from glazecalc.values.answers import Problem
from glazecalc.values.inputs import Material


def read_supplier_sheet(path: str | Path) -> tuple[Material | None, tuple[Problem, ...]]:
    """The only material of a sheet; None if an error stops it, or there are several."""
    materials, problems = read_supplier_sheets(path)
    return materials[0] if len(materials) == 1 else None, problems


class Sheet(NamedTuple):
    """One sheet: what it is like, its text, the materials it describes, or the code of an error."""

    like: str
    text: str
    says: list[dict[str, Any]]
    error: str = ""


FELDSPAR = {"SiO2": 66.5, "Al2O3": 18.2, "K2O": 11.0, "Na2O": 2.9, "CaO": 0.4, "Fe2O3": 0.1}

SHEETS: list[Sheet] = [
    Sheet(
        "a column of oxides with commas",
        """Harbour potash feldspar
SiO2,66.5
Al2O3,18.2
K2O,11.0
Na2O,2.9
CaO,0.4
Fe2O3,0.1
LOI,0.5
""",
        [{"name": "Harbour potash feldspar", **FELDSPAR, "loi": 0.5}],
    ),
    Sheet(
        "a title with a number in it",
        """Sandbank 200 silica
SiO2  99.4
Al2O3  0.3
Fe2O3  0.03
LOI  0.2
""",
        [{"name": "Sandbank 200 silica", "SiO2": 99.4, "Al2O3": 0.3, "Fe2O3": 0.03, "loi": 0.2}],
    ),
    Sheet(
        "a title that ends in a number",
        """Tidewater clay 25

SiO2: 52.0
Al2O3: 31.0
Fe2O3: 1.1
TiO2: 1.4
K2O: 1.8
LOI: 12.2
""",
        [
            {
                "name": "Tidewater clay 25",
                "SiO2": 52.0,
                "Al2O3": 31.0,
                "Fe2O3": 1.1,
                "TiO2": 1.4,
                "K2O": 1.8,
                "loi": 12.2,
            }
        ],
    ),
    Sheet(
        "a comma in the title",
        """Kaolin, washed, from the lower pit
SiO2 46.8
Al2O3 37.2
Fe2O3 0.9
K2O 1.6
L.O.I. 12.9
""",
        [
            {
                "name": "Kaolin, washed, from the lower pit",
                "SiO2": 46.8,
                "Al2O3": 37.2,
                "Fe2O3": 0.9,
                "K2O": 1.6,
                "loi": 12.9,
            }
        ],
    ),
    Sheet(
        "a comma in the title of a comma table",
        """Frit, soft, number 12
Oxide,Percent
SiO2,51
B2O3,18
Al2O3,7
Na2O,12
CaO,12
""",
        [{"name": "Frit, soft, number 12", "SiO2": 51, "B2O3": 18, "Al2O3": 7, "Na2O": 12, "CaO": 12}],
    ),
    Sheet(
        "percent signs beside the oxides",
        """Pebble nepheline syenite
SiO2 60.2 %
Al2O3 23.4 %
Na2O 10.1 %
K2O 4.9 %
CaO 0.4 %
Fe2O3 0.1 %
Loss on ignition 0.7 %
""",
        [
            {
                "name": "Pebble nepheline syenite",
                "SiO2": 60.2,
                "Al2O3": 23.4,
                "Na2O": 10.1,
                "K2O": 4.9,
                "CaO": 0.4,
                "Fe2O3": 0.1,
                "loi": 0.7,
            }
        ],
    ),
    Sheet(
        "the percent before the oxide",
        """Lagoon talc
61.0 % SiO2
31.5 % MgO
1.0 % CaO
0.5 % Al2O3
6.0 % LOI
""",
        [{"name": "Lagoon talc", "SiO2": 61.0, "MgO": 31.5, "CaO": 1.0, "Al2O3": 0.5, "loi": 6.0}],
    ),
    Sheet(
        "one sentence",
        """Reef whiting: CaO 55.2 %, MgO 0.4 %, SiO2 0.6 %, loss on ignition 43.6 %
""",
        [{"name": "Reef whiting", "CaO": 55.2, "MgO": 0.4, "SiO2": 0.6, "loi": 43.6}],
    ),
    Sheet(
        "several materials, oxides across",
        """Material,SiO2,Al2O3,Fe2O3,CaO,MgO,K2O,Na2O,LOI
Quay ball clay,54,29,1.0,0.3,0.3,2.2,0.4,11.6
Quay fireclay,57,27.5,2.1,0.3,0.5,1.1,0.2,10.3
Quay red clay,60,17,7.2,1.1,1.6,3.3,0.6,7.2
""",
        [
            {"name": "Quay ball clay", "SiO2": 54, "Al2O3": 29, "K2O": 2.2, "loi": 11.6},
            {"name": "Quay fireclay", "SiO2": 57, "Fe2O3": 2.1, "loi": 10.3},
            {"name": "Quay red clay", "SiO2": 60, "Fe2O3": 7.2, "K2O": 3.3, "loi": 7.2},
        ],
    ),
    Sheet(
        "several materials, oxides down",
        """,Buoy spar,Buoy soda spar
SiO2,65.0,68.0
Al2O3,18.5,19.0
K2O,12.0,1.0
Na2O,3.5,10.5
CaO,0.5,1.2
LOI,0.5,0.3
""",
        [
            {"name": "Buoy spar", "SiO2": 65.0, "K2O": 12.0, "Na2O": 3.5, "loi": 0.5},
            {"name": "Buoy soda spar", "SiO2": 68.0, "K2O": 1.0, "Na2O": 10.5, "loi": 0.3},
        ],
    ),
    Sheet(
        "tabs from a spreadsheet",
        """Name\tSiO2\tAl2O3\tB2O3\tNa2O\tCaO
Frit S-1\t46\t\t23\t11\t20
Frit S-2\t55\t6\t17\t11\t11
""",
        [
            {"name": "Frit S-1", "SiO2": 46, "B2O3": 23, "Na2O": 11, "CaO": 20},
            {"name": "Frit S-2", "SiO2": 55, "Al2O3": 6, "B2O3": 17, "Na2O": 11, "CaO": 11},
        ],
    ),
    Sheet(
        "a markdown table",
        """| Material | SiO2 | Al2O3 | K2O | Na2O | LOI |
| --- | --- | --- | --- | --- | --- |
| Skerry spar | 67.0 | 18.0 | 10.5 | 4.0 | 0.5 |
| Skerry stone | 73.0 | 15.0 | 4.5 | 4.0 | 2.5 |
""",
        [
            {"name": "Skerry spar", "SiO2": 67.0, "K2O": 10.5, "loi": 0.5},
            {"name": "Skerry stone", "SiO2": 73.0, "Na2O": 4.0, "loi": 2.5},
        ],
    ),
    Sheet(
        "semicolons and decimal commas",
        """Bezeichnung;SiO2;Al2O3;Fe2O3;TiO2;LOI
Ton Nordbucht;62,5;24,1;1,2;1,3;8,4
""",
        [{"name": "Ton Nordbucht", "SiO2": 62.5, "Al2O3": 24.1, "Fe2O3": 1.2, "TiO2": 1.3, "loi": 8.4}],
    ),
    Sheet(
        "a mole formula in unity form",
        """Frit for raku, unity formula
0.6 Na2O
0.4 CaO
0.2 Al2O3
2.4 SiO2
0.6 B2O3
""",
        [{"name": "Frit for raku", "SiO2": 54.2, "B2O3": 15.7, "Al2O3": 7.7, "Na2O": 14.0, "CaO": 8.4}],
    ),
    Sheet(
        "mole percent",
        """Seaglass frit
mole %
SiO2 60
B2O3 12
Na2O 18
CaO 10
""",
        [{"name": "Seaglass frit", "SiO2": 58.9, "B2O3": 13.7, "Na2O": 18.2, "CaO": 9.2}],
    ),
    Sheet(
        "a mineral formula",
        """name: Dune wollastonite
formula: CaSiO3
""",
        [{"name": "Dune wollastonite", "formula": "CaSiO3"}],
    ),
    Sheet(
        "oxides as a dotted formula",
        """Kaolin of the handbook
Al2O3.2SiO2.2H2O
""",
        [{"name": "Kaolin of the handbook", "formula": "Al2O3.2SiO2.2H2O"}],
    ),
    Sheet(
        "oxides by their names",
        """Lighthouse dolomite
Calcium oxide 30.4
Magnesium oxide 21.4
Silica 0.8
Alumina 0.2
Loss on ignition 47.2
""",
        [{"name": "Lighthouse dolomite", "CaO": 30.4, "MgO": 21.4, "SiO2": 0.8, "Al2O3": 0.2, "loi": 47.2}],
    ),
    Sheet(
        "subscripts and a stated total",
        """Cliff cornish stone
SiO\u2082 71.1
Al\u2082O\u2083 15.4
Fe\u2082O\u2083 0.2
CaO 1.9
K\u2082O 4.6
Na\u2082O 3.8
LOI 2.8
Total 99.8
""",
        [
            {
                "name": "Cliff cornish stone",
                "SiO2": 71.1,
                "Al2O3": 15.4,
                "Fe2O3": 0.2,
                "CaO": 1.9,
                "K2O": 4.6,
                "Na2O": 3.8,
                "loi": 2.8,
            }
        ],
    ),
    Sheet(
        "a loss that does not go with the rest",
        """Grotto clay
SiO2 58.0
Al2O3 28.0
Fe2O3 1.5
K2O 1.5
LOI 8.0
""",
        [{"name": "Grotto clay", "SiO2": 58.0, "Al2O3": 28.0, "loi": 8.0, "said": "sum"}],
    ),
    Sheet(
        "typical and limits side by side",
        """Product: Marsh kaolin
Chemical analysis   typical   min   max
SiO2   47.0   46.0   48.0
Al2O3   37.0   36.0   38.0
Fe2O3   0.8   0.5   1.0
K2O   1.7   1.0   2.0
LOI   12.8   12.0   13.5
""",
        [{"name": "Marsh kaolin", "SiO2": 47.0, "Al2O3": 37.0, "Fe2O3": 0.8, "K2O": 1.7, "loi": 12.8}],
    ),
    Sheet(
        "traces below a limit",
        """Spit silica sand
SiO2   99.2 %
Al2O3   <0.5 %
Fe2O3   120 ppm
TiO2   < 0.05 %
LOI   0.1 %
""",
        [{"name": "Spit silica sand", "SiO2": 99.2, "Fe2O3": 0.012, "loi": 0.1}],
    ),
    Sheet(
        "a letter around it",
        """Dear potter,

thank you for asking. Here is the analysis of our Inlet ball clay:

SiO2   57.4
Al2O3   27.0
TiO2   1.5
Fe2O3   1.1
K2O   2.3
LOI   10.6

Kind regards, the clay pit
""",
        [{"name": "Inlet ball clay", "SiO2": 57.4, "Al2O3": 27.0, "TiO2": 1.5, "Fe2O3": 1.1, "K2O": 2.3, "loi": 10.6}],
    ),
    Sheet(
        "moisture, mesh, density and a lot",
        """name,Foreshore feldspar
lot,44-B
moisture,0.2 %
specific gravity,2.57
mesh,200
SiO2,66.9
Al2O3,18.0
K2O,10.8
Na2O,3.2
CaO,0.3
LOI,0.4
""",
        [
            {
                "name": "Foreshore feldspar",
                "SiO2": 66.9,
                "Al2O3": 18.0,
                "K2O": 10.8,
                "loi": 0.4,
                "lot": "44-B",
                "density": 2.57,
                "moisture_percent": 0.2,
            }
        ],
    ),
    Sheet(
        "equals signs and slashes",
        """Breakwater borate ore / lot 7
B2O3 = 27.5
CaO = 26.5
SiO2 = 15.0
MgO = 3.5
Al2O3 = 1.5
Na2O = 1.0
LOI = 24.5
""",
        [{"name": "Breakwater borate ore / lot 7", "B2O3": 27.5, "CaO": 26.5, "SiO2": 15.0, "loi": 24.5}],
    ),
    Sheet(
        "a lead frit",
        """Old bottom-drawer frit
PbO 60
SiO2 35
Al2O3 5
""",
        [{"name": "Old bottom-drawer frit", "PbO": 60, "hazard": "lead"}],
    ),
    Sheet(
        "barium by its carbonate's loss",
        """Gannet barium carbonate
BaO 77.4
LOI 22.3
""",
        [{"name": "Gannet barium carbonate", "BaO": 77.4, "loi": 22.3, "hazard": "barium"}],
    ),
    Sheet(
        "quoted cells and units in the head",
        """"Product","SiO2 (%)","Al2O3 (%)","CaO (%)","Na2O (%)","B2O3 (%)","L.O.I. (%)"
"Frit 7, clear","52.0","9.0","10.0","9.0","20.0","0.0"
"Frit 8, matte","44.0","16.0","20.0","5.0","15.0","0.0"
""",
        [{"name": "Frit 7, clear", "SiO2": 52.0, "B2O3": 20.0}, {"name": "Frit 8, matte", "Al2O3": 16.0, "CaO": 20.0}],
    ),
    Sheet(
        "two materials one below the other",
        """Seal point clay
SiO2 60
Al2O3 26
Fe2O3 2
K2O 2
LOI 10

Seal point spar
SiO2 66
Al2O3 19
K2O 12
Na2O 3
""",
        [{"name": "Seal point clay", "SiO2": 60, "loi": 10}, {"name": "Seal point spar", "K2O": 12, "Na2O": 3}],
    ),
    Sheet(
        "elements instead of oxides",
        """Mystery stone
Si 30.1
Al 8.2
K 9.0
""",
        [],
        "element-not-oxide",
    ),
    Sheet(
        "alkalis given together",
        """Anchor spar
SiO2 66
Al2O3 18
K2O+Na2O 14
LOI 0.5
""",
        [],
        "oxides-together",
    ),
    Sheet(
        "a table in which one row is empty",
        """Material,SiO2,Al2O3,CaO,LOI
Cove limestone,2.0,0.5,54.0,43.0
Cove marl,,,,
""",
        [],
        "no-oxides",
    ),
]
