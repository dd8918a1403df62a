"""Bytes to text: whatever encoding a potter's file has, with a ceiling on its size."""

from __future__ import annotations

import csv
import io
import os
import re
import stat
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Final, NamedTuple

from glazecalc.files.problems import Findings, quote
from glazecalc.values.answers import did_you_mean

CARD_CEILING = 1_000_000
TABLE_CEILING = 5_000_000
LONGEST_LINE = 2_000

_BYTE_ORDER_MARKS = (
    (b"\xef\xbb\xbf", "utf-8"),
    (b"\xff\xfe\x00\x00", "utf-32-le"),
    (b"\x00\x00\xfe\xff", "utf-32-be"),
    (b"\xff\xfe", "utf-16-le"),
    (b"\xfe\xff", "utf-16-be"),
)
_OTHER_FILES = (
    (b"%PDF", "a PDF"),
    (b"PK\x03\x04", "a spreadsheet, a word processor's document or a zip archive"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet or word processor's document"),
    (b"{\\rtf", "a rich text document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"SQLite format 3", "a database"),
    (b"\x1f\x8b", "a compressed file"),
)
_INVISIBLE = re.compile("[\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff\u00ad]")
_CONTROL = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f]")


def open_text(path: str | Path) -> tuple[str | None, Findings]:
    """The text of a card, a sheet or a schedule, or of standard input for ``-``, and what is found in it so far."""
    found = Findings("stdin" if str(path) == "-" else str(path))
    return read_text(path, found), found


def read_text(path: str | Path, found: Findings, ceiling: int = CARD_CEILING) -> str | None:
    """The text of a file, or of standard input for ``-``; None with an error in ``found`` if there is none.

    Line ends come back as ``\\n``. ``ceiling`` is the most that is read [bytes].
    """
    data = _read_whole(path, found, ceiling, "is this the file you meant? A recipe card is a page of text")
    return None if data is None else decode(data, found)


def read_saved(path: str | Path, found: Findings, ceiling: int) -> str | None:
    """The text of a file that a program saved as UTF-8, line ends as they are; None with an error if there is none.

    Only an ordinary file or standard input (``-``) is read: a device or a pipe may never end.
    """
    data = _read_whole(path, found, ceiling, "is this the file you meant?", ordinary=True)
    if data is None:
        return None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as failure:
        line = data.count(b"\n", 0, failure.start) + 1
        found.error("damaged-text", "this is not UTF-8 text", "is it the file that was saved?", line)
    return None


def _read_whole(path: str | Path, found: Findings, ceiling: int, hint: str, ordinary: bool = False) -> bytes | None:
    """The bytes of a file; None with an error where it cannot be read, is larger than ``ceiling``, or is not
    ``ordinary`` where it must be."""
    if str(path) == "-":
        data = _typed_in(ceiling + 1)
    else:
        try:
            if ordinary and not (stat.S_ISREG(mode := os.stat(path).st_mode) or stat.S_ISDIR(mode)):
                what = f"{quote(str(path), 120)} is a device or a pipe, not a file"
                found.error("not-a-file", what, "name a saved file")
                return None
            data = _bytes_of(path, ceiling + 1)
        except (OSError, ValueError) as failure:
            _say_why_not_opened(Path(path), failure, found)
            return None
    if len(data) > ceiling:
        found.error("file-too-large", f"the file is larger than {ceiling / 1e6:g} MB, the most that is read", hint)
        return None
    return data


def _typed_in(most: int) -> bytes:
    """What comes in on standard input."""
    if sys.stdin is None:
        raise OSError("there is no standard input to read")
    stream = getattr(sys.stdin, "buffer", None)
    return stream.read(most) if stream is not None else sys.stdin.read(most).encode("utf-8", "replace")


def _bytes_of(path: str | Path, most: int) -> bytes:
    # without O_NONBLOCK a named pipe that nobody writes to would hang for ever
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as stream:
        if hasattr(os, "set_blocking") and not stat.S_ISREG(os.fstat(handle).st_mode):
            os.set_blocking(handle, True)
        return stream.read(most)


def decode(data: bytes, found: Findings) -> str | None:
    """The text in ``data``, tidied; None with an error if it is no text."""
    for magic, what in _OTHER_FILES:
        if data.startswith(magic):
            found.error("not-text", f"this is {what}, not plain text", "save it as plain text or as CSV first")
            return None
    text = _decoded(data, found)
    return None if text is None else _tidied(text, found)


def _say_why_not_opened(path: Path, failure: OSError | ValueError, found: Findings) -> None:
    shown = quote(str(path), 120)
    if isinstance(failure, IsADirectoryError) or os.path.isdir(path):
        found.error("is-a-folder", f"{shown} is a folder, not a file", "name a file inside it")
    elif isinstance(failure, FileNotFoundError | NotADirectoryError):
        found.error("no-such-file", f"there is no file {shown}", _similar_file(path))
    elif isinstance(failure, PermissionError):
        found.error("not-allowed", f"the file {shown} may not be read", "look at its permissions")
    elif isinstance(failure, ValueError):
        found.error("no-such-file", f"{shown} cannot be the name of a file")
    else:
        found.error("cannot-read", f"the file {shown} cannot be read: {failure.strerror or 'unknown reason'}")


def _similar_file(path: Path) -> str:
    try:
        names = [entry.name for _, entry in zip(range(2000), path.parent.iterdir(), strict=False) if entry.is_file()]
    except (OSError, ValueError):
        return f"there is no folder {quote(str(path.parent), 120)} either"
    by_stem = [name for name in names if Path(name).stem.casefold() == path.name.casefold()]
    return f"did you mean {by_stem[0]}?" if by_stem else did_you_mean(path.name, names)


def _decoded(data: bytes, found: Findings) -> str | None:
    for mark, encoding in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return _with_encoding(data[len(mark) :], encoding, found)
    if b"\x00" in data:
        guess = _two_byte_guess(data)
        if guess is None:
            found.error("not-text", "the file holds zero bytes: it is not plain text", "save it as plain text first")
            return None
        found.remark("encoding-assumed", f"read as {guess.upper()} text without its mark")
        return _with_encoding(data, guess, found)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as failure:
        line = data.count(b"\n", 0, failure.start) + 1
    what = "the file is not UTF-8; read as Windows-1252 (Western European)"
    found.remark("encoding-assumed", what, "save it as UTF-8 if letters look wrong", line)
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _with_encoding(data: bytes, encoding: str, found: Findings) -> str:
    text = data.decode(encoding, errors="replace")
    if "\N{REPLACEMENT CHARACTER}" in text:
        line = text.count("\n", 0, text.index("\N{REPLACEMENT CHARACTER}")) + 1
        found.remark("damaged-text", f"some characters are not valid {encoding.upper()} and were replaced", "", line)
    return text


def _two_byte_guess(data: bytes) -> str | None:
    sample = data[:4000]
    half = max(len(sample) // 2, 1)
    for zeros, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        if sample[zeros::2].count(0) > 0.7 * half and sample[1 - zeros :: 2].count(0) == 0:
            return encoding
    return None


def _tidied(text: str, found: Findings) -> str:
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\x85", "\n")
    text = text.replace("\u2028", "\n").replace("\u2029", "\n").replace("\x0b", " ").replace("\x0c", " ")
    control = _CONTROL.search(text)
    if control:
        line = text.count("\n", 0, control.start()) + 1
        found.remark("control-characters", "invisible control characters were left out", "", line)
        text = _CONTROL.sub("", text)
    return _INVISIBLE.sub("", text)


# A table as a spreadsheet saves it: rows of text cells with line numbers, whatever its delimiter.

MOST_COLUMNS = 500
MOST_ROWS = 5_000
"""No studio has more materials than this."""


class TableRow(NamedTuple):
    """The cells of one row and the line it begins on, counted from 1."""

    line: int
    cells: tuple[str, ...]


def table_rows(text: str, found: Findings, delimiter: str | None = None) -> tuple[TableRow, ...]:
    """Rows that are not empty and no comment. A row that cannot be taken apart is an error and ends the table."""
    rows: list[TableRow] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter or delimiter_of(text), skipinitialspace=True)
    begins = 1
    try:
        for cells in reader:
            line, begins = begins, reader.line_num + 1
            if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
                continue
            if len(cells) > MOST_COLUMNS:
                found.error("too-many-cells", f"{len(cells)} cells in one row", "is this the table you meant?", line)
                continue
            if len(rows) >= MOST_ROWS:
                what = f"the table has more than {MOST_ROWS} rows"
                found.error("too-many-lines", what, "is this the file you meant?")
                return ()
            rows.append(TableRow(line, tuple(cell.strip() for cell in cells)))
    except csv.Error as failure:
        what = "a cell is longer than 131072 characters" if "field" in str(failure) else f"not a table: {failure}"
        found.error("not-a-table", what, "is a quotation mark not closed?", begins)
    return tuple(rows)


def comments_of(text: str) -> list[str]:
    """The lines of a table's text that are comments."""
    return [line for line in text.split("\n") if line.lstrip().startswith("#")]


def table_text(comments: Iterable[str], rows: Iterable[Iterable[str]], delimiter: str) -> str:
    """The text of a table: its comments, then its rows."""
    stream = io.StringIO(newline="")
    stream.writelines(f"{comment}\n" for comment in comments)
    csv.writer(stream, delimiter=delimiter, lineterminator="\n").writerows(rows)
    return stream.getvalue()


_CELL_OF_LINES: Final = re.compile(
    r'(?:(?<=\n)|(?<=\A)|(?<=[,;\t]))"[^"\n]{0,200}(?:\n[^"\n]{0,200}){1,10}"(?=[,;\t\n]|\Z)'
)
"""A quoted cell of a table that goes over several lines."""


def with_cells_joined(text: str) -> str:
    """A table's text in which a quoted cell of several lines stands on the first of them; the lines after keep their
    numbers.

    >>> with_cells_joined('"Hill spar\\nlower pit",66.5\\nDale spar,66')
    '"Hill spar lower pit",66.5\\n\\nDale spar,66'
    """
    if '"' not in text:
        return text
    lines: list[str] = []
    joint = "\uffff"  # stands in no text
    for line in _CELL_OF_LINES.sub(lambda m: " ".join(m[0].split()) + joint * m[0].count("\n"), text).split("\n"):
        lines += [line.replace(joint, ""), *[""] * line.count(joint)]
    return "\n".join(lines)


def delimiter_of(text: str) -> str:
    """The delimiter of a table, from its first line with words: semicolon, tab or comma.

    >>> delimiter_of("name;SiO2;loi")
    ';'
    """
    for line in text[:20_000].split("\n"):
        if line.strip() and not line.lstrip().startswith("#"):
            counts = {delimiter: line.count(delimiter) for delimiter in ",;\t"}
            return max(counts, key=lambda d: counts[d]) if any(counts.values()) else ","
    return ","


def fits_head(row: TableRow, columns: int, found: Findings) -> bool:
    """Whether a row has no more filled cells than the table has columns; an error otherwise."""
    if len(row.cells) <= columns or not any(row.cells[columns:]):
        return True
    what = f"{len(row.cells)} cells where the head of the table has {columns}: {quote(row.cells[columns])} is left over"
    found.error("too-many-cells", what, "put a text or a number with a comma between quotes", row.line)
    return False
