"""What a command line loads before its command: numpy for those that calculate, nothing for help."""

from __future__ import annotations

import subprocess
import sys

import pytest

from glazecalc.cli.main import IN_SHORT, NEVER_CALCULATE, needs_numpy


@pytest.mark.parametrize(("words", "needed"), [
    (["check", "card.txt"], True), (["--debug", "weigh", "card.txt"], True), (["kiln"], True),
    ([], False), (["--help"], False), (["check", "--help"], False), (["check", "-h"], False), (["--version"], False),
    (["start", "my-studio"], False), (["journal"], False), (["record", "tile", "card.txt"], False), (["cehck"], False),
])  # fmt: skip
def test_needs_numpy(words: list[str], needed: bool) -> None:
    assert needs_numpy(words) is needed


@pytest.mark.parametrize("command", sorted(NEVER_CALCULATE & set(IN_SHORT)))
def test_commands_said_not_to_calculate_do_without_numpy(command: str, tmp_path) -> None:
    words = [command, str(tmp_path / "studio")] if command == "start" else [command]
    code = (
        "import sys; from glazecalc.cli.main import main; main(sys.argv[1:]); "
        "sys.exit(9 if 'numpy' in sys.modules else 0)"
    )
    found = subprocess.run([sys.executable, "-c", code, *words], cwd=tmp_path, capture_output=True, check=False)
    assert found.returncode == 0, found.stderr
