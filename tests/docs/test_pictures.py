"""The pictures in docs/pictures are those the program draws today; ``DOCS=write`` draws them again.

Words are compared exactly and figures are not, so that a better estimate does not make a picture wrong at once.
"""

from __future__ import annotations

import os
import re
import shutil
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from glazecalc.cli.main import main

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / "docs" / "pictures"
NAMES = ("expansion", "cones", "heating", "learned")


def words(svg: str) -> list[str]:
    root = ET.fromstring(svg.split("\n", 1)[1])
    texts = (t.text or "" for t in root.iter("{http://www.w3.org/2000/svg}text"))
    return sorted({re.sub(r"[-+\d.,]+", "#", text) for text in texts if re.search("[A-Za-z]{3}", text)})


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The pictures of the first recipe after two recorded tiles, as the first hour at the bench makes them."""
    folder = tmp_path_factory.mktemp("pictures")
    studio = folder / "studio"
    shutil.copytree(ROOT / "recipes", studio)
    clay = ("--body", "Harbour stoneware", "--cone", "6", "--date", "2026-03-31", "--studio", str(studio))
    assert (
        main(["record", "tile", str(studio / "shoal-clear.txt"), *clay, "--result", "sound", "--after", "boil x3"]) == 0
    )
    assert main(["record", "tile", str(studio / "brine-crackle.txt"), *clay, "--result", "crazed"]) == 0
    code = main(
        ["report", str(studio / "shoal-clear.txt"), "-o", str(folder / "p.html"), "--figures", str(folder / "f")]
    )
    assert code in (0, 1, 3)
    return folder / "f"


@pytest.mark.parametrize("name", NAMES)
def test_docs_show_what_the_program_draws(drawn: Path, name: str) -> None:
    kept = KEPT / f"{name}.svg"
    if os.environ.get("DOCS") == "write":
        KEPT.mkdir(parents=True, exist_ok=True)
        shutil.copy(drawn / f"{name}.svg", kept)
    assert words((drawn / f"{name}.svg").read_text(encoding="utf-8")) == words(kept.read_text(encoding="utf-8"))
    assert any(f"pictures/{name}.svg" in page.read_text(encoding="utf-8") for page in (ROOT / "docs").glob("*.md"))
