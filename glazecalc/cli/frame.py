"""What every command shares: how it is known, what it opens, how a result leaves, how a failure is said.

A command stands under :func:`command`. Inside, it imports what it needs, does its job and returns what it has to say,
which :func:`finish` prints.
"""

from __future__ import annotations

import io
import json
import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING, Any, Final, NoReturn, TextIO, TypeVar

import typer
from typer.core import TyperArgument, TyperCommand

from glazecalc.values.answers import Answer, Problem, ProblemsError, error, refuse

if TYPE_CHECKING:
    from glazecalc.cli.options import Usual
    from glazecalc.jobs.bench import Bench

# Exit codes: a script can tell `does not fit` from `could not run`.


class ExitCode(IntEnum):
    """What the process returns."""

    DONE = 0
    DOES_NOT_FIT = 1
    USAGE = 2
    CANNOT_SAY = 3
    BUG = 70
    INTERRUPTED = 130


_CODE_OF: Final[dict[Answer | None, ExitCode]] = {
    Answer.DOES_NOT_FIT: ExitCode.DOES_NOT_FIT, Answer.CANNOT_SAY: ExitCode.CANNOT_SAY,
}  # fmt: skip


# The commands of the files that were imported, each with what stands beneath its help.

Function = TypeVar("Function", bound=Callable[..., "Told | None"])
Choice = TypeVar("Choice", bound=str)
COMMANDS: Final[dict[str, tuple[Callable[..., Told | None], str]]] = {}


def examples(name: str, *typed: str, more: str = "") -> str:
    """What stands beneath a command's help: what may be ``typed`` after its name, and ``more``."""
    shown = (f"  glazecalc {name} {words}".rstrip() for words in typed)
    return "\n\n".join(("Examples:", *shown, *filter(None, [more]))) + "\n"


def command(name: str, *typed: str, more: str = "") -> Callable[[Function], Function]:
    """Make a function the command of that name, with its examples."""

    def known(function: Function) -> Function:
        COMMANDS[name] = (function, examples(name, *typed, more=more))
        return function

    return known


class NamedCommand(TyperCommand):
    """A command whose help names each argument by its metavar alone, whatever a version of typer puts around it."""

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        for argument in self._arguments():
            setattr(argument, "display_type_rich", lambda ctx: None)  # noqa: B010

    def collect_usage_pieces(self, ctx: Any) -> list[str]:
        """What follows the name of the command in its line of usage."""
        return ["[OPTIONS]", *(str(a.metavar) for a in self._arguments())]

    def _arguments(self) -> list[TyperArgument]:
        return [p for p in self.params if isinstance(p, TyperArgument)]


@dataclass(frozen=True, slots=True)
class Told:
    """What a command has to say: its results (for JSON), its text for people, and what was found on the way.

    ``answer`` is None for a job that judges nothing.
    """

    results: Sequence[object]
    text: str
    answer: Answer | None = None
    problems: Sequence[Problem] = ()


def document(command: str, answer: str, results: Sequence[object], problems: Sequence[Problem]) -> dict[str, Any]:
    """The JSON document of the contract."""
    from glazecalc.render.json import for_json

    found = {"results": for_json(results), "problems": for_json(problems)}
    return {"schema": 1, "command": command, "answer": answer, **found}


def finish(command: str, outcome: Told, as_json: bool) -> NoReturn:
    """Print a result and leave with its exit code."""
    if as_json:
        answer = outcome.answer.value if outcome.answer else "done"
        print_json(document(command, answer, outcome.results, outcome.problems))
    else:
        from glazecalc.render.words import signed

        tell_problems(outcome.problems)
        write(sys.stdout, signed(outcome.text.rstrip("\n")) + "\n")
    raise typer.Exit(_CODE_OF.get(outcome.answer, ExitCode.DONE))


def opened(recipes: Sequence[str], usual: Usual, named: Sequence[str] | None, needs_studio: bool = True) -> Bench:
    """The studio and the cards; at a terminal, words that nothing bears are asked about."""
    from glazecalc.jobs.aliases import answers_to, names_to_ask
    from glazecalc.jobs.bench import open_bench

    def once_more(answers: Sequence[str]) -> Bench:
        return open_bench(recipes, usual.studio, usual.strict, usual.units, needs_studio, (*(named or ()), *answers))

    bench = once_more(())
    if usual.as_json or "-" in recipes or not at_terminal():
        return bench
    asked = names_to_ask(bench.recipes, bench.pantry)
    answers = tuple(answers_to(asked, bench.pantry, typer.echo, typed)) if asked else ()
    return once_more(answers) if answers else bench


def at_terminal() -> bool:
    """Whether somebody is there to be asked."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))


def typed() -> str:
    """One line that somebody types."""
    return str(typer.prompt(">", default="", show_default=False, prompt_suffix=" "))


def stop_on_errors(problems: Sequence[Problem], strict: bool = False) -> None:
    """Raise ProblemsError if one of the problems is an error, or any at all when ``strict``, but for a word on the
    demo, which is no fault of what was given."""
    if any(p.is_error or (strict and p.code != "demo-data") for p in problems):
        raise ProblemsError(problems)


def print_json(payload: dict[str, Any]) -> None:
    """One JSON document on stdout: full floats, ASCII, no NaN."""
    write(sys.stdout, json.dumps(payload, allow_nan=False, ensure_ascii=True, indent=1) + "\n")


MOST_TOLD: Final = 60
"""Problems that a terminal shows; JSON holds every one."""


def tell_problems(problems: Sequence[Problem]) -> None:
    """Every problem on stderr: ``file:line: what is wrong [code]`` and a hint beneath."""
    from glazecalc.render.words import problem_text

    for problem in problems[:MOST_TOLD]:
        write(sys.stderr, problem_text(problem) + "\n")
    if len(problems) > MOST_TOLD:
        write(sys.stderr, f"and {len(problems) - MOST_TOLD} more (--json tells them all)\n")


def write(stream: TextIO | None, text: str) -> None:
    """Write ``text``; where the stream cannot encode a sign, an ASCII spelling of it is written.

    Signs that steer a terminal are left out, but for our own colours where they are wanted. A closed stream (None)
    takes nothing.
    """
    from glazecalc.render.words import encodable, harmless

    if stream is not None:
        stream.write(encodable(harmless(text, wants_colour(stream)), stream.encoding))


class Plain(io.TextIOBase):
    """A stream to write tables to: what goes through it goes out as by :func:`write`."""

    def __init__(self, stream: TextIO | None) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write ``text`` as the stream can take it; returns its length."""
        write(self._stream, text)
        return len(text)


def wants_colour(stream: TextIO | None) -> bool:
    """Colour only on a terminal, and never where NO_COLOR is set."""
    return (
        stream is not None and stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    )


def one_of(option: str, value: str, choices: Sequence[Choice]) -> Choice:
    """The one of the choices that an option names. Raises ProblemsError if it is none."""
    found = next((choice for choice in choices if choice == value), None)
    if found is None:
        refuse(option.lstrip("-"), f"{option} {value!r} is not known", f"choose one of: {', '.join(choices)}")
    return found


def as_errors(problems: Sequence[Problem]) -> list[Problem]:
    """The problems, each an error."""
    return [error(p.code, p.message, p.hint, p.file, p.line) for p in problems]


def fail(command: str, problems: Sequence[Problem], as_json: bool, code: ExitCode = ExitCode.USAGE) -> ExitCode:
    """Say that the job could not run, as JSON if asked, and give back the exit code. A job that stops on remarks alone
    was asked to take them as errors (``--strict``), and tells them as such."""
    problems = problems if any(p.is_error for p in problems) else as_errors(problems)
    if as_json:
        print_json(document(command, "error", [], problems))
    else:
        tell_problems(problems)
    return code


# Colour for a terminal: an answer's words, never colour alone.

_CODES: Final = {Answer.FITS: "32", Answer.DOES_NOT_FIT: "31", Answer.CANNOT_SAY: "33"}


def painter(stream: TextIO | None) -> Callable[[str, Answer], str]:
    """A function that colours a text by its answer, or leaves it as it is where the stream wants no colour."""
    colour = wants_colour(stream)

    def paint(text: str, answer: Answer) -> str:
        code = _CODES.get(answer)
        return f"\033[{code}m{text}\033[0m" if colour and code else text

    return paint
