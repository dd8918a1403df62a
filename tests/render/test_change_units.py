"""Answers about a change in the units a potter reads, with the digits the figures have."""

from __future__ import annotations

from dataclasses import replace

import pytest

from glazecalc.jobs.adjust import adjust
from glazecalc.jobs.check import check
from glazecalc.jobs.compare import compare
from glazecalc.jobs.setup import Setup
from glazecalc.jobs.swap import swap
from glazecalc.render.text.changes import adjust_text, compare_text, figures_table, swap_text
from glazecalc.render.text.learn import clay_text
from glazecalc.values.answers import Basis, Estimate
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import UnitChoice
from glazecalc.values.results.check import CheckResult
from glazecalc.values.results.learn import ClayReport, WetSize
from tests.jobs.cases import clay, recipe_of, shelf

METRIC, US = UnitChoice(), UnitChoice(temperature="F", mass="oz", length="in", volume="fl oz")
SETTING = Setup(body=clay(), cone=Cone("6"))
CLEAR = recipe_of({"Potash feldspar": 40, "Silica": 30, "Whiting": 20, "Kaolin": 10}, name="clear")
SODA = recipe_of({"Soda feldspar": 40, "Silica": 30, "Whiting": 20, "Kaolin": 10}, name="soda")


def with_range(low: float, high: float) -> CheckResult:
    """A check whose firing range is set by hand."""
    found = check(CLEAR, shelf(), SETTING)
    told = Estimate("firing_range", (low + high) / 2, low, high, "degC", Basis.MODEL)
    return replace(found, estimates=(*(e for e in found.estimates if e.name != "firing_range"), told))


@pytest.mark.parametrize(
    ("units", "row"),
    [
        (METRIC, ["firing range, \N{DEGREE SIGN}C", "1150 to 1290"]),
        (US, ["firing range, \N{DEGREE SIGN}F", "2110 to 2360"]),
    ],
)
def test_a_firing_range_has_the_digits_that_are_known(units: UnitChoice, row: list[str]) -> None:
    """1152 to 1291 degC is 2106 to 2356 degF by the definition of the scale; half its width allows whole tens."""
    line = next(r for r in figures_table(with_range(1152.0, 1291.0), CHECK, units).splitlines() if "firing range" in r)
    assert all(word in line for word in row)


CHECK = check(SODA, shelf(), SETTING)


def test_what_the_models_do_not_know_has_no_figure() -> None:
    """A figure far outside the data is hidden by a check; it is not shown beside another either."""
    odd = replace(CHECK, estimates=(Estimate("expansion", 30.0, 20.0, 40.0, "1e-6/K", Basis.EXTRAPOLATED),))
    line = next(r for r in figures_table(CHECK, odd, METRIC).splitlines() if "expansion" in r)
    assert "30" not in line
    assert line.rstrip().endswith("not known")


def test_no_chance_is_told_as_a_certainty() -> None:
    sure = tuple(
        Estimate(f"{name}_probability", chance, chance, chance, "1", Basis.MODEL)
        for name, chance in (("crazing", 0.998), ("shivering", 0.001))
    )
    text = figures_table(CHECK, replace(CHECK, estimates=sure), METRIC)
    assert [r.split()[-2:] for r in text.splitlines() if "likely" in r] == [["over", "99"], ["under", "1"]]


def test_recipes_side_by_side_are_in_the_chosen_units() -> None:
    result = compare([(CLEAR, SETTING), (SODA, SETTING)], shelf())
    assert "firing range, \N{DEGREE SIGN}C" in compare_text(result, METRIC)
    assert "firing range, \N{DEGREE SIGN}F" in compare_text(result, US)


def test_a_change_is_in_the_chosen_units() -> None:
    result = adjust(CLEAR, shelf(), ("Talc", "Zinc oxide"), SETTING, resolution_g=0.1)
    assert result.options or result.nearest
    assert "firing range, \N{DEGREE SIGN}F" in adjust_text(result, US)
    assert "\N{DEGREE SIGN}C" not in adjust_text(result, US)


def test_a_size_is_in_the_chosen_units() -> None:
    """4 in fired is 101.6 mm; an inch is 25.4 mm by definition."""
    report = ClayReport(
        body="clay", ware="stoneware", colour="", cone="6", cone_range="", formula=None, phases=None, estimates=(),
        lines=(), wet_size=WetSize(101.6, 115.45, 114.3, 116.6), verdicts=(), missing=(), tiles=0, sources=(),
    )  # fmt: skip
    assert "For 4.00 in fired, make it 4.55 in wet (4.50 to 4.59 in)." in clay_text(report, US)
    assert "For 102 mm fired, make it 115 mm wet (114 to 117 mm)." in clay_text(report, METRIC)


@pytest.mark.parametrize("full", [True, False])
def test_what_harms_is_named_in_every_length_of_a_swap(full: bool) -> None:
    """Barium stays in the glaze through the swap, so the short answer names it as the long one does."""
    barium = recipe_of({"Soda feldspar": 40, "Silica": 30, "Barium carbonate": 20, "Kaolin": 10}, name="matte")
    text = swap_text(swap(barium, shelf(), (), SETTING, "Soda feldspar", ("Potash feldspar",)), METRIC, full)
    assert "The fired glaze holds barium" in " ".join(text.split())
