"""A headless Chromium as a judge of pages: its console, its requests, its PDF, and what a script finds in a page."""

from __future__ import annotations

import html
import json
import os
import re
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Any

from glazecalc.cli.pages import FLAGS, find_browser

NODE_MODULES = Path(os.environ.get("GLAZECALC_NODE_MODULES", Path(__file__).parent / "node_modules"))
AXE = NODE_MODULES / "axe-core" / "axe.min.js"
HTML_VALIDATE = NODE_MODULES / "html-validate" / "bin" / "html-validate.mjs"
PDF_TOOLS = shutil.which("pdftotext") is not None and shutil.which("pdfinfo") is not None


FONTS = ("DejaVu Sans", "Liberation Sans")
"""Two families that differ by an eighth in width; a page is judged in each."""

OVERFLOW = """
var bad = [], root = document.documentElement;
if (root.scrollWidth > root.clientWidth + 1) bad.push('page is wider than the window: ' + root.scrollWidth);
document.querySelectorAll('svg').forEach(function (svg) {
  var frame = svg.getBoundingClientRect();
  if (!frame.width) return;
  var seen = [];
  svg.querySelectorAll('text').forEach(function (t) {
    var r = t.getBoundingClientRect();
    if (r.left < frame.left - 1 || r.right > frame.right + 1 || r.top < frame.top - 1 || r.bottom > frame.bottom + 1)
      bad.push('cut: ' + t.textContent);
    seen.forEach(function (o) {
      var across = Math.min(r.right, o.r.right) - Math.max(r.left, o.r.left);
      var down = Math.min(r.bottom, o.r.bottom) - Math.max(r.top, o.r.top);
      if (across > 1 && down > 0.3 * Math.min(r.height, o.r.height))
        bad.push('one over the other: ' + o.words + ' | ' + t.textContent);
    });
    seen.push({r: r, words: t.textContent});
  });
});
document.querySelectorAll('td.grams').forEach(function (t) {
  var text = document.createRange();
  text.selectNodeContents(t);
  if (text.getClientRects().length > 1) bad.push('a weight on two lines: ' + t.textContent);
});
"""
"""Fills ``bad`` with what is cut, lies over another text, or makes the page wider than its window."""


def font_file(family: str, folder: Path) -> Path | None:
    """A fontconfig file that shows programs no family of text but this one; None where it is not installed."""
    if shutil.which("fc-list") is None:
        return None
    found = subprocess.run(["fc-list", f":family={family}", "file"], capture_output=True, text=True, check=True).stdout
    places = sorted({str(Path(line.rstrip(": ")).parent) for line in found.splitlines()})
    if not places:
        return None
    path = folder / "fonts.conf"
    rows = "".join(f"<dir>{place}</dir>" for place in places)
    path.write_text(
        f'<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig>{rows}'
        f'<include ignore_missing="yes">/etc/fonts/conf.d</include><cachedir>{folder}</cachedir></fontconfig>'
    )
    return path


def chromium(
    *words: str, dark: bool = False, seconds: int = 90, fonts: Path | None = None
) -> subprocess.CompletedProcess[str]:
    """Run the browser with an empty profile."""
    browser = find_browser()
    assert browser is not None
    root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    look = ["--blink-settings=preferredColorScheme=0"] if dark else []
    with tempfile.TemporaryDirectory() as profile:
        return subprocess.run(
            [browser, *FLAGS, *root, *look, f"--user-data-dir={profile}", *words],
            capture_output=True, text=True, timeout=seconds, check=True,
            env=os.environ | ({"FONTCONFIG_FILE": str(fonts)} if fonts else {}),
        )  # fmt: skip


def console_and_requests(page: Path, folder: Path) -> tuple[list[str], list[str]]:
    """Lines on the page's console, and every address it asked for (W3C Resource Timing)."""
    found = chromium("--enable-logging=stderr", "--v=0", "--dump-dom", page.as_uri())
    console = [line for line in found.stderr.splitlines() if "CONSOLE" in line]
    asked = ask(page, "done(performance.getEntriesByType('resource').map(function (e) { return e.name; }))", folder)
    return console, list(asked)


def ask(page: Path, script: str, folder: Path, dark: bool = False, width: int = 900, fonts: Path | None = None) -> Any:
    """The JSON that ``script`` hands to ``done`` when run at the end of a copy of the page.

    A window is no narrower than 500 px, so a narrower page is shown in a frame of its own.
    """
    copy = folder / "asked.html"
    harness = (
        "<script>function done(x){var p=document.createElement('pre');p.id='found-by-test';"
        "p.textContent=JSON.stringify(x);window.parent.document.body.appendChild(p);}</script>"
    )
    text = page.read_text(encoding="utf-8").replace("</body>", f"{harness}<script>{script}</script></body>")
    if width < 500:
        frame = f'<iframe srcdoc="{html.escape(text)}" style="border:0;width:{width}px;height:1200px"></iframe>'
        text = f"<!doctype html><title>narrow</title><body>{frame}</body>"
    copy.write_text(text, encoding="utf-8")
    found = chromium(
        "--virtual-time-budget=20000",
        f"--window-size={width},1200",
        "--dump-dom",
        copy.as_uri(),
        dark=dark,
        fonts=fonts,
    )
    match = re.search(r'<pre id="found-by-test">(.*?)</pre>', found.stdout, re.DOTALL)
    assert match is not None, found.stderr[-2000:]
    return json.loads(html.unescape(match[1]))


def print_pdf(page: Path, paper: str, folder: Path) -> tuple[str, int, list[tuple[float, float, float, float]], str]:
    """Print on ``paper``: its text, pages, boxes of words off the paper, and the paper's size."""
    copy, pdf = folder / f"{paper}.html", folder / f"{paper}.pdf"
    style = f"<style>@page{{size:{paper}}}</style></head>"
    copy.write_text(page.read_text(encoding="utf-8").replace("</head>", style), encoding="utf-8")
    chromium(f"--print-to-pdf={pdf}", copy.as_uri())
    info = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, text=True, check=True).stdout
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    boxes = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", info)
    count = re.search(r"Pages:\s+(\d+)", info)
    assert size is not None and count is not None
    width, height = float(size[1]), float(size[2])
    words = re.findall(r'xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)"', boxes)
    placed = [(float(a), float(b), float(c), float(d)) for a, b, c, d in words]
    off = [w for w in placed if w[0] < 0 or w[1] < 0 or w[2] > width or w[3] > height]
    return text, int(count[1]), off, f"{width:.0f}x{height:.0f}"
