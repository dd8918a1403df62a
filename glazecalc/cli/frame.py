"""What every command shares: its common options, how a result leaves, how a failure is said.

A command file defines ``register(app)``. Inside the command it imports what it needs, does the job through
``read``, ``work`` and ``show``, and ends with :func:`finish`.
"""

from __future__ import annotations

import io
import json
import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path
from typing import Annotated, Any, Final, NoReturn, TextIO

import typer

from glazecalc.values.answers import Answer, Problem, ProblemsError, error

# Exit codes: a script can tell `does not fit` from `could not run`.


class ExitCode(IntEnum):
    """What the process returns."""

    DONE = 0
    DOES_NOT_FIT = 1
    USAGE = 2
    CANNOT_SAY = 3
    BUG = 70
    INTERRUPTED = 130


def exit_code(answer: Answer | None) -> ExitCode:
    """The code for a job's answer; None means the job judged nothing and is done."""
    if answer is Answer.DOES_NOT_FIT:
        return ExitCode.DOES_NOT_FIT
    if answer is Answer.CANNOT_SAY:
        return ExitCode.CANNOT_SAY
    return ExitCode.DONE


JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else on stdout.")]
StrictOption = Annotated[bool, typer.Option("--strict", help="Treat every note as an error.")]
FullOption = Annotated[
    bool, typer.Option("--full", help="Tell everything: the formula, and how each figure was found.")
]
ForceOption = Annotated[bool, typer.Option("--force", help="Replace a file that is already there.")]


def _complete(kind: str) -> Any:
    def complete(ctx: typer.Context, incomplete: str) -> list[str]:

        return names(kind, ctx.params, incomplete)

    return complete


StudioOption = Annotated[
    Path | None,
    typer.Option(
        "--studio", metavar="DIR", help="Folder with studio.toml and materials.csv. [default: beside the card]"
    ),
]
UnitsOption = Annotated[
    str | None,
    typer.Option("--units", metavar="metric|us", help="Read results in metric or US units. [default: the studio's]"),
]
BodyOption = Annotated[
    str | None,
    typer.Option("--body", "-b", metavar="NAME", help="Clay of the studio.", autocompletion=_complete("body")),
]
KilnOption = Annotated[
    str | None,
    typer.Option("--kiln", "-k", metavar="NAME", help="Kiln of the studio.", autocompletion=_complete("kiln")),
]
CircuitOption = Annotated[
    str | None,
    typer.Option(
        "--circuit", metavar="NAME", help="Circuit the kiln is plugged into.", autocompletion=_complete("circuit")
    ),
]
ConeOption = Annotated[
    str | None, typer.Option("--cone", "-c", metavar="CONE", help="Cone to fire to, such as 06 or 6.")
]
RecipesArgument = Annotated[
    list[str],
    typer.Argument(
        metavar="RECIPE...",
        help="Recipe cards: file paths, names of cards in the studio, or - for stdin.",
        autocompletion=_complete("recipe"),
    ),
]
RecipeArgument = Annotated[
    str,
    typer.Argument(
        metavar="RECIPE", help="Recipe card: a file path, the name of a card in the studio, or - for stdin.",
        autocompletion=_complete("recipe"),
    ),
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Told:
    """What a command has to say: its results (for JSON), its text for people, and what was found on the way.

    ``answer`` is None for a job that judges nothing.
    """

    command: str
    results: Sequence[object]
    text: str
    answer: Answer | None = None
    problems: Sequence[Problem] = ()


def document(command: str, answer: str, results: Sequence[object], problems: Sequence[Problem]) -> dict[str, Any]:
    """The JSON document of the contract."""
    from glazecalc.render.json import for_json

    return {
        "schema": 1,
        "command": command,
        "answer": answer,
        "results": for_json(results),
        "problems": for_json(problems),
    }


def finish(outcome: Told, as_json: bool) -> NoReturn:
    """Print a result and leave with its exit code."""
    if as_json:
        answer = outcome.answer.value if outcome.answer else "done"
        print_json(document(outcome.command, answer, outcome.results, outcome.problems))
    else:
        from glazecalc.render.words import signed

        tell_problems(outcome.problems)
        write(sys.stdout, signed(outcome.text.rstrip("\n")) + "\n")
    raise typer.Exit(exit_code(outcome.answer))


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


def painter(colour: bool) -> Callable[[str, Answer], str]:
    """A function that colours a text by its answer, or leaves it as it is."""

    def paint(text: str, answer: Answer) -> str:
        code = _CODES.get(answer)
        return f"\033[{code}m{text}\033[0m" if colour and code else text

    return paint


# Shell completion that knows the studio: its cards, bodies, kilns, circuits and materials.


def names(kind: str, parameters: dict[str, Any], incomplete: str) -> list[str]:
    """Names of that kind that begin with what was typed; never an error, never a word on stderr."""
    try:
        typed = incomplete.casefold()
        return [n for n in _names(kind, parameters) if n.casefold().startswith(typed) and _plain_word(n)]
    except Exception:
        return []


def _plain_word(name: str) -> bool:
    """Whether a shell can take a name as it is: letters, digits, spaces and a few signs. What a studio.toml of
    strange origin calls a thing must not be run by the completion of a shell."""
    return all(c.isalnum() or c in " -_.,+/" for c in name)


def _names(kind: str, parameters: dict[str, Any]) -> list[str]:
    from glazecalc.files.materials import built_in_materials
    from glazecalc.files.studio import read_studio
    from glazecalc.jobs.bench import card_names, studio_folder
    from glazecalc.values.inputs import Body, Circuit, Kiln, Room

    typed = parameters.get("recipes") or parameters.get("recipe") or ()
    cards = [typed] if isinstance(typed, str) else list(typed)
    option = parameters.get("studio")
    folder = studio_folder(cards, Path(option) if option else None)
    if kind == "recipe":
        return [*card_names(folder), *sorted(str(p) for p in Path().glob("*.txt") if folder != Path())]
    studio, _ = read_studio(folder)
    if kind == "material":
        return [m.name for m in (*studio.materials, *built_in_materials())]
    things: dict[str, Sequence[Body | Kiln | Circuit | Room]] = {
        "body": studio.bodies, "kiln": studio.kilns, "circuit": studio.circuits, "room": studio.rooms,
    }  # fmt: skip
    return [thing.name for thing in things[kind]]
