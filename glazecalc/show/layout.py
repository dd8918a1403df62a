"""Plain text at 80 columns: wrapped paragraphs, aligned tables, a bar for an interval."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

WIDTH = 80


def paragraph(text: str, indent: int = 0, hanging: int = 0) -> str:
    """``text`` wrapped at 80 columns, ``hanging`` further in from its second line on."""
    return textwrap.fill(
        text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + hanging),
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def heading(text: str) -> str:
    """A section's title, underlined."""
    return f"{text}\n{'-' * len(text)}"


def labelled(label: str, text: str, width: int = 16, indent: int = 2) -> str:
    """A label and a wrapped text beside it."""
    lines = textwrap.wrap(text, WIDTH - indent - width, break_long_words=False, break_on_hyphens=False) or [""]
    first = f"{' ' * indent}{label:<{width}}{lines[0]}"
    return "\n".join([first.rstrip(), *(" " * (indent + width) + line for line in lines[1:])])


def table(rows: Sequence[Sequence[str]], align: str, indent: int = 2, gap: int = 2) -> str:
    """Rows of cells in columns; ``align`` has a letter per column, ``l`` or ``r``.

    >>> print(table([["a", "1"], ["bb", "10"]], "lr", indent=0))
    a    1
    bb  10
    """
    widths = [max(len(row[i]) for row in rows) for i in range(len(align))]
    lines = []
    for row in rows:
        cells = [c.rjust(w) if a == "r" else c.ljust(w) for c, w, a in zip(row, widths, align, strict=True)]
        lines.append(" " * indent + (" " * gap).join(cells).rstrip())
    return "\n".join(lines)


def interval_bar(low: float, value: float, high: float, start: float, end: float, width: int = 30) -> str:
    """An interval on an axis from ``start`` to ``end``: ``....===|===.....``, in ASCII.

    >>> interval_bar(4, 5, 6, 0, 10, 11)
    '....=|=....'
    """

    def place(x: float) -> int:
        return round(min(max((x - start) / (end - start), 0.0), 1.0) * (width - 1))

    cells = ["."] * width
    for i in range(place(low), place(high) + 1):
        cells[i] = "="
    cells[place(value)] = "|"
    return "".join(cells)
