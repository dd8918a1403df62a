"""``report`` and ``labels``: what they write, where, and what they leave alone."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pytest

from glazecalc.cli.pages import today
from tests.cli.conftest import DEMO, Ran
from tests.render.samples import HOSTILE

Run = Callable[..., Ran]


def test_one_recipe_one_page(run: Run, tmp_path: Path) -> None:
    page = tmp_path / "deep" / "shoal.html"
    found = run("report", DEMO / "shoal-clear.txt", "-o", page)
    assert found.code == 0 and str(page) in found.out
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert page.stat().st_size < 600_000


def test_answer_and_files_in_json(run: Run, tmp_path: Path) -> None:
    found = run("report", DEMO / "shoal-clear.txt", "-o", tmp_path / "a.html", "--json")
    checked = run("check", DEMO / "shoal-clear.txt", "--json")
    assert found.json["answer"] == checked.json["answer"] and found.code == checked.code
    result = found.json["results"][0]
    assert result["files"] == [str(tmp_path / "a.html")]
    assert result["estimates"] == checked.json["results"][0]["estimates"]


def test_nothing_is_replaced_without_force(run: Run, tmp_path: Path) -> None:
    page = tmp_path / "a.html"
    page.write_text("mine")
    assert run("report", DEMO / "shoal-clear.txt", "-o", page).code == 2
    assert page.read_text() == "mine"
    assert run("report", DEMO / "shoal-clear.txt", "-o", page, "--force").code == 0
    assert page.read_text() != "mine"


def test_pictures_as_svg_and_png(run: Run, tmp_path: Path) -> None:
    run("report", DEMO / "shoal-clear.txt", "-o", tmp_path / "a.html", "--figures", tmp_path / "f")
    drawn = {p.stem for p in (tmp_path / "f").glob("*.svg")}
    assert drawn == {p.stem for p in (tmp_path / "f").glob("*.png")}
    assert {"expansion", "cones", "pushes"} <= drawn
    for path in (tmp_path / "f").glob("*.svg"):
        ET.fromstring(path.read_text(encoding="utf-8").split("\n", 1)[1])


def test_a_whole_studio(run: Run, tmp_path: Path) -> None:
    shutil.copytree(DEMO, tmp_path / "studio")
    (tmp_path / "studio" / "broken.txt").write_text("name: broken\ncone: 6\n\nUnobtainium 100\n")
    found = run("report", "--all", "--studio", tmp_path / "studio", "-o", tmp_path / "pages")
    assert found.code == 0
    pages = {p.name for p in (tmp_path / "pages").glob("*.html")}
    assert "index.html" in pages and "shoal-clear.html" in pages
    assert len(pages) == len(list(DEMO.glob("*.txt"))) + 1
    index = (tmp_path / "pages" / "index.html").read_text(encoding="utf-8")
    assert "Unobtainium" in index and all(name in index for name in pages - {"index.html"})


def test_a_hostile_recipe_in_every_file(run: Run, tmp_path: Path) -> None:
    card = tmp_path / "card.txt"
    card.write_text(f"name: {HOSTILE}\ncone: 6\n\nNepheline syenite 50\nSilica 30\nWhiting 20\n")
    run("report", card, "-o", tmp_path / "a.html", "--figures", tmp_path / "f", "--studio", DEMO)
    run("labels", card, "-o", tmp_path / "l.html", "--studio", DEMO)
    written = [tmp_path / "a.html", tmp_path / "l.html", *(tmp_path / "f").glob("*.svg")]
    assert len(written) > 5
    for path in written:
        text = path.read_text(encoding="utf-8")
        assert "<script" not in text, path
    assert "alert(1)" in (tmp_path / "l.html").read_text() and "alert(1)" in (tmp_path / "a.html").read_text()


def test_test_tiles_on_the_page(run: Run, tmp_path: Path) -> None:
    page = tmp_path / "line.html"
    found = run(
        "report", DEMO / "shoal-clear.txt", DEMO / "brine-crackle.txt", "--plan", "line", "--size", "5", "-o", page
    )
    assert found.code == 0, found.err
    html = page.read_text(encoding="utf-8")
    assert "Line blend: 5 tiles" in html and "<h2>Test tiles</h2>" in html
    assert html.count('class="tick small"') == 5


@pytest.mark.parametrize(
    "words",
    [
        ("report",), ("report", "--all", "nonsense"), ("report", "no-such-card"), ("report", "--all", "--plan", "line"),
        ("labels", DEMO / "shoal-clear.txt", "--kind", "hat"), ("labels", DEMO / "shoal-clear.txt", "--start", "99"),
        ("labels", DEMO / "shoal-clear.txt", "--tare", "no such pot"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_said(
    run: Run, words: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    found = run(*words)
    assert found.code == 2 and found.err and not found.out
    assert not list(tmp_path.iterdir())


def test_labels_say_what_belongs_on_them(run: Run, tmp_path: Path) -> None:
    page = tmp_path / "l.html"
    found = run("labels", DEMO / "lagoon-blue.txt", "--kind", "bucket", "--dry", "1500g", "--sg", "1.48", "--tare",
                "dip pot", "--date", "2026-02-03", "-o", page, "--copies", "2", "--json")  # fmt: skip
    assert found.code == 0 and found.json["results"][0]["labels"] == 2
    html = page.read_text(encoding="utf-8")
    for wanted in ("Lagoon blue", "cone 6", "2026-02-03", "specific gravity 1.48", "dry 1500 g", "bucket empty 240 g", "cobalt",
                   "Not tested for food."):  # fmt: skip
        assert html.count(wanted) == 2, wanted


def test_a_day_can_be_made_again(monkeypatch: pytest.MonkeyPatch) -> None:
    # reproducible-builds.org, SOURCE_DATE_EPOCH: seconds since 1970-01-01 in UTC
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    assert today() == "1970-01-02"


@pytest.mark.skipif(not hasattr(os, "wait4"), reason="time of a child process is told by POSIX systems")
def test_one_page_takes_less_than_three_seconds(tmp_path: Path) -> None:
    """Time of the processor, so that what else the machine does at the moment does not count."""
    words = [sys.executable, "-m", "glazecalc", "report", str(DEMO / "shoal-clear.txt"), "-o", str(tmp_path / "a.html")]
    before = os.times()
    subprocess.run(words, capture_output=True, check=False)
    after = os.times()
    spent = after.children_user + after.children_system - before.children_user - before.children_system
    assert (tmp_path / "a.html").is_file() and spent < 3.0


def test_a_switch_kiln_gets_its_acts_and_no_segments(run: Run, tmp_path: Path) -> None:
    page = tmp_path / "a.html"
    run("report", DEMO / "shoal-clear.txt", "--kiln", "Guild kiln", "-o", page)
    text = page.read_text(encoding="utf-8")
    assert "With the switch" in text and "Turn to medium" in text
    assert '<th scope="col">segment</th>' not in text
    run("report", DEMO / "shoal-clear.txt", "-o", page, "--force")
    text = page.read_text(encoding="utf-8")
    assert "With the switch" not in text and '<th scope="col">segment</th>' in text
