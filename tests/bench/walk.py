"""The walk of a command through the house: which files it goes through, in the order in which each function is first called.

``python -m tests.bench.walk check recipes/shoal-clear.txt`` prints each stay in a file with the functions called there,
and counts the stays and the climbs: a climb is a call up, into a file that (with what it imports) imports the caller's,
or a return to a file that the walk had left. ``--rooms jobs`` leaves out the files of all other rooms.
"""

from __future__ import annotations

import ast
import contextlib
import gc
import io
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from types import CodeType, FrameType
from typing import Any, Final, NamedTuple

from tests.bench.spent import ROOT

PACKAGE: Final = ROOT / "glazecalc"


class Step(NamedTuple):
    """The first call of a function: its file, its name, and the file that called it."""

    file: str
    name: str
    caller: str


class Stay(NamedTuple):
    """Functions first called one after the other in one file; ``climb`` says how the walk came up to it, or nothing."""

    file: str
    names: tuple[str, ...]
    climb: str


def steps_of(words: Sequence[str]) -> list[Step]:
    """The first call of each function of glazecalc that a command line makes, in their order."""
    from glazecalc.cli.main import main

    seen: set[CodeType] = set()
    steps: list[Step] = []

    def called(frame: FrameType, event: str, arg: Any) -> None:
        code = frame.f_code
        if event == "call" and code not in seen and not code.co_name.startswith("<") and _place(frame):
            seen.add(code)
            back = frame.f_back
            while back is not None and not _place(back):
                back = back.f_back
            steps.append(Step(_place(frame), code.co_qualname, "" if back is None else _place(back)))

    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        main(words)  # a first turn imports everything, so that the walk is of the work alone
        for thing in gc.get_objects():  # what it kept of tables and cards is read again
            if hasattr(type(thing), "cache_clear") and str(getattr(thing, "__module__", "")).startswith("glazecalc."):
                thing.cache_clear()
        sys.setprofile(called)
        try:
            main(words)
        finally:
            sys.setprofile(None)
    return steps


def _place(frame: FrameType) -> str:
    """The file of glazecalc that a frame is of, from the package on; nothing for any other."""
    name = frame.f_code.co_filename
    return name.removeprefix(f"{PACKAGE}/") if name.startswith(f"{PACKAGE}/") else ""


@cache
def imports_of(file: str) -> frozenset[str]:
    """The files of glazecalc that a file imports when it runs, at its head or inside its functions."""
    found: set[str] = set()
    todo: list[ast.AST] = [ast.parse((PACKAGE / file).read_text(encoding="utf-8"))]
    while todo:
        node = todo.pop()
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            continue
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("glazecalc."):
            base = node.module.removeprefix("glazecalc.").replace(".", "/")
            found |= {f"{base}.py", *(f"{base}/{alias.name}.py" for alias in node.names)}
        todo += ast.iter_child_nodes(node)
    return frozenset(name for name in found if (PACKAGE / name).is_file())


@cache
def beneath(file: str) -> frozenset[str]:
    """All files that a file imports, and those that these import."""
    found: set[str] = set()
    todo = [file]
    while todo:
        new = imports_of(todo.pop()) - found
        found |= new
        todo += new
    return frozenset(found)


def stays(steps: Sequence[Step]) -> list[Stay]:
    """The steps as stays in one file each."""
    found: list[Stay] = []
    left: set[str] = set()
    for step in steps:
        up = step.caller != step.file and step.caller in beneath(step.file)
        if found and found[-1].file == step.file and not up:
            found[-1] = found[-1]._replace(names=(*found[-1].names, step.name))
            continue
        found.append(Stay(step.file, (step.name,), "up" if up else "back" if step.file in left else ""))
        left.add(step.file)
    return found


if __name__ == "__main__":
    typed = sys.argv[1:]
    rooms: tuple[str, ...] = ()
    if typed[0] == "--rooms":
        rooms, typed = tuple(typed[1].split(",")), typed[2:]
    walk = stays([step for step in steps_of(typed) if not rooms or Path(step.file).parts[0] in rooms])
    for stay in walk:
        print(f"{stay.climb:5}{stay.file:36}{', '.join(stay.names)}")
    ups, backs = (sum(stay.climb == kind for stay in walk) for kind in ("up", "back"))
    print(f"{len(walk)} stays in {len({s.file for s in walk})} files; {ups} calls up, {backs} returns")
