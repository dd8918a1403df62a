"""The shipped masses of the elements are those of periodictable, and agree with molmass (both after the IUPAC tables)."""

from __future__ import annotations

import molmass
import pytest

from glazecalc.chemistry.formulas import STATES
from glazecalc.chemistry.oxides import element_mass, element_masses
from glazecalc.values.oxides import OXIDE_TABLE
from training.masses import masses


def test_the_shipped_masses_are_those_of_periodictable() -> None:
    assert element_masses() == masses()


def test_every_element_of_the_trade_has_a_mass() -> None:
    wanted = {symbol for oxide in OXIDE_TABLE for symbol, _ in oxide.atoms} | set(STATES)
    for symbol in wanted:
        assert element_mass(symbol) == pytest.approx(molmass.ELEMENTS[symbol].mass, rel=1e-4)
    with pytest.raises(KeyError):
        element_mass("Xx")
