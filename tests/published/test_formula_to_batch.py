"""Formula to batch against worked examples printed before 1930: each recovered within its own rounding.

Sources beside the data: ``formula_to_batch.yaml`` (Binns; Seger 1889; Heinecke 1884) and ``seger_batches.csv``
(H. Seger, Thonindustrie-Zeitung 1886 p. 135, in Dingler 261:ar261019 p. 37-43: ten cones, formula and batch).
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from glazecalc.chemistry.composition import material_table, vector
from glazecalc.jobs.resolve_batch import by_hand
from glazecalc.jobs.sparse import fewest_materials, matched_mix, nearest_mix
from glazecalc.values.inputs import Material

HERE = Path(__file__).parent
EXAMPLES = yaml.safe_load((HERE / "formula_to_batch.yaml").read_text(encoding="utf-8"))["examples"]
with (HERE / "seger_batches.csv").open(encoding="utf-8", newline="") as _stream:
    CONES = list(csv.DictReader(_stream))

IDEAL = {
    "white lead": "2PbCO3.Pb(OH)2", "calcium carbonate": "CaCO3", "potash feldspar": "K2O.Al2O3.6SiO2",
    "kaolin": "Al2O3.2SiO2.2H2O", "calcined kaolin": "Al2O3.2SiO2", "quartz": "SiO2", "potassium nitrate": "KNO3",
    "boric acid": "H3BO3", "borax decahydrate": "Na2B4O7.10H2O", "soda ash": "Na2CO3", "sodium nitrate": "NaNO3",
    "barium carbonate": "BaCO3", "zinc oxide": "ZnO", "iron oxide": "Fe2O3",
}  # fmt: skip
SEGER = {"feldspar_parts": "potash feldspar", "marble_CaCO3_parts": "calcium carbonate", "quartz_parts": "quartz",
         "iron_oxide_Fe2O3_parts": "iron oxide", "zettlitz_kaolin_parts": "kaolin"}  # fmt: skip


def table(names: list[str]) -> Any:
    return material_table([Material(name=n, kind="ideal", formula=IDEAL[n], spread_percent=0.5) for n in names])


@pytest.mark.parametrize("example", EXAMPLES, ids=[e["id"] for e in EXAMPLES])
def test_printed_batches_are_recovered(example: dict[str, Any]) -> None:
    names = [n for n in example["batch"] if " and " not in n] + example.get("also", [])
    doubled = [n for n in example["batch"] if " and " in n]
    names += [part for n in doubled for part in n.split(" and ")]
    target = vector(example["formula"])
    mix = nearest_mix(table(names).moles, target)
    assert mix.worst() <= example["formula_tolerance"]
    amounts = dict(zip(names, mix.amounts, strict=True))
    found = {n: sum(amounts[p] for p in n.split(" and ")) for n in example["batch"]}
    printed = np.array(list(example["batch"].values()))
    ours = np.array(list(found.values()))
    scale = float(printed @ printed / (printed @ ours))  # the print's own unit: a mole of flux, or half of one
    if doubled:  # raw against calcined clay is free: one part raw is 0.86 calcined, so weights are only near
        assert ours * scale == pytest.approx(printed, rel=0.25)
    else:
        assert ours * scale == pytest.approx(printed, rel=example["weight_tolerance"], abs=0.06)


@pytest.mark.parametrize("row", CONES, ids=[r["cone_seger_1886"] for r in CONES])
@pytest.mark.parametrize("method", ["by_hand", "least_squares"])
def test_segers_ten_cones(row: dict[str, str], method: str) -> None:
    target = vector({oxide: float(row[oxide]) for oxide in ("K2O", "CaO", "Al2O3", "Fe2O3", "SiO2")})
    names = list(SEGER.values())
    moles = table(names).moles
    if method == "by_hand":
        steps = by_hand(target, names, moles)
        assert steps is not None
        amounts = {s.material: s.weight for s in steps}
    else:
        amounts = dict(zip(names, matched_mix(moles, target, 0.005).amounts, strict=True))
    for column, name in SEGER.items():  # half a mole of flux; Seger's weights 557, 100, 60, 160, 259 are whole numbers
        assert amounts.get(name, 0.0) / 2 == pytest.approx(float(row[column]), rel=0.004, abs=0.01)


@pytest.mark.parametrize("row", CONES, ids=[r["cone_seger_1886"] for r in CONES])
def test_the_search_finds_segers_own_materials_among_all(row: dict[str, str]) -> None:
    """From fourteen ideal materials, with what dissolves in the slip disliked, the search takes Seger's five."""
    target = vector({oxide: float(row[oxide]) for oxide in ("K2O", "CaO", "Al2O3", "Fe2O3", "SiO2")})
    names = list(IDEAL)
    soluble = {"potassium nitrate", "boric acid", "borax decahydrate", "soda ash", "sodium nitrate", "calcined kaolin"}
    dislike = np.array([2.5 * (n in soluble) for n in names])
    mix = fewest_materials(table(names).moles, target, 0.005, dislike=dislike)
    wanted = {SEGER[c] for c in SEGER if float(row[c]) > 0}
    assert {names[i] for i in mix.used} == wanted
    assert mix.worst() <= 0.005


def test_the_print_that_does_not_follow_is_told_apart() -> None:
    """Dingler 276 p. 588 prints 1 B2O3 for a batch whose borax brings half of that: the batch must not be recovered."""
    formula = vector({"K2O": 0.3, "Na2O": 0.3, "CaO": 0.4, "Al2O3": 0.6, "SiO2": 5.0, "B2O3": 1.0})
    names = ["potassium nitrate", "borax decahydrate", "soda ash", "calcium carbonate", "kaolin", "quartz"]
    mix = nearest_mix(table(names).moles, formula)
    borax = mix.amounts[1] / 2
    assert borax != pytest.approx(47.75, rel=0.2)
