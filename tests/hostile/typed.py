"""A command line in this process, its streams, its time and how it ended; nothing that escapes stays unseen."""

from __future__ import annotations

import io
import os
import sys
import time
import traceback
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from glazecalc.cli.main import main


@dataclass(frozen=True)
class Typed:
    """How a command ended. ``crash`` is a traceback that the program did not turn into an answer."""

    words: tuple[str, ...]
    code: int
    out: str
    err: str
    cpu_s: float
    wall_s: float
    crash: str = ""

    @property
    def all(self) -> str:
        """Everything it said, on one line."""
        return " ".join(f"{self.out} {self.err}".split())


def typed(
    words: Sequence[str],
    folder: Path,
    *,
    stdin: bytes | None = b"",
    env: Mapping[str, str] | None = None,
) -> Typed:
    """Type ``words`` in ``folder``; ``stdin`` None is a closed stream."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    read = None if stdin is None else io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8")
    crash, code = "", 0
    wall, cpu = time.perf_counter(), time.process_time()
    with _standing_in(folder, out, err, read, env or {}):
        try:
            code = int(main(list(words)))
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
        except BaseException:  # whatever escapes is what is looked for
            crash, code = traceback.format_exc(), 1
    told = [stream.buffer.getvalue().decode("utf-8", "replace") for stream in (out, err)]  # type: ignore[attr-defined]
    return Typed(
        tuple(words), code, told[0], told[1], time.process_time() - cpu, time.perf_counter() - wall, crash
    )  # fmt: skip


@contextmanager
def _standing_in(
    folder: Path, out: io.TextIOWrapper, err: io.TextIOWrapper, read: io.TextIOWrapper | None, env: Mapping[str, str]
) -> Iterator[None]:
    streams, here = (sys.stdout, sys.stderr, sys.stdin), os.getcwd()
    kept = {name: os.environ.get(name) for name in env}
    sys.stdout, sys.stderr, sys.stdin = out, err, read  # type: ignore[assignment]
    os.environ.update(env)
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(here)
        sys.stdout, sys.stderr, sys.stdin = streams
        for name, value in kept.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
