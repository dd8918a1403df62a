"""What `adjust` and `swap` share: materials named on the command line, and writing a changed recipe as a card."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from glazecalc.values.answers import Problem, ProblemsError, error, remark
from glazecalc.values.results.adjust import Option


def limits(texts: Sequence[str]) -> tuple[tuple[str, float], ...]:
    """``Kaolin=20`` as the material and its most parts in 100 of base. Raises ProblemsError."""
    from glazecalc.cli.asked import percent

    found = []
    for text in texts:
        name, equals, amount = text.rpartition("=")
        if not equals or not name.strip():
            raise ProblemsError([error("limit", f"--limit {text!r} is not a limit", 'write --limit "Kaolin=20"')])
        found.append((name.strip(), percent(amount, "--limit")))
    return tuple(found)


def write_card(options: Sequence[Option], pick: int, path: Path | None, force: bool) -> list[Problem]:
    """Write the picked option, counted from 1, as a recipe card; says so. Raises ProblemsError if it cannot."""
    from glazecalc.files.writing import write_file
    from glazecalc.render.text.changes import card_text

    if path is None:
        return []
    if not options:
        raise ProblemsError([error("nothing-to-write", "there is no option to write", "see the answer without -o")])
    if not 1 <= pick <= len(options):
        raise ProblemsError([error("pick", f"there is no option {pick}", f"there are {len(options)}, counted from 1")])
    write_file(path, card_text(options[pick - 1].recipe), force)
    hint = "plan the proof with: glazecalc tiles OLD NEW --plan line --size 4"
    return [remark("written", f"option {pick} is written", hint, str(path))]
