"""Every command tells weights, lengths, volumes and heat in the units that were chosen, the other at most beside them."""

from __future__ import annotations

import html
import re
import shlex
from pathlib import Path

import pytest

COMMANDS = {
    "check": "check shoal-clear --full", "check jar": "check jar-seafoam --full", "check limestone": "check old-pier --full",
    "formula": "formula shoal-clear --explain --models", "weigh": "weigh shoal-clear --dry 5lb",
    "weigh slurry": "weigh shoal-clear --slurry 1gallon --use brush", "weigh pieces": "weigh shoal-clear --pieces mug:4",
    "shopping": "weigh shoal-clear --shopping", "bucket": "weigh lagoon-blue --bucket 1gallon --sg 1.45 --to-sg 1.4",
    "tiles": "tiles shoal-clear brine-crackle --plan line --full",
    "tiles of volume": "tiles shoal-clear brine-crackle --plan line --by volume --sg 1.45:1.5 --full",
    "additions": "tiles shoal-clear --plan additions --add Rutile:0,2,4 --full",
    "firing": "firing --cone 6 --full", "bisque": "firing --kind bisque --full",
    "schedule": "firing --schedule steps.csv --full", "kiln": "kiln --full", "kiln in short": "kiln",
    "kiln with glaze": "kiln --recipe shoal-clear --room Shed --full", "body": "body --fired 4in",
    "first": "first", "adjust": "adjust brine-crackle --full", "adjust in short": "adjust brine-crackle",
    "target": "adjust --target rock-pool --full", "swap": "swap shoal-clear Whiting Wollastonite --full",
    "compare": "compare shoal-clear old-pier --full", "learn": "learn", "learn kiln": "learn --kiln 'Shed kiln'",
    "materials": "materials", "one material": "materials kaolin",
}  # fmt: skip
RECORDS = (
    "record tile shoal-clear --result sound --thickness 1mm",
    "record firing --kiln 'Shed kiln' --peak 1222C --hours 9 --at 2:00=400C",
    "record batch shoal-clear --dry 500g --water 400g --weighed Silica=100g",
    "record batch --id B1 --dry 510g", "journal", "journal --history", "journal B1", "journal F1", "journal AAA",
    "journal --undo",
)  # fmt: skip
PAGES = ("report shoal-clear --out page.html", "report shoal-clear brine-crackle --plan line --out plan.html",
         "labels shoal-clear --dry 500g --tare 240g --sg 1.5 --out labels.html")  # fmt: skip
US = '[units]\ntemperature = "F"\nmass = "oz"\nlength = "in"\nvolume = "fl oz"\n'
_NUMBER = r"(?<![\w/.])\d[\d.,]*\s?"
STRAY = re.compile(
    rf"{_NUMBER}(?:g|kg|mm|cm|cm2|m|mL|L|litres?|m3/h|degC|\N{{DEGREE SIGN}}C|C/h|degC/h)(?![\w/-])"
    rf"|{_NUMBER}C(?=[\s,.;)]|$)(?! {{2,}}\d)|(?:\bdeg|\N{{DEGREE SIGN}})C\b|\bmL\b|\bg dry\b|\bin a litre\b"
)
"""A metric figure, or a metric heading of a column."""
BESIDE = re.compile(r"(?<=[a-zF2] )\([^()]*\)")
"""The other unit in brackets, behind the one that was chosen."""
NO_UNIT_OF_OURS = re.compile(
    r"\d+ [A-Z] {5,}\d+ : \d+"  # parts of corner C in a table of proof tiles
    r"|moles in 100 g"  # a mole is per gram
    r"|over the last 100 (?:deg|\N{DEGREE SIGN})C|at 0\.1 to 0\.15 mm expand"  # titles of sources
)


def strays(text: str) -> list[str]:
    plain = BESIDE.sub("", re.sub(r"\n\s+(?![A-Z]\d)", " ", NO_UNIT_OF_OURS.sub("", text)))
    return [plain[max(0, m.start() - 40) : m.end() + 20] for m in STRAY.finditer(plain)]


@pytest.fixture
def studio(run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo's studio with a scale that counts in ounces."""
    monkeypatch.chdir(tmp_path)
    assert run("start", "mine", "--demo").code == 0
    folder = tmp_path / "mine"
    monkeypatch.chdir(folder)
    text = (folder / "studio.toml").read_text(encoding="utf-8")
    assert text.count("resolution_g = 0.1") == 1
    (folder / "studio.toml").write_text(text.replace("resolution_g = 0.1", 'resolution_g = "0.1 oz"'), encoding="utf-8")
    (folder / "steps.csv").write_text("rate,to,hold\n100,600,0\n150,1200,10\n")
    return folder


@pytest.fixture
def american(studio: Path) -> Path:
    """The same, which reads US units always."""
    text = (studio / "studio.toml").read_text(encoding="utf-8")
    old = '[units]\ntemperature = "C"\nmass = "g"\n'
    assert text.count(old) == 1
    (studio / "studio.toml").write_text(text.replace(old, US), encoding="utf-8")
    return studio


@pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS)
def test_us_units_rule_every_figure(words: str, run, studio: Path) -> None:
    said = run(*shlex.split(words), "--units", "us")
    assert said.code in (0, 1, 3), said.err
    assert not strays(said.out) and not strays(said.err)


def test_the_journal_speaks_the_studio_s_units(run, american: Path) -> None:
    for words in RECORDS:
        said = run(*shlex.split(words))
        assert said.code == 0, said.err
        assert not strays(said.out), words


@pytest.mark.parametrize("words", PAGES)
def test_pages_speak_the_studio_s_units(words: str, run, american: Path) -> None:
    """Axes of pictures show both scales; what stands in words and tables shows the chosen one."""
    assert run(*shlex.split(words)).code in (0, 1, 3)
    page = Path(words.rsplit(" ", 1)[1]).read_text(encoding="utf-8")
    page = re.sub(r"<(style|script|svg).*?</\1>", " ", page, flags=re.DOTALL)
    page = re.sub(r"<thead>.*?</thead>", " ", page, flags=re.DOTALL)
    text = re.sub(r"\s+", " ", html.unescape(re.sub(r"<(?:sub|/sub)>", "", page)).replace("</td>", " | "))
    assert not strays(re.sub(r"<[^>]+>", " ", text))


def test_what_the_sweep_looks_for_is_found() -> None:
    """The sweep itself: metric figures are found, the other unit in brackets is not."""
    told = "343 g of it, 6 mm, 1222 C, 887 g dry in a litre, to 20 degC, 7 mL"
    assert len(strays(told)) >= 6
    assert not strays("12.1 oz (343 g), 2232 F (1222 C), 0.24 in (6 mm), cone 6")
