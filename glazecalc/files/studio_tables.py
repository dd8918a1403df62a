"""A studio.toml with one table changed or added: comments, order and everything else stay as they were written."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from glazecalc.files.problems import Findings
from glazecalc.files.studio import MANY, STUDIO_FILE, read_studio_text
from glazecalc.files.writing import write_file
from glazecalc.values.answers import Problem, ProblemsError, error
from glazecalc.values.names import fold

HEAD = "# A studio of glazecalc. What is not known is left out; nothing unknown is taken as fine.\n"


def with_table(text: str, table: str, which: str | None, answers: Mapping[str, Any]) -> str:
    """The text with ``answers`` put into a table; a None takes a key away.

    ``which`` is the name of one of several ([[body]], [[kiln]] ...); None adds another, or means the only one.
    Raises ProblemsError for a text that is no TOML, or a table that is not there.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(text)
        if table not in MANY:
            part = document.setdefault(table, tomlkit.table())
        else:
            part = _one_of_many(document, table, which)
        for key, value in answers.items():
            if value is None:
                part.pop(key, None)
            elif isinstance(value, Mapping):
                inline = tomlkit.inline_table()
                inline.update({k: v for k, v in value.items() if v is not None})
                part[key] = inline
            else:
                part[key] = value
        return tomlkit.dumps(document)
    except (TOMLKitError, ValueError, TypeError, AttributeError) as exc:
        raise ProblemsError(
            [error("toml-syntax", f"studio.toml cannot be changed: {exc}", "mend it by hand")]
        ) from None


def _one_of_many(document: Any, table: str, which: str | None) -> Any:
    import tomlkit

    there = document.get(table)
    if which is None:
        fresh = tomlkit.table()
        if there is None:
            document[table] = tomlkit.aot()
            document[table].append(fresh)
            return document[table][-1]
        if isinstance(there, list):
            document[table].append(fresh)
            return document[table][-1]
        raise ValueError(f"[{table}] is written as one table; write it as [[{table}]]")
    parts = there if isinstance(there, list) else [there] if there is not None else []
    for part in parts:
        if str(part.get("name", "scale" if table == "scale" else "")) == which:
            return part
    raise ValueError(f"there is no {table} {which!r}")


def write_table(
    folder: Path, table: str, which: str | None, answers: Mapping[str, Any], seen: str
) -> tuple[Problem, ...]:
    """Put answers into the studio's studio.toml, whole or not at all; what was noticed on reading it again.

    ``seen`` is the text the answers were given to. Raises ProblemsError where the file says something else by now, and
    where the changed one could not be read.
    """
    path = folder / STUDIO_FILE
    now = path.read_bytes().decode("utf-8", "replace") if path.is_file() else ""
    if now != seen:
        raise ProblemsError([error("changed-meanwhile", "studio.toml was changed meanwhile", "look again, then save")])
    return keep_and_write(folder, now, with_table(now or HEAD, table, which, answers))


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
    write_file(folder / STUDIO_FILE, kept[-1].read_bytes(), force=True)
    kept[-1].unlink()
    return True


TABLES: Final = ("materials.csv", "stock.csv")
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
    kept = _kept(folder)
    last = max((n for _, n in kept), default=0)
    names = []
    for path, _ in (pair for pair in kept if pair[1] == last):
        target, before = folder / path.stem, path.read_bytes()
        if before != (target.read_bytes() if target.is_file() else b""):
            names.append(target.name)
        if before:
            write_file(target, before, force=True)
        else:
            target.unlink(missing_ok=True)
        path.unlink()
    return tuple(sorted(names))


def stock_with(folder: Path, names: Sequence[str]) -> None:
    """Add materials to stock.csv, their grams not known; what stands there already is left as it is."""
    from glazecalc.files.studio import STOCK_FILE
    from glazecalc.files.text import delimiter_of, read_text

    path = folder / STOCK_FILE
    text = (read_text(path, Findings(str(path))) or "") if path.is_file() else ""
    text = text if not text or text.endswith("\n") else f"{text}\n"
    delimiter = delimiter_of(text) if text.strip() else ","
    there = {row[0].strip().casefold() for row in csv.reader(io.StringIO(text), delimiter=delimiter) if row}
    new = [name for name in dict.fromkeys(names) if name.casefold() not in there]
    out = io.StringIO()
    head = [] if text.strip() else [["name", "grams"]]
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows([*head, *([name, ""] for name in new)])
    keep(folder, (STOCK_FILE,))
    write_file(path, text + out.getvalue(), force=True)


def renamed_stock(folder: Path, old: str, new: str) -> bool:
    """Give a material of stock.csv another name, its grams and everything else left as it is; whether it was there."""
    from glazecalc.files.studio import STOCK_FILE
    from glazecalc.files.text import delimiter_of, read_text

    path = folder / STOCK_FILE
    text = (read_text(path, Findings(str(path))) or "") if path.is_file() else ""
    delimiter = delimiter_of(text) if text.strip() else ","
    lines = text.split("\n")
    for i, line in enumerate(lines):
        row = next(csv.reader([line], delimiter=delimiter), []) if line.strip() and not line.startswith("#") else []
        if row and fold(row[0]) == fold(old):
            out = io.StringIO()
            csv.writer(out, delimiter=delimiter, lineterminator="").writerow([new, *row[1:]])
            lines[i] = out.getvalue()
    changed = "\n".join(lines)
    if changed != text:
        write_file(path, changed, force=True)
    return changed != text


def changed_stock(folder: Path, grams: Mapping[str, float | None]) -> None:
    """Write what stands on the shelf into stock.csv; None takes a material off it, comments and the rest stay. What it
    said before is kept."""
    from glazecalc.files.studio import NOT_WEIGHED_G, STOCK_FILE
    from glazecalc.files.text import delimiter_of, read_text

    path = folder / STOCK_FILE
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
    keep(folder, (STOCK_FILE,))
    write_file(path, "".join(f"{c}\n" for c in comments) + out.getvalue(), force=True)
