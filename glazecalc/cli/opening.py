"""Opens what a command names, and asks once about the words on its cards that no material bears."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from glazecalc.jobs.bench import Bench

AsOption = Annotated[
    list[str] | None,
    typer.Option("--as", metavar="NAME=MATERIAL", help="What a word on the card means; the studio remembers it."),
]


def opened(
    recipes: Sequence[str],
    studio: Path | None,
    strict: bool,
    units: str | None,
    named: Sequence[str] | None,
    as_json: bool,
    needs_studio: bool = True,
) -> Bench:
    """The studio and the cards; at a terminal, words that nothing bears are asked about."""
    from glazecalc.jobs.aliases import answers_to, names_to_ask
    from glazecalc.jobs.bench import open_bench

    said = tuple(named or ())
    bench = open_bench(recipes, studio, strict, units, needs_studio, said)
    if as_json or "-" in recipes or not at_terminal():
        return bench
    asked = names_to_ask(bench.recipes, bench.pantry)
    answers = tuple(answers_to(asked, bench.pantry, typer.echo, _typed)) if asked else ()
    return open_bench(recipes, studio, strict, units, needs_studio, (*said, *answers)) if answers else bench


def at_terminal() -> bool:
    """Whether somebody is there to be asked."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))


def _typed() -> str:
    return str(typer.prompt(">", default="", show_default=False, prompt_suffix=" "))
