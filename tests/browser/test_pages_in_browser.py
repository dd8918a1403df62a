"""Pages as a browser sees them: no error, no request, nothing overflowing, nothing lost in print, accessible, valid.

Needs Chromium (Debian: apt-get install chromium poppler-utils); the outside judges axe-core and html-validate come
from npm (npm install --prefix tests/browser). What is missing is skipped, and says so.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from glazecalc.cli.main import main
from glazecalc.cli.pages import find_browser
from glazecalc.values.data import data_root
from tests.browser.headless import (
    AXE,
    FONTS,
    HTML_VALIDATE,
    OVERFLOW,
    PDF_TOOLS,
    ask,
    console_and_requests,
    font_file,
    print_pdf,
)
from tests.render.samples import HOSTILE, LONG
from tests.render.test_page import read

DEMO = data_root() / "recipes"
pytestmark = pytest.mark.skipif(find_browser() is None, reason="no Chromium here: apt-get install chromium")
BATCH = "\n\nFrit, high-calcium borosilicate 26\nNepheline syenite 18\nKaolin 22\nSilica 34\n+ Cobalt carbonate 0.2\n"

RUN_AXE = """
axe.run(document, {resultTypes: ['violations']}).then(function (r) {
  done(r.violations.map(function (v) {
    return v.id + ': ' + v.nodes.map(function (n) { return n.target.join(' '); }).slice(0, 4).join(' | ');
  }));
}, function (e) { done(['axe failed: ' + e]); });
"""


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A usual page, one with a hostile long name and tiles, an index, a sheet of labels."""
    folder = tmp_path_factory.mktemp("pages")
    studio = folder / "studio"
    shutil.copytree(DEMO, studio)
    (studio / "hostile.txt").write_text(
        f"name: {HOSTILE} {LONG}\ncone: 6\nsource: {'x' * 300}{BATCH}", encoding="utf-8"
    )
    calls = {
        "usual": ("report", str(studio / "shoal-clear.txt"), "-o"),
        "hostile": ("report", str(studio / "hostile.txt"), str(studio / "brine-crackle.txt"), "--plan", "line", "-o"),
        "labels": ("labels", str(studio / "hostile.txt"), str(studio / "lagoon-blue.txt"), "--copies", "20", "-o"),
    }
    found = {}
    for name, words in calls.items():
        found[name] = folder / f"{name}.html"
        assert main([*words, str(found[name])]) in (0, 1, 3)
    assert main(["report", "--all", "--studio", str(studio), "-o", str(folder / "all")]) == 0
    found["index"] = folder / "all" / "index.html"
    return found


NAMES = ["usual", "hostile", "index", "labels"]


@pytest.mark.parametrize("name", NAMES)
def test_no_console_line_and_no_request(pages: dict[str, Path], name: str, tmp_path: Path) -> None:
    console, asked = console_and_requests(pages[name], tmp_path)
    assert not console
    assert not asked


@pytest.mark.parametrize("name", ["usual", "hostile", "index"])
@pytest.mark.parametrize("width", [360, 900])
@pytest.mark.parametrize("family", FONTS)
def test_nothing_overflows(pages: dict[str, Path], name: str, width: int, family: str, tmp_path: Path) -> None:
    fonts = font_file(family, tmp_path)
    if fonts is None:
        pytest.skip(f"no {family} here: apt-get install fontconfig and its fonts")
    assert ask(pages[name], OVERFLOW + "done(bad);", tmp_path, width=width, fonts=fonts) == []


@pytest.mark.skipif(not PDF_TOOLS, reason="no pdftotext here: apt-get install poppler-utils")
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("paper", "size"), [("letter", "612x792"), ("A4", "595x842")])
def test_print_loses_nothing(pages: dict[str, Path], name: str, paper: str, size: str, tmp_path: Path) -> None:
    if name == "labels" and paper == "A4":
        pytest.skip("a label sheet is of one paper")
    text, count, off, found = print_pdf(pages[name], paper, tmp_path)
    assert found == size or name == "labels"
    assert not off, "words off the paper"
    assert count == 2 if name == "labels" else 1 <= count <= (6 if name == "usual" else 16)
    assert name != "usual" or "Batch sheet" in text.split("\f")[1]
    printed = "".join(text.split())
    whole = pages[name].read_text(encoding="utf-8")
    shown = read(re.sub(r'<(section|figcaption|figure) class="screen-only".*?</\1>', "", whole, flags=re.DOTALL)).words
    lost = [word for words in shown for word in words.split() if word not in printed and len(word) <= 40]
    on_screen_only = re.search(r"<h1>(.*?)</h1>", pages[name].read_text(encoding="utf-8")) if name == "labels" else None
    assert not set(lost) - set(on_screen_only[1].split() if on_screen_only else ())


@pytest.mark.skipif(not AXE.is_file(), reason="no axe-core here: npm install --prefix tests/browser")
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_axe_finds_no_violation(pages: dict[str, Path], name: str, dark: bool, tmp_path: Path) -> None:
    script = AXE.read_text(encoding="utf-8").replace("</script", "<\\/script") + ";" + RUN_AXE
    assert ask(pages[name], script, tmp_path, dark=dark) == []


@pytest.mark.skipif(
    not HTML_VALIDATE.is_file() or shutil.which("node") is None,
    reason="no html-validate here: npm install --prefix tests/browser",
)
@pytest.mark.parametrize("name", NAMES)
def test_the_markup_is_valid(pages: dict[str, Path], name: str, tmp_path: Path) -> None:
    config = tmp_path / "rules.json"
    config.write_text(
        '{"root": true, "extends": ["html-validate:standard", "html-validate:a11y"],'
        ' "rules": {"no-inline-style": "off"}}'
    )
    found = subprocess.run(
        ["node", str(HTML_VALIDATE), "--config", str(config), str(pages[name])],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert found.returncode == 0, found.stdout[-4000:] + found.stderr[-1000:]
