"""Every key of studio.toml with every sort of value TOML has: read, or refused in plain words with its line."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from glazecalc.files.studio import MANY, ONE, read_studio
from tests.files.told_codes import CODES

# The sorts of value of TOML 1.0 (toml.io/en/v1.0.0): strings, integers, floats with inf and nan, booleans, dates, times,
# arrays, inline tables.
VALUES = (
    "inf", "nan", "-1.5", "12", "9223372036854775807", "1e308", "true", "[1, 2]", "{ a = 1 }", "[{ a = 1 }]", "1979-05-27",
    "1979-05-27T07:32:00Z", '""', '"x"', '"nan"', '"1e999"', '"-5 mm"', '"5 parsec"',
)  # fmt: skip
NEEDED = {
    "body": ("ware", '"stoneware"'), "scale": ("resolution_g", "0.1"), "piece": ("width_mm", "80"),
    "container": ("width_mm", "200"),
}  # fmt: skip
PYTHON = re.compile(r"[{}]|\[\d|datetime|\bNone\b|\bTrue\b|\bFalse\b|pydantic|[Ii]nput")


def text_of(section: str, key: str, value: str) -> str:
    lines = [f"[[{section}]]" if section in MANY else f"[{section}]"]
    if section in MANY and key != "name":
        lines.append('name = "x"')
    if section in NEEDED and NEEDED[section][0] != key:
        lines.append(" = ".join(NEEDED[section]))
    return "\n".join([*lines, f"{key} = {value}", ""])


@pytest.mark.parametrize("section", [*MANY, *ONE])
def test_every_key_with_every_sort_of_value(section: str, tmp_path: Path) -> None:
    file = tmp_path / "studio.toml"
    made = (MANY | ONE)[section][1]
    for key in (*made.keys, *made.renamed, "width", "no_such_key"):
        for value in VALUES:
            file.write_text(text_of(section, key, value), encoding="utf-8")
            for problem in read_studio(tmp_path)[1]:
                assert problem.code in CODES
                assert (problem.file, bool(problem.line)) == (str(file), True), problem
                assert not PYTHON.search(problem.message), problem
                assert problem.message.isprintable() and len(problem.message) < 200


@pytest.mark.parametrize("value", ["inf", "nan", "[1]", "{ a = 1 }", "true"])
def test_a_name_is_a_text(value: str, tmp_path: Path) -> None:
    (tmp_path / "studio.toml").write_text(f"\n[[kiln]]\nname = {value}\n", encoding="utf-8")
    studio, problems = read_studio(tmp_path)
    assert [(p.code, p.line) for p in problems] == [("wrong-type", 3)]
    assert not studio.kilns


def test_a_name_in_digits_is_taken_as_written(tmp_path: Path) -> None:
    (tmp_path / "studio.toml").write_text("[[kiln]]\nname = 12\n", encoding="utf-8")
    studio, problems = read_studio(tmp_path)
    assert (studio.kilns[0].name, problems) == ("12", ())


@pytest.mark.parametrize("section", [*MANY, *ONE, "cupboard"])
def test_a_table_within_a_table_has_its_line(section: str, tmp_path: Path) -> None:
    (tmp_path / "studio.toml").write_text(f"# mine\n[{section}.{section}]\nname = 1\n", encoding="utf-8")
    problems = read_studio(tmp_path)[1]
    assert problems and all(p.line in (2, 3) for p in problems)
