"""A page over a copy of the demo studio, and a browser that holds its key."""

from __future__ import annotations

from pathlib import Path

from starlette.testclient import TestClient

from glazecalc.page.app import make_app
from glazecalc.page.guard import Gate

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
