"""The command: registers every command family, and turns every ending into a message and an exit code."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Annotated, Any, Final

import typer

from glazecalc.cli.exits import ExitCode
from glazecalc.cli.frame import fail
from glazecalc.values.problem import Problem, ProblemsError, error

IN_SHORT: Final = {
    "check": "Does it fit the clay, melt, and does the kiln get there?",
    "formula": "What is in the fired glaze.",
    "weigh": "A batch sheet for your scale, with water.",
    "tiles": "Test tiles: weights, labels, what each should do.",
    "adjust": "The smallest change that fits and melts.",
    "swap": "Replace a material, keep the formula.",
    "compare": "Recipes side by side.",
    "start": "Make a studio folder to edit.",
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
}
FAMILIES: Final = tuple(name for name in IN_SHORT if name != "record")
"""The command files; `record` comes with `journal`."""
REPORT_TO = "please report it, with the command you typed, to the place you got glazecalc from"

app = typer.Typer(
    name="glazecalc",
    help="Will this glaze fit my clay and melt in my kiln, and how do I weigh it?",
    epilog="Begin with: glazecalc start my-studio",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)


def _version(asked: bool) -> None:
    if asked:
        from glazecalc import __version__

        typer.echo(f"glazecalc {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    pass


for _family in FAMILIES:
    import_module(f"glazecalc.cli.{_family}").register(app)
for _command in app.registered_commands:
    _command.short_help = IN_SHORT[str(_command.name)]
for _group in app.registered_groups:
    _group.short_help = IN_SHORT[str(_group.name)]


def run(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave the process with the exit code of the contract."""
    try:
        code = main(sys.argv[1:] if arguments is None else arguments)
        for stream in (sys.stdout, sys.stderr):
            if stream is not None:
                stream.flush()
    except OSError:  # a stream that is full or gone: nobody can be told
        code = ExitCode.USAGE
        _let_go_of_streams()
    sys.exit(code)


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
    as_json = "--json" in words
    command = next((w for w in words if not w.startswith("-")), "")
    try:
        return int(app(args=words, standalone_mode=False) or ExitCode.DONE)
    except ProblemsError as stop:
        return fail(command, stop.problems, as_json)
    except (KeyboardInterrupt, EOFError):
        return ExitCode.INTERRUPTED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ExitCode.DONE
    except Exception as exc:
        return _other_ending(exc, command, as_json, debug)


def _other_ending(exc: Exception, command: str, as_json: bool, debug: bool) -> int:
    if type(exc).__name__ == "Abort":
        return ExitCode.INTERRUPTED
    usage = _usage_problem(exc)
    if usage is not None:
        return fail(command, [usage], as_json)
    if isinstance(exc, OSError):
        what = exc.strerror or str(exc)
        return fail(command, [error("system", f"the system refused: {what}", file=exc.filename)], as_json)
    if debug:
        raise exc
    problem = error("bug", f"a fault of glazecalc: {type(exc).__name__}: {exc}", REPORT_TO + "; --debug shows where")
    return fail(command, [problem], as_json, ExitCode.BUG)


def _usage_problem(exc: Any) -> Problem | None:
    """The command-line parser's own errors, told by what they can do: its classes are private to Typer."""
    if not (hasattr(exc, "format_message") and hasattr(exc, "exit_code")):
        return None
    path = exc.ctx.command_path if getattr(exc, "ctx", None) else "glazecalc"
    return error("usage", str(exc.format_message()), f"see {path} --help")
