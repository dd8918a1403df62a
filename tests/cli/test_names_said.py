"""`--as` and `materials --alias`: a word on a card is said once, and the studio remembers it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from glazecalc.cli.main import main

CARD = "name: Moss\ncone: 6\n\nneph sy 36\nQVK 20\nsilica 26\nWhiting 18\n"
STUDIO = '# my studio, and a comment to keep\n[defaults]\ncone = "6"\n'


@dataclass
class Said:
    """What a command left: its exit code and its two streams."""

    exit_code: int
    stdout: str
    stderr: str


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., Said]:
    def words(*given: str) -> Said:
        code = main(list(given))
        told = capsys.readouterr()
        return Said(code, told.out, told.err)

    return words


Run = Callable[..., Said]


def studio(folder: Path) -> Path:
    (folder / "studio.toml").write_text(STUDIO)
    (folder / "moss.txt").write_text(CARD)
    return folder / "moss.txt"


@pytest.mark.parametrize("command", ["check", "formula", "weigh", "compare"])
def test_a_word_is_said_once_and_remembered(run: Run, tmp_path: Path, command: str) -> None:
    path = studio(tmp_path)
    names = [str(path)] * (2 if command == "compare" else 1)
    before = run(command, *names, "--studio", str(tmp_path))
    assert before.exit_code == 2 and '--as "QVK=' in before.stderr
    said = run(command, *names, "--studio", str(tmp_path), "--as", "QVK=Kaolin")
    assert said.exit_code != 2, said.stderr
    assert "kept in the studio" in said.stderr
    text = (tmp_path / "studio.toml").read_text()
    assert text.startswith("# my studio, and a comment to keep") and 'QVK = "Kaolin"' in text
    later = run(command, *names, "--studio", str(tmp_path))
    assert later.exit_code == said.exit_code and "kept in the studio" not in later.stderr


def test_how_each_line_was_read_is_shown(run: Run, tmp_path: Path) -> None:
    path = studio(tmp_path)
    shown = run("check", str(path), "--studio", str(tmp_path), "--as", "QVK=Kaolin").stdout
    assert "Read as: 36 Nepheline syenite (neph sy), 20 Kaolin (QVK), 26 Silica, 18 Whiting." in " ".join(shown.split())


def test_without_a_studio_the_word_is_taken_for_the_answer_only(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "moss.txt"
    path.write_text(CARD)
    said = run("formula", str(path), "--as", "QVK=Kaolin")
    assert said.exit_code == 0 and "alias-not-kept" in said.stderr
    assert not (tmp_path / "studio.toml").exists()


def test_materials_alias_lists_what_is_kept(run: Run, tmp_path: Path) -> None:
    studio(tmp_path)
    told = run("materials", "--alias", "old spar=potash felspar", "--studio", str(tmp_path))
    assert told.exit_code == 0 and "old spar means Potash feldspar" in told.stdout
    shown = run("materials", "old spar", "--studio", str(tmp_path))
    assert shown.exit_code == 0 and "Potash feldspar" in shown.stdout


def test_an_alias_of_no_material_changes_nothing(run: Run, tmp_path: Path) -> None:
    studio(tmp_path)
    told = run("materials", "--alias", "QVK=Unheard of", "--studio", str(tmp_path))
    assert told.exit_code == 2 and (tmp_path / "studio.toml").read_text() == STUDIO


def test_nothing_is_promised_where_there_is_no_studio(run: Run, tmp_path: Path) -> None:
    told = run("materials", "--alias", "QVK=Kaolin", "--studio", str(tmp_path))
    assert told.exit_code == 2 and "no-studio" in told.stderr


def test_saying_a_word_is_no_fault_under_strict(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "moss.txt"
    (tmp_path / "studio.toml").write_text(STUDIO)
    path.write_text("name: Moss\ncone: 6\n\nNepheline syenite 40\nQVK 20\nSilica 22\nWhiting 18\n")
    said = run("formula", str(path), "--strict", "--studio", str(tmp_path), "--as", "QVK=Kaolin")
    assert said.exit_code == 0, said.stderr


def test_all_that_is_wrong_with_a_card_is_told_in_one_pass(run: Run, tmp_path: Path) -> None:
    """Unknown names are asked about beside the missing amounts, those of the lines without an amount too."""
    path = tmp_path / "moss.txt"
    path.write_text("name: Moss\ncone: 6\n\nPotash feldspar 40\nQVK 20\nSilica\nWhiting 18\nKaolyn 4-6\nZork\n")
    said = run("check", str(path))
    assert said.exit_code == 2
    for line, code in ((5, "unknown-material"), (6, "amount-missing"), (8, "amount-range"), (8, "unknown-material"),
                       (9, "amount-missing"), (9, "unknown-material")):  # fmt: skip
        assert any(f"moss.txt:{line}: error" in told and f"[{code}]" in told for told in said.stderr.splitlines()), (
            line,
            code,
        )
    assert '--as "QVK=' in said.stderr and "did you mean Kaolin" in said.stderr
    assert ":6: error: no material" not in said.stderr, "Silica is known"


@pytest.mark.parametrize("text", [
    "name: Two\n\nSilica 50\nKaolin 50\n\nname: Other\nSilica 60\nKaolin 40\n", "SiO2 3\nCaO x\nAl2O3 0.5\n", "\n", "just words\n",
])  # fmt: skip
def test_no_name_is_asked_about_where_there_is_no_batch(text: str, run: Run, tmp_path: Path) -> None:
    path = tmp_path / "odd.txt"
    path.write_text(text)
    said = run("check", str(path))
    assert said.exit_code == 2 and "unknown-material" not in said.stderr
