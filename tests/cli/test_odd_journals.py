"""What a studio may legally have written down, however odd, is never a bug of a command.

The records are invented for the demo."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from glazecalc.cli.main import IN_SHORT
from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
Words = tuple[str, ...]

CARDS = {
    "wash": "name: Cobalt wash\ncone: 6\n\nCobalt carbonate 100\n",
    "lead": "name: Old red lead\ncone: 04\n\nRed lead 60\nSilica 30\nKaolin 10\n",
    "trace": "name: Hardly anything\ncone: 6\n\nSilica 0.001\n",
    "spray": "name: Salt spray\ncone: 10\n\nSalt 100\n",
}
SOUND: Words = ("--result", "sound", "--after", "freezer and boil x3")
SHED: Words = ("--kiln", "Shed kiln")
CLIMB: Words = tuple(
    word for at in ("1:00=250C", "3:00=640C", "5:00=880C", "8:00=1090C", "9:30=1150C", "9:40=1152C")
    for word in ("--at", at)
)  # fmt: skip

RECORDS: dict[str, tuple[Words, ...]] = {
    "a wash without oxides that the models know": (("tile", "wash", *SOUND), ("tile", "wash", "--result", "crazed")),
    "a lead glaze": (("tile", "lead", *SOUND), ("tile", "lead", "--result", "crazed at once", "--cone", "04")),
    "a glaze of one oxide": (("tile", "trace", "--result", "shivered"),),
    "a salt": (("tile", "spray", *SOUND),),
    "jars": (("tile", "jar-seafoam", *SOUND), ("tile", "--glaze", "Jar of blue", "--result", "crazed after 12 days"),
             ("tile", "--glaze", "Shoal clear", "--result", "shivered")),
    "tiles that wait, ran or were taken out too soon": (
        ("tile", "shoal-clear"), ("tile", "shoal-clear", "--result", "underfired,crazed"),
        ("tile", "shoal-clear", "--result", "ran,crawled,pinholed"), ("tile", "shoal-clear", "--firing", "F99", *SOUND),
    ),
    "tiles that speak against each other": (
        ("tile", "shoal-clear", *SOUND), ("tile", "shoal-clear", "--result", "crazed at once"),
        ("tile", "shoal-clear", "--result", "shivered"),
    ),
    "coats and cones at their ends": (
        ("tile", "shoal-clear", "--thickness", "0.01mm", "--coats", "0", *SOUND),
        ("tile", "shoal-clear", "--thickness", "20mm", "--coats", "50", "--cone", "022", "--result", "crazed after 0 days"),
        ("tile", "shoal-clear", "--cone", "14", "--result", "sound", "--after", "40000 days"),
    ),
    "tiles of every clay": tuple(("tile", "brine-crackle", "--body", body, "--result", "crazed")
                                 for body in ("Harbour stoneware", "Dune earthenware", "Gull porcelain")),
    "tiles by another name of the clay": (("tile", "shoal-clear", "--body", "HARBOUR STONEWARE", *SOUND),),
    "a firing of no kiln": (("firing", "--hours", "7.5", *CLIMB), ("firing", "--note", "no kiln")),
    "a firing without readings": (("firing", *SHED, "--hours", "8"), ("firing", *SHED, "--witness", "6=half"),
                                  ("firing", *SHED, "--target", "6", "--stalled")),
    "a firing with the wrong volts": (("firing", *SHED, "--volts", "240", *CLIMB),),
    "a firing with hardly any volts": (("firing", *SHED, "--volts", "50", *CLIMB),),
    "a firing with volts of a factory": (("firing", *SHED, "--volts", "700", *CLIMB),),
    "a firing on no circuit of the studio": (("firing", *SHED, "--circuit", "No such circuit", *CLIMB),),
    "renewed elements": (("firing", *SHED, *CLIMB, "--on-elements", "150", "--date", "2026-05-01"),
                         ("firing", *SHED, *CLIMB, "--on-elements", "1", "--date", "2026-11-01")),
    "elements older than any": (("firing", *SHED, *CLIMB, "--on-elements", "10000"),),
    "a cold kiln": (("firing", *SHED, "--at", "0:00=-30C", "--at", "1:00=20C", "--at", "9:00=20C"),),
    "a kiln that falls": (("firing", *SHED, "--at", "0:10=1200C", "--at", "5:00=600C", "--at", "9:00=20C"),),
    "a kiln hotter than any": (("firing", *SHED, "--at", "0:01=1500C", "--at", "0:02=1500C", "--at", "200=1500C"),),
    "readings at one time": (("firing", *SHED, "--at", "3:00=600C", "--at", "3:00=900C", "--at", "3:00=300C"),),
    "one reading": (("firing", *SHED, "--at", "3:00=600C"),),
    "a load as heavy as a car": (("firing", *SHED, "--load", "2000kg", *CLIMB),),
    "cones that cannot be": (
        ("firing", *SHED, "--witness", "022=stands", "--witness", "14=down", "--hours", "0.05"),
        ("firing", *SHED, *CLIMB, "--witness", "14=down", "--witness", "5=stands", "--hours", "20"),
    ),
    "firings of the other kiln": (("firing", "--kiln", "Guild kiln", "--circuit", "Guild wall, 208 volts", *CLIMB),
                                  ("firing", "--kiln", "Guild kiln", "--volts", "120", *CLIMB)),
    "empty batches": (("batch", "wash", "--dry", "0.1g"), ("batch", "--glaze", "Jar of blue", "--sg", "1"),
                      ("batch", "shoal-clear", "--weighed", "Whiting=0g")),
}  # fmt: skip

COMMANDS: dict[str, tuple[Words, ...]] = {
    "check": (
        ("check", "shoal-clear", "lead", "spray", "trace"), ("check", "jar-seafoam"), ("check", "brine-crackle", "--kiln", "Guild kiln"),
        ("check", "shoal-clear", "--body", "Dune earthenware", "--cone", "04"),
        ("check", "shoal-clear", "--body", "Gull porcelain", "--cone", "10"),
    ),
    "formula": (("formula", "shoal-clear"), ("formula", "wash")),
    "weigh": (("weigh", "shoal-clear", "--dry", "500g"), ("weigh", "wash", "--dry", "20g")),
    "tiles": (("tiles", "shoal-clear", "brine-crackle", "--choose", "2"), ("tiles", "shoal-clear", "--plan", "ladder")),
    "adjust": (("adjust", "brine-crackle"),),
    "swap": (("swap", "shoal-clear", "Whiting", "Wollastonite"),),
    "compare": (("compare", "shoal-clear", "lead", "wash"),),
    "start": (("start", "{out}/new"),),
    "materials": (("materials", "whiting"),),
    "report": (("report", "shoal-clear", "wash", "-o", "{out}/pages", "--force"),),
    "labels": (("labels", "shoal-clear", "-o", "{out}/labels.html", "--force"),),
    "journal": (("journal",), ("journal", "AAA"), ("journal", "--export", "{out}/saved.csv", "--force")),
    "record": (("record", "tile", "shoal-clear", "--result", "sound"),),
    "learn": (
        ("learn",), ("learn", "--body", "Dune earthenware"), ("learn", "--body", "Gull porcelain"), ("learn", *SHED),
        ("learn", "--kiln", "Guild kiln"),
    ),
    "body": (("body",), ("body", "Gull porcelain")),
    "first": (("first",), ("first", "--body", "Gull porcelain", "--cone", "9")),
    "kiln": (("kiln",), ("kiln", "Guild kiln", "--circuit", "Guild wall"), ("kiln", "--recipe", "wash")),
    "firing": (("firing", "--cone", "6"), ("firing", "--cone", "06", "--kiln", "Guild kiln")),
    "screen": (("screen", "{out}/table.csv", "--basis", "recipe"),),
}  # fmt: skip
TAUGHT: dict[str, tuple[Words, ...]] = {
    "tile": (COMMANDS["check"][0], ("check", "jar-seafoam"), ("learn",), ("body",), ("journal",)),
    "firing": (("check", "shoal-clear"), ("learn", *SHED), ("kiln",), ("journal", "F1")),
    "batch": (("check", "shoal-clear"), ("journal", "B1")),
}
"""What answers by each kind of entry."""


def studio_with(run: Run, folder: Path, records: tuple[Words, ...]) -> Path:
    shutil.copytree(DEMO, folder)
    for name, text in CARDS.items():
        (folder / f"{name}.txt").write_text(text, encoding="utf-8")
    (folder / "table.csv").write_text("id,Whiting,Cobalt carbonate,Red lead\na,1,0,0\nb,0,1,0\nc,0,0,1\n")
    for words in records:
        got = run("record", *words, "--studio", folder)
        assert got.code == 0, f"{words} is legal: {got.err}"
    return folder


ANSWERED = (0, 1, 3)
"""Whichever answer the records lead to: neither a bug (70) nor a journal that is refused (2)."""


def never_a_bug(run: Run, studio: Path, words: Words, *more: str) -> Ran:
    filled = [word.format(out=studio) for word in words]
    on = [] if words[0] == "start" else ["--studio", str(studio)]
    got = run(*filled, *on, *more)
    assert got.code in ANSWERED, f"{' '.join(words)}: exit {got.code}\n{got.err}"
    return got


@pytest.mark.parametrize("what", RECORDS)
def test_each_odd_record_alone(run: Run, tmp_path: Path, what: str) -> None:
    studio = studio_with(run, tmp_path / "studio", RECORDS[what])
    for words in TAUGHT[RECORDS[what][0][0]]:
        never_a_bug(run, studio, words)


def test_all_of_them_in_one_journal_through_every_command(run: Run, tmp_path: Path) -> None:
    assert {*COMMANDS, "open"} == set(IN_SHORT), "every command is tried; open serves until it is stopped"
    studio = studio_with(run, tmp_path / "studio", tuple(words for group in RECORDS.values() for words in group))
    for ways in COMMANDS.values():
        for words in ways:
            never_a_bug(run, studio, words)
            if words[0] in ("check", "body", "kiln", "learn", "firing", "journal"):
                json.loads(never_a_bug(run, studio, words, "--json").out, parse_constant=lambda sign: pytest.fail(sign))
    new = tmp_path / "copy"
    new.mkdir()
    assert run("journal", "--import", studio / "saved.csv", "--studio", new).code == 0
    kept = [run("journal", "--studio", place, "--csv").out for place in (studio, new)]
    assert kept[1].splitlines() == kept[0].splitlines()[: len(kept[1].splitlines())]
