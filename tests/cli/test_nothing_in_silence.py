"""What once went wrong without a word: contradictions, lost rows, false exit codes, names that a shell would run."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from glazecalc.api import start_studio
from glazecalc.cli.main import main
from glazecalc.cli.options import names
from glazecalc.files.materials import label_of
from glazecalc.values.data import data_root

DEMO = data_root() / "recipes"
CLEAR = str(DEMO / "shoal-clear.txt")


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    start_studio(tmp_path / "studio")
    return tmp_path / "studio"


def said(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str]:
    code = main([str(word) for word in words])
    told = capsys.readouterr()
    return code, told.out + told.err


@pytest.mark.parametrize(("words", "why"), [
    (("firing", "--kiln", "Shed kiln", "--witness", "6=down", "--witness", "6=stands"), "cannot be both"),
    (("firing", "--kiln", "Shed kiln", "--hours", "8", "--date", "2999-01-01"), "in the future"),
    (("firing", "--kiln", "Shed kiln", "--hours", "8", "--date", "2026-13-99"), "not a date"),
    (("tile", "--glaze", "Jar", "--result", "crazed", "--after", "-3 days"), "no time after"),
    (("batch", "--glaze", "Jar", "--dry", "500g", "--weighed", "Silica=9000g"), "more than the whole batch"),
])  # fmt: skip
def test_a_contradiction_is_not_recorded(
    words: tuple[str, ...], why: str, studio: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, told = said(capsys, "record", *words, "--studio", studio)
    assert code == 2 and why in told
    assert json.loads(said(capsys, "journal", "--studio", studio, "--json")[1])["results"][0]["entries"] == []


@pytest.mark.parametrize(("words", "why"), [
    (("--witness", "5=stands", "--witness", "6=down"), "stands though the hotter"),
    (("--hours", "8", "--at", "20:00=600C"), "after the end"),
])  # fmt: skip
def test_what_is_odd_is_recorded_with_a_remark(
    words: tuple[str, ...], why: str, studio: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, told = said(capsys, "record", "firing", "--kiln", "Shed kiln", *words, "--studio", studio)
    assert code == 0 and why in told


def test_a_reader_that_has_gone_is_no_verdict(tmp_path: Path) -> None:
    """`check ... | true` must not say by its exit code that the glaze does not fit."""
    program = (
        f"import sys; from glazecalc.__main__ import run; sys.argv = ['glazecalc', 'check', {CLEAR!r}, '--full']; run()"
    )
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        [sys.executable, "-c", program], stdout=writer, stderr=subprocess.PIPE, timeout=60, check=False
    )
    os.close(writer)
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr


def test_completion_offers_no_name_that_a_shell_would_run(tmp_path: Path) -> None:
    hostile = '"); touch FILE; ws=( y\\"'
    text = f"[[kiln]]\nname = '''{hostile}'''\nvolts = 120\n\n[[kiln]]\nname = \"Shed kiln\"\nvolts = 120\n"
    (tmp_path / "studio.toml").write_text(text, encoding="utf-8")
    assert names("kiln", {"studio": tmp_path}, "") == ["Shed kiln"]


def test_a_journal_is_not_read_without_its_log(studio: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A log that holds entries and cannot be opened: refuse, rather than leave out what was last written down."""
    from glazecalc.files import journal_schema

    assert said(capsys, "record", "tile", CLEAR, "--result", "sound", "--studio", studio)[0] == 0
    log = studio / "journal.sqlite-wal"
    log.write_bytes(b"\x37\x7f\x06\x82" + b"\0" * 60)
    with pytest.raises(Exception) as stop:
        journal_schema._refuse_unread_log(studio / "journal.sqlite")
    assert stop.value.problems[0].code == "journal-log"
    log.write_bytes(b"")
    journal_schema._refuse_unread_log(studio / "journal.sqlite")


@pytest.mark.parametrize(("head", "row", "extra"), [
    ("SiO2,sio2,CaO", "50,10,40", ()), ("SiO2,SiO₂,CaO", "50,10,40", ()), ("Silica,Quartz,Whiting", "50,10,40", ("--basis", "recipe")),
])  # fmt: skip
def test_a_column_that_is_there_twice_is_refused(
    head: str, row: str, extra: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "t.csv"
    table.write_text(f"{head}\n{row}\n", encoding="utf-8")
    code, told = said(capsys, "screen", table, *extra)
    assert code == 2 and "are both" in told


def test_a_table_of_which_nothing_is_read_fails_and_keeps_the_old_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, out = tmp_path / "t.csv", tmp_path / "out.csv"
    table.write_text("id,SiO2,CaO\na,many,few\n", encoding="utf-8")
    out.write_text("old", encoding="utf-8")
    assert said(capsys, "screen", table, "-o", out, "--force")[0] == 2
    assert said(capsys, "screen", table)[0] == 2
    assert out.read_text(encoding="utf-8") == "old"
    table.write_text("id,SiO2,CaO\na,60,40\nb,many,few\n", encoding="utf-8")
    assert said(capsys, "screen", table, "-o", out, "--force", "--strict")[0] == 2
    assert out.read_text(encoding="utf-8") == "old"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_without_a_writer_does_not_hang(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    os.mkfifo(tmp_path / "pipe")
    started = time.monotonic()
    assert said(capsys, "screen", tmp_path / "pipe")[0] == 2
    assert time.monotonic() - started < 5


@pytest.mark.parametrize("sign", list("([{\"'-.,:;#+*/=|<>~%0aA \t"))
def test_long_cells_are_read_in_no_time(sign: str) -> None:
    started = time.monotonic()
    label_of(sign * 50_000)
    assert time.monotonic() - started < 1


def test_a_semicolon_does_not_hide_a_formula() -> None:
    from glazecalc.render.words import safe_cell

    for hostile in ("a;=cmd|calc", "a; =1+1", "a;b;@SUM(1)", "a;'=1", "x;-2+3"):
        parts = safe_cell(hostile).split(";")
        assert not any(part.strip()[:1] in "=+-@" for part in parts if part.strip()), parts
    assert safe_cell("freezer; boiling water") == "freezer; boiling water"


@pytest.mark.parametrize(("words", "why"), [
    (("weigh", CLEAR, "--slurry", "1L", "--cup", "100g:100.1g:100.2g"), "specific gravity"),
    (("weigh", CLEAR, "--pieces", "mug:2", "--coat", "100mm"), "thicker than any coat"),
    (("tiles", CLEAR, CLEAR), "named twice"),
])  # fmt: skip
def test_what_cannot_be_is_refused(words: tuple[str, ...], why: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, told = said(capsys, *words)
    assert code == 2 and why in told


def test_a_date_beyond_all_time_is_an_error_and_no_bug(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "9" * 17)
    code, told = said(capsys, "report", CLEAR, "-o", tmp_path / "page.html")
    assert code == 2 and "SOURCE_DATE_EPOCH" in told


def test_no_standard_input_is_an_error_and_no_bug(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    assert said(capsys, "check", "-")[0] == 2


def test_a_folder_does_not_hide_the_card_of_its_name(
    studio: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (studio / "shoal-clear").mkdir()
    monkeypatch.chdir(studio)
    assert said(capsys, "formula", "shoal-clear")[0] == 0


@pytest.mark.parametrize(("floor", "answer"), [
    ("straw", "does_not_fit"), ("foam tiles", "does_not_fit"), ("not concrete", "cannot_say"), ("concrete", "fits"),
])  # fmt: skip
def test_a_floor_is_judged_by_what_it_is(floor: str, answer: str) -> None:
    """Common practice, no source: straw and foam burn, concrete does not."""
    from glazecalc.jobs.room import place_reasons
    from glazecalc.values.inputs import Kiln, Room, UnitChoice

    reasons = place_reasons(Kiln(name="k"), Room(name="r", floor=floor), None, UnitChoice())
    assert next(r.answer for r in reasons if r.code.startswith("floor")) == answer


@pytest.mark.skipif(os.name != "posix", reason="rights of files are POSIX")
def test_a_private_file_stays_private_while_it_is_written(tmp_path: Path) -> None:
    from glazecalc.files.writing import whole_file

    target = tmp_path / "secret.txt"
    target.write_text("old", encoding="utf-8")
    target.chmod(0o600)
    with whole_file(target) as place:
        assert place.stat().st_mode & 0o077 == 0
        assert str(os.getpid()) not in place.name
        place.write_text("new", encoding="utf-8")
    assert target.read_text(encoding="utf-8") == "new"
    assert target.stat().st_mode & 0o777 == 0o600


def test_several_glazes_are_ranked_by_risk(capsys: pytest.CaptureFixture[str]) -> None:
    cards = [DEMO / f"{name}.txt" for name in ("brine-crackle", "shoal-clear", "rock-pool")]
    told = said(capsys, "check", *cards)[1]
    last = told[told.index("By fit, least risk first. Start with Shoal clear:") :].splitlines()
    assert [line.split()[0] for line in last[1:4]] == ["Shoal", "Rock", "Brine"]
    assert "By fit" not in said(capsys, "check", cards[0])[1]


def test_colourants_in_words_are_weighed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    card = tmp_path / "paste.txt"
    lines = "Silica 30\nPotash feldspar 40\nWhiting 20\nKaolin 10\nand 2% cobalt oxide, 5% tin oxide\n"
    card.write_text(f"name: Paste\ncone: 6\n\n{lines}", encoding="utf-8")
    code, told = said(capsys, "weigh", card, "--dry", "100g", "--studio", DEMO)
    assert code == 0 and "cobalt oxide" in told.casefold() and "tin oxide" in told.casefold()


@pytest.mark.parametrize("name", ["Leadless frit", "leadles frit", "Unleaded frit", "Frit leadless"])
def test_no_poison_is_offered_for_a_harmless_name(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    card = tmp_path / "frit.txt"
    card.write_text(f"name: L\ncone: 04\n\n{name} 80\nKaolin 20\n", encoding="utf-8")
    told = said(capsys, "check", card, "--studio", DEMO)[1]
    assert "lead frit" not in told and "lead bisilicate" not in told and "lead monosilicate" not in told


def test_a_poison_that_is_asked_for_is_offered(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    card = tmp_path / "frit.txt"
    card.write_text("name: L\ncone: 04\n\nLead bisilicat 80\nKaolin 20\n", encoding="utf-8")
    assert "lead bisilicate" in said(capsys, "check", card, "--studio", DEMO)[1].casefold()


def test_a_thousand_unknown_names_are_told_soon_and_in_few_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    card = tmp_path / "many.txt"
    lines = "\n".join(f"Zorgon{i}x{i} {i % 7 + 1}" for i in range(1000))
    card.write_text(f"name: M\ncone: 6\n\n{lines}\n", encoding="utf-8")
    started = time.monotonic()
    code, told = said(capsys, "check", card, "--studio", DEMO)
    assert code == 2 and time.monotonic() - started < 10
    assert len(told.splitlines()) < 200 and "more (--json tells them all)" in told
    assert len(json.loads(said(capsys, "check", card, "--studio", DEMO, "--json")[1])["problems"]) >= 1000


def test_the_page_of_a_plan_cautions_of_every_recipe_in_it(tmp_path: Path) -> None:
    cards = [str(DEMO / f"{name}.txt") for name in ("shoal-clear", "brine-crackle", "lagoon-blue")]
    page = tmp_path / "plan.html"
    assert main(["report", *cards, "--plan", "triaxial", "-o", str(page)]) == 0
    text = page.read_text(encoding="utf-8")
    told = " ".join(text.casefold().split())
    assert "copper is harmful" in told and "cobalt can cause allergy" in told
    assert told.count("silica, which scars the lungs") == 1, "one caution for a hazard, whichever recipes hold it"
    alone = tmp_path / "alone.html"
    assert main(["report", cards[0], "-o", str(alone)]) == 0
    assert "copper is harmful" not in alone.read_text(encoding="utf-8").casefold()
