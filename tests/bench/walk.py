"""The walk of a command through the house: which files it goes through, in the order in which each function is first called.

``python -m tests.bench.walk check recipes/shoal-clear.txt`` prints each stay in a file with the functions called there,
and how often the walk climbs: goes up to a file of a higher room, or back to a file it had left.
"""

from __future__ import annotations

import contextlib
import io
import sys
from collections.abc import Sequence
from pathlib import Path
from types import CodeType, FrameType
from typing import Any, Final, NamedTuple

from tests.bench.spent import ROOT

PACKAGE: Final = str(ROOT / "glazecalc") + "/"
ROOMS: Final = ("cli", "page", "jobs", "files", "render", "models", "chemistry", "values")
"""From the top of the house down; files and render stand beside each other."""


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
    """The first call of each function of glazecalc that a command line makes, after its modules are imported."""
    from glazecalc.cli.main import main

    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        main(words)  # a first turn loads what is loaded lazily, so that the walk is of the work alone
    _forget()
    seen: set[CodeType] = set()
    steps: list[Step] = []

    def called(frame: FrameType, event: str, arg: Any) -> None:
        code = frame.f_code
        if event != "call" or code in seen or not code.co_filename.startswith(PACKAGE) or code.co_name.startswith("<"):
            return
        seen.add(code)
        steps.append(Step(code.co_filename.removeprefix(PACKAGE), code.co_qualname, _caller(frame)))

    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        sys.setprofile(called)
        try:
            main(words)
        finally:
            sys.setprofile(None)
    return steps


def _forget() -> None:
    """Empty what is kept between calls, so that reading the tables is part of the walk."""
    import gc

    for thing in gc.get_objects():
        if hasattr(type(thing), "cache_clear") and getattr(thing, "__module__", "").startswith("glazecalc."):
            thing.cache_clear()


def _caller(frame: FrameType) -> str:
    """The file of glazecalc that a call comes from."""
    back = frame.f_back
    while back is not None and not back.f_code.co_filename.startswith(PACKAGE):
        back = back.f_back
    return "" if back is None else back.f_code.co_filename.removeprefix(PACKAGE)


def room(file: str) -> int:
    """How far down the house a file stands; what stands in no room is above all."""
    first = Path(file).parts[0]
    return ROOMS.index(first) if first in ROOMS else -1


def stays(steps: Sequence[Step]) -> list[Stay]:
    """The steps as stays in one file each."""
    found: list[Stay] = []
    left: set[str] = set()
    for step in steps:
        if found and found[-1].file == step.file:
            found[-1] = found[-1]._replace(names=(*found[-1].names, step.name))
            continue
        up = "up" if step.caller and room(step.file) < room(step.caller) else "back" if step.file in left else ""
        found.append(Stay(step.file, (step.name,), up))
        left.add(step.file)
    return found


if __name__ == "__main__":
    walk = stays(steps_of(sys.argv[1:]))
    for stay in walk:
        print(f"{stay.climb:5}{stay.file:36}{', '.join(stay.names)}")
    files = {stay.file for stay in walk}
    ups, backs = (sum(stay.climb == kind for stay in walk) for kind in ("up", "back"))
    print(f"{len(walk)} stays in {len(files)} files; {ups} calls up, {backs} times back to a file that was left")
