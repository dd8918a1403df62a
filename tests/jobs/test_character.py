"""The character of a glaze as a distance: what moves it, what does not, and that its table is sound."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glazecalc.chemistry.composition import vector
from glazecalc.jobs.character import (
    WORDS,
    character_cost,
    character_point,
    distance_words,
    outweighed,
    oxide_characters,
)
from glazecalc.values.data import read_table, sources
from glazecalc.values.oxides import SYMBOLS

GLAZE = {"K2O": 0.2, "Na2O": 0.1, "CaO": 0.6, "MgO": 0.1, "Al2O3": 0.4, "SiO2": 3.6, "Fe2O3": 0.02}


def distance(**changes: float) -> float:
    return character_cost(vector(GLAZE), vector({**GLAZE, **changes})).distance


@given(st.floats(0.01, 1000))
def test_the_size_of_the_batch_does_not_matter(scale: float) -> None:
    one = character_point(vector(GLAZE)[None, :])
    other = character_point(scale * vector(GLAZE)[None, :])
    assert other == pytest.approx(one, rel=1e-9)


def test_nothing_changed_is_no_distance() -> None:
    assert distance() == 0.0


def test_more_change_is_more_distance() -> None:
    assert 0 < distance(MgO=0.12) < distance(MgO=0.2) < distance(MgO=0.4)


def test_a_matt_turned_glossy_is_noticed_before_soda_for_potash() -> None:
    """Stull 1912 (from memory): a silica to alumina ratio near 5 is matt, from 7 on bright."""
    assert distance(Al2O3=0.68) > distance(K2O=0.18, Na2O=0.12)


def test_colour_goes_by_its_share_and_not_by_the_fluxes() -> None:
    """Twice the flux, alumina and silica under the same iron halves the colour; iron and all doubled keeps it."""
    doubled = {oxide: 2 * moles for oxide, moles in GLAZE.items()}
    assert character_cost(vector(GLAZE), vector(doubled)).distance == pytest.approx(0.0, abs=1e-9)
    pale = character_cost(vector(GLAZE), vector({**doubled, "Fe2O3": GLAZE["Fe2O3"]}))
    assert pale.shifts[0].oxide == "Fe2O3"


@pytest.mark.parametrize(
    ("oxide", "surface", "colour"),
    [
        ("B2O3", "more boron: melts earlier", "iron turns more yellow"),
        ("Li2O", "more lithia: a strong flux in small amounts", "copper blues turn brighter"),
        ("ZnO", "in plenty it grows matte crystals", "chrome greens turn brown"),
        ("MgO", "in plenty satin to dry matt", "cobalt leans to purple"),
    ],
)
def test_what_the_strong_oxides_do_is_said_with_a_source(oxide: str, surface: str, colour: str) -> None:
    """Common practice, no source; boron after Seger 1889 (from memory)."""
    cost = character_cost(vector(GLAZE), vector({**GLAZE, oxide: GLAZE.get(oxide, 0.0) + 0.15}))
    told = next(s for s in cost.sentences if s.startswith(oxide))
    assert surface in told and colour in told
    assert oxide_characters()[oxide].source in cost.sources
    assert all(source in sources() for source in cost.sources)


def test_less_of_an_oxide_is_said_to_go_down() -> None:
    cost = character_cost(vector(GLAZE), vector({**GLAZE, "MgO": 0.0}))
    told = next(s for s in cost.sentences if s.startswith("MgO"))
    assert "goes down, 0.10 to 0.00" in told
    assert "less magnesia" in told
    assert "raises the expansion" in told
    assert "more " not in told


@pytest.mark.parametrize("oxide", ["Na2O", "K2O", "SiO2", "MgO"])
def test_the_sentence_and_the_estimate_never_disagree_unspoken(oxide: str) -> None:
    # common practice, no source: soda and potash raise the expansion, silica and magnesia lower it.
    character = character_cost(vector(GLAZE), vector({**GLAZE, oxide: GLAZE.get(oxide, 0.0) + 0.3}))

    def estimated(value: float) -> Any:
        return SimpleNamespace(estimate=lambda name: SimpleNamespace(value=value))

    raises = oxide in ("Na2O", "K2O")
    assert (oxide_characters()[oxide].pull > 0) is raises
    for before, after in ((6.0, 7.0), (7.0, 6.0)):
        told = outweighed(character, estimated(before), estimated(after)).sentences
        line = next(s for s in told if s.startswith(f"{oxide} goes up"))
        assert ("outweighed" in line) is ((after > before) is not raises)
    low, high = (5.56, 5.64) if not raises else (5.64, 5.56)
    told = outweighed(character, estimated(low), estimated(high)).sentences
    line = next(s for s in told if s.startswith(f"{oxide} goes up"))
    assert "nearly cancel" in line and "5.6 to 5.6" not in line


def test_words_rise_with_the_distance() -> None:
    assert distance_words(0.0) == WORDS[0][1]
    assert [distance_words(limit - 0.01) for limit, _ in WORDS] == [words for _, words in WORDS]


def test_the_table_is_sound() -> None:
    rows = read_table("oxide_character")
    assert len({row["oxide"] for row in rows}) == len(rows)
    for row in rows:
        assert row["oxide"] in SYMBOLS
        assert row["source"] in sources()
        assert row["surface"].strip()
        assert row["colour"].strip()
        assert row["less"].startswith(("less", "fewer"))
        assert row["expansion"] in ("-1", "0", "1")
        assert row["oxide"] in ("SiO2", "Al2O3") or 0 < float(row["noticeable_unity"]) < 0.2


def test_a_formula_without_flux_or_alumina_has_a_character_too() -> None:
    points = character_point(np.stack([vector({"SiO2": 1.0}), vector({"K2O": 1.0, "SiO2": 2.0})]))
    assert np.isfinite(points).all()
