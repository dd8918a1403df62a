"""What can hurt comes first: poison where it is weighed and on the bucket, an electrician before a tile is fired."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from glazecalc.values.data import data_root

DEMO = data_root() / "recipes"
LEAD = "name: Old yellow\ncone: 06\n\nWhite lead 50\nSilica 30\nKaolin 20\n+ Cadmium sulphide 3\n"


@pytest.fixture
def studio(run, tmp_path: Path) -> Path:
    assert run("start", tmp_path / "mine", "--demo").code == 0
    (tmp_path / "mine" / "old-yellow.txt").write_text(LEAD, encoding="utf-8")
    return tmp_path / "mine"


def test_a_batch_of_lead_leads_with_it(run, studio: Path) -> None:
    told = run("weigh", studio / "old-yellow.txt").out
    assert told.startswith("Holds lead and cadmium: do not weigh or mix this at home.")


def test_a_bucket_of_lead_leads_with_it(run, studio: Path) -> None:
    assert (
        run("labels", studio / "old-yellow.txt", "--kind", "bucket", "--dry", "500g", "-o", studio / "l.html").code == 0
    )
    text = " ".join(re.sub(r"<[^>]+>", " ", (studio / "l.html").read_text(encoding="utf-8")).split())
    assert text.index("POISON: lead, cadmium. NOT FOR FOOD OR DRINK") < text.index("dry 500 g")


@pytest.mark.parametrize("command", [["check", "shoal-clear"], ["first"]])
def test_an_electrician_comes_before_a_tile_where_the_outlet_is_open(run, studio: Path, command: list[str]) -> None:
    path = studio / "studio.toml"
    text = path.read_text(encoding="utf-8")
    assert "wire_awg = " in text
    path.write_text(re.sub(r"(?m)^wire_awg = .*$", "", text), encoding="utf-8")
    told = " ".join(run(*command, "--studio", studio).out.split())
    assert "Before the kiln is plugged in, show an electrician" in told
    if command[0] == "check":
        assert told.index("Before the kiln is plugged in") < told.index("Fire a test tile on this clay")


def test_a_card_for_reduction_is_not_reduced_at_home(run, studio: Path) -> None:
    told = " ".join(run("check", studio / "kelp-celadon.txt").out.split())
    assert "The card asks for reduction. A plug-in kiln fires in air" in told
    assert "asks for reduction" not in run("check", studio / "shoal-clear.txt").out


def test_a_glaze_does_not_hide_the_gases_of_the_clay(run, studio: Path) -> None:
    for more in ([], ["--recipe", studio / "kelp-celadon.txt"]):
        told = " ".join(run("kiln", "--studio", studio, *more).out.split())
        assert "hydrogen fluoride" in told and "and carbon monoxide: fumes go outside" in told


def test_a_pot_that_outgrows_the_scale_is_said(run, studio: Path) -> None:
    """The demo's scale carries 2000 g."""
    assert "the filled pot is heavier than the 2000 g" in " ".join(
        run("weigh", studio / "shoal-clear.txt", "--dry", "3kg").out.split()
    )
    assert "filled pot" not in run("weigh", studio / "shoal-clear.txt", "--dry", "1kg").out


def test_splinters_are_cautioned_from_a_tenth_on(run, studio: Path) -> None:
    told = " ".join(run("check", studio / "glasswort.txt").out.split())
    assert "sheds sharp splinters: wear goggles" in told
