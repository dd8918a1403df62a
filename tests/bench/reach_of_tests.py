"""A plugin of pytest that writes which lines of the package each test reaches, for `tests.bench.mutations`.

    REACH=FOLDER/cov.golden PYTHONPATH=. pytest -p tests.bench.reach_of_tests -p no:xdist -o addopts=--import-mode=importlib tests/golden

Takes `coverage`, which is in no list of this project's needs: install it where it is measured. One run a folder of tests is
well; the names need only begin with `cov.`. What a test does in a process of its own is not seen.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import coverage  # type: ignore[import-not-found]
import pytest

OUT = os.environ["REACH"]
SEEN = coverage.Coverage(data_file=OUT, source=[str(Path.cwd() / "glazecalc")], config_file=False)
SEEN.start()
SECONDS: dict[str, float] = {}


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_protocol(item: Any) -> Iterator[None]:
    """One context and one time a test."""
    SEEN.switch_context(item.nodeid)
    began = time.perf_counter()
    yield
    SECONDS[item.nodeid] = time.perf_counter() - began
    SEEN.switch_context("")


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish() -> None:
    """Write both down."""
    SEEN.stop()
    SEEN.save()
    Path(f"{OUT}.json").write_text(json.dumps(SECONDS), encoding="utf-8")
