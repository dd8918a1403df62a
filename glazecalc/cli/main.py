"""The command: the table of commands, and every ending turned into a message and an exit code."""

from __future__ import annotations

import contextlib
import errno
import gc
import os
import sys
from collections.abc import Collection, Sequence
from importlib import import_module
from typing import Annotated, Any, Final

import typer

from glazecalc.cli.frame import COMMANDS, ExitCode, NamedCommand, document, fail, print_json
from glazecalc.cli.options import spread
from glazecalc.values.answers import ProblemsError, error

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
FILES: Final = {
    "recipes": ("check", "formula", "compare"), "weigh": ("weigh",), "tiles": ("tiles",),
    "changes": ("adjust", "swap"), "studio": ("start", "first", "open"), "materials": ("materials", "body"),
    "report": ("report", "labels"), "journal": ("journal", "record", "learn"), "kiln": ("kiln", "firing"),
    "screen": ("screen",),
}  # fmt: skip
"""Which file holds which commands."""
NEVER_CALCULATE: Final = frozenset({"start", "journal", "record"})
"""The commands that do without numpy."""


def asked_commands(words: Sequence[str]) -> tuple[str, ...]:
    """The command a command line names, or all where it names none of them."""
    word = next((w for w in words if not w.startswith("-")), "")
    return (word,) if word in IN_SHORT else tuple(IN_SHORT)


def needs_numpy(words: Sequence[str]) -> bool:
    """Whether a command line runs a command that calculates, rather than asking for help or naming none."""
    asked = asked_commands(words)
    return len(asked) == 1 and asked[0] not in NEVER_CALCULATE and not {"-h", "--help"} & set(words)


def program(asked: Collection[str] = tuple(IN_SHORT)) -> typer.Typer:
    """The program with these commands; building one of them takes a twentieth of the time of all."""
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
    for file in (file for file, held in FILES.items() if not set(held).isdisjoint(asked)):
        import_module(f"glazecalc.cli.{file}")
    for name in (name for name in IN_SHORT if name in asked):
        if name == "record":
            app.add_typer(import_module("glazecalc.cli.journal").record, name=name, short_help=IN_SHORT[name])
        else:
            function, beneath = COMMANDS[name]
            app.command(name, cls=NamedCommand, epilog=beneath, short_help=IN_SHORT[name])(spread(function, name))
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


REPORT_TO = "please report it, with the command you typed, to the place you got glazecalc from"


def run(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave the process with the exit code of the contract."""
    try:
        words = sys.argv[1:] if arguments is None else arguments
        _make_start_light(words)
        code = main(words)
        for stream in (sys.stdout, sys.stderr):
            if stream is not None:
                stream.flush()
    except OSError:  # a stream that is full or gone: nobody can be told
        code = ExitCode.USAGE
        _let_go_of_streams()
    gc.freeze()  # the last rounds of garbage collection of a process that ends take a sixth of a `check`
    sys.exit(code)


def _make_start_light(words: Sequence[str]) -> None:
    """Settings of a short-lived process: rare rounds of garbage collection, no search for pydantic plugins, and numpy
    loaded here where a command is to calculate.

    Importing makes some hundred thousand objects that all stay, so looking for garbage among them is a tenth of the
    time of a `check`; the search through the installed packages is as much again. Python keeps its call stack in pieces
    of 16 KiB; numpy loaded from within a command falls on the edge of one, and asks the system for the next piece and
    gives it back over a thousand times.
    """
    gc.set_threshold(400_000, 20, 20)
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    if needs_numpy(words):
        import numpy as np  # noqa: F401


def _let_go_of_streams() -> None:
    """Point broken streams at nothing, so that the interpreter does not fail on them when it ends."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            with contextlib.suppress(OSError, ValueError):
                os.dup2(nothing, stream.fileno())


def main(arguments: Sequence[str]) -> int:
    """Run the command line; returns the exit code instead of leaving."""
    words = [a for a in arguments if a != "--debug"]
    debug = len(words) != len(arguments)
    words = words or ["--help"]
    as_json = "--json" in words
    command = next((w for w in words if not w.startswith("-")), "")
    if as_json and "--version" in words and not command:
        return _version_as_json()
    try:
        return int(program(asked_commands(words))(args=words, standalone_mode=False) or ExitCode.DONE)
    except ProblemsError as stop:
        return fail(command, stop.problems, as_json)
    except (KeyboardInterrupt, EOFError):
        return ExitCode.INTERRUPTED
    except BrokenPipeError:
        _let_go_of_streams()
        return ExitCode.DONE
    except SystemExit as end:
        if end.code == 1 and isinstance(end.__context__, BrokenPipeError):  # the reader of a pipe has gone: no verdict
            _let_go_of_streams()
            return ExitCode.DONE
        raise
    except Exception as exc:
        return _other_ending(exc, command, as_json, debug)


def _version_as_json() -> int:
    from glazecalc import __version__

    print_json(document("version", "done", [{"name": "glazecalc", "version": __version__}], []))
    return ExitCode.DONE


def _other_ending(exc: Any, command: str, as_json: bool, debug: bool) -> int:
    if type(exc).__name__ == "Abort":
        return ExitCode.INTERRUPTED
    if hasattr(exc, "format_message") and hasattr(exc, "exit_code"):  # the parser's own: its classes are Typer's alone
        path = exc.ctx.command_path if getattr(exc, "ctx", None) else "glazecalc"
        return fail(command, [error("usage", str(exc.format_message()), f"see {path} --help")], as_json)
    if isinstance(exc, OSError) and exc.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", None)):
        hint = "free some space and try again"
        return fail(command, [error("disk-full", "the disk is full", hint, exc.filename)], as_json)
    if isinstance(exc, OSError):
        what = exc.strerror or str(exc)
        return fail(command, [error("system", f"the system refused: {what}", file=exc.filename)], as_json)
    if debug:
        raise exc
    problem = error("bug", f"a fault of glazecalc: {type(exc).__name__}: {exc}", REPORT_TO + "; --debug shows where")
    return fail(command, [problem], as_json, ExitCode.BUG)
