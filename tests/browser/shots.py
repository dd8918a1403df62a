"""Pictures of every page to be looked at: `python -m tests.browser.shots OUT [WORD]`, all or those with WORD in the name.

Each page of the demo, its report, labels and bench rooms, in light, in dark, 360 px wide and printed, in each of two
families of text. Tall pages are cut into columns, so that a picture can be read.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import sync_playwright

from glazecalc.cli.pages import find_browser
from tests.browser.headless import FONTS, chromium, font_file
from tests.browser.test_bench_in_browser import WORDS, opened

LOOKS = {
    "light": {"color_scheme": "light", "viewport": {"width": 1000, "height": 800}},
    "dark": {"color_scheme": "dark", "viewport": {"width": 1000, "height": 800}},
    "narrow": {"color_scheme": "light", "viewport": {"width": 360, "height": 760}},
}
COLUMN, ACROSS = 1500, {1000: 2, 360: 5}
"""How tall a column is [px], and how many columns of a window's width make a picture."""
UNFOLD = "document.querySelectorAll('details').forEach(d => { d.open = true; })"
NAV_AT_END = "document.querySelectorAll('nav').forEach(n => { n.style.position = 'static'; })"
"""The bar of rooms would lie over the middle of a whole page."""
RECIPES = ("shoal-clear.txt", "lagoon-blue.txt", "night-harbour.txt")
WRITTEN = (
    ("report", "shoal-clear.txt", "-o", "single.html"),
    ("report", "verdigris.txt", "-o", "no.html"),
    ("report", *RECIPES, "--plan", "triaxial", "-o", "plan.html"),
    ("report", "shoal-clear.txt", "brine-crackle.txt", "--plan", "line", "-o", "line.html"),
    ("report", "shoal-clear.txt", "--plan", "additions", "--add", "Copper carbonate:0,1,2,4", "-o", "additions.html"),
    ("report", "shoal-clear.txt", "brine-crackle.txt", "lagoon-blue.txt", "-o", "several"),
    *(("labels", "lagoon-blue.txt", "shoal-clear.txt", "--kind", kind, "--dry", "1500g", "--sg", "1.5", "--tare",
       "dip pot", "--copies", "3", "-o", f"labels-{kind}.html") for kind in ("bucket", "jar", "tile")),
)  # fmt: skip
NOTED = (
    ("record", "tile", "shoal-clear.txt", "--body", "Harbour stoneware", "--cone", "6", "--result", "sound"),
    ("record", "tile", "brine-crackle.txt", "--body", "Harbour stoneware", "--cone", "6", "--result", "crazed at once"),
    ("record", "tile", "lagoon-blue.txt", "--body", "Harbour stoneware", "--cone", "6"),
    ("record", "firing", "--kiln", "Shed kiln", "--at", "2:00=400C", "--at", "8:00=1220C", "--witness", "6=down"),
)


def told(folder: Path, *words: str) -> None:
    """Run one command in ``folder``."""
    env = os.environ | {"PYTHONPATH": str(Path(__file__).resolve().parents[2])}
    subprocess.run([sys.executable, "-m", "glazecalc", *words], cwd=folder, env=env, capture_output=True, check=False)


def planned(page: Any) -> None:
    """A line blend laid out."""
    for name in ("shoal-clear", "brine-crackle"):
        page.get_by_label(name, exact=True).check()
    page.get_by_role("button", name="Lay out", exact=True).click()
    page.get_by_role("button", name="Write these tiles into the journal").wait_for()


def bettered(page: Any) -> None:
    page.get_by_role("button", name="What would make it better?").click()
    page.get_by_role("heading", name="Changes that help").wait_for()


def fired(page: Any) -> None:
    page.locator("#cone").fill("6")
    page.get_by_role("button", name="Plan it", exact=True).click()
    page.get_by_text("Before you switch on").wait_for()


def asked(page: Any) -> None:
    page.locator("#text").fill("Moon dust 20\nname: Second\ncone: 6\n\nPotash feldspar 55\nSilica 15\nWhitting 15\n")
    page.get_by_role("button", name="Look", exact=True).click()
    page.get_by_role("group", name="What is meant?").wait_for()


ROOMS: dict[str, tuple[str, Callable[[Any], None] | None]] = {
    "glaze": ("/", None), "glaze-card": ("/?card=shoal-clear", None), "glaze-no": ("/?card=verdigris", None),
    "glaze-asked": ("/", asked), "glaze-better": ("/?card=brine-crackle", bettered), "studio": ("/studio", None),
    "tiles": ("/tiles", None), "tiles-plan": ("/tiles", planned), "marks": ("/tiles/marks", None),
    "firing": ("/firing", None), "firing-plan": ("/firing", fired), "firing-log": ("/firing/F1", None),
    "shelf": ("/shelf", None), "nowhere": ("/nowhere", None),
}  # fmt: skip


def columns(picture: Path) -> Iterator[Path]:
    """The picture cut into columns of a readable height, as many as fit side by side in one file."""
    with Image.open(picture) as whole:
        width, height = whole.size
        across = ACROSS.get(width, 2)
        for first in range(0, height, COLUMN * across):
            tops = list(range(first, min(height, first + COLUMN * across), COLUMN))
            sheet = Image.new("RGB", ((width + 12) * len(tops), min(COLUMN, height - first)), "red")
            for place, top in enumerate(tops):
                sheet.paste(whole.crop((0, top, width, min(height, top + COLUMN))), (place * (width + 12), 0))
            path = picture.with_name(f"{picture.stem}-{first // (COLUMN * across) + 1}.png")
            sheet.save(path)
            yield path
    picture.unlink()


def pages(play: Any, fonts: Path, out: Path, folder: Path, word: str) -> None:
    """Every page of reports and labels, and every room, each in each look."""
    running = play.chromium.launch(
        executable_path=find_browser(), args=WORDS, env=os.environ | {"FONTCONFIG_FILE": str(fonts)}
    )
    with opened(folder) as served:
        base = str(served["address"]).split("/?")[0]
        places = {p.relative_to(folder).with_suffix("").as_posix().replace("/", "-"): (p.as_uri(), None)
                  for p in sorted(folder.rglob("*.html"))}  # fmt: skip
        places |= {f"room-{name}": (base + path, act) for name, (path, act) in ROOMS.items()}
        for look, kind in LOOKS.items():
            context = running.new_context(**kind, service_workers="block")
            page = context.new_page()
            page.goto(str(served["address"]))
            for name, (address, act) in places.items():
                if word not in name:
                    continue
                page.goto(address)
                if act is not None:
                    act(page)
                page.evaluate(UNFOLD)
                page.evaluate(NAV_AT_END)
                page.wait_for_timeout(300)
                shot = out / f"{name}-{look}.png"
                page.screenshot(path=str(shot), full_page=True)
                list(columns(shot))
            context.close()
    running.close()


def printed(fonts: Path, out: Path, folder: Path, word: str) -> None:
    """Every written page as it comes out of the printer."""
    for page in sorted(folder.rglob("*.html")):
        name = page.relative_to(folder).with_suffix("").as_posix().replace("/", "-")
        if word not in name:
            continue
        pdf = out / f"{name}.pdf"
        chromium(f"--print-to-pdf={pdf}", page.as_uri(), fonts=fonts)
        subprocess.run(["pdftoppm", "-r", "70", "-png", str(pdf), str(out / f"{name}-print")], check=True)
        sheets = [Image.open(p) for p in sorted(out.glob(f"{name}-print-*.png"))]
        for first in range(0, len(sheets), 3):
            row = sheets[first : first + 3]
            whole = Image.new("RGB", (sum(s.width + 8 for s in row), max(s.height for s in row)), "red")
            for place, sheet in enumerate(row):
                whole.paste(sheet, (place * (sheet.width + 8), 0))
            whole.save(out / f"{name}-paper-{first // 3 + 1}.png")
        for p in out.glob(f"{name}-print-*.png"):
            p.unlink()


def main(out: Path, word: str = "") -> None:
    """Make the demo, write its pages, and take all pictures into a folder for each family of text."""
    with tempfile.TemporaryDirectory() as room:
        folder = Path(room) / "demo"
        told(Path(room), "start", "demo", "--demo")
        for words in (*NOTED, *WRITTEN):
            told(folder, *words)
        for family in FONTS:
            there = out / family.split()[0].lower()
            there.mkdir(parents=True, exist_ok=True)
            kept = Path(room) / there.name
            kept.mkdir()
            fonts = font_file(family, kept)
            assert fonts is not None, f"no {family} here"
            printed(fonts, there, folder, word)
            with sync_playwright() as play:
                pages(play, fonts, there, folder, word)


if __name__ == "__main__":
    main(Path(sys.argv[1]), *sys.argv[2:3])
