"""docs/problems.md tells of every code the program can give, and of no other."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from tests.files.told_codes import CODES

ROOT = Path(__file__).resolve().parents[2]
TABLE = re.compile(r"^\| `([a-z0-9-]+)` \|", re.MULTILINE)
NAMED_AT_RUN_TIME = {
    "basis", "as", "flux", "no-body", "no-kiln", "no-circuit", "no-room", "no-piece", "no-container", "no-tile", "no-firing",
    "no-batch", "kind", "use", "by",
}  # fmt: skip
"""Codes made from a word: an option's name, or what the studio or the journal lacks."""


def codes_in_source() -> set[str]:
    found = set(NAMED_AT_RUN_TIME)
    for path in (ROOT / "glazecalc").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
                name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
                if name in ("error", "remark", "refuse") and isinstance(node.args[0].value, str):
                    found.add(node.args[0].value)
            elif isinstance(node, ast.Tuple) and len(node.elts) == 3 and isinstance(node.elts[1], ast.Constant | ast.JoinedStr):
                code = getattr(node.elts[0], "value", None)  # a table of code, message and hint
                if isinstance(code, str) and code.startswith(("journal", "disk")):
                    found.add(code)
    return found


def test_every_code_is_told_and_no_other() -> None:
    told = set(TABLE.findall((ROOT / "docs" / "problems.md").read_text(encoding="utf-8")))
    assert codes_in_source() - told == set()
    assert told - codes_in_source() - set(CODES) == set()
