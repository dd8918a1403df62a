"""``start``, ``first``, ``open``: a studio folder, a glaze to begin with, the bench page."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from glazecalc.cli.frame import Told, at_terminal, command, document, print_json, typed, write
from glazecalc.cli.options import Chosen, ForceOption, JsonOption, StudioOption, UnitsOption, arg, flag, opt
from glazecalc.values.answers import refuse, remark

if TYPE_CHECKING:
    from glazecalc.jobs.asking import Question


@command("start", "my-studio", "my-studio --demo", "my-studio --bare", "my-studio --undo")
def start(
    folder: Annotated[Path, arg("DIR", "Folder to make; it may exist already.")],
    demo: Annotated[bool, flag("--demo", "No questions: a demo studio and its recipes, invented.")] = False,
    bare: Annotated[bool, flag("--bare", "No questions: studio.toml with blanks to fill in.")] = False,
    undo: Annotated[bool, flag("--undo", "Take the last change of studio.toml back; again: the one before.")] = False,
    force: ForceOption = False,
    as_json: JsonOption = False,
) -> Told:
    """Make a studio folder: on a terminal it asks about clay, kiln, outlet, scale and shelf."""
    if demo and bare:
        refuse("start", "--demo and --bare do not go together", "choose one")
    if undo:
        return _undone(folder)
    if bare:
        return _bare(folder, force)
    if not demo and not force and not as_json and at_terminal():
        return _asked(folder)
    return _demo(folder, force, meant=demo or force)


def _made(folder: Path, files: Sequence[str], text: str, **more: Any) -> Told:
    return Told([{"folder": str(folder), "files": list(files)}], text, **more)


def _demo(folder: Path, force: bool, meant: bool) -> Told:
    from glazecalc.jobs.asking import start_studio

    files = start_studio(folder, force=force)
    text = (
        f"Made {folder} with {len(files)} files. The studio and its recipes are invented for the demo:\n"
        f"put your own clay, kiln, circuit and scale into {folder / 'studio.toml'}, your own materials\n"
        "into materials.csv, and what stands on your shelf into stock.csv.\nThen try:\n"
        f"  glazecalc check {folder / 'shoal-clear.txt'}"
    )
    hint = "run it at a terminal to be asked about your own clay and kiln, or with --bare for blanks to fill in"
    unasked = remark("not-asked", "nobody is at a terminal to be asked: this is the demo studio", hint)
    return _made(folder, files, text, problems=() if meant else (unasked,))


def _undone(folder: Path) -> Told:
    from glazecalc.files.studio import STUDIO_FILE
    from glazecalc.files.writing import put_back

    if not put_back(folder / STUDIO_FILE):
        refuse("nothing-to-undo", "no change of studio.toml is left to undo", file=str(folder))
    return _made(folder, [STUDIO_FILE], f"{folder / STUDIO_FILE} says again what it said before.")


def _bare(folder: Path, force: bool) -> Told:
    from glazecalc.jobs.asking import write_blank

    files = write_blank(folder, force)
    text = (
        f"Made {folder} with blanks and nothing invented: fill in {folder / 'studio.toml'}, or answer questions\n"
        f"instead: glazecalc start {folder}"
    )
    return _made(folder, files, text)


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
                return _made(folder, [], "Nothing was changed.")
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
    return _made(folder, files, text)


def ask(question: Question) -> str:
    """One question, asked until its answer can be used; empty where it is not known."""
    from glazecalc.jobs.asking import fault, understood

    typer.echo(f"{question.asks}\n  ({question.picture})")
    for number, choice in enumerate(question.choices, start=1):
        typer.echo(f"  {number}  {choice.value}: {choice.words}")
    while True:
        words = typed()
        wrong = fault(question, words)
        if not wrong:
            return understood(question, words)
        typer.echo(f"  {wrong}")


@command("first", "--studio my-studio", '--body "Harbour stoneware" --cone 6 -o first-glaze.txt')
def first(
    where: Chosen = Chosen(),
    output: Annotated[Path | None, opt("--out -o", "FILE", "Write the glaze as a recipe card.")] = None,
    force: ForceOption = False,
    studio: StudioOption = None,
    units: UnitsOption = None,
) -> Told:
    """Propose a plain glaze to begin with: 100 g on your scale, four tiles, and what to look for."""
    from glazecalc.files.writing import write_file
    from glazecalc.jobs import requests
    from glazecalc.jobs.bench import open_bench
    from glazecalc.render.text.changes import card_text
    from glazecalc.render.text.weigh import first_text

    bench = open_bench((), studio, units=units)
    result = requests.first(bench, **where.names())
    problems = [*bench.problems, *result.problems]
    if output is not None:
        if result.chosen is None:
            refuse("nothing-to-write", "no glaze is proposed", "see the answer without -o")
        write_file(output, card_text(result.chosen.recipe), force)
        hint = f"check it: glazecalc check {output}"
        problems.append(remark("written", "the glaze is written as a card", hint, str(output)))
    return Told([result], first_text(result, bench.studio.units), result.answer, problems)


@command("open", "", "my-studio --phone")
def open_(
    folder: Annotated[Path | None, arg("[DIR]", "Studio folder; it is made if it is not there.")] = None,
    phone: Annotated[bool, flag("--phone", "Let one phone on your own network in, by a key that works once.")] = False,
    port: Annotated[int, opt("--port", "N", "Port to use. [default: a free one]", show_default=False)] = 0,
    browser: Annotated[bool, flag("--browser/--no-browser", "Open the browser.")] = True,
    studio: StudioOption = None,
    as_json: Annotated[bool, flag("--json", "Print the address as one JSON document, then serve.")] = False,
) -> None:
    """Open the bench page: the whole job in your browser, on this machine alone. Ctrl-C stops it."""
    from glazecalc.page.server import prepare, qr_lines, serve

    place = folder or studio or Path()
    if folder is None and studio is not None and not studio.is_dir():
        hint = f"make one with: glazecalc start {studio}, or glazecalc open {studio}"
        refuse("no-studio", "there is no such folder", hint, str(studio))
    new = not place.exists()
    try:
        place.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError):
        refuse("not-a-folder", "that is no folder", "name a folder", str(place))
    opened = prepare(port, phone)

    def tell() -> None:
        if as_json:
            print_json(document("open", "done", [{"address": opened.address, "phone": opened.phone_address}], []))
        else:
            made = f"{place} is a new folder: nothing is in it yet.\n" if new else ""
            write(sys.stdout, f"{made}The bench is open at {opened.address}\nCtrl-C closes it.\n")
            if opened.phone_address is not None:
                write(sys.stdout, f"\nFor one phone on this network, once:\n{opened.phone_address}\n\n")
                write(sys.stdout, qr_lines(opened.phone_address))
            elif phone:
                write(sys.stdout, "This machine is on no network that a phone could reach it by.\n")
        sys.stdout.flush()

    serve(opened, place.resolve(), tell, browser)
