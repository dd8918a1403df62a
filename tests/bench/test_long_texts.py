"""Fifty thousand signs of one kind, wherever a text can come in: typed whole, each answer within ten seconds of processor time.

Run: pytest tests/bench/test_long_texts.py -o addopts= --import-mode=importlib -s. The patterns by themselves are timed by
test_patterns.py; this is the proof that no reader hands them more than they can bear.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.hostile.typed import typed

LENGTH = 50_000
LONGEST_S = 10.0
SIGNS = (" ", "(", "A", "0", "-", "<", "1.", "a ", "A.", "2 ", "= ", ". ", ", ", "|", "[", "l5-", "&")
CARD = "name: A\ncone: 6\n\nWhiting 40\nSilica 60\n"
SMALL = "[scale]\nresolution_g=0.1\n"
PLACES: dict[str, tuple[dict[str, str], list[str]]] = {
    "line of a card": ({"a.txt": f"{CARD}@\n"}, ["formula", "a.txt"]),
    "name of a card": ({"a.txt": CARD.replace("A", "@", 1)}, ["formula", "a.txt"]),
    "amount": ({"a.txt": f"{CARD}Kaolin @\n"}, ["formula", "a.txt"]),
    "key of a card": ({"a.txt": f"@: x\n{CARD}"}, ["formula", "a.txt"]),
    "cell of materials.csv": ({"a.txt": CARD, "materials.csv": "name,SiO2,loi\nX,@,1\n"}, ["formula", "a.txt"]),
    "name in materials.csv": ({"a.txt": CARD, "materials.csv": 'name,SiO2,loi\n"@",50,1\n'}, ["formula", "a.txt"]),
    "head of materials.csv": ({"a.txt": CARD, "materials.csv": 'name,SiO2,"@"\nX,50,1\n'}, ["formula", "a.txt"]),
    "line of a sheet": ({"s.txt": "Feldspar\n@\nSiO2 60\nAl2O3 40\n"}, ["materials", "--add", "s.txt"]),
    "name in a sheet": ({"s.csv": 'material,SiO2,Al2O3\n"@",60,40\n'}, ["materials", "--add", "s.csv"]),
    "head of a sheet": ({"s.csv": 'material,SiO2,"@"\nX,60,40\n'}, ["materials", "--add", "s.csv"]),
    "cell of a sheet": ({"s.csv": 'material,SiO2,Al2O3\nX,"@",40\n'}, ["materials", "--add", "s.csv"]),
    "name in studio.toml": ({"studio.toml": '[[kiln]]\nname="@"\nvolts=120\namps=12\ncone="6"\n'}, ["kiln"]),
    "value in studio.toml": ({"studio.toml": '[[kiln]]\nname="K"\nvolts="@"\ncone="@"\nplug="@"\n'}, ["kiln"]),
    "outlet": ({"studio.toml": '[[circuit]]\nname="K"\nreceptacle="@"\n'}, ["kiln"]),
    "line of studio.toml": ({"studio.toml": '@\n[[circuit]]\nname="K"\n'}, ["kiln"]),
    "cone": ({"a.txt": CARD}, ["check", "a.txt", "--cone", "@"]),
    "weight": ({"a.txt": CARD}, ["weigh", "a.txt", "--dry", "@"]),
    "note": ({"a.txt": CARD, "studio.toml": SMALL}, ["record", "tile", "a.txt", "--after", "@", "--note", "@"]),
    "reading": ({"studio.toml": SMALL}, ["record", "firing", "--cone", "6", "--at", "@", "--witness", "@"]),
    "schedule": ({"s.csv": "@\n100,500,1\n"}, ["firing", "--schedule", "s.csv"]),
    "head of a table": ({"t.csv": 'id,SiO2,"@"\n1,60,40\n'}, ["screen", "t.csv"]),
    "cell of a table": ({"t.csv": 'id,SiO2,CaO\n1,60,"@"\n'}, ["screen", "t.csv"]),
    "name asked for": ({"a.txt": CARD}, ["materials", "@"]),
}


@pytest.mark.parametrize("place", PLACES)
def test_a_long_text_is_answered_soon(place: str, tmp_path: Path) -> None:
    files, words = PLACES[place]
    worst, made = 0.0, ""
    for sign in SIGNS:
        text = (sign * LENGTH)[:LENGTH]
        folder = tmp_path / str(SIGNS.index(sign))
        folder.mkdir()
        for name, content in files.items():
            (folder / name).write_text(content.replace("@", text), encoding="utf-8")
        told = typed([word.replace("@", text) for word in words], folder)
        assert not told.crash and told.code != 70, f"{sign!r}: {told.crash[-400:]} {told.err[-400:]}"
        worst, made = max((worst, made), (told.cpu_s, sign))
    print(f"{place}: {worst:.1f} s at most, of {made!r}")
    assert worst < LONGEST_S
