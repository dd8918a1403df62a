"""The options that several commands have, and the names a shell proposes for them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, fields
from functools import wraps
from inspect import Parameter, Signature, signature
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, get_type_hints

import typer

if TYPE_CHECKING:
    from glazecalc.jobs.requests import Where

JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else on stdout.")]
StrictOption = Annotated[bool, typer.Option("--strict", help="Treat every note as an error.")]
FullOption = Annotated[
    bool, typer.Option("--full", help="Tell everything: the formula, and how each figure was found.")
]
ForceOption = Annotated[bool, typer.Option("--force", help="Replace a file that is already there.")]


def completed(kind: str) -> Any:
    """What a shell proposes for a name of that kind."""

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
    typer.Option("--body", "-b", metavar="NAME", help="Clay of the studio.", autocompletion=completed("body")),
]
KilnOption = Annotated[
    str | None,
    typer.Option("--kiln", "-k", metavar="NAME", help="Kiln of the studio.", autocompletion=completed("kiln")),
]
CircuitOption = Annotated[
    str | None,
    typer.Option(
        "--circuit", metavar="NAME", help="Circuit the kiln is plugged into.", autocompletion=completed("circuit")
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
        autocompletion=completed("recipe"),
    ),
]
RecipeArgument = Annotated[
    str,
    typer.Argument(
        metavar="RECIPE", help="Recipe card: a file path, the name of a card in the studio, or - for stdin.",
        autocompletion=completed("recipe"),
    ),
]  # fmt: skip
AsOption = Annotated[
    list[str] | None,
    typer.Option("--as", metavar="NAME=MATERIAL", help="What a word on the card means; the studio remembers it."),
]
OutputOption = Annotated[
    Path | None, typer.Option("--out", "-o", metavar="FILE", help="Write an option as a recipe card.")
]
CsvOption = Annotated[bool, typer.Option("--csv", help="Print a table, safe to open in a spreadsheet.")]
SizeOption = Annotated[
    str | None,
    typer.Option("--size", metavar="N|RxC", help="Tiles on an edge, or rows by columns of a square, or rungs."),
]
AddOption = Annotated[
    list[str] | None,
    typer.Option(
        "--add",
        metavar="MATERIAL[:LEVELS]",
        help="Addition to try. LEVELS are percents of the base, commas between: 0,0.5,1,2 (a ladder takes one, the "
        "most). Twice for a grid.",
    ),
]


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


@dataclass(frozen=True, slots=True)
class Usual:
    """How strict, in which studio, in which units, and whether as JSON."""

    strict: StrictOption = False
    studio: StudioOption = None
    units: UnitsOption = None
    as_json: JsonOption = False


def spread(function: Callable[..., None]) -> Callable[..., None]:
    """A command with the options of its :class:`Chosen` and :class:`Usual` side by side, as they are typed."""
    hints = get_type_hints(function, include_extras=True)
    parts = {name: kind for name, kind in hints.items() if kind in (Chosen, Usual)}
    shown: list[Parameter] = []
    for parameter in signature(function).parameters.values():
        kind = parts.get(parameter.name)
        if kind is None:
            shown.append(parameter.replace(kind=Parameter.KEYWORD_ONLY, annotation=hints[parameter.name]))
            continue
        of = get_type_hints(kind, include_extras=True)
        for name, usual in asdict(kind()).items():
            shown.append(Parameter(name, Parameter.KEYWORD_ONLY, default=usual, annotation=of[name]))

    @wraps(function)
    def run(**given: Any) -> None:
        for name, kind in parts.items():
            given[name] = kind(**{held.name: given.pop(held.name) for held in fields(kind)})
        function(**given)

    run.__signature__ = Signature(shown)  # type: ignore[attr-defined]
    run.__annotations__ = {parameter.name: parameter.annotation for parameter in shown}
    return run


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
