"""Who may not come in, and what a hostile request cannot do: OWASP's list of DNS rebinding, cross-site posts, path
traversal, oversized bodies, host header tricks."""

from __future__ import annotations

import random
import re
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

import httpx
import pytest
from starlette.testclient import TestClient

from glazecalc.files.journal import Journal
from glazecalc.files.studio import read_studio
from glazecalc.page.guard import LARGEST_FORM, MOST_BAD_KEYS, Gate
from tests.page.bench import HOST, ORIGIN, browser, enter, start


@pytest.fixture
def served(studio: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    running, address = start(studio)
    yield running, address
    if running.poll() is None:
        running.kill()
    running.wait(20)


ROOMS = ("/", "/studio", "/tiles", "/firing", "/shelf", "/look.css", "/bench.js", "/photos/AAA-1.jpg", "/nowhere")


@pytest.mark.parametrize("room", ROOMS)
def test_nothing_without_the_key(studio: Path, room: str) -> None:
    client = browser(studio, enter=False)
    assert client.get(room).status_code == 403
    assert client.get(room, cookies={"bench": "guess"}).status_code == 403


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1:9999", "localhost.evil.example:8000", "", f"{HOST}@evil.example"]
)
def test_another_name_is_not_answered(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("origin", ["http://evil.example", "null", f"https://{HOST}", "http://127.0.0.1:8001", ""])
def test_another_page_cannot_post(client: TestClient, studio: Path, origin: str) -> None:
    before = sorted(p.name for p in studio.iterdir())
    answer = client.post("/", data={"text": "Silica 1", "do": "save", "title": "bad"}, headers={"origin": origin})
    assert answer.status_code == 403 and sorted(p.name for p in studio.iterdir()) == before


def test_post_that_hides_its_page_is_refused(studio: Path) -> None:
    client = browser(studio)
    del client.headers["origin"]
    assert client.post("/", data={"text": "Silica 1"}).status_code == 403


def test_cookie_and_headers(studio: Path) -> None:
    gate = Gate(frozenset({HOST}))
    client = browser(studio, gate=gate, enter=False)
    answer = client.get("/", params={"key": gate.key}, follow_redirects=False)
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=Strict" in cookie and gate.key not in cookie
    page = browser(studio).get("/")
    policy = page.headers["content-security-policy"]
    assert "default-src 'none'" in policy and "unsafe" not in policy and "frame-ancestors 'none'" in policy
    assert page.headers["x-content-type-options"] == "nosniff" and page.headers["cache-control"] == "no-store"
    assert "style=" not in page.text and "<script>" not in page.text and "onclick" not in page.text


def test_wrong_keys_are_slowed(studio: Path) -> None:
    client = browser(studio, enter=False)
    answers = [client.get("/", params={"key": str(i)}).status_code for i in range(MOST_BAD_KEYS + 5)]
    assert answers[0] == 403 and answers[-1] == 429


def test_guessing_does_not_shut_out_who_is_at_work(studio: Path) -> None:
    gate = Gate(frozenset({HOST}))
    client, stranger = browser(studio, gate=gate), browser(studio, gate=gate, enter=False)
    for i in range(MOST_BAD_KEYS + 5):
        stranger.get("/", params={"key": str(i)})
    assert stranger.get("/", params={"key": gate.key}, follow_redirects=False).status_code == 429
    assert client.get("/shelf").status_code == 200


def test_phone_key_works_once(studio: Path) -> None:
    gate = Gate(frozenset({HOST}), phone_key="once")
    client = browser(studio, gate=gate, enter=False)
    assert client.get("/", params={"key": "once"}, follow_redirects=False).status_code == 303
    assert client.get("/", params={"key": "once"}, follow_redirects=False).status_code == 403


def test_phone_is_rate_limited() -> None:
    now = [0.0]
    gate = Gate(frozenset(), clock=lambda: now[0])
    told = [gate.too_often("192.0.2.7", near=False) for _ in range(400)]
    assert not told[0] and told[-1] and not gate.too_often("127.0.0.1", near=True)
    now[0] = 120.0
    assert not gate.too_often("192.0.2.7", near=False)


PATHS = (
    "../secret",
    "..%2fsecret",
    "%2e%2e/secret",
    "/etc/passwd",
    "....//secret",
    "secret%00",
    "..\\secret",
    "studio.toml",
    ".",
)


@pytest.mark.parametrize("path", PATHS)
def test_no_path_leads_outside(client: TestClient, studio: Path, path: str) -> None:
    (studio.parent / "secret.txt").write_text("name: Secret\nSilica 77.125\n")
    for address in (f"/?card={path}", f"/photos/{path}", f"/shelf?buy={path}", f"/firing/{path}"):
        answer = client.get(address)
        assert "77.125" not in answer.text and "root:" not in answer.text, address
    client.post("/", data={"text": "Silica 1", "do": "save", "title": path})
    assert (studio.parent / "secret.txt").read_text().endswith("77.125\n")
    assert sorted(p.name for p in studio.parent.iterdir()) == ["secret.txt", "studio"]


def test_link_out_of_the_studio_is_not_followed(client: TestClient, studio: Path) -> None:
    (studio.parent / "secret.txt").write_text("name: Secret\nSilica 77.125\n")
    (studio / "leak.txt").symlink_to(studio.parent / "secret.txt")
    assert "77.125" not in client.get("/?card=leak").text


def test_huge_bodies_are_refused(client: TestClient) -> None:
    assert (
        client.post(
            "/", content=b"text=" + b"x" * LARGEST_FORM, headers={"content-type": "application/x-www-form-urlencoded"}
        ).status_code
        == 413
    )

    def endless():  # type: ignore[no-untyped-def]
        for _ in range(40):
            yield b"text=" + b"x" * 16384

    answer = client.post("/", content=endless(), headers={"content-type": "application/x-www-form-urlencoded"})
    assert answer.status_code == 413


def test_words_are_escaped(client: TestClient) -> None:
    page = client.post("/", data={"text": '<script>alert(1)</script> 20\nname: "><img src=x>\n', "title": "'><b>"}).text
    assert "<script>alert" not in page and "<img src=x" not in page and "'><b>" not in page


ODD = ("\x00", "'; DROP TABLE entries;--", "{{7*7}}", "%s%n", "../" * 9, "\ud83d\ude00", "9" * 400, "=1+1", "-1", "nan", "1e999",
       "<svg/onload=1>", "AAA", "06", "\u202e", "[[body]]\n", "a" * 3000, "\r\nSet-Cookie: x=1")  # fmt: skip
FIELDS = ("text", "do", "card", "table", "which", "mark", "name", "cone", "result", "kind", "hold", "amount", "size", "title", "at",
          "heat", "subject", "clay.name", "clay.cones", "kiln.volts", "outlet.receptacle", "shelf", "bend-0", "pick", "written-1",
          "meant-1", "dry", "levels", "add", "body", "kiln", "SiO2", "token", "file", "opened")  # fmt: skip
PLACES = ("/", "/studio", "/tiles", "/firing", "/shelf", "/tiles/next", "/tiles/AAA/outcome", "/tiles/ZZZ/outcome", "/firing/F1", "/firing/F9",
          "/tiles/AAA/photo", "/work/x", "/photos/../studio.toml", "/nowhere")  # fmt: skip
ACTS = ("look", "save", "undo", "stock", "analysis", "lay", "plan", "write")


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
        return client.get("/", params={"card": rng.choice(ODD), "key": rng.choice(ODD)} if kind < 0.32 else {"card": rng.choice(ODD)})
    if kind < 0.5:
        return client.post(rng.choice(PLACES), content=rng.randbytes(2000), headers={"content-type": "multipart/form-data; boundary=x"})
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
        cookie = first.cookies["bench"]
    told: list[tuple[str, int]] = []
    base = address.split("/?")[0]

    def one(i: int) -> None:
        rng = random.Random(i)
        with httpx.Client(base_url=base, headers={"origin": base}, cookies={"bench": cookie}, timeout=300) as client:
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
                told.append(("reading", client.post(place, data={"at": f"{i // 60}:{i % 60:02d}", "heat": "500C"}).status_code))

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


def test_page_and_command_write_at_once_and_lose_nothing(client: TestClient, studio: Path) -> None:
    place = client.post("/firing", data={"do": "start", "cone": "6"}, follow_redirects=False).headers["location"]
    told: list[int] = []

    def log(i: int) -> None:
        told.append(client.post(place, data={"at": f"{i}:15", "heat": "500C"}, follow_redirects=False).status_code)

    def command() -> None:
        words = [
            sys.executable,
            "-m",
            "glazecalc",
            "record",
            "tile",
            "--glaze",
            "jar",
            "--result",
            "sound",
            "--studio",
            str(studio),
        ]
        for _ in range(3):
            assert subprocess.run(words, capture_output=True, timeout=120, check=False).returncode == 0

    threads = [threading.Thread(target=log, args=(i,)) for i in range(12)] + [
        threading.Thread(target=command) for _ in range(2)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert told == [303] * 12
    with Journal(studio) as journal:
        assert len(journal.tiles()) == 6 and len(journal.firings()[0].readings) == 12


def test_two_tabs_a_command_and_a_kill_lose_nothing_that_was_acknowledged(
    served: tuple[subprocess.Popen[str], str], studio: Path
) -> None:
    """Tabs and commands write readings, tiles, cards, answers and stock at once; the page is killed in the middle
    (SIGKILL cannot be caught, signal(7)). All that was acknowledged is there, every file can be read, no card is half."""
    running, address = served
    with enter(address) as first:
        place = first.post("/firing", data={"do": "start", "cone": "6"}).url.path
        cookie = first.cookies["bench"]
    base, told = address.split("/?")[0], {"reading": [], "card": [], "tile": [], "stock": []}
    lines = "".join(f"# line {i}\n" for i in range(400))

    def tab(number: int) -> None:
        with httpx.Client(base_url=base, headers={"origin": base}, cookies={"bench": cookie}, timeout=60) as client:
            for i in range(number, 2000, 2):
                card = f"name: N{i}\nSilica 30\nWhiting 20\nPotash feldspar 50\n{lines}"
                with suppress(httpx.TransportError):
                    if client.post(place, data={"at": f"{i // 60}:{i % 60:02d}", "heat": "500C"}).status_code == 303:
                        told["reading"].append(i)
                    if client.post("/", data={"text": card, "do": "save", "title": f"n{i}"}).status_code == 303:
                        told["card"].append((i, card))
                    if client.post("/shelf", data={"do": "stock", "name": f"Jar {i}", "amount": "1kg"}).status_code == 303:
                        told["stock"].append(f"Jar {i}")
                    continue
                return

    def command() -> None:
        words = [sys.executable, "-m", "glazecalc", "record", "tile", "--glaze", "jar", "--result", "sound", "--studio", str(studio)]
        for _ in range(3):
            if subprocess.run(words, capture_output=True, timeout=240, check=False).returncode == 0:
                told["tile"].append(1)

    threads = [threading.Thread(target=tab, args=(i,)) for i in range(2)] + [threading.Thread(target=command)]
    for thread in threads:
        thread.start()
    begun = time.monotonic()
    while (len(told["card"]) < 12 or len(told["tile"]) < 1) and time.monotonic() < begun + 120:
        time.sleep(0.05)
    running.kill()
    for thread in threads:
        thread.join()
    assert len(told["card"]) >= 12 and len(told["tile"]) == 3, told
    with Journal(studio) as journal:
        assert len(journal.tiles()) == 3
        assert set(told["reading"]) <= {round(r.at_h * 60) for r in journal.firings()[0].readings}
    for i, card in told["card"]:
        assert (studio / f"n{i}.txt").read_text() == card
    for path in studio.glob("n*.txt"):
        assert path.name == "night-harbour.txt" or path.read_text().endswith("# line 399\n")
    found, problems = read_studio(studio)
    assert not [p for p in problems if p.is_error] and set(told["stock"]) <= {name for name, _ in found.stock}


def test_sixteen_who_save_one_name_at_once(client: TestClient, studio: Path) -> None:
    def one(i: int) -> int:
        sent = {"text": f"name: N{i}\nSilica {i + 1}\nWhiting 9\n", "do": "save", "title": "same"}
        return client.post("/", data=sent, follow_redirects=False).status_code

    with ThreadPoolExecutor(16) as pool:
        assert sorted(pool.map(one, range(16))) == [303] + [400] * 15
    assert ORIGIN.startswith("http://127.0.0.1")
