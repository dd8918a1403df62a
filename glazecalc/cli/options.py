"""The options that several commands have, and the names a shell proposes for them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, fields, is_dataclass
from functools import wraps
from inspect import Parameter, Signature, signature
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, get_type_hints

import typer

from glazecalc.cli.frame import Told, finish

if TYPE_CHECKING:
    from glazecalc.jobs.requests import Where

Text = str | None
Texts = list[str] | None


def opt(names: str, metavar: str | None, words: str, of: str = "", **more: Any) -> Any:
    """An option: its ``names`` (`--out -o`), what stands for its value, what it is for, and of what kind the names are
    that a shell proposes.
    """
    return typer.Option(*names.split(), metavar=metavar, help=words, autocompletion=_completed(of), **more)


def flag(name: str, words: str) -> Any:
    """An option that is there or not."""
    return typer.Option(name, help=words)


def arg(metavar: str, words: str, of: str = "") -> Any:
    """What is typed without an option before it, as by :func:`opt`."""
    return typer.Argument(metavar=metavar, help=words, autocompletion=_completed(of))


def _completed(kind: str) -> Callable[[typer.Context, str], list[str]] | None:
    return (lambda ctx, incomplete: names(kind, ctx.params, incomplete)) if kind else None


JsonOption = Annotated[bool, flag("--json", "Print one JSON document and nothing else on stdout.")]
FullOption = Annotated[bool, flag("--full", "Tell everything: the formula, and how each figure was found.")]
ForceOption = Annotated[bool, flag("--force", "Replace a file that is already there.")]
StudioOption = Annotated[
    Path | None, opt("--studio", "DIR", "Folder with studio.toml and materials.csv. [default: beside the card]")
]
UnitsOption = Annotated[
    Text, opt("--units", "metric|us", "Read results in metric or US units. [default: the studio's]")
]
BodyOption = Annotated[Text, opt("--body -b", "NAME", "Clay of the studio.", of="body")]
KilnOption = Annotated[Text, opt("--kiln -k", "NAME", "Kiln of the studio.", of="kiln")]
CircuitOption = Annotated[Text, opt("--circuit", "NAME", "Circuit the kiln is plugged into.", of="circuit")]
ConeOption = Annotated[Text, opt("--cone -c", "CONE", "Cone to fire to, such as 06 or 6.")]
RecipesArgument = Annotated[
    list[str], arg("RECIPE...", "Recipe cards: file paths, names of cards in the studio, or - for stdin.", of="recipe")
]
AsOption = Annotated[Texts, opt("--as", "NAME=MATERIAL", "What a word on the card means; the studio remembers it.")]
CsvOption = Annotated[bool, flag("--csv", "Print a table, safe to open in a spreadsheet.")]
SizeOption = Annotated[Text, opt("--size", "N|RxC", "Tiles on an edge, or rows by columns of a square, or rungs.")]
AddOption = Annotated[
    Texts,
    opt(
        "--add", "MATERIAL[:LEVELS]",
        "Addition to try. LEVELS are percents of the base, commas between: 0,0.5,1,2 (a ladder takes one, the most). "
        "Twice for a grid.",
    ),
]  # fmt: skip


# Options that go together: a command takes them as one value, and its line shows them one by one.


@dataclass(frozen=True, slots=True)
class Chosen:
    """On which clay, in which kiln, from which outlet, to which cone: names in the studio, its own where left out."""

    body: BodyOption = None
    kiln: KilnOption = None
    circuit: CircuitOption = None
    cone: ConeOption = None

    def names(self) -> Where:
        """What the jobs take by keyword."""
        return {"body": self.body, "kiln": self.kiln, "circuit": self.circuit, "cone": self.cone}


@dataclass(frozen=True)
class Usual:
    """How strict, in which studio, in which units, and whether as JSON."""

    strict: Annotated[bool, flag("--strict", "Treat every note as an error.")] = False
    studio: StudioOption = None
    units: UnitsOption = None
    as_json: JsonOption = False


@dataclass(frozen=True)
class Writing(Usual):
    """The same of a command that writes files."""

    force: ForceOption = False


def spread(function: Callable[..., Told | None], command: str = "") -> Callable[..., None]:
    """A command as it is typed: the options of its groups side by side, ``--json`` last. What it returns is printed."""
    hints = get_type_hints(function, include_extras=True)
    groups: dict[str, Any] = {name: of for name, of in hints.items() if is_dataclass(of) and name != "return"}
    shown: dict[str, tuple[object, object]] = {}
    for name, parameter in signature(function).parameters.items():
        if name in groups:
            of = get_type_hints(groups[name], include_extras=True)
            shown |= {held: (usual, of[held]) for held, usual in asdict(groups[name]()).items()}
        else:
            shown[name] = parameter.default, hints[name]
    asks = "as_json" in shown
    shown["as_json"] = shown.pop("as_json", (False, JsonOption))

    @wraps(function)
    def run(**given: Any) -> None:
        as_json = given["as_json"] if asks else given.pop("as_json")
        for name, group in groups.items():
            given[name] = group(**{held.name: given.pop(held.name) for held in fields(group)})
        told = function(**given)
        if told is not None:
            finish(command, told, as_json)

    run.__signature__ = Signature(  # type: ignore[attr-defined]
        [Parameter(name, Parameter.KEYWORD_ONLY, default=usual, annotation=of) for name, (usual, of) in shown.items()]
    )
    run.__annotations__ = {name: of for name, (_, of) in shown.items()}
    return run


# Shell completion that knows the studio: its cards, bodies, kilns, circuits and materials.


def names(kind: str, parameters: dict[str, Any], incomplete: str) -> list[str]:
    """Names of that kind that begin with what was typed; never an error, never a word on stderr.

    Only of letters, digits, spaces and a few signs: what a studio.toml of strange origin calls a thing must not be run
    by the completion of a shell.
    """
    try:
        begun = [n for n in _names(kind, parameters) if n.casefold().startswith(incomplete.casefold())]
        return [n for n in begun if all(c.isalnum() or c in " -_.,+/" for c in n)]
    except Exception:
        return []


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
