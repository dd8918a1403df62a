"""Two hundred writers killed at random moments, the log and the rights tampered with: nothing acknowledged is missing in
silence.

Each round a writer (the library's journal, or the command) writes into a studio, says every id that was acknowledged,
and is killed. Then somebody cuts, empties, spoils, removes or locks the write-ahead log, or takes the right to write
away from the folder or the file; and a reader lists, exports, checks and records. Every acknowledged entry is there, or
the reader says that something is wrong. Where the tests run as root, whom no right stops, writer and reader are another
user. Run: pytest tests/bench/test_kills.py -o addopts= --import-mode=importlib -s
"""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from glazecalc.files.journal import Journal
from glazecalc.values.data import data_root
from glazecalc.values.records import TileRecord
from tests.hostile.typed import Typed, typed

ROUNDS = int(os.environ.get("KILL_ROUNDS", "200"))
NOBODY = 65534
LOG = "journal.sqlite-wal"
Tamper = Callable[[Path, random.Random], None]


def _cut(folder: Path, rng: random.Random) -> None:
    log = folder / LOG
    if log.exists():
        os.truncate(log, rng.randint(0, log.stat().st_size))


def _removed(folder: Path, rng: random.Random) -> None:
    (folder / LOG).unlink(missing_ok=True)
    if rng.random() < 0.5:
        (folder / "journal.sqlite-shm").unlink(missing_ok=True)


def _spoilt(folder: Path, rng: random.Random) -> None:
    log = folder / LOG
    data = bytearray(log.read_bytes() if log.exists() else b"")
    for _ in range(20 if data else 0):
        data[rng.randrange(len(data))] = rng.randrange(256)
    log.write_bytes(bytes(data) or rng.randbytes(3000))


def _index_spoilt(folder: Path, rng: random.Random) -> None:
    index = folder / "journal.sqlite-shm"
    index.write_bytes(rng.randbytes(index.stat().st_size if index.exists() else 32768))


def _locked_log(folder: Path, rng: random.Random) -> None:
    if (folder / LOG).exists():
        (folder / LOG).chmod(0)


def _log_is_a_folder(folder: Path, rng: random.Random) -> None:
    (folder / LOG).unlink(missing_ok=True)
    (folder / LOG).mkdir()


def _folder_read_only(folder: Path, rng: random.Random) -> None:
    folder.chmod(0o555)


def _folder_and_log_locked(folder: Path, rng: random.Random) -> None:
    _locked_log(folder, rng)
    folder.chmod(0o555)


def _cut_and_read_only(folder: Path, rng: random.Random) -> None:
    _cut(folder, rng)
    folder.chmod(0o555)


def _file_read_only(folder: Path, rng: random.Random) -> None:
    (folder / "journal.sqlite").chmod(0o444)


def _file_locked(folder: Path, rng: random.Random) -> None:
    (folder / "journal.sqlite").chmod(0)


def _file_cut(folder: Path, rng: random.Random) -> None:
    path = folder / "journal.sqlite"
    os.truncate(path, rng.randint(100, max(101, path.stat().st_size)))


def _row_taken(folder: Path, rng: random.Random) -> None:
    """What no program of ours does: rows are taken out of the file with another tool."""
    import sqlite3

    db = sqlite3.connect(folder / "journal.sqlite")
    db.executescript("DROP TRIGGER no_delete; DELETE FROM entries WHERE seq = (SELECT max(seq) FROM entries)")
    db.close()


def _left_alone(folder: Path, rng: random.Random) -> None:
    pass


TAMPERS: dict[str, Tamper] = {
    "left alone": _left_alone, "log cut": _cut, "log removed": _removed, "log spoilt": _spoilt,
    "index spoilt": _index_spoilt, "log locked": _locked_log, "log a folder": _log_is_a_folder,
    "folder read-only": _folder_read_only, "folder and log locked": _folder_and_log_locked,
    "log cut, read-only": _cut_and_read_only, "file read-only": _file_read_only, "file locked": _file_locked,
    "file cut": _file_cut, "a row taken": _row_taken,
}  # fmt: skip


def _other_user() -> None:
    if os.getuid() == 0:
        os.setgid(NOBODY)
        os.setuid(NOBODY)


def _write_until_killed(folder: Path, say: int, by_command: bool, seed: int) -> None:
    _other_user()
    if by_command:
        while True:
            told = typed(["record", "tile", "--glaze", "Jar", "--studio", str(folder), "--json"], folder)
            if told.code == 0:
                os.write(say, f"{json.loads(told.out)['results'][0]['id']}\n".encode())
    with Journal(folder) as journal:
        while True:
            tile = journal.record(TileRecord(glaze=f"Jar {seed}"))
            os.write(say, f"{tile.id}\n".encode())


def _killed(folder: Path, rng: random.Random, number: int) -> set[str]:
    """The ids that one or two writers acknowledged before they were killed."""
    heard, say = os.pipe()
    children = []
    for i in range(rng.choice([1, 1, 2])):
        child = os.fork()
        if child == 0:
            try:
                _write_until_killed(folder, say, number % 3 == 0, number * 2 + i)
            except BaseException:
                traceback.print_exc()
            finally:
                os._exit(1)
        children.append(child)
    first = b"" if rng.random() < 0.15 else os.read(heard, 4)
    time.sleep(rng.uniform(0, 0.08))
    for child in children:
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        assert os.WIFSIGNALED(status), "a writer ended by itself"
    os.close(say)
    with os.fdopen(heard, "rb") as rest:
        return {line.decode() for line in (first + rest.read()).splitlines() if line}


READERS: dict[str, list[str]] = {
    "journal": ["journal", "--json"], "export": ["journal", "--export", "{out}/saved.csv", "--force", "--json"],
    "learn": ["learn", "--json"], "record": ["record", "tile", "--glaze", "After", "--json"], "again": ["journal", "--json"],
}  # fmt: skip


def _read(folder: Path, out: Path) -> dict[str, tuple[int, str]]:
    """Each reader's exit code and output, as the other user."""
    heard, say = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            _other_user()
            for name, words in READERS.items():
                filled = [word.format(out=out) for word in words]
                told = typed([*filled, "--studio", str(folder)], out)
                os.write(say, (json.dumps([name, _ended(told), told.out + told.err + told.crash]) + "\n").encode())
        finally:
            os._exit(0)
    os.close(say)
    with os.fdopen(heard, encoding="utf-8") as stream:
        found = {name: (code, text) for name, code, text in map(json.loads, stream)}
    os.waitpid(child, 0)
    return found


def _ended(told: Typed) -> int:
    return 99 if told.crash else told.code


def _unwarned(acknowledged: set[str], read: dict[str, tuple[int, str]], out: Path) -> list[str]:
    """What is missing without a warning, or ended badly."""
    found = [f"{name} ended with {code}: {text[-300:]}" for name, (code, text) in read.items() if code not in (0, 2, 3)]
    found += [f"{name} did not answer" for name in READERS if name not in read]
    for name in ("journal", "again"):
        code, text = read.get(name, (2, ""))
        if code == 0:
            answer = json.loads(text)
            listed = {entry["id"] for entry in answer["results"][0]["entries"]}
            if not acknowledged <= listed and not _warns(answer):
                found.append(f"{name}: {len(acknowledged - listed)} of {len(acknowledged)} missing")
    code, text = read.get("export", (2, ""))
    saved = out / "saved.csv"
    if code == 0 and not _warns(json.loads(text)):
        rows = saved.read_text(encoding="utf-8").count("\ntile,")
        if rows < len(acknowledged):
            found.append(f"export: {rows} of {len(acknowledged)} saved")
    code, text = read.get("record", (2, ""))
    if code == 0 and json.loads(text)["results"][0]["id"] in acknowledged:
        found.append("record: an id was given twice")
    return found


def _warns(answer: dict[str, object]) -> bool:
    return any(p["code"].startswith("journal") for p in answer["problems"])  # type: ignore[attr-defined]


@contextmanager
def open_to_all() -> Iterator[Path]:
    """A folder that another user gets to; pytest's own are for one user alone."""
    place = Path(tempfile.mkdtemp(prefix="glazecalc-kills-"))
    place.chmod(0o755)
    try:
        yield place
    finally:
        for inner in place.rglob("*"):
            if inner.is_dir():
                inner.chmod(0o755)
        shutil.rmtree(place)


def _studio(place: Path, name: str) -> Path:
    folder = place / name
    folder.mkdir()
    for file in ("studio.toml", "shoal-clear.txt"):
        shutil.copy(data_root() / "recipes" / file, folder)
    if os.getuid() == 0:
        for path in (folder, *folder.iterdir()):
            os.chown(path, NOBODY, NOBODY)
    return folder


@pytest.mark.skipif(not hasattr(os, "fork"), reason="the writers are forked")
def test_two_hundred_kills_and_a_tampered_log() -> None:
    counts: dict[str, Counter[str]] = {name: Counter() for name in TAMPERS}
    found = []
    with open_to_all() as place:
        for words in READERS.values():  # everything is loaded before another user may not read it
            warm = _studio(place, f"warm{len(list(place.iterdir()))}")
            typed([*(w.format(out=place) for w in words), "--studio", str(warm)], place)
        for number in range(ROUNDS):
            rng = random.Random(f"kills {number}")
            name = list(TAMPERS)[number % len(TAMPERS)]
            folder, out = _studio(place, f"s{number}"), _studio(place, f"out{number}")
            acknowledged = _killed(folder, rng, number)
            if (folder / "journal.sqlite").exists():
                TAMPERS[name](folder, rng)
            read = _read(folder, out)
            wrong = _unwarned(acknowledged, read, out)
            found += [f"{number} {name}: {what}" for what in wrong]
            counts[name].update(
                rounds=1, acknowledged=len(acknowledged), warned=sum(code == 2 for code, _ in read.values()), silent=len(wrong)
            )  # fmt: skip
    print(f"\n{'tampered':<24}{'kills':>7}{'acknowledged':>14}{'refusals':>10}{'in silence':>12}")
    for name, count in counts.items():
        print(f"{name:<24}{count['rounds']:>7}{count['acknowledged']:>14}{count['warned']:>10}{count['silent']:>12}")
    assert found == []
    assert sum(count["acknowledged"] for count in counts.values()) >= ROUNDS
