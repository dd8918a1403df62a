"""The first hour of a new potter in a real browser: from an empty folder to a recorded tile, by mouse and keys."""

from __future__ import annotations

import io
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from glazecalc.values.data import data_root
from tests.browser.headless import AXE, FONTS, OVERFLOW, font_file

sync = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")

WORDS = [
    "--disable-gpu",
    "--disable-background-networking",
    "--no-first-run",
    *(["--no-sandbox"] if os.geteuid() == 0 else []),
]
FIRST = "Blue sea clear\ncone 6\nNeph dust 30\nSilica 28\nWhitting 12\nKaolin 12\nFrit, high-calcium borosilicate 18\n"
SECOND = "name: Second\ncone: 6\n\nPotash feldspar 55\nSilica 15\nWhiting 15\nKaolin 10\nZinc oxide 5\n"


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync.sync_playwright() as play:
        running = play.chromium.launch(executable_path=CHROMIUM, args=WORDS)
        yield running
        running.close()


@contextmanager
def opened(folder: Path, *words: str) -> Iterator[dict[str, Any]]:
    """What ``glazecalc open`` tells of the page it serves, while it does."""
    running = subprocess.Popen(
        [sys.executable, "-m", "glazecalc", "open", str(folder), "--no-browser", "--json", *words],
        stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    text = ""
    assert running.stdout is not None
    while not text.endswith("}\n") or text.count("{") != text.count("}"):
        text += running.stdout.readline()
    yield json.loads(text)["results"][0]
    running.terminate()
    running.wait(20)


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    with opened(tmp_path / "mine") as told:
        yield str(told["address"])


def go(page: Any, word: str) -> None:
    page.get_by_role("navigation").get_by_role("link", name=word).click()


def picture() -> bytes:
    """A photograph of nothing."""
    image = pytest.importorskip("PIL.Image")
    kept = io.BytesIO()
    image.new("RGB", (60, 40), "tan").save(kept, "PNG")
    return kept.getvalue()


def first_hour(page: Any, address: str) -> None:
    page.goto(address)
    go(page, "My things")
    page.locator("#clay-name-0").fill("Bag clay")
    page.locator("#clay-class-0").select_option("stoneware")
    page.locator("#clay-cones-0").fill("5-7")
    page.locator("#clay-cone-0").fill("6")
    page.get_by_role("button", name="Keep this clay").click()
    page.get_by_text("Kept.").wait_for()
    for field, typed in (("name", "My kiln"), ("volts", "120 V"), ("amps", "15"), ("cone", "6")):
        page.locator(f"#kiln-{field}-0").fill(typed)
    page.get_by_role("button", name="Keep this kiln").click()
    page.get_by_text("Kept.").wait_for()
    page.get_by_role("radio", name="one slit is a T").check()
    page.locator("#outlet-breaker-0").fill("20")
    page.locator("#outlet-cord-0").select_option("none")
    page.get_by_role("button", name="Keep this outlet").click()
    page.get_by_text("Kept.").wait_for()
    page.locator("#scale-step-0").fill("0.1")
    page.get_by_role("button", name="Keep this scale").click()
    page.get_by_text("Kept.").wait_for()
    go(page, "Glaze")
    page.locator("#text").fill(FIRST)
    page.get_by_role("button", name="Look", exact=True).click()
    page.locator("#meant-3").fill("Nepheline syenite")
    page.locator("button[value='5=Whiting']").click()
    page.locator(".verdict").wait_for()
    page.locator("details.report > summary").click()
    page.get_by_role("heading", name="Batch sheet").wait_for()
    for title, text in (("first", None), ("second", SECOND)):
        if text:
            go(page, "Glaze")
            page.locator("#text").fill(text)
            page.get_by_role("button", name="Look", exact=True).click()
        page.locator("#title").fill(title)
        page.get_by_role("button", name="Keep", exact=True).click()
        page.get_by_text("The card is kept.").wait_for()
    go(page, "Tiles")
    for name in ("first", "second"):
        page.get_by_label(name, exact=True).check()
    page.locator("#size").fill("5")
    page.get_by_role("button", name="Lay out").click()
    page.get_by_role("button", name="Write these tiles").click()
    for said in ("sound", "sound", "crazed later", "crazed at once", "underfired"):
        page.get_by_role("button", name=f": {said}").first.click()
    page.get_by_text("What Bag clay has taught").wait_for()
    page.locator("summary", has_text="Put right, or add a photograph").first.click()
    page.locator("input[type=file]").first.set_input_files(
        {"name": "tile.png", "mimeType": "image/png", "buffer": picture()}
    )
    page.get_by_role("button", name="Keep the photograph").first.click()
    page.locator("main img").wait_for()
    page.get_by_role("button", name="Make this tile").first.click()
    page.get_by_role("link", name="Marks to print").click()
    page.locator(".mark").wait_for()
    go(page, "Firing")
    page.locator("#cone").fill("6")
    page.get_by_role("button", name="Plan it").click()
    page.get_by_text("Before you switch on").wait_for()
    page.get_by_role("button", name="begin a log").click()
    page.locator("#at").fill("2:30")
    page.locator("#heat").fill("600")
    page.get_by_role("button", name="Write it down").click()
    page.get_by_role("rowheader", name="2:30").wait_for()
    page.get_by_role("radio", name="is half down").first.check()
    page.locator("#hours").fill("7.5")
    page.get_by_role("button", name="Write the end down").click()
    page.get_by_text("half").first.wait_for()


@pytest.mark.parametrize(
    ("width", "scheme", "scripts"), [(1000, "light", True), (360, "dark", True), (360, "light", False)]
)
def test_first_hour(browser: Any, address: str, tmp_path: Path, width: int, scheme: str, scripts: bool) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": 760}, color_scheme=scheme, java_script_enabled=scripts
    )
    page = context.new_page()
    page.set_default_timeout(90_000)
    said: list[str] = []
    page.on("console", lambda line: said.append(line.text))
    first_hour(page, address)
    assert not said
    assert "crazed" in (subprocess.run([sys.executable, "-m", "glazecalc", "journal", "--studio", str(tmp_path / "mine")],
                                       capture_output=True, text=True, check=True).stdout)  # fmt: skip
    context.close()


def test_answer_follows_the_typing(browser: Any, address: str) -> None:
    page = browser.new_context().new_page()
    page.goto(address)
    page.locator("#text").fill(SECOND)
    verdict = page.locator(".verdict")
    verdict.wait_for(timeout=20_000)
    assert verdict.inner_text().strip()


def test_changes_that_help_follow_the_work(browser: Any, tmp_path: Path) -> None:
    """Long work is watched without loading the page again by hand, and stopped with a button."""
    shutil.copytree(Path(__file__).resolve().parents[2] / "recipes", tmp_path / "demo")
    with opened(tmp_path / "demo") as told:
        page = browser.new_context().new_page()
        page.set_default_timeout(120_000)
        page.goto(told["address"])
        page.get_by_role("link", name="brine-crackle").click()
        page.get_by_role("button", name="What would make it better?").click()
        page.get_by_role("progressbar").wait_for()
        page.get_by_role("heading", name="Changes that help").wait_for()
        page.get_by_role("button", name="What would make it better?").click()
        page.get_by_role("button", name="Stop it").click()
        page.get_by_text("Stopped; nothing was changed.").wait_for()


def test_phone_comes_in_once_with_its_own_key(browser: Any, tmp_path: Path) -> None:
    """A second client, thin and touched, by the address of this machine on its network; a third is too late."""
    with opened(tmp_path / "mine", "--phone") as told:
        if told["phone"] is None:
            pytest.skip("this machine is on no network that a phone could reach it by")
        assert not told["phone"].startswith("http://127.") and told["phone"].split("key=")[1] not in told["address"]
        phone = browser.new_context(viewport={"width": 360, "height": 640}, has_touch=True, is_mobile=True)
        page = phone.new_page()
        page.set_default_timeout(60_000)
        page.goto(told["phone"])
        go(page, "My things")
        page.locator("#clay-name-0").fill("Phone clay")
        page.get_by_role("button", name="Keep this clay").tap()
        page.get_by_text("Kept.").wait_for()
        assert page.evaluate("document.documentElement.scrollWidth") <= 360 and "key=" not in page.url
        late = browser.new_context().new_page()
        assert late.goto(told["phone"]).status == 403
        bench = browser.new_context().new_page()
        bench.goto(told["address"])
        go(bench, "My things")
        assert bench.locator("summary", has_text="Phone clay").count() == 1


def test_page_of_somebody_else_cannot_write(browser: Any, address: str, tmp_path: Path) -> None:
    """Cross-site request forgery as OWASP describes it: a form of another site that posts here on its own."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(address)
    base = address.split("/?")[0]
    form = f'<form method="post" action="{base}/shelf"><input name="do" value="stock"><input name="name" value="Bad">' \
           '<input name="amount" value="1kg"><button>go</button></form>'  # fmt: skip
    context.route("http://evil.test/*", lambda route: route.fulfill(body=form, content_type="text/html"))
    other = context.new_page()
    other.goto("http://evil.test/")
    other.get_by_role("button", name="go").click()
    other.get_by_text("nothing was done").wait_for()
    assert not (tmp_path / "mine" / "stock.csv").exists()
    frame = f'<iframe src="{base}/shelf"></iframe>'
    context.route("http://evil.test/frame", lambda route: route.fulfill(body=frame, content_type="text/html"))
    other.goto("http://evil.test/frame")
    assert "On the shelf" not in "".join(f.content() for f in other.frames)


@pytest.mark.parametrize("family", FONTS)
def test_rooms_cut_and_cover_no_text(browser: Any, family: str, tmp_path: Path) -> None:
    """Every room of the demo studio in one family of text alone, on a phone and on a desk, all its parts unfolded."""
    fonts = font_file(family, tmp_path)
    if fonts is None:
        pytest.skip(f"no {family} here: apt-get install fontconfig and its fonts")
    shutil.copytree(data_root() / "recipes", tmp_path / "demo")
    judge = f"() => {{ {OVERFLOW} return bad; }}"
    with opened(tmp_path / "demo") as told:
        running = browser.browser_type.launch(
            executable_path=CHROMIUM, args=WORDS, env=os.environ | {"FONTCONFIG_FILE": str(fonts)}
        )
        page = running.new_page()
        page.goto(str(told["address"]))
        base = str(told["address"]).split("/?")[0]
        for room in ("/", "/?card=shoal-clear", "/studio", "/tiles", "/firing", "/shelf"):
            page.goto(base + room)
            page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
            for width in (360, 900):
                page.set_viewport_size({"width": width, "height": 900})
                assert page.evaluate(judge) == [], (room, width)
        running.close()


@pytest.mark.skipif(not AXE.is_file(), reason="axe-core is not installed: npm install --prefix tests/browser")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_rooms_are_clean_for_axe(browser: Any, address: str, scheme: str) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 760}, color_scheme=scheme, bypass_csp=True)
    page = context.new_page()
    first_hour(page, address)
    base = address.split("/?")[0]
    for room in ("/", "/?card=first", "/studio", "/tiles", "/tiles/marks", "/firing", "/shelf"):
        page.goto(base + room)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, room
        page.add_script_tag(path=str(AXE))
        found = page.evaluate(
            "axe.run().then(r => r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.html).join(' | ')))"
        )
        assert not found, (room, found)
    context.close()
