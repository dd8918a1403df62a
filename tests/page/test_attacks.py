"""Who may not come in, and what a hostile request cannot do: OWASP's list of DNS rebinding, cross-site posts, path
traversal, oversized bodies, host header tricks."""

from __future__ import annotations

import io
import os
import random
import re
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.parse import quote_from_bytes

import pytest
from PIL import Image
from starlette.testclient import TestClient

from glazecalc.files.journal import Journal
from glazecalc.page.guard import LARGEST_FORM, LARGEST_PHOTO, MOST_BAD_KEYS, Gate
from glazecalc.values.records import TileRecord
from tests.page.bench import HOST, ORIGIN, browser

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


ODD_NAMES = (b"\xff\xfe.txt", b"<img src=x onerror=alert(1)>.txt", b'a"b&c?d#e%2f.txt', b"nl\nx.txt", b"javascript:alert(1).txt", b".txt")  # fmt: skip


@pytest.mark.parametrize("name", ODD_NAMES)
def test_odd_names_of_files_are_no_way_in(client: TestClient, studio: Path, name: bytes) -> None:
    """Names that a studio copied from elsewhere may bring along: markup, and bytes that are no text (POSIX, 3.170)."""
    (studio / os.fsdecode(name)).write_bytes(b"name: <b>N</b>\ncone: 6\n\nSilica 30\nWhiting 20\nPotash feldspar 50\n")
    for room in ("/", "/tiles", "/shelf", "/firing", "/studio", f"/?card={quote_from_bytes(name[:-4])}"):
        answer = client.get(room)
        assert answer.status_code == (404 if b"\xff" in name and "card" in room else 200), room
        assert "<img src=x" not in answer.text and "<b>N" not in answer.text and 'href="javascript' not in answer.text


@pytest.mark.parametrize(
    "sent", ["\r\nSet-Cookie: bench=x", "a\nLocation: http://evil.example", "//evil.example", "\\evil.example"]
)
def test_no_header_is_written_by_what_is_sent(client: TestClient, sent: str) -> None:
    """CWE-113 and CWE-601: a new line in a field, or another host, becomes no header and no way out."""
    text = "name: N\nSilica 30\nWhiting 20\nPotash feldspar 50\n"
    for place, form in (("/", {"text": text, "do": "save", "title": f"{sent} n"}), ("/journal", {"do": "undo", "room": sent}),
                        ("/tiles/next", {"card": sent}), ("/", {"do": "undo", "opened": sent})):  # fmt: skip
        answer = client.post(place, data=form, follow_redirects=False)
        assert (
            "set-cookie" not in answer.headers
            and "evil.example" not in answer.headers.get("location", "").split("?")[0]
        )
        assert answer.status_code in (303, 400) and answer.headers.get("location", "/").startswith("/")
        assert not answer.headers.get("location", "/").startswith(("//", "/\\"))


def test_photo_that_is_too_large_or_something_else_is_refused(client: TestClient, studio: Path) -> None:
    with Journal(studio) as journal:
        id_ = journal.record(TileRecord(glaze="jar", body="Harbour stoneware")).id
    bomb = io.BytesIO()
    Image.new("1", (9_000, 9_000)).save(bomb, "PNG")  # 10 kB that would be 81 million pixels
    for data in (bomb.getvalue(), b"", b"GIF89a" + b"\0" * 99, b"%PDF-1.7", b"\xff\xd8\xff" + b"\0" * 999, b"<svg/>"):
        answer = client.post(f"/tiles/{id_}/photo", files={"photo": ("../../x.png", data, "image/png")})
        assert answer.status_code == 400, data[:9]
    large = client.post(f"/tiles/{id_}/photo", files={"photo": ("x.png", b"x" * LARGEST_PHOTO, "image/png")})
    assert large.status_code == 413 and not (studio / "photos").exists()


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


def test_thousand_hostile_requests(client: TestClient, studio: Path) -> None:
    """Nothing of them brings down a room, shows a trace, or writes outside the studio."""
    with Journal(studio) as journal:
        first = journal.record(TileRecord(glaze="jar", body="Harbour stoneware"))
    rng = random.Random(19)
    odd = ["\x00", "'; DROP TABLE entries;--", "{{7*7}}", "%s%n", "../" * 9, "\ud83d\ude00", "9" * 400, "=1+1", "-1", "nan", "1e999",
           "<svg/onload=1>", "AAA", "06", "\u202e", "[[body]]\n", "a" * 3000, "\r\nSet-Cookie: x=1"]  # fmt: skip
    fields = ["text", "do", "card", "table", "which", "mark", "name", "cone", "result", "kind", "hold", "amount", "size", "title", "at",
              "heat", "subject", "clay.name", "clay.cones", "kiln.volts", "outlet.receptacle", "shelf", "bend-0", "pick", "written-1", "meant-1", "dry", "levels", "add", "body", "kiln", "SiO2"]  # fmt: skip
    places = [
        "/",
        "/studio",
        "/tiles",
        "/firing",
        "/shelf",
        f"/tiles/{first.id}/outcome",
        "/tiles/ZZZ/outcome",
        "/firing/F1",
        "/firing/F9",
        "/tiles/AAA/photo",
    ]
    acts = ["look", "save", "better", "undo", "stock", "analysis", "lay", "plan", "write"]
    for _ in range(1000):
        sent = {rng.choice(fields): rng.choice(odd) for _ in range(rng.randint(0, 6))} | {"do": rng.choice(acts)}
        answer = client.post(
            rng.choice(places), data={k: v.encode("utf-8", "replace") for k, v in sent.items()}, follow_redirects=False
        )
        assert answer.status_code < 500, (sent, answer.text[:300])
        assert (
            "Traceback" not in answer.text and "starlette" not in answer.text.casefold() and ">49<" not in answer.text
        )
    with Journal(studio) as journal:
        assert journal.history("tile", first.id)[0].record == first
    assert sorted(p.name for p in studio.parent.iterdir()) == ["studio"]


def test_hundred_clients_at_once(client: TestClient, studio: Path) -> None:
    text = (studio / "shoal-clear.txt").read_text()

    def one(i: int) -> int:
        room = ROOMS[i % 5]
        return (client.get(room) if i % 3 else client.post("/", data={"text": text})).status_code

    with ThreadPoolExecutor(100) as pool:
        assert set(pool.map(one, range(200))) == {200}


def test_page_and_command_write_at_once_and_lose_nothing(client: TestClient, studio: Path) -> None:
    place = client.post("/firing", data={"do": "start", "cone": "6"}, follow_redirects=False).headers["location"]
    told: list[int] = []
    said: list[str] = []

    def log(i: int) -> None:
        answer = client.post(place, data={"at": f"{i}:15", "heat": "500C"}, follow_redirects=False)
        told.append(answer.status_code)
        said.append(answer.text)

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
    told_wrong = [t for t, code in zip(said, told, strict=True) if code != 303]
    assert told == [303] * 12, [re.sub(r"<[^>]*>|\s+", " ", t)[:3000] for t in told_wrong]
    with Journal(studio) as journal:
        assert len(journal.tiles()) == 6 and len(journal.firings()[0].readings) == 12


def test_sixteen_who_save_one_name_at_once(client: TestClient, studio: Path) -> None:
    def one(i: int) -> int:
        sent = {"text": f"name: N{i}\nSilica {i + 1}\nWhiting 9\n", "do": "save", "title": "same"}
        return client.post("/", data=sent, follow_redirects=False).status_code

    with ThreadPoolExecutor(16) as pool:
        assert sorted(pool.map(one, range(16))) == [303] + [400] * 15
    assert ORIGIN.startswith("http://127.0.0.1")
