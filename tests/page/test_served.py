"""The page as it is really served: one command to an open page, Ctrl-C to a closed one, a kill that loses nothing."""

from __future__ import annotations

import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import httpx
import pytest

from glazecalc.files.journal import Journal
from glazecalc.files.studio import read_studio
from glazecalc.page.guard import MOST_BAD_KEYS, MOST_FROM_AFAR
from glazecalc.page.server import prepare, qr_lines
from tests.page.bench import enter, start, start_told


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


def test_two_tabs_a_command_and_a_kill_lose_nothing_that_was_acknowledged(
    served: tuple[subprocess.Popen[str], str], studio: Path
) -> None:
    """Two tabs write readings, tiles, cards, stock, words and answers, take tiles back and undo; a command writes tiles
    beside them; the page is killed in the middle (SIGKILL cannot be caught, signal(7)) and opened again. All that was
    acknowledged is there, every file can be read, no card is half, and the next page goes on with it."""
    running, address = served
    base, told = address.split("/?")[0], Told()
    with enter(address) as first:
        told.place = first.post("/firing", data={"do": "start", "cone": "6"}).url.path
        cookies = dict(first.cookies)
    tabs = [threading.Thread(target=tab, args=(base, cookies, number, told)) for number in range(2)]
    command = threading.Thread(target=written_by_command, args=(studio, told))
    for thread in (*tabs, command):
        thread.start()
    begun = time.monotonic()
    while (len(told.cards) < 6 or not told.jars) and time.monotonic() < begun + 90:
        time.sleep(0.02)
    running.kill()
    for thread in (*tabs, command):
        thread.join(120)
    assert len(told.cards) >= 6 and told.jars == 2, told
    all_is_there(studio, told)
    again, address = start(studio)
    try:
        with enter(address) as client:
            assert "Undo it" in client.get("/tiles").text
            assert client.post(told.place, data={"at": "99:00", "heat": "500C"}).status_code == 200
    finally:
        again.kill()
        again.wait(20)


@dataclass
class Told:
    """What was acknowledged."""

    place: str = ""
    readings: list[int] = field(default_factory=list)
    cards: dict[str, str] = field(default_factory=dict)
    stock: list[str] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    tiles: int = 0
    taken: list[str] = field(default_factory=list)
    jars: int = 0


def tab(base: str, cookies: dict[str, str], number: int, told: Told) -> None:
    """One tab that writes until the page is gone; a change that was made on an old file is refused, and not counted."""
    lines = "".join(f"# line {i}\n" for i in range(400))
    with (
        suppress(httpx.TransportError),
        httpx.Client(base_url=base, headers={"origin": base}, cookies=cookies, timeout=60) as client,
    ):
        for i in range(number, 2000, 2):
            card = f"name: N{i}\nSilica 30\nWhiting 20\nPotash feldspar 50\n{lines}"
            if client.post(told.place, data={"at": f"{i // 60}:{i % 60:02d}", "heat": "500C"}).status_code == 303:
                told.readings.append(i)
            if client.post("/", data={"text": card, "do": "save", "title": f"釉 {i}"}).status_code == 303:
                told.cards[f"釉-{i}.txt"] = card
            if client.post("/shelf", data={"do": "stock", "name": f"Jar {i}", "amount": "1kg"}).status_code == 303:
                told.stock.append(f"Jar {i}")
            words = {"text": f"W{i} 9\n", "written-1": f"W{i}", "meant-1": "Silica", "remember": "yes", "do": "look"}
            if client.post("/", data=words).status_code == 200:
                told.words.append(f"W{i}")
            if client.post("/tiles/next", data={"card": "shoal-clear", "token": f"t{i}"}).status_code == 303:
                told.tiles += 1
            waiting = re.findall(r'id="tile-(\w+)"', client.get("/tiles").text)
            mine = [id_ for id_ in waiting if id_ not in told.taken][number : number + 1]
            for id_ in mine:
                if client.post(f"/journal/tile/{id_}", data={"do": "withdraw"}).status_code == 303:
                    told.taken.append(id_)


def written_by_command(studio: Path, told: Told) -> None:
    words = [sys.executable, "-m", "glazecalc", "record", "tile", "--glaze", "jar", "--result", "sound", "--studio"]
    for _ in range(2):
        told.jars += (
            subprocess.run([*words, str(studio)], capture_output=True, timeout=120, check=False).returncode == 0
        )


def all_is_there(studio: Path, told: Told) -> None:
    with Journal(studio) as journal:
        assert set(told.readings) <= {round(r.at_h * 60) for r in journal.firings()[0].readings}
        assert told.tiles + told.jars <= len({e.id for e in journal.all_entries("tile")})
        assert set(told.taken) <= {e.id for e in journal.current("tile", withdrawn=True)}
    for name, card in told.cards.items():
        assert (studio / name).read_text(encoding="utf-8") == card
    for path in studio.glob("釉-*.txt"):
        assert path.read_text(encoding="utf-8").endswith("# line 399\n")
    found, problems = read_studio(studio)
    assert not [p for p in problems if p.is_error]
    assert set(told.stock) <= {name for name, _ in found.stock}
    assert set(told.words) <= {word for word, _ in found.aliases}


RAW = (b"GARBAGE\r\n\r\n", b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", b"GET http://evil/ HTTP/1.1\r\nHost: evil\r\n\r\n",
       b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: -5\r\n\r\n", b"GET / HTTP/1.1\r\n" + b"A: b\r\n" * 9000 + b"\r\n")  # fmt: skip
PATHS = (b"/?" + b"a=1&" * 30, b"/?key=%ff%fe", b"/?card=%ff%fe%00", b"/%ff%fe", b"/photos/%00.jpg", b"//evil", b"/\\evil", b"*",
         b"http://evil/", b"/firing/%F0%9F%98%80", b"/journal/tile/%00", b"/work/%00", b"/?card=" + b"a" * 9000,
         b"/shelf?buy=%ed%a0%80", b"/./../../etc/passwd")  # fmt: skip
POSTED = (b"/journal", b"/tiles/%00/photo", b"/tiles/AAA/outcome", b"/work/x", b"/studio", b"/shelf")
FORM = b"application/x-www-form-urlencoded"
PART = b"multipart/form-data; boundary=x"
BODIES = (
    (FORM, b"do=undo&seen=" + b"9" * 300 + b"&x=%00%ff&kind=%ed%a0%80"), (FORM + b"; charset=utf-16", b"\xff\xfea=b"),
    (b"multipart/form-data", b"xx"), (b"application/json", b"{}"), (b"text/plain; charset=utf-99", b"a=b"), (b"\xff\xfe", b"a"),
    (PART + b"; charset=idna", b'--x\r\nContent-Disposition: form-data; name="a\xff"\r\n\r\n\xff\r\n--x--\r\n'),
    (PART + b"; charset=zlib", b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\nq\r\n--x--\r\n'),
    (PART, b'--x\r\nContent-Disposition: form-data; name="photo"; filename="a"\r\nContent-Type: \xff\r\n\r\nq\r\n--x--\r\n'),
)  # fmt: skip


def test_raw_requests_get_no_trace(served: tuple[subprocess.Popen[str], str]) -> None:
    """What no browser sends (RFC 9112), with the key and without: a short refusal, no trace, no word on stderr."""
    parts = urlsplit(served[1])
    assert parts.hostname is not None and parts.port is not None
    with enter(served[1]) as client:
        cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
        near = f"Host: {parts.netloc}\r\nOrigin: http://{parts.netloc}\r\n".encode()
        known = near + f"Cookie: {cookie}\r\n".encode()
        sends = [
            *RAW,
            *(b"GET " + path + b" HTTP/1.1\r\n" + head + b"\r\n" for path in PATHS for head in (near, known)),
        ]
        sends += [
            b"POST " + path + b" HTTP/1.1\r\n" + known + b"Content-Type: " + kind
            + f"\r\nContent-Length: {len(body)}\r\n\r\n".encode() + body
            for path in POSTED for kind, body in BODIES
        ]  # fmt: skip
        chunked = b"POST / HTTP/1.1\r\n" + known + b"Transfer-Encoding: chunked\r\n"
        sends += [chunked + b"\r\nFFFFFFFFFFFFFFFF\r\n", chunked + b"Content-Length: 5\r\n\r\n0\r\n\r\n"]
        sends += [
            word + b" / HTTP/1.1\r\n" + known + b"\r\n"
            for word in (b"TRACE", b"OPTIONS", b"CONNECT", b"PUT", b"x" * 99)
        ]
        for sent in sends:
            with socket.create_connection((parts.hostname, parts.port), 30) as line:
                line.sendall(sent)
                got = line.recv(4096).decode("latin-1")
            assert got.startswith(("HTTP/1.1 2", "HTTP/1.1 3", "HTTP/1.1 4")) and "Traceback" not in got, (
                sent[:80],
                got,
            )
        assert client.get("/").status_code == 200
    running = served[0]
    running.send_signal(signal.SIGINT)
    running.wait(20)
    assert running.stderr is not None and running.stderr.read() == ""


def test_two_pages_in_one_browser_keep_out_of_each_others_way(
    served: tuple[subprocess.Popen[str], str], tmp_path: Path
) -> None:
    """A browser keeps cookies by host and not by port (RFC 6265, 8.5)."""
    other, address = start(tmp_path / "other")
    try:
        with httpx.Client(follow_redirects=True, timeout=60) as browser:
            for page in (served[1], address):
                assert browser.get(page).status_code == 200
            for page in (served[1], address):
                assert browser.get(page.split("?")[0]).status_code == 200
    finally:
        other.kill()
        other.wait(20)


def test_slow_clients_do_not_hold_a_place(studio: Path) -> None:
    """CWE-400: a head that never ends, a body that never comes, a line that says nothing; each is let go of, and the
    one who works is answered all the while. Twenty seconds are one here."""
    before = "from glazecalc.page import guard\nguard.SLOWEST_S = 1.0"
    running, told = start_told(studio, before=before)
    parts = urlsplit(told["address"])
    place, host = (parts.hostname, parts.port), f"Host: {parts.netloc}\r\n".encode()
    try:
        with enter(told["address"]) as client:
            cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items()).encode()
            mine = host + b"Origin: http://" + parts.netloc.encode() + b"\r\nCookie: " + cookie + b"\r\n"
            form = b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 99\r\n\r\ntext="
            begun = (b"", b"GET / HTTP/1.1\r\nX: ", b"GET /a HTTP/1.1\r\n" + host + b"\r\nGET / HT", b"POST / HTTP/1.1\r\n" + host + form,
                     b"POST / HTTP/1.1\r\n" + mine + form)  # fmt: skip
            lines = [socket.create_connection(place, 10) for _ in range(30) for _ in begun]
            for line, sent in zip(lines, begun * 30, strict=True):
                line.sendall(sent)
            assert client.get("/shelf").status_code == 200
            for line in lines:
                line.settimeout(20)
                while line.recv(4096):
                    pass
                line.close()
            assert client.get("/shelf").status_code == 200
    finally:
        running.kill()
        running.wait(20)


def test_phone_from_another_address_of_the_network(studio: Path) -> None:
    """The key in the address, a wrong one, guessed ones, too many requests, and nothing left when the page stops."""
    running, told = start_told(studio, "--phone")
    try:
        if told["phone"] is None:
            pytest.skip("this machine is on no network that a phone could reach it by")
        far = told["phone"].split("?")[0]
        assert urlsplit(far).hostname != "127.0.0.1"
        with httpx.Client(base_url=far, timeout=60) as stranger:
            assert stranger.get("/").status_code == stranger.get("/", params={"key": "wrong"}).status_code == 403
        with enter(told["phone"]) as phone, enter(told["address"]) as bench:
            sent = {"do": "stock", "name": "Phone jar", "amount": "1kg"}
            assert "Phone jar" in phone.post("/shelf", data=sent).text and "Phone jar" in bench.get("/shelf").text
            with httpx.Client(base_url=far, timeout=60) as late:
                assert late.get(told["phone"]).status_code == 403
                guesses = [late.get("/", params={"key": f"guess{i}"}).status_code for i in range(MOST_BAD_KEYS + 5)]
                assert guesses[0] == 403 and guesses[-1] == 429
            assert phone.get("/look.css").status_code == bench.get("/look.css").status_code == 200
            codes = [phone.get("/look.css").status_code for _ in range(MOST_FROM_AFAR)]
            assert codes[0] == 200 and codes[-1] == 429 and bench.get("/look.css").status_code == 200
    finally:
        running.send_signal(signal.SIGINT)
        running.wait(20)
    for place in (told["phone"], told["address"]):
        with pytest.raises(httpx.ConnectError):
            httpx.get(place, timeout=5)


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


def test_studio_that_is_not_there_is_not_made_in_silence(tmp_path: Path) -> None:
    words = [sys.executable, "-m", "glazecalc", "open", "--no-browser", "--studio", str(tmp_path / "nowhere")]
    told = subprocess.run(words, capture_output=True, text=True, timeout=60, check=False)
    assert told.returncode == 2 and "glazecalc start" in told.stderr and not (tmp_path / "nowhere").exists()
    running = subprocess.Popen([*words[:4], "--no-browser", str(tmp_path / "new")], stdout=subprocess.PIPE, text=True)
    assert running.stdout is not None
    assert "is a new folder" in running.stdout.readline() and (tmp_path / "new").is_dir()
    running.terminate()
    running.wait(20)
