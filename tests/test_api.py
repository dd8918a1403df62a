"""The promised library names do the same jobs as the commands."""

from __future__ import annotations

import ast
import inspect
import io
import json
from pathlib import Path

import pytest

from glazecalc import api
from glazecalc.cli.frame import COMMANDS
from glazecalc.cli.main import main, program
from glazecalc.cli.options import spread
from glazecalc.render.json import for_json
from glazecalc.values.data import data_root

STUDIO = api.open_studio(data_root() / "recipes")


def card(name: str) -> api.Recipe:
    return api.recipe_from_file(data_root() / "recipes" / f"{name}.txt")


# What version 0.1.0 promised to programs; a name may come, and none may go.
PROMISED = """
AdjustResult Answer Basis BatchRecord Body CheckResult Circuit ClayReport Comparison Cone Estimate FiringRecord FiringReport FirstGlaze Formula
FormulaResult FrozenRecipe Kiln KilnLearned KilnReport Lesson Limits Material Pantry Problem ProblemsError Reading Recipe RecipeLine Setup
Severity Studio SwapResult TileRecord TileResult TilesResult Verdict WeighResult WitnessCone adjust body check compare estimate_table firing
first formula frozen kiln learn_body learn_kiln open_studio recipe_from_file recipe_from_text record screen setup shelf start_studio swap tiles weigh
"""


def test_every_promised_name_is_there() -> None:
    assert all(hasattr(api, name) for name in api.__all__)
    assert set(api.__all__) >= set(PROMISED.split()), "who wrote a program with a name can still run it"


def test_jobs() -> None:
    shoal = card("shoal-clear")
    assert api.check(shoal, STUDIO).answer is api.Answer.FITS
    assert api.check(card("old-pier"), STUDIO).answer is api.Answer.DOES_NOT_FIT
    assert api.check(card("jar-seafoam"), STUDIO).answer is api.Answer.CANNOT_SAY
    assert sum(line.scale_g for line in api.weigh(shoal, STUDIO, 500.0).lines) == pytest.approx(500.0, abs=0.5)
    assert len(api.compare([shoal, card("old-pier")], STUDIO).entries) == 2
    assert api.kiln(STUDIO).circuits
    assert api.swap(shoal, STUDIO, "Potash feldspar", ["Soda feldspar"]).options


def test_start_and_open(tmp_path: Path) -> None:
    names = api.start_studio(tmp_path / "mine")
    assert "studio.toml" in names
    assert api.open_studio(tmp_path / "mine").kilns
    with pytest.raises(api.ProblemsError):
        api.start_studio(tmp_path / "mine")


def test_problems_are_raised_together() -> None:
    with pytest.raises(api.ProblemsError) as stop:
        api.recipe_from_text("name: x\n\nSilica many\nWhiting -3\n")
    assert len(stop.value.problems) >= 2


def test_a_check_uses_the_journal_as_the_command_does(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What recorded firings teach of the kiln, and tiles of the clay, is in both or in neither."""
    folder = tmp_path / "mine"
    api.start_studio(folder)
    words = ["--studio", str(folder), "--kiln", "Shed kiln"]
    seen = [w for at in ("1:00=250C", "3:00=640C", "5:00=880C", "8:00=1090C", "9:30=1150C") for w in ("--at", at)]
    assert main(["record", "firing", *words, *seen, "--hours", "9.5", "--volts", "117"]) == 0
    main(["record", "tile", str(folder / "shoal-clear.txt"), "--studio", str(folder), "--result", "sound"])
    capsys.readouterr()
    main(["check", str(folder / "shoal-clear.txt"), *words, "--json"])
    told = json.loads(capsys.readouterr().out)["results"][0]["estimates"]
    studio = api.open_studio(folder)
    found = api.check(api.recipe_from_file(folder / "shoal-clear.txt"), studio, kiln="Shed kiln")
    assert told["kiln_ceiling"]["basis"] == "learned"
    assert {name: e["value"] for name, e in told.items()} == pytest.approx({e.name: e.value for e in found.estimates})


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    """The first result that a command prints in the demo studio."""
    main([*words, "--studio", str(data_root() / "recipes"), "--json"])
    return json.loads(capsys.readouterr().out)["results"][0]


DEMO = data_root() / "recipes"
JOBS = {
    "check": (lambda: api.check(card("brine-crackle"), STUDIO, cone="5"),
              ["check", str(DEMO / "brine-crackle.txt"), "--cone", "5"]),
    "formula": (lambda: api.formula(card("lagoon-blue"), STUDIO),
                ["formula", str(DEMO / "lagoon-blue.txt")]),
    "weigh": (lambda: api.weigh(card("shoal-clear"), STUDIO, 300.0),
              ["weigh", str(DEMO / "shoal-clear.txt"), "--dry", "300g"]),
    "tiles": (lambda: api.tiles([card("shoal-clear"), card("brine-crackle")], STUDIO),
              ["tiles", str(DEMO / "shoal-clear.txt"), str(DEMO / "brine-crackle.txt"), "--plan", "line"]),
    "adjust": (lambda: api.adjust(card("old-pier"), STUDIO), ["adjust", str(DEMO / "old-pier.txt")]),
    "swap": (lambda: api.swap(card("shoal-clear"), STUDIO, "Potash feldspar", ["Soda feldspar"]),
             ["swap", str(DEMO / "shoal-clear.txt"), "Potash feldspar", "Soda feldspar"]),
    "compare": (lambda: api.compare([card("shoal-clear"), card("old-pier")], STUDIO),
                ["compare", str(DEMO / "shoal-clear.txt"), str(DEMO / "old-pier.txt")]),
    "first": (lambda: api.first(STUDIO, cone="5"), ["first", "--cone", "5"]),
    "kiln": (lambda: api.kiln(STUDIO, cone="6"), ["kiln", "--cone", "6"]),
    "firing": (lambda: api.firing(STUDIO, cone="6", kind="bisque"),
               ["firing", "--cone", "6", "--kind", "bisque"]),
    "body": (lambda: api.body(STUDIO, fired_mm=100.0), ["body", "--fired", "100mm"]),
    "learn": (lambda: api.learn_body(STUDIO), ["learn"]),
    "learn --kiln": (lambda: api.learn_kiln(STUDIO, "Shed kiln"), ["learn", "--kiln", "Shed kiln"]),
}  # fmt: skip


@pytest.mark.parametrize("job", JOBS)
def test_a_library_call_answers_as_the_command_does(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    call, words = JOBS[job]
    assert json.loads(json.dumps(for_json(call()))) == told(capsys, *words)


WAYS = {
    "check": api.check, "formula": api.formula, "weigh": api.weigh, "tiles": api.tiles, "adjust": api.adjust,
    "swap": api.swap, "compare": api.compare, "first": api.first, "kiln": api.kiln, "firing": api.firing,
    "body": api.body, "learn": api.learn_body, "screen": api.screen,
}  # fmt: skip


@pytest.mark.parametrize("command", WAYS)
def test_what_the_library_takes_is_what_the_command_takes(command: str) -> None:
    """By the same names, but for the unit that a bare number has in its name, and what usually is asked for."""
    program()
    typed = inspect.signature(spread(COMMANDS[command][0])).parameters
    taken = dict(inspect.signature(WAYS[command]).parameters)
    if taken.pop("where", None):
        taken |= dict.fromkeys(api.Where.__annotations__, inspect.Parameter("of_where", inspect.Parameter.KEYWORD_ONLY))
    for name, parameter in taken.items():
        bare = name.removesuffix("_g").removesuffix("_mm").removesuffix("_h")
        other = {"recipe": "recipes", "name": "body", "target": "out"}.get(bare, bare)
        assert {bare, other} & set(typed), f"{command} has no {name}"
        if bare == name and isinstance(parameter.default, str | bool) and name != "plan":
            assert typed[name].default == parameter.default, name


def test_a_table_is_estimated_as_by_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "glasses.csv"
    table.write_text("id,SiO2,Al2O3,Na2O,CaO\na,65,5,15,15\nb,70,8,12,10\n", encoding="utf-8")
    stream = io.StringIO()
    assert api.screen(table, stream, STUDIO) == 2
    main(["screen", str(table), "--studio", str(DEMO)])
    assert stream.getvalue().splitlines() == capsys.readouterr().out.splitlines()


def test_records_are_kept_as_by_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same tile and firing from both doors are the same entries, but for their number."""
    folder = tmp_path / "mine"
    api.start_studio(folder)
    studio, shoal = api.open_studio(folder), api.recipe_from_file(folder / "shoal-clear.txt")
    at = ["--studio", str(folder), "--date", "2026-03-31"]
    assert main(["record", "tile", str(folder / "shoal-clear.txt"), *at, "--result", "sound", "--json"]) == 0
    typed = json.loads(capsys.readouterr().out)["results"][0]["entry"]
    tile = api.TileRecord(
        recipe=api.frozen(shoal, studio), glaze=shoal.name, body=typed["body"], cone=typed["cone"], date="2026-03-31",
        results=(api.TileResult.SOUND,),
    )  # fmt: skip
    assert api.record(tile, studio).id != typed["id"]
    told = ["record", "firing", *at, "--kiln", "Shed kiln", "--hours", "8", "--at", "2:00=400C", "--witness", "6=down"]
    assert main([*told, "--json"]) == 0
    capsys.readouterr()
    looks, cones = (api.Reading(2.0, 400.0),), (api.WitnessCone("6", "down"),)
    fired = api.FiringRecord(kiln="Shed kiln", date="2026-03-31", hours=8.0, readings=looks, cones=cones)
    assert api.record(fired, studio).id
    main(["journal", "--studio", str(folder), "--json"])
    entries = json.loads(capsys.readouterr().out)["results"][0]["entries"]
    for kind in ("tile", "firing"):
        first, second = (
            {k: v for k, v in e.items() if k not in ("id", "recorded_at")} for e in entries if e["kind"] == kind
        )
        assert first == second


def test_a_record_that_contradicts_itself_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    api.start_studio(folder)
    both = (api.WitnessCone("6", "down"), api.WitnessCone("6", "stands"))
    with pytest.raises(api.ProblemsError):
        api.record(api.FiringRecord(kiln="Shed kiln", cones=both), api.open_studio(folder))


def test_every_promised_name_is_promised() -> None:
    """What api.py brings in or defines for users stands in __all__: a star import is the whole promise (PEP 8, public interfaces)."""
    tree = ast.parse(Path(api.__file__).read_text(encoding="utf-8"))
    defined = {node.name for node in tree.body if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")}
    returned = {
        name.id
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and node.name in api.__all__ and node.returns is not None
        for name in ast.walk(node.returns)
        if isinstance(name, ast.Name)
        and isinstance(getattr(api, name.id, None), type)
        and getattr(getattr(api, name.id), "__module__", "").startswith("glazecalc")
    }
    assert defined <= set(api.__all__)
    assert returned <= set(api.__all__)
    assert len(set(api.__all__)) == len(api.__all__)
