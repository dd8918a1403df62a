"""Writes a studio.toml and a stock.csv anew: what was there before is kept, and one writer at a time."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from glazecalc.files.problems import Findings
from glazecalc.files.studio import MATERIALS_FILE, NOT_WEIGHED_G, STOCK_FILE, STUDIO_FILE, read_studio_text
from glazecalc.files.writing import one_writer, write_file
from glazecalc.values.answers import Problem, ProblemsError
from glazecalc.values.names import fold


def keep_and_write(folder: Path, now: str, after: str) -> tuple[Problem, ...]:
    """Write studio.toml anew and keep what it says ``now``, so that :func:`put_back` undoes it; what was noticed.

    Raises ProblemsError where what is to be written could not be read.
    """
    path = folder / STUDIO_FILE
    problems = read_studio_text(after, str(path))
    if any(p.is_error for p in problems):
        raise ProblemsError(problems)
    if now:
        number = 1
        while (kept := folder / "earlier" / f"{STUDIO_FILE}.{number}").exists():
            number += 1
        write_file(kept, now, force=False)
    write_file(path, after, force=True)
    return problems


def put_back(folder: Path) -> bool:
    """Undo the last change: studio.toml says again what it said before; whether there was anything to put back."""
    kept = sorted(
        (folder / "earlier").glob(f"{STUDIO_FILE}.*"), key=lambda p: int(p.suffix[1:]) if p.suffix[1:].isdigit() else 0
    )
    if not kept:
        return False
    with one_writer(folder):
        write_file(folder / STUDIO_FILE, kept[-1].read_bytes(), force=True)
        kept[-1].unlink()
    return True


TABLES: Final = (MATERIALS_FILE, STOCK_FILE)
"""The tables of a studio that commands and pages change."""


def keep(folder: Path, names: Sequence[str] = TABLES) -> None:
    """Keep what tables say now, so that :func:`put_tables_back` undoes what is done to them together; one that is not
    there is kept as nothing."""
    number = 1 + max((n for _, n in _kept(folder)), default=0)
    for name in names:
        path = folder / name
        write_file(folder / "earlier" / f"{name}.{number}", path.read_bytes() if path.is_file() else b"", force=False)


def _kept(folder: Path) -> list[tuple[Path, int]]:
    paths = [p for name in TABLES for p in (folder / "earlier").glob(f"{name}.*")]
    return [(p, int(p.suffix[1:])) for p in paths if p.suffix[1:].isdigit()]


def put_tables_back(folder: Path) -> tuple[str, ...]:
    """Undo the last change of the tables: they say again what they said before; the names of those put back."""
    with one_writer(folder):
        kept = _kept(folder)
        last = max((n for _, n in kept), default=0)
        names = []
        for path, _ in (pair for pair in kept if pair[1] == last):
            target, before = folder / path.stem, path.read_bytes()
            names.append(target.name)
            if before:
                write_file(target, before, force=True)
            else:
                target.unlink(missing_ok=True)
            path.unlink()
    return tuple(sorted(names))


def stock_with(folder: Path, names: Sequence[str]) -> None:
    """Add materials to stock.csv, their grams not known; what stands there already is left as it is."""
    with one_writer(folder):
        _rewrite_stock(folder, _with_names(folder / STOCK_FILE, names))


def _rewrite_stock(folder: Path, text: str) -> None:
    """Write stock.csv, and keep what it said before."""
    keep(folder, (STOCK_FILE,))
    write_file(folder / STOCK_FILE, text, force=True)


def renamed_stock(folder: Path, old: str, new: str) -> bool:
    """Give a material of stock.csv another name, its grams and everything else left as it is; whether it was there.

    The copy that was kept of both tables when the material was renamed undoes this, too.
    """
    from glazecalc.files.text import delimiter_of, read_text

    path = folder / STOCK_FILE
    with one_writer(folder):
        text = (read_text(path, Findings(str(path))) or "") if path.is_file() else ""
        delimiter = delimiter_of(text) if text.strip() else ","
        lines = text.split("\n")
        for i, line in enumerate(lines):
            row = next(csv.reader([line], delimiter=delimiter), []) if line.strip() and line[0] != "#" else []
            if row and fold(row[0]) == fold(old):
                out = io.StringIO()
                csv.writer(out, delimiter=delimiter, lineterminator="").writerow([new, *row[1:]])
                lines[i] = out.getvalue()
        changed = "\n".join(lines)
        if changed != text:
            write_file(path, changed, force=True)
    return changed != text


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
    """Write what stands on the shelf into stock.csv; None takes a material off it, comments and the rest stay. What it
    said before is kept."""
    with one_writer(folder):
        _rewrite_stock(folder, _with_grams(folder / STOCK_FILE, grams))


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
    there = [(name, amount) for name, amount in asked.values() if amount is not None]
    kept += [[n, "" if g <= NOT_WEIGHED_G else f"{g:g}", *[""] * (len(head) - 2)] for n, g in there]
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows([head, *kept])
    return "".join(f"{c}\n" for c in comments) + out.getvalue()
