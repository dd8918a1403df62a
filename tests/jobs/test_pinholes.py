"""A drop and hold against pinholes: for stiff glossy glazes alone, never for those that run, crystallise or are unknown.

Common practice, no source: 20 to 30 minutes, 30 to 70 K below the peak; stiff whites and soda feldspar glazes pinhole.
"""

from __future__ import annotations

import json

import pytest

from glazecalc import api
from glazecalc.cli.main import main
from glazecalc.jobs.formula import compose_recipe
from glazecalc.jobs.pinholes import DropHold, drop_and_hold
from glazecalc.models.cones import temperature_degC
from glazecalc.values.cones import Cone
from glazecalc.values.data import data_root
from tests.jobs.cases import recipe_of, shelf

STIFF = {
    "white of hard frit": ({"Frit, hard borosilicate": 44, "Talc": 13, "Silica": 18, "Kaolin": 17, "Wollastonite": 8},
                           {"Zircon": 8.0}, "6"),
    "soda feldspar, high fire": ({"Soda feldspar": 78, "Whiting": 13, "Silica": 5, "Kaolin": 4}, {}, "10"),
}  # fmt: skip
NOT_SO = {
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
    return drop_and_hold("it", composition, Cone(cone))


@pytest.mark.parametrize("kind", STIFF)
def test_stiff_glossy_glazes_are_dropped_and_held(kind: str) -> None:
    base, additions, cone = STIFF[kind]
    found = told(base, additions, cone)
    assert found.leg is not None
    assert 30.0 <= temperature_degC(Cone(cone)) - found.leg.to_degC + 5.0 <= 75.0
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
    assert "hold it longer at the peak" in found.why


def test_the_schedule_holds_the_segment_and_tells_the_reason_by_command_and_library(
    capsys: pytest.CaptureFixture[str],
) -> None:
    studio = api.open_studio(data_root() / "recipes")
    white = api.recipe_from_file(data_root() / "recipes" / "lighthouse-white.txt")
    report = api.firing(studio, recipe=white)
    peak = next(i for i, s in enumerate(report.segments) if s.to_degC == max(x.to_degC for x in report.segments))
    assert report.cone == white.cone.high, "the card's cone is meant where none is named"
    assert 20.0 <= report.segments[peak].to_degC - report.segments[peak + 1].to_degC <= 75.0
    assert report.segments[peak + 1].hold_h > 0.3
    assert any("against pinholes" in note for note in report.notes)
    bisque = api.firing(studio, recipe=white, kind="bisque")
    assert bisque.segments == api.firing(studio, kind="bisque").segments, "a bisque has no glaze to heal"
    assert main(["firing", "--recipe", str(data_root() / "recipes" / "lighthouse-white.txt"), "--json"]) in (0, 1, 3)
    told = json.loads(capsys.readouterr().out)["results"][0]
    assert [s["to_degC"] for s in told["segments"]] == [s.to_degC for s in report.segments]
