"""A drop and hold against pinholes: for stiff glossy glazes alone, never for those that run, crystallise or are unknown.

Common practice, no source: 20 to 30 minutes, 30 to 70 K below the peak; stiff whites and soda feldspar glazes pinhole.
"""

from __future__ import annotations

import json
import math
from statistics import NormalDist

import numpy as np
import pytest

import glazecalc.cli.kiln  # noqa: F401
from glazecalc import api
from glazecalc.cli.frame import COMMANDS
from glazecalc.cli.main import main
from glazecalc.jobs.firing import LEVELLED, FiringWish, drop_and_hold, levelling_s, plan_firing
from glazecalc.jobs.firing_follow import USUAL_HOLD_H, DropHold, Plan, plan_legs
from glazecalc.jobs.formula import compose_recipe
from glazecalc.jobs.setup import Setup
from glazecalc.models.cones import cumulative_heat, heat_law
from glazecalc.models.viscosity import temperature_on, viscosity_curves
from glazecalc.values.cones import Cone
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Recipe
from glazecalc.values.results.firing import FiringReport, Segment
from tests.jobs.cases import recipe_of, shelf

STIFF: dict[str, tuple[dict[str, float], dict[str, float], str]] = {
    "white of hard frit": ({"Frit, hard borosilicate": 44, "Talc": 13, "Silica": 18, "Kaolin": 17, "Wollastonite": 8},
                           {"Zircon": 8.0}, "6"),
    "soda feldspar, high fire": ({"Soda feldspar": 78, "Whiting": 13, "Silica": 5, "Kaolin": 4}, {}, "10"),
}  # fmt: skip
NOT_SO: dict[str, tuple[dict[str, float], str, str]] = {
    "fluid boron clear": ({"Frit, calcium borosilicate with alumina": 46, "Kaolin": 18, "Silica": 24,
                           "Wollastonite": 12}, "6", "no drop"),
    "runny bottle glass": ({"Bottle glass cullet": 68, "Kaolin": 16, "Whiting": 8, "Borate ore, mixed": 8}, "6",
                           "no drop"),
    "zinc crystals": ({"Frit, high-alkali": 50, "Zinc oxide": 25, "Silica": 22, "Kaolin": 3}, "6", "crystals"),
    "ash": ({"Wood ash": 42, "Potash feldspar": 22, "Ball clay": 18, "Frit, high-calcium borosilicate": 18}, "7",
            "no drop"),
    "lead, which the models do not know": ({"Frit, lead bisilicate": 70, "Cornish stone": 15, "Kaolin": 11,
                                            "Silica": 4}, "04", "cannot say"),
    "kaolin and silica": ({"Kaolin": 70, "Silica": 30}, "6", "no drop|cannot say"),
}  # fmt: skip


def told(base: dict[str, float], additions: dict[str, float], cone: str) -> DropHold:
    composition, _, _ = compose_recipe(recipe_of(base, additions), shelf())
    assert composition is not None
    return drop_and_hold("it", composition, Cone(cone), peak_of(cone))


def peak_of(cone: str) -> float:
    return next(leg.to_degC for leg in plan_legs("glaze", Cone(cone), USUAL_HOLD_H) if leg.at_peak)


def peak_and_next(report: FiringReport) -> tuple[Segment, Segment | None]:
    top = max(range(len(report.segments)), key=lambda i: report.segments[i].to_degC)
    return report.segments[top], next(iter(report.segments[top + 1 :]), None)


def card(base: dict[str, float], additions: dict[str, float]) -> Recipe:
    return recipe_of(base, additions).model_copy(update={"name": "it"})


@pytest.mark.parametrize("kind", STIFF)
def test_stiff_glossy_glazes_are_dropped_and_held(kind: str) -> None:
    base, additions, cone = STIFF[kind]
    found = told(base, additions, cone)
    assert found.leg is not None
    assert 30.0 <= peak_of(cone) - found.leg.to_degC <= 70.0
    assert 20.0 <= 60.0 * found.leg.hold_h <= 30.0
    assert "pinholes" in found.why and "Common practice" in found.why


@pytest.mark.parametrize("kind", NOT_SO)
def test_others_are_not_and_it_is_said_why(kind: str) -> None:
    base, cone, word = NOT_SO[kind]
    found = told(base, {}, cone)
    assert found.leg is None
    assert any(w in found.why for w in word.split("|"))


def test_a_glaze_too_stiff_for_a_drop_is_held_at_the_peak() -> None:
    found = told({"Nepheline syenite": 80, "Ball clay": 20}, {}, "10")
    assert found.leg is None
    assert "a hold at the peak serves instead" in found.why


def test_the_schedule_holds_the_segment_and_tells_the_reason_by_command_and_library(
    capsys: pytest.CaptureFixture[str],
) -> None:
    studio = api.open_studio(data_root() / "recipes")
    white = api.recipe_from_file(data_root() / "recipes" / "lighthouse-white.txt")
    report = api.firing(studio, recipe=white)
    peak, after = peak_and_next(report)
    assert white.cone is not None
    assert report.cone == white.cone.high, "the card's cone is meant where none is named"
    assert after is not None
    assert 30.0 <= peak.to_degC - after.to_degC <= 70.0
    assert after.hold_h > 0.3
    assert any("against pinholes" in note for note in report.notes)
    bisque = api.firing(studio, recipe=white, kind="bisque")
    assert bisque.segments == api.firing(studio, kind="bisque").segments, "a bisque has no glaze to heal"
    assert main(["firing", "--recipe", str(data_root() / "recipes" / "lighthouse-white.txt"), "--json"]) in (0, 1, 3)
    told = json.loads(capsys.readouterr().out)["results"][0]
    assert [s["to_degC"] for s in told["segments"]] == [s.to_degC for s in report.segments]


@pytest.mark.parametrize("hold_h", [1.0 / 6.0, 0.5, 1.0, 3.0, 8.0])
@pytest.mark.parametrize("kiln", ["Shed kiln", "Guild kiln"])
@pytest.mark.parametrize("kind", STIFF)
def test_the_note_follows_the_plan_and_the_drop_its_peak(kind: str, kiln: str, hold_h: float) -> None:
    """The peak of a long hold is lower than the chart's, and a kiln with a switch gets no segments."""
    studio = api.open_studio(data_root() / "recipes")
    base, additions, cone = STIFF[kind]
    report = api.firing(studio, recipe=card(base, additions), cone=cone, kiln=kiln, hold_h=hold_h)
    told = any("with a drop and hold" in note for note in report.notes)
    if not report.segments:
        assert not told
        return
    peak, after = peak_and_next(report)
    assert told is (after is not None)
    if after is not None:
        assert 30.0 <= peak.to_degC - after.to_degC <= 70.0


def test_a_kiln_with_a_switch_is_told_that_none_is_planned() -> None:
    studio = api.open_studio(data_root() / "recipes")
    base, additions, cone = STIFF["white of hard frit"]
    report = api.firing(studio, recipe=card(base, additions), cone=cone, kiln="Guild kiln")
    assert any("no drop and hold is planned" in note for note in report.notes)


def test_the_heat_work_that_the_hold_adds_is_told() -> None:
    """Percents worked out here from the planned curve, up to the peak's end and whole."""
    base, additions, cone = STIFF["white of hard frit"]
    composition, _, _ = compose_recipe(recipe_of(base, additions), shelf())
    assert composition is not None
    wish = FiringWish("glaze", Cone(cone), after_peak=lambda peak: drop_and_hold("it", composition, Cone(cone), peak))
    report = plan_firing(wish, Setup())
    hours, degC = (np.array(x) for x in zip(*report.planned, strict=True))
    law, end = heat_law().take((Cone("7"),)), int(np.flatnonzero(degC == degC.max())[-1]) + 1
    at_peak, whole = (100 * cumulative_heat(law, hours[:n], degC[:n])[-1, 0] for n in (end, len(hours)))
    assert whole > at_peak + 5.0
    assert any(f"from {at_peak:.0f} % to {whole:.0f} % of its heat-work" in note for note in report.notes)


def test_a_hold_that_brings_the_next_cone_down_says_so() -> None:
    """Cones 1 and 2 of the chart lie close together."""
    hold = DropHold("why", Plan(300.0, peak_of("1") - 30.0, 25.0 / 60.0, "drop and hold"))
    report = plan_firing(FiringWish("glaze", Cone("1"), after_peak=lambda _: hold), Setup())
    assert report.reached_cone == Cone("2")
    assert any("heat-work: it comes down too" in note for note in report.notes)


def test_how_likely_the_hold_closes_pits_and_how_fast_the_kiln_falls_are_told() -> None:
    """With the temperature at that viscosity normal about its estimate, warmer by its sigma is 84 % likely."""
    base, additions, cone = STIFF["soda feldspar, high fire"]
    composition, _, _ = compose_recipe(recipe_of(base, additions), shelf())
    assert composition is not None
    found = told(base, additions, cone)
    assert found.leg is not None
    held_s = found.leg.hold_h * 3600.0
    at = temperature_on(
        viscosity_curves(composition.mole_fractions[:1]), math.log10(held_s / LEVELLED / levelling_s(0.0))
    )
    likely = NormalDist(float(at.value[0]), float(at.sigma[0])).cdf(found.leg.to_degC)
    assert likely >= 0.65
    assert f"likely still closes them ({100 * likely:.0f} % likely" in found.why
    unsure = told(*STIFF["white of hard frit"])
    assert "may still close them" in unsure.why, "the least drop leaves it no cooler than where half the melts close"
    assert "300 degC an hour" in found.why


def test_a_line_that_is_not_known_is_told_as_check_tells_it() -> None:
    studio = api.open_studio(data_root() / "recipes")
    doubtful = card({**STIFF["white of hard frit"][0], "Moonstone powder": 4}, {})
    found = {p.code for p in api.firing(studio, recipe=doubtful, cone="6").problems}
    assert "unknown-share" in found


def test_the_example_of_the_help_answers_with_a_drop(capsys: pytest.CaptureFixture[str]) -> None:
    line = next(line for line in COMMANDS["firing"][1].splitlines() if "--recipe" in line)
    main([w.replace("recipes/", f"{data_root() / 'recipes'}/") for w in line.split()[1:]])
    assert "with a drop and hold" in " ".join(capsys.readouterr().out.split())
