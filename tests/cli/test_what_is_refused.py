"""What cannot be done is refused with its code, what was wrong in the user's own words, and what to try; nothing is written.

The codes are those of docs/problems.md.
"""

from __future__ import annotations

import shlex
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from glazecalc.values.data import data_root
from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
DOCUMENTED = (data_root() / "docs" / "problems.md").read_text(encoding="utf-8")
CASES = {
    # command: code, words that must be told
    "check": {
        "check two-words.txt": ("no-materials", "Whiting 20"),
        "check shoal-clear.txt --circuit nowhere": ("no-circuit", "nowhere"), "check shoal-clear.txt --body nowhere": ("no-body", "nowhere"),
        "check shoal-clear.txt --kiln nowhere": ("no-kiln", "nowhere"), "check shoal-clear.txt --cone 44": ("cone", "06 is not 6"),
        "check nowhere.txt": ("no-such-file", "nowhere.txt"),
    },
    "weigh": {
        "weigh shoal-clear.txt --dry 500g --scale 0.1g:0.2g": ("scale", "0.1g:0.2g"), "weigh shoal-clear.txt --scale 0.1g:1kg:1kg:1kg": ("scale", "0.1g:1kg:1kg:1kg"),
        "weigh shoal-clear.txt --shopping --bucket 3L": ("usage", "--shopping"), "weigh shoal-clear.txt old-pier.txt --recover Silica=30g": ("usage", "one recipe"),
        "weigh shoal-clear.txt --slurry 2L --sg 1.45 --cup 31g:185g:131g": ("usage", "cup"), "weigh shoal-clear.txt --pieces mug": ("pair", "NAME:how many"),
        "weigh shoal-clear.txt --pieces dragon:2": ("no-piece", "dragon"), "weigh shoal-clear.txt --fill nowhere": ("no-container", "nowhere"),
        "weigh shoal-clear.txt --bucket 3L": ("gravity", "--cup"), "weigh shoal-clear.txt --recover Nothing=30g": ("recover", "Nothing"),
        "weigh twice.txt --recover Silica=30g": ("recover", "2 lines"), "weigh shoal-clear.txt --tolerance -1": ("percent", "-1"),
    },
    "tiles": {
        "tiles shoal-clear.txt --plan additions --add Rutile:0,150": ("percent", "150"), "tiles shoal-clear.txt --plan additions --add Rutile:0,1 --size 4": ("usage", "--size"),
        "tiles shoal-clear.txt old-pier.txt --plan line --size 9999": ("size", "too many"), "tiles shoal-clear.txt --plan additions --by volume --add Rutile:0,1": ("by", "dry"),
        "tiles shoal-clear.txt old-pier.txt kelp-celadon.txt --plan line": ("recipes", "2"), "tiles shoal-clear.txt --plan ladder --size 1": ("size", "1"),
    },
    "record": {
        "record batch": ("no-glaze", "--glaze"), "record batch shoal-clear.txt --weighed Silica": ("not-a-pair", "Silica"),
        "record tile --id AAA --withdraw --restore": ("usage", "--restore"), "record tile --withdraw": ("usage", "--id"),
        "record tile --id AAA --withdraw --note x": ("usage", "--withdraw"), "record tile --id AAA --note x": ("no-tile", "AAA"),
        "record reading F1@2:00 --withdraw --restore": ("usage", "--restore"), "record reading F1": ("usage", "--at"),
        "record reading F1@2:00 --withdraw --at 2:30=600C": ("usage", "one reading"), "record reading F1@2:00 --at 2:30=600C --at 3:00=700C": ("usage", "2"),
        "record reading nonsense --at 2:30=600C": ("not-a-reading", "nonsense"), "record reading F1@7:00 --withdraw": ("no-reading", "F1@2:00"),
        "record firing --kiln 'Shed kiln' --witness 6=sideways": ("not-a-witness", "down, half, soft or stands"), "record tile shoal-clear.txt --result splendid": ("unknown-result", "crazed later"),
        "record tile shoal-clear.txt --result sound --result crazed": ("record", "one of"),
    },
    "journal": {
        "journal ZZZ": ("no-entry", "ZZZ"), "journal --since tomorrow": ("not-a-date", "2026-03-31"),
        "journal --kind pot": ("kind", "choose tile, firing or batch"), "journal --redo": ("nothing-to-redo", ""),
    },
    "materials": {
        "materials --remove Whiting": ("not-own", "Whiting"), "materials --rename A=": ("not-a-pair", "OLD=NEW"), "materials --rename =B": ("not-a-pair", "OLD=NEW"),
        "materials --rename A": ("not-a-pair", "OLD=NEW"), "materials --rename A==B": ("not-a-pair", "OLD=NEW"), "materials --rename 'A=-B'": ("not-a-pair", "OLD=NEW"),
        "materials --stock =3kg": ("not-a-pair", "NAME=MASS"), "materials --stock '=x=3kg'": ("not-a-pair", "NAME=MASS"), "materials --alias A": ("pair", "which word means which material"), "materials --rename Whiting=Chalk": ("not-own", "Whiting"), "materials --remove A --rename B=C": ("usage", "one change"),
        "materials --stock Silica=lots": ("not-a-quantity", "lots"), "materials --stock Silica": ("not-a-pair", "NAME=MASS"), "materials nothing-like-it": ("unknown-material", "nothing-like-it"),
        "materials --add nowhere.csv": ("no-such-file", "nowhere.csv"), "materials --stock Silica=-3kg": ("out-of-range", "-3kg"),
    },
    "others": {
        "start new --demo --bare": ("start", "choose one"), "start . --undo": ("nothing-to-undo", "studio.toml"),
        "labels shoal-clear.txt --tare 'white bucket'": ("no-container", "white bucket"), "labels shoal-clear.txt --ids ABCDEFGHIJKLMNOPQRSTUVWXYZABCDEFGHIJKLMNOPQRSTUVWXYZ": ("label-count", "52"),
        "labels shoal-clear.txt --start 99": ("label-start", "99"), "adjust rock-pool.txt": ("no-recipe-to-change", "--target"),
        "adjust brine-crackle.txt --limit Silica": ("limit", "Silica"), "adjust additions.txt": ("no-base", "additions"),
        "swap shoal-clear.txt Whiting Whiting": ("same-material", "Whiting"),
        "firing --cone 99": ("cone", "022"), "firing --kind bisque --schedule nowhere.csv": ("no-such-file", "nowhere.csv"), "learn --body nowhere": ("no-body", "nowhere"),
        "learn --kiln nowhere": ("no-kiln", "nowhere"), "kiln nowhere": ("no-kiln", "nowhere"), "kiln --room nowhere": ("no-room", "nowhere"), "compare shoal-clear.txt": ("one-recipe", "two or more"),
    },
}  # fmt: skip


@pytest.fixture
def studio(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(DEMO, tmp_path / "studio")
    monkeypatch.chdir(tmp_path / "studio")
    Path("two-words.txt").write_text("name: Two words\ncone: 6\n", encoding="utf-8")
    Path("twice.txt").write_text("name: Twice\ncone: 6\n\nSilica 30\nKaolin 20\nWhiting 20\nPotash feldspar 20\nSilica 10\n", encoding="utf-8")
    Path("additions.txt").write_text("name: Only additions\ncone: 6\n\n+ Rutile 4\n+ Tin oxide 5\n", encoding="utf-8")
    assert run("record", "firing", "--kiln", "Shed kiln", "--at", "2:00=400C", "--hours", "9").code == 0
    return tmp_path / "studio"


@pytest.mark.parametrize("line", [line for cases in CASES.values() for line in cases])
def test_it_is_refused_by_its_code_and_in_words(line: str, studio: Path, run: Run) -> None:
    code, told = next(cases[line] for cases in CASES.values() if line in cases)
    before = {path: path.read_bytes() for path in studio.rglob("*") if path.is_file() and "journal" not in path.name}
    got = run(*shlex.split(line))
    assert got.code == 2, got.out
    plain = " ".join(got.err.split())
    assert f"[{code}]" in plain and told in plain and got.out == "" and f"`{code}`" in DOCUMENTED
    assert {path: path.read_bytes() for path in studio.rglob("*") if path.is_file() and "journal" not in path.name} == before
