"""A page over a copy of the demo studio: in this process with a browser that holds its key, or as it is really served."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import httpx
from starlette.testclient import TestClient

from glazecalc.page.guard import Gate
from glazecalc.page.server import make_app

HOST = "127.0.0.1:8000"
ORIGIN = f"http://{HOST}"


def browser(folder: Path, *, gate: Gate | None = None, enter: bool = True) -> TestClient:
    gate = gate or Gate(frozenset({HOST}))
    client = TestClient(make_app(folder, gate), base_url=ORIGIN, raise_server_exceptions=False)
    client.headers["origin"] = ORIGIN
    if enter:
        answer = client.get("/", params={"key": gate.key}, follow_redirects=False)
        assert answer.status_code == 303
        client.cookies.set("bench", gate.secret)
    return client


def start(folder: Path, *words: str) -> tuple[subprocess.Popen[str], str]:
    running, told = start_told(folder, *words)
    return running, str(told["address"])


def start_told(folder: Path, *words: str, before: str = "pass") -> tuple[subprocess.Popen[str], dict[str, str]]:
    """A page that is served, and what it tells of itself; ``before`` is run in its process first."""
    program = f"{before}\nfrom glazecalc.__main__ import run\nrun()"
    running = subprocess.Popen(
        [sys.executable, "-c", program, "open", str(folder), "--no-browser", "--json", *words],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    lines = ""
    assert running.stdout is not None
    while not lines.endswith("}\n") or lines.count("{") != lines.count("}"):
        line = running.stdout.readline()
        assert line, running.stderr.read() if running.stderr else ""
        lines += line
    return running, dict(json.loads(lines)["results"][0])


@contextmanager
def enter(address: str) -> Iterator[httpx.Client]:
    base = f"http://{urlsplit(address).netloc}"
    with httpx.Client(base_url=base, headers={"origin": base}, follow_redirects=True, timeout=60) as client:
        assert client.get(address).status_code == 200
        yield client
