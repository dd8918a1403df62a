"""The set-up that asks: answers become a studio, what is not known is not written, one thing can be changed."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from glazecalc.files.studio import read_studio
from glazecalc.files.writing import put_back
from glazecalc.jobs.asking import MORE, QUESTIONS, fault, shown, understood, write_blank, write_studio
from glazecalc.values.answers import ProblemsError

OF = {question.key: question for question in QUESTIONS}
ANSWERS = {
    "clay.name": "Grey rock", "clay.class": "3", "clay.cones": "5-6", "cone": "^6", "kiln.volts": "120 V",
    "kiln.watts": "1.8 kW", "kiln.cone": "", "outlet.receptacle": "5-20R", "outlet.breaker": "20", "scale.step": "0.1",
    "shelf": "Silica, kaolin, Whiting",
}  # fmt: skip


def test_answers_become_a_studio_that_can_be_read(tmp_path: Path) -> None:
    assert write_studio(tmp_path, ANSWERS) == ("studio.toml", "stock.csv")
    studio, problems = read_studio(tmp_path)
    assert {p.code for p in problems} == {"not-weighed"}
    (body,), (kiln,), (circuit,) = studio.bodies, studio.kilns, studio.circuits
    assert (body.name, body.ware, str(body.cone_low), str(body.cone_high)) == ("Grey rock", "stoneware", "5", "6")
    assert (kiln.volts, kiln.watts, kiln.amps, kiln.cone) == (120, 1800, None, None)
    assert (circuit.receptacle, circuit.breaker_A) == ("5-20R", 20)
    assert studio.defaults.body == "Grey rock" and str(studio.defaults.cone) == "6"
    assert [name for name, _ in studio.stock] == ["Silica", "kaolin", "Whiting"]


def test_a_comma_within_a_name_parts_nothing(tmp_path: Path) -> None:
    write_studio(tmp_path, {"shelf": "silica, Frit, high-calcium borosilicate, my own, spar; frit, high-alkali"})
    names = [name for name, _ in read_studio(tmp_path)[0].stock]
    assert names == ["silica", "Frit, high-calcium borosilicate", "my own", "spar", "frit, high-alkali"]


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda q: q.key)
def test_every_question_may_be_unknown(question, tmp_path: Path) -> None:
    for typed in ("", " ? ", "I don't know"):
        assert fault(question, typed) == "" and understood(question, typed) == ""
    write_studio(tmp_path, {question.key: "?"})
    assert read_studio(tmp_path)[0].kilns == ()


@pytest.mark.parametrize(("key", "typed"), [
    ("clay.cones", "hot"), ("cone", "5-6"), ("kiln.volts", "many"), ("outlet.receptacle", "12"), ("scale.step", "-1"),
    ("kiln.amps", "15 V"),
])  # fmt: skip
def test_an_answer_that_cannot_be_is_asked_again_and_never_written(key: str, typed: str, tmp_path: Path) -> None:
    assert fault(OF[key], typed)
    with pytest.raises(ProblemsError):
        write_studio(tmp_path, {key: typed})
    assert not (tmp_path / "studio.toml").exists()


def test_inside_of_a_kiln_stands_in_one_table_and_goes_with_its_last_figure(tmp_path: Path) -> None:
    inside = ("kiln.shape", "kiln.across", "kiln.high")
    write_studio(tmp_path, {"kiln.name": "Small", **dict(zip(inside, ("octagon", "290", "230"), strict=True))})
    write_studio(tmp_path, {"kiln.across": "300"}, which={"kiln": "Small"})
    row = tomllib.loads((tmp_path / "studio.toml").read_text())["kiln"][0]
    assert row["interior"] == {"shape": "octagon", "width_mm": 300, "height_mm": 230}
    assert [shown(q, row) for q in MORE if q.key in inside] == ["octagon", "300", "230"]
    write_studio(tmp_path, {}, which={"kiln": "Small"}, forget=inside)
    assert "interior" not in (tmp_path / "studio.toml").read_text()


def test_one_thing_is_changed_and_the_rest_stays_as_written(tmp_path: Path) -> None:
    write_studio(tmp_path, ANSWERS)
    path = tmp_path / "studio.toml"
    path.write_text(path.read_text().replace("watts", "# from the plate\nwatts") + "\n# end\n")
    write_studio(tmp_path, {"kiln.name": "Red kiln", "kiln.cone": "6"})
    text = path.read_text()
    assert "# from the plate\nwatts = 1800" in text and text.endswith("# end\n")
    studio, problems = read_studio(tmp_path)
    assert (
        {p.code for p in problems} == {"not-weighed"}
        and studio.defaults.kiln == "Red kiln"
        and str(studio.kilns[0].cone) == "6"
    )


def test_a_studio_that_cannot_be_read_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "studio.toml").write_text("not = [toml")
    with pytest.raises(ProblemsError):
        write_studio(tmp_path, ANSWERS)
    assert (tmp_path / "studio.toml").read_text() == "not = [toml"


def test_a_bare_studio_invents_nothing(tmp_path: Path) -> None:
    write_blank(tmp_path)
    assert tomllib.loads((tmp_path / "studio.toml").read_text()) == {}
    studio, problems = read_studio(tmp_path)
    assert not problems and not (studio.bodies or studio.kilns or studio.circuits or studio.materials)


def test_asking_again_loses_neither_grams_nor_the_studio_before(tmp_path: Path) -> None:
    write_studio(tmp_path, ANSWERS)
    (tmp_path / "stock.csv").write_text("name;grams;shelf\n# top\nSilica;3200;left\n", encoding="utf-8")
    before = (tmp_path / "studio.toml").read_text(encoding="utf-8")
    write_studio(tmp_path, {"shelf": "silica, Talc", "kiln.cone": "6"})
    studio, _ = read_studio(tmp_path)
    assert dict(studio.stock)["Silica"] == 3200 and [name for name, _ in studio.stock] == ["Silica", "Talc"]
    assert "# top" in (tmp_path / "stock.csv").read_text(encoding="utf-8")
    assert put_back(tmp_path / "studio.toml") and (tmp_path / "studio.toml").read_text(encoding="utf-8") == before
