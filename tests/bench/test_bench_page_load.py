"""The page as it is served, under load: a hundred clients, a thousand hostile requests, no record lost.

Run: pytest tests/bench/test_bench_page_load.py -o addopts= --import-mode=importlib -s
"""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.parse import quote

import httpx
import pytest

from glazecalc.files.journal import Journal
from glazecalc.files.studio import read_studio
from tests.page.bench import enter, start

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("/", "/studio", "/tiles", "/firing", "/shelf", "/look.css", "/bench.js", "/photos/AAA-1.jpg", "/nowhere")
ODD = ("\x00", "'; DROP TABLE entries;--", "{{7*7}}", "%s%n", "../" * 9, "\ud83d\ude00", "9" * 400, "=1+1", "-1", "nan", "1e999",
       "<svg/onload=1>", "AAA", "06", "\u202e", "[[body]]\n", "a" * 3000, "\r\nSet-Cookie: x=1")  # fmt: skip
FIELDS = ("text", "do", "card", "table", "which", "mark", "name", "cone", "result", "kind", "hold", "amount", "size", "title", "at",
          "heat", "subject", "clay.name", "clay.cones", "kiln.volts", "outlet.receptacle", "shelf", "bend-0", "pick", "written-1",
          "meant-1", "dry", "levels", "add", "body", "kiln", "SiO2", "token", "file", "opened")  # fmt: skip
PLACES = ("/", "/studio", "/tiles", "/firing", "/shelf", "/tiles/next", "/tiles/AAA/outcome", "/tiles/ZZZ/outcome", "/firing/F1", "/firing/F9",
          "/tiles/AAA/photo", "/work/x", "/photos/../studio.toml", "/nowhere")  # fmt: skip
ACTS = ("look", "save", "undo", "stock", "analysis", "lay", "plan", "write")


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    folder = tmp_path / "studio"
    shutil.copytree(ROOT / "recipes", folder, ignore=shutil.ignore_patterns("journal*"))
    return folder


@pytest.fixture
def served(studio: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    running, address = start(studio)
    yield running, address
    if running.poll() is None:
        running.kill()
    running.wait(20)


def hostile(rng: random.Random, client: httpx.Client) -> httpx.Response:
    """One odd form, or one that pretends to be somebody else."""
    sent = {rng.choice(FIELDS): rng.choice(ODD) for _ in range(rng.randint(0, 6))} | {"do": rng.choice(ACTS)}
    form = {k: v.encode("utf-8", "replace") for k, v in sent.items()}
    kind = rng.random()
    if kind < 0.15:
        return client.post(rng.choice(PLACES), data=form, headers={"origin": "http://evil.example"})
    if kind < 0.3:
        return client.get(rng.choice(PLACES), headers={"host": "evil.example"})
    if kind < 0.4:
        asked = f"/?card={quote(rng.choice(ODD), errors='surrogatepass')}"
        return client.get(asked if kind > 0.32 else f"{asked}&key={quote(rng.choice(ODD), errors='surrogatepass')}")
    if kind < 0.5:
        return client.post(
            rng.choice(PLACES), content=rng.randbytes(2000), headers={"content-type": "multipart/form-data; boundary=x"}
        )
    return client.post(rng.choice(PLACES), data=form)


def held(pid: int) -> tuple[float, int]:
    """Memory [MB] and open files of a process (proc(5))."""
    status = Path(f"/proc/{pid}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+)", status)
    return (int(found[1]) / 1024 if found else 0.0), len(list(Path(f"/proc/{pid}/fd").iterdir()))


def test_hundred_clients_a_thousand_hostile_requests_and_no_record_lost(
    served: tuple[subprocess.Popen[str], str], studio: Path
) -> None:
    """A hundred clients at once: each works in two rooms and writes a reading or a tile, and each sends ten hostile
    requests beside it. No page of the framework, no word of another file, no growth, nothing lost."""
    (studio.parent / "secret.txt").write_text("name: Secret\nSilica 77.125\n")
    running, address = served
    text = (studio / "shoal-clear.txt").read_text()
    with enter(address) as first:
        place = first.post("/firing", data={"do": "start", "cone": "6"}).url.path
        cookies = dict(first.cookies)
    cookie = next(iter(cookies.values()))
    told: list[tuple[str, int]] = []
    base = address.split("/?")[0]

    def one(i: int) -> None:
        rng = random.Random(i)
        with httpx.Client(base_url=base, headers={"origin": base}, cookies=cookies, timeout=300) as client:
            for turn in range(10):
                answer = hostile(rng, client)
                assert answer.status_code < 500, answer.text[:400]
                low = answer.text.casefold()
                assert "traceback" not in low and "starlette" not in low and "uvicorn" not in low and ">49<" not in low
                assert "77.125" not in low and cookie not in answer.text and str(studio) not in answer.text
                if turn == i % 10:
                    found = client.post("/", data={"text": text}) if i % 10 == 0 else client.get(ROOMS[i % 5])
                    assert found.status_code == 200
            if i % 2:
                sent = {"card": "shoal-clear", "add": "", "token": f"tile {i}"}
                told.append(("tile", client.post("/tiles/next", data=sent).status_code))
            else:
                told.append(
                    ("reading", client.post(place, data={"at": f"{i // 60}:{i % 60:02d}", "heat": "500C"}).status_code)
                )

    warm = None
    with ThreadPoolExecutor(100) as pool:
        for _ in pool.map(one, range(100)):
            warm = warm or held(running.pid)
    assert {status for _, status in told} == {303} and len(told) == 100
    with Journal(studio) as journal:
        assert sum(t.recipe is not None and t.recipe.name == "Shoal clear" for t in journal.tiles()) == 50
        kept = {round(r.at_h * 60) for f in journal.firings() for r in f.readings if r.degC == 500}
    assert set(range(0, 100, 2)) <= kept
    assert read_studio(studio)[0].bodies and sorted(p.name for p in studio.parent.iterdir()) == ["secret.txt", "studio"]
    memory, files = held(running.pid)
    assert warm is not None and files <= warm[1] + 20 and memory < warm[0] + 150, (warm, memory, files)
