"""Whatever is written in the journal can be undone and done again, taken back, brought back and corrected by its id."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from glazecalc.files.journal import Journal
from glazecalc.values.records import Entry
from tests.cli.conftest import DEMO

PLAN = ["tiles", "shoal-clear.txt", "brine-crackle.txt", "--plan", "line", "--size", "4", "--record"]
ACTIONS: dict[str, list[str]] = {
    "a tile": ["record", "tile", "shoal-clear.txt", "--result", "sound"],
    "a firing": ["record", "firing", "--kiln", "Shed kiln", "--hours", "8"],
    "a batch": ["record", "batch", "shoal-clear.txt", "--dry", "500g"],
    "a plan of tiles": PLAN,
    "a tile's result": ["record", "tile", "--id", "AAA", "--result", "crazed after 3 days"],
    "a firing's cones": ["record", "firing", "--id", "F1", "--witness", "6=half"],
    "a batch's note": ["record", "batch", "--id", "B1", "--note", "thick"],
    "a tile taken back": ["record", "tile", "--id", "AAA", "--withdraw"],
    "a firing taken back": ["record", "firing", "--id", "F1", "--withdraw"],
    "a batch taken back": ["record", "batch", "--id", "B1", "--withdraw"],
    "a tile brought back": ["record", "tile", "--id", "AAC", "--restore"],
    "a firing brought back": ["record", "firing", "--id", "F2", "--restore"],
    "a batch brought back": ["record", "batch", "--id", "B2", "--restore"],
    "a reading": ["record", "reading", "F1", "--at", "3:30=700C"],
    "a reading corrected": ["record", "reading", "F1@2:30", "--at", "2:30=610C"],
    "a reading taken back": ["record", "reading", "F1@2:30", "--withdraw"],
    "a reading brought back": ["record", "reading", "F1@1:00", "--restore"],
    "an import": ["journal", "--import", "other.csv"],
}  # fmt: skip


@pytest.fixture
def studio(run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A studio with two entries of each kind, one of them taken back, and a saved journal of another studio."""
    folder, other = tmp_path / "studio", tmp_path / "other"
    shutil.copytree(DEMO, folder), shutil.copytree(DEMO, other)
    monkeypatch.chdir(other)
    for _ in range(9):
        assert run("record", "tile", "--glaze", "Jar").code == 0
    for kind, number in (("tile", "AAA"), ("tile", "AAC")):
        assert run("record", kind, "--id", number, "--withdraw").code == 0
    table = run("journal", "--csv").out.splitlines()
    monkeypatch.chdir(folder)
    (folder / "other.csv").write_text("\n".join([table[0], *table[3:]]), encoding="utf-8")
    for words in (
        ["record", "tile", "--glaze", "Jar"], ["record", "tile", "--glaze", "Jar"],
        ["record", "firing", "--kiln", "Shed kiln", "--at", "1:00=200C", "--at", "2:30=600C"],
        ["record", "firing", "--kiln", "Shed kiln", "--hours", "7"],
        ["record", "batch", "--glaze", "Jar"], ["record", "batch", "--glaze", "Jar"],
        ["record", "reading", "F1@1:00", "--withdraw"],
        *(["record", kind, "--id", id_, "--withdraw"] for kind, id_ in (("tile", "AAC"), ("firing", "F2"), ("batch", "B2"))),
    ):  # fmt: skip
        assert run(*words).code == 0, words
    return folder


def standing(folder: Path) -> list[tuple[str, str, bool, object]]:
    """Every entry as it stands now."""
    with Journal(folder) as journal:
        latest: dict[tuple[str, str], Entry] = {(e.kind, e.id): e for e in journal.all_entries()}
    return [(*key, entry.withdrawn, entry.record) for key, entry in latest.items()]


def counted(folder: Path) -> list[tuple[str, str, bool, object]]:
    return [row for row in standing(folder) if not row[2]]


@pytest.mark.parametrize("words", ACTIONS.values(), ids=ACTIONS)
def test_every_action_is_undone_and_done_again(words: list[str], run, studio: Path) -> None:
    before = counted(studio)
    got = run(*words, "--json")
    assert got.code in (0, 1, 3), got.err
    after = counted(studio)
    assert after != before
    assert run("journal", "--undo").code == 0
    assert counted(studio) == before
    assert run("journal", "--redo").code == 0
    assert counted(studio) == after
    assert run("journal", "--redo", "--json").json["problems"][0]["code"] == "nothing-to-redo"


def test_undo_goes_back_to_an_empty_journal_and_forward_again(run, studio: Path) -> None:
    for words in ACTIONS.values():
        run(*words)
    last, times = standing(studio), 0
    with Journal(studio) as journal:
        acts = len(journal.acts())
    while run("journal", "--undo", "--json").code == 0:
        times += 1
    assert counted(studio) == [] and times == acts > 20
    for _ in range(times):
        assert run("journal", "--redo").code == 0
    assert counted(studio) == [row for row in last if not row[2]]
    with Journal(studio) as journal:
        assert len(journal.acts()) == 3 * times, "nothing was deleted"


def test_what_is_written_after_an_undoing_is_undone_first(run, studio: Path) -> None:
    run("record", "tile", "--id", "AAA", "--note", "one")
    run("journal", "--undo")
    run("record", "tile", "--id", "AAA", "--note", "two")
    assert run("journal", "--redo").code == 2
    run("journal", "--undo")
    with Journal(studio) as journal:
        assert journal.tiles()[0].note == ""
    told = run("journal", "--undo").out
    assert "brought back batch B2" in told, "the act before both, not the undoing"


def test_a_withdrawn_entry_is_the_same_to_every_command(run, studio: Path) -> None:
    for kind, id_ in (("tile", "AAC"), ("firing", "F2"), ("batch", "B2")):
        for more in (["--note", "x"], ["--withdraw"]):
            got = run("record", kind, "--id", id_, *more, "--json")
            assert (got.code, got.json["problems"][0]["code"]) == (2, "withdrawn")
            assert f"record {kind} --id {id_} --restore" in got.json["problems"][0]["hint"]
        shown = run("journal", id_)
        assert shown.code == 0 and "(withdrawn)" in shown.out and "took back" in shown.out
        assert f"--id {id_} --restore" in shown.out
        assert run("record", kind, "--id", id_, "--restore").out.startswith(f"Brought back: {kind} {id_}.")
        assert run("record", kind, "--id", id_, "--restore", "--json").json["problems"][0]["code"] == "not-withdrawn"
    run("record", "firing", "--id", "F2", "--withdraw")
    assert run("record", "reading", "F2", "--at", "1:00=100C", "--json").json["problems"][0]["code"] == "withdrawn"
    assert [e["id"] for e in run("journal", "--withdrawn", "--json").json["results"][0]["entries"]] == ["F2"]
    tile = run("record", "tile", "--glaze", "Jar", "--firing", "F2", "--json")
    assert [p["code"] for p in tile.json["problems"]] == ["no-firing"]


def test_taking_back_changes_nothing_else(run, studio: Path) -> None:
    got = run("record", "tile", "--id", "AAA", "--withdraw", "--note", "x", "--json")
    assert (got.code, got.json["problems"][0]["code"]) == (2, "usage")
    assert run("record", "tile", "--withdraw").code == 2
    assert run("journal", "--undo", "--history").code == 2


def test_the_history_can_be_read(run, studio: Path) -> None:
    run("record", "tile", "--id", "AAA", "--result", "sound", "--coats", "2")
    run(*PLAN)
    run("journal", "--undo")
    told = run("journal", "--history").out
    assert "corrected tile AAA: coats nothing -> 2; results nothing -> sound" in told
    lines = [line for line in told.splitlines() if "tiles AAE" in line]
    assert len(lines) == 2 and "wrote down tiles AAE, AAF, AAH, AAJ" in lines[0] and "undone since" in lines[0]
    assert "undo: took back tiles" in lines[1]
    acts = run("journal", "--history", "--json").json["results"][0]["acts"]
    assert acts[-1]["undoes"] == acts[-2]["number"] and acts[-2]["undone"]
    shown = run("journal", "AAA").out
    assert "wrote down" in shown and "results nothing -> sound" in shown
    run("journal", "--redo")
    assert "redo: brought back tiles" in run("journal", "--history").out.splitlines()[-1]
    run("journal", "--undo")
    assert "undo: took back tiles" in run("journal", "--history").out.splitlines()[-1]


def test_readings_are_named_by_their_time(run, studio: Path) -> None:
    assert run("record", "reading", "F1", "--at", "2:30=1C", "--json").json["problems"][0]["code"] == "reading-twice"
    assert run("record", "reading", "F1@4:00", "--withdraw", "--json").json["problems"][0]["code"] == "no-reading"
    assert run("record", "reading", "F9", "--at", "1:00=1C", "--json").json["problems"][0]["code"] == "no-firing"
    assert run("record", "reading", "kiln", "--at", "1:00=1C", "--json").json["problems"][0]["code"] == "not-a-reading"
    assert run("record", "reading", "f1@2:30", "--at", "2:45=1130F").code == 0
    with Journal(studio) as journal:
        (reading,) = next(f for f in journal.firings() if f.id == "F1").readings
    assert (reading.at_h, round(reading.degC)) == (2.75, 610)


def test_the_tiles_of_a_plan_carry_their_date(run, studio: Path) -> None:
    import datetime

    run(*PLAN)
    days = {datetime.date.today().isoformat()}
    assert {e["date"] for e in run("journal", "--kind", "tile", "--json").json["results"][0]["entries"]} == days
    assert len(run("journal", "--since", min(days), "--json").json["results"][0]["entries"]) >= 4


def test_a_studio_of_binary_bytes_is_an_error(run, studio: Path) -> None:
    (studio / "studio.toml").write_bytes(bytes(range(256)) * 4)
    got = run("check", "shoal-clear.txt", "--json")
    assert got.code == 2 and any(p["severity"] == "error" for p in json.loads(got.out)["problems"])


def test_no_way_to_write_in_the_journal_is_left_without_its_undoing() -> None:
    """Every command that writes, and each of its ways, stands among the actions above."""
    import inspect

    from glazecalc.cli.journal import record

    ways = {"id_": "--id", "withdraw": "--withdraw", "restore": "--restore"}
    commands = {command.name: inspect.signature(command.callback).parameters for command in record.registered_commands}
    tried = [words for words in ACTIONS.values() if words[0] == "record"]
    for name, options in commands.items():
        assert any(words[1] == name for words in tried), name
        for option in ways.keys() & options.keys():
            assert any(words[1] == name and ways[option] in words for words in tried), (name, option)
    assert {"tile", "firing", "batch", "reading"} == set(commands)
    others = [words for words in ACTIONS.values() if words[0] != "record"]
    assert any("--record" in words for words in others) and any("--import" in words for words in others)


def test_every_writer_of_the_journal_is_one_that_the_actions_go_through(studio: Path) -> None:
    """Whoever opens the journal to write stands here, and each of them makes an act that is undone."""
    import inspect

    methods = inspect.getmembers(Journal, inspect.isfunction)
    writers = {name for name, method in methods if "self._writing()" in inspect.getsource(method)}
    assert writers == {"record_all", "amend", "withdraw", "restore", "add_entries", "undo", "redo"}
    before = counted(studio)
    with Journal(studio) as journal:
        ways = (
            lambda: journal.record_all([journal.tiles()[0], journal.tiles()[0]]),
            lambda: journal.amend("tile", "AAA", lambda _: {"note": "thick"}),
            lambda: journal.withdraw("tile", "AAA"),
            lambda: journal.restore("tile", "AAC"),
        )
        for way in ways:
            way()
            assert counted(studio) != before
            journal.undo()
            assert counted(studio) == before
