"""What a command costs: time of the processor and wall time of whole processes, and where it goes inside one.

``python -m tests.bench.spent check recipes/shoal-clear.txt`` prints where the time of one command goes.
"""

from __future__ import annotations

import contextlib
import importlib.machinery
import io
import json
import os
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
YARDSTICK = [
    sys.executable,
    "-c",
    "import numpy, periodictable, typer; from pydantic import BaseModel, ConfigDict, Field, model_validator",
]
"""The bare imports: what a check needs of other people's packages, imported as its modules import it."""
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
ENVIRONMENT["OPENBLAS_NUM_THREADS"] = "1"

ANSWERED = (0, 1, 3)
"""Exit codes of a command that answered."""


class Spent(NamedTuple):
    """Processor and wall time of a process [s]."""

    cpu: float
    wall: float


def spent(words: Sequence[str], folder: Path = ROOT) -> Spent:
    """What a process takes from its beginning to its end. Raises RuntimeError for one that gave no answer."""
    start = time.perf_counter()
    with subprocess.Popen(
        list(words), cwd=folder, env=ENVIRONMENT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as child:
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode not in ANSWERED:
        raise RuntimeError(f"{' '.join(words)} ended with {child.returncode}")
    return Spent(used.ru_utime + used.ru_stime, time.perf_counter() - start)


def command(*words: object) -> list[str]:
    """A command line of glazecalc."""
    return [sys.executable, "-m", "glazecalc", *map(str, words)]


def where(words: Sequence[str], folder: Path = ROOT) -> dict[str, float]:
    """Processor time [ms] of a command in a process of its own: loading each package, and the job itself."""
    told = subprocess.run(
        [sys.executable, "-m", "tests.bench.spent", *words],
        cwd=ROOT, env={**ENVIRONMENT, "BENCH_FOLDER": str(folder)}, capture_output=True, text=True, check=True,
    )  # fmt: skip
    found: dict[str, float] = json.loads(told.stdout)
    return found


class Loading:
    """Counts the processor time that loading takes, by package, without what a module loads in turn."""

    def __init__(self) -> None:
        self.by_package: Counter[str] = Counter()
        self._inner: list[float] = []

    def count(self, name: str, load: Callable[..., Any]) -> Callable[..., Any]:
        """The method ``name`` of a loader, counted."""

        def counted(loader: Any, subject: Any) -> Any:
            start = time.process_time()
            self._inner.append(0.0)
            try:
                return load(loader, subject)
            finally:
                whole = time.process_time() - start
                own = whole - self._inner.pop()
                module = subject.__name__ if hasattr(subject, "__name__") else subject.name
                self.by_package[module.split(".")[0]] += own
                if self._inner:
                    self._inner[-1] += whole

        return counted


def _main(words: list[str]) -> None:
    start = time.process_time()
    loading = Loading()
    for loader, name in (
        (importlib.machinery.SourceFileLoader, "exec_module"),
        (importlib.machinery.ExtensionFileLoader, "create_module"),
    ):
        setattr(loader, name, loading.count(name, getattr(loader, name)))
    os.chdir(os.environ.get("BENCH_FOLDER", "."))
    from glazecalc.cli.main import run

    with (
        contextlib.redirect_stdout(io.StringIO()),
        contextlib.redirect_stderr(io.StringIO()),
        contextlib.suppress(SystemExit),
    ):
        run(words)
    whole = time.process_time() - start
    known = ("glazecalc", "numpy", "pydantic", "scipy", "typer", "matplotlib", "jinja2")
    found = {name: loading.by_package[name] for name in known if loading.by_package[name]}
    found["other packages"] = sum(loading.by_package.values()) - sum(found.values())
    found["the job"] = whole - sum(loading.by_package.values())
    print(json.dumps({name: round(1000 * seconds) for name, seconds in found.items()}))


if __name__ == "__main__":
    _main(sys.argv[1:])
