"""A maker's rating given as a temperature, and what no rating means."""

from __future__ import annotations

from pathlib import Path

import pytest

from glazecalc import api
from glazecalc.files.studio import read_studio
from glazecalc.jobs.ceiling import ceiling
from glazecalc.jobs.reach import reach_verdict
from glazecalc.models.cones import rated_cone
from glazecalc.values.answers import Answer
from glazecalc.values.cones import Cone
from glazecalc.values.inputs import Circuit, Interior, Kiln, Limits

OUTLET = Circuit(name="c", volts=120.0, breaker_A=20.0, wire_awg=12, length_m=10.0, other_load_A=0.0)
SHED = Kiln(
    name="k", volts=120.0, amps=15.0, wall_mm=64.0, firings_on_elements=10,
    interior=Interior(shape="octagon", width_mm=290.0, height_mm=230.0),
)  # fmt: skip


@pytest.mark.parametrize(("degF", "cone"), [(1945, "04"), (2167, "5"), (2232, "6"), (2345, "10")])
def test_a_chart_s_temperature_is_its_cone(degF: float, cone: str) -> None:
    """The published chart of large cones at 60 degC/h (108 degF/h), in degF as printed (from memory)."""
    assert rated_cone(SHED.model_copy(update={"max_degC": (degF - 32) / 1.8})) == Cone(cone)


def test_the_cooler_of_two_ratings_holds() -> None:
    both = SHED.model_copy(update={"max_degC": 1222.0, "cone": Cone("10")})
    assert rated_cone(both) == Cone("6")
    assert rated_cone(both.model_copy(update={"cone": Cone("04")})) == Cone("04")


def test_a_temperature_ends_ceiling_and_reach_as_its_cone_does() -> None:
    by_heat = SHED.model_copy(update={"max_degC": 1222.0})
    by_cone = SHED.model_copy(update={"cone": Cone("6")})
    assert ceiling(by_heat, OUTLET).estimate.value == ceiling(by_cone, OUTLET).estimate.value  # type: ignore[union-attr]
    no = reach_verdict(by_heat, OUTLET, Cone("8"), ceiling(by_heat, OUTLET), Limits())
    assert no.answer is Answer.DOES_NOT_FIT
    assert "2232 degF" in no.message
    assert "cone 6" in no.message


@pytest.mark.parametrize("amps", [10.0, 12.0, 15.0])
@pytest.mark.parametrize("width", [150.0, 200.0, 290.0])
@pytest.mark.parametrize("cone", ["04", "6", "10"])
def test_unrated_kilns_never_get_a_yes(amps: float, width: float, cone: str) -> None:
    kiln = SHED.model_copy(update={"amps": amps, "interior": Interior(shape="square", width_mm=width, height_mm=width)})
    hot = ceiling(kiln, OUTLET)
    assert hot is not None
    assert hot.cone_high is None or hot.cone_high <= Cone("10")
    verdict = reach_verdict(kiln, OUTLET, Cone(cone), hot, Limits())
    assert verdict.answer is Answer.CANNOT_SAY
    assert "max_degC" in verdict.message


@pytest.mark.parametrize("key", ["max_degC", "max_temperature", "highest_temperature", "max_temp", "max_degF"])
def test_every_name_of_the_rating_is_read(key: str, tmp_path: Path) -> None:
    value = "2232" if key == "max_degF" else '"2232 F"'
    (tmp_path / "studio.toml").write_text(f'[[kiln]]\nname = "k"\n{key} = {value}\n', encoding="utf-8")
    studio, problems = read_studio(tmp_path)
    assert not problems
    assert studio.kilns[0].max_degC == pytest.approx(1222.2, abs=0.1)


def test_a_bare_figure_that_can_only_be_degF_is_refused(tmp_path: Path) -> None:
    (tmp_path / "studio.toml").write_text('[[kiln]]\nname = "k"\nmax_degC = 2232\n', encoding="utf-8")
    _, problems = read_studio(tmp_path)
    assert [p.code for p in problems if p.is_error] == ["wrong-unit"]
    assert '"2232 F"' in problems[0].hint


def test_a_bisque_without_a_cone_is_no_glaze_firing() -> None:
    studio, _ = read_studio(Path("recipes"))
    report = api.firing(studio, kind="bisque")
    assert report.cone == Cone("04")
    assert "bisque-cone" in {p.code for p in report.problems}
    assert {p.code for p in api.firing(studio, kind="bisque", cone="06").problems} == {"demo-data"}
