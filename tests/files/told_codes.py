"""The codes of what reading finds, as docs/problems.md tells them: its first table."""

from __future__ import annotations

import re
from pathlib import Path

PAGE = Path(__file__).parents[2] / "docs" / "problems.md"
_TABLE = re.compile(r"^\| code \| meaning \|\n\| --- \| --- \|\n((?:\|.*\|\n)+)", re.MULTILINE)


def told_codes() -> dict[str, str]:
    """Code and meaning, row by row."""
    table = _TABLE.search(PAGE.read_text(encoding="utf-8"))
    assert table is not None
    return dict(re.findall(r"^\| `([a-z0-9-]+)` \| (.*?) \|$", table[1], re.MULTILINE))


CODES = told_codes()
