"""What is printed keeps to the word list of docs/words.md: kept outputs, helps, messages, pages and docs.

The list is read from the page, so that a word is added in one place. A row names the word to write and, as regular
expressions in code marks, the ones it replaces.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from glazecalc.cli.main import IN_SHORT, main

ROOT = Path(__file__).resolve().parents[2]
ROW = re.compile(r"^\| \*\*(.+?)\*\* \| (.+?) \| (.+?) \|$", re.MULTILINE)
CODE = re.compile(r"`[^`]*`")


def rows() -> list[tuple[str, re.Pattern[str]]]:
    """Word to write, and what finds the words it replaces."""
    text = (ROOT / "docs" / "words.md").read_text(encoding="utf-8")
    found = [
        (word, [p.replace("\\|", "|") for p in re.findall(r"`([^`]+)`", replaced)])
        for word, replaced, _ in ROW.findall(text)
    ]
    return [(word, re.compile("|".join(patterns), re.IGNORECASE)) for word, patterns in found]


WORDS = rows()


def misses(text: str) -> list[str]:
    """Where a text writes a word that another stands for."""
    flat = " ".join(text.split())
    return [
        f"write {word!r}: ...{flat[max(0, m.start() - 40) : m.end() + 25]}..."
        for word, pattern in WORDS
        for m in pattern.finditer(flat)
    ]


def strings(path: Path) -> Iterator[str]:
    """The texts of a module that a person may read: strings with a space in them that are not docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}
    parts = {id(v) for n in ast.walk(tree) if isinstance(n, ast.JoinedStr) for v in n.values}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield "".join(str(v.value) if isinstance(v, ast.Constant) else "X" for v in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent | parts:
            yield node.value if " " in node.value else ""


def test_the_list_is_read() -> None:
    assert len(WORDS) >= 15
    assert misses("The tile is said to be matt anew") and not misses("a matte tile")


KEPT = sorted([*(ROOT / "tests" / "golden").rglob("*.txt")])


@pytest.mark.parametrize("path", KEPT, ids=lambda p: p.stem)
def test_kept_outputs(path: Path) -> None:
    assert not misses(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("command", ["", *IN_SHORT])
def test_helps(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    main([*([command] if command else []), "--help"])
    assert not misses(capsys.readouterr().out)


MODULES = sorted((ROOT / "glazecalc").rglob("*.py"))


def test_messages() -> None:
    """Every text in the code that may reach a reader: answers, errors, hints, labels of pictures and pages."""
    found = [
        f"{path.relative_to(ROOT)}: {miss}"
        for path in MODULES
        if path.name != "lines.py"  # the words that a card of any age may use
        for text in strings(path)
        if text != "clay body"  # a word that a card may use
        for miss in misses(text)
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    "path", sorted((ROOT / "glazecalc" / "render" / "templates").rglob("*.html")), ids=lambda p: p.name
)
def test_page_templates(path: Path) -> None:
    text = re.sub(r"\{[{%#].*?[}%#]\}|<[^>]*>", " ", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    assert not misses(text)


PAGES = sorted([ROOT / "README.md", *(p for p in (ROOT / "docs").glob("*.md"))])


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.name)
def test_docs(path: Path) -> None:
    """Prose, not what stands in code marks; of the word list itself what is not in its table."""
    text = re.sub(r"```.*?```", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    text = "\n".join(line for line in text.split("\n") if not (path.name == "words.md" and line.startswith("| **")))
    assert not misses(CODE.sub("X", text))


@pytest.mark.parametrize("table", ["hazards", "oxide_character"])
def test_tables_that_are_printed(table: str) -> None:
    assert not misses((ROOT / "materials" / f"{table}.csv").read_text(encoding="utf-8"))
