"""``start``: a studio folder, made of answers to plain questions."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glazecalc.cli.frame import ForceOption, JsonOption, Told, finish

if TYPE_CHECKING:
    from glazecalc.jobs.asking import Question

EPILOG = """Examples:

  glazecalc start my-studio

  glazecalc start my-studio --demo

  glazecalc start my-studio --bare

  glazecalc start my-studio --undo
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("start", epilog=EPILOG)(start)


def start(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make; it may exist already.")],
    demo: Annotated[
        bool, typer.Option("--demo", help="No questions: a demo studio and its recipes, invented.")
    ] = False,
    bare: Annotated[bool, typer.Option("--bare", help="No questions: studio.toml with blanks to fill in.")] = False,
    undo: Annotated[
        bool, typer.Option("--undo", help="Take the last change of studio.toml back; again: the one before.")
    ] = False,
    force: ForceOption = False,
    as_json: JsonOption = False,
) -> None:
    """Make a studio folder: on a terminal it asks about clay, kiln, outlet, scale and shelf."""
    import sys

    from glazecalc.values.answers import ProblemsError, error

    if demo and bare:
        raise ProblemsError([error("start", "--demo and --bare do not go together", "choose one")])
    if undo:
        finish(_undone(folder), as_json)
    if bare:
        finish(_bare(folder, force), as_json)
    terminal = sys.stdin is not None and sys.stdin.isatty() and sys.stdout.isatty()
    if not demo and not force and not as_json and terminal:
        finish(_asked(folder), as_json)
    finish(_demo(folder, force, told=demo or force), as_json)


def _demo(folder: Path, force: bool, told: bool) -> Told:
    from glazecalc.jobs.start import start_studio
    from glazecalc.values.answers import remark

    files = start_studio(folder, force=force)
    text = (
        f"Made {folder} with {len(files)} files. The studio and its recipes are invented for the demo:\n"
        f"put your own clay, kiln, circuit and scale into {folder / 'studio.toml'}, your own materials\n"
        "into materials.csv, and what stands on your shelf into stock.csv.\nThen try:\n"
        f"  glazecalc check {folder / 'shoal-clear.txt'}"
    )
    hint = "run it at a terminal to be asked about your own clay and kiln, or with --bare for blanks to fill in"
    found = () if told else (remark("not-asked", "nobody is at a terminal to be asked: this is the demo studio", hint),)
    return Told("start", [{"folder": str(folder), "files": list(files)}], text, problems=found)


def _undone(folder: Path) -> Told:
    from glazecalc.files.earlier import put_back
    from glazecalc.files.studio import STUDIO_FILE
    from glazecalc.values.answers import ProblemsError, error

    if not put_back(folder / STUDIO_FILE):
        raise ProblemsError([error("nothing-to-undo", "no change of studio.toml is left to undo", "", str(folder))])
    return Told("start", [{"folder": str(folder), "files": ["studio.toml"]}],
                   f"{folder / 'studio.toml'} says again what it said before.")  # fmt: skip


def _bare(folder: Path, force: bool) -> Told:
    from glazecalc.jobs.asking import write_blank

    files = write_blank(folder, force)
    text = (
        f"Made {folder} with blanks and nothing invented: fill in {folder / 'studio.toml'}, or answer questions\n"
        f"instead: glazecalc start {folder}"
    )
    return Told("start", [{"folder": str(folder), "files": list(files)}], text)


def _asked(folder: Path) -> Told:
    """Ask all there is to ask of a new studio, or the one subject of an old one that is to change."""
    from glazecalc.jobs.asking import QUESTIONS, SUBJECTS, write_studio

    questions: Sequence[Question] = QUESTIONS
    if (folder / "studio.toml").is_file():
        subjects = list(SUBJECTS)
        typer.echo(f"{folder} is a studio already. What is to change?")
        for number, words in enumerate(SUBJECTS.values(), start=1):
            typer.echo(f"  {number}  {words}")
        picked = "?"
        while not (picked.isdecimal() and 1 <= int(picked) <= len(subjects)):
            picked = str(typer.prompt(f"A number from 1 to {len(subjects)}", default="", show_default=False)).strip()
            if not picked:
                return Told("start", [{"folder": str(folder), "files": []}], "Nothing was changed.")
        questions = [q for q in QUESTIONS if q.subject == subjects[int(picked) - 1]]
    typer.echo("Press Enter where you do not know: nothing is guessed, and you can come back.\n")
    answers = dict.fromkeys((question.key for question in questions), "")
    try:
        for question in questions:
            answers[question.key] = ask(question)
    except typer.Abort as stop:
        if not isinstance(stop.__context__, EOFError) or not any(answers.values()):
            raise
        typer.echo("\nThe rest is left for another time.")
    files = write_studio(folder, answers)
    unknown = [q.asks for q in questions if not answers[q.key]]
    left = "\nNot known yet:\n" + "\n".join(f"  {asks}" for asks in unknown) if unknown else ""
    text = (
        f"\nWrote {', '.join(str(folder / name) for name in files)}.{left}\n"
        f"To change one thing: glazecalc start {folder}\nNow ask for a glaze to begin with: "
        f"glazecalc first --studio {folder}\nor save a recipe of yours in {folder} and check it: "
        f"glazecalc check {folder / 'my-glaze.txt'}"
    )
    return Told("start", [{"folder": str(folder), "files": list(files)}], text)


def ask(question: Question) -> str:
    """One question, asked until its answer can be used; empty where it is not known."""
    from glazecalc.jobs.asking import fault, understood

    typer.echo(f"{question.asks}\n  ({question.picture})")
    for number, choice in enumerate(question.choices, start=1):
        typer.echo(f"  {number}  {choice.value}: {choice.words}")
    while True:
        typed = str(typer.prompt(">", default="", show_default=False, prompt_suffix=" "))
        wrong = fault(question, typed)
        if not wrong:
            return understood(question, typed)
        typer.echo(f"  {wrong}")
