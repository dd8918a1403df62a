"""How long the default answers are at 80 columns, on every demo card; what may never be cut for brevity stands in all.

The budgets are a choice of this project, not a standard: a check is to be read on one screen and a bit.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
CARDS = sorted(path.stem for path in DEMO.glob("*.txt"))
MIXED = [card for card in CARDS if card not in ("jar-seafoam", "rock-pool")]
GLAZES = [card for card in MIXED if card != "gull-porcelain"]
BUDGETS = {"check": 45, "adjust": 55, "swap": 55, "tiles": 60, "compare": 45}
ADVICE = "Confirm with the supplier's safety data sheet"
FOOD = "Not tested for food or drink"
HAZARDS = (
    "scars the lungs", "carbon monoxide, which", "cobalt can cause", "copper is harmful", "strongly alkaline",
    "needle-like grains", "fine dust is bad",
)  # fmt: skip
"""Words of one caution each; a hazard is told once, whatever holds it."""


def told(run: Run, *words: object) -> str:
    """A command's text, within its budget and 80 columns."""
    out = run(*words).out
    lines = out.splitlines()
    assert len(lines) <= BUDGETS[str(words[0])], f"{words}: {len(lines)} lines"
    assert max((len(line) for line in lines), default=0) <= 80
    flat = " ".join(out.split())
    assert flat.count(ADVICE) <= 1 and flat.count(FOOD) <= 1
    assert not [hazard for hazard in HAZARDS if flat.count(hazard) > 1]
    return flat


@pytest.mark.parametrize("card", CARDS)
def test_check(run: Run, card: str) -> None:
    flat = told(run, "check", DEMO / f"{card}.txt")
    assert FOOD in flat
    if card in MIXED:
        assert ADVICE in flat


@pytest.mark.parametrize("card", GLAZES)
def test_adjust(run: Run, card: str) -> None:
    flat = told(run, "adjust", DEMO / f"{card}.txt")
    assert "needs no change" in flat or "chances, not promises" in flat or "Cannot say" in flat


def test_a_batch_to_a_formula(run: Run) -> None:
    told(run, "adjust", "--target", DEMO / "rock-pool.txt")


@pytest.mark.parametrize(("card", "old", "new"), [
    ("shoal-clear", "Potash feldspar", ("Soda feldspar",)), ("lagoon-blue", "Dolomite", ("Talc", "Whiting")),
    ("old-pier", "Potash feldspar", ("Soda feldspar",)), ("verdigris", "Nepheline syenite", ("Soda feldspar", "Kaolin")),
    ("brine-crackle", "Nepheline syenite", ("Potash feldspar",)), ("night-harbour", "Ball clay", ("Kaolin",)),
    ("kelp-celadon", "Whiting", ("Wollastonite",)), ("lighthouse-white", "Silica", ("Wollastonite",)),
    ("driftwood-matte", "Kaolin", ("Ball clay",)), ("spring-tide", "Wood ash", ("Whiting", "Dolomite")),
])  # fmt: skip
def test_swap(run: Run, card: str, old: str, new: tuple[str, ...]) -> None:
    out = told(run, "swap", DEMO / f"{card}.txt", old, *new)
    assert old in out


@pytest.mark.parametrize("card", MIXED)
def test_tiles_of_additions(run: Run, card: str) -> None:
    assert FOOD in told(run, "tiles", DEMO / f"{card}.txt", "--plan", "additions")


@pytest.mark.parametrize("card", [c for c in MIXED if c != "shoal-clear"])
def test_tiles_of_a_line(run: Run, card: str) -> None:
    assert FOOD in told(run, "tiles", DEMO / f"{card}.txt", DEMO / "shoal-clear.txt", "--plan", "line")


def test_tiles_of_three_and_four(run: Run) -> None:
    """A plan has a line a tile: 21 of three glazes and 12 of four are within the budget, larger plans are longer."""
    cards = [DEMO / f"{c}.txt" for c in ("shoal-clear", "brine-crackle", "verdigris", "lagoon-blue")]
    assert FOOD in told(run, "tiles", *cards[:3], "--plan", "triaxial")
    assert FOOD in told(run, "tiles", *cards, "--plan", "square", "--size", "4x3")


@pytest.mark.parametrize("card", [c for c in CARDS if c != "shoal-clear"])
def test_compare(run: Run, card: str) -> None:
    assert FOOD in told(run, "compare", DEMO / f"{card}.txt", DEMO / "shoal-clear.txt")


LEAD = "name: Old lead\ncone: 04\n\nLead bisilicate 70\nPotash feldspar 15\nKaolin 10\nSilica 5\n"


@pytest.mark.parametrize("command", ["check", "compare", "tiles"])
def test_lead_is_never_left_out(run: Run, command: str, tmp_path: Path) -> None:
    """Lead, cadmium and their kind are named in the short answer of every command that judges a glaze."""
    card = tmp_path / "lead.txt"
    card.write_text(LEAD, encoding="utf-8")
    more = (
        ("--plan", "additions") if command == "tiles" else (DEMO / "shoal-clear.txt",) if command == "compare" else ()
    )
    out = " ".join(run(command, card, *more, "--studio", DEMO).out.split())
    assert "Holds lead: it poisons whoever mixes it" in out and FOOD in out


def test_what_is_left_out_stands_in_full(run: Run) -> None:
    for words, left in (
        (("check", DEMO / "shoal-clear.txt"), "Unity molecular formula"),
        (("compare", DEMO / "shoal-clear.txt", DEMO / "old-pier.txt"), "Nearest relatives"),
        (("tiles", DEMO / "shoal-clear.txt", DEMO / "old-pier.txt"), "Where each stands"),
        (("swap", DEMO / "lagoon-blue.txt", "Dolomite", "Talc"), "silica per alumina"),
    ):
        assert left not in run(*words).out
        assert left in run(*words, "--full").out
