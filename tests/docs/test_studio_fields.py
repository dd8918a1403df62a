"""docs/studio.md lists every field of studio.toml as its model says; ``DOCS=write`` writes the tables again."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from glazecalc.files.studio import _SUFFIXES, MANY, ONE, Section
from glazecalc.values.inputs import Also, Interior, Keys, Usual

PAGE = Path(__file__).resolve().parents[2] / "docs" / "studio.md"
HEAD = "| field | unit or choices | usual | also written |\n|---|---|---|---|\n"


def parts(annotation: Any) -> Iterator[Any]:
    """Everything an annotation is made of, the annotation first."""
    yield annotation
    if get_origin(annotation) is not Literal:
        for part in get_args(annotation):
            yield from parts(part)


def row(key: str, annotation: Any, metadata: list[Any]) -> str:
    said = [*metadata, *parts(annotation)]
    usual = next((m for m in said if isinstance(m, Usual)), Usual())
    unit = usual.unit or next((own for end, (_, own) in _SUFFIXES.items() if key.endswith(end)), "")
    choices = next((get_args(part) for part in said if get_origin(part) is Literal), ())
    what = ", ".join(map(str, choices)) or unit or ("%" if key.endswith("_percent") else "")
    window = "" if usual.low is None else f"{usual.low:g} to {usual.high:g}"
    others = [f"`{name}`" for name in next((m.names for m in said if isinstance(m, Keys)), ())]
    others += [f"`{word}`" for word in next((m.spellings for m in said if isinstance(m, Also)), {})]
    return f"| `{key}` | {what} | {window} | {', '.join(others)} |\n"


def table(section: Section) -> str:
    fields = section.made.model_fields
    return HEAD + "".join(row(key, fields[key].annotation, fields[key].metadata) for key in section.keys)


def page() -> str:
    text = (
        "# Fields of studio.toml\n\nNo field but a name, a scale's step and the sizes of what stands in a kiln must be there: "
        "what is missing counts as\nnot known. A bare number is in the unit of its field; in quotes it can have another, "
        '`width_mm = "12 in"`. A number\noutside what is usual is asked about, for it may be in another unit.\n'
    )
    for name, (_, section) in (MANY | ONE).items():
        text += f"\n## {f'[[{name}]]' if name in MANY else f'[{name}]'}\n\n{table(section)}"
        if name == "kiln":
            inside = {k: (f.annotation, f.metadata) for k, f in Interior.model_fields.items()}
            text += "\n`interior` holds:\n\n" + HEAD + "".join(row(k, *said) for k, said in inside.items())
    return text


def test_every_field_of_studio_toml_is_told_as_its_model_says() -> None:
    if os.environ.get("DOCS") == "write":
        PAGE.write_text(page(), encoding="utf-8")
    assert PAGE.read_text(encoding="utf-8") == page()
    assert all(f"| `{key}` |" in page() for _, section in (MANY | ONE).values() for key in section.keys)
