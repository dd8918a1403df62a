"""Writes a studio.toml and a stock.csv anew: what was there before is kept, and one writer at a time."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from glazecalc.files.earlier import keep
from glazecalc.files.problems import Findings
from glazecalc.files.studio import STOCK_FILE, STUDIO_FILE, read_studio_text
from glazecalc.files.writing import one_writer, write_file
from glazecalc.values.answers import Problem, ProblemsError


def keep_and_write(folder: Path, after: str) -> tuple[Problem, ...]:
    """Write studio.toml anew and keep what it says now, so that it can be put back; what was noticed on reading it.

    Raises ProblemsError where what is to be written could not be read.
    """
    path = folder / STUDIO_FILE
    problems = read_studio_text(after, str(path))
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    if path.is_file():
        keep(path)
    write_file(path, after, force=True)
    return problems


def stock_with(folder: Path, names: Sequence[str]) -> None:
    """Add materials to stock.csv, their grams not known; what stands there already is left as it is."""
    path = folder / STOCK_FILE
    with one_writer(folder):
        keep(path)
        write_file(path, _with_names(path, names), force=True)


def _with_names(path: Path, names: Sequence[str]) -> str:
    from glazecalc.files.text import delimiter_of, read_text

    text = (read_text(path, Findings(str(path))) or "") if path.is_file() else ""
    text = text if not text or text.endswith("\n") else f"{text}\n"
    delimiter = delimiter_of(text) if text.strip() else ","
    there = {row[0].strip().casefold() for row in csv.reader(io.StringIO(text), delimiter=delimiter) if row}
    new = [name for name in dict.fromkeys(names) if name.casefold() not in there]
    out = io.StringIO()
    head = [] if text.strip() else [["name", "grams"]]
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows([*head, *([name, ""] for name in new)])
    return text + out.getvalue()


def changed_stock(folder: Path, grams: Mapping[str, float | None]) -> None:
    """Write what stands on the shelf into stock.csv; None takes a material off it, comments and the rest stay."""
    path = folder / STOCK_FILE
    with one_writer(folder):
        keep(path)
        write_file(path, _with_grams(path, grams), force=True)


def _with_grams(path: Path, grams: Mapping[str, float | None]) -> str:
    from glazecalc.files.text import delimiter_of, read_text

    text = (read_text(path, Findings(str(path))) or "") if path.is_file() else ""
    delimiter = delimiter_of(text) if text.strip() else ","
    comments = [line for line in text.split("\n") if line.lstrip().startswith("#")]
    rows = [r for r in csv.reader(io.StringIO(text), delimiter=delimiter) if r and not r[0].lstrip().startswith("#")]
    head = (
        rows.pop(0)
        if rows and rows[0][0].strip().casefold() in {"name", "material", "materials"}
        else ["name", "grams"]
    )
    asked = {name.casefold(): (name, amount) for name, amount in grams.items()}
    kept = [r for r in rows if r[0].strip().casefold() not in asked]
    kept += [[name, f"{amount:g}", *[""] * (len(head) - 2)] for name, amount in asked.values() if amount is not None]
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows([head, *kept])
    return "".join(f"{c}\n" for c in comments) + out.getvalue()
