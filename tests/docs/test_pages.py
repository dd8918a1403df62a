"""Pages are checked against the program: every ``console`` block is run, every command and option it names exists.

A line ``...`` in a shown output stands for any lines. Numbers may differ by the rounding of another numpy build.
``DOCS=write pytest tests/docs`` rewrites what blocks without ``...`` show.
"""

from __future__ import annotations

import json
import math
import os
import re
import shlex
import shutil
from pathlib import Path

import pytest

from glazecalc.cli.main import main

ROOT = Path(__file__).resolve().parents[2]
PAGES = sorted([ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").rglob("*.md")])
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
LINK = re.compile(r"\]\(([^)#]+)(?:#[^)]*)?\)")
WRITE = os.environ.get("DOCS") == "write"


def commands(block: str) -> list[tuple[str, list[str]]]:
    """The commands of a block, each with the output lines shown beneath it."""
    found: list[tuple[str, list[str]]] = []
    for line in block.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        elif found:
            found[-1][1].append(line)
    return found


def like(got: str, shown: str) -> bool:
    if NUMBER.sub("#", got.rstrip()) != NUMBER.sub("#", shown.rstrip()):
        return False
    pairs = zip(NUMBER.findall(got), NUMBER.findall(shown), strict=True)
    return all(math.isclose(float(a), float(b), rel_tol=0.02, abs_tol=0.011) for a, b in pairs)


def matches(got: list[str], shown: list[str]) -> bool:
    """Whether ``shown`` tells of ``got``, a line ``...`` standing for any lines."""
    if not shown:
        return not got
    if shown[0].strip() == "...":
        return any(matches(got[i:], shown[1:]) for i in range(len(got) + 1))
    return bool(got) and like(got[0], shown[0]) and matches(got[1:], shown[1:])


@pytest.mark.parametrize("page", PAGES, ids=lambda p: str(p.relative_to(ROOT)))
def test_shown_commands(
    page: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page's commands run in order in one folder, which begins with a copy of the demo studio as ``recipes``."""
    shutil.copytree(ROOT / "recipes", tmp_path / "recipes")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("NO_COLOR", "1")
    text = page.read_text(encoding="utf-8")
    for block in BLOCK.findall(text):
        for command, shown in commands(block):
            words = shlex.split(command)
            if words[0] != "glazecalc":
                continue
            code = main(words[1:])
            out = capsys.readouterr().out.splitlines()
            assert code != 70, command
            if WRITE and shown and not any(line.strip() == "..." for line in shown):
                text = text.replace(f"$ {command}\n" + "\n".join(shown), f"$ {command}\n" + "\n".join(out), 1)
                page.write_text(text, encoding="utf-8")
                continue
            if shown:
                assert matches(out, [line for line in shown if line is not None]), (
                    f"{page.name}: $ {command} prints\n" + "\n".join(out)
                )


@pytest.mark.parametrize(("shown", "is_like"), [
    (["...", "Silica  9.0 g", "..."], True), (["...", "Kaolin  9.0 g", "..."], False), (["head", "..."], True),
    (["...", "Silica  9.3 g", "..."], False), (["...", "Silica  9.0 g"], False), (["...", "foot"], True),
    (["...", "Silica  9.0 g", "Whiting  2.0 g", "..."], False),
])  # fmt: skip
def test_a_shortened_block_is_matched_line_by_line(shown: list[str], is_like: bool) -> None:
    assert matches(["head", "Silica  9.0 g", "Kaolin  8.5 g", "foot"], shown) is is_like


@pytest.mark.parametrize("page", PAGES, ids=lambda p: str(p.relative_to(ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    for target in LINK.findall(page.read_text(encoding="utf-8")):
        if "://" not in target:
            assert (page.parent / target).exists(), f"{page.name} links to {target}"


def test_the_recipe_in_the_readme_is_the_demo_card() -> None:
    card = (ROOT / "recipes" / "shoal-clear.txt").read_text(encoding="utf-8").strip()
    assert f"```\n{card}\n```" in (ROOT / "README.md").read_text(encoding="utf-8")


NAMED_FILE = re.compile(
    r"`((?:tests|materials|recipes|docs|training|glazecalc)/[\w./-]+?\.(?:py|csv|md|toml|txt|json|yaml|html))`"
)


@pytest.mark.parametrize("page", PAGES, ids=lambda p: str(p.relative_to(ROOT)))
def test_named_files_exist(page: Path) -> None:
    for name in NAMED_FILE.findall(page.read_text(encoding="utf-8")):
        assert (ROOT / name).is_file(), f"{page.name} names {name}"


def test_the_order_of_the_cup_is_that_of_the_program(capsys: pytest.CaptureFixture[str]) -> None:
    """Help, docs and the arithmetic agree: empty, full of slurry, full of water. 31, 185 and 131 g are 154 g of slurry
    in the room of 100 g of water: a specific gravity of 1.54."""
    order = "empty, full of slurry, full of water"
    assert main(["weigh", "--help"]) == 0
    assert order in " ".join(capsys.readouterr().out.split())
    for name in ("problems.md", "weighing.md"):
        assert order in " ".join((ROOT / "docs" / name).read_text(encoding="utf-8").split()), name
    card = str(ROOT / "recipes" / "shoal-clear.txt")
    assert main(["weigh", card, "--slurry", "1L", "--cup", "31g:185g:131g", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["results"][0]["specific_gravity"] == pytest.approx(1.54)
