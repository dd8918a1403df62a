"""A studio folder: every table, every way of giving a unit, and every slip with its line and a hint."""

from __future__ import annotations

from pathlib import Path

import pytest

from glazecalc.files.studio import find_studio, read_studio
from glazecalc.files.toml_lines import key_lines
from glazecalc.values.answers import Problem
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Studio

FULL = """
[scale]
resolution_g = 0.1
capacity_g = "2 kg"

[units]
temperature = "F"
length = "inches"

[[body]]
name = "Harbour white"
class = "stoneware"
expansion = { value = 6.5, low = 5.9, high = 7.1, from_degC = 20, to_degC = "1000 F", source = "the bag" }
cone_low = "5"
cone_high = 6
absorption_percent = { "04" = "11 %", "6" = 2.0 }
shrinkage_percent = { 6 = 12 }

[[body]]
name = "Brick red"
class = "terra-cotta"
expansion = "65e-7 /K"
cone_low = "06"

[[kiln]]
name = "Little kiln"
volts = "120 V"
amps = 15
watts = "1.8 kW"
phase = 1
plug = "5-15P"
cone = "8"
interior = { shape = "round", width_mm = "7 in", height_mm = "6 in" }
wall = "2.5 in"
shelves = 1
firings_on_elements = 40

[[circuit]]
name = "shed"
volts = 120
breaker_A = 20
receptacle = "5-20R"
wire_awg = "12 AWG"
length_m = "40 ft"
other_load_A = 0
cord = false
ground_fault = true

[[room]]
name = "shed"
volume_m3 = "700 cuft"
exhaust_m3_per_h = "100 cfm"
floor = "concrete"
separate = true

[[piece]]
name = "mug"
diameter = "3.5 in"
height_mm = 95

[[container]]
name = "bucket"
width_mm = 250
height_mm = 300

[defaults]
body = "Harbour white"
kiln = "little kiln"
circuit = "shed"
room = "shed"
cone = "6"
"""


def studio(tmp_path: Path, text: str) -> tuple[Studio, tuple[Problem, ...]]:
    (tmp_path / "studio.toml").write_text(text)
    return read_studio(tmp_path)


def test_full_studio_is_read_without_a_problem(tmp_path: Path) -> None:
    read, problems = studio(tmp_path, FULL)
    assert problems == ()
    white, red = read.bodies
    assert white.expansion is not None and white.expansion.to_degC == pytest.approx(537.78, abs=0.01)
    assert (str(white.cone_low), str(white.cone_high), white.ware, red.ware) == ("5", "6", "stoneware", "terracotta")
    assert [(str(a.cone), a.percent) for a in white.absorption_percent] == [("04", 11.0), ("6", 2.0)]
    assert red.expansion is not None and red.expansion.value == pytest.approx(6.5)
    kiln = read.kilns[0]
    assert (kiln.volts, kiln.watts, kiln.wall_mm, kiln.line) == (120.0, 1800.0, pytest.approx(63.5), 25)
    assert kiln.interior is not None and kiln.interior.width_mm == pytest.approx(177.8)
    circuit = read.circuits[0]
    assert (circuit.wire_awg, circuit.length_m, circuit.cord, circuit.ground_fault) == (
        12,
        pytest.approx(12.192),
        "none",
        "yes",
    )
    assert read.rooms[0].volume_m3 == pytest.approx(19.82, abs=0.01)
    assert read.rooms[0].exhaust_m3_per_h == pytest.approx(169.9, abs=0.1)
    assert (read.pieces[0].width_mm, read.scales[0].capacity_g) == (pytest.approx(88.9), 2000.0)
    assert (read.units.temperature, read.units.length, str(read.defaults.cone)) == ("F", "in", "6")


def test_demo_studio_is_read_without_a_problem() -> None:
    read, problems = read_studio(data_root() / "recipes")
    assert problems == ()
    assert len(read.bodies) >= 3 and len(read.kilns) >= 2 and len(read.circuits) >= 2
    assert read.materials and read.scales[0].resolution_g == 0.1


SLIPS = {
    '[[body]]\nname = "x"\nexpansion = 65\n': ("wrong-unit", 3, "write 6.5"),
    '[[body]]\nname = "x"\nexpansion = 6.5e-6\n': ("wrong-unit", 3, "write 6.5"),
    '[[body]]\nname = "x"\n\nclass = "stonware"\n': ("not-a-choice", 4, "stoneware"),
    '[[body]]\nname = "x"\ncone_low = 06\n': ("quote-the-cone", 3, '"06"'),
    '[[body]]\nname = "x"\n[[body]]\nname = "X"\n': ("name-twice", 3, "rename"),
    '[[body]]\nname = "x"\nabsorption_percent = 2\n': ("cone-missing", 3, '"6"'),
    '[[kiln]]\nname = "x"\nvolt = 120\n': ("unknown-key", 3, "volts"),
    '[[kilns]]\nname = "x"\n': ("unknown-key", 1, "kiln"),
    '[[kiln]]\nname = "x"\nwatts = 1.8\n': ("wrong-unit", 3, "1800"),
    '[[kiln]]\nname = "x"\nvolts = 12\n': ("out-of-range", 3, "50 V"),
    '[[kiln]]\nname = "x"\nwall_mm = "3 kg"\n': ("wrong-unit", 3, "mm"),
    '[[kiln]]\nname = "x"\n[[kiln]]\nvolts = 120\n': ("key-missing", 3, "name"),
    '[[kiln]]\nname = Little\n': ("toml-syntax", 2, "quotes"),
    "[scale]\nresolution_g = 0,1\n": ("toml-syntax", 2, "decimal point"),
    '[kiln]\nname = "x"\n[kiln]\nname = "y"\n': ("toml-syntax", 3, "[[kiln]]"),
    '[[kiln]]\nname = "Little"\n[defaults]\nkiln = "Litle"\n': ("unknown-default", 4, "Little"),
    '[[kiln]]\nname = "x"\ninterior = { shape = "round", width_mm = 7, height_mm = 200 }\n': (
        "out-of-range", 3, "20 mm"),
    '[[circuit]]\nname = "x"\nwire_awg = 2.5\n': ("wrong-type", 3, ""),
    '[[circuit]]\nname = "x"\nground_fault = "maybe"\n': ("not-a-choice", 3, "unknown"),
}  # fmt: skip


@pytest.mark.parametrize("text", SLIPS)
def test_slips_have_their_line_and_a_hint(text: str, tmp_path: Path) -> None:
    code, line, hint = SLIPS[text]
    _, problems = studio(tmp_path, text)
    said = [p for p in problems if p.is_error and p.code == code]
    assert said, problems
    assert said[0].line == line and hint in said[0].hint
    assert said[0].file == str(tmp_path / "studio.toml")


def test_a_fault_in_one_table_leaves_the_others(tmp_path: Path) -> None:
    read, problems = studio(tmp_path, '[[kiln]]\nname = "x"\nvolts = -1\n[[kiln]]\nname = "y"\nvolts = 240\n')
    assert [k.name for k in read.kilns] == ["y"] and len(problems) == 1


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('[[kiln]]\nname = "x"\nwall = 60\n', "unit-assumed"),
        ('[[kiln]]\nname = "x"\nwall_mm = "60"\n', "unit-assumed"),
        ('[[kiln]]\nname = "x"\nwall_mm = 6\n', "unusual-value"),
        ('[[kiln]]\nname = "x"\nvolts = 120\namps = 15\nwatts = 2800\n', "plate-disagrees"),
        ('[[body]]\nname = "x"\nexpansion = 19.5\n', "unusual-value"),
        ("", "empty-file"),
    ],
)
def test_odd_values_are_remarks(text: str, code: str, tmp_path: Path) -> None:
    _, problems = studio(tmp_path, text)
    assert [p.code for p in problems] == [code] and not problems[0].is_error


@pytest.mark.parametrize(("key", "value"), [("wall_in", 2.5), ("wall_cm", 6.35), ("wall", "2.5 in"), ("wall_mm", 63.5)])
def test_a_key_may_name_another_unit(key: str, value: object, tmp_path: Path) -> None:
    shown = f'"{value}"' if isinstance(value, str) else value
    read, problems = studio(tmp_path, f'[[kiln]]\nname = "x"\n{key} = {shown}\n')
    assert problems == ()
    assert read.kilns[0].wall_mm == pytest.approx(63.5)


def test_stock(tmp_path: Path) -> None:
    (tmp_path / "stock.csv").write_text("name,grams\nWhiting,500\nSilica,2 kg\nWhiting,100\n")
    read, problems = studio(tmp_path, "[scale]\nresolution_g = 0.1\n")
    assert dict(read.stock) == {"Whiting": 600.0, "Silica": 2000.0}
    assert [p.code for p in problems] == ["unit-converted", "named-twice"]


def test_no_studio_is_a_remark_and_no_folder_an_error(tmp_path: Path) -> None:
    for folder in (None, tmp_path):
        read, problems = read_studio(folder)
        assert read.bodies == () and [(p.code, p.is_error) for p in problems] == [("no-studio", False)]
    assert [(p.code, p.is_error) for p in read_studio(tmp_path / "gone")[1]] == [("no-such-folder", True)]


def test_studio_is_found_beside_the_recipe_then_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    here.mkdir()
    there.mkdir()
    monkeypatch.chdir(here)
    assert find_studio(there / "card.txt") is None
    (here / "studio.toml").write_text("")
    assert find_studio(there / "card.txt") == here == find_studio("-") == find_studio(None)
    (there / "studio.toml").write_text("")
    assert find_studio(there / "card.txt") == there == find_studio(there)
    assert find_studio(there / "card.txt", here) == here == find_studio(there, here / "studio.toml")


def test_lines_of_keys() -> None:
    text = '[scale]\nresolution_g = 1\n\n[[kiln]]\nname = "x"\ninterior = { shape = "round" }\n'
    text += '[[kiln]]\nname = "y"\n[kiln.interior]\nwidth_mm = 5\n'
    lines = key_lines(text)
    assert lines["scale", "resolution_g"] == 2
    assert lines["kiln", 0, "interior", "shape"] == 6
    assert lines["kiln", 1, "name"] == 8
    assert lines["kiln", 1, "interior", "width_mm"] == 10


@pytest.mark.parametrize(
    ("text", "what"),
    [('[[kiln]]\nname = "k"\nvolts = "many"\n', "volts"), ('[units]\nmass = "stone"\n', "units.mass"), ('[[kiln]]\nname = "k"\n[kiln.interior]\nshape = "round"\nwidth_mm = "wide"\nheight_mm = 200\n', "interior.width_mm"),
     ('[[scale]]\nresolution_g = true\n', "resolution_g")],
)  # fmt: skip
def test_a_fault_names_the_key_as_it_is_written(text: str, what: str, tmp_path: Path) -> None:
    (tmp_path / "studio.toml").write_text(text, encoding="utf-8")
    (fault,) = [p for p in read_studio(tmp_path)[1] if p.is_error]
    assert fault.message.startswith((f"{what}:", f"{what} ")), fault.message


def test_what_is_written_twice_is_to_be_written_once(tmp_path: Path) -> None:
    (tmp_path / "studio.toml").write_text('[[kiln]]\nname = "k"\nwall_mm = 60\nwall_in = 2.5\n', encoding="utf-8")
    (fault,) = [p for p in read_studio(tmp_path)[1] if p.is_error]
    assert (fault.code, fault.line, fault.hint) == ("key-twice", 4, "keep one") and "wall_mm a second time" in fault.message
