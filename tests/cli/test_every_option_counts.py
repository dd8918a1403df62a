"""Every option that is given changes the answer as it says: what stands in the JSON with it, and that it stands otherwise without it."""

from __future__ import annotations

import math
import shlex
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]
WHERE = {"--body 'Gull porcelain'": ("body", "Gull porcelain"), "--kiln 'Guild kiln'": ("kiln", "Guild kiln"), "--circuit 'Guild wall'": ("circuit", "Guild wall"), "--cone 04": ("cone", "04")}
CASES: list[tuple[str, str, Callable[[dict[str, Any]], Any], Any]] = [
    *[("check shoal-clear.txt", option, lambda r, key=key: r[key], value) for option, (key, value) in WHERE.items()],
    *[("first", option, lambda r, key=key: r["check"][key], value) for option, (key, value) in WHERE.items() if key == "kiln"],
    *[("tiles shoal-clear.txt old-pier.txt --size 3", option, lambda r, key=key: r[key], value) for option, (key, value) in WHERE.items() if key != "circuit"],
    ("swap shoal-clear.txt Whiting Wollastonite", "--cone 7", lambda r: r["before"]["cone"], "7"), ("swap shoal-clear.txt Whiting Wollastonite", "--body 'Gull porcelain'", lambda r: r["before"]["body"], "Gull porcelain"),
    ("swap shoal-clear.txt Whiting Wollastonite", "--kiln 'Guild kiln'", lambda r: r["before"]["kiln"], "Guild kiln"),
    ("formula shoal-clear.txt", "--flux alumina", lambda r: r["unity"]["Al2O3"], 1.0),
    ("formula shoal-clear.txt", "--explain", lambda r: bool(r.get("explanations")), True), ("formula shoal-clear.txt", "--models", lambda r: bool(r.get("models")), True),
    ("weigh shoal-clear.txt", "--dry 750g", lambda r: r["dry_g"], 750.0), ("weigh lagoon-blue.txt", "--base 200g", lambda r: r["base_g"], 200.0),
    ("weigh shoal-clear.txt", "--slurry 2L", lambda r: r["slurry_mL"], 2000.0), ("weigh shoal-clear.txt", "--sg 1.42", lambda r: r["specific_gravity"], 1.42),
    # (185 - 31)/(131 - 31) = 1.54
    ("weigh shoal-clear.txt", "--cup 31g:185g:131g", lambda r: r["specific_gravity"], 1.54),
    ("weigh shoal-clear.txt", "--tolerance 0.1", lambda r: r["tolerance_percent"], 0.1), ("weigh shoal-clear.txt", "--scale 1g:5kg", lambda r: r["lines"][0]["resolution_g"], 1.0),
    ("weigh shoal-clear.txt --pieces mug:4", "--coat 2mm", lambda r: any("2 mm" in reason for reason in r["reasons"]), True),
    ("weigh shoal-clear.txt --slurry 1L", "--use brush", lambda r: any("brush" in reason for reason in r["reasons"]), True),
    ("tiles shoal-clear.txt old-pier.txt", "--size 7", lambda r: len(r["points"]), 7), ("tiles shoal-clear.txt old-pier.txt --size 5", "--choose 2", lambda r: len(r["points"]), 2),
    ("tiles shoal-clear.txt old-pier.txt --size 3", "--by volume", lambda r: r["by"], "volume"), ("tiles shoal-clear.txt old-pier.txt --size 3", "--series Q", lambda r: r["points"][0]["id"][0], "Q"),
    ("tiles shoal-clear.txt old-pier.txt --size 3", "--each 80g", lambda r: r["points"][0]["measures"][0], 80.0),
    # Three tiles of 500 g: each corner goes into one whole and one half, and 20 % more is mixed where 10 % are usual.
    ("tiles shoal-clear.txt old-pier.txt --size 3 --each 500g", "--waste 20", lambda r: r["corners"][0]["dry_g"], 900.0),
    ("tiles shoal-clear.txt old-pier.txt --size 3 --by volume", "--sg 1.4:1.5", lambda r: [c["specific_gravity"] for c in r["corners"]], [1.4, 1.5]),
    ("firing", "--cone 04", lambda r: r["cone"], "04"), ("firing", "--kiln 'Guild kiln'", lambda r: r["kiln"], "Guild kiln"), ("firing", "--kind bisque", lambda r: r["kind"], "bisque"),
    ("firing --cone 6", "--hold 30min", lambda r: max(s["hold_h"] for s in r["segments"]), 0.5), ("firing --kind bisque", "--wall 14mm", lambda r: any("wall of 14 mm" in n for n in r["notes"]), True),
    ("firing --kind bisque", "--damp", lambda r: any("damp ware" in n for n in r["notes"]), True),
    ("kiln", "--circuit 'Kitchen outlet'", lambda r: r["circuit"], "Kitchen outlet"), ("kiln", "--cone 04", lambda r: "gets to cone 04: " in r["sentence"], True), ("kiln", "--room Shed", lambda r: r["place"]["room"], "Shed"),
    ("kiln --room Shed", "--recipe kelp-celadon.txt", lambda r: any(x["of"] == "the glaze" or "glaze" in x["of"] for x in r["place"]["releases"]), True),
    ("body", "--cone 5", lambda r: r["cone"], "5"), ("body", "--fired 100mm", lambda r: (r["wet_size"] or {}).get("fired_mm"), 100.0),
    ("adjust brine-crackle.txt", "--max-materials 5", lambda r: all(sum(not line["addition"] for line in o["recipe"]) <= 5 for o in r["options"]), True),
    ("adjust brine-crackle.txt", "--without Talc", lambda r: all(line["material"] != "Talc" for o in r["options"] for line in o["recipe"]), True),
    ("adjust brine-crackle.txt", "--limit Silica=20", lambda r: all(100 * line["amount"] / sum(x["amount"] for x in o["recipe"] if not x["addition"]) <= 20.01
                                                                     for o in r["options"] for line in o["recipe"] if line["material"] == "Silica"), True),
]  # fmt: skip
SAME_WITHOUT = {"--without Talc", "--limit Silica=20", "--max-materials 5", "--room Shed", "--circuit 'Guild wall'", "--recipe kelp-celadon.txt"}
"""Options whose answer may be the same without them."""


@pytest.fixture
def studio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(DEMO, tmp_path / "studio")
    monkeypatch.chdir(tmp_path / "studio")
    return tmp_path / "studio"


@pytest.mark.parametrize(("line", "option", "told", "value"), CASES, ids=[f"{line} {option}" for line, option, _, _ in CASES])
def test_an_option_does_what_it_says(line: str, option: str, told: Callable[[dict[str, Any]], Any], value: Any, run: Run, studio: Path) -> None:
    found = told(run(*shlex.split(line), *shlex.split(option), "--json").json["results"][0])
    assert found == (pytest.approx(value, rel=1e-9) if isinstance(value, float) else value)
    if option not in SAME_WITHOUT:
        assert told(run(*shlex.split(line), "--json").json["results"][0]) != found, "without it the answer is another"


def test_a_batch_is_as_large_as_asked_by_each_way_of_asking(run: Run, studio: Path) -> None:
    """Archimedes: slurry of gravity G and volume V of solids of density D holds V (G - 1) D/(D - 1) of dry glaze."""
    got = run("weigh", "shoal-clear.txt", "--slurry", "2L", "--sg", "1.5", "--json").json["results"][0]
    density = got["solids_density"]["value"]
    assert got["dry_g"] == pytest.approx(2000 * 0.5 * density / (density - 1), rel=1e-6) and got["water_g"] == pytest.approx(2000 * 1.5 - got["dry_g"], rel=1e-6)
    base = run("weigh", "lagoon-blue.txt", "--base", "200g", "--json").json["results"][0]
    assert sum(line["dry_g"] for line in base["lines"] if not line["addition"]) == pytest.approx(200) and base["dry_g"] > 200
    mugs = [run("weigh", "shoal-clear.txt", "--pieces", f"mug:{n}", "--json").json["results"][0]["dry_g"] for n in (2, 4)]
    assert mugs[1] == pytest.approx(2 * mugs[0], rel=1e-6)
    thick = run("weigh", "shoal-clear.txt", "--pieces", "mug:2", "--coat", "2mm", "--json").json["results"][0]["dry_g"]
    assert thick == pytest.approx(2 * mugs[0], rel=1e-6) and not math.isclose(thick, mugs[0])


def test_what_is_left_in_a_bucket_is_reckoned_from_its_gravity(run: Run, studio: Path) -> None:
    """3 L at 1.45 hold 3000 x 0.45 x D/(D - 1) g dry; 2 % of that are added; to 1.40 it takes 3000 (1.45 - 1.40)/0.40 mL of water."""
    got = run("weigh", "shoal-clear.txt", "--bucket", "3L", "--sg", "1.45", "--add", "Rutile:2", "--json").json["results"][0]
    density = got["solids_density"]["value"]
    dry = 3000 * 0.45 * density / (density - 1)
    assert got["dry_g"] == pytest.approx(dry, rel=1e-6) and got["lines"][0]["target_g"] == pytest.approx(0.02 * dry, rel=1e-6)
    thin = run("weigh", "shoal-clear.txt", "--bucket", "3L", "--sg", "1.45", "--to-sg", "1.4", "--json").json["results"][0]
    assert thin["water_to_wanted_g"] == pytest.approx(3000 * 0.05 / 0.40, rel=1e-6) and got["water_to_wanted_g"] is None
    # What is added takes the water with which it has that gravity itself.
    added = 0.02 * dry
    assert got["water_for_same_gravity_g"] == pytest.approx(added * (1 - 1.45 / density) / 0.45, rel=0.02)


def test_an_option_writes_the_card_it_says(run: Run, studio: Path) -> None:
    options = run("adjust", "brine-crackle.txt", "--json").json["results"][0]["options"]
    for pick, option in enumerate(options[:2], start=1):
        assert run("adjust", "brine-crackle.txt", "--pick", str(pick), "-o", f"o{pick}.txt").code in (0, 1, 3)
        lines = run("formula", f"o{pick}.txt", "--json").json["results"][0]["batch"]["lines"]
        assert [(x["material"], x["amount"]) for x in lines] == [(x["material"], pytest.approx(x["amount"])) for x in option["recipe"]]
    assert run("adjust", "brine-crackle.txt", "-o", "o1.txt").code == 2 and run("adjust", "brine-crackle.txt", "-o", "o1.txt", "--force").code != 2
    assert run("first", "-o", "f.txt").code == 0 and "cone: " in Path("f.txt").read_text(encoding="utf-8")
