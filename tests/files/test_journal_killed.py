"""The journal when its writers are killed at any moment."""

from __future__ import annotations

import os
import random
import signal
import time
from pathlib import Path

import pytest

from glazecalc.files.journal import Journal
from glazecalc.values.records import TileRecord


def _record_until_killed(folder: Path, say: int, seed: int) -> None:
    """The life of one terminal: opens the journal, writes, and says each id only when it was acknowledged."""
    rng = random.Random(seed)
    with Journal(folder) as journal:
        while True:
            word = f"{seed}-{rng.random()}"
            tile = journal.record(TileRecord(note=word))
            os.write(say, f"{tile.id} {word}\n".encode())
            if rng.random() < 0.2:
                journal.correct("tile", tile.id, coats=1)


def _start(folder: Path, say: int, seed: int) -> int:
    child = os.fork()
    if child == 0:
        try:
            _record_until_killed(folder, say, seed)
        finally:
            os._exit(1)
    return child


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork or kill by signal")
def test_five_hundred_kills_from_two_processes(tmp_path):
    rng = random.Random(20)
    heard = tmp_path / "heard.txt"
    say = os.open(heard, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    seeds = iter(range(1_000_000))
    children = [_start(tmp_path, say, next(seeds)) for _ in range(2)]
    for _ in range(500):
        time.sleep(rng.uniform(0.0, 0.012))
        victim = rng.randrange(2)
        os.kill(children[victim], signal.SIGKILL)
        _, status = os.waitpid(children[victim], 0)
        assert os.WIFSIGNALED(status), "a child ended by itself"
        children[victim] = _start(tmp_path, say, next(seeds))
    for child in children:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    os.close(say)
    acknowledged = [line.split(" ", 1) for line in heard.read_text().splitlines()]
    assert len(acknowledged) > 200
    with Journal(tmp_path) as journal:
        kept = {t.id: t.note for t in journal.tiles()}
        rows = journal.all_entries()
        assert journal._db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert len({id_ for id_, _ in acknowledged}) == len(acknowledged), "an id was given twice"
    assert all(kept.get(id_) == word for id_, word in acknowledged), "an acknowledged record is missing"
    assert len({(r.id, r.revision) for r in rows}) == len(rows)
