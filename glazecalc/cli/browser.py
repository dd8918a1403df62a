"""Prints a page to PDF with a browser that is already on the machine; none is needed to read or print a page."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Final

NAMES: Final = (
    "chromium",
    "chromium-browser",
    "chrome",
    "google-chrome",
    "google-chrome-stable",
    "msedge",
    "microsoft-edge",
)
FLAGS: Final = (
    "--headless", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-pdf-header-footer",
)  # fmt: skip
_SECONDS: Final = 60


def find_browser() -> str | None:
    """Path of a browser that can print without a window, or None."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


def print_to_pdf(page: Path, target: Path) -> str:
    """Print ``page`` to ``target``; returns why that was not possible, or an empty text."""
    browser = find_browser()
    if browser is None:
        return "no browser that prints by itself was found"
    with tempfile.TemporaryDirectory() as profile:
        root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
        call = [
            browser,
            *FLAGS,
            *root,
            f"--user-data-dir={profile}",
            f"--print-to-pdf={target.resolve()}",
            page.resolve().as_uri(),
        ]
        try:
            subprocess.run(call, capture_output=True, timeout=_SECONDS, check=True)
        except (OSError, subprocess.SubprocessError) as exc:
            return f"the browser failed ({type(exc).__name__})"
    return "" if target.is_file() else "the browser wrote nothing"
