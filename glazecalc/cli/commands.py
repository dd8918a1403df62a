"""The commands by name, and the program with those of them that a command line asks for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from importlib import import_module
from typing import Annotated, Final

import typer

IN_SHORT: Final = {
    "check": "Does it fit the clay, melt, and does the kiln get there?",
    "formula": "What is in the fired glaze.",
    "weigh": "A batch sheet for your scale, with water.",
    "tiles": "Test tiles: weights, labels, what each should do.",
    "adjust": "The smallest change that fits and melts.",
    "swap": "Replace a material, keep the formula.",
    "compare": "Recipes side by side.",
    "start": "Make a studio folder to edit.",
    "first": "A glaze to begin with on your clay, in your kiln.",
    "materials": "List, show or add raw materials.",
    "report": "A page to print and hang above the bench.",
    "labels": "Labels for buckets, jars and tiles.",
    "journal": "List what was recorded; save or restore it.",
    "record": "Write down a tile, a firing or a batch.",
    "learn": "What tiles say of the clay, firings of the kiln.",
    "body": "What is known of a clay.",
    "kiln": "May it be plugged in there, and how hot does it get?",
    "firing": "A schedule, and which cone bends when.",
    "screen": "Estimates for a whole table.",
    "open": "All of it in a page in your browser.",
}
FAMILIES: Final = tuple(name for name in IN_SHORT if name != "record")
"""The command files; `record` comes with `journal`."""
NEVER_CALCULATE: Final = frozenset({"start", "journal"})
"""The command files that do without numpy."""


def asked_families(words: Sequence[str]) -> tuple[str, ...]:
    """The command files a command line needs: that of its command, or all where it names none of them."""
    word = next((w for w in words if not w.startswith("-")), "")
    family = "journal" if word == "record" else word
    return (family,) if family in FAMILIES else FAMILIES


def needs_numpy(words: Sequence[str]) -> bool:
    """Whether a command line runs a command that calculates, rather than asking for help or naming none."""
    asked = asked_families(words)
    return len(asked) == 1 and asked[0] not in NEVER_CALCULATE and not {"-h", "--help"} & set(words)


def program(families: Iterable[str] = FAMILIES) -> typer.Typer:
    """The program with these command files; building one of them takes a twentieth of the time of all."""
    app = typer.Typer(
        name="glazecalc",
        help="Will this glaze fit my clay and melt in my kiln, and how do I weigh it?",
        epilog="Begin with: glazecalc start my-studio",
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    )
    app.callback()(_root)
    for family in families:
        import_module(f"glazecalc.cli.{family}").register(app)
    for command in app.registered_commands:
        command.short_help = IN_SHORT[str(command.name)]
    for group in app.registered_groups:
        group.short_help = IN_SHORT[str(group.name)]
    return app


def _version(asked: bool) -> None:
    if asked:
        from glazecalc import __version__

        typer.echo(f"glazecalc {__version__}")
        raise typer.Exit


def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    pass
