"""Each room does its job, through the same calls as the commands."""

from __future__ import annotations

import html
import io
import json
import re
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient

from glazecalc import api
from glazecalc.files.card import read_recipe_text
from glazecalc.files.journal import Journal
from glazecalc.files.studio import read_studio
from glazecalc.jobs import requests
from glazecalc.jobs.asking import QUESTIONS, fault
from glazecalc.jobs.bench import open_bench
from glazecalc.render.figures.kiln import cone_after, outlet_face
from glazecalc.values.answers import Answer
from glazecalc.values.records import BENDS
from tests.page.bench import browser

PASTED = "Neph dust 40\nSilica 30\nWhitting 20\nKaolin 10\n"


def look(client: TestClient, text: str, **more: str) -> str:
    answer = client.post("/", data={"text": text, "do": "look", **more})
    assert answer.status_code == 200, answer.text[-800:]
    return answer.text


def test_answer_is_that_of_the_library(client: TestClient, studio: Path) -> None:
    text = (studio / "shoal-clear.txt").read_text()
    page = look(client, text)
    result = api.check(api.recipe_from_text(text), api.open_studio(studio))
    for verdict in result.verdicts[:3]:
        assert verdict.message.replace("'", "&#39;") in page
    assert "Batch sheet" in page and page.count("<svg") >= 3


def test_unknown_names_are_asked_and_answered(client: TestClient) -> None:
    page = look(client, PASTED)
    assert "Neph dust" in page and 'value="3=Whiting"' in page and "Batch sheet" not in page
    sent = {
        "text": PASTED,
        "written-1": "Neph dust",
        "meant-1": "Nepheline syenite",
        "written-3": "Whitting",
        "pick": "3=Whiting",
    }
    answer = client.post("/", data=sent).text
    assert "Nepheline syenite 40" in answer and "Whiting 20" in answer and 'class="verdict' in answer


def test_changed_recipe_is_set_beside_the_one_before(client: TestClient, studio: Path) -> None:
    text = (studio / "shoal-clear.txt").read_text()
    assert "What changed" in look(
        client, text.replace("Whiting                            4", "Whiting 14"), before=text
    )
    assert "What changed" not in look(client, text, before=text)


def test_card_is_kept_and_never_replaced_in_silence(client: TestClient, studio: Path) -> None:
    text = (studio / "shoal-clear.txt").read_text()
    assert (
        client.post("/", data={"text": text, "do": "save", "title": "My Clear!"}, follow_redirects=False).status_code
        == 303
    )
    assert (studio / "my-clear.txt").read_text() == text
    answer = client.post("/", data={"text": text + "# more\n", "do": "save", "title": "my clear"})
    assert answer.status_code == 400 and "already" in answer.text and (studio / "my-clear.txt").read_text() == text
    seen = re.search(r'name="seen" value="([\w-]+)"', client.get("/?card=my-clear").text)
    assert seen is not None
    client.post("/", data={"text": text + "# more\n", "do": "save", "title": "my clear", "seen": seen[1]})
    assert (studio / "my-clear.txt").read_text() == text + "# more\n"
    assert (studio / "earlier" / "my-clear.txt.2").read_text() == text


def test_changes_that_help_can_be_taken(client: TestClient, studio: Path) -> None:
    answer = client.post("/", data={"text": (studio / "brine-crackle.txt").read_text(), "do": "better"})
    assert "Stop it" in answer.text and 'http-equiv="refresh"' in answer.text
    page = waited_for(client, answer.url.path)
    taken = re.search(r'name="take" value="([^"]+)"', page)
    assert "Changes that help" in page and taken is not None
    after = client.post("/", data={"take": html.unescape(taken[1])}).text
    assert 'class="verdict' in after


def test_where_no_change_helps_the_room_says_what_to_do_in_plain_words(client: TestClient, studio: Path) -> None:
    (studio / "studio.toml").write_text(
        '[[body]]\nname = "Bag clay"\n\n[limits]\nsound_percent = 95\n\n[defaults]\nbody = "Bag clay"\ncone = "6"\n'
    )
    answer = client.post("/", data={"text": (studio / "brine-crackle.txt").read_text(), "do": "better"})
    page = waited_for(client, answer.url.path)
    said = html.unescape(re.sub(r"<[^>]*>", "", page.split("Changes that help")[1].split("Pictures and all")[0]))
    assert "graded tiles" in said and "20 %" in said and "tiles room" in said
    assert "glazecalc" not in said and " --" not in said


def test_a_change_shows_what_it_does_before_it_is_taken(client: TestClient, studio: Path) -> None:
    text = (studio / "brine-crackle.txt").read_text()
    page = waited_for(client, client.post("/", data={"text": text, "do": "better"}).url.path)
    shown = page.split("Changes that help")[1].split("</section>")[0].split('class="change"')[1:]
    assert shown and "solved again" not in page and "Take this" not in page
    for one in shown:
        table, button = one.index("Before, and after"), one.index("Put this in the box")
        assert table < button
    result, _ = requests.adjust(open_bench((str(studio / "brine-crackle.txt"),)), read_recipe_text(text)[0])
    for option, one in zip(result.options, shown, strict=True):
        for change in option.changes:
            assert f'<th scope="row">{change.material}</th>' in one


POISON = "name: Old jug\ncone: 04\n\nOwn soft frit 80\nCadmium frit 10\nKaolin 10\n"


def test_poison_is_the_first_line_of_answer_and_batch_sheet(client: TestClient, studio: Path) -> None:
    own = "name,SiO2,PbO,Al2O3,CdO\nOwn soft frit,38,60,2,\nCadmium frit,60,,10,30\n"
    (studio / "materials.csv").write_text(own, encoding="utf-8")
    page = look(client, POISON)
    line = "Holds lead and cadmium: do not weigh or mix this at home."
    answer = page.split('<h2 id="verdict">')[1]
    assert re.sub(r"<[^>]+>|\s+", " ", answer.split("</h2>")[1]).split()[: len(line.split())] == line.split()
    sheet = page.split("<h2>Batch sheet")[1].split("</h2>")[1]
    assert re.sub(r"<[^>]+>|\s+", " ", sheet).split()[: len(line.split())] == line.split()
    assert "do not weigh" not in look(client, (studio / "shoal-clear.txt").read_text())


def test_cautions_stand_open_under_the_answer(client: TestClient, studio: Path) -> None:
    for card in ("shoal-clear", "jar-seafoam"):
        page = look(client, (studio / f"{card}.txt").read_text())
        result = api.check(api.recipe_from_text((studio / f"{card}.txt").read_text()), api.open_studio(studio))
        opened = re.sub(r"(?s)<details.*?</details>", "", page)
        for caution in result.cautions:
            assert caution in html.unescape(opened) and html.unescape(page).count(caution) == 1
        assert "Not tested for food" in opened


def test_firing_says_first_that_the_card_does_not_melt_there(client: TestClient, studio: Path) -> None:
    page = html.unescape(client.post("/firing", data={"card": "shoal-clear", "cone": "05", "do": "plan"}).text)
    result = api.check(
        api.recipe_from_text((studio / "shoal-clear.txt").read_text()), api.open_studio(studio), cone="05"
    )
    melts = next(v for v in result.verdicts if v.rule == "melts")
    assert melts.answer is Answer.DOES_NOT_FIT
    first = re.search(r"<p><strong>(.*?)</strong></p>", page)
    assert first is not None and first[1].startswith(melts.message)
    assert "Fire a tile in a dish of old clay" in first[1]


def test_large_plan_shows_how_far_it_is_and_is_written_as_shown(client: TestClient, studio: Path) -> None:
    sent = {"card": ["shoal-clear", "brine-crackle", "old-pier"], "size": "8"}
    answer = client.post("/tiles", data={**sent, "do": "lay"})
    told, page = [], answer.text
    while "Stop it" in page:
        told += re.findall(r'<progress id="bar" max="(\d+)" value="(\d+)"', page)
        time.sleep(0.05)
        page = client.get(answer.url.path).text
    token = re.search(r'name="token" value="([\w-]+)"', page)
    assert "36 tiles" in page and token is not None and answer.url.path.endswith(token[1])
    assert max(told) >= ("36", "12") and len(set(told)) > 3, told
    for _ in range(2):
        client.post("/tiles", data={**sent, "do": "write", "token": token[1]})
    with Journal(studio) as journal:
        assert len(journal.tiles()) == 36


def test_long_work_is_stopped_and_two_at_a_time_are_enough(client: TestClient, studio: Path) -> None:
    text = (studio / "brine-crackle.txt").read_text()
    first, second = (client.post("/", data={"text": text, "do": "better"}).url.path for _ in range(2))
    third = client.post("/", data={"text": text, "do": "better"})
    assert third.status_code == 400 and "still going on" in third.text
    process = client.app.inside.state.works.look(first.rpartition("/")[2]).process  # type: ignore[attr-defined]
    assert process.is_alive()
    for place in (first, second):
        assert "Stopped; nothing was changed" in client.post(place).text
    assert not process.is_alive()
    assert client.get("/work/nothing").status_code == 404


def waited_for(client: TestClient, place: str) -> str:
    for _ in range(1200):
        page = client.get(place).text
        if "Stop it" not in page:
            return page
        time.sleep(0.1)
    raise AssertionError(page)


def test_own_things_are_written_with_their_comments_kept(client: TestClient, studio: Path) -> None:
    before = (studio / "studio.toml").read_text()
    page = client.get("/studio").text
    mark = re.search(r'name="mark" value="([\w-]+)"', page)
    assert mark is not None
    sent = {
        "subject": "clay",
        "mark": mark[1],
        "clay.name": "Cliff red",
        "clay.class": "earthenware",
        "clay.cones": "06-03",
    }
    assert client.post("/studio", data=sent, follow_redirects=False).status_code == 303
    after = (studio / "studio.toml").read_text()
    assert after.startswith(before.split("[[body]]")[0]) and 'cone_low = "06"' in after
    found, problems = read_studio(studio)
    assert not [p for p in problems if p.is_error]
    assert [b.cone_low.name for b in found.bodies if b.name == "Cliff red" and b.cone_low] == ["06"]
    stale = client.post("/studio", data=sent)
    assert stale.status_code == 400 and "meanwhile" in stale.text
    assert "as it was before" in client.post("/studio", data={"do": "undo"}).text
    assert (studio / "studio.toml").read_text() == before


def test_form_sent_back_as_it_was_changes_nothing_else(client: TestClient, studio: Path) -> None:
    mark = re.search(r'name="mark" value="([\w-]+)"', client.get("/studio").text)
    assert mark is not None
    body = read_studio(studio)[0].bodies[0]
    sent = {"subject": "clay", "which": body.name, "mark": mark[1], "clay.name": body.name, "clay.class": "stoneware",
            "clay.cones": "5-7", "clay.expansion": "5.5", "clay.colour": "grey"}  # fmt: skip
    client.post("/studio", data=sent)
    again = read_studio(studio)[0].bodies[0]
    assert again.model_copy(update={"colour": body.colour, "line": body.line}) == body and again.colour == "grey"


def test_five_tiles_from_plan_to_lesson(client: TestClient, studio: Path) -> None:
    plan = {"card": ["shoal-clear", "brine-crackle"], "size": "5"}
    page = client.post("/tiles", data={**plan, "do": "lay"}).text
    token = re.search(r'name="token" value="([\w-]+)"', page)
    assert "5 tiles" in page and token is not None
    for _ in range(2):  # sent twice, written once
        client.post("/tiles", data={**plan, "do": "write", "token": token[1]})
    with Journal(studio) as journal:
        ids = [t.id for t in journal.tiles()]
    assert len(ids) == 5
    for id_, said in zip(ids, ("sound", "sound", "crazed later", "crazed at once", "underfired"), strict=True):
        assert (
            client.post(f"/tiles/{id_}/outcome", data={"result": said, "cone": "6"}, follow_redirects=False).status_code
            == 303
        )
    page = client.get("/tiles").text
    assert "learned from 4 tiles" in page and "Waiting" not in page
    assert api.learn_body(api.open_studio(studio), "Harbour stoneware").learned.posterior.value > 0


def ids_of_a_plan(client: TestClient, studio: Path) -> list[str]:
    client.post("/tiles", data={"card": ["shoal-clear", "brine-crackle"], "size": "4", "do": "write", "token": "a"})
    with Journal(studio) as journal:
        return [t.id for t in journal.tiles()]


def last_act(client: TestClient) -> str:
    found = re.search(r'name="seen" value="(\d+)"', client.get("/tiles").text)
    return found[1] if found else ""


def test_tile_is_taken_back_and_brought_back_as_by_the_command(client: TestClient, studio: Path) -> None:
    first, second, *_ = ids_of_a_plan(client, studio)
    page = client.post(f"/journal/tile/{first}", data={"do": "withdraw"}).text
    assert "Taken back" in page and f'id="tile-{first}"' not in page and f"Bring it back: tile {first}" in page
    with Journal(studio) as journal:
        assert first not in [t.id for t in journal.tiles()] and journal.history("tile", first)[-1].withdrawn
    again = client.post(f"/journal/tile/{first}", data={"do": "withdraw"})
    assert again.status_code == 400 and "Traceback" not in again.text
    assert f'id="tile-{first}"' in client.post(f"/journal/tile/{first}", data={"do": "restore"}).text
    with Journal(studio) as journal:
        assert [t.id for t in journal.tiles()][:2] == [first, second]
    for place in ("/journal/tile/ZZZ", "/journal/pot/AAA", "/journal/firing/F9"):
        assert client.post(place, data={"do": "withdraw"}).status_code == 400


def test_last_act_is_undone_once_and_done_again(client: TestClient, studio: Path) -> None:
    first, *_ = ids_of_a_plan(client, studio)
    client.post(f"/tiles/{first}/outcome", data={"result": "sound"})
    seen = last_act(client)
    assert "Undone." in client.post("/journal", data={"do": "undo", "seen": seen, "room": "/tiles"}).text
    late = client.post(
        "/journal", data={"do": "undo", "seen": seen, "room": "/tiles"}
    )  # sent twice, or from another tab
    assert late.status_code == 400 and "meanwhile" in late.text
    with Journal(studio) as journal:
        assert not journal.tiles()[0].results and len(journal.tiles()) == 4
    undone = re.search(r'name="undone" value="(\d+)"', client.get("/tiles").text)
    assert undone is not None
    sent = {"do": "again", "undone": undone[1], "room": "//evil.example"}
    client.post("/journal", data=sent)
    assert client.post("/journal", data=sent).status_code == 400, "sent twice, it is done once"
    with Journal(studio) as journal:
        assert journal.tiles()[0].results
    for _ in range(2):
        client.post("/journal", data={"do": "undo", "seen": last_act(client)})
    with Journal(studio) as journal:
        assert not journal.tiles() and len(journal.current("tile", withdrawn=True)) == 4
    assert last_act(client) == "" and client.post("/journal", data={"do": "undo", "seen": "1"}).status_code == 400


def test_what_is_undone_here_is_undone_for_the_command(client: TestClient, studio: Path) -> None:
    place = client.post("/firing", data={"do": "start", "cone": "6"}, follow_redirects=False).headers["location"]
    client.post(place, data={"at": "1:00", "heat": "200"})
    page = client.get("/firing").text
    assert "Undo it" in page and "Corrected firing F1" in page
    told = subprocess.run([sys.executable, "-m", "glazecalc", "journal", "--history", "--json", "--studio", str(studio)],
                          capture_output=True, text=True, check=True)  # fmt: skip
    assert last_act(client) == str(json.loads(told.stdout)["results"][0]["acts"][-1]["number"])
    client.post("/journal", data={"do": "undo", "seen": last_act(client), "room": "/firing"})
    with Journal(studio) as journal:
        assert journal.firings()[0].readings == ()
    client.post("/journal/firing/F1", data={"do": "withdraw"})
    assert client.get(place).status_code == 400 and "Bring it back: firing F1" in client.get("/firing").text


def test_words_of_a_tile_are_put_right_one_by_one(client: TestClient, studio: Path) -> None:
    first, *_ = ids_of_a_plan(client, studio)
    client.post(f"/tiles/{first}/outcome", data={"result": "crazed", "after": "3 days", "note": "thick", "cone": "6"})
    was = {"after-was": "3 days", "after": "3 days", "cone": "5", "cone-was": "6", "note": "", "note-was": "thick"}
    assert 'name="note-was" value="thick"' in client.get("/tiles").text
    client.post(f"/tiles/{first}/outcome", data=was)
    with Journal(studio) as journal:
        tile = journal.tiles()[0]
    assert ([r.value for r in tile.results], tile.after_days, tile.cone, tile.note) == (["crazed later"], 3, "5", "")


def test_studio_knows_a_word_from_now_on_where_that_is_ticked(client: TestClient, studio: Path) -> None:
    sent = {
        "text": PASTED,
        "written-1": "Neph dust",
        "meant-1": "Nepheline syenite",
        "written-3": "Whitting",
        "pick": "3=Whiting",
    }
    client.post("/", data=sent)
    assert not read_studio(studio)[0].aliases
    page = client.post("/", data={**sent, "remember": "yes"}).text
    assert "Neph dust means Nepheline syenite" in page and 'class="verdict' in page
    assert dict(read_studio(studio)[0].aliases) == {"Neph dust": "Nepheline syenite", "Whitting": "Whiting"}
    assert 'class="verdict' in look(client, PASTED)
    asked = subprocess.run([sys.executable, "-m", "glazecalc", "check", "-", "--studio", str(studio), "--json"],
                           input=PASTED, capture_output=True, text=True, check=False)  # fmt: skip
    assert "unknown-material" not in asked.stdout and "Nepheline syenite" in asked.stdout
    bad = client.post("/", data={**sent, "meant-1": "Moon dust", "remember": "yes"})
    assert bad.status_code == 400 and "Moon dust" in html.unescape(bad.text)
    client.post("/studio", data={"do": "forget", "word": "Neph dust"})
    assert dict(read_studio(studio)[0].aliases) == {"Whitting": "Whiting"}


@pytest.mark.parametrize(("title", "name"), [("青瓷", "青瓷"), ("Émail bleu", "émail-bleu"), ("क्षार काँच", "क्षार-काँच"), ("NUL", "card-nul"),
                                             ("釉" * 200, "釉" * 40), ("\u202eevil\u2066", "evil")])  # fmt: skip
def test_card_is_kept_under_a_title_in_any_script(client: TestClient, studio: Path, title: str, name: str) -> None:
    text = (studio / "shoal-clear.txt").read_text()
    page = client.post("/", data={"text": text, "do": "save", "title": title})
    assert page.status_code == 200 and "The card is kept." in page.text and 'class="verdict' in page.text
    assert (studio / f"{name}.txt").read_text() == text and name in client.get("/").text
    seen = re.search(r'name="seen" value="([\w-]+)"', page.text)
    assert seen is not None
    client.post("/", data={"text": text + "# more\n", "do": "save", "title": name, "seen": seen[1], "opened": name})
    assert (studio / f"{name}.txt").read_text() == text + "# more\n"
    assert "It says again" in client.post("/", data={"do": "undo", "opened": name}).text
    assert (studio / f"{name}.txt").read_text() == text


def test_first_glaze_is_that_of_the_command(client: TestClient, tmp_path: Path, studio: Path) -> None:
    assert 'value="first"' in client.get("/").text
    page = html.unescape(client.post("/", data={"do": "first", "text": ""}).text)
    told = subprocess.run([sys.executable, "-m", "glazecalc", "first", "--studio", str(studio), "--json"],
                          capture_output=True, text=True, check=False)  # fmt: skip
    chosen = json.loads(told.stdout)["results"][0]
    assert chosen["sentence"] in page and 'class="verdict' in page and 'value="first"' not in page
    assert browser(tmp_path / "none").post("/", data={"do": "first", "text": ""}).status_code in (200, 400)


def test_no_room_asks_for_a_command(client: TestClient, studio: Path, tmp_path: Path) -> None:
    """Whoever works in the page never types one: none is named, nor an option, nor where the studio lies."""
    pair = {"card": ["shoal-clear", "brine-crackle"], "size": "5"}
    empty = browser(tmp_path / "empty")
    pages = [client.get(f"/?card={path.stem}").text for path in sorted(studio.glob("*.txt"))]
    pages += [
        c.get(room).text
        for c in (client, empty)
        for room in ("/", "/studio", "/tiles", "/firing", "/shelf", "/tiles/marks")
    ]
    for c in (client, empty):
        for cone in ("", "6", "99"):
            pages += [
                c.post("/firing", data={"cone": cone, "do": "plan"}).text,
                c.post("/", data={"do": "first", "cone": cone}).text,
            ]
        pages += [
            c.post("/", data={"text": text}).text
            for text in (PASTED, PASTED.replace("Neph dust", "Nepheline syenite"), "Silica -5")
        ]
    pages += [client.post("/tiles", data={**pair, "do": "lay"}).text, client.post("/tiles", data={"do": "lay"}).text]
    pages += [client.post("/tiles", data={"card": "shoal-clear", "add": "Silica", "do": "lay"}).text]
    for page in pages:
        said = html.unescape(re.sub(r"<title>.*?</title>|<svg.*?</svg>|<[^>]*>", "\n", page, flags=re.DOTALL))
        found = [
            line
            for line in said.split("\n")
            if re.search(r"glazecalc|(?<![-\w])--[a-z]|\[\[", line) or str(tmp_path) in line
        ]
        assert not found
    assert len(pages) > 40 and not [page for page in pages if "<h1>" not in page or "A fault" in page]


def test_title_without_a_letter_is_asked_for_again(client: TestClient, studio: Path) -> None:
    answer = client.post("/", data={"text": "Silica 1", "do": "save", "title": "../ !"})
    assert answer.status_code == 400 and "needs a name" in answer.text


def test_marks_are_printed_for_the_tiles_that_wait(client: TestClient, studio: Path) -> None:
    client.post("/tiles", data={"card": ["shoal-clear", "brine-crackle"], "size": "4", "do": "write", "token": "a"})
    with Journal(studio) as journal:
        ids = [t.id for t in journal.tiles()]
    client.post(f"/tiles/{ids[0]}/outcome", data={"result": "sound"})
    page = client.get("/tiles/marks").text
    assert re.findall(r'class="mark">(\w+)<', page) == ids[1:]
    assert all(f'href="#tile-{id_}"' in client.get("/tiles").text for id_ in ids[1:])


def test_what_to_fire_next_is_made_with_one_tap(client: TestClient, studio: Path) -> None:
    page = client.get("/tiles").text
    lesson = api.learn_body(api.open_studio(studio), "Harbour stoneware")
    offered = re.findall(
        r'name="card" value="([\w-]+)"><input type="hidden" name="add" value="([^"]*)"><input type="hidden" name="token" value="([^"]+)"',
        page,
    )
    assert len(offered) == min(3, len(lesson.next_tiles)) and "not tried yet" in page
    for (card, add, token), tile in zip(offered, lesson.next_tiles, strict=False):
        for _ in range(2):
            client.post("/tiles/next", data={"card": card, "add": add, "token": token})
        with Journal(studio) as journal:
            made = journal.tiles()[-1]
        assert made.recipe is not None and made.body == "Harbour stoneware" and Path(tile.card).stem == card
    client.post("/tiles/next", data={"card": "shoal-clear", "add": "Silica:5", "token": "x"})
    with Journal(studio) as journal:
        assert len(journal.tiles()) == len(offered) + 1
        recipe = journal.tiles()[-1].recipe
    base = api.recipe_from_text((studio / "shoal-clear.txt").read_text())
    assert recipe is not None
    silica = sum(line.amount for line in recipe.lines if line.material == "Silica")
    assert silica / sum(x.amount for x in recipe.lines) == pytest.approx(
        (sum(x.amount for x in base.lines if x.material == "Silica") + 0.05 * base.base_total)
        / (1.05 * base.base_total),
        rel=1e-6,
    )
    assert client.post("/tiles/next", data={"card": "../x"}).status_code == 400


def test_every_file_is_put_back_as_it_was(client: TestClient, studio: Path) -> None:
    text = (studio / "shoal-clear.txt").read_text()
    seen = re.search(r'name="seen" value="([\w-]+)"', client.get("/?card=shoal-clear").text)
    assert seen is not None
    client.post("/", data={"text": text + "# more\n", "do": "save", "title": "shoal-clear", "seen": seen[1]})
    assert "Put back what shoal-clear said" in client.get("/?card=shoal-clear").text
    client.post("/", data={"do": "undo", "opened": "shoal-clear"})
    assert (studio / "shoal-clear.txt").read_text() == text
    client.post("/", data={"text": text, "do": "save", "title": "new one"})
    client.post("/", data={"do": "undo", "opened": "new-one"})
    assert not (studio / "new-one.txt").exists() and (studio / "earlier" / "new-one.txt.taken-back").read_text() == text
    stock = (studio / "stock.csv").read_text()
    client.post("/shelf", data={"do": "stock", "name": "Whiting", "amount": "2.5kg"})
    client.post("/shelf", data={"do": "stock", "name": "Whiting", "amount": "1kg"})
    for _ in range(2):
        client.post("/shelf", data={"do": "undo", "file": "stock.csv"})
    assert (studio / "stock.csv").read_text() == stock
    assert client.post("/shelf", data={"do": "undo", "file": "stock.csv"}).status_code == 400
    assert client.post("/shelf", data={"do": "undo", "file": "../x"}).status_code == 400


def test_photo_is_written_anew(client: TestClient, studio: Path) -> None:
    with Journal(studio) as journal:
        from glazecalc.values.records import TileRecord

        id_ = journal.record(TileRecord(glaze="jar", body="Harbour stoneware")).id
    picture = io.BytesIO()
    exif = Image.Exif()
    exif[0x010E] = "where it was taken"
    Image.new("RGB", (2400, 100), "red").save(picture, "JPEG", exif=exif)
    client.post(f"/tiles/{id_}/photo", files={"photo": ("../../x.jpg", picture.getvalue(), "image/jpeg")})
    kept = studio / "photos" / f"{id_}-1.jpg"
    assert kept.is_file() and b"where it was taken" not in kept.read_bytes() and Image.open(kept).width == 1600
    assert client.get(f"/photos/{id_}-1.jpg").headers["content-type"] == "image/jpeg"
    bad = client.post(f"/tiles/{id_}/photo", files={"photo": ("x.jpg", b"<svg onload=1>", "image/jpeg")})
    assert bad.status_code == 400 and len(list((studio / "photos").iterdir())) == 1


def test_firing_is_planned_and_logged(client: TestClient, studio: Path) -> None:
    sent = {"kind": "glaze", "cone": "6", "kiln": "Shed kiln"}
    page = client.post("/firing", data={**sent, "do": "plan"}).text
    assert "Before you switch on" in page and "witness cones" in page
    assert "against pinholes" not in page
    assert "against pinholes" in client.post("/firing", data={"card": "lighthouse-white", "do": "plan"}).text
    answer = client.post("/firing", data={**sent, "do": "start"}, follow_redirects=False)
    place = answer.headers["location"]
    for at, heat in (("1:00", "200"), ("2:30", "1112F")):
        client.post(place, data={"at": at, "heat": heat})
    client.post(place, data={"witness-0": "6", "bend-0": "half", "hours": "7.5"})
    with Journal(studio) as journal:
        (record,) = journal.firings()
    assert [(r.at_h, round(r.degC)) for r in record.readings] == [
        (1.0, 200),
        (2.5, 600),
    ]  # 1112 F is 600 C by definition
    assert record.cones[0].bend == "half" and record.hours == 7.5
    assert client.post(place, data={"at": "x", "heat": "y"}).status_code == 400


def test_shelf_takes_stock_and_an_analysis(client: TestClient, studio: Path) -> None:
    client.post("/shelf", data={"do": "stock", "name": "Whiting", "amount": "2.5kg"})
    assert dict(read_studio(studio)[0].stock)["Whiting"] == 2500
    sent = {
        "do": "analysis",
        "name": "Valley spar",
        "SiO2": "66",
        "Al2O3": "19",
        "K2O": "11",
        "Na2O": "3.5",
        "loi": "0.5",
    }
    assert client.post("/shelf", data=sent, follow_redirects=False).status_code == 303
    assert "Valley spar" in [m.name for m in read_studio(studio)[0].materials]
    assert ", 1000 g dry</caption>" in client.get("/shelf?buy=shoal-clear").text
    assert client.post("/shelf", data={**sent, "name": "=cmd()"}).status_code == 400


def test_begins_in_an_empty_folder(tmp_path: Path) -> None:
    client = browser(tmp_path)
    for room in ("/", "/studio", "/tiles", "/firing", "/shelf"):
        assert client.get(room).status_code == 200, room
    mark = re.search(r'name="mark" value="([\w-]+)"', client.get("/studio").text)
    assert mark is not None
    sent = {"subject": "clay", "mark": mark[1], "clay.name": "Bag 3", "clay.class": "stoneware", "cone": "6"}
    client.post("/studio", data=sent)
    studio = read_studio(tmp_path)[0]
    assert studio.bodies[0].name == studio.defaults.body == "Bag 3" and str(studio.defaults.cone) == "6"


def of_studio(client: TestClient, **sent: str) -> tuple[int, str]:
    mark = re.search(r'name="mark" value="([\w-]+)"', client.get("/studio").text)
    assert mark is not None
    answer = client.post("/studio", data={"mark": mark[1], **{k.replace("__", "."): v for k, v in sent.items()}})
    return answer.status_code, answer.text


def test_the_page_asks_what_the_set_up_asks(client: TestClient, tmp_path: Path) -> None:
    page = browser(tmp_path).get("/studio").text
    for question in QUESTIONS:
        assert html.escape(question.asks).replace("&#x27;", "&#39;") in page and f'name="{question.key}"' in page, (
            question.key
        )
    faces = [choice.value for q in QUESTIONS if q.key == "outlet.receptacle" for choice in q.choices]
    assert page.count('class="gc face"') == len(faces) and len({outlet_face(f) for f in faces}) == len(faces)
    assert not [f for f in faces if not outlet_face(f)]


def test_answer_is_judged_as_in_the_set_up_and_shown_again(client: TestClient, studio: Path) -> None:
    before = (studio / "studio.toml").read_text()
    status, page = of_studio(client, subject="kiln", which="", kiln__name="Tall kiln", kiln__volts="many")
    wrong = fault(next(q for q in QUESTIONS if q.key == "kiln.volts"), "many")
    assert (
        status == 400
        and wrong[1:30] in html.unescape(page)
        and 'value="Tall kiln"' in page
        and 'aria-invalid="true"' in page
    )
    assert (studio / "studio.toml").read_text() == before


def test_answer_can_be_taken_away_again_and_others_stay(client: TestClient, studio: Path) -> None:
    of_studio(client, subject="outlet", which="", outlet__name="Porch", outlet__breaker="20", outlet__receptacle="5-20")
    (porch,) = [c for c in read_studio(studio)[0].circuits if c.name == "Porch"]
    assert (porch.breaker_A, porch.receptacle) == (20, "5-20R")
    of_studio(client, subject="outlet", which="Porch", outlet__breaker="", outlet__receptacle="5-20", outlet__wire="12")
    (porch,) = [c for c in read_studio(studio)[0].circuits if c.name == "Porch"]
    assert (porch.breaker_A, porch.receptacle, porch.wire_awg) == (None, "5-20R", 12)
    assert read_studio(studio)[0].defaults.circuit != "Porch"


def test_inside_of_a_kiln_is_asked_and_counts_whole_only(client: TestClient, studio: Path) -> None:
    before = (studio / "studio.toml").read_text()
    assert 'value="290"' in client.get("/studio").text
    status, page = of_studio(client, subject="kiln", which="", kiln__name="Flat kiln", kiln__shape="round")
    assert status == 400 and "count together only" in page and (studio / "studio.toml").read_text() == before
    of_studio(
        client, subject="kiln", which="", kiln__name="Flat kiln", kiln__shape="round", kiln__across="9 in",
        kiln__high="230",
    )  # fmt: skip
    (kiln,) = [k for k in read_studio(studio)[0].kilns if k.name == "Flat kiln"]
    assert kiln.interior is not None and (kiln.interior.shape, kiln.interior.height_mm) == ("round", 230)
    assert kiln.interior.width_mm == pytest.approx(228.6)  # an inch is 25.4 mm (international yard and pound, 1959)


def test_names_for_the_shelf_are_added(client: TestClient, studio: Path) -> None:
    (studio / "stock.csv").write_text("name,grams\nSilica,2500\n")
    of_studio(client, subject="shelf", shelf="silica, Talc")
    stock = dict(read_studio(studio)[0].stock)
    assert stock["Silica"] == 2500 and "Talc" in stock


def test_form_of_a_firing_that_is_tapped_twice_counts_once(client: TestClient, studio: Path) -> None:
    token = re.search(r'name="token" value="([\w-]+)"', client.post("/firing", data={"cone": "6", "do": "plan"}).text)
    assert token is not None
    sent = {"cone": "6", "do": "start", "token": token[1]}
    first, second = (client.post("/firing", data=sent, follow_redirects=False).headers["location"] for _ in range(2))
    page = client.get(first).text
    tokens = re.findall(r'name="token" value="([\w-]+)"', page)
    assert first == second and len(set(tokens)) == 2
    for _ in range(2):
        client.post(first, data={"at": "1:00", "heat": "200", "token": tokens[0]})
    with Journal(studio) as journal:
        assert [len(f.readings) for f in journal.firings()] == [1]


@pytest.mark.parametrize("bend", BENDS)
def test_cones_are_drawn_and_written_down(client: TestClient, studio: Path, bend: str) -> None:
    place = client.post("/firing", data={"do": "start", "cone": "6"}, follow_redirects=False).headers["location"]
    assert cone_after(bend) and str(cone_after(bend)) in client.get(place).text
    client.post(place, data={"witness-0": "6", "bend-0": bend, "witness-1": "7"})
    with Journal(studio) as journal:
        assert [(str(c.cone), c.bend) for c in journal.firings()[0].cones] == [("6", bend)]


@pytest.mark.parametrize("room", ["/", "/studio", "/tiles", "/firing", "/shelf"])
def test_every_field_has_a_label(client: TestClient, room: str) -> None:
    page = client.get(room).text
    named = set(re.findall(r'<label for="([^"]+)"', page))
    fields = re.findall(r"<(?:input|select|textarea)\b([^>]*)>", page)
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    for field in fields:
        if 'type="hidden"' in field:
            continue
        if 'type="checkbox"' in field or 'type="radio"' in field:
            assert re.search(rf"<label>\s*<input{re.escape(field)}>[^<]", page) or re.search(
                rf"<label>\s*<input{re.escape(field)}><(svg|span)", page
            ), field
            continue
        id_ = re.search(r'\bid="([^"]+)"', field)
        assert id_ is not None and id_[1] in named, field


def test_median_answer_is_quick(client: TestClient, studio: Path) -> None:
    text = (studio / "shoal-clear.txt").read_text()
    look(client, text)
    times = []
    for i in range(11):
        start = time.perf_counter()
        look(client, text.replace("33", f"{33 + i / 10:g}"))
        times.append(time.perf_counter() - start)
    assert statistics.median(times) < 1.0, times  # a page is to take 0.3 s; other work may share the machine
    print(f"median {1000 * statistics.median(times):.0f} ms")


def test_what_nobody_weighed_is_said_so_on_the_shelf(client: TestClient, studio: Path) -> None:
    (studio / "stock.csv").write_text("name,grams\nSilica,\nTalc,600\n", encoding="utf-8")
    page = client.get("/shelf").text
    assert "not weighed" in page and "600" in page and "1e-06" not in page


def test_shelf_keeps_what_is_not_weighed_and_marks_what_nobody_knows(client: TestClient, studio: Path) -> None:
    client.post("/shelf", data={"do": "stock", "name": "Talc", "amount": ""})
    assert "Talc" in dict(read_studio(studio)[0].stock)
    told = client.post("/shelf", data={"do": "stock", "name": "Unobtainium", "amount": "1kg"})
    assert told.text.count("no recipe can use it") == 1 and "Unobtainium" in dict(read_studio(studio)[0].stock)


def test_the_log_of_a_firing_keeps_the_ban_of_its_outlet(client: TestClient, studio: Path) -> None:
    text = (studio / "studio.toml").read_text(encoding="utf-8")
    (studio / "studio.toml").write_text(text.replace("breaker_A = 20", "breaker_A = 10", 1), encoding="utf-8")
    sent = {"do": "start", "cone": "6"}
    place = client.post("/firing", data=sent, follow_redirects=False).headers["location"]
    page = client.get(place).text
    assert "Do not: " in page and page.index("Do not: ") < page.index("A reading")
