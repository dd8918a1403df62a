"""What a room cannot do it says in words on the same page, with a status that is no success, and writes nothing."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from glazecalc.files.journal import Journal
from glazecalc.files.studio import read_studio
from tests.page.bench import browser

CLEAR = "Potash feldspar 40\nSilica 30\nWhiting 20\nKaolin 10\n"
SAID = [
    ("/shelf", {"do": "stock", "name": "", "amount": "2kg"}, "no material is named"),
    ("/shelf", {"do": "stock", "name": "=1+1", "amount": "2kg"}, "that is no material's name (write the name)"),
    ("/shelf", {"do": "stock", "name": "Whiting", "amount": "lots"}, "lots"),
    ("/shelf", {"do": "stock", "name": "Whiting", "amount": "-3kg"}, "cannot be"),
    ("/shelf", {"do": "analysis", "name": "", "SiO2": "100"}, "needs a name"),
    ("/shelf", {"do": "analysis", "name": "Own"}, "no oxide has a figure"),
    ("/shelf", {"do": "analysis", "name": "Own", "SiO2": "40", "Al2O3": "20"}, "add up to 60"),
    ("/shelf", {"do": "analysis", "name": "Own", "SiO2": "90", "loi": "30"}, "add up to 120"),
    ("/shelf", {"do": "undo", "file": "../secret"}, "nothing to put back"),
    ("/shelf", {"do": "undo", "file": "stock.csv"}, "nothing to put back"),
    ("/tiles", {"do": "lay"}, "no card is ticked"),
    ("/tiles", {"card": ["shoal-clear", "brine-crackle", "old-pier", "kelp-celadon", "lagoon-blue"], "do": "lay"}, "between four recipes at most"),
    ("/tiles", {"card": ["shoal-clear", "brine-crackle"], "size": "many", "do": "lay"}, "the tiles on an edge are no number"),
    ("/tiles", {"card": ["shoal-clear", "brine-crackle"], "size": "99", "do": "lay"}, "the tiles on an edge are no number"),
    ("/tiles", {"card": ["shoal-clear"], "add": "Rutile", "levels": "few,many", "do": "lay"}, "the steps are not percents"),
    ("/tiles", {"card": ["shoal-clear"], "add": "Rutile", "levels": "0,101", "do": "lay"}, "the steps are not percents"),
    ("/tiles", {"card": ["shoal-clear"], "add": "Rutile", "levels": "1,2,3,4,5,6,7,8,9,10,11,12,13", "do": "lay"}, "the steps are not percents"),
    ("/tiles/next", {"card": "nowhere"}, "no card of this studio has that name"),
    ("/tiles/AAA/outcome", {"result": "sound"}, "no tile"),
    ("/journal", {"do": "undo", "seen": "1"}, "nothing is written down yet"),
    ("/journal/tile/AAA", {"do": "withdraw"}, "no such entry"),
    ("/firing/F9", {"at": "1:00", "heat": "200"}, "no such firing"),
    ("/firing", {"cone": "6", "hold": "long"}, "long"),
    ("/", {"text": CLEAR, "do": "look", "dry": "a lot"}, "a lot"),
    ("/", {"text": CLEAR, "do": "look", "dry": "0g"}, "the batch is not a weight"),
    ("/", {"text": CLEAR, "do": "save", "title": "***"}, "needs a name"),
    ("/", {"do": "undo", "opened": "shoal-clear"}, "nothing to put back"),
    ("/studio", {"do": "undo"}, "nothing to put back"), ("/studio", {"do": "forget", "word": "Neph dust"}, "keeps no word"),
    ("/studio", {"subject": "moon"}, "not one of this room"), ("/studio", {"subject": "clay", "mark": "old"}, "changed meanwhile"),
]  # fmt: skip


def plain(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


@pytest.mark.parametrize(("room", "sent", "said"), SAID, ids=[f"{room} {said}" for room, _, said in SAID])
def test_a_form_that_cannot_be_is_answered_in_words(room: str, sent: dict[str, str], said: str, client: TestClient, studio: Path) -> None:
    before = {path.name: path.read_bytes() for path in studio.glob("*") if path.is_file() and "journal" not in path.name}
    answer = client.post(room, data=sent, follow_redirects=False)
    assert said in plain(answer.text), plain(answer.text)[:600]
    assert answer.status_code == 400 or (room == "/" and answer.status_code == 200 and 'class="verdict' not in answer.text)
    assert {path.name: path.read_bytes() for path in studio.glob("*") if path.is_file() and "journal" not in path.name} == before


@pytest.mark.parametrize(("room", "status", "said"), [("/nowhere", 404, "nothing at that address"), ("/tiles/next", 405, "Nothing here does that"),
                                                      ("/photos/AAA-1.jpg", 404, "no such photograph"), ("/photos/..%2fx", 404, ""), ("/?card=nowhere", 200, "")])  # fmt: skip
def test_an_address_that_leads_nowhere_says_so(room: str, status: int, said: str, client: TestClient) -> None:
    answer = client.get(room)
    assert (answer.status_code, said in plain(answer.text)) == (status, True) or room == "/?card=nowhere"


def test_files_of_the_page_come_as_what_they_are(client: TestClient) -> None:
    look, script, icon = client.get("/look.css"), client.get("/bench.js"), client.get("/favicon.ico")
    assert look.headers["content-type"].startswith("text/css") and "{" in look.text
    assert script.headers["content-type"].startswith("text/javascript") and "addEventListener" in script.text
    assert (icon.status_code, icon.text) == (204, "")


def test_before_anything_is_set_up_a_tile_waits_for_its_clay(tmp_path: Path) -> None:
    (tmp_path / "one.txt").write_text(f"name: One\ncone: 6\n\n{CLEAR}")
    answer = browser(tmp_path).post("/tiles/AAA/outcome", data={"result": "sound"})
    assert answer.status_code == 400 and "no clay and no kiln is written down yet" in plain(answer.text) and not (tmp_path / "journal.sqlite").exists()


def test_a_studio_that_cannot_be_read_is_said_on_every_page_and_left_alone(client: TestClient, studio: Path) -> None:
    (studio / "studio.toml").write_text("[[body\n")
    for room in ("/studio", "/tiles", "/shelf"):
        answer = client.get(room)
        assert answer.status_code == 400 and "Line 1: " in plain(answer.text), room
    assert (studio / "studio.toml").read_text() == "[[body\n"


def test_no_harm_comes_of_a_tile_that_was_taken_back(client: TestClient, studio: Path) -> None:
    client.post("/tiles", data={"card": ["shoal-clear", "brine-crackle"], "size": "3", "do": "write", "token": "a"})
    client.post("/journal/tile/AAA", data={"do": "withdraw"})
    photo = {"photo": ("a.jpg", b"\xff\xd8\xff", "image/jpeg")}
    for answer in (client.post("/tiles/AAA/outcome", data={"result": "sound"}), client.post("/tiles/AAA/photo", files=photo)):
        assert answer.status_code == 400 and "taken back" in plain(answer.text)
    assert client.post("/tiles/ZZZ/photo", files=photo).status_code == 400
    with Journal(studio) as journal:
        assert journal.history("tile", "AAA")[-1].withdrawn and all(not t.results for t in journal.tiles())


def test_a_card_that_is_to_be_made_next_is_written_as_a_tile(client: TestClient, studio: Path) -> None:
    sent = {"card": "shoal-clear", "token": "t1"}
    for _ in range(2):
        assert client.post("/tiles/next", data=sent, follow_redirects=False).status_code == 303
    client.post("/tiles/next", data={"card": "shoal-clear", "add": "Rutile:0,2", "token": "t2"})
    with Journal(studio) as journal:
        tiles = journal.tiles()
    assert len(tiles) == 3 and tiles[0].id == "AAA" and tiles[0].glaze_name.startswith("Shoal clear")


def test_stock_is_weighed_counted_and_taken_off_again(client: TestClient, studio: Path) -> None:
    for typed, held in (("2.5kg", 2500.0), ("10oz", 283.495), ("0", None), ("", 0.0)):
        client.post("/shelf", data={"do": "stock", "name": "Petalite", "amount": typed})
        stock = dict(read_studio(studio)[0].stock)
        assert ("Petalite" in stock) == (held is not None), typed
        if held:
            assert stock["Petalite"] == pytest.approx(held, abs=0.01)
    assert client.post("/shelf", data={"do": "undo", "file": "stock.csv"}, follow_redirects=False).headers["location"] == "/shelf?done=1"
    assert "Petalite" not in dict(read_studio(studio)[0].stock)


def test_what_a_kilogram_lacks_is_counted_from_the_stock(client: TestClient, studio: Path) -> None:
    (studio / "own.txt").write_text(f"name: Own\ncone: 6\n\n{CLEAR}")
    (studio / "stock.csv").write_text("name,grams\nSilica,250\nflint,30\nWhiting,5000\n")
    page = client.get("/shelf?buy=own").text
    table = plain(page[page.index("1000 g dry") :])
    needs, has, buys = (re.findall(rf"(?:Potash feldspar|Silica|Whiting|Kaolin) {cells}", table)[:4] for cells in
                        (r"([\d.]+) g", r"[\d.]+ g ([\d.]+) g", r"[\d.]+ g [\d.]+ g ([\d.]+|-)"))  # fmt: skip
    assert [float(g) for g in needs] == [400, 300, 200, 100] and [float(g) for g in has] == [0, 280, 5000, 0]
    assert [g if g == "-" else float(g) for g in buys] == [400, 20, "-", 100]


@pytest.mark.parametrize("oxide", ["SiO2", "Al2O3", "B2O3", "Na2O", "K2O", "Li2O", "CaO", "MgO", "BaO", "SrO", "ZnO", "Fe2O3", "TiO2", "P2O5"])
def test_every_oxide_a_bag_may_name_can_be_entered(oxide: str, client: TestClient, studio: Path) -> None:
    sent = {"do": "analysis", "name": "Own powder", oxide: "97.5", "loi": "2.5", "source": "the bag"}
    assert client.post("/shelf", data=sent, follow_redirects=False).status_code == 303
    own = next(m for m in read_studio(studio)[0].materials if m.name == "Own powder")
    assert [(o.oxide, o.amount) for o in own.analysis] == [(oxide, 97.5)] and (own.loi, own.source) == (2.5, "the bag")


@pytest.mark.parametrize("room", ["/tiles", "/firing"])
def test_after_an_undo_one_stands_in_the_room_one_was_in(room: str, client: TestClient) -> None:
    client.post("/tiles", data={"card": ["shoal-clear", "brine-crackle"], "size": "3", "do": "write", "token": "a"})
    seen = re.search(r'name="seen" value="(\d+)"', client.get("/tiles").text)
    assert seen is not None
    undone = client.post("/journal", data={"do": "undo", "seen": seen[1], "room": room}, follow_redirects=False)
    assert (undone.status_code, undone.headers["location"]) == (303, f"{room}?undone=1") and "Undone." in plain(client.get(f"{room}?undone=1").text)


def test_every_outcome_of_a_tile_can_be_tapped_and_is_kept(client: TestClient, studio: Path) -> None:
    outcomes = ("sound", "crazed at once", "crazed later", "shivered", "underfired", "ran", "pinholed", "crawled")
    client.post("/tiles", data={"card": ["shoal-clear", "brine-crackle"], "size": "8", "do": "write", "token": "a"})
    page = client.get("/tiles").text
    assert all(f'value="{outcome}"' in page for outcome in outcomes)
    with Journal(studio) as journal:
        ids = [tile.id for tile in journal.tiles()]
    for id_, outcome in zip(ids, outcomes, strict=True):
        client.post(f"/tiles/{id_}/outcome", data={"result": outcome, "cone": "5", "after": "3 days" if outcome == "crazed later" else "", "note": "thick"})
    with Journal(studio) as journal:
        assert [([r.value for r in t.results], t.cone, t.after_days, t.note) for t in journal.tiles()] == [
            ([o], "5", 3.0 if o == "crazed later" else None, "thick") for o in outcomes
        ]
