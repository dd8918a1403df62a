"""What leaves the outlet or the room open is said by `check` as by `kiln`."""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO, Ran

Run = Callable[..., Ran]


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    folder = tmp_path / "my studio"
    shutil.copytree(DEMO, folder)
    return folder


def rewritten(studio: Path, change: Callable[[str], str]) -> None:
    file = studio / "studio.toml"
    text = file.read_text(encoding="utf-8")
    changed = change(text)
    assert changed != text
    file.write_text(changed, encoding="utf-8")


def without(line: str, table: str = "Shed outlet") -> Callable[[str], str]:
    """A studio.toml without one line of one circuit."""
    return lambda text: re.sub(rf'(name = "{table}"\n(?:.+\n)*?){line} = .*\n', r"\1", text)


def told(run: Run, studio: Path, *words: str) -> tuple[int, str]:
    got = run(*words, "--studio", studio)
    return got.code, " ".join(got.out.split())


@pytest.mark.parametrize("line", ["other_load_A", "wire_awg", "breaker_A", "receptacle"])
def test_what_is_not_known_of_the_outlet_leaves_both_open(run: Run, studio: Path, line: str) -> None:
    """No fact of the outlet that is missing is taken as fine (common practice, no source)."""
    rewritten(studio, without(line))
    code, text = told(run, studio, "kiln", "Shed kiln", "--circuit", "Shed outlet")
    assert code == 3
    assert "Cannot say whether Shed outlet carries Shed kiln" in text
    code, text = told(run, studio, "check", "shoal-clear")
    assert code == 3
    assert "Whether Shed outlet carries it is open" in text


def test_a_studio_without_outlets_says_that_none_is_judged(run: Run, studio: Path) -> None:
    rewritten(
        studio, lambda text: re.sub(r"\[\[circuit\]\]\n(?:.+\n)+", "", text).replace('circuit = "Shed outlet"', "")
    )
    code, text = told(run, studio, "check", "shoal-clear")
    assert code == 0
    command = f'glazecalc kiln "Shed kiln" --studio "{studio}"'
    assert "No outlet is described, so whether one carries this kiln is not judged" in text
    got = run("check", "shoal-clear", "--studio", studio, "--json").json["results"][0]
    assert command in next(v["message"] for v in got["verdicts"] if v["rule"] == "kiln_reaches")
    code, text = told(run, studio, "kiln", "Shed kiln")
    assert code == 3
    assert text.startswith("No outlet is described, so whether one carries Shed kiln is open")
    assert "--circuit" not in text


def test_a_room_that_will_not_do_is_said_beside_an_unchanged_answer(run: Run, studio: Path) -> None:
    """Carpet burns, and about 18 inches (457 mm) all round is usual (common practice, no source)."""
    before = told(run, studio, "check", "shoal-clear")
    assert "not to be fired in" not in before[1]
    rewritten(
        studio,
        lambda text: re.sub(
            r'floor = ".*"', 'floor = "carpet"', re.sub(r"clearance_mm = .*", "clearance_mm = 100", text)
        ),
    )
    code, text = told(run, studio, "check", "shoal-clear")
    assert code == before[0]
    assert "Shed kiln is not to be fired in Shed as it is" in text
    assert "carpet" in text
    assert "100 mm free" in text
    assert "glazecalc kiln" in text


def test_the_next_step_can_be_typed(run: Run, studio: Path) -> None:
    steps = run("kiln", "Shed kiln", "--studio", studio, "--json").json["results"][0]["next_steps"]
    step = next(s for s in steps if "glazecalc record firing" in s)
    words = shlex.split(step[step.index("glazecalc ") :])
    assert words[-2:] == ["--studio", str(studio)]
    assert words[3:5] == ["--kiln", "Shed kiln"]
    got = run(*words[1:])
    assert got.code == 0, got.err


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ((), 2),
        (("--circuit", "Shed outlet"), 0),
        (("--date", "2026-03-31"), 0),
        (("--on-elements", "0"), 0),
        (("--hours", "8"), 0),
        (("--stalled",), 0),
        (("--note", "the wind was in the flue"), 0),
    ],
)
def test_a_firing_of_which_nothing_is_told_is_refused(
    run: Run, studio: Path, words: tuple[str, ...], code: int
) -> None:
    """Every firing recorded ages the elements by one, so that one typed by chance must not be written."""
    got = run("record", "firing", "--kiln", "Shed kiln", *words, "--studio", studio)
    assert got.code == code
    if code:
        assert "this firing has no facts" in got.err
        assert "--hours 8" in got.err
        assert run("journal", "--studio", studio, "--json").json["results"][0]["entries"] == []
