"""A plugin of pytest that writes which lines of the package each test reaches, for `tests.bench.mutations`.

    REACH=FOLDER/cov.golden PYTHONPATH=. pytest -p tests.bench.reach_of_tests -p no:xdist -o addopts=--import-mode=importlib tests/golden

Takes `coverage`, which is in no list of this project's needs: install it where it is measured. One run a folder of tests is
well; the names need only begin with `cov.`. What a test does in a process of its own is seen where that process inherits the
environment and ends by itself. The package's caches are emptied before each test: otherwise what one test has filled would not be
seen in the next, which answers from it.
"""

from __future__ import annotations

import functools
import json
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import coverage  # type: ignore[import-not-found]
import pytest

OUT = str(Path(os.environ["REACH"]).resolve())
PACKAGE = str(Path.cwd() / "glazecalc")
SEEN = coverage.Coverage(data_file=OUT, source=[PACKAGE], config_file=False)
SECONDS: dict[str, float] = {}
CACHES: list[Any] = []
CACHED = functools.lru_cache


def noted(maxsize: Any = 128, typed: bool = False) -> Any:
    """`functools.lru_cache`, which keeps in mind what it has wrapped of ours."""
    if callable(maxsize):
        return noted()(maxsize)

    def wrap(function: Any) -> Any:
        wrapped = CACHED(maxsize=maxsize, typed=typed)(function)
        if function.__module__.startswith("glazecalc"):
            CACHES.append(wrapped)
        return wrapped

    return wrap


def pytest_configure() -> None:
    """Begin, before anything of ours is imported."""
    functools.lru_cache = noted
    functools.cache = noted(maxsize=None)
    words = Path(f"{OUT}.rc")
    words.write_text(
        f"[run]\ndata_file = {OUT}.apart\nparallel = true\nsource = {PACKAGE}\nsigterm = true\ncontext = ${{REACH_TEST}}\n",
        encoding="utf-8",
    )
    os.environ["COVERAGE_PROCESS_START"] = str(words)
    SEEN.start()


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_protocol(item: Any) -> Iterator[None]:
    """One context and one time a test."""
    for wrapped in CACHES:
        wrapped.cache_clear()
    SEEN.switch_context(item.nodeid)
    os.environ["REACH_TEST"] = item.nodeid.encode("ascii", "backslashreplace").decode().replace("\0", "")
    began = time.perf_counter()
    yield
    SECONDS[item.nodeid] = time.perf_counter() - began
    SEEN.switch_context("")


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish() -> None:
    """Write both down; what was seen in other processes goes to the rest."""
    SEEN.stop()
    SEEN.save()
    here = Path(OUT)
    apart = [str(path) for path in here.parent.glob(f"{here.name}.apart*")]
    if apart:
        SEEN.combine(apart)
        SEEN.save()
    Path(f"{OUT}.rc").unlink()
    Path(f"{OUT}.json").write_text(json.dumps(SECONDS), encoding="utf-8")
