"""The cards of the clay and of the coat say what the tables hold: a card that lags behind its table misleads."""

import re
from pathlib import Path

import pytest

from glazecalc.models.coat import figure, ware_figures
from glazecalc.values.cones import Cone

CARDS = Path(__file__).parents[2] / "docs" / "models"
ROW = re.compile(
    r"\| ([a-z ]+?)(?:, from cone (\d+))? \| ([\d.]+) \(([\d.]+) to ([\d.]+)\) \| (\d+) %, (\d+) % "
    r"\| ([\d.]+) % \(([\d.]+) to ([\d.]+)\) \|"
)


def test_the_classes_of_clay_are_those_of_the_table() -> None:
    rows = ROW.findall((CARDS / "body.md").read_text(encoding="utf-8"))
    assert len(rows) == 9
    for ware, cone, *said in rows:
        held = ware_figures(ware, Cone(cone) if cone else None)
        figures = (
            held.expansion, held.low, held.high, 100 * held.quartz, 100 * held.cristobalite,
            held.absorption_percent, held.absorption_low, held.absorption_high,
        )  # fmt: skip
        assert held.ware == ware
        assert [float(word) for word in said] == pytest.approx(figures)


@pytest.mark.parametrize(
    ("words", "name", "per_unit"),
    [
        ("plus {:g} K ({:g} to {:g} K)", "set_above_transition", 1.0),
        ("by {:g} % for each 100 K ({:g} to {:g} %)", "rise_per_K", 1e4),
        (
            "Growth by damp: {:g}e-6 for each percent of absorption ({:g} to {:g})",
            "moisture_strain_per_absorption",
            1.0,
        ),
    ],
)
def test_figures_of_the_coat_are_those_of_the_table(words: str, name: str, per_unit: float) -> None:
    row, text = figure(name), " ".join((CARDS / "layer.md").read_text(encoding="utf-8").split())
    assert words.format(*(round(per_unit * x, 6) for x in (row.value, row.low, row.high))) in text


def test_strengths_of_the_coat_are_those_of_the_table() -> None:
    text = " ".join((CARDS / "layer.md").read_text(encoding="utf-8").split())
    tension, compression = figure("glaze_tensile"), figure("glaze_compressive")
    assert f"lognormal, {tension.low:.0f} to {tension.high:.0f} MPa" in text
    assert f"shivers {compression.low:.0f} to {compression.high:.0f} MPa" in text
    assert f"{figure('service_tension').value:.0f} MPa of chills" in text
    assert f"pass {100 * figure('fatigue_fraction').value:.0f} % of it" in text
