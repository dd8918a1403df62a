"""What `learn` tells of tiles stands as its JSON has it, row by row, and reads rightly in the units that are chosen."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
TILES = (("shoal-clear", "sound"), ("brine-crackle", "crazed at once"), ("kelp-celadon", "sound"), ("lagoon-blue", "shivered"), ("old-pier", ""))


@pytest.fixture
def studio(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(DEMO, tmp_path / "studio")
    monkeypatch.chdir(tmp_path / "studio")
    for card, result in TILES:
        more = ("--result", result, "--after", "boil and freeze x3") if result else ()
        assert run("record", "tile", f"{card}.txt", "--body", "Harbour stoneware", "--cone", "6", *more).code == 0
    return tmp_path / "studio"


def test_each_tile_has_its_row_with_expansion_result_and_share(run: Run, studio: Path) -> None:
    text, held = run("learn").out, run("learn", "--json").json["results"][0]
    assert [(t["glaze"].split(",")[0], t["result"]) for t in held["tiles"]] == [(t["glaze"].split(",")[0], result or "waiting") for t, (_, result) in zip(held["tiles"], TILES, strict=True)]
    for tile in held["tiles"]:
        row = next(line for line in text.split("\n") if line.startswith(tile["id"]))
        cells = re.split(r" {2,}", row.strip())
        if tile["weight"] is None:
            assert cells == [tile["id"], tile["glaze"][:24], "waiting", tile["reason"]]
        else:
            assert cells == [tile["id"], tile["glaze"][:24], f"{tile['expansion']:.1f}", tile["result"], f"{100 * tile['weight']:.0f} %"]
    assert sum(t["weight"] for t in held["tiles"] if t["weight"] is not None) == pytest.approx(1.0)


def test_before_and_now_clash_and_what_waits_are_told(run: Run, studio: Path) -> None:
    text, held = " ".join(run("learn").out.split()), run("learn", "--json").json["results"][0]
    prior, now = (held["estimates"]["body_expansion"][name] for name in ("prior", "posterior"))
    for estimate in (prior, now):
        assert f"{estimate['value']:.1f} ({estimate['low']:.1f} to {estimate['high']:.1f})" in text
    times = (prior["high"] - prior["low"]) / (now["high"] - now["low"])
    assert f"learned from 4 tiles: the range is now {times:.1f} times narrower" in text
    clash = held["contradictions"][0]
    assert f"Tile {clash['tile']} disagrees with the others" in text and f"most with {clash['against']}" in text and "another clay?" in text
    waits = next(t["id"] for t in held["tiles"] if t["result"] == "waiting")
    assert f"{waits} waits for a result" in text and f"glazecalc record tile --id {waits} --result RESULT" in text
    assert f"About {held['tiles_per_firing']} test tiles go into one firing" in text and "Gloves and goggles" in text


def test_what_to_fire_next_is_told_with_its_chances_and_how(run: Run, studio: Path) -> None:
    text, held = run("learn").out, run("learn", "--json").json["results"][0]
    flat = " ".join(text.split())
    for tile in held["next_tiles"]:
        assert sum(tile["outcomes"].values()) == pytest.approx(1.0)
        first, second = sorted(tile["outcomes"].items(), key=lambda pair: -pair[1])[:2]
        assert f"{first[0]} {100 * first[1]:.0f} %, {second[0]} {100 * second[1]:.0f} %" in flat
        assert f"{tile['name']}: {tile['how']}" in flat and tile["width_after"] < 2
    bits = [tile["information_bits"] for tile in held["next_tiles"]]
    assert bits == sorted(bits, reverse=True) and all(b > 0 for b in bits)
