"""What a figure looks like on the terminal, and which ones are not worth showing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from glazecalc.render.text.formula import composition_table, estimate_line
from glazecalc.values.answers import Basis, Estimate, is_known
from glazecalc.values.results.check import Formula, FormulaLine, Ratios


@pytest.mark.parametrize(
    ("name", "value", "half", "unit", "known"),
    [
        ("expansion", 6.0, 1.4, "1e-6/K", True),
        ("expansion", 6.0, 1.6, "1e-6/K", False),
        ("firing_range", 1650.0, 105.0, "degC", False),
        ("firing_range", 1250.0, 70.0, "degC", False),
        ("transition_temperature", 1350.0, 190.0, "degF", False),
        ("crazing_probability", 0.5, 0.0, "1", False),
        ("mature_cone", 37.0, 0.0, "place", False),
        ("mature_cone", 20.0, 2.0, "place", False),
    ],
)
def test_a_figure_far_outside_the_data_is_not_shown(
    name: str, value: float, half: float, unit: str, known: bool
) -> None:
    """The same figure from within the data always is."""
    far = Estimate(name, value, value - half, value + half, unit, Basis.EXTRAPOLATED)
    assert is_known(far) is known
    assert ("not known" in estimate_line(far)) is not known
    assert is_known(replace(far, basis=Basis.MODEL))


def test_an_interval_whose_ends_read_alike_is_left_out() -> None:
    line = FormulaLine("CaO", "flux", 1.0, 0.99, 1.01, 50.0, 50.0)
    alike = replace(line, oxide="MgO", unity=0.003, unity_low=0.0029, unity_high=0.0031)
    shown = composition_table(Formula((line, alike), Ratios(None, None, None, None), "", "", None, None), "unity")
    assert "0.990 .. 1.010" in shown and "0.003 .. 0.003" not in shown and shown.count("..") == 1
