"""The page as it is really served: one command to an open page, Ctrl-C to a closed one, a kill that loses nothing."""

from __future__ import annotations

import signal
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from glazecalc.files.journal import Journal
from glazecalc.page.server import prepare, qr_lines
from tests.page.bench import enter, start


@pytest.fixture
def served(studio: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    running, address = start(studio)
    yield running, address
    if running.poll() is None:
        running.kill()
    running.wait(20)


def test_one_command_to_a_page_and_ctrl_c_closes_it(served: tuple[subprocess.Popen[str], str]) -> None:
    running, address = served
    with enter(address) as client:
        answer = client.get("/?card=shoal-clear")
        assert "Shoal clear" in answer.text and "server" not in answer.headers
    parts = urlsplit(address)
    assert parts.hostname == "127.0.0.1" and parts.port is not None
    running.send_signal(signal.SIGINT)
    assert running.wait(20) in (0, 130, -signal.SIGINT)
    with pytest.raises(OSError), socket.create_connection((parts.hostname, parts.port), 2):
        pass


def test_what_was_acknowledged_outlives_a_kill(served: tuple[subprocess.Popen[str], str], studio: Path) -> None:
    running, address = served
    with enter(address) as client:
        plan = {"card": ["shoal-clear", "brine-crackle"], "size": "5", "do": "write", "token": "a"}
        client.post("/tiles", data=plan)
        place = client.post("/firing", data={"do": "start", "cone": "6"}).url.path
        told = 0
        for i in range(8):
            told += client.post(place, data={"at": f"{i}:30", "heat": "700C"}).status_code == 200
        running.kill()
    running.wait(20)
    with Journal(studio) as journal:
        assert len(journal.tiles()) == 5 and len(journal.firings()[0].readings) == told == 8
    assert not list(studio.glob(".glazecalc-*"))


def test_raw_requests_get_no_trace(served: tuple[subprocess.Popen[str], str]) -> None:
    parts = urlsplit(served[1])
    assert parts.hostname is not None and parts.port is not None
    for sent in (b"GARBAGE\r\n\r\n", b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", b"GET http://evil/ HTTP/1.1\r\nHost: evil\r\n\r\n",
                 b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: -5\r\n\r\n", b"GET / HTTP/1.1\r\n" + b"A: b\r\n" * 9000 + b"\r\n"):  # fmt: skip
        with socket.create_connection((parts.hostname, parts.port), 5) as line:
            line.sendall(sent)
            got = line.recv(4096).decode("latin-1")
        assert got.startswith("HTTP/1.1 4") and "Traceback" not in got, (sent[:40], got)
    with enter(served[1]) as client:
        assert client.get("/").status_code == 200


def test_taken_port_is_said() -> None:
    from glazecalc.values.answers import ProblemsError

    one = prepare()
    one.socket.listen()
    with pytest.raises(ProblemsError, match="port"):
        prepare(one.socket.getsockname()[1])
    one.socket.close()


def test_only_this_machine_unless_a_phone_is_asked_for() -> None:
    opened = prepare()
    assert opened.socket.getsockname()[0] == "127.0.0.1" and opened.phone_address is None
    opened.socket.close()


def test_code_for_the_phone_is_drawn() -> None:
    pytest.importorskip("segno", reason="the library that draws the code is not installed here")
    assert qr_lines("http://192.0.2.7:8000/?key=once").count("\n") > 10
