"""Two thousand seeded inputs over every command, most in this process, a hundred of them in processes of their own.

Run: pytest tests/bench/test_fuzz.py -o addopts= --import-mode=importlib -s; FUZZ_COUNT and FUZZ_SEED in the environment
take another count or seed. Prints a line a command: inputs, tracebacks, exits 70, inputs of more than 10 s of processor
time, and answers wrong in silence by the rules of fuzz_judges.py. Each must be 0.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.bench.fuzz_inputs import GENERATORS, FuzzStudio, Input, commands, fresh_copy, make_studio
from tests.bench.fuzz_judges import crashed, listing, silent_wrongs
from tests.hostile.typed import Typed, typed

resource = pytest.importorskip("resource", reason="this system does not count a process's time")
COUNT = int(os.environ.get("FUZZ_COUNT", "2000"))
SEED = int(os.environ.get("FUZZ_SEED", "13"))
STUDIOS = 12
OF_THEIR_OWN = 100
SLOW = {"adjust", "first", "kiln", "learn", "firing", "tiles", "report", "compare"}
KINDS = ("traceback", "exit 70", "over 10 s", "silent")


def test_two_thousand_inputs(tmp_path: Path) -> None:
    found, counts = fuzzed(tmp_path, COUNT, SEED, min(OF_THEIR_OWN, COUNT // 20), in_turn())
    print(table(counts))
    for what in found:
        print(what)
    assert found == []


def in_turn() -> list[str]:
    """The commands in turn: those that take a second each come once, the others three times."""
    return [*sorted(GENERATORS), *2 * sorted(set(GENERATORS) - SLOW)]


def fuzzed(
    where: Path, count: int, seed: int, of_their_own: int, names: Sequence[str]
) -> tuple[list[str], dict[str, Counter[str]]]:
    """Everything wrong, in words, and the counts of each command."""
    assert set(GENERATORS) == set(commands()), "every command has a generator, and no other"
    studios = [make_studio(random.Random(f"{seed} {i}"), where / f"studio{i}") for i in range(STUDIOS)]
    apart = set(random.Random(seed).sample(range(count), of_their_own))
    counts: dict[str, Counter[str]] = {name: Counter() for name in sorted(set(names))}
    found: list[str] = []
    for number in range(count):
        _told_so_far(number, found)
        rng = random.Random(f"{seed}-{number}")
        name, studio = names[number % len(names)], studios[rng.randrange(STUDIOS)]
        given = GENERATORS[name](rng, studio)
        folder = where / f"run{number}"
        fresh_copy(studio, folder, given)
        counts[name]["inputs"] += 1
        for kind, what in _judged(given, studio, folder, number in apart):
            counts[name][kind] += 1
            found.append(f"{number} {kind}: {what} | {' '.join(given.words)[:300]!a}")
        shutil.rmtree(folder, ignore_errors=True)
    return found, counts


def _told_so_far(number: int, found: list[str]) -> None:
    """A long run shows where it is, in the file that FUZZ_LOG names."""
    if "FUZZ_LOG" in os.environ:
        Path(os.environ["FUZZ_LOG"]).write_text("\n".join([str(number), *found]) + "\n", encoding="utf-8")


def _judged(given: Input, studio: FuzzStudio, folder: Path, apart: bool) -> list[tuple[str, str]]:
    files = listing(folder)
    told = _apart(given, folder) if apart else typed(list(given.words), folder, stdin=given.stdin)
    kind = crashed(given, told)
    if kind:
        return [(kind, f"{told.cpu_s:.1f} s {told.crash[-300:]} {told.err[-300:]}")]
    return [("silent", what) for what in silent_wrongs(given, told, studio, folder, files)]


def _apart(given: Input, folder: Path) -> Typed:
    """The same line in a process of its own, and the processor time that it took."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "glazecalc", *given.words], cwd=folder, input=given.stdin or b"", capture_output=True,
            timeout=1200, check=False, env={**os.environ, "PYTHONIOENCODING": "utf-8", "OPENBLAS_NUM_THREADS": "1"},
        )  # fmt: skip
    except ValueError:  # a zero byte, which no system takes for a word
        return typed(list(given.words), folder, stdin=given.stdin)
    out, err = (stream.decode("utf-8", "replace") for stream in (done.stdout, done.stderr))
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return Typed(given.words, done.returncode, out, err, spent, 0.0)


def table(counts: dict[str, Counter[str]]) -> str:
    """A line a command, and their sum."""
    lines = [f"\n{'command':<15}{'inputs':>8}" + "".join(f"{kind:>12}" for kind in KINDS)]
    whole: Counter[str] = Counter()
    for name, count in sorted(counts.items()):
        whole += count
        lines.append(f"{name:<15}{count['inputs']:>8}" + "".join(f"{count[kind]:>12}" for kind in KINDS))
    lines.append(f"{'all':<15}{whole['inputs']:>8}" + "".join(f"{whole[kind]:>12}" for kind in KINDS))
    return "\n".join(lines)
