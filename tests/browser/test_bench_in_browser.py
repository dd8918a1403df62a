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
    *(["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []),
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


SMALL = """[...document.querySelectorAll('main a, main button, main select, main summary, main textarea, nav a, main input')]
  .filter(e => e.checkVisibility() && e.type !== 'hidden' && !e.closest('svg'))
  .filter(e => !(e.localName === 'a' && getComputedStyle(e).display === 'inline'))
  .map(e => [(['checkbox', 'radio'].includes(e.type) && e.labels.length ? e.labels[0] : e).getBoundingClientRect(), e.outerHTML.slice(0, 90)])
  .filter(([r]) => r.height < 44 || r.width < 44).map(([r, html]) => `${r.width} x ${r.height}: ${html}`)"""
"""What a thumb could miss: targets under 44 px (WCAG 2.2, 2.5.5), but for links in a line of text, which it excepts."""


BROKEN = """[...document.querySelectorAll('.batch td.n')].filter(td => {
  const range = document.createRange(); range.selectNodeContents(td);
  return new Set([...range.getClientRects()].map(r => Math.round(r.top))).size > 1; }).map(td => td.textContent)"""
"""Weights that are broken over two lines, so that 165.0 could be read as 16."""


def go(page: Any, word: str) -> None:
    press(page.get_by_role("navigation").get_by_role("link", name=word))


def press(what: Any) -> None:
    """Tap with a thumb where the screen can be touched, else click."""
    touched = what.page.viewport_size["width"] <= 360
    what.tap() if touched else what.click()


def button(page: Any, name: str) -> Any:
    return page.get_by_role("button", name=name, exact=True)


def picture() -> bytes:
    """A photograph of nothing."""
    image = pytest.importorskip("PIL.Image")
    kept = io.BytesIO()
    image.new("RGB", (60, 40), "tan").save(kept, "PNG")
    return kept.getvalue()


def keep(page: Any, subject: str, **typed: str) -> None:
    for field, word in typed.items():
        page.locator(f"#{subject}-{field}-0").fill(word)
    press(button(page, f"Keep this {subject}"))
    page.get_by_text("Kept.").wait_for()


def set_up(page: Any) -> None:
    """Clay, kiln, outlet and scale; how the outlet is wired is not known."""
    go(page, "My things")
    page.locator("#clay-class-0").select_option("stoneware")
    keep(page, "clay", name="Bag clay", cones="5-7", cone="6")
    keep(page, "kiln", name="My kiln", volts="120 V", amps="15", cone="6")
    page.get_by_role("radio", name="I don't know").check()
    page.locator("#outlet-cord-0").select_option("none")
    keep(page, "outlet", breaker="20")
    page.get_by_role("heading", name="May the kiln be plugged in there?").wait_for()
    keep(page, "scale", step="0.1")


def check_and_weigh(page: Any) -> None:
    """A pasted recipe with two unknown names: one is typed, one is tapped; the batch sheet is ticked."""
    go(page, "Glaze")
    page.locator("#text").fill(FIRST)
    press(button(page, "Look"))
    page.locator("#meant-3").fill("Nepheline syenite")
    press(page.locator("button[value='5=Whiting']"))
    page.locator(".verdict").wait_for()
    assert page.locator(".reasons li").count() == 3
    press(page.locator("details.weigh > summary"))
    page.get_by_role("heading", name="Batch sheet").wait_for()
    page.get_by_role("checkbox", name="Silica is in").check()
    press(page.locator("details.report > summary"))
    page.locator("details.report svg").first.wait_for()
    for title, text in (("first", None), ("second", SECOND)):
        if text:
            go(page, "Glaze")
            page.locator("#text").fill(text)
            press(button(page, "Look"))
        page.locator("#title").fill(title)
        press(button(page, "Keep"))
        page.get_by_text("The card is kept.").wait_for()
    go(page, "Glaze")
    page.locator("#text").fill(FIRST)
    press(button(page, "Look"))
    page.locator(".verdict").wait_for()  # the studio knows these words now


def five_tiles(page: Any) -> None:
    """Laid out, written down, tapped; a photograph; what was learned; the next tile made, undone, made again."""
    go(page, "Tiles")
    for name in ("first", "second"):
        page.get_by_label(name, exact=True).check()
    page.locator("#size").fill("5")
    press(button(page, "Lay out"))
    press(button(page, "Write these tiles into the journal"))
    for said in ("sound", "sound", "crazed later", "crazed at once", "underfired"):
        press(page.get_by_role("button", name=f": {said}").first)
        page.get_by_text("Written down.", exact=True).wait_for()
    page.get_by_text("What Bag clay has taught").wait_for()
    press(page.locator("summary", has_text="Put right, or add a photograph").first)
    page.locator("input[type=file]").first.set_input_files(
        {"name": "tile.png", "mimeType": "image/png", "buffer": picture()}
    )
    press(page.get_by_role("button", name="Keep the photograph").first)
    page.locator("main img").wait_for()
    press(page.get_by_role("button", name="Make this tile").first)
    page.get_by_role("heading", name="Waiting for the kiln").wait_for()
    press(button(page, "Undo it"))
    page.get_by_text("Undone.", exact=True).wait_for()
    assert page.get_by_role("heading", name="Waiting for the kiln").count() == 0
    press(button(page, "Do it again"))
    page.get_by_text("Done again.").wait_for()
    press(page.locator("summary", has_text="Put right, or add a photograph").first)
    press(page.get_by_role("button", name="Take this tile back").filter(visible=True).first)
    page.get_by_text("Taken back;").wait_for()
    press(page.locator("summary", has_text="Taken back"))
    press(page.get_by_role("button", name="Bring it back"))
    page.get_by_text("Brought back.").wait_for()
    press(page.get_by_role("link", name="Marks to print"))
    page.locator(".mark").wait_for()


def one_firing(page: Any) -> None:
    go(page, "Firing")
    page.locator("#cone").fill("6")
    press(button(page, "Plan it"))
    page.get_by_text("Before you switch on").wait_for()
    press(button(page, "The kiln is on now: begin a log"))
    page.locator("#at").fill("2:30")
    page.locator("#heat").fill("600")
    press(button(page, "Write it down"))
    page.get_by_role("rowheader", name="2:30").wait_for()
    page.get_by_role("radio", name="is half down").first.check()
    page.locator("#hours").fill("7.5")
    press(button(page, "Write the end down"))
    page.get_by_text("cone 5 half").wait_for()


def first_hour(page: Any, address: str) -> None:
    page.goto(address)
    set_up(page)
    check_and_weigh(page)
    five_tiles(page)
    one_firing(page)


@pytest.mark.parametrize(
    ("width", "scheme", "scripts"),
    [(1280, "light", True), (360, "dark", True), (360, "light", False), (1280, "dark", False)],
)
def test_first_hour(browser: Any, address: str, tmp_path: Path, width: int, scheme: str, scripts: bool) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": 760}, color_scheme=scheme, java_script_enabled=scripts,
        has_touch=width == 360, is_mobile=width == 360,
    )  # fmt: skip
    page = context.new_page()
    page.set_default_timeout(90_000)
    said: list[str] = []
    page.on("console", lambda line: said.append(line.text))
    first_hour(page, address)
    assert not said
    told = subprocess.run([sys.executable, "-m", "glazecalc", "journal", "--studio", str(tmp_path / "mine"), "--json"],
                          capture_output=True, text=True, check=True)  # fmt: skip
    entries = json.loads(told.stdout)["results"][0]["entries"]
    tiles = [e for e in entries if e["kind"] == "tile"]
    (firing,) = [e for e in entries if e["kind"] == "firing"]
    assert [e["results"] for e in tiles] == [
        ["sound"],
        ["sound"],
        ["crazed later"],
        ["crazed at once"],
        ["underfired"],
        [],
    ]
    assert (firing["hours"], firing["cones"][0]["bend"], len(firing["readings"])) == (7.5, "half", 1)
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
        page = browser.new_context(bypass_csp=True).new_page()
        page.set_default_timeout(120_000)
        page.goto(told["address"])
        page.get_by_role("link", name="brine-crackle").click()
        page.get_by_role("button", name="What would make it better?").click()
        page.get_by_role("progressbar").wait_for()
        page.get_by_role("heading", name="Changes that help").wait_for()
        for width in (360, 1100):
            page.set_viewport_size({"width": width, "height": 900})
            assert page.evaluate(f"() => {{ {OVERFLOW} return bad; }}") == [], width
        if AXE.is_file():
            page.add_script_tag(content=AXE.read_text())
            judged = "axe.run('main').then(r => r.violations.map(v => v.id + ': ' + v.nodes[0].html))"
            assert page.evaluate(judged) == []
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
        listed = bench.locator("summary", has_text="Phone clay")
        listed.first.wait_for(state="attached")
        assert listed.count() == 1


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
    context = browser.new_context(
        viewport={"width": 360, "height": 760}, color_scheme=scheme, bypass_csp=True, has_touch=True, is_mobile=True
    )
    page = context.new_page()
    first_hour(page, address)
    weights = 0
    base = address.split("/?")[0]
    for room in (
        "/",
        "/?card=first",
        "/studio",
        "/tiles",
        "/tiles/marks",
        "/firing",
        "/firing/F1",
        "/shelf",
        "/nowhere",
        "a plan",
        "asked",
    ):
        if room == "a plan":
            go(page, "Tiles")
            page.get_by_label("first", exact=True).check()
            page.get_by_label("second", exact=True).check()
            press(button(page, "Lay out"))
            button(page, "Write these tiles into the journal").wait_for()
            assert page.locator("#plan").bounding_box()["y"] < 760  # what was asked for is in sight
        elif room == "asked":
            go(page, "Glaze")
            page.locator("#text").fill("Moon dust 20\n" + SECOND)
            press(button(page, "Look"))
            page.get_by_role("group", name="What is meant?").wait_for()
        else:
            page.goto(base + room)
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, room
        page.add_script_tag(path=str(AXE))
        found = page.evaluate(
            "axe.run().then(r => r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.html).join(' | ')))"
        )
        assert not found, (room, found)
        assert not page.evaluate(SMALL), (room, page.evaluate(SMALL))
        assert not page.evaluate(BROKEN), (room, page.evaluate(BROKEN))
        weights += page.locator(".batch td.grams").count()
    assert weights
    context.close()


def test_check_with_keys_alone(browser: Any, address: str) -> None:
    """Tab, Enter and typing do it, in the order in which things stand on the page, and it shows where one is."""
    page = browser.new_context().new_page()
    page.set_default_timeout(60_000)
    page.goto(address)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the work"
    page.keyboard.press("Enter")
    seen = []
    for _ in range(12):
        page.keyboard.press("Tab")
        name, top, ring = page.evaluate(
            "(() => { const e = document.activeElement; return [e.name || e.textContent.trim(), "
            "e.getBoundingClientRect().top + scrollY, getComputedStyle(e).outlineStyle]; })()"
        )
        assert ring == "solid", name
        seen.append((top, name))
        if name == "text":
            page.keyboard.insert_text(SECOND)
        if name == "do":
            break
    assert [name for _, name in seen][-1] == "do" and [t for t, _ in seen] == sorted(t for t, _ in seen), seen
    page.keyboard.press("Enter")
    page.locator(".verdict").wait_for()
